//! What a person sees and types, in three forms: single keys on a terminal, plain lines on a pipe
//! or for a screen reader, and lines from a file of answers.
//!
//! The forms share one page for what is shown and one grammar for what is typed, so that a word
//! or a key means the same in each. No form ever answers a question by itself: an empty line, the
//! escape key and the end of the input answer nothing.

mod amount;
mod ask;
mod clock_words;
mod device;
mod editor;
mod interrupt;
mod keys;
mod labels;
mod line;
mod lines;
mod look;
mod menu_page;
mod messages;
mod open_things;
mod page;
mod prompts;
mod source;
mod step_page;
mod stopped;
mod terminal;
mod topic_page;
mod ways;

use crate::moment::Moment;
use crate::walk::input::Input;
use crate::walk::view::{UrgentKey, View};

pub use amount::AmountMisread;
pub use ask::{Item, Menu, Picked, TextQuestion};
pub use interrupt::take_over_ctrl_c;
pub use lines::MoveClock;
pub use look::Look;
pub use stopped::{BadLine, Misread, Stopped};

/// One of the three forms in which the tool speaks with a person.
pub trait Screen {
    /// Shows the step and takes one reply to it.
    ///
    /// `now` is only shown, as the time that has gone by. The caller reads the clock again when
    /// the reply is there.
    ///
    /// # Errors
    /// [`Stopped`] when no reply can be had; everything answered before stays answered.
    fn step(&mut self, view: &View, now: Moment) -> Result<Reply, Stopped>;

    /// Shows a menu, as on the home screen, and takes one choice from it.
    ///
    /// # Errors
    /// [`Stopped`] when no choice can be had.
    fn choose(&mut self, menu: &Menu) -> Result<Picked, Stopped>;

    /// Asks for free text outside a walk. The text comes back trimmed; it is empty only when the
    /// question may be left open and the person wrote a single hyphen.
    ///
    /// # Errors
    /// [`Stopped`] when no text can be had; [`Stopped::Urgent`] when an urgent key was given.
    fn text(&mut self, question: &TextQuestion<'_>) -> Result<String, Stopped>;

    /// Asks for a yes or a no that has consequences; it can be corrected before it counts.
    ///
    /// # Errors
    /// [`Stopped`] when no answer can be had.
    fn confirm(&mut self, question: &str) -> Result<bool, Stopped>;

    /// Says something that asks for no reply.
    fn say(&mut self, tone: Tone, text: &str);

    /// Acknowledges an answer. To be called only once the answer is safely stored.
    fn saved(&mut self, text: &str);

    /// Tells that the walk did not take the last input, and why.
    ///
    /// # Errors
    /// [`Stopped::BadLine`] when the input came from a file of answers, where nobody can mend it.
    fn refused(&mut self, why: &str) -> Result<(), Stopped>;

    /// Shows text that is already laid out, such as a problem with its line and carets: nothing
    /// is wrapped, control characters are taken out.
    fn excerpt(&mut self, rendered: &str);

    /// To be called when nothing more will be asked.
    ///
    /// # Errors
    /// [`Stopped::BadLine`] when a file of answers still holds answers.
    fn finish(&mut self) -> Result<(), Stopped>;
}

/// A reply to a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reply {
    /// Hand this to the walk.
    Input(Input),
    /// Nothing was answered: read the clock, take a fresh view and show the step again.
    Again,
    /// The walk is paused or over, and the person leaves it.
    Leave,
}

/// How something is said. Each tone has a word or a sign besides its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// As it stands.
    Plain,
    /// A heading.
    Title,
    /// A hazard or a limit of what the tool can do.
    Caution,
    /// Something should have been done by now.
    Overdue,
    /// Something is wrong; says what to do.
    Problem,
    /// A side remark.
    Quiet,
}

/// Reads a moment as a person writes it, such as "04:10".
///
/// # Errors
/// Words for the person that say what is wrong and how to write it.
pub type ReadMoment<'a> = dyn Fn(&str) -> Result<Moment, String> + 'a;

/// Looks at free text before it is stored. `Some` holds words for the person when the text may
/// name somebody; the text can still be kept.
pub type DoubtText<'a> = dyn Fn(&str) -> Option<String> + 'a;

/// What each form is made with.
pub struct Setup<'a> {
    /// How it looks.
    pub look: Look,
    /// Reads the time at which something was seen.
    pub read_moment: &'a ReadMoment<'a>,
    /// Points out text that may name somebody.
    pub doubt_text: &'a DoubtText<'a>,
    /// Urgent checklists that can be started from every prompt outside a walk. Inside a walk the
    /// view names them.
    pub urgent: Vec<UrgentKey>,
}

/// The page that [`terminal()`] would draw for a step, line by line: for checks, such as that the
/// first screen of an urgent list has at most twelve lines of 80 columns.
#[must_use]
pub fn drawn(view: &View, now: Moment, look: Look) -> Vec<String> {
    step_page::page(view, now, None, look, step_page::Typing::Keys).wrapped()
}

/// True when single keys can be used: standard input and output are a terminal that can move its
/// cursor. Otherwise use [`plain`].
#[must_use]
pub fn has_terminal(get: impl Fn(&str) -> Option<String>) -> bool {
    use std::io::IsTerminal;
    std::io::stdin().is_terminal()
        && std::io::stdout().is_terminal()
        && get("TERM").is_none_or(|term| term != "dumb")
}

/// Text in lines of at most so many columns, as pages are laid out.
#[must_use]
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    page::wrap(text, width, 0)
}

/// The text with its long lines broken between words; what goes on in the next line stands two
/// columns further in than its line began. Words are never cut, and lines that show a place in a
/// file, or a command to be copied, stay as they are.
#[must_use]
pub fn folded(text: &str, columns: usize) -> String {
    let folded: Vec<String> = text
        .split('\n')
        .map(|line| page::fold(line, columns))
        .collect();
    folded.join("\n")
}

/// The width of the terminal in columns, if there is one.
#[must_use]
pub fn columns() -> Option<usize> {
    console::Term::stdout()
        .size_checked()
        .map(|(_, columns)| usize::from(columns))
}

/// The width of the terminal that shows what is printed beside the output, if there is one.
#[must_use]
pub fn columns_beside() -> Option<usize> {
    console::Term::stderr()
        .size_checked()
        .map(|(_, columns)| usize::from(columns))
}

/// The form with single keys, on the terminal of the program.
///
/// # Errors
/// [`Stopped::Terminal`] when there is none.
pub fn terminal<'a>(setup: Setup<'a>) -> Result<Box<dyn Screen + 'a>, Stopped> {
    Ok(Box::new(terminal::Terminal::open(setup)?))
}

/// The form with plain lines. `move_clock` is given in a rehearsal only; then a line such as
/// "+5m" moves the clock on.
#[must_use]
pub fn plain<'a>(
    setup: Setup<'a>,
    input: impl std::io::Read + Send + 'static,
    output: impl std::io::Write + 'a,
    move_clock: Option<&'a MoveClock<'a>>,
) -> Box<dyn Screen + 'a> {
    Box::new(lines::Lines::on_pipe(setup, input, output, move_clock))
}

/// The form with a file of answers: `answers` is its text, `file` its name for messages.
#[must_use]
pub fn scripted<'a>(
    setup: Setup<'a>,
    file: &str,
    answers: &str,
    output: impl std::io::Write + 'a,
    move_clock: Option<&'a MoveClock<'a>>,
) -> Box<dyn Screen + 'a> {
    let script = source::Script::new(file, answers);
    Box::new(lines::Lines::from_script(setup, script, output, move_clock))
}

#[cfg(test)]
mod tests;
