//! Words with their places in the text.

use std::ops::Range;

/// A run of letters and digits, with the hyphens and apostrophes inside it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Word<'a> {
    pub text: &'a str,
    pub start: usize,
}

impl Word<'_> {
    pub(super) const fn end(&self) -> usize {
        self.start + self.text.len()
    }

    pub(super) fn range(&self) -> Range<usize> {
        self.start..self.end()
    }

    pub(super) fn is(&self, other: &str) -> bool {
        self.text.eq_ignore_ascii_case(other)
    }

    pub(super) fn is_any(&self, others: &[&str]) -> bool {
        others.iter().any(|other| self.is(other))
    }

    pub(super) fn digits(&self) -> usize {
        self.text.bytes().filter(u8::is_ascii_digit).count()
    }

    /// True for a capital and at least one small letter after it, such as in names.
    pub(super) fn is_capitalised(&self) -> bool {
        let mut chars = self.text.chars();
        chars.next().is_some_and(char::is_uppercase)
            && chars.any(char::is_lowercase)
            && !self.text.chars().any(char::is_numeric)
    }
}

/// The words of a text, in order.
pub(super) fn words(text: &str) -> Vec<Word<'_>> {
    let joins = |c: char| matches!(c, '-' | '\'' | '\u{2019}');
    let mut words = Vec::new();
    let mut start = None;
    let ends = text.char_indices().chain([(text.len(), ' ')]);
    for (at, c) in ends {
        match start {
            None if c.is_alphanumeric() => start = Some(at),
            Some(from) if !c.is_alphanumeric() && !joins(c) => {
                let text = text[from..at].trim_end_matches(joins);
                words.push(Word { text, start: from });
                start = None;
            }
            _ => {}
        }
    }
    words
}

/// True when between the two places stand only spaces, and at most one of the signs that follow a
/// label.
pub(super) fn is_label_gap(between: &str) -> bool {
    let signs = between.chars().filter(|c| !c.is_whitespace());
    between.chars().count() <= 6
        && signs.clone().count() <= 2
        && signs
            .into_iter()
            .all(|c| matches!(c, ':' | '=' | '#' | '.' | '-' | '\u{2013}'))
}
