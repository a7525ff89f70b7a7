//! Doubting the checker: each step that fulfils a safeguard is left out in turn, and the checker
//! must find the safeguard broken at least once.

use crate::checklist::model::{Library, ListId, StepId};

use super::Prover;
use super::graph::Budget;
use super::point::{Marks, list_at};
use super::rule::{Safeguard, Verdict};

/// What came of doubting one safeguard on one list.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Doubt {
    /// The safeguard.
    pub name: String,
    /// Each step that was left out, with whether the checker found the safeguard broken then.
    pub left_out: Vec<(String, String, bool)>,
}

impl Doubt {
    /// How many were found, of how many.
    #[must_use]
    pub fn score(&self) -> (usize, usize) {
        let found = self.left_out.iter().filter(|(_, _, found)| *found).count();
        (found, self.left_out.len())
    }
}

/// Leaves out every step that fulfils the safeguard, one after the other.
#[must_use]
pub fn doubt(
    library: &Library,
    list: ListId,
    safeguard: &Safeguard,
    base: &Library,
    budget: &mut Budget<'_>,
) -> Doubt {
    let mut prover = Prover::new(library, list, &[safeguard], base);
    let mut steps = Vec::new();
    for (points, bits) in safeguard.rule.fulfilling() {
        let found = Marks::new(&prover.open.model, &points, None).steps_with(bits);
        steps.extend(found.into_iter().map(|(of, step)| (of, step, bits)));
    }
    steps.sort_unstable();
    steps.dedup();
    let mut left_out = Vec::new();
    for (of, step, bits) in steps {
        let verdict = prover.check(&safeguard.rule, Some((of, step, bits)), budget);
        let of = list_at(library, of);
        let found = matches!(verdict, Verdict::Broken { .. });
        left_out.push((
            of.name.to_string(),
            of.step(StepId(step as usize)).name.to_string(),
            found,
        ));
    }
    Doubt {
        name: safeguard.name.clone(),
        left_out,
    }
}
