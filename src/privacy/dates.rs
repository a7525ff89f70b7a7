//! Birth dates: a date after a label, or one of the last century.

use std::ops::Range;

use super::words::{Word, is_label_gap};

/// Labels, word by word.
const LABELS: &[&[&str]] = &[
    &["dob"],
    &["d", "o", "b"],
    &["date", "of", "birth"],
    &["birth", "date"],
    &["birthdate"],
    &["birthday"],
    &["born"],
    &["born", "on"],
];

const MONTHS: &[&str] = &[
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
];

/// Where birth dates stand.
pub(super) fn birth_dates(text: &str, words: &[Word<'_>]) -> Vec<Range<usize>> {
    dates(text, words)
        .into_iter()
        .filter(|date| date.last_century || has_label(text, words, date.range.start))
        .map(|date| date.range)
        .collect()
}

/// A drain is not older than this century; whoever was born in the last one may be.
struct Date {
    range: Range<usize>,
    last_century: bool,
}

/// True when a label ends right before that place.
fn has_label(text: &str, words: &[Word<'_>], at: usize) -> bool {
    let before = words.iter().take_while(|word| word.end() <= at).count();
    let words = &words[..before];
    let Some(last) = words.last() else {
        return false;
    };
    is_label_gap(&text[last.end()..at])
        && LABELS.iter().any(|label| {
            let tail = words
                .len()
                .checked_sub(label.len())
                .map(|from| &words[from..]);
            tail.is_some_and(|tail| tail.iter().zip(*label).all(|(word, part)| word.is(part)))
        })
}

fn dates(text: &str, words: &[Word<'_>]) -> Vec<Date> {
    (0..words.len())
        .filter_map(|index| hyphened(words[index]).or_else(|| three(text, &words[index..])))
        .collect()
}

/// A date in one word: 1951-04-03, 03-04-1951, 3-Apr-51.
fn hyphened(word: Word<'_>) -> Option<Date> {
    let parts: Vec<&str> = word.text.split('-').collect();
    date(&parts, word.range())
}

/// A date in three words: 03/04/1951, 3.4.51, 3 April 1951, April 3, 1951.
fn three(text: &str, words: &[Word<'_>]) -> Option<Date> {
    let [first, second, third] = words.get(..3)? else {
        return None;
    };
    let signs = (
        &text[first.end()..second.start],
        &text[second.end()..third.start],
    );
    let numbers = matches!(signs, ("/", "/") | (".", "."));
    let month = matches!(signs, (" " | ". ", " " | ", "))
        && [first, second]
            .iter()
            .any(|word| month(word.text).is_some());
    if !numbers && !month {
        return None;
    }
    date(
        &[first.text, second.text, third.text],
        first.start..third.end(),
    )
}

/// The month of that name, in full or shortened.
fn month(word: &str) -> Option<u32> {
    let word = word.to_lowercase();
    let short = word.get(..3)?;
    let number = MONTHS.iter().position(|month| *month == short)?;
    let full = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ][number];
    (word == short || word == full || word == "sept").then(|| number as u32 + 1)
}

/// A date when one of the parts can be a day, one a month, and the first or last a year.
fn date(parts: &[&str], range: Range<usize>) -> Option<Date> {
    let [first, second, third] = parts else {
        return None;
    };
    let number = |part: &str| {
        let few = part.len() <= 4 && part.bytes().all(|byte| byte.is_ascii_digit());
        few.then(|| part.parse::<u32>().ok()).flatten()
    };
    let (a, b, year) = if first.len() == 4 && number(first).is_some() {
        (*second, *third, *first)
    } else {
        (*first, *second, *third)
    };
    let small = |part: &str| month(part).or_else(|| number(part).filter(|_| part.len() <= 2));
    let (a, b) = (small(a)?, small(b)?);
    let years = number(year)?;
    let can_be = (1..=31).contains(&a) && (1..=31).contains(&b) && (a <= 12 || b <= 12);
    let full_year = year.len() == 4 && (1900..=2099).contains(&years);
    (can_be && (full_year || year.len() == 2)).then_some(Date {
        range,
        last_century: full_year && years < 2000,
    })
}
