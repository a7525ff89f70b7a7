//! A number says its unit: 2 kPa is ten times 2 cmH2O. Counts of things are written as words
//! ("five breaths").
//!
//! Common practice, no source; mistaken units of suction are why it matters here.

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;
use crate::units::Unit;

use super::said::{Said, Word};
use super::{Rules, told};

/// Units of time written out, which [`Unit::parse`] does not take.
const TIMES: &[&str] = &[
    "second", "seconds", "minute", "minutes", "hour", "hours", "day", "days",
];
/// Words that lead to a further number, whose unit then holds for both.
const ONWARD: &[&str] = &["to", "or", "and", "of"];

pub(super) fn check(_: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    for (at, word) in said.words.iter().enumerate() {
        let ratio = at > 0 && is_ratio(said.words[at - 1].word);
        if is_number(word) && !ratio && !has_unit(&said.words[at + 1..]) {
            let number = word.word.to_owned();
            told(said.at, Prose::NoUnit { number }, out);
            return;
        }
    }
}

fn is_number(word: &Word<'_>) -> bool {
    word.word.starts_with(|c: char| c.is_ascii_digit())
        && word
            .word
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | ':'))
}

/// Whether a word names a ratio or score, which has no unit.
fn is_ratio(word: &str) -> bool {
    matches!(word, "INR" | "pH")
}

/// Whether the words after a number begin with a unit, or with more numbers and then a unit.
fn has_unit(rest: &[Word<'_>]) -> bool {
    for word in rest {
        let onward = ONWARD.contains(&word.small.as_str()) || is_number(word);
        if !onward {
            return Unit::parse(word.word).is_some() || TIMES.contains(&word.small.as_str());
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_number_has_its_unit() {
        for good in [
            "Close it at 20 cmH2O.",
            "Look at 15, 30 and 60 minutes.",
            "Put it 2 to 5 cm deep.",
            "Look for 90%.",
            "Watch five breaths.",
            "Call the doctor: INR 1.5 or more.",
        ] {
            assert!(!with("do", good).contains(&"number-without-unit"), "{good}");
        }
        for bad in ["Close it at 20.", "Put it 2 to 5 deep.", "Watch 5 breaths."] {
            assert_eq!(with("do", bad), ["number-without-unit"], "{bad}");
        }
    }
}
