//! How many different runs there are, and other exact figures of the graph of plain answers.

use petgraph::algo::toposort;
use petgraph::graph::{DiGraph, NodeIndex};

use super::graph::{Budget, Graph, explore};
use super::moves::Scope;
use super::refine::Session;
use super::state::Tracked;

/// Runs are counted in at most so many states; beyond that the figure is not worth the wait.
const MOST_COUNTED: usize = 20_000;

/// Counts the runs: every way of answering, with every drain that can be told apart by it, and
/// without interruptions and answers that become too old. `None` when there are too many states
/// to count in, or when a circle has no count. The greatest number stands for "so many or more".
pub(super) fn runs(session: &mut Session<'_>, budget: &mut Budget<'_>) -> Option<u128> {
    let budget = &mut Budget {
        states: budget.states.min(MOST_COUNTED),
        progress: &mut *budget.progress,
    };
    let everything = Tracked::nothing(session.model.vars).everything();
    let graph = explore(
        &session.model,
        &everything,
        Scope::PLAIN,
        &[],
        &mut session.parts,
        budget,
    )
    .ok()?;
    count(&graph)
}

/// Counts the paths from the beginning to the end of a graph without circles.
pub(super) fn count(graph: &Graph) -> Option<u128> {
    let mut shape: DiGraph<(), ()> = DiGraph::with_capacity(graph.states.len(), graph.ways.len());
    for _ in &graph.states {
        shape.add_node(());
    }
    for state in 0..super::model::step_number(graph.states.len()) {
        for (to, _) in graph.ways(state) {
            shape.add_edge(
                NodeIndex::new(state as usize),
                NodeIndex::new(*to as usize),
                (),
            );
        }
    }
    let order = toposort(&shape, None).ok()?;
    let mut paths = vec![0_u128; graph.states.len()];
    for node in order.into_iter().rev() {
        let at = node.index();
        paths[at] = if graph.states[at].is_over() {
            1
        } else {
            let ways = graph.ways(super::model::step_number(at));
            ways.iter().fold(0_u128, |sum, (to, _)| {
                sum.saturating_add(paths[*to as usize])
            })
        };
    }
    Some(
        paths[..graph.begins]
            .iter()
            .fold(0_u128, |sum, one| sum.saturating_add(*one)),
    )
}
