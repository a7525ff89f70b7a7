//! What happened in a walk: enough to replay it, and to be understood without.

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::Charts;
use crate::moment::Moment;
use crate::names::{DutyName, ListName, StepName};

use super::input::{Answer, CallNews};

/// One thing that happened.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// When it was seen or done.
    pub seen: Moment,
    /// When it was written down.
    pub written: Moment,
    /// What it was.
    pub what: Happening,
}

/// What can happen in a walk. Events are causes; their effects are found by replaying them.
#[derive(Debug, Clone, PartialEq)]
pub enum Happening {
    /// The walk began. Always the first event, and only the first.
    Begun {
        /// The checklist.
        list: ListName,
        /// What was known of the drain.
        facts: DrainFacts,
        /// Who wrote it on paper, when it was walked there and is entered afterwards.
        paper: Option<String>,
    },
    /// A step was answered.
    Answered {
        /// The checklist of the step.
        list: ListName,
        /// The step.
        step: StepName,
        /// The step's text as it was shown.
        asked: String,
        /// The answer.
        answer: Answer,
        /// What of the drain chart the number read is, as the checklist then said; `None` for
        /// every other answer.
        charts: Option<Charts>,
    },
    /// The last answer was taken back; the walk stands at its step again.
    WentBack {
        /// The checklist of the step.
        list: ListName,
        /// The step that is shown again.
        step: StepName,
    },
    /// A note was written.
    Noted {
        /// Its words.
        text: String,
    },
    /// The walk was paused.
    Paused,
    /// The walk went on after a pause or an interruption.
    Resumed,
    /// An urgent checklist was begun and the walk held meanwhile.
    Jumped {
        /// The urgent checklist.
        list: ListName,
    },
    /// The walk was stopped for good.
    GaveUp {
        /// Why.
        reason: String,
    },
    /// Something happened to a call for help.
    Called {
        /// The number of the call within the walk, counted from 1.
        call: usize,
        /// What happened.
        news: CallNews,
    },
    /// A duty was closed by hand.
    DutyClosed {
        /// The duty.
        duty: DutyName,
        /// How, or to whom it was handed over.
        how: String,
    },
}

impl Happening {
    /// Whether it stands on the paper in a walk from paper; else the transcriber did it, as a pause
    /// or a step back.
    #[must_use]
    pub const fn stands_on_paper(&self) -> bool {
        matches!(
            self,
            Self::Begun { .. }
                | Self::Answered { .. }
                | Self::Called { .. }
                | Self::DutyClosed { .. }
                | Self::Jumped { .. }
        )
    }
}
