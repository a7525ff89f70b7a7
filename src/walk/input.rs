//! What a person can tell a walk.

use crate::moment::Moment;
use crate::names::{DutyName, ListName};
use crate::units::Amount;

/// An answer to the step that is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// A `do` was carried out.
    Done,
    /// A `do` was not carried out.
    NotDone {
        /// Why, in the nurse's words; never empty.
        reason: String,
    },
    /// A `check` found what was expected.
    AsExpected,
    /// A `check` found something else.
    NotAsExpected {
        /// What was found, in the nurse's words; may be empty.
        found: String,
    },
    /// A `check` could not be made.
    CouldNotCheck {
        /// Why, in the nurse's words; never empty.
        reason: String,
    },
    /// The answer to an `ask`, by its words in the checklist.
    Choice(String),
    /// The number read in a `measure`, in any unit of the same quantity.
    Value(Amount),
    /// A `measure` could not be read.
    NotObtained {
        /// Why, in the nurse's words; never empty.
        reason: String,
    },
    /// A `wait` was watched to its end. Taken as missed when it comes too late.
    Elapsed,
    /// A `wait` was broken off.
    Missed {
        /// Why, in the nurse's words; never empty.
        reason: String,
    },
    /// The closing text of an `end` was read.
    Read,
    /// After an interruption: the repeated item still holds.
    StillSo,
    /// After an interruption: the repeated item no longer holds; the walk goes back to it.
    NoLonger,
}

/// One input to [`Walk::input`](super::Walk::input).
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Input {
    /// An answer to the step that is shown.
    Answer {
        /// The answer.
        answer: Answer,
        /// When it was seen or done, if earlier than it is written.
        seen: Option<Moment>,
    },
    /// Back to the step before; takes the last answer back.
    Back,
    /// A note in free words.
    Note {
        /// The words.
        text: String,
        /// When it was seen, if earlier than it is written.
        seen: Option<Moment>,
    },
    /// Stop for now.
    Pause,
    /// Go on after a pause or an interruption.
    Resume,
    /// Leave for an urgent list at once; this walk is held meanwhile.
    Jump(ListName),
    /// Stop for good, with what is open named in the record.
    GiveUp {
        /// Why, in the nurse's words; never empty.
        reason: String,
    },
    /// Something about a call for help that was made.
    Call {
        /// The number of the call within the walk, counted from 1.
        call: usize,
        /// What happened.
        news: CallNews,
    },
    /// An open duty was closed by other means than the step that closes it.
    CloseDuty {
        /// The duty.
        duty: DutyName,
        /// How, or to whom it was handed over; never empty.
        how: String,
    },
    /// Something else than an answer or a note, at an earlier time than it is written: for what is
    /// entered from paper.
    Earlier {
        /// When it was.
        seen: Moment,
        /// What it was.
        input: Box<Input>,
    },
}

/// What can happen to a call for help.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CallNews {
    /// Somebody answered.
    Answered {
        /// Who, as a role or initials.
        who: String,
    },
    /// Somebody came to the bedside.
    Arrived {
        /// Who, as a role or initials.
        who: String,
    },
    /// Something was ordered and read back.
    Ordered {
        /// The order in the words that were read back.
        order: String,
    },
    /// Nobody answered; the next on the ladder was called.
    NextCalled,
}
