//! The story of a walk: every event with its effects, in words, for records and for looking back.

use crate::checklist::model::{CallLevel, ListKind, Outcome};
use crate::moment::Moment;
use crate::names::{DutyName, ListName, StepName, Tag};

use super::input::Answer;

/// One line of the story.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// The number of the event that caused it, counted from 0.
    pub event: usize,
    /// When it was seen or done.
    pub seen: Moment,
    /// When it was written down.
    pub written: Moment,
    /// What is told.
    pub what: Telling,
    /// Whether it was taken back later by a step back. It stays in the story.
    pub taken_back: bool,
}

/// What can be told.
#[derive(Debug, Clone, PartialEq)]
pub enum Telling {
    /// A checklist was begun: at the start, by `use`, or as an urgent jump.
    ListBegun {
        /// Its name.
        list: ListName,
        /// Its title.
        title: String,
        /// Its version.
        version: String,
        /// What it is used for.
        kind: ListKind,
        /// How it came to be begun.
        how: Entered,
    },
    /// A step was answered.
    Answered {
        /// The checklist.
        list: ListName,
        /// The step.
        step: StepName,
        /// The step as it was asked.
        asked: String,
        /// How the step reads in a record, if the checklist says so.
        record: Option<String>,
        /// The answer.
        answer: Answer,
        /// The answer in words.
        words: String,
        /// The step's tags.
        tags: Vec<Tag>,
        /// Whether a slip here is dangerous.
        critical: bool,
        /// Whether it came less than a second after the answer before it.
        quick: bool,
    },
    /// A call for help was made.
    CallMade {
        /// The number of the call within the walk, counted from 1.
        call: usize,
        /// How urgently.
        level: CallLevel,
        /// Who was called, as a role.
        who: String,
        /// How they were called; empty when the unit has not filled it in.
        how: String,
    },
    /// A call was answered.
    CallAnswered {
        /// The number of the call.
        call: usize,
        /// Who answered.
        who: String,
    },
    /// Somebody came.
    CallArrived {
        /// The number of the call.
        call: usize,
        /// Who came.
        who: String,
    },
    /// Something was ordered and read back.
    CallOrdered {
        /// The number of the call.
        call: usize,
        /// The order.
        order: String,
    },
    /// A duty was opened.
    DutyOpened {
        /// The duty.
        duty: DutyName,
        /// What is open.
        open: String,
    },
    /// A duty was closed.
    DutyClosed {
        /// The duty.
        duty: DutyName,
        /// What closed it.
        how: String,
    },
    /// A checklist came to its end.
    ListEnded {
        /// Its name.
        list: ListName,
        /// Its title.
        title: String,
        /// How it came out.
        outcome: Outcome,
        /// Its closing text.
        text: String,
    },
    /// A note.
    Noted {
        /// Its words.
        text: String,
    },
    /// The walk was paused.
    Paused,
    /// The walk went on.
    Resumed {
        /// How long nothing was written, in seconds.
        gap: u32,
        /// Whether it had been paused; otherwise it was interrupted.
        was_paused: bool,
    },
    /// The last answer was taken back.
    WentBack {
        /// The step that is shown again, as it was asked.
        asked: String,
    },
    /// The walk was stopped for good.
    GaveUp {
        /// Why.
        reason: String,
    },
}

impl Telling {
    /// Whether a step back takes it back. Calls, notes and pauses happened whatever was answered.
    #[must_use]
    pub const fn can_be_taken_back(&self) -> bool {
        matches!(
            self,
            Self::ListBegun { .. }
                | Self::Answered { .. }
                | Self::DutyOpened { .. }
                | Self::DutyClosed { .. }
                | Self::ListEnded { .. }
        )
    }
}

/// How a checklist came to be begun.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entered {
    /// The walk began with it.
    Start,
    /// Another checklist used it.
    Used,
    /// It was jumped to as an urgent list.
    Jumped,
}
