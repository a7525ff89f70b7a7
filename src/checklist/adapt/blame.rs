//! Puts a problem that stands in the shipped part of an adapted list where it comes from: at the
//! change that caused it, because the shipped list alone has no errors.

use crate::checklist::problem::Kind;
use crate::checklist::raw::Spot;
use crate::checklist::tree::{Data, Node, NodeId};

use super::{Adaptation, What, step, steps, text, ways};

/// The change that caused a problem of the shipped list at that node: the one that took the missing
/// step out, the one that led the last way elsewhere, the one on the same step, or the first.
pub(in crate::checklist) fn cause(
    adaptation: &Adaptation,
    base: &Node,
    node: NodeId,
    kind: &Kind,
) -> Spot {
    let changes = || adaptation.changes.iter();
    let found = match kind {
        Kind::UnknownStep { name, .. } => changes().find(
            |change| matches!(&change.what, What::Remove { step, .. } if step.is.as_str() == name),
        ),
        Kind::Unreachable { name, .. } => changes().find(|change| leads_away(change, base, name)),
        _ => None,
    };
    let same_step = || {
        let name = owner(base, node)?;
        changes().find(|change| change.what.step().is_some_and(|at| at.is.as_str() == name))
    };
    let found = found.or_else(same_step).or_else(|| changes().next());
    found.map_or(adaptation.at, |change| {
        change.what.step().map_or(change.at, |step| step.at)
    })
}

/// Whether a change is about a step that led to that one in the shipped list.
fn leads_away(change: &super::Change, base: &Node, name: &str) -> bool {
    let about = match &change.what {
        What::Change { step, .. } | What::Remove { step, .. } => step,
        What::Add { after, .. } => after,
        What::Limit { .. } | What::Fact { .. } => return false,
    };
    step(base, about.is.as_str())
        .is_some_and(|(_, step)| ways::targets(step).iter().any(|target| target == name))
}

/// The step of the list in which a node stands.
fn owner(list: &Node, node: NodeId) -> Option<&str> {
    let holds = |(key, step): &&(Node, Node)| key.id == node || inside(step, node);
    steps(list).iter().find(holds).map(|(key, _)| text(key))
}

fn inside(node: &Node, wanted: NodeId) -> bool {
    node.id == wanted
        || match &node.data {
            Data::List(items) => items.iter().any(|item| inside(item, wanted)),
            Data::Map(entries) => entries
                .iter()
                .any(|(key, value)| inside(key, wanted) || inside(value, wanted)),
            _ => false,
        }
}
