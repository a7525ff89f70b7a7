//! A remembered name is new: no fact has it, and no other step of the list.

use crate::checklist::drain_fact::drain_fact;
use crate::checklist::model::Origin;
use crate::checklist::problem::Kind;
use crate::checklist::raw::Findings;

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for (index, step) in one.list.steps.iter().enumerate() {
        let Some(name) = &step.remember else { continue };
        let by = match one.all.facts.get(name.is.as_str()).map(|fact| fact.origin) {
            Some(Origin::Limit) => Some("a limit"),
            Some(Origin::Local) => Some("a local fact"),
            None => drain_fact(name.is.as_str()).map(|_| "a drain fact"),
        };
        if let Some(by) = by {
            out.add(
                name.at,
                Kind::NameTaken {
                    name: name.is.to_string(),
                    by,
                },
            );
        }
        let first = one.scope.remembered.get(&name.is).copied().unwrap_or(index);
        if first != index {
            let first = one.names(&[first]).concat();
            out.add(
                name.at,
                Kind::RememberedTwice {
                    name: name.is.to_string(),
                    first,
                },
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::spoiled;

    #[test]
    fn a_name_that_is_taken_is_told() {
        for name in ["weight", "seal-low", "spill"] {
            let found = spoiled("then: look", &format!("remember: {name}\n    then: look"));
            assert_eq!(found, ["name-taken 15:15"], "{name}");
        }
    }

    #[test]
    fn a_name_remembered_twice_is_told() {
        let list = crate::checklist::check::rig::GOOD
            .replace("then: look", "remember: moved\n    then: look")
            .replace(
                "as_expected: fine",
                "remember: moved\n    as_expected: fine",
            );
        let found = crate::checklist::check::rig::problems(&list);
        assert_eq!(found, ["remembered-twice 22:15", "wrong"][..1]);
    }
}
