"""Compares what the prover says of made lists with networkx: one step comes before another in every
run exactly where it dominates it, and there are as many runs as paths.

Reads proof_edges.csv (a row for each way, so that two ways between the same steps count twice),
proof_pairs.csv and proof_runs.csv from the folder given.
"""

import csv
import sys
from collections import defaultdict
from pathlib import Path

import networkx as nx


def rows(folder: Path, name: str) -> list[dict[str, int]]:
    with open(folder / f"{name}.csv", newline="", encoding="utf-8") as file:
        return [{key: int(value) for key, value in row.items()} for row in csv.DictReader(file)]


def paths(graph: nx.MultiDiGraph) -> int:
    """How many paths lead from step 0 to a step without a way out."""
    count: dict[int, int] = {}
    for node in reversed(list(nx.topological_sort(graph))):
        out = [count[to] for _, to in graph.out_edges(node)]
        count[node] = sum(out) if out else 1
    return count[0]


def dominated(graph: nx.MultiDiGraph) -> set[tuple[int, int]]:
    """Every pair of which the first lies on every path to the second."""
    above = nx.immediate_dominators(nx.DiGraph(graph), 0)
    found = set()
    for node in graph:
        step = node
        while step != 0:
            step = above[step]
            found.add((step, node))
    return found


def main() -> int:
    folder = Path(sys.argv[1])
    graphs: dict[int, nx.MultiDiGraph] = defaultdict(nx.MultiDiGraph)
    for row in rows(folder, "proof_edges"):
        graphs[row["graph"]].add_edge(row["from"], row["to"])
    before = {number: dominated(graph) for number, graph in graphs.items()}
    compared, wrong = 0, []
    for row in rows(folder, "proof_pairs"):
        compared += 1
        expected = (row["before"], row["after"]) in before[row["graph"]]
        if bool(row["kept"]) != expected:
            wrong.append(f"list {row['graph']}, step {row['before']} before {row['after']}: networkx {expected}")
    for row in rows(folder, "proof_runs"):
        compared += 1
        expected = paths(graphs[row["graph"]])
        if row["runs"] != expected:
            wrong.append(f"list {row['graph']}: {row['runs']} runs, networkx {expected} paths")
    print(f"{compared} findings of the prover on {len(graphs)} lists compared with networkx {nx.__version__}")
    for line in wrong[:20]:
        print(f"  {line}")
    return 1 if wrong or compared < 2_000 else 0


if __name__ == "__main__":
    sys.exit(main())
