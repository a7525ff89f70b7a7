//! Lists do not use each other in a circle.

use petgraph::algo::kosaraju_scc;
use petgraph::graph::{DiGraph, NodeIndex};

use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawList, Spot};

use super::All;

pub(super) fn check(all: &All<'_>, out: &mut Findings) {
    let mut graph: DiGraph<(), Spot> = DiGraph::new();
    for _ in all.lists {
        graph.add_node(());
    }
    for (from, list) in all.lists.iter().enumerate() {
        for (used, _) in list.steps.iter().flat_map(|step| step.uses()) {
            if let Some(to) = all.by_name.get(used.is.as_str()) {
                graph.update_edge(NodeIndex::new(from), NodeIndex::new(*to), used.at);
            }
        }
    }
    for mut group in kosaraju_scc(&graph) {
        group.sort_unstable();
        let chain = round(&graph, &group);
        let Some((at, names)) = told(all, &graph, &chain) else {
            continue;
        };
        out.add(at, Kind::UseCircle { chain: names });
    }
}

/// The shortest way from the first list of a group back to itself; empty when there is none.
fn round(graph: &DiGraph<(), Spot>, group: &[NodeIndex]) -> Vec<NodeIndex> {
    let Some(&first) = group.first() else {
        return Vec::new();
    };
    let back = graph
        .neighbors(first)
        .filter(|next| group.binary_search(next).is_ok())
        .filter_map(|next| {
            petgraph::algo::astar(graph, next, |node| node == first, |_| 1_u32, |_| 0)
                .map(|(_, way)| way)
        })
        .min_by_key(Vec::len);
    back.map_or_else(Vec::new, |way| std::iter::once(first).chain(way).collect())
}

/// Where the first list uses the second, and the names in order.
fn told(
    all: &All<'_>,
    graph: &DiGraph<(), Spot>,
    chain: &[NodeIndex],
) -> Option<(Spot, Vec<String>)> {
    let [first, second, ..] = chain else {
        return None;
    };
    let edge = graph.find_edge(*first, *second)?;
    let at = graph.edge_weight(edge)?;
    let name = |list: &RawList| list.stem.as_ref().map(ToString::to_string);
    let names = chain
        .iter()
        .filter_map(|node| all.lists.get(node.index()).and_then(name))
        .collect();
    Some((*at, names))
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::{GOOD, two_lists, using};

    #[test]
    fn two_lists_that_use_each_other_are_told_once() {
        let later = GOOD.replace("checklist: good", "checklist: later");
        let found = two_lists(&using(GOOD, "later"), &using(&later, "good"));
        assert_eq!(found, ["use-circle 16:24"]);
    }

    #[test]
    fn a_list_that_uses_itself_is_told() {
        let later = GOOD.replace("checklist: good", "checklist: later");
        assert_eq!(
            two_lists(&using(GOOD, "good"), &later),
            ["use-circle 16:24"]
        );
        assert_eq!(two_lists(&using(GOOD, "later"), &later), [""; 0]);
    }
}
