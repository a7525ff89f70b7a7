//! The rules about words. Each is in its own file with the published work it comes from, and with
//! good and bad examples. `checklists/LANGUAGE.md` tells them to whoever writes a list, with the
//! reason wherever a rule was changed for the prose of a ward.

mod answers;
mod capitals;
mod caution;
mod command;
mod condition;
mod confirm;
mod ending;
mod expectation;
mod length;
mod looks_back;
mod negative;
mod number;
mod one_action;
mod one_word;
mod place;
mod reason;
mod rows;
mod said;
mod vague;

use std::collections::HashMap;

use crate::checklist::glossary::Glossary;
use crate::checklist::model::ListKind;
use crate::checklist::problem::Kind;
use crate::checklist::prose::Prose;
use crate::checklist::raw::{Findings, RawList, RawStep, Spot};

use super::All;
use said::Said;

/// What the rules look at besides the words.
struct Rules<'a> {
    glossary: &'a Glossary,
    /// What else people say for a word, as small words in a row, with the word to use; found by
    /// the first of them.
    others: HashMap<String, Vec<(Vec<String>, &'a str)>>,
}

impl<'a> Rules<'a> {
    fn new(glossary: &'a Glossary) -> Self {
        Self {
            glossary,
            others: one_word::others(glossary),
        }
    }

    /// Whether a word is a verb with which an instruction may begin.
    fn is_verb(&self, small: &str) -> bool {
        self.glossary.verbs.contains(small)
    }
}

/// Applies every rule about words to every list.
pub(in crate::checklist) fn check(all: &All<'_>, glossary: &Glossary, out: &mut Findings) {
    let rules = Rules::new(glossary);
    for list in all.lists {
        let urgent = list.kind.as_ref().map(|kind| kind.is) == Some(ListKind::Urgent);
        for said in said::all(list) {
            for rule in SAID {
                rule(&rules, &said, out);
            }
            if urgent {
                length::in_urgent(&said, out);
            }
        }
        for step in &list.steps {
            for rule in STEP {
                rule(list, step, out);
            }
        }
    }
}

/// Rules that look at one text.
const SAID: &[fn(&Rules<'_>, &Said<'_>, &mut Findings)] = &[
    command::check,
    one_action::check,
    length::check,
    vague::check,
    condition::check,
    negative::check,
    caution::check,
    looks_back::check,
    capitals::check,
    one_word::check,
    number::check,
    ending::check,
    expectation::check,
];

/// Rules that look at one step.
const STEP: &[fn(&RawList, &RawStep, &mut Findings)] = &[
    answers::check,
    place::check,
    reason::check,
    rows::check,
    confirm::check,
];

/// Notes what is wrong with the words at a place.
fn told(at: Spot, prose: Prose, out: &mut Findings) {
    out.add(at, Kind::Prose(prose));
}

#[cfg(test)]
mod rig;
