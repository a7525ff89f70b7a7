//! Prints to the standard output. A reader that has gone is no error of ours.

use std::io::{ErrorKind, IsTerminal as _, Write as _};

use serde::Serialize;

use crate::clean;
use crate::failure::Failure;
use crate::screen;

/// Prints text and a line end. Control characters in it are taken out.
///
/// # Errors
/// A failure when the output cannot be written.
pub fn line(text: &str) -> Result<(), Failure> {
    raw(&format!("{}\n", clean::lines(text)))
}

/// Prints paragraphs, in a terminal broken between words so that a line fits; what goes on in the
/// next line stands as far in as the line began, and two more. Control characters are taken out.
///
/// # Errors
/// A failure when the output cannot be written.
pub fn wrapped(text: &str) -> Result<(), Failure> {
    let text = clean::lines(text);
    match screen::columns() {
        Some(columns) => raw(&format!(
            "{}\n",
            screen::folded(&text, columns.clamp(20, 100))
        )),
        None => raw(&format!("{text}\n")),
    }
}

/// Prints text as it is: for records and exports, whose text is already made safe.
///
/// # Errors
/// A failure when the output cannot be written.
pub fn raw(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(why) if why.kind() != ErrorKind::BrokenPipe => Err(Failure::unusable(format!(
            "the output cannot be written: {why}"
        ))),
        _ => Ok(()),
    }
}

/// Prints a value as JSON.
///
/// # Errors
/// A failure when it cannot be written.
pub fn json(value: &impl Serialize) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|why| Failure::unusable(format!("it cannot be written as JSON: {why}")))?;
    raw(&format!("{}\n", clean::json(&text)))
}

/// The standard output for what must come out to the byte; on a terminal no character of it acts.
#[must_use]
pub fn to_the_byte() -> Box<dyn std::io::Write> {
    let out = std::io::stdout();
    match out.is_terminal() {
        true => Box::new(Shown(out.lock())),
        false => Box::new(out.lock()),
    }
}

/// Lines of JSON on their way to a terminal.
struct Shown<W>(W);

impl<W: std::io::Write> std::io::Write for Shown<W> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let text = String::from_utf8_lossy(bytes);
        self.0.write_all(clean::json(&text).as_bytes())?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.0.flush()
    }
}

/// A sign of life for a person who waits, on a line of its own that the next one takes; nothing on
/// a pipe. Empty words clear it.
#[expect(clippy::print_stderr, reason = "progress beside the output")]
pub fn progress(words: &str) {
    if std::io::stderr().is_terminal() {
        eprint!("\r{words}\u{1b}[K\r");
    }
}
