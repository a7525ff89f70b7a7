//! How long a `wait` lasts is always known: a time, or a fact with a time for when it is not set.

use crate::checklist::facts::FactShape;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawKind, RawPeriod};

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for step in &one.list.steps {
        let RawKind::Wait {
            period: Some(period),
            while_unset,
            ..
        } = &step.kind
        else {
            continue;
        };
        let RawPeriod::Fact(name) = &period.is else {
            if let Some(unset) = while_unset {
                let kind = Kind::KeyNotHere {
                    key: "while_unset",
                    only: "a wait for a named time",
                };
                out.add(unset.at, kind);
            }
            continue;
        };
        match one.all.facts.get(name.as_str()) {
            None if one.scope.knows(name) => {
                out.add(
                    period.at,
                    Kind::NotASpanFact {
                        name: name.to_string(),
                    },
                );
            }
            None => one.unknown_fact(name.as_str(), period.at, out),
            Some(fact) if !matches!(fact.shape, FactShape::Span { .. }) => {
                out.add(
                    period.at,
                    Kind::NotASpanFact {
                        name: name.to_string(),
                    },
                );
            }
            Some(fact)
                if fact.origin == crate::checklist::model::Origin::Local
                    && while_unset.is_none() =>
            {
                out.add(
                    period.at,
                    Kind::PeriodMayBeUnset {
                        name: name.to_string(),
                    },
                );
            }
            Some(_) => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::with_wait;

    #[test]
    fn a_time_is_always_known() {
        assert_eq!(with_wait("for: 5 min"), [""; 0]);
        assert_eq!(with_wait("for: pause\n    while_unset: 60 min"), [""; 0]);
        assert_eq!(with_wait("for: two-hours"), [""; 0]);
        assert_eq!(with_wait("for: pause"), ["period-may-be-unset 39:10"]);
        assert_eq!(with_wait("for: seal-low"), ["not-a-span-fact 39:10"]);
        assert_eq!(with_wait("for: size"), ["not-a-span-fact 39:10"]);
        assert_eq!(
            with_wait("for: paus\n    while_unset: 60 min"),
            ["unknown-fact 39:10"]
        );
        assert_eq!(
            with_wait("for: 5 min\n    while_unset: 60 min"),
            ["key-not-here 40:18"]
        );
        assert_eq!(with_wait("for: 0 min"), ["not-an-amount 39:10"]);
    }
}
