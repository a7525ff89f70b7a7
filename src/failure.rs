//! Why a command failed: its kind decides the exit code, its words and hints help the person.

use std::fmt::Write as _;
use std::process::ExitCode;

use crate::names::ListName;
use crate::screen;

/// What kind of failure it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The thing examined has problems. Exit code 1.
    Problems,
    /// The command was not understood. Exit code 2.
    Usage,
    /// Stopped before the end; everything answered is kept. Exit code 3.
    Stopped,
    /// The journal or a file could not be used. Exit code 4.
    Unusable,
    /// Interrupted from the keyboard; everything answered is kept. Exit code 130.
    Interrupted,
}

impl Kind {
    /// The exit code.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Problems => 1,
            Self::Usage => 2,
            Self::Stopped => 3,
            Self::Unusable => 4,
            Self::Interrupted => 130,
        }
    }

    /// The word before the message.
    const fn heading(self) -> &'static str {
        match self {
            Self::Problems => "problems",
            Self::Usage | Self::Unusable => "error",
            Self::Stopped | Self::Interrupted => "stopped",
        }
    }
}

/// A failed command.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// What kind of failure it is.
    pub kind: Kind,
    /// What is wrong and where.
    pub message: String,
    /// What to do about it.
    pub hints: Vec<String>,
    /// The urgent checklist that was asked for instead; it is to be started at once.
    pub urgent: Option<ListName>,
}

impl Failure {
    /// A failure of that kind.
    #[must_use]
    pub fn new(kind: Kind, message: impl Into<String>) -> Self {
        Self {
            kind,
            message: message.into(),
            hints: Vec::new(),
            urgent: None,
        }
    }

    /// The command was not understood.
    #[must_use]
    pub fn usage(message: impl Into<String>) -> Self {
        Self::new(Kind::Usage, message)
    }

    /// The journal or a file could not be used.
    #[must_use]
    pub fn unusable(message: impl Into<String>) -> Self {
        Self::new(Kind::Unusable, message)
    }

    /// The same failure with advice.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }

    /// The failure as it is printed.
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = format!("{}: {}\n", self.kind.heading(), self.message);
        for hint in &self.hints {
            // Writing to a String cannot fail.
            let _ = writeln!(text, "  do: {hint}");
        }
        text
    }

    /// Prints the failure beside the output, on a terminal with no word cut at its edge. Control
    /// characters from files are taken out.
    #[expect(
        clippy::print_stderr,
        reason = "the one place where failures are printed"
    )]
    pub fn print(&self) {
        let text = self.text();
        let text = crate::clean::lines(&text);
        match screen::columns_beside() {
            Some(columns) => eprint!("{}", screen::folded(&text, columns)),
            None => eprint!("{text}"),
        }
    }

    /// The exit code.
    #[must_use]
    pub fn exit_code(&self) -> ExitCode {
        ExitCode::from(self.kind.code())
    }
}
