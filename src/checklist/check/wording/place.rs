//! A check says where: the thing is looked at or touched while it is checked.
//!
//! Degani and Wiener, Human Factors 1993;35(2):28, guideline 2 (passage read in part).

use crate::checklist::prose::Prose;
use crate::checklist::raw::{Findings, RawKind, RawList, RawStep};

use super::told;

pub(super) fn check(_: &RawList, step: &RawStep, out: &mut Findings) {
    if matches!(step.kind, RawKind::Check { .. }) && step.place.is_none() {
        told(step.name.at, Prose::NoPlace, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::spoiled;

    #[test]
    fn a_check_without_a_place_is_pointed_out() {
        assert_eq!(spoiled("    where: \"Water seal\"\n", ""), ["no-place"]);
    }
}
