//! Adaptations: a unit's changes to a shipped list, kept as a small file rather than a copy.
//!
//! `merge` puts the changes into the tree of the shipped list, so that the result is read and
//! checked like any other list, and every node still knows in which file it was written; `fits`
//! looks, when the shipped list has moved on since, at which changes still mean what they meant;
//! `locked` holds the words that stay as they were approved; `limits` changes the numbers that make
//! somebody act, towards earlier only. What is wrong is in [`misfit`].

pub mod misfit;

pub(in crate::checklist) mod allow;
pub(in crate::checklist) mod apply;
pub(in crate::checklist) mod blame;
pub(in crate::checklist) mod fits;
pub mod limits;
pub(in crate::checklist) mod locked;
pub(in crate::checklist) mod merge;
pub(in crate::checklist) mod ways;

use crate::names::{FactName, ListName, StepName};

use super::raw::{At, Spot};
use super::tree::{Data, Node};

/// An adaptation as it was read.
#[derive(Debug)]
pub(in crate::checklist) struct Adaptation {
    /// The whole file.
    pub(in crate::checklist) at: Spot,
    /// The list that is adapted, which is also the file's name.
    pub(in crate::checklist) adapts: At<ListName>,
    /// The version of the list over which it was written.
    pub(in crate::checklist) base: At<String>,
    /// The fingerprint of that version's file.
    pub(in crate::checklist) base_hash: At<String>,
    /// The version of the adaptation itself.
    pub(in crate::checklist) version: String,
    /// Keys of the list's head that it sets (`owner`, `author`, `review_by`), key and value.
    pub(in crate::checklist) head: Vec<(Node, Node)>,
    /// Phrases and sources that it adds to the list's head, key and value.
    pub(in crate::checklist) added: Vec<(Node, Node)>,
    /// Shipped trials that go another way with these changes, as they are meant to.
    pub(in crate::checklist) changes_trials: Vec<String>,
    /// The changes, in the order in which they are made.
    pub(in crate::checklist) changes: Vec<Change>,
}

/// One change with its reason.
#[derive(Debug)]
pub(in crate::checklist) struct Change {
    /// Where it stands.
    pub(in crate::checklist) at: Spot,
    /// Why.
    pub(in crate::checklist) because: String,
    /// What it does.
    pub(in crate::checklist) what: What,
}

/// What a change does.
#[derive(Debug)]
pub(in crate::checklist) enum What {
    /// Sets or drops keys of a step.
    Change {
        step: At<StepName>,
        /// Key and value.
        set: Vec<(Node, Node)>,
        drop: Vec<At<String>>,
    },
    /// Adds a step, on one of the ways out of another.
    Add {
        step: At<StepName>,
        /// The name and the step as they were written.
        name: Node,
        body: Node,
        after: At<StepName>,
        /// Which way; only needed when there are several.
        way: Option<At<String>>,
    },
    /// Takes a step out. Ways that led to it lead to `instead`.
    Remove {
        step: At<StepName>,
        instead: Option<(At<StepName>, Node)>,
    },
    /// Another number for a limit. It holds for every list.
    Limit {
        name: At<FactName>,
        was: Node,
        to: Node,
    },
    /// A value for a local fact. It holds for every list.
    Fact {
        /// The name and the value as they were written.
        name: Node,
        to: Node,
    },
}

impl What {
    /// What it speaks of, in words: "step straighten", "limit seal-low".
    pub(in crate::checklist) fn subject(&self) -> String {
        match self {
            Self::Change { step, .. } | Self::Add { step, .. } | Self::Remove { step, .. } => {
                step.is.to_string()
            }
            Self::Limit { name, .. } => name.is.to_string(),
            Self::Fact { name, .. } => text(name).to_owned(),
        }
    }

    /// The step of the list that it speaks of.
    pub(in crate::checklist) const fn step(&self) -> Option<&At<StepName>> {
        match self {
            Self::Change { step, .. } | Self::Add { step, .. } | Self::Remove { step, .. } => {
                Some(step)
            }
            Self::Limit { .. } | Self::Fact { .. } => None,
        }
    }
}

/// The entries of a map; none for anything else.
pub(in crate::checklist) fn entries(node: &Node) -> &[(Node, Node)] {
    match &node.data {
        Data::Map(entries) => entries,
        _ => &[],
    }
}

/// The value of a key in a map.
pub(in crate::checklist) fn value<'n>(node: &'n Node, key: &str) -> Option<&'n Node> {
    let found = entries(node).iter().find(|(name, _)| text(name) == key);
    found.map(|(_, value)| value)
}

/// The words of a node; empty when it holds none.
pub(in crate::checklist) fn text(node: &Node) -> &str {
    match &node.data {
        Data::Text(words) => words,
        _ => "",
    }
}

/// The steps of a list, each with its name.
pub(in crate::checklist) fn steps(list: &Node) -> &[(Node, Node)] {
    value(list, "steps").map_or(&[], entries)
}

/// One step of a list.
pub(in crate::checklist) fn step<'n>(list: &'n Node, name: &str) -> Option<&'n (Node, Node)> {
    steps(list).iter().find(|(key, _)| text(key) == name)
}

/// What a node says, on one line and without regard to how it is written: for comparing, and to
/// show the words of a change.
pub(in crate::checklist) fn said(node: &Node) -> String {
    match &node.data {
        Data::Empty => String::new(),
        Data::Bool(truth) => truth.to_string(),
        Data::Number(number) => number.clone(),
        Data::Text(words) => words.split_whitespace().collect::<Vec<_>>().join(" "),
        Data::List(items) => {
            let items: Vec<String> = items.iter().map(said).collect();
            format!("[{}]", items.join(", "))
        }
        Data::Map(entries) => {
            let entries: Vec<String> = entries
                .iter()
                .map(|(key, value)| format!("{}: {}", said(key), said(value)))
                .collect();
            format!("{{{}}}", entries.join(", "))
        }
    }
}

/// A version with that of the adaptation over it.
pub(in crate::checklist) fn adapted_version(base: &str, own: &str) -> String {
    format!("{base}, adapted {own}")
}
