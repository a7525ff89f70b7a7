//! Names after a title or in a field.

use std::ops::Range;

use super::words::Word;

/// Titles, as they stand before a name.
const TITLES: &[&str] = &["Mr", "Mrs", "Ms", "Miss", "Mx", "Dr", "Prof"];

/// Titles that are taken for titles in capitals and small letters too; the others are also words.
const PLAIN_TITLES: &[&str] = &["mr", "mrs"];

/// Words with a capital that follow a title without being a name.
const NOT_NAMES: &[&str] = &[
    "a",
    "and",
    "angiogram",
    "angiography",
    "at",
    "aware",
    "called",
    "contacted",
    "for",
    "from",
    "has",
    "imaging",
    "in",
    "informed",
    "is",
    "not",
    "notified",
    "on",
    "or",
    "ordered",
    "paged",
    "review",
    "reviewed",
    "round",
    "said",
    "scan",
    "seen",
    "soon",
    "the",
    "to",
    "told",
    "was",
    "who",
    "will",
    "with",
];

/// First words of a field for a name: "name:", "surname:" and so on.
const FIELDS: &[&str] = &[
    "name",
    "names",
    "surname",
    "forename",
    "forenames",
    "firstname",
    "lastname",
    "fullname",
];

/// What makes "name:" the name of a thing.
const THINGS: &[&str] = &[
    "brand",
    "checklist",
    "device",
    "drug",
    "duty",
    "fact",
    "file",
    "folder",
    "generic",
    "list",
    "local",
    "place",
    "product",
    "role",
    "room",
    "set",
    "step",
    "trade",
    "unit",
    "user",
    "ward",
];

/// Where names stand.
pub(super) fn names(text: &str, words: &[Word<'_>]) -> Vec<Range<usize>> {
    (0..words.len())
        .filter_map(|index| {
            after_title(text, words, index).or_else(|| in_field(text, words, index))
        })
        .collect()
}

/// "Mrs Jones", "Dr. O'Neill", "mr smith".
fn after_title(text: &str, words: &[Word<'_>], index: usize) -> Option<Range<usize>> {
    let title = words[index];
    let next = words.get(index + 1)?;
    let plain = title.is_any(PLAIN_TITLES);
    if !(plain || TITLES.contains(&title.text)) {
        return None;
    }
    let between = &text[title.end()..next.start];
    let joined = matches!(between.trim_matches(' '), "" | ".") && !between.is_empty();
    let letters = next.text.chars().count() >= 2 && !next.text.chars().any(char::is_numeric);
    let like_a_name = next.is_capitalised() || (plain && letters);
    (joined && like_a_name && !next.is_any(NOT_NAMES)).then(|| run(text, words, index + 1))
}

/// "name: …", "patient's surname = …", "patient name is …", "named …".
fn in_field(text: &str, words: &[Word<'_>], index: usize) -> Option<Range<usize>> {
    let field = words[index];
    let before = index.checked_sub(1).map(|index| words[index]);
    let next = words.get(index + 1)?;
    let between = &text[field.end()..next.start];
    let letters = next.text.chars().any(char::is_alphabetic);
    if field.is_any(FIELDS) && !before.is_some_and(|word| word.is_any(THINGS)) {
        let sign = between.contains([':', '=']) && between.chars().count() <= 4;
        if sign && letters {
            return Some(run(text, words, index + 1));
        }
        let value = words.get(index + 2)?;
        let is = next.is("is") && between == " " && value.is_capitalised();
        return is.then(|| run(text, words, index + 2));
    }
    let named = field.is("named") && between == " " && next.is_capitalised();
    let patient = field.is_any(&["patient", "pt"])
        && between.contains([':', '='])
        && between.chars().count() <= 4
        && next.is_capitalised()
        && words.get(index + 2).is_some_and(|second| {
            second.is_capitalised() && &text[next.end()..second.start] == " "
        });
    (named || patient).then(|| run(text, words, index + 1))
}

/// From that word on, all further ones that may belong to the same name: at most four, on the same
/// line, capitalised like the first or single letters.
fn run(text: &str, words: &[Word<'_>], first: usize) -> Range<usize> {
    let mut end = words[first].end();
    for word in words.iter().skip(first + 1).take(3) {
        let between = &text[end..word.start];
        let close = matches!(between, " " | ", " | ". ");
        let initial = word.text.chars().count() == 1 && word.text.chars().all(char::is_uppercase);
        if !close || !(word.is_capitalised() || initial) || word.is_any(NOT_NAMES) {
            break;
        }
        end = word.end();
    }
    words[first].start..end
}
