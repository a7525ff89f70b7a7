//! Single values: words, names, numbers, times, days.

use crate::checklist::model::Text;
use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::At;
use crate::checklist::text;
use crate::checklist::tree::{Data, Node};
use crate::names::NotAName;
use crate::units::{Amount, BadAmount, Number, Span, Unit};

use super::Reader;

impl Reader<'_> {
    /// Words on one line.
    pub(super) fn words(&mut self, node: &Node) -> Option<String> {
        let words = self.lines(node)?;
        if words.contains('\n') {
            self.wrong(node, Kind::SeveralLines);
            return None;
        }
        Some(words)
    }

    /// Words, of several lines if need be, without the space around them.
    pub(super) fn lines(&mut self, node: &Node) -> Option<String> {
        let kind = match &node.data {
            Data::Text(words) => match words.trim() {
                "" => Kind::EmptyText,
                words if words == "~" || words.eq_ignore_ascii_case("null") => Kind::EmptyText,
                words => match words.chars().find(|c| is_hidden(*c)) {
                    Some(c) => Kind::HiddenCharacter { code: u32::from(c) },
                    None => return Some(words.to_owned()),
                },
            },
            Data::Empty => Kind::EmptyText,
            Data::Bool(truth) => Kind::NeedsQuotes {
                words: truth.to_string(),
            },
            Data::Number(number) => Kind::NeedsQuotes {
                words: number.clone(),
            },
            Data::List(_) | Data::Map(_) => {
                self.wrong_shape(node, "words");
                return None;
            }
        };
        self.wrong(node, kind);
        None
    }

    /// Words with places to be filled.
    pub(super) fn text(&mut self, node: &Node) -> Option<At<Text>> {
        let words = self.words(node)?;
        match text::parse(&words) {
            Ok(text) => Some(At {
                is: text,
                at: self.at(node),
            }),
            Err(kind) => {
                self.wrong(node, kind);
                None
            }
        }
    }

    /// A name.
    pub(super) fn name<N>(
        &mut self,
        node: &Node,
        make: fn(&str) -> Result<N, NotAName>,
    ) -> Option<At<N>> {
        let words = self.words(node)?;
        match make(&words) {
            Ok(name) => Some(At {
                is: name,
                at: self.at(node),
            }),
            Err(why) => {
                self.wrong(node, Kind::BadName(why));
                None
            }
        }
    }

    /// One name or a list of names.
    pub(super) fn names<N>(
        &mut self,
        node: &Node,
        make: fn(&str) -> Result<N, NotAName>,
    ) -> Vec<At<N>> {
        match &node.data {
            Data::List(_) => {
                let items = self.items(node, "a list of names");
                items
                    .iter()
                    .filter_map(|item| self.name(item, make))
                    .collect()
            }
            _ => self.name(node, make).into_iter().collect(),
        }
    }

    /// A list of phrases, each on one line.
    pub(super) fn phrases(&mut self, node: &Node) -> Vec<String> {
        let items = self.items(node, "a list of phrases");
        items.iter().filter_map(|item| self.words(item)).collect()
    }

    /// One of a few words.
    pub(super) fn word<T: Copy>(
        &mut self,
        node: &Node,
        what: &'static str,
        all: &[T],
        word: fn(T) -> &'static str,
    ) -> Option<At<T>> {
        let found = self.words(node)?;
        if let Some(value) = all.iter().find(|value| word(**value) == found) {
            return Some(At {
                is: *value,
                at: self.at(node),
            });
        }
        let known: Vec<&str> = all.iter().map(|value| word(*value)).collect();
        let nearest = nearest(&found, known.iter().copied());
        let known = known.into_iter().map(str::to_owned).collect();
        self.wrong(
            node,
            Kind::UnknownWord {
                word: found,
                what,
                known,
                nearest,
            },
        );
        None
    }

    /// `true` or `false`.
    pub(super) fn truth(&mut self, node: &Node) -> Option<bool> {
        let found = match &node.data {
            Data::Bool(truth) => return Some(*truth),
            Data::Text(words) | Data::Number(words) => words.clone(),
            Data::Empty => String::new(),
            Data::List(_) | Data::Map(_) => {
                self.wrong_shape(node, "true or false");
                return None;
            }
        };
        self.wrong(node, Kind::NotTruth { found });
        None
    }

    /// A whole number from 1 to `most`.
    pub(super) fn count(&mut self, node: &Node, most: u32) -> Option<u32> {
        let found = match &node.data {
            Data::Number(number) => match number.parse() {
                Ok(count) if (1..=most).contains(&count) => return Some(count),
                _ => number.clone(),
            },
            Data::Text(words) => words.clone(),
            Data::Bool(truth) => truth.to_string(),
            Data::Empty => String::new(),
            Data::List(_) | Data::Map(_) => {
                self.wrong_shape(node, "a whole number");
                return None;
            }
        };
        self.wrong(node, Kind::NotACount { found, most });
        None
    }

    /// A length of time of at least a second, such as 5 min.
    pub(super) fn span(&mut self, node: &Node) -> Option<At<Span>> {
        let words = self.words_or_number(node)?;
        match Span::parse(&words) {
            Ok(span) if span > Span(0) => Some(At {
                is: span,
                at: self.at(node),
            }),
            Ok(_) => {
                let why = BadAmount::NotANumber { text: words };
                self.wrong(
                    node,
                    Kind::NotAnAmount {
                        wanted: "a length of time above zero",
                        why,
                    },
                );
                None
            }
            Err(why) => {
                let why = whole_words(why, words);
                self.wrong(
                    node,
                    Kind::NotAnAmount {
                        wanted: "a length of time",
                        why,
                    },
                );
                None
            }
        }
    }

    /// An amount with its unit, such as 2 cm.
    pub(super) fn amount(&mut self, node: &Node) -> Option<Amount> {
        let words = self.words_or_number(node)?;
        match Amount::parse(&words) {
            Ok(amount) => Some(amount),
            Err(why) => {
                let why = whole_words(why, words);
                self.wrong(
                    node,
                    Kind::NotAnAmount {
                        wanted: "an amount",
                        why,
                    },
                );
                None
            }
        }
    }

    /// A unit of measurement.
    pub(super) fn unit(&mut self, node: &Node) -> Option<Unit> {
        let words = self.words(node)?;
        let unit = Unit::parse(&words);
        if unit.is_none() {
            self.wrong(node, Kind::UnknownUnit { found: words });
        }
        unit
    }

    /// Two numbers, the lower first: 0 to 30.
    pub(super) fn number_range(&mut self, node: &Node) -> Option<(Number, Number)> {
        let words = self.words(node)?;
        let read = |text: &str| Number::parse(text).ok();
        let range = words
            .split_once(" to ")
            .and_then(|(low, high)| Some((read(low)?, read(high)?)));
        match range {
            Some((low, high)) if low < high => Some((low, high)),
            Some(_) => {
                self.wrong(node, Kind::RangeBackwards);
                None
            }
            None => {
                self.wrong(node, Kind::NotARange { found: words });
                None
            }
        }
    }

    /// Two lengths of time, the lower first: 1 min to 2 h.
    pub(super) fn span_range(&mut self, node: &Node) -> Option<(Span, Span)> {
        let words = self.words(node)?;
        let read = |text: &str| Span::parse(text).ok();
        let range = words
            .split_once(" to ")
            .and_then(|(low, high)| Some((read(low)?, read(high)?)));
        match range {
            Some((low, high)) if low < high => Some((low, high)),
            Some(_) => {
                self.wrong(node, Kind::RangeBackwards);
                None
            }
            None => {
                self.wrong(node, Kind::NotARange { found: words });
                None
            }
        }
    }

    /// Words where a bare number or truth is a likely slip that the caller words better.
    pub(super) fn words_or_number(&mut self, node: &Node) -> Option<String> {
        match &node.data {
            Data::Number(number) => Some(number.clone()),
            Data::Bool(truth) => Some(truth.to_string()),
            _ => self.words(node),
        }
    }
}

/// The error with all the words that were given, not only the part that should be the number.
fn whole_words(why: BadAmount, words: String) -> BadAmount {
    match why {
        BadAmount::NotANumber { .. } => BadAmount::NotANumber { text: words },
        other => other,
    }
}

/// Characters that cannot be seen, or that turn the order of the text on a screen.
pub(in crate::checklist) const fn is_hidden(c: char) -> bool {
    matches!(c,
        '\u{0}'..='\u{9}' | '\u{b}'..='\u{1f}' | '\u{7f}'..='\u{9f}'
        | '\u{ad}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}' | '\u{2060}'
        | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}')
}
