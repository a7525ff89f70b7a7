//! The rules that checklists keep. One file a rule, each with its own tests.

mod answers;
mod bands;
mod dead_end;
mod duties;
mod endings;
mod looks;
mod name_is_file;
mod names_taken;
mod numbers;
mod periods;
mod placeholders;
mod rows;
mod sources;
mod start_keys;
mod tests_match;
mod uncounted_circle;
mod unknown_step;
mod unreachable;
mod urgent;
mod use_circle;
pub(super) mod wording;

use std::collections::HashMap;

use super::facts::{Facts, Scope};
use super::flow::Flow;
use super::problem::Kind;
use super::raw::{Findings, RawDuties, RawList, Spot};

/// Everything that was read.
pub(super) struct All<'a> {
    pub(super) lists: &'a [RawList],
    pub(super) by_name: HashMap<&'a str, usize>,
    pub(super) facts: &'a Facts,
    pub(super) duties: &'a RawDuties,
}

impl<'a> All<'a> {
    pub(super) fn new(lists: &'a [RawList], facts: &'a Facts, duties: &'a RawDuties) -> Self {
        let by_name = lists
            .iter()
            .enumerate()
            .filter_map(|(index, list)| list.stem.as_ref().map(|stem| (stem.as_str(), index)))
            .collect();
        Self {
            lists,
            by_name,
            facts,
            duties,
        }
    }
}

/// One list under examination.
struct One<'a> {
    all: &'a All<'a>,
    list: &'a RawList,
    flow: Flow,
    scope: Scope<'a>,
}

impl One<'_> {
    /// The names of steps, for a chain.
    fn names(&self, steps: &[usize]) -> Vec<String> {
        steps
            .iter()
            .filter_map(|step| self.list.steps.get(*step))
            .map(|step| step.name.is.to_string())
            .collect()
    }

    /// Tells that a name is not known, with the nearest that is.
    fn unknown_fact(&self, name: &str, at: Spot, out: &mut Findings) {
        let nearest = if out.still_told(at.file) {
            self.scope.nearest(name)
        } else {
            None
        };
        out.add(
            at,
            Kind::UnknownFact {
                name: name.to_owned(),
                nearest,
            },
        );
    }
}

/// Looks for everything that is wrong with what was read.
pub(super) fn check(all: &All<'_>, out: &mut Findings) {
    for list in all.lists {
        let one = One {
            all,
            list,
            flow: Flow::of(list),
            scope: Scope::of(list, all.facts),
        };
        for rule in RULES {
            rule(&one, out);
        }
    }
    periods::beside(all, out);
    use_circle::check(all, out);
    start_keys::check(all, out);
}

type Rule = fn(&One<'_>, &mut Findings);

/// The rules that look at one list.
const RULES: &[Rule] = &[
    name_is_file::check,
    unknown_step::check,
    unreachable::check,
    dead_end::check,
    uncounted_circle::check,
    answers::check,
    bands::check,
    looks::check,
    names_taken::check,
    placeholders::check,
    periods::check,
    tests_match::check,
    rows::check,
    endings::check,
    sources::check,
    duties::check,
    urgent::check,
];

/// What the rules' own tests need: a good list to spoil, and the codes that come out.
#[cfg(test)]
mod rig;
