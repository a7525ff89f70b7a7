//! Words that look as if they tell who somebody is, pointed out before they are saved.
//!
//! The journal holds places, initials and roles, never what identifies a patient. Free words are
//! looked through for fields such as "name:", for titles before a name, record numbers, birth
//! dates, telephone numbers and e-mail addresses. What is found is shown masked, and the person
//! decides; nothing is ever blocked or changed here, because care must not wait.
//!
//! It is a help and no more: a name written without a title or a field is not noticed, and one in
//! eleven numbers of ten digits happens to pass as an NHS number.

mod dates;
mod names;
mod numbers;
mod words;

use std::fmt;
use std::ops::Range;

pub use numbers::is_nhs_number;

/// What some words look like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// An e-mail address.
    Email,
    /// A birth date.
    BirthDate,
    /// The number of a record or an insurance.
    RecordNumber,
    /// A telephone number.
    Phone,
    /// A person's name.
    Name,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Email => "an e-mail address",
            Self::BirthDate => "a birth date",
            Self::RecordNumber => "a record number",
            Self::Phone => "a telephone number",
            Self::Name => "a person's name",
        })
    }
}

/// Some words that look like something that identifies a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hit {
    /// What they look like.
    pub kind: Kind,
    /// Where they are, in bytes; always on the bounds of characters. A label before them, such as
    /// "name:", is not part of it.
    pub range: Range<usize>,
}

/// Everything in the text that looks like it identifies a person, in the order of the text; no two
/// overlap.
#[must_use]
pub fn find(text: &str) -> Vec<Hit> {
    let words = words::words(text);
    let mut found: Vec<Hit> = Vec::new();
    let kinds = [
        (Kind::Email, emails(text)),
        (Kind::BirthDate, dates::birth_dates(text, &words)),
        (Kind::RecordNumber, numbers::record_numbers(text, &words)),
        (Kind::Phone, numbers::phones(text, &words)),
        (Kind::Name, names::names(text, &words)),
    ];
    for (kind, ranges) in kinds {
        for range in ranges {
            let apart = |hit: &Hit| hit.range.end <= range.start || range.end <= hit.range.start;
            if found.iter().all(apart) {
                found.push(Hit { kind, range });
            }
        }
    }
    found.sort_by_key(|hit| hit.range.start);
    found
}

/// The text with each hit masked: of its letters and digits only the first is shown.
#[must_use]
pub fn masked(text: &str, hits: &[Hit]) -> String {
    let mut out = String::with_capacity(text.len());
    let mut shown = None;
    for (at, c) in text.char_indices() {
        let hit = hits.iter().position(|hit| hit.range.contains(&at));
        let first = hit != shown && c.is_alphanumeric();
        if first || hit.is_none() {
            shown = hit;
        }
        out.push(if hit.is_some() && !first && c.is_alphanumeric() {
            '*'
        } else {
            c
        });
    }
    out
}

/// Words with an `@` between a name and a place that has a dot.
fn emails(text: &str) -> Vec<Range<usize>> {
    let part = |c: char| c.is_alphanumeric() || matches!(c, '.' | '_' | '%' | '+' | '-');
    text.match_indices('@')
        .filter_map(|(at, _)| {
            let before = text[..at].trim_end_matches(part).len();
            let tail = &text[at + 1..];
            let host = tail.len() - tail.trim_start_matches(part).len();
            let host = tail[..host].trim_end_matches(['.', '-']);
            let (name, last) = host.rsplit_once('.')?;
            let good = before < at
                && !name.is_empty()
                && last.chars().count() >= 2
                && last.chars().all(char::is_alphabetic);
            good.then(|| before..at + 1 + host.len())
        })
        .collect()
}

#[cfg(test)]
#[path = "tests.rs"]
mod tests;
