//! The first look at a file: one pass over its parts, for what is refused whatever it means.
//!
//! Plain YAML only: no anchors, aliases, tags, merge keys or second documents, no key twice. This
//! pass keeps no positions apart from those of the problems it finds, because it always runs.

use std::borrow::Cow;
use std::collections::HashSet;

use saphyr_parser::{Event, Parser, ScalarStyle, Span};

use super::problem::{Kind, Place, Trick};

/// How deep lists and maps may stand in one another. The language needs ten.
pub(super) const DEEPEST: usize = 24;

/// At most so many problems of writing are told for one file.
const MOST: usize = 200;

/// What the first look gives.
#[derive(Debug, Default)]
pub(super) struct Scan {
    /// What is wrong, with line and column, counted from 1, and the length in characters.
    pub(super) problems: Vec<(Place, Kind)>,
    /// Whether the values can be read: not with aliases, a second document, or too deep.
    pub(super) readable: bool,
    /// Where this reader gave up.
    pub(super) stopped: Option<Place>,
}

impl Place {
    /// The place of a part. Of a part of several lines, only its beginning.
    pub(super) fn of_span(span: Span) -> Self {
        let length = if span.start.line() == span.end.line() {
            span.len().max(1)
        } else {
            1
        };
        Self {
            line: span.start.line(),
            column: span.start.col() + 1,
            length,
        }
    }
}

/// Looks through a text.
pub(super) fn scan(text: &str) -> Scan {
    let mut looker = Looker {
        scan: Scan {
            readable: true,
            ..Scan::default()
        },
        ..Looker::default()
    };
    for event in Parser::new_from_str(text) {
        match event {
            Ok((event, span)) => {
                if !looker.look(event, span) {
                    break;
                }
            }
            Err(error) => {
                let at = *error.marker();
                let spot = Place {
                    line: at.line(),
                    column: at.col() + 1,
                    length: 1,
                };
                looker.scan.stopped = Some(spot);
                break;
            }
        }
    }
    if looker.documents == 0 && looker.scan.stopped.is_none() {
        looker.add(Place::BEGIN, Kind::EmptyFile);
        looker.scan.readable = false;
    }
    looker.scan
}

#[derive(Default)]
struct Looker<'t> {
    scan: Scan,
    open: Vec<Open>,
    seen: HashSet<(u32, Cow<'t, str>)>,
    maps: u32,
    documents: usize,
}

/// A list or map that has begun.
enum Open {
    List,
    Map { number: u32, key_next: bool },
}

impl<'t> Looker<'t> {
    fn add(&mut self, spot: Place, kind: Kind) {
        if self.scan.problems.len() < MOST {
            self.scan.problems.push((spot, kind));
        }
    }

    fn trick(&mut self, span: Span, trick: Trick) {
        self.add(Place::of_span(span), Kind::NotPlain(trick));
    }

    /// Takes one part; `false` when it is no use to go on.
    fn look(&mut self, event: Event<'t>, span: Span) -> bool {
        match event {
            Event::DocumentStart(_) => {
                self.documents += 1;
                if self.documents > 1 {
                    self.trick(span, Trick::SecondDocument);
                    self.scan.readable = false;
                    return false;
                }
            }
            Event::Alias(_) => {
                self.trick(span, Trick::Alias);
                self.scan.readable = false;
                self.value_done();
            }
            Event::Scalar(words, style, anchor, tag) => {
                self.marks(span, anchor, tag.is_some());
                self.scalar(words, style, span);
            }
            Event::SequenceStart(anchor, tag) => {
                self.marks(span, anchor, tag.is_some());
                return self.begin(Open::List, span);
            }
            Event::MappingStart(anchor, tag) => {
                self.marks(span, anchor, tag.is_some());
                self.maps = self.maps.saturating_add(1);
                return self.begin(
                    Open::Map {
                        number: self.maps,
                        key_next: true,
                    },
                    span,
                );
            }
            Event::SequenceEnd | Event::MappingEnd => {
                self.open.pop();
                self.value_done();
            }
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => {}
        }
        true
    }

    fn marks(&mut self, span: Span, anchor: usize, tag: bool) {
        if anchor > 0 {
            self.trick(span, Trick::Anchor);
        }
        if tag {
            self.trick(span, Trick::Tag);
        }
    }

    fn begin(&mut self, open: Open, span: Span) -> bool {
        if matches!(self.open.last(), Some(Open::Map { key_next: true, .. })) {
            self.trick(span, Trick::KeyOfParts);
        }
        self.open.push(open);
        if self.open.len() > DEEPEST {
            self.add(Place::of_span(span), Kind::TooDeep { most: DEEPEST });
            self.scan.readable = false;
            return false;
        }
        true
    }

    fn scalar(&mut self, words: Cow<'t, str>, style: ScalarStyle, span: Span) {
        if let Some(Open::Map {
            number,
            key_next: true,
        }) = self.open.last()
        {
            if style == ScalarStyle::Plain && words == "<<" {
                self.trick(span, Trick::MergeKey);
            } else {
                let entry = (*number, words);
                if self.seen.contains(&entry) {
                    self.add(
                        Place::of_span(span),
                        Kind::DuplicateKey {
                            key: entry.1.into_owned(),
                        },
                    );
                } else {
                    self.seen.insert(entry);
                }
            }
        }
        self.value_done();
    }

    /// A key is followed by its value, a value by the next key.
    fn value_done(&mut self) {
        if let Some(Open::Map { key_next, .. }) = self.open.last_mut() {
            *key_next = !*key_next;
        }
    }
}
