//! The words of the lists: one word for one thing, what else people say for it, the words with
//! which an instruction begins, and the abbreviations that may stand as they are.

use std::collections::{BTreeMap, BTreeSet};

use super::raw::Spot;

/// One thing with its one word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    /// The word used in every list.
    pub word: String,
    /// What it means, in one line.
    pub means: String,
    /// What the trade says elsewhere. A list uses the one word instead.
    pub elsewhere: Vec<String>,
    /// Whatever else a nurse may type. Many of these are ordinary words and may stand in a list.
    pub also: Vec<String>,
    /// Shorter forms of the word that a list may use too.
    pub short: Vec<String>,
    /// Checklists in which it matters most, the likeliest first: where `find` leads when nothing
    /// else is said.
    pub leads: Vec<String>,
}

impl Term {
    /// Every way to say it: the word, its shorter forms, and what else people say.
    pub fn sayings(&self) -> impl Iterator<Item = &str> {
        [&self.word]
            .into_iter()
            .chain(&self.short)
            .chain(&self.elsewhere)
            .chain(&self.also)
            .map(String::as_str)
    }
}

/// The glossary: the shipped one, and what a unit adds to it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Glossary {
    /// Terms by their names. A unit's term replaces the shipped one of its name.
    pub terms: BTreeMap<String, Term>,
    /// The words with which an instruction may begin, in small letters.
    pub verbs: BTreeSet<String>,
    /// Abbreviations with what they stand for.
    pub abbreviations: BTreeMap<String, String>,
    /// Every list that a term leads to, with its place, to be compared with the lists there are.
    pub(in crate::checklist) leads: Vec<(Spot, String)>,
}

impl Glossary {
    /// Whether there is a glossary at all; without one, no rule about words can be applied.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.verbs.is_empty()
    }
}
