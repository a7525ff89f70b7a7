//! The steps of one list as a graph: who leads where, and which ways are counted.

use std::collections::{HashMap, VecDeque};

use petgraph::algo::kosaraju_scc;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::{Dfs, Reversed};

use crate::names::StepName;

use super::nearest::nearest;
use super::raw::{At, RawKind, RawList};

/// For so many unknown targets the nearest step is looked for.
const MOST_LOOKED_FOR: usize = 20;

/// The ways of one list.
#[derive(Debug)]
pub(super) struct Flow {
    /// Nodes are steps in file order; an edge says whether it is counted.
    pub(super) graph: DiGraph<(), bool>,
    /// Targets that are not there, with the step that was most likely meant.
    pub(super) unknown: Vec<(At<StepName>, Option<String>)>,
    /// Steps of which a way could not be read: they may lead anywhere.
    pub(super) holes: Vec<bool>,
    /// Steps that are an `end`.
    pub(super) ends: Vec<bool>,
    /// Whether each step can be reached from the first.
    pub(super) reached: Vec<bool>,
}

impl Flow {
    pub(super) fn of(list: &RawList) -> Self {
        let count = list.steps.len();
        let mut flow = Self {
            graph: DiGraph::with_capacity(count, count * 3),
            unknown: Vec::new(),
            holes: vec![false; count],
            ends: list
                .steps
                .iter()
                .map(|step| matches!(step.kind, RawKind::End { .. }))
                .collect(),
            reached: vec![false; count],
        };
        for _ in 0..count {
            flow.graph.add_node(());
        }
        for (from, step) in list.steps.iter().enumerate() {
            for jump in step.jumps() {
                let Some(jump) = jump else {
                    flow.holes[from] = true;
                    continue;
                };
                flow.edge(list, from, jump.go.as_ref(), jump.counted.is_some());
                if let Some((_, after_that)) = &jump.counted {
                    flow.edge(list, from, after_that.as_ref(), false);
                }
            }
        }
        if let Some(first) = list.first() {
            let mut walk = Dfs::new(&flow.graph, NodeIndex::new(first));
            while let Some(node) = walk.next(&flow.graph) {
                flow.reached[node.index()] = true;
            }
        }
        flow
    }

    /// Adds an edge. A misspelt target leads to the step that was most likely meant, so that one
    /// slip is told once and not as an unreachable step as well.
    fn edge(&mut self, list: &RawList, from: usize, target: Option<&At<StepName>>, counted: bool) {
        let Some(target) = target else {
            self.holes[from] = true;
            return;
        };
        let mut to = list.find(target.is.as_str());
        if to.is_none() {
            let meant = if self.unknown.len() < MOST_LOOKED_FOR {
                nearest(
                    target.is.as_str(),
                    list.steps.iter().map(|step| step.name.is.as_str()),
                )
            } else {
                None
            };
            to = meant.as_deref().and_then(|name| list.find(name));
            self.unknown.push((target.clone(), meant));
        }
        match to {
            Some(to) => {
                self.graph
                    .add_edge(NodeIndex::new(from), NodeIndex::new(to), counted);
            }
            None => self.holes[from] = true,
        }
    }

    /// Whether some reachable step may lead anywhere.
    pub(super) fn leads_anywhere(&self) -> bool {
        self.holes
            .iter()
            .zip(&self.reached)
            .any(|(hole, reached)| *hole && *reached)
    }

    /// Whether each step can reach an end, or a step that may lead anywhere.
    pub(super) fn can_end(&self) -> Vec<bool> {
        let mut can = vec![false; self.graph.node_count()];
        let reversed = Reversed(&self.graph);
        let mut walk = Dfs::empty(reversed);
        for (index, (end, hole)) in self.ends.iter().zip(&self.holes).enumerate() {
            if *end || *hole {
                walk.stack.push(NodeIndex::new(index));
            }
        }
        while let Some(node) = walk.next(reversed) {
            can[node.index()] = true;
        }
        can
    }

    /// Groups of steps that can all reach one another, by ways that `keep` says; each in file
    /// order. A single step counts when it leads to itself.
    pub(super) fn circles(&self, keep: impl Fn(bool) -> bool) -> Vec<Vec<usize>> {
        let graph = self
            .graph
            .filter_map(|_, ()| Some(()), |_, counted| keep(*counted).then_some(()));
        let mut groups: Vec<Vec<usize>> = kosaraju_scc(&graph)
            .into_iter()
            .filter(|group| match group.as_slice() {
                [one] => graph.contains_edge(*one, *one),
                _ => true,
            })
            .map(|group| {
                let mut steps: Vec<usize> = group.into_iter().map(NodeIndex::index).collect();
                steps.sort_unstable();
                steps
            })
            .collect();
        groups.sort_unstable();
        groups
    }

    /// The shortest way from the first of a group back to itself, the first step at both ends.
    pub(super) fn round(&self, group: &[usize], keep: impl Fn(bool) -> bool) -> Vec<usize> {
        let Some(&first) = group.first() else {
            return Vec::new();
        };
        let members: std::collections::HashSet<usize> = group.iter().copied().collect();
        let mut came_from: HashMap<usize, usize> = HashMap::new();
        let mut queue = VecDeque::from([first]);
        while let Some(at) = queue.pop_front() {
            for edge in self.graph.edges(NodeIndex::new(at)) {
                use petgraph::visit::EdgeRef;
                let to = edge.target().index();
                if !keep(*edge.weight()) || !members.contains(&to) || came_from.contains_key(&to) {
                    continue;
                }
                came_from.insert(to, at);
                if to == first {
                    return back_to(first, &came_from);
                }
                queue.push_back(to);
            }
        }
        group.to_vec()
    }

    /// Whether a way leads from one step to another.
    pub(super) fn steps_from(&self, from: usize) -> Vec<bool> {
        let mut reached = vec![false; self.graph.node_count()];
        let mut walk = Dfs::empty(&self.graph);
        walk.stack
            .extend(self.graph.neighbors(NodeIndex::new(from)));
        while let Some(node) = walk.next(&self.graph) {
            reached[node.index()] = true;
        }
        reached
    }
}

/// The chain that ends where it begins.
fn back_to(first: usize, came_from: &HashMap<usize, usize>) -> Vec<usize> {
    let mut chain = vec![first];
    let mut at = first;
    while let Some(&before) = came_from.get(&at) {
        chain.push(before);
        at = before;
        if at == first {
            break;
        }
    }
    chain.reverse();
    chain
}

#[cfg(test)]
#[path = "flow_tests.rs"]
mod tests;
