//! Every way leads to a step that is there.

use crate::checklist::problem::Kind;
use crate::checklist::raw::Findings;

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for (target, nearest) in &one.flow.unknown {
        // A step whose name could not be read may be the one that is meant.
        if nearest.is_none() && !one.list.whole {
            continue;
        }
        let kind = Kind::UnknownStep {
            name: target.is.to_string(),
            nearest: nearest.clone(),
        };
        out.add(target.at, kind);
    }
    if let Some(begin) = &one.list.begin
        && one.list.find(begin.is.as_str()).is_none()
        && one.list.whole
    {
        let steps = one.list.steps.iter().map(|step| step.name.is.as_str());
        let nearest = crate::checklist::nearest::nearest(begin.is.as_str(), steps);
        out.add(
            begin.at,
            Kind::UnknownStep {
                name: begin.is.to_string(),
                nearest,
            },
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::spoiled;

    #[test]
    fn a_misspelt_target_is_told_once() {
        assert_eq!(spoiled("then: look", "then: lok"), ["unknown-step 15:11"]);
    }

    #[test]
    fn a_target_like_nothing_is_told_without_follow_ups() {
        assert_eq!(
            spoiled("if_not_done: call", "if_not_done: somewhere-else"),
            ["unknown-step 16:18"]
        );
    }

    #[test]
    fn a_first_step_that_is_not_there_is_told() {
        assert_eq!(
            spoiled("begin: tubing", "begin: nowhere"),
            ["unknown-step 10:8"]
        );
    }
}
