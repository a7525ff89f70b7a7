//! Where lines come from: a pipe, or a file of answers.

use std::collections::VecDeque;
use std::io::{BufRead, BufReader, Read};
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
use std::time::Duration;

use crate::units::Span;

use super::interrupt;
use super::stopped::Stopped;

/// How often a waiting reader looks for Ctrl-C.
const LOOK_EVERY: Duration = Duration::from_millis(50);

/// A line with its number, counted from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Given {
    /// The number of the line.
    pub number: usize,
    /// The line without spaces around it.
    pub text: String,
}

/// A file of answers.
#[derive(Debug)]
pub(super) struct Script {
    /// The file's name, for messages.
    pub file: String,
    /// How many lines it has.
    pub lines: usize,
    left: VecDeque<Given>,
}

impl Script {
    /// Takes the text of the file. Empty lines and lines that begin with "#" hold no answers.
    pub(super) fn new(file: &str, text: &str) -> Self {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let given = text.lines().enumerate().map(|(index, line)| Given {
            number: index + 1,
            text: line.trim().to_owned(),
        });
        Self {
            file: file.to_owned(),
            lines: text.lines().count(),
            left: given
                .filter(|given| !given.text.is_empty() && !given.text.starts_with('#'))
                .collect(),
        }
    }

    /// The next answer.
    pub(super) fn next(&mut self) -> Option<Given> {
        self.left.pop_front()
    }
}

/// Lines that arrive one by one. They are read beside the program, so that Ctrl-C is noticed
/// while nothing arrives.
pub(super) struct Pipe {
    lines: Receiver<String>,
    number: usize,
}

impl Pipe {
    /// Begins to read.
    pub(super) fn new(input: impl Read + Send + 'static) -> Self {
        let (send, lines) = sync_channel(1);
        std::thread::spawn(move || {
            let mut input = BufReader::new(input);
            let mut bytes = Vec::new();
            while matches!(input.read_until(b'\n', &mut bytes), Ok(read) if read > 0) {
                let line = String::from_utf8_lossy(&bytes).into_owned();
                if send.send(line).is_err() {
                    return;
                }
                bytes.clear();
            }
        });
        Self { lines, number: 0 }
    }

    /// Waits for a line. `None` at the end.
    ///
    /// # Errors
    /// [`Stopped::Interrupted`] after Ctrl-C.
    pub(super) fn next(&mut self) -> Result<Option<Given>, Stopped> {
        loop {
            if interrupt::pressed() {
                return Err(Stopped::Interrupted);
            }
            match self.lines.recv_timeout(LOOK_EVERY) {
                Ok(line) => {
                    self.number += 1;
                    let text = line.trim_start_matches('\u{feff}').trim().to_owned();
                    return Ok(Some(Given {
                        number: self.number,
                        text,
                    }));
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return Ok(None),
            }
        }
    }
}

/// Reads "+5m", "+90 s" or "+2h". `None` when the line is something else.
pub(super) fn clock_step(line: &str) -> Option<Span> {
    let rest = line.strip_prefix('+')?.trim();
    let minutes = rest.strip_suffix('m').map(|number| format!("{number} min"));
    Span::parse(minutes.as_deref().unwrap_or(rest)).ok()
}
