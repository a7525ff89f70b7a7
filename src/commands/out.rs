//! Prints to the standard output. A reader that has gone is no error of ours.

use std::io::{ErrorKind, Write as _};

use serde::Serialize;

use crate::clean;
use crate::failure::Failure;

/// Prints text and a line end. Control characters in it are taken out.
///
/// # Errors
/// A failure when the output cannot be written.
pub fn line(text: &str) -> Result<(), Failure> {
    raw(&format!("{}\n", clean::lines(text)))
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
    raw(&format!("{text}\n"))
}
