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
