//! A list that confirms what was done from knowledge only confirms: its steps are checks, and
//! what is not as expected leaves it.
//!
//! Degani and Wiener, 1990, NASA CR-177549, section 3.1.4 (second-hand).

use crate::checklist::model::Mode;
use crate::checklist::prose::Prose;
use crate::checklist::raw::{Findings, RawKind, RawList, RawStep};

use super::told;

pub(super) fn check(list: &RawList, step: &RawStep, out: &mut Findings) {
    let branches = matches!(
        step.kind,
        RawKind::Ask { .. } | RawKind::Measure(_) | RawKind::Decide { .. }
    );
    if list.mode == Some(Mode::Confirm) && branches {
        told(step.name.at, Prose::BranchInConfirm, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_list_that_confirms_asks_nothing_else() {
        assert_eq!(with("MODE", "confirm"), ["branch-in-confirm"; 2]);
    }
}
