//! One word for one thing: what else people say is found by `find`, and a list uses the one word;
//! abbreviations only as the glossary has them.
//!
//! ASD-STE100 Simplified Technical English (second-hand); Nursing and Midwifery Council (UK), The
//! Code, 10.4, for records (passage read).

use std::collections::HashMap;

use crate::checklist::glossary::Glossary;
use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Said, Word};
use super::{Rules, told};

/// The words of a phrase in small letters; an abbreviation in capitals as it stands, so that "MET"
/// is not found in "met".
fn words_of(phrase: &str) -> Vec<String> {
    let small = |word: &str| match is_short(word) {
        true => word.to_owned(),
        false => word.to_lowercase(),
    };
    phrase.split_whitespace().map(small).collect()
}

/// Whether one row of words stands inside another.
fn holds(long: &[String], short: &[String]) -> bool {
    long.windows(short.len()).any(|row| row == short)
}

/// What else people say for each word of the glossary. What is itself a word of the glossary, or
/// a part of one, may stand in a list.
pub(super) fn others(glossary: &Glossary) -> HashMap<String, Vec<(Vec<String>, &str)>> {
    let own: Vec<Vec<String>> = glossary
        .terms
        .values()
        .flat_map(|term| term.short.iter().chain([&term.word]))
        .map(|word| words_of(word))
        .collect();
    let mut others: HashMap<String, Vec<(Vec<String>, &str)>> = HashMap::new();
    for term in glossary.terms.values() {
        for said in &term.elsewhere {
            let row = words_of(said);
            if own.iter().any(|word| holds(word, &row)) {
                continue;
            }
            if let Some(first) = row.first().cloned() {
                others.entry(first).or_default().push((row, &term.word));
            }
        }
    }
    others
}

pub(super) fn check(rules: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    for (at, word) in said.words.iter().enumerate() {
        let rest = &said.words[at..];
        let first = if is_short(word.word) {
            word.word
        } else {
            word.small.as_str()
        };
        let found = rules
            .others
            .get(first)
            .and_then(|rows| rows.iter().find(|(row, _)| begins(rest, row)));
        if let Some((row, word)) = found {
            let prose = Prose::OtherWord {
                found: row.join(" "),
                word: (*word).to_owned(),
            };
            told(said.at, prose, out);
        }
        if is_short(word.word) && !known(rules, word.word) {
            let found = word.word.to_owned();
            told(said.at, Prose::UnknownAbbreviation { found }, out);
        }
    }
}

/// Whether a text begins with a row of words, with no comma or full stop between them.
fn begins(text: &[Word<'_>], row: &[String]) -> bool {
    let Some(text) = text.get(..row.len()) else {
        return false;
    };
    let same = text
        .iter()
        .zip(row)
        .all(|(word, row)| *row == word.small || row == word.word);
    let (_, inner) = text.split_last().unwrap_or((&text[0], &[]));
    same && inner.iter().all(|word| word.after.is_empty())
}

/// Whether a word looks like an abbreviation: two capital letters or more.
fn is_short(word: &str) -> bool {
    word.chars().filter(|c| c.is_uppercase()).count() > 1
}

/// Whether the glossary has it, whole or by its parts ("mL/kg").
fn known(rules: &Rules<'_>, word: &str) -> bool {
    let has = |word: &str| rules.glossary.abbreviations.contains_key(word);
    has(word)
        || word
            .split(['/', '-'])
            .all(|part| !is_short(part) || has(part))
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn another_word_for_the_same_thing_is_told() {
        assert_eq!(with("do", "Open the drain bottle."), ["other-word"]);
        assert_eq!(with("answer", "Tidaling"), ["other-word"]);
        assert_eq!(
            with("answer", "MET"),
            ["other-word", "unknown-abbreviation"]
        );
        assert_eq!(with("answer", "limit met"), [""; 0]);
        assert_eq!(with("answer", "drain, bottle"), [""; 0]);
        assert_eq!(with("where", "A wooden box, old unit"), [""; 0]);
        assert_eq!(with("where", "Drainage unit"), [""; 0]);
    }

    #[test]
    fn an_unknown_abbreviation_is_told() {
        assert_eq!(with("do", "Call ICU."), ["unknown-abbreviation"]);
        assert_eq!(with("where", "SpO2, in mL/kg"), [""; 0]);
        assert_eq!(with("where", "SpO2/FiO2"), ["unknown-abbreviation"]);
    }
}
