//! Every step can be reached from the first.

use crate::checklist::problem::Kind;
use crate::checklist::raw::Findings;

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    // A way that could not be read may lead anywhere: what it leads to is told when it can be read.
    if one.list.first().is_none() || one.flow.leads_anywhere() || !one.list.whole {
        return;
    }
    let begin = one
        .list
        .begin
        .as_ref()
        .map(|begin| begin.is.to_string())
        .unwrap_or_default();
    for (step, reached) in one.list.steps.iter().zip(&one.flow.reached) {
        if !reached {
            let (name, begin) = (step.name.is.to_string(), begin.clone());
            out.add(step.name.at, Kind::Unreachable { name, begin });
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::{spoiled, with_steps};

    #[test]
    fn a_step_that_no_way_leads_to_is_told() {
        let extra = "  island:\n    end: Nobody comes here.\n    outcome: stopped\n";
        assert_eq!(with_steps(extra), ["unreachable-step 36:3"]);
    }

    #[test]
    fn a_step_left_out_by_a_changed_way_is_told() {
        assert_eq!(
            spoiled("as_expected: fine", "as_expected: called"),
            ["unreachable-step 33:3"]
        );
    }
}
