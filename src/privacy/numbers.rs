//! Record numbers and telephone numbers, by their shape and by the label before them.

use std::ops::Range;

use super::words::{Word, is_label_gap};

/// Groups of digits with single signs between them.
struct Run<'a> {
    /// Whether a plus stands before the first.
    plus: bool,
    groups: Vec<Word<'a>>,
}

/// True for ten digits that are a number of the English health service, by their check digit:
/// weights 10 to 2 on the first nine, 11 minus the remainder by 11; 11 counts as 0, and 10 does not
/// occur (NHS Data Dictionary, "NHS Number").
#[must_use]
pub fn is_nhs_number(digits: &str) -> bool {
    let values: Vec<u32> = digits.chars().filter_map(|c| c.to_digit(10)).collect();
    if values.len() != 10 || digits.len() != 10 {
        return false;
    }
    let sum: u32 = values.iter().zip((2..=10).rev()).map(|(a, b)| a * b).sum();
    let check = (11 - sum % 11) % 11;
    check == values[9]
}

/// The lengths of the groups, each with the sign before it, match.
fn shape(text: &str, groups: &[Word<'_>], lengths: &[usize], signs: &[&str]) -> bool {
    groups.len() >= lengths.len()
        && groups
            .iter()
            .zip(lengths)
            .all(|(group, length)| group.text.len() == *length)
        && groups[..lengths.len()]
            .windows(2)
            .all(|pair| signs.contains(&&text[pair[0].end()..pair[1].start]))
}

fn joined(groups: &[Word<'_>]) -> String {
    groups.iter().map(|group| group.text).collect()
}

fn whole(groups: &[Word<'_>]) -> Range<usize> {
    let end = groups.last().map_or(0, Word::end);
    groups.first().map_or(0, |group| group.start)..end
}

/// Numbers of records.
pub(super) fn record_numbers(text: &str, words: &[Word<'_>]) -> Vec<Range<usize>> {
    let mut found = labelled(text, words, RECORD_LABELS, 4);
    for run in runs(text) {
        for start in 0..run.groups.len() {
            let groups = &run.groups[start..];
            let size = [&[10_usize][..], &[3, 3, 4]].into_iter().find(|lengths| {
                shape(text, groups, lengths, &[" ", "-"])
                    && is_nhs_number(&joined(&groups[..lengths.len()]))
            });
            let security = shape(text, groups, &[3, 2, 4], &["-"]).then_some(3);
            if let Some(size) = size.map(<[usize]>::len).or(security) {
                found.push(whole(&groups[..size]));
            }
        }
    }
    found.extend(
        words
            .iter()
            .filter(|word| is_lettered_number(word.text))
            .map(Word::range),
    );
    found
}

/// One to three capitals and six to eight digits, as many hospitals number their records (common
/// practice, no source).
fn is_lettered_number(word: &str) -> bool {
    let letters = word.bytes().take_while(u8::is_ascii_uppercase).count();
    let digits = &word[letters..];
    (1..=3).contains(&letters)
        && (6..=8).contains(&digits.len())
        && digits.bytes().all(|byte| byte.is_ascii_digit())
}

/// Labels of record numbers, word by word.
const RECORD_LABELS: &[&[&str]] = &[
    &["mrn"],
    &["nhs"],
    &["hospital", "no"],
    &["hospital", "number"],
    &["hospital", "id"],
    &["hosp", "no"],
    &["record", "no"],
    &["record", "number"],
    &["patient", "no"],
    &["patient", "number"],
    &["patient", "id"],
    &["insurance", "no"],
    &["insurance", "number"],
    &["ssn"],
];

/// Labels of telephone numbers.
const PHONE_LABELS: &[&[&str]] = &[
    &["tel"],
    &["telephone"],
    &["phone"],
    &["mobile"],
    &["mob"],
    &["cell"],
    &["fax"],
];

/// What may stand between a label and its number.
const FILLERS: &[&str] = &["no", "nr", "num", "number", "id", "is", "of"];

/// What stands after a label and has at least so many digits.
fn labelled(
    text: &str,
    words: &[Word<'_>],
    labels: &[&[&str]],
    digits: usize,
) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    for index in 0..words.len() {
        let label = labels.iter().find(|label| {
            label
                .iter()
                .enumerate()
                .all(|(ahead, part)| words.get(index + ahead).is_some_and(|word| word.is(part)))
        });
        let Some(label) = label else { continue };
        let mut value = index + label.len();
        while value < index + label.len() + 2
            && words.get(value).is_some_and(|word| word.is_any(FILLERS))
        {
            value += 1;
        }
        found.extend(value_at(text, words, value, digits));
    }
    found
}

/// A value of one word, or of groups of digits; close after the word before it.
fn value_at(text: &str, words: &[Word<'_>], index: usize, digits: usize) -> Option<Range<usize>> {
    let first = words.get(index)?;
    let label = words.get(index.checked_sub(1)?)?;
    let between = text[label.end()..first.start].trim_end_matches(['+', '(', '0']);
    if !is_label_gap(between) || first.digits() == 0 {
        return None;
    }
    let mut count = first.digits();
    let mut end = first.end();
    for word in words.iter().skip(index + 1).take(5) {
        let close = matches!(&text[end..word.start], " " | "/" | ") " | ")" | ".");
        let all_digits = word.digits() == word.text.len() && word.text.len() >= 2;
        if !close || !all_digits || word.text.len() > 8 {
            break;
        }
        count += word.digits();
        end = word.end();
    }
    if first.digits() >= digits {
        return Some(first.range());
    }
    let spread = first.digits() == first.text.len() && count >= digits.max(7);
    spread.then_some(first.start..end)
}

/// Numbers of telephones.
pub(super) fn phones(text: &str, words: &[Word<'_>]) -> Vec<Range<usize>> {
    let mut found = labelled(text, words, PHONE_LABELS, 7);
    for run in runs(text) {
        let all = joined(&run.groups).len();
        if run.plus && (8..=15).contains(&all) {
            // E.164: at most 15 digits after the plus.
            found.push(whole(&run.groups));
            continue;
        }
        for start in 0..run.groups.len() {
            let groups = &run.groups[start..];
            if let Some(size) = phone_size(text, groups) {
                found.push(whole(&groups[..size]));
            }
        }
    }
    found
}

/// How many groups make a telephone number, in the shapes of Britain (a nought first) and North
/// America (common practice, no source). Times such as 0410 and volumes have other shapes.
fn phone_size(text: &str, groups: &[Word<'_>]) -> Option<usize> {
    let first = groups.first()?.text;
    let spaced = &[" ", "-", ") "];
    let british: &[&[usize]] = if first.starts_with("01") {
        &[&[11], &[10], &[5, 6], &[5, 5], &[5, 3, 3], &[4, 3, 4]]
    } else if first.starts_with('0') && !first.starts_with("00") {
        &[&[11], &[10], &[5, 6], &[5, 5], &[5, 3, 3], &[3, 4, 4]]
    } else {
        &[]
    };
    let british = british
        .iter()
        .find(|lengths| shape(text, groups, lengths, spaced));
    if let Some(lengths) = british {
        return Some(lengths.len());
    }
    let far = |word: &Word<'_>| word.text.starts_with(|c| ('2'..='9').contains(&c));
    let american = ["-", ".", ") "].into_iter().any(|sign| {
        let rest = if sign == ") " { "-" } else { sign };
        shape(text, groups, &[3, 3, 4], &[sign, rest])
            && &text[groups[0].end()..groups[1].start] == sign
    });
    (american && far(&groups[0]) && far(&groups[1])).then_some(3)
}

/// Every run of groups of digits. A group touches no letter, and no decimal sign stands in it.
fn runs(text: &str) -> Vec<Run<'_>> {
    let mut runs: Vec<Run<'_>> = Vec::new();
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        if !bytes[at].is_ascii_digit() {
            at += 1;
            continue;
        }
        let start = at;
        while at < bytes.len() && bytes[at].is_ascii_digit() {
            at += 1;
        }
        let group = Word {
            text: &text[start..at],
            start,
        };
        let before = text[..start].chars().next_back();
        let after = text[at..].chars().next();
        if before.is_some_and(char::is_alphanumeric) || after.is_some_and(char::is_alphanumeric) {
            runs.push(Run {
                plus: false,
                groups: Vec::new(),
            });
            continue;
        }
        let joins = runs.last_mut().filter(|run| {
            run.groups.last().is_some_and(|last| {
                matches!(
                    &text[last.end()..start],
                    " " | "-" | "." | ") " | ")" | " (" | "-("
                )
            })
        });
        match joins {
            Some(run) => run.groups.push(group),
            None => runs.push(Run {
                plus: before == Some('+'),
                groups: vec![group],
            }),
        }
    }
    runs
}
