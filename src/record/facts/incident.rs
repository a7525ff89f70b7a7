//! The facts of an incident record.

use super::super::tags;
use super::input::{Header, WalkStory};
use super::shape::{IncidentFacts, Interval};
use super::timeline::{Line, Timeline, key};
use super::{Kind, calls, clock, duties, entries, findings, head};
use crate::moment::Moment;
use crate::walk::input::Answer;

impl IncidentFacts {
    /// Gathers the facts of the walks in which something was seen to be wrong and acted on.
    #[must_use]
    pub fn new(walks: &[WalkStory], header: &Header) -> Self {
        let timeline = Timeline::new(walks, header.late_after);
        let corrections = timeline.corrections();
        let calls = calls::calls(&timeline);
        let duties = duties::duties(&timeline);
        let first = findings::first_seen(&timeline);
        let calling = timeline.calling_events();
        let acted = |line: &Line<'_>| {
            matches!(line.answer(), Some((_, Answer::Done))) && !calling.contains(&key(line))
        };
        let first_call = calls
            .iter()
            .filter(|call| !call.facts.struck)
            .map(|call| call.made)
            .min();
        let first_action = timeline
            .lines
            .iter()
            .filter(|line| acted(line))
            .map(|line| line.told.seen)
            .min();
        let from = first.map(|line| line.told.seen);
        let mut intervals = vec![
            interval(
                &timeline,
                "First seen, until the first call for help",
                from,
                first_call,
            ),
            interval(
                &timeline,
                "First seen, until the first action",
                from,
                first_action,
            ),
        ];
        intervals.extend(calls::intervals(&timeline, &calls));
        intervals.extend(duties::intervals(&timeline, &duties));
        let calls: Vec<_> = calls.into_iter().map(|call| call.facts).collect();
        let duties: Vec<_> = duties.into_iter().map(|duty| duty.facts).collect();
        Self {
            head: head::head(Kind::Incident, walks, header, &timeline),
            walks: head::walks(walks, &timeline),
            first_seen: first.map(|line| findings::finding(&timeline, line, 0)),
            patient: findings::states(&timeline, tags::PATIENT_STATE),
            drain: findings::states(&timeline, tags::DRAIN_STATE),
            actions: findings::pick(&timeline, acted),
            told: findings::tagged(&timeline, tags::TOLD),
            intervals,
            undone: findings::undone(&timeline),
            still_open: super::still_open(&calls, &duties),
            calls,
            duties,
            days: entries::days(&timeline, &corrections),
            late: entries::late(&timeline, &corrections),
            corrections: entries::taken_back(&timeline, &corrections),
        }
    }
}

fn interval(
    timeline: &Timeline<'_>,
    what: &str,
    from: Option<Moment>,
    to: Option<Moment>,
) -> Interval {
    let short = |moment| timeline.clock.short(moment);
    Interval {
        what: what.to_owned(),
        from: from.map_or_else(|| "not recorded".to_owned(), short),
        to: to.map(short),
        length: match (from, to) {
            (Some(from), Some(to)) => clock::length_words(from, to),
            (None, _) => "begin not recorded".to_owned(),
            (_, None) => "end not recorded".to_owned(),
        },
    }
}
