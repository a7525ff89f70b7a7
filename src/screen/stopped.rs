//! Why no reply could be had, and what is wrong with a line that was typed.

use crate::names::ListName;

/// Why a screen gave no reply. Nothing that was answered before is lost.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Stopped {
    /// The input ended or the terminal was closed. Counts as a pause: exit code 3.
    #[error("the input ended; everything answered so far is kept")]
    EndOfInput,
    /// Ctrl-C. Counts as a pause: exit code 130, as for any interrupted program.
    #[error("interrupted; everything answered so far is kept")]
    Interrupted,
    /// A file of answers ended before the questions did. Exit code 3.
    #[error(
        "{file}: the answers end after line {lines}, and \"{shown}\" is still asked; everything answered so far is kept"
    )]
    OutOfAnswers {
        /// The file of answers.
        file: String,
        /// How many lines it has.
        lines: usize,
        /// What was asked when it ended.
        shown: String,
    },
    /// A line in a file of answers cannot stand. Exit code 2.
    #[error("{0}")]
    BadLine(BadLine),
    /// An urgent key was given at a prompt outside a walk: start this checklist at once.
    #[error("the urgent checklist {0} was asked for")]
    Urgent(ListName),
    /// The terminal cannot be read or written. Exit code 4.
    #[error(
        "the terminal cannot be used: {why}. Run it in another terminal, or give the answers on a pipe"
    )]
    Terminal {
        /// What the system says.
        why: String,
    },
}

/// A line in a file of answers that cannot stand.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}: \"{text}\": {problem}")]
pub struct BadLine {
    /// The file of answers.
    pub file: String,
    /// The line, counted from 1.
    pub line: usize,
    /// The line as it stands.
    pub text: String,
    /// What is wrong with it.
    pub problem: Misread,
}

/// What is wrong with a key or a line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Misread {
    /// It means nothing here.
    #[error("not an answer here. Answers: {}", allowed.join(", "))]
    Unknown {
        /// What would be understood.
        allowed: Vec<String>,
    },
    /// It names another step than the one that is shown.
    #[error("it is meant for the step {named}, but the step shown is {shown}")]
    OtherStep {
        /// The step that is named.
        named: String,
        /// The step that is shown.
        shown: String,
    },
    /// It needs words after it.
    #[error("it needs words after it, like \"{example}\"")]
    NeedsWords {
        /// How to write it.
        example: String,
    },
    /// It can have no words after it.
    #[error("\"{answer}\" takes no words; write them as a note, like \"t: your words\"")]
    TakesNoWords {
        /// The answer.
        answer: String,
    },
    /// The number cannot be taken.
    #[error("{0}")]
    Amount(#[from] super::amount::AmountMisread),
    /// The time cannot be read.
    #[error("the time cannot be read: {why}")]
    Time {
        /// What is wrong with it.
        why: String,
    },
    /// There is no answer to take back.
    #[error("there is no answer to take back")]
    NothingBefore,
    /// There is no open call of that number.
    #[error("there is no open call {number}")]
    NoSuchCall {
        /// The number that was given.
        number: String,
    },
    /// There is no open duty of that name or number.
    #[error("\"{duty}\" is not open. Open: {}", if open.is_empty() { "nothing".to_owned() } else { open.join(", ") })]
    NoSuchDuty {
        /// The duty that was given.
        duty: String,
        /// The duties that are open.
        open: Vec<String>,
    },
    /// Everything was asked already.
    #[error("nothing more is asked, so this answer belongs to no question")]
    Surplus,
    /// The clock cannot be moved.
    #[error("the clock can be moved in a rehearsal only")]
    NoRehearsal,
    /// The text does not pass, or the walk does not take the input.
    #[error("{why}")]
    Refused {
        /// What is wrong and what to do.
        why: String,
    },
}
