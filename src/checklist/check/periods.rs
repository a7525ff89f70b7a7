//! How long a `wait` lasts, an answer stays good or a duty may stay open, and when to look again, is
//! always known: a time, a limit that is one, or for a `wait` a local fact with a time for when it is
//! not set.

use crate::checklist::facts::{FactShape, KnownFact, MOST_HOURS, whole_hours};
use crate::checklist::model::{Origin, Piece};
use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{At, Findings, RawKind, RawPeriod};

use crate::checklist::text;
use crate::names::FactName;

use super::{All, One};

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for step in &one.list.steps {
        match &step.kind {
            RawKind::Wait {
                period: Some(period),
                while_unset,
                late_after,
                ..
            } => {
                named(one, period, while_unset.as_ref(), out);
                for other in while_unset.iter().chain(late_after) {
                    named(one, other, None, out);
                }
            }
            RawKind::End {
                recheck: Some(period),
                ..
            } => named(one, period, None, out),
            _ => {}
        }
        if let Some(period) = &step.good_for {
            named(one, period, None, out);
        }
    }
}

/// The times that stand beside the lists: how long a duty may stay open, over what time an output is
/// held against a limit. Each is a time, or a limit that is one; of a duty also a local fact, with a
/// time for when it is not set.
pub(super) fn beside(all: &All<'_>, out: &mut Findings) {
    for duty in all.duties.values() {
        match (&duty.within, &duty.while_unset) {
            (Some(within), Some(unset)) => {
                local(all, within, unset, out);
                limit(all, unset, out);
            }
            (Some(within), None) => limit(all, within, out),
            (None, Some(unset)) => {
                let (key, other) = ("while_unset", "within");
                out.add(unset.at, Kind::NeedsBeside { key, other });
            }
            (None, None) => {}
        }
    }
    let limits = all.facts.known.values();
    for period in limits.filter_map(|limit| limit.window.as_ref()) {
        limit(all, period, out);
    }
    for fact in all.facts.known.values() {
        meaning(all, fact, out);
    }
    let limits = all.facts.known.values();
    for hours in limits.filter_map(|limit| limit.hours.as_ref()) {
        limit(all, hours, out);
        if let Some(span) = all.facts.span(&hours.is)
            && whole_hours(span).is_none()
        {
            let found = span.to_string();
            let most = MOST_HOURS;
            out.add(hours.at, Kind::NotACount { found, most });
        }
    }
}

/// What a limit means is filled from its own window and hours, and from other limits.
fn meaning(all: &All<'_>, fact: &KnownFact, out: &mut Findings) {
    let pieces = match text::parse(&fact.meaning.is) {
        Ok(text) => text.0,
        Err(kind) => return out.add(fact.meaning.at, kind),
    };
    for piece in pieces {
        let Piece::Fill(name) = piece else { continue };
        let own = match name.as_str() {
            "window" => fact.window.is_some(),
            "hours" => fact.hours.is_some(),
            _ => false,
        };
        let known = all.facts.get(name.as_str());
        if !own && known.is_none_or(|fact| fact.origin != Origin::Limit) {
            out.add(fact.meaning.at, not_a_limit(all, name.as_str()));
        }
    }
}

/// A time that is named is a limit.
fn limit(all: &All<'_>, period: &At<RawPeriod>, out: &mut Findings) {
    let RawPeriod::Fact(name) = &period.is else {
        return;
    };
    match all.facts.get(name.as_str()) {
        Some(fact) if fact.origin == Origin::Limit => {
            if !matches!(fact.shape, FactShape::Span { .. }) {
                let name = name.to_string();
                out.add(period.at, Kind::NotASpanFact { name });
            }
        }
        _ => out.add(period.at, not_a_limit(all, name.as_str())),
    }
}

/// A time that has another for when it is not set is a named one.
fn local(all: &All<'_>, period: &At<RawPeriod>, unset: &At<RawPeriod>, out: &mut Findings) {
    let RawPeriod::Fact(name) = &period.is else {
        let only = "a duty for a named time";
        let key = "while_unset";
        return out.add(unset.at, Kind::KeyNotHere { key, only });
    };
    let known = all.facts.known.keys().map(FactName::as_str);
    let name = name.to_string();
    match all.facts.get(&name) {
        Some(fact) if matches!(fact.shape, FactShape::Span { .. }) => {}
        Some(_) => out.add(period.at, Kind::NotASpanFact { name }),
        None => {
            let nearest = nearest(&name, known);
            out.add(period.at, Kind::UnknownFact { name, nearest });
        }
    }
}

/// That a name is not a limit's, with the nearest that is.
pub(super) fn not_a_limit(all: &All<'_>, name: &str) -> Kind {
    let limits = all.facts.known.iter();
    let limits = limits.filter(|(_, fact)| fact.origin == Origin::Limit);
    Kind::NotALimit {
        name: name.to_owned(),
        nearest: nearest(name, limits.map(|(name, _)| name.as_str())),
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
    use crate::checklist::check::rig::{URGENT, problems, spoiled, with_wait};

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
        let late = |after| with_wait(&format!("for: 5 min\n    late_after: {after}"));
        assert_eq!(late("two-hours"), [""; 0]);
        assert_eq!(late("two-hour"), ["unknown-fact 40:17"]);
        assert_eq!(late("seal-low"), ["not-a-span-fact 40:17"]);
        assert_eq!(late("pause"), ["period-may-be-unset 40:17"]);
    }

    #[test]
    fn how_long_an_answer_is_good_is_a_time_or_a_limit() {
        let good_for = |time: &str| {
            let keys = format!("source: book\n    remember: straight\n    good_for: {time}");
            spoiled("source: book", &keys)
        };
        assert_eq!(good_for("5 min"), [""; 0]);
        assert_eq!(good_for("two-hours"), [""; 0]);
        assert_eq!(good_for("two-hour"), ["unknown-fact 16:15"]);
        assert_eq!(good_for("seal-low"), ["not-a-span-fact 16:15"]);
        assert_eq!(good_for("pause"), ["period-may-be-unset 16:15"]);
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
