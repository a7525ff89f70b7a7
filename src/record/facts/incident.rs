//! The facts of an incident record.

use super::super::tags;
use super::calls::Call;
use super::entries::Entries;
use super::input::{Header, WalkStory};
use super::shape::{IncidentFacts, Interval};
use super::timeline::{Line, Timeline, key};
use super::{Kind, afterwards, calls, clock, duties, findings, head};
use crate::moment::Moment;
use crate::walk::input::Answer;
use crate::walk::story::Telling;

impl IncidentFacts {
    /// Gathers the facts of the walks in which something was seen to be wrong and acted on.
    #[must_use]
    pub fn new(walks: &[WalkStory], header: &Header) -> Self {
        let timeline = Timeline::new(walks, header.late_after);
        let entries = Entries::new(&timeline);
        let calls = calls::calls(&timeline);
        let duties = duties::duties(&timeline);
        let first = findings::first_seen(&timeline);
        let mut intervals = from_first_seen(&timeline, first, &calls);
        intervals.extend(from_urgent(&timeline, first, &calls));
        intervals.extend(calls::intervals(&timeline, &calls));
        intervals.extend(duties::intervals(&timeline, &duties));
        intervals.extend(pauses(&timeline));
        let calls: Vec<_> = calls.into_iter().map(|call| call.facts).collect();
        let duties: Vec<_> = duties.into_iter().map(|duty| duty.facts).collect();
        Self {
            head: head::head(Kind::Incident, walks, header, &timeline),
            walks: head::walks(walks, &timeline),
            first_seen: first.map(|line| findings::finding(&timeline, line, 0)),
            patient: findings::states(&timeline, |line| line.is_tagged(tags::PATIENT_STATE)),
            drain: findings::states(&timeline, |line| {
                line.is_tagged(tags::DRAIN_STATE) && !line.is_tagged(tags::PATIENT_STATE)
            }),
            actions: findings::pick(&timeline, is_done),
            told: findings::pick(&timeline, |line| line.is_tagged(tags::TOLD)),
            intervals,
            undone: findings::undone(&timeline),
            still_open: super::still_open(&calls, &duties),
            calls,
            duties,
            days: entries.days(),
            late: entries.late(),
            corrections: entries.taken_back(),
            afterwards: afterwards::facts(walks, header, &timeline),
        }
    }
}

fn is_done(line: &Line<'_>) -> bool {
    matches!(line.answer(), Some((_, Answer::Done)))
}

/// From what was seen first to the first call and to the first action at or after it. What was
/// done before, in a routine walk, is no answer to it.
fn from_first_seen(
    timeline: &Timeline<'_>,
    first: Option<&Line<'_>>,
    calls: &[Call],
) -> Vec<Interval> {
    let from = first.map(|line| line.told.seen);
    let after = |moment: &Moment| from.is_none_or(|from| *moment >= from);
    let calling = timeline.calling_events();
    let acted = timeline
        .lines
        .iter()
        .filter(|line| is_done(line) && !calling.contains(&key(line)))
        .map(|line| line.told.seen);
    let (call, action) = (calls::first(calls, from), acted.filter(after).min());
    [
        ("First seen, until the first call for help", call),
        (
            "First seen, until the first action other than a call",
            action,
        ),
    ]
    .map(|(what, to)| interval(timeline, what, from, to))
    .into()
}

/// From the beginning of each urgent list to the first call after it. What was seen first may have
/// been something else, long before.
fn from_urgent(timeline: &Timeline<'_>, first: Option<&Line<'_>>, calls: &[Call]) -> Vec<Interval> {
    let begun = findings::urgent_begun(timeline, first);
    let intervals = begun.map(|(_, title, from)| {
        let what = format!("“{title}” begun, until the next call for help");
        interval(timeline, &what, Some(from), calls::first(calls, Some(from)))
    });
    intervals.collect()
}

/// How long nothing was entered, where the walk was paused or broken off and went on.
fn pauses(timeline: &Timeline<'_>) -> Vec<Interval> {
    let went_on = timeline
        .lines
        .iter()
        .filter_map(|line| match &line.told.what {
            Telling::Resumed { gap, was_paused } => {
                let from = line.told.written - chrono::TimeDelta::seconds((*gap).into());
                Some((from, line.told.written, *was_paused))
            }
            _ => None,
        });
    went_on
        .map(|(from, to, was_paused)| {
            let what = match was_paused {
                true => "Paused, until it went on",
                false => "Broken off, until it went on",
            };
            interval(timeline, what, Some(from), Some(to))
        })
        .collect()
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
