//! From the errors of the parts to a failure with its exit code and advice.

use crate::failure::{Failure, Kind};
use crate::journal::JournalError;
use crate::screen::Stopped;

/// What a journal error means for a command.
#[must_use]
pub fn journal_failure(why: &JournalError) -> Failure {
    match why {
        JournalError::Held { .. } | JournalError::TakenOver { .. } => {
            Failure::new(Kind::Stopped, why.to_string())
                .hint("to take it over from here: tubeside resume --take-over")
        }
        JournalError::UnknownDrain { .. }
        | JournalError::NotBegun { .. }
        | JournalError::NotOver { .. }
        | JournalError::Unsigned => Failure::usage(why.to_string()),
        JournalError::Sealed { .. } => Failure::new(Kind::Problems, why.to_string())
            .hint("tubeside amend ENTRY --addendum TEXT --why TEXT"),
        JournalError::Missing { .. } => Failure::unusable(why.to_string())
            .hint("check --journal or TUBESIDE_JOURNAL, or begin a walk to make one"),
        _ => Failure::unusable(why.to_string()),
    }
}

/// What the end of the replies means for a command.
#[must_use]
pub fn stopped(why: &Stopped) -> Failure {
    let kind = match why {
        Stopped::EndOfInput | Stopped::OutOfAnswers { .. } | Stopped::Urgent(_) => Kind::Stopped,
        Stopped::Interrupted => Kind::Interrupted,
        Stopped::BadLine(_) => Kind::Usage,
        Stopped::Terminal { .. } => Kind::Unusable,
    };
    let mut failure = Failure::new(kind, why.to_string());
    if let Stopped::Urgent(list) = why {
        failure.urgent = Some(list.clone());
    }
    failure
}

/// The same while a reading is asked for, which is stored whole or not at all.
#[must_use]
pub fn stopped_unstored(why: &Stopped) -> Failure {
    let mut failure = stopped(why);
    let unstored = "nothing of this reading is stored";
    failure.message = match why {
        Stopped::EndOfInput => format!("the input ended before the last question; {unstored}"),
        Stopped::Interrupted => format!("interrupted; {unstored}"),
        Stopped::OutOfAnswers { file, lines, shown } => format!(
            "{file}: the answers end after line {lines}, and \"{shown}\" is still asked; {unstored}"
        ),
        Stopped::Urgent(_) | Stopped::BadLine(_) | Stopped::Terminal { .. } => failure.message,
    };
    failure
}
