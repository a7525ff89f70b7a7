//! Doubting the checker: what fulfils a safeguard is left out, each step by itself and all of them
//! at once, and the checker must find the safeguard broken.

use crate::checklist::model::{Library, ListId, StepId};

use super::Prover;
use super::graph::Budget;
use super::point::{LeftOut, Marks};
use super::rule::{Rule, Safeguard, Verdict};

/// What came of doubting one safeguard on one list.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Doubt {
    /// The safeguard.
    pub name: String,
    /// The list.
    pub list: String,
    /// Each step of this list that was left out by itself, with whether the checker found the
    /// safeguard broken then. It need not, where another step does the same. The steps of used
    /// lists are left out one by one when those lists are doubted.
    pub left_out: Vec<(String, bool)>,
    /// Whether the checker found it broken with all of them left out. `None` where nothing can be
    /// said: the list does not keep the safeguard by a step of its own, or the safeguard forbids
    /// and its `until` only allows.
    pub all_left_out: Option<bool>,
}

impl Doubt {
    /// How many were found, of how many.
    #[must_use]
    pub fn score(&self) -> (usize, usize) {
        let found = self.left_out.iter().filter(|(_, found)| *found).count();
        (found, self.left_out.len())
    }
}

/// Leaves out every step that fulfils the safeguard: those of the list one after the other, and all
/// at once with those of the lists that it uses. A list in which the safeguard has nothing to keep is not doubted.
#[must_use]
pub fn doubt(
    library: &Library,
    list: ListId,
    safeguard: &Safeguard,
    base: &Library,
    budget: &mut Budget<'_>,
) -> Doubt {
    let mut prover = Prover::new(library, list, &[safeguard], base);
    let mut doubt = Doubt {
        name: safeguard.name.clone(),
        list: library.list(list).name.to_string(),
        left_out: Vec::new(),
        all_left_out: None,
    };
    let in_earnest = prover.check(&safeguard.rule, &[], budget);
    if !matches!(in_earnest, Verdict::Kept { .. }) {
        return doubt;
    }
    let steps = fulfilling(&prover, safeguard);
    let mut is_broken = |without: &[LeftOut]| {
        let verdict = prover.check(&safeguard.rule, without, budget);
        matches!(verdict, Verdict::Broken { .. })
    };
    for one in steps.iter().filter(|one| one.list == list.0) {
        let step = library.list(list).step(StepId(one.step as usize));
        let found = is_broken(std::slice::from_ref(one));
        doubt.left_out.push((step.name.to_string(), found));
    }
    if !steps.is_empty() && !matches!(safeguard.rule, Rule::NeverAfter(_)) {
        doubt.all_left_out = Some(is_broken(&steps));
    }
    doubt
}

/// Every step that fulfils the safeguard.
fn fulfilling(prover: &Prover<'_>, safeguard: &Safeguard) -> Vec<LeftOut> {
    let mut steps = Vec::new();
    for (points, bits) in safeguard.rule.fulfilling() {
        let found = Marks::new(&prover.open.model, &points, &[]).steps_with(bits);
        steps.extend(
            found
                .into_iter()
                .map(|(list, step)| LeftOut { list, step, bits }),
        );
    }
    steps.sort_unstable();
    steps.dedup();
    steps
}
