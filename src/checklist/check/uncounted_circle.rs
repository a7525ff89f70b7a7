//! Every circle of steps crosses a counted way, so that no walk goes round for ever.

use crate::checklist::problem::Kind;
use crate::checklist::raw::Findings;

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    let can_end = one.flow.can_end();
    let has_end = one.flow.ends.contains(&true);
    for group in one.flow.circles(|counted| !counted) {
        let Some(&first) = group.first() else {
            continue;
        };
        // A circle from which no end can be reached is told as a dead end.
        if has_end && can_end.get(first) == Some(&false) {
            continue;
        }
        let chain = one.flow.round(&group, |counted| !counted);
        if let Some(step) = one.list.steps.get(first) {
            out.add(
                step.name.at,
                Kind::UncountedCircle {
                    chain: one.names(&chain),
                },
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::spoiled;

    #[test]
    fn a_circle_that_nothing_counts_is_told_once() {
        let counted = "{go: tubing, at_most: 3, after_that: call}";
        assert_eq!(spoiled(counted, "tubing"), ["uncounted-circle 12:3"]);
    }

    #[test]
    fn the_way_after_the_count_counts_as_uncounted() {
        let found = spoiled(
            "at_most: 3, after_that: call",
            "at_most: 3, after_that: tubing",
        );
        assert_eq!(found, ["uncounted-circle 12:3"]);
    }
}
