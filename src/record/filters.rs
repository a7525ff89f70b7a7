//! The filters a template may use, besides a few of the engine's own (see [`ENGINE_FILTERS`]).
//!
//! Each takes and gives plain text; what it gives is escaped like any other value.

/// Filters of the template engine that are allowed: none of them lets a text past the escaping.
pub const ENGINE_FILTERS: &[&str] = &[
    "default", "first", "join", "last", "length", "lower", "reverse", "trim", "upper",
];

/// Our own filters: name and what it does, for messages.
pub const FILTERS: &[(&str, &str)] = &[
    (
        "counted",
        "a number with its noun: counted(one=\"entry\", many=\"entries\")",
    ),
    (
        "else_say",
        "the text, or other words when there is none: else_say(words=\"not recorded\")",
    ),
    ("sentence", "a capital letter before and a full stop behind"),
    ("shortened", "the first twelve digits of a fingerprint"),
];

/// A number with its noun.
#[must_use]
pub fn counted(number: u64, one: &str, many: &str) -> String {
    match number {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        several => format!("{several} {many}"),
    }
}

/// The text, or other words when there is none.
#[must_use]
pub fn else_say(text: Option<&str>, words: &str) -> String {
    match text.map(str::trim) {
        None | Some("") => words.to_owned(),
        Some(text) => text.to_owned(),
    }
}

/// A capital letter before and a full stop behind; nothing stays nothing.
#[must_use]
pub fn sentence(text: &str) -> String {
    let text = text.trim();
    let mut letters = text.chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let mut out: String = first.to_uppercase().chain(letters).collect();
    let last = text.trim_end_matches(['\u{201d}', '"', ')']);
    if !last.ends_with(['.', '!', '?']) {
        out.push('.');
    }
    out
}

/// The first twelve digits of a fingerprint; other texts stay whole.
#[must_use]
pub fn shortened(text: &str) -> String {
    if text.len() > 12 && text.bytes().all(|digit| digit.is_ascii_hexdigit()) {
        text.chars().take(12).collect()
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counted_knows_none_one_and_many() {
        for (number, words) in [(0, "no entries"), (1, "1 entry"), (2, "2 entries")] {
            assert_eq!(counted(number, "entry", "entries"), words);
        }
    }

    #[test]
    fn else_say_speaks_only_when_there_is_nothing() {
        assert_eq!(else_say(None, "not recorded"), "not recorded");
        assert_eq!(else_say(Some("  "), "not recorded"), "not recorded");
        assert_eq!(else_say(Some(" 2 cm "), "not recorded"), "2 cm");
    }

    #[test]
    fn sentence_ends_once() {
        for (text, expected) in [
            ("recorded as done", "Recorded as done."),
            ("Is it so?", "Is it so?"),
            ("\u{201c}No spare.\u{201d}", "\u{201c}No spare.\u{201d}"),
            ("\u{201c}no spare\u{201d}", "\u{201c}no spare\u{201d}."),
            ("", ""),
            ("élan", "Élan."),
        ] {
            assert_eq!(sentence(text), expected);
        }
    }

    #[test]
    fn shortened_leaves_words_alone() {
        assert_eq!(shortened("0123456789abcdef"), "0123456789ab");
        assert_eq!(shortened("not known at all"), "not known at all");
    }
}
