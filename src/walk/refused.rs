//! Why a walk did not take an input. Nothing has changed when one of these comes back.

use crate::moment::Moment;
use crate::names::{DutyName, ListName, StepName};
use crate::units::BadAmount;

/// An input that was not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    /// The walk is paused.
    #[error("the walk is paused: resume it first")]
    Paused,
    /// The walk is over.
    #[error("the walk is over: start a new one")]
    Over,
    /// The answer is of another kind than the step.
    #[error("step \"{step}\" cannot be answered like that: {allowed}")]
    WrongKind {
        /// The step that is shown.
        step: StepName,
        /// What it can be answered with.
        allowed: &'static str,
    },
    /// The words are none of the answers.
    #[error("\"{words}\" is none of the answers of step \"{step}\": {answers}")]
    NoSuchAnswer {
        /// The step that is shown.
        step: StepName,
        /// The words given.
        words: String,
        /// The answers there are.
        answers: String,
    },
    /// The reason is missing.
    #[error("a reason is needed: say in a few words why")]
    NoReason,
    /// The amount does not fit the step.
    #[error(transparent)]
    Amount(#[from] BadAmount),
    /// The wait is not over.
    #[error("not yet: watch until {}, or break it off with a reason", due.format("%H:%M:%S"))]
    NotYet {
        /// When it is over.
        due: Moment,
    },
    /// The list is not an urgent list of this library.
    #[error("\"{list}\" is not an urgent list here")]
    NotUrgent {
        /// The list.
        list: ListName,
    },
    /// The urgent list is already being followed.
    #[error("\"{list}\" is already being followed")]
    AlreadyThere {
        /// The list.
        list: ListName,
    },
    /// There is no answer to take back.
    #[error("there is nothing to go back to")]
    NothingBefore,
    /// There is no such call.
    #[error("there is no call {call}")]
    NoSuchCall {
        /// Its number, counted from 1.
        call: usize,
    },
    /// The duty is not open.
    #[error("nothing is open under \"{duty}\"")]
    NoSuchDuty {
        /// The duty.
        duty: DutyName,
    },
    /// The time given lies ahead.
    #[error("{} has not come yet: give the time at which it was seen", seen.format("%d %b %H:%M"))]
    NotSeenYet {
        /// The time given.
        seen: Moment,
    },
    /// The checklist cannot go on: a fault that the checks should have found.
    #[error("the checklist cannot go on from here: {0}")]
    Stuck(#[from] Misfit),
    /// The note is empty.
    #[error("the note is empty: write a few words")]
    EmptyNote,
}

/// An event that does not follow from the events before it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("event {event} does not fit the walk: {what}")]
pub struct Misfit {
    /// The number of the event, counted from 0.
    pub event: usize,
    /// What does not fit.
    pub what: String,
}
