//! From bytes to trees: each file by itself, and so several at a time.

use std::borrow::Cow;
use std::num::NonZero;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use super::problem::{Kind, Place, Slip};
use super::read::is_hidden;
use super::scan::{self, scan};
use super::shelf::{Role, role, shipped_tree};
use super::slip;
use super::tree::{self, Node};

/// The largest file that is read, in bytes: a thousand times the longest checklist there is.
const LARGEST: usize = 4 * 1024 * 1024;

/// At most so many hidden characters are told for one file.
const MOST_HIDDEN: usize = 20;

/// With more open brackets than this, a file that cannot be read anyway is not looked at twice.
const MOST_BRACKETS: usize = 100;

/// Fewer bytes than this in all are read faster by one thread than by several.
const FEW_BYTES: usize = 64 * 1024;

/// More threads than this gain nothing with some dozens of files.
const MOST_THREADS: usize = 8;

/// Whether files that are as they were shipped are read as YAML again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reading {
    /// They are not: their trees were packed when the program was built.
    Packed,
    /// They are.
    AsWritten,
}

/// A file as far as it can be read without knowing what it means.
#[derive(Debug, Default)]
pub(super) struct Opened {
    /// Its text, if it is text.
    pub(super) text: Option<Arc<str>>,
    /// What is wrong with it.
    pub(super) problems: Vec<(Place, Kind)>,
    /// What is in it, if it is YAML that is read here.
    pub(super) root: Option<Node>,
}

/// Opens every file, each given with its path; the answers are in the same order.
pub(super) fn open_all(files: &[(&str, &[u8])], reading: Reading) -> Vec<Opened> {
    let bytes: usize = files.iter().map(|(_, bytes)| bytes.len()).sum();
    let threads = match thread::available_parallelism().map_or(1, NonZero::get) {
        _ if bytes < FEW_BYTES => 1,
        threads => threads.min(MOST_THREADS).min(files.len()),
    };
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some((path, bytes)) = files.get(index) else {
                return done;
            };
            done.push((index, open(path, bytes, reading)));
        }
    };
    // What a helper that failed did not bring back stays so.
    let lost = || Opened {
        problems: vec![(Place::BEGIN, Kind::OurFault)],
        ..Opened::default()
    };
    let mut opened: Vec<Opened> = files.iter().map(|_| lost()).collect();
    thread::scope(|scope| {
        let helpers: Vec<_> = (1..threads).map(|_| scope.spawn(work)).collect();
        let mut done = work();
        for helper in helpers {
            done.extend(helper.join().unwrap_or_default());
        }
        for (index, one) in done {
            if let Some(place) = opened.get_mut(index) {
                *place = one;
            }
        }
    });
    opened
}

/// Opens one file.
fn open(path: &str, bytes: &[u8], reading: Reading) -> Opened {
    let mut opened = Opened::default();
    match role(path) {
        Role::Other => return opened,
        Role::NotYaml => {
            let file = path.to_owned();
            opened
                .problems
                .push((Place::BEGIN, Kind::NotYamlName { file }));
            return opened;
        }
        _ => {}
    }
    if let Some(root) = shipped(path, bytes, reading) {
        opened.text = std::str::from_utf8(bytes).ok().map(Into::into);
        opened.root = Some(root);
        return opened;
    }
    if bytes.len() > LARGEST {
        let (bytes, most) = (bytes.len(), LARGEST);
        opened
            .problems
            .push((Place::BEGIN, Kind::TooBig { bytes, most }));
        return opened;
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => {
            let text: Arc<str> = plain_lines(text).into();
            opened.parse(&text);
            opened.text = Some(text);
        }
        Err(error) => opened.not_utf8(bytes, error.valid_up_to()),
    }
    opened
}

/// The tree of a file that is exactly as it was shipped.
fn shipped(path: &str, bytes: &[u8], reading: Reading) -> Option<Node> {
    match reading {
        Reading::Packed => shipped_tree(path, bytes),
        Reading::AsWritten => None,
    }
}

impl Opened {
    fn parse(&mut self, text: &str) {
        if self.hidden(text) {
            return;
        }
        let looked = scan(text);
        self.problems.extend(looked.problems);
        if let Some(place) = looked.stopped {
            self.stopped(text, place);
        } else if looked.readable {
            match tree::parse(text) {
                Ok(root) => self.root = Some(root),
                Err(error) => {
                    let (place, slip) = slip::of(&error, text);
                    self.problems
                        .push((place.unwrap_or(Place::BEGIN), Kind::Syntax(slip)));
                }
            }
        }
    }

    /// Tells why the first look stopped. Both readers must take a file, and the place that the
    /// second one gives is the better one.
    fn stopped(&mut self, text: &str, place: Place) {
        // The second reader takes very long over brackets in brackets.
        if slip::brackets_deep(text) > MOST_BRACKETS {
            self.problems.push((
                place,
                Kind::TooDeep {
                    most: scan::DEEPEST,
                },
            ));
            return;
        }
        let (better, slip) = match tree::parse(text) {
            Err(error) => slip::of(&error, text),
            Ok(_) => (None, Slip::Other),
        };
        self.problems
            .push((better.unwrap_or(place), Kind::Syntax(slip)));
    }

    fn not_utf8(&mut self, bytes: &[u8], valid: usize) {
        let good = String::from_utf8_lossy(&bytes[..valid.min(bytes.len())]);
        let line = good.matches('\n').count() + 1;
        let column = good.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        self.text = Some(plain_lines(&String::from_utf8_lossy(bytes)).into());
        self.problems.push((
            Place {
                line,
                column,
                length: 1,
            },
            Kind::NotUtf8,
        ));
    }

    /// Tells the characters that cannot be seen; `true` when there are any.
    fn hidden(&mut self, text: &str) -> bool {
        let hides = |c: char| c != '\t' && c != '\n' && is_hidden(c);
        let plain = |b: u8| (0x20..0x7f).contains(&b) || b == b'\n';
        if text.bytes().all(plain) || !text.contains(hides) {
            return false;
        }
        let places = text.split('\n').enumerate().flat_map(|(index, line)| {
            let here = line.chars().enumerate().filter(|(_, c)| hides(*c));
            here.map(move |(column, c)| {
                (
                    Place {
                        line: index + 1,
                        column: column + 1,
                        length: 1,
                    },
                    c,
                )
            })
        });
        for (place, c) in places.take(MOST_HIDDEN) {
            self.problems
                .push((place, Kind::HiddenCharacter { code: u32::from(c) }));
        }
        true
    }
}

/// The text without a byte order mark, every line ended by a line feed alone.
fn plain_lines(text: &str) -> Cow<'_, str> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.contains('\r') {
        Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n"))
    } else {
        Cow::Borrowed(text)
    }
}
