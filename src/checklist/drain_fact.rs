//! The drain facts: what is known of one drain, in a fixed vocabulary that checklists may speak of.

use crate::names::FactName;
use crate::units::{Number, Unit};
use std::collections::BTreeMap;

use super::model::Value;

/// What a drain fact may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FactKind {
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// A number with this unit, between these bounds.
    Amount(Unit, Number, Number),
    /// A few words of the nurse's own; never a person's name.
    Words,
}

/// One entry of the vocabulary.
#[derive(Debug, Clone, Copy)]
pub struct DrainFact {
    /// The name used in `{…}` and `when`.
    pub name: &'static str,
    /// The question that asks for it.
    pub question: &'static str,
    /// What it may be.
    pub kind: FactKind,
}

/// Every drain fact, in the order in which they are asked. Any of them may be unknown.
pub const DRAIN_FACTS: &[DrainFact] = &[
    DrainFact {
        name: "place",
        question: "Where is the patient? A place label, never a name",
        kind: FactKind::Words,
    },
    DrainFact {
        name: "side",
        question: "Which side is the drain?",
        kind: FactKind::Choice(&["left", "right"]),
    },
    DrainFact {
        name: "population",
        question: "Adult or child?",
        kind: FactKind::Choice(&["adult", "child"]),
    },
    DrainFact {
        name: "weight",
        question: "Weight of the child",
        kind: FactKind::Amount(Unit::Kg, Number::from_milli(400), Number::whole(150)),
    },
    DrainFact {
        name: "breathing",
        question: "How does the patient breathe?",
        kind: FactKind::Choice(&["own", "mask-pressure", "ventilator"]),
    },
    DrainFact {
        name: "reason",
        question: "What is the drain for?",
        kind: FactKind::Choice(&["air", "fluid", "blood", "air-and-fluid", "pus"]),
    },
    DrainFact {
        name: "suction",
        question: "Is suction ordered?",
        kind: FactKind::Choice(&["none", "ordered"]),
    },
    DrainFact {
        name: "suction-order",
        question: "Suction ordered, below atmospheric pressure",
        kind: FactKind::Amount(Unit::CmH2O, Number::whole(1), Number::whole(60)),
    },
    DrainFact {
        name: "suction-control",
        question: "How does the drainage unit set its suction?",
        kind: FactKind::Choice(&["wet", "dry"]),
    },
    DrainFact {
        name: "lung-removed",
        question: "Was the lung on this side removed?",
        kind: FactKind::Choice(&["no", "yes"]),
    },
    DrainFact {
        name: "size",
        question: "Size of the tube",
        kind: FactKind::Amount(Unit::Fr, Number::whole(5), Number::whole(40)),
    },
];

/// The entry of that name.
#[must_use]
pub fn drain_fact(name: &str) -> Option<&'static DrainFact> {
    DRAIN_FACTS.iter().find(|fact| fact.name == name)
}

/// What is known of one drain. A name that is absent is not known.
pub type DrainFacts = BTreeMap<FactName, Value>;
