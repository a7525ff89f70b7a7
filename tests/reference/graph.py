"""Compares reachability, dead ends and circles of made step graphs with networkx.

Reads graph_edges.csv and graph_nodes.csv from the folder given: for each graph its edges (counted
or not) and for each node what the checks of this project found.
"""

import csv
import sys
from collections import defaultdict
from pathlib import Path

import networkx as nx


def rows(folder: Path, name: str) -> list[dict[str, int]]:
    with open(folder / f"{name}.csv", newline="", encoding="utf-8") as file:
        return [{key: int(value) for key, value in row.items()} for row in csv.DictReader(file)]


def on_a_circle(graph: nx.DiGraph) -> set[int]:
    found = set(nx.nodes_with_selfloops(graph))
    for group in nx.strongly_connected_components(graph):
        if len(group) > 1:
            found |= group
    return found


def main() -> int:
    folder = Path(sys.argv[1])
    edges, nodes = defaultdict(list), defaultdict(list)
    for row in rows(folder, "graph_edges"):
        edges[row["graph"]].append(row)
    for row in rows(folder, "graph_nodes"):
        nodes[row["graph"]].append(row)
    compared, wrong = 0, []
    for number, members in nodes.items():
        whole, uncounted = nx.DiGraph(), nx.DiGraph()
        for graph in (whole, uncounted):
            graph.add_nodes_from(row["node"] for row in members)
        for row in edges[number]:
            whole.add_edge(row["from"], row["to"])
            if not row["counted"]:
                uncounted.add_edge(row["from"], row["to"])
        reached = nx.descendants(whole, 0) | {0}
        ends = {row["node"] for row in members if row["end"]}
        can_end = set(ends).union(*(nx.ancestors(whole, end) for end in ends))
        circles, hard_circles = on_a_circle(whole), on_a_circle(uncounted)
        for row in members:
            node = row["node"]
            expected = {
                "reached": node in reached,
                "can_end": node in can_end,
                "uncounted_circle": node in hard_circles,
                "circle": node in circles,
            }
            for name, value in expected.items():
                compared += 1
                if bool(row[name]) != value:
                    wrong.append(f"graph {number}, node {node}, {name}: {row[name]}, networkx {value}")
    print(f"{compared} findings on {len(nodes)} graphs compared with networkx {nx.__version__}")
    for line in wrong[:20]:
        print(line)
    return 1 if wrong or compared < 4000 else 0


if __name__ == "__main__":
    sys.exit(main())
