//! The loop of a walk: show, take a reply, make it durable, move on, acknowledge.

use crate::failure::Failure;
use crate::moment::Moment;
use crate::names::ListName;
use crate::screen::{Reply, Screen, Stopped, Tone};
use crate::walk::Walk;
use crate::walk::event::{Event, Happening};
use crate::walk::input::{Answer, CallNews, Input};
use crate::walk::refused::Refused;

use super::failures::stopped;

/// Keeps the events of a walk. An event counts only once it is kept.
pub trait Keep {
    /// Makes the event durable; `after` is the walk with the event taken.
    ///
    /// # Errors
    /// A failure when it could not be kept; the event has then not happened.
    fn keep(&mut self, event: &Event, after: &Walk) -> Result<(), Failure>;

    /// What is to be told after the event was kept and acknowledged. It never stops the walk.
    fn news(&mut self, _event: &Event) -> Vec<(Tone, String)> {
        Vec::new()
    }
}

/// The time as the loop needs it.
#[derive(Clone, Copy)]
pub struct Times<'a> {
    /// The moment it is now.
    pub now: &'a dyn Fn() -> Moment,
    /// A moment with the offset that the clock on the wall has at it.
    pub wall: &'a dyn Fn(Moment) -> Moment,
    /// What every screen says of the approval of a list.
    pub notices: &'a dyn Fn(&ListName) -> Vec<String>,
}

/// How the loop was left.
#[derive(Debug)]
pub enum Left {
    /// The walk is over.
    Over,
    /// The walk is paused; no more is asked.
    Paused,
    /// No more replies can be had. The walk was paused first.
    Stopped(Failure),
}

/// Walks until the walk is over, paused, or no reply can be had.
///
/// # Errors
/// A failure when an event could not be kept.
pub fn drive(
    walk: &mut Walk,
    screen: &mut dyn Screen,
    times: Times<'_>,
    keep: &mut dyn Keep,
) -> Result<Left, Failure> {
    let Times { now, wall, notices } = times;
    loop {
        if walk.outcome().is_some() {
            return Ok(Left::Over);
        }
        // What is entered from paper is shown as it stood at the time on the paper.
        let at = walk.on_paper().unwrap_or_else(now);
        let mut view = walk.view(at).by_the_clock(wall);
        view.notices = notices(&view.list);
        match screen.step(&view, walk.on_paper().unwrap_or_else(now)) {
            Ok(Reply::Again) => {}
            Ok(Reply::Leave) => {
                pause(walk, now(), keep)?;
                return Ok(Left::Paused);
            }
            Ok(Reply::Input(input)) => {
                if let Err(why) = take(walk, input, screen, times, keep)? {
                    pause(walk, now(), keep)?;
                    return Ok(Left::Stopped(stopped(&why)));
                }
                if walk.is_paused() {
                    return Ok(Left::Paused);
                }
            }
            Err(why) => {
                pause(walk, now(), keep)?;
                return Ok(Left::Stopped(stopped(&why)));
            }
        }
    }
}

/// Takes one input: first durable, then acknowledged.
fn take(
    walk: &mut Walk,
    input: Input,
    screen: &mut dyn Screen,
    times: Times<'_>,
    keep: &mut dyn Keep,
) -> Result<Result<(), Stopped>, Failure> {
    let event = match walk.prepare(input, (times.now)()) {
        Ok(event) => event,
        Err(Refused::NotYet { due }) => {
            let due = (times.wall)(due);
            return Ok(screen.refused(&Refused::NotYet { due }.to_string()));
        }
        Err(refused) => return Ok(screen.refused(&refused.to_string())),
    };
    record(walk, &event, keep)?;
    screen.saved(&said(&event.what));
    for (tone, text) in keep.news(&event) {
        screen.say(tone, &text);
    }
    Ok(Ok(()))
}

/// Takes an event and keeps it. On a failure the walk must be dropped: it is ahead of the journal
/// by an event that nobody was told is saved.
pub(super) fn record(walk: &mut Walk, event: &Event, keep: &mut dyn Keep) -> Result<(), Failure> {
    walk.take(event).map_err(|misfit| {
        Failure::unusable(format!("the checklist cannot go on from here: {misfit}"))
            .hint("go on on paper, and tell whoever looks after the checklists")
    })?;
    keep.keep(event, walk)
}

/// Pauses a walk that goes on, so that what follows knows it was left on purpose.
fn pause(walk: &mut Walk, now: Moment, keep: &mut dyn Keep) -> Result<(), Failure> {
    match walk.prepare(Input::Pause, now) {
        Ok(event) => record(walk, &event, keep),
        Err(_) => Ok(()),
    }
}

/// What was done, in a few words, to be acknowledged.
fn said(what: &Happening) -> String {
    match what {
        Happening::Begun { list, .. } => format!("begun: {list}"),
        Happening::Answered { asked, answer, .. } => format!("{asked} {}", words(answer)),
        Happening::WentBack { .. } => {
            "the last answer is taken back; it stays in the record".into()
        }
        Happening::Noted { text } => format!("note: {text}"),
        Happening::Paused => "paused".into(),
        Happening::Resumed => "resumed".into(),
        Happening::Jumped { list } => format!("urgent list begun: {list}"),
        Happening::GaveUp { reason } => format!("given up: {reason}"),
        Happening::Called { call, news } => match news {
            CallNews::Answered { who } => format!("call {call} answered by {who}"),
            CallNews::Arrived { who } => format!("call {call}: {who} is here"),
            CallNews::Ordered { order } => format!("call {call}, ordered and read back: {order}"),
            CallNews::NextCalled => format!("call {call}: the next was called"),
        },
        Happening::DutyClosed { how, .. } => format!("closed: {how}"),
    }
}

fn words(answer: &Answer) -> String {
    match answer {
        Answer::Done => "done".into(),
        Answer::NotDone { reason } => format!("not done: {reason}"),
        Answer::AsExpected => "as expected".into(),
        Answer::NotAsExpected { found } if found.is_empty() => "not as expected".into(),
        Answer::NotAsExpected { found } => format!("not as expected: {found}"),
        Answer::CouldNotCheck { reason } => format!("could not check: {reason}"),
        Answer::Choice(words) => words.clone(),
        Answer::Value(amount) => amount.to_string(),
        Answer::NotObtained { reason } => format!("not obtained: {reason}"),
        Answer::Elapsed => "watched to the end".into(),
        Answer::Missed { reason } => format!("broken off: {reason}"),
        Answer::Read => "read".into(),
        Answer::StillSo => "still so".into(),
        Answer::NoLonger => "no longer so".into(),
    }
}
