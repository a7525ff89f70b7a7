//! Chooses the form in which the tool speaks with a person, and opens it.

use std::path::Path;

use crate::cli::Common;
use crate::failure::Failure;
use crate::screen::{self, Look, Screen, Setup};
use crate::units::Span;
use crate::walk::view::UrgentKey;

use super::desk::Desk;
use super::failures::stopped;
use super::local_folder;
use super::personal;

/// The form for this run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form<'a> {
    /// Single keys on a terminal.
    Terminal,
    /// Plain lines on a pipe.
    Plain,
    /// Lines from a file of answers.
    Scripted(&'a Path),
}

/// Which form is meant: a file of answers, plain lines when asked for or when there is no
/// terminal, or else single keys.
#[must_use]
pub fn form<'a>(common: &Common, answers: Option<&'a Path>) -> Form<'a> {
    match answers {
        Some(file) => Form::Scripted(file),
        None if common.plain || !screen::has_terminal(variable) => Form::Plain,
        None => Form::Terminal,
    }
}

/// Opens the screen of that form and does the work with it.
///
/// # Errors
/// What the work returned, or a failure when the screen could not be opened.
pub fn with_screen<T>(
    desk: &Desk,
    form: Form<'_>,
    work: impl FnOnce(&mut dyn Screen) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let read_moment = |text: &str| desk.read_moment(text);
    let move_clock = |span: Span| {
        desk.clock.advance(span);
    };
    let setup = Setup {
        look: look(desk, form),
        read_moment: &read_moment,
        doubt_text: &personal::doubt,
        urgent: UrgentKey::all(&desk.library, |_| false),
    };
    let movable: Option<&screen::MoveClock<'_>> = if desk.clock.is_rehearsal() {
        Some(&move_clock)
    } else {
        None
    };
    let mut screen = match form {
        Form::Terminal => screen::terminal(setup).map_err(|why| stopped(&why))?,
        Form::Plain => screen::plain(setup, std::io::stdin(), std::io::stdout(), movable),
        Form::Scripted(file) => {
            let text = local_folder::text(file)?;
            let name = file.display().to_string();
            if desk.common.quiet {
                screen::scripted(setup, &name, &text, std::io::sink(), movable)
            } else {
                screen::scripted(setup, &name, &text, std::io::stdout(), movable)
            }
        }
    };
    work(screen.as_mut())
}

fn look(desk: &Desk, form: Form<'_>) -> Look {
    let columns = match form {
        Form::Terminal => screen::columns(),
        Form::Plain | Form::Scripted(_) => None,
    };
    let look = Look::from_env(variable, columns);
    Look {
        ascii: look.ascii || desk.common.ascii,
        ..look
    }
}

fn variable(name: &str) -> Option<String> {
    std::env::var_os(name).map(|value| value.to_string_lossy().into_owned())
}
