//! Facts that lists rest on: what a unit fills in, and limits with their sources.

use std::collections::BTreeMap;
use std::fmt;

use crate::names::{FactName, words};
use crate::units::{Amount, Span, Unit};

/// The value of a fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// One of a few words, compared in `when`.
    Word(String),
    /// A number with its unit.
    Amount(Amount),
    /// A length of time.
    Span(Span),
    /// Free words, only shown.
    Words(String),
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Word(words) | Self::Words(words) => f.pad(words),
            Self::Amount(amount) => amount.fmt(f),
            Self::Span(span) => span.fmt(f),
        }
    }
}

/// Where a fact comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The unit's `local.yaml`.
    Local,
    /// `limits.yaml`.
    Limit,
}

/// A local fact or a limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// Where it comes from.
    pub origin: Origin,
    /// What it means, in words for a person.
    pub meaning: String,
    /// Its value; `None` while the unit has not filled it in.
    pub value: Option<Value>,
    /// The unit in which it is compared, for an amount. A known value is in this unit.
    pub unit: Option<Unit>,
    /// What only a limit or only a local fact has.
    pub about: FactAbout,
}

impl Fact {
    /// The value as it reads in a text; `None` while it is not filled in.
    #[must_use]
    pub fn shown(&self) -> Option<String> {
        self.value.as_ref().map(|value| self.about.shown(value))
    }
}

impl FactAbout {
    /// How the value reads in a text.
    #[must_use]
    pub fn shown(&self, value: &Value) -> String {
        match self {
            Self::Limit {
                words: Some(words), ..
            } => words.clone(),
            _ => value.to_string(),
        }
    }
}

/// What only a limit or only a local fact has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FactAbout {
    /// Of a limit.
    Limit {
        /// How the value reads in a text, where the number is not how one says it: "two thirds".
        words: Option<String>,
        /// For whom it holds.
        population: Population,
        /// Which way it acts earlier.
        stricter: Stricter,
        /// Where it comes from: publisher, year, title, section.
        source: String,
        /// How well the source was seen.
        evidence: Evidence,
        /// The length of time over which an output is held against it.
        window: Option<Span>,
        /// In how many hours, one after another, it must be met.
        hours: Option<u8>,
    },
    /// Of a local fact.
    Local {
        /// What happens while it is not filled in, in one line.
        while_unset: String,
        /// The words it may be, when it is a choice; otherwise empty.
        choices: Vec<String>,
    },
}

words! {
    /// For whom a limit holds.
    Population {
        /// For everybody.
        All = "all",
        /// For adults.
        Adult = "adult",
        /// For children.
        Child = "child",
    }
}

words! {
    /// Which way a limit may be moved so that somebody acts earlier.
    Stricter {
        /// A higher number acts earlier.
        Higher = "higher",
        /// A lower number acts earlier.
        Lower = "lower",
    }
}

words! {
    /// How well the source of a number was seen.
    Evidence {
        /// The passage was read.
        Seen = "S",
        /// Only a second-hand summary was read.
        SecondHand = "s2",
        /// From memory; the source was not looked up.
        Memory = "M",
        /// Common practice, no source.
        Custom = "C",
        /// Derived here by arithmetic, or set here as a starting value.
        Derived = "D",
    }
}

/// Local facts and limits by name.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FactBook(pub(in crate::checklist) BTreeMap<FactName, Fact>);

impl FactBook {
    /// The fact of that name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Fact> {
        self.0.get(name)
    }

    /// Every fact, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&FactName, &Fact)> {
        self.0.iter()
    }
}
