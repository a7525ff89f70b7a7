//! The terminal itself: keys in, lines out. Tests stand a made one in its place.

use std::io::ErrorKind;
use std::time::{Duration, Instant};

use console::{Key, Term};
use dialoguer::theme::SimpleTheme;
use dialoguer::{Confirm, Input};

use super::interrupt;
use super::keys::Keys;
use super::stopped::Stopped;

/// A terminal that gives keys has failed when it gives this many unknown ones on end.
const UNKNOWN_ON_END: usize = 200;

/// Ctrl-C from outside the terminal is looked for this often.
const LOOK_FOR_CTRL_C: Duration = Duration::from_millis(200);

/// Longer than anybody waits.
pub(super) const FOREVER: Duration = Duration::from_secs(u32::MAX as u64);

/// A key, and how long it was waited for. A key that was held down or typed ahead comes at once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Pressed {
    /// The key.
    pub key: Key,
    /// How long it was waited for.
    pub after: Duration,
}

/// What a terminal can do.
pub(super) trait Device {
    /// The width in columns now.
    fn width(&self) -> usize;
    /// Writes text as it stands.
    fn put(&mut self, text: &str);
    /// Waits for a key, so long at most. `None` when none came; the next wait goes on from there,
    /// and must come before anything else reads from the terminal.
    fn key_within(&mut self, within: Duration) -> Result<Option<Pressed>, Stopped>;
    /// Waits for a key.
    fn key(&mut self) -> Result<Pressed, Stopped> {
        loop {
            if let Some(pressed) = self.key_within(FOREVER)? {
                return Ok(pressed);
            }
        }
    }
    /// Asks for a line of text. The prompt must leave room in its line for what is typed.
    fn text(&mut self, prompt: &str) -> Result<String, Stopped>;
    /// Asks for a yes or no that Enter sends.
    fn confirm(&mut self, prompt: &str) -> Result<bool, Stopped>;
}

/// The terminal of the program.
pub(super) struct Console {
    term: Term,
    keys: Option<Keys>,
    unknown: usize,
}

impl Console {
    /// Opens the terminal on standard output.
    ///
    /// # Errors
    /// [`Stopped::Terminal`] when there is none: reading keys without one would never end.
    pub(super) fn open() -> Result<Self, Stopped> {
        let term = Term::stdout();
        if term.is_term() {
            Ok(Self {
                term,
                keys: None,
                unknown: 0,
            })
        } else {
            Err(Stopped::Terminal {
                why: "there is no terminal".to_owned(),
            })
        }
    }

    fn stopped(&self, error: &std::io::Error) -> Stopped {
        // A prompt may have hidden the cursor; nothing more can be done when this fails too.
        self.term.show_cursor().ok();
        let pressed = interrupt::pressed();
        match error.kind() {
            ErrorKind::Interrupted => Stopped::Interrupted,
            _ if pressed => Stopped::Interrupted,
            ErrorKind::UnexpectedEof | ErrorKind::BrokenPipe => Stopped::EndOfInput,
            _ => Stopped::Terminal {
                why: error.to_string(),
            },
        }
    }
}

impl Device for Console {
    fn width(&self) -> usize {
        usize::from(self.term.size().1)
    }

    fn put(&mut self, text: &str) {
        // A terminal that cannot be written any more shows itself at the next key.
        self.term.write_str(text).ok();
        self.term.flush().ok();
    }

    fn key_within(&mut self, within: Duration) -> Result<Option<Pressed>, Stopped> {
        let began = Instant::now();
        loop {
            if interrupt::pressed() {
                return Err(Stopped::Interrupted);
            }
            let left = within.saturating_sub(began.elapsed());
            if left.is_zero() {
                return Ok(None);
            }
            let keys = self.keys.get_or_insert_with(|| Keys::of(&self.term));
            let Some(key) = keys.next(left.min(LOOK_FOR_CTRL_C)) else {
                continue;
            };
            let key = key.map_err(|error| self.stopped(&error))?;
            let after = began.elapsed();
            self.unknown = if key == Key::Unknown {
                self.unknown + 1
            } else {
                0
            };
            match key {
                Key::CtrlC => {
                    interrupt::pressed();
                    return Err(Stopped::Interrupted);
                }
                Key::Char('\u{4}') => return Err(Stopped::EndOfInput),
                Key::Unknown if self.unknown < UNKNOWN_ON_END => {}
                Key::Unknown => return Err(Stopped::EndOfInput),
                key => return Ok(Some(Pressed { key, after })),
            }
        }
    }

    fn text(&mut self, prompt: &str) -> Result<String, Stopped> {
        Input::<String>::with_theme(&SimpleTheme)
            .with_prompt(prompt)
            .interact_text_on(&self.term)
            .map(|text| text.trim().to_owned())
            .map_err(|error| self.stopped(&error.into()))
    }

    fn confirm(&mut self, prompt: &str) -> Result<bool, Stopped> {
        Confirm::with_theme(&SimpleTheme)
            .with_prompt(prompt)
            .wait_for_newline(true)
            .interact_on(&self.term)
            .map_err(|error| self.stopped(&error.into()))
    }
}
