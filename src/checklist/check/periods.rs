//! How long a `wait` lasts, and when to look again, is always known: a time, or a fact with a time
//! for when it is not set.

use crate::checklist::facts::FactShape;
use crate::checklist::model::Origin;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{At, Findings, RawKind, RawPeriod};

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for step in &one.list.steps {
        match &step.kind {
            RawKind::Wait {
                period: Some(period),
                while_unset,
                ..
            } => {
                named(one, period, while_unset.as_ref(), out);
                if let Some(unset) = while_unset {
                    named(one, unset, None, out);
                }
            }
            RawKind::End {
                recheck: Some(period),
                ..
            } => named(one, period, None, out),
            _ => {}
        }
    }
}

fn named(
    one: &One<'_>,
    period: &At<RawPeriod>,
    while_unset: Option<&At<RawPeriod>>,
    out: &mut Findings,
) {
    let RawPeriod::Fact(name) = &period.is else {
        if let Some(unset) = while_unset {
            let kind = Kind::KeyNotHere {
                key: "while_unset",
                only: "a wait for a named time",
            };
            out.add(unset.at, kind);
        }
        return;
    };
    let not_a_span = || Kind::NotASpanFact {
        name: name.to_string(),
    };
    match one.all.facts.get(name.as_str()) {
        None if one.scope.knows(name) => out.add(period.at, not_a_span()),
        None => one.unknown_fact(name.as_str(), period.at, out),
        Some(fact) if !matches!(fact.shape, FactShape::Span { .. }) => {
            out.add(period.at, not_a_span());
        }
        Some(fact) if fact.origin == Origin::Local && while_unset.is_none() => {
            let name = name.to_string();
            out.add(period.at, Kind::PeriodMayBeUnset { name });
        }
        Some(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::{URGENT, problems, with_wait};

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

    #[test]
    fn when_to_look_again_is_a_time_or_a_limit() {
        let with = |recheck: &str| {
            let recheck = format!("outcome: escalated\n    recheck: {recheck}");
            problems(&URGENT.replacen("outcome: escalated", &recheck, 1))
        };
        assert_eq!(with("5 min"), [""; 0]);
        assert_eq!(with("two-hours"), [""; 0]);
        assert_eq!(with("pause").len(), 1);
        assert!(with("pause")[0].starts_with("period-may-be-unset"));
        assert!(with("seal-low")[0].starts_with("not-a-span-fact"));
        assert!(with("two-hour")[0].starts_with("unknown-fact"));
    }
}
