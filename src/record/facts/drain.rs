//! What is known of the drain, in words.

use std::collections::BTreeSet;

use super::shape::Pair;
use super::words;
use crate::checklist::drain_fact::{DRAIN_FACTS, DrainFacts};
use crate::names::FactName;

/// How a drain fact is headed in a record.
fn label(name: &str) -> String {
    match name {
        "weight" => "Weight".to_owned(),
        "population" => "Adult or child".to_owned(),
        "reason" => "Drain is for".to_owned(),
        "suction" => "Suction".to_owned(),
        "suction-order" => "Suction ordered, below atmospheric pressure".to_owned(),
        "suction-control" => "How suction is set".to_owned(),
        "lung-removed" => "Lung on this side removed".to_owned(),
        "size" => "Size of the tube".to_owned(),
        other => {
            let spaced = words::spaced(other);
            let mut letters = spaced.chars();
            letters.next().map_or_else(String::new, |first| {
                first.to_uppercase().chain(letters).collect()
            })
        }
    }
}

/// A word of the vocabulary as a person would read it.
fn in_words(name: &str, value: &str) -> String {
    match (name, value) {
        ("breathing", "own") => "on their own",
        ("breathing", "mask-pressure") => "with pressure by mask",
        ("breathing", "ventilator") => "on a ventilator",
        ("reason", "air-and-fluid") => "air and fluid",
        ("suction", "none") => "none ordered",
        ("suction-control", "wet") => "by a water column (wet)",
        ("suction-control", "dry") => "by a dial (dry)",
        _ => value,
    }
    .to_owned()
}

/// One fact, or that it is not recorded.
pub(super) fn fact(facts: &DrainFacts, name: &str) -> String {
    facts
        .get(name)
        .map_or_else(|| "not recorded".to_owned(), ToString::to_string)
}

/// Facts that a record shows at its head, whether known or not.
const AT_THE_HEAD: &[&str] = &["place", "side"];

/// What else is known, in the order of the vocabulary; names outside it follow.
pub(super) fn known(facts: &DrainFacts) -> Vec<Pair> {
    let mut names: Vec<&str> = DRAIN_FACTS.iter().map(|fact| fact.name).collect();
    names.extend(facts.keys().map(FactName::as_str));
    let mut met = BTreeSet::new();
    names
        .into_iter()
        .filter(|name| !AT_THE_HEAD.contains(name) && met.insert(*name))
        .filter_map(|name| facts.get(name).map(|value| (name, value)))
        .map(|(name, value)| Pair {
            what: label(name),
            value: in_words(name, &value.to_string()),
        })
        .collect()
}

/// What is not known and would be expected to be, in words; empty when nothing is missing.
pub(super) fn unknown(facts: &DrainFacts) -> String {
    let is = |name: &str, word: &str| {
        facts
            .get(name)
            .is_some_and(|value| value.to_string() == word)
    };
    let needless = |name: &str| match name {
        "weight" => is("population", "adult"),
        "suction-order" | "suction-control" => is("suction", "none"),
        _ => AT_THE_HEAD.contains(&name),
    };
    DRAIN_FACTS
        .iter()
        .filter(|fact| !facts.contains_key(fact.name) && !needless(fact.name))
        .map(|fact| label(fact.name).to_lowercase())
        .collect::<Vec<_>>()
        .join(", ")
}
