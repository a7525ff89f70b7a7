//! Every step can reach an `end`, and there is at least one.

use crate::checklist::problem::Kind;
use crate::checklist::raw::Findings;

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    if one.list.steps.is_empty() {
        return;
    }
    if !one.flow.ends.contains(&true) && !one.flow.holes.contains(&true) {
        out.add(one.list.at, Kind::NoEnd);
        return;
    }
    let can_end = one.flow.can_end();
    for group in one.flow.circles(|_| true) {
        let Some(&first) = group.first() else {
            continue;
        };
        let lost = |step: &usize| can_end.get(*step) == Some(&false);
        if !lost(&first) || leaves(one, &group) {
            continue;
        }
        let chain = one.flow.round(&group, |_| true);
        if let Some(step) = one.list.steps.get(first) {
            out.add(
                step.name.at,
                Kind::DeadEnd {
                    chain: one.names(&chain),
                },
            );
        }
    }
}

/// Whether a way leads out of the group: then the circle that it leads to is told instead.
fn leaves(one: &One<'_>, group: &[usize]) -> bool {
    group.iter().any(|step| {
        let from = petgraph::graph::NodeIndex::new(*step);
        one.flow
            .graph
            .neighbors(from)
            .any(|to| group.binary_search(&to.index()).is_err())
    })
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::{spoiled, with_steps};

    #[test]
    fn a_circle_without_an_end_is_told_as_a_dead_end() {
        let found = spoiled("could_not_check: call", "could_not_check: spin");
        assert_eq!(found, ["unknown-step 23:22"]);
        let extra = "  spin:\n    do: Turn round.\n    tags: [house]\n    then: spin-2\n    if_not_done: spin-2\n  \
                     spin-2:\n    do: Turn back.\n    tags: [house]\n    then: {go: spin, at_most: 3, after_that: spin-2}\n    \
                     if_not_done: spin\n";
        assert_eq!(
            with_steps(extra),
            [
                "unreachable-step 36:3",
                "dead-end 36:3",
                "unreachable-step 41:3"
            ]
        );
    }

    #[test]
    fn a_list_without_an_end_is_told() {
        let list = crate::checklist::check::rig::GOOD.replace(
            "    end: The doctor takes over.\n    outcome: escalated\n",
            "    do: Wait here.\n    tags: [house]\n    then: {go: called, at_most: 2, after_that: called}\n    if_not_done: fine\n",
        );
        let list = list.replace(
            "    end: The level moves again.\n    outcome: resolved\n",
            "    do: Wait here.\n    tags: [house]\n    then: called\n    if_not_done: called\n",
        );
        let found = crate::checklist::check::rig::problems(&list);
        assert!(found.contains(&"no-end 1:1".to_owned()), "{found:?}");
    }
}
