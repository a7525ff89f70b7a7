//! Keys from the terminal with an end to the waiting: a thread waits in the place of the caller.

use std::io;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::Duration;

use console::{Key, Term};

/// The keys of a terminal. One is read only once it is asked for, so that a line prompt, which
/// reads by itself, finds every character that was not asked for here.
pub(super) struct Keys {
    ask: Sender<()>,
    read: Receiver<io::Result<Key>>,
    /// A key was asked for and has not come.
    asked: bool,
}

impl Keys {
    /// The keys of that terminal.
    pub(super) fn of(term: &Term) -> Self {
        let (ask, asked) = mpsc::channel();
        let (told, read) = mpsc::channel();
        let term = term.clone();
        thread::spawn(move || {
            while let Ok(()) = asked.recv() {
                if told.send(term.read_key_raw()).is_err() {
                    return;
                }
            }
        });
        Self {
            ask,
            read,
            asked: false,
        }
    }

    /// The next key, if it comes within that time.
    pub(super) fn next(&mut self, within: Duration) -> Option<io::Result<Key>> {
        if !self.asked {
            // That the thread is gone shows itself right below.
            self.ask.send(()).ok();
            self.asked = true;
        }
        match self.read.recv_timeout(within) {
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => Some(Err(io::Error::other(
                "the terminal cannot be read any more",
            ))),
            Ok(key) => {
                self.asked = false;
                Some(key)
            }
        }
    }
}
