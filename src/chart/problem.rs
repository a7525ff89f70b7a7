//! What a person must settle in the entries of a drain.

use super::series::{EntryId, clock};
use crate::moment::Moment;
use crate::units::Number;
use std::fmt;

/// Something in the entries that a person must settle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Problem {
    /// A level lies below the one before. It gives no output; counting goes on from it.
    Lower {
        /// The entry with the lower level.
        entry: EntryId,
        /// When it was seen.
        at: Moment,
        /// The level before, mL.
        before: Number,
        /// The lower level, mL.
        level: Number,
    },
    /// Two levels for one moment on one drainage unit. The difference is counted at that moment.
    SameMoment {
        /// The entry written later.
        entry: EntryId,
        /// The moment.
        at: Moment,
    },
    /// It lies before the drain was connected, and is not counted.
    BeforeStart {
        /// The entry.
        entry: EntryId,
        /// Its moment.
        at: Moment,
    },
    /// A level below zero or above 1000 L, or a moment more than ten years after the start. Not counted.
    OutOfRange {
        /// The entry.
        entry: EntryId,
    },
    /// It corrects something that is not an earlier reading. Not counted.
    CorrectsNothing {
        /// The entry.
        entry: EntryId,
    },
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            // Lower than before means tilt, spill or misread (The Trauma Professional's Blog,
            // 2017-04-03, on drainage units knocked over).
            Self::Lower {
                at, before, level, ..
            } => write!(
                f,
                "The level at {} is {level} mL, below the {before} mL before it. It cannot be an \
                 output. Was the drainage unit tilted, spilled or changed, or one level misread? \
                 Say which; counting goes on from {level} mL.",
                clock(*at)
            ),
            Self::SameMoment { at, .. } => write!(
                f,
                "There are two different levels for {}. Strike out the wrong one.",
                clock(*at)
            ),
            Self::BeforeStart { at, .. } => write!(
                f,
                "An entry for {} lies before the drain was connected. It is not counted: correct \
                 its time.",
                clock(*at)
            ),
            Self::OutOfRange { entry } => write!(
                f,
                "Entry {} has an impossible level or time. It is not counted: correct it.",
                entry.0
            ),
            Self::CorrectsNothing { entry } => write!(
                f,
                "Entry {} corrects something that is not an earlier reading. It is not counted.",
                entry.0
            ),
        }
    }
}
