//! Calls for help: an answer is awaited until somebody has answered, come or given an order; the
//! call stays listed until what is ordered was written down.

use crate::checklist::model::{CallLevel, Library, Value};
use crate::moment::Moment;
use crate::units::Span;

use super::Walk;
use super::input::CallNews;
use super::refused::Misfit;
use super::state::Call;
use super::story::Telling;
use super::view::{CallTo, OpenCall};

/// What stands in a record for a role that the unit has not filled in.
const NOT_SET: &str = "[not set here]";

/// Whom to call at that level and place on the ladder.
pub(super) fn call_to(library: &Library, level: CallLevel, rung: usize) -> CallTo {
    let rung = library.ladder(level).get(rung);
    CallTo {
        level,
        who: rung.map(|rung| rung.who.clone()),
        how: rung.map(|rung| rung.how.clone()),
    }
}

/// How long to wait for an answer: the ladder's, or else the limit `answer-wait-…`.
fn answer_wait(library: &Library, level: CallLevel, rung: usize) -> Option<Span> {
    if let Some(rung) = library.ladder(level).get(rung) {
        return Some(rung.wait);
    }
    match library.facts().get(&format!("answer-wait-{level}"))?.value {
        Some(Value::Span(span)) => Some(span),
        _ => None,
    }
}

/// When an answer to the call is overdue; `None` once it was answered.
pub(super) fn answer_due(library: &Library, call: &Call) -> Option<Moment> {
    if call.ordered || call.answered.is_some() {
        return None;
    }
    answer_wait(library, call.level, call.rung).map(|span| call.called + span.to_delta())
}

/// The calls that are still open.
pub(super) fn open_calls(walk: &Walk) -> Vec<OpenCall> {
    let calls = walk
        .calls
        .iter()
        .enumerate()
        .filter(|(_, call)| !call.ordered);
    calls
        .map(|(index, call)| {
            let library = &walk.library;
            let top = library.ladder(call.level).len().saturating_sub(1);
            OpenCall {
                call: index + 1,
                level: call.level,
                who: call_to(library, call.level, call.rung)
                    .who
                    .unwrap_or_else(|| NOT_SET.into()),
                called: call.called,
                answered: call.answered.clone(),
                arrived: call.arrived.clone(),
                next: Some(call_to(library, call.level, (call.rung + 1).min(top))),
                due: answer_due(library, call),
            }
        })
        .collect()
}

/// Tells the story of a call just made.
pub(super) fn tell_made(walk: &mut Walk, number: usize) {
    let Some(call) = walk.calls.get(number - 1) else {
        return;
    };
    let to = call_to(&walk.library, call.level, call.rung);
    let told = Telling::CallMade {
        call: number,
        level: call.level,
        who: to.who.unwrap_or_else(|| NOT_SET.to_owned()),
        how: to.how.unwrap_or_default(),
    };
    walk.tell(told);
}

/// Takes news of a call.
pub(super) fn apply_news(walk: &mut Walk, number: usize, news: &CallNews) -> Result<(), Misfit> {
    let (seen, _) = walk.now;
    let index = number.wrapping_sub(1);
    let Some(call) = walk.calls.get_mut(index) else {
        return Err(walk.misfit(format!("there is no call {number}")));
    };
    let told = match news {
        CallNews::Answered { who } => {
            call.answered = Some((who.clone(), seen));
            Telling::CallAnswered {
                call: number,
                who: who.clone(),
            }
        }
        CallNews::Arrived { who } => {
            call.answered.get_or_insert_with(|| (who.clone(), seen));
            call.arrived = Some((who.clone(), seen));
            Telling::CallArrived {
                call: number,
                who: who.clone(),
            }
        }
        CallNews::Ordered { order } => {
            call.answered.get_or_insert_with(|| (String::new(), seen));
            call.ordered = true;
            Telling::CallOrdered {
                call: number,
                order: order.clone(),
            }
        }
        CallNews::NextCalled => {
            let top = walk.library.ladder(call.level).len().saturating_sub(1);
            call.rung = (call.rung + 1).min(top);
            call.called = seen;
            call.answered = None;
            call.arrived = None;
            tell_made(walk, number);
            return Ok(());
        }
    };
    walk.tell(told);
    Ok(())
}
