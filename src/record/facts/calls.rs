//! Calls for help: who was called, answered, came and ordered, and when.

use super::clock;
use super::shape::{CallFacts, Interval};
use super::timeline::{Line, Timeline};
use super::words::{level, quoted};
use crate::moment::Moment;
use crate::walk::story::Telling;

/// A call with the moments that intervals are reckoned from.
#[derive(Debug)]
pub(super) struct Call {
    /// The call in words.
    pub(super) facts: CallFacts,
    /// When it was made.
    pub(super) made: Moment,
    /// When somebody answered.
    pub(super) answered: Option<Moment>,
    arrived: Option<Moment>,
    walk: usize,
    call: usize,
}

/// Every call, in the order made.
pub(super) fn calls(timeline: &Timeline<'_>) -> Vec<Call> {
    let several = timeline.lines.iter().any(|line| line.walk > 0);
    let mut calls: Vec<Call> = Vec::new();
    for line in &timeline.lines {
        if let Some(call) = made(timeline, line, several) {
            pass_on(timeline, line, &call, &mut calls);
            calls.push(call);
        } else if !line.told.taken_back {
            news(timeline, line, &mut calls);
        }
    }
    calls
}

fn made(timeline: &Timeline<'_>, line: &Line<'_>, several: bool) -> Option<Call> {
    let Telling::CallMade {
        call,
        level: urgency,
        who,
        how,
    } = &line.told.what
    else {
        return None;
    };
    let struck = line.told.taken_back;
    let facts = CallFacts {
        number: if several {
            format!("{}.{call}", line.walk + 1)
        } else {
            call.to_string()
        },
        level: level(*urgency).to_owned(),
        who: who.clone(),
        how: (!how.is_empty()).then(|| how.clone()),
        made: timeline.seen(line),
        by: line.by.to_owned(),
        answered: None,
        answered_after: None,
        arrived: None,
        arrived_after: None,
        orders: Vec::new(),
        open: !struck,
        struck,
    };
    Some(Call {
        facts,
        made: line.told.seen,
        answered: None,
        arrived: None,
        walk: line.walk,
        call: *call,
    })
}

/// Closes the call before under the same number: nobody answered and the next was called.
fn pass_on(timeline: &Timeline<'_>, line: &Line<'_>, next: &Call, calls: &mut [Call]) {
    let before = calls
        .iter_mut()
        .rfind(|call| (call.walk, call.call) == (next.walk, next.call) && call.facts.open);
    if let Some(before) = before {
        before.facts.open = false;
        before.facts.answered = Some(format!("nobody; next called {}", timeline.seen(line)));
    }
}

/// Adds what happened to a call to the last one made under its number.
fn news(timeline: &Timeline<'_>, line: &Line<'_>, calls: &mut [Call]) {
    let (Telling::CallAnswered { call: number, .. }
    | Telling::CallArrived { call: number, .. }
    | Telling::CallOrdered { call: number, .. }) = &line.told.what
    else {
        return;
    };
    let call = calls
        .iter_mut()
        .rfind(|call| call.walk == line.walk && call.call == *number && !call.facts.struck);
    let Some(call) = call else { return };
    let (at, seen) = (timeline.seen(line), line.told.seen);
    let after = Some(clock::length_words(call.made, seen));
    match &line.told.what {
        Telling::CallAnswered { who, .. } => {
            call.answered = Some(seen);
            call.facts.answered = Some(format!("{who}, {at}"));
            call.facts.answered_after = after;
            call.facts.open = false;
        }
        Telling::CallArrived { who, .. } => {
            call.arrived = Some(seen);
            call.facts.arrived = Some(format!("{who}, {at}"));
            call.facts.arrived_after = after;
            call.facts.open = false;
        }
        Telling::CallOrdered { order, .. } => {
            call.facts.orders.push(format!("{at}: {}", quoted(order)));
            call.facts.open = false;
        }
        _ => {}
    }
}

/// When the first call that stands was made, from a moment on.
pub(super) fn first(calls: &[Call], from: Option<Moment>) -> Option<Moment> {
    let standing = calls.iter().filter(|call| !call.facts.struck);
    let made = standing.map(|call| call.made);
    made.filter(|made| from.is_none_or(|from| *made >= from))
        .min()
}

/// From each call to its answer and to somebody's coming.
pub(super) fn intervals(timeline: &Timeline<'_>, calls: &[Call]) -> Vec<Interval> {
    let mut intervals = Vec::new();
    for call in calls.iter().filter(|call| !call.facts.struck) {
        let nobody = call.answered.is_none() && call.arrived.is_none();
        let missing = if nobody && call.facts.answered.is_some() {
            "nobody; the next was called"
        } else {
            "end not recorded"
        };
        for (end, words) in [(call.answered, "answered"), (call.arrived, "somebody came")] {
            intervals.push(Interval {
                what: format!(
                    "Call {} to {} made, until {words}",
                    call.facts.number, call.facts.who
                ),
                from: call.facts.made.clone(),
                to: end.map(|end| timeline.clock.short(end)),
                length: end.map_or_else(
                    || missing.to_owned(),
                    |end| clock::length_words(call.made, end),
                ),
            });
        }
    }
    intervals
}
