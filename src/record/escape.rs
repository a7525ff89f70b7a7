//! Text from people and files, made inert in Markdown.
//!
//! Every value a template prints goes through `escape`. What comes out reads as the same words
//! in any reader of Markdown and stays on one line, so that it can neither format, nor link, nor
//! break a table, nor hide or turn round what stands beside it.

use std::io::{self, Write};

/// Stands between the lines of a text that had several.
const LINE_JOIN: &str = " / ";

/// Opens a stretch whose direction of writing does not reach outside (U+2068).
const ISOLATE: char = '\u{2068}';
/// Closes it (U+2069).
const POP_ISOLATE: char = '\u{2069}';

/// Makes a text inert in Markdown, on one line.
///
/// Punctuation that could mean something gets a backslash, as CommonMark 0.31 section 2.4 allows
/// for any ASCII punctuation. Line ends become " / ", control characters vanish, and text written
/// from right to left is isolated, so that it cannot turn its neighbours round.
#[must_use]
pub fn markdown(text: &str) -> String {
    let flat = one_line(text);
    let mut out = String::with_capacity(flat.len() + 8);
    let turned = flat.chars().any(is_right_to_left);
    if turned {
        out.push(ISOLATE);
    }
    let letters: Vec<char> = flat.chars().collect();
    for (index, &letter) in letters.iter().enumerate() {
        if means_something(&letters, index) {
            out.push('\\');
        }
        out.push(letter);
    }
    if turned {
        out.push(POP_ISOLATE);
    }
    out
}

/// [`markdown`] in the shape the template engine asks for.
pub(super) fn escape(text: &str, out: &mut dyn Write) -> io::Result<()> {
    out.write_all(markdown(text).as_bytes())
}

/// Whether a letter could mean something to a reader of Markdown where it stands.
fn means_something(letters: &[char], index: usize) -> bool {
    let before = index.checked_sub(1).map(|before| letters[before]);
    let after = letters.get(index + 1).copied();
    match letters[index] {
        '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '&' | '|' | '~' | '#' | '$' | '@' => true,
        // A link that some readers make of bare addresses.
        ':' => index == 0 || after == Some('/'),
        // A numbered list at the beginning of a line, or a bare address such as a.example.
        '.' | ')' => index == 0 || ends_list_number(letters, index) || joins_names(before, after),
        // A list, a rule, a heading underlined, at the beginning of a line.
        '-' | '+' | '=' => index == 0,
        _ => false,
    }
}

fn ends_list_number(letters: &[char], index: usize) -> bool {
    letters[..index].iter().all(char::is_ascii_digit)
        && letters.get(index + 1).is_none_or(|after| *after == ' ')
}

fn joins_names(before: Option<char>, after: Option<char>) -> bool {
    before.is_some_and(char::is_alphanumeric) && after.is_some_and(char::is_alphabetic)
}

/// The text on one line: line ends joined, blanks run together, control characters gone.
fn one_line(text: &str) -> String {
    let lines = text.split(is_line_end).map(|line| {
        let clean: String = line
            .chars()
            .map(|letter| if letter == '\t' { ' ' } else { letter })
            .filter(|letter| !is_unseen(*letter))
            .collect();
        clean.split_whitespace().collect::<Vec<_>>().join(" ")
    });
    let lines: Vec<String> = lines.filter(|line| !line.is_empty()).collect();
    lines.join(LINE_JOIN)
}

fn is_line_end(letter: char) -> bool {
    matches!(
        letter,
        '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}'
    )
}

/// Control characters, marks of writing direction, and letters without width. The joiner that
/// holds emoji together stays.
fn is_unseen(letter: char) -> bool {
    letter.is_control()
        || matches!(
            letter,
            '\u{61c}'
                | '\u{200b}'
                | '\u{200e}'
                | '\u{200f}'
                | '\u{202a}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}'
                | '\u{feff}'
                | '\u{fff9}'..='\u{fffb}'
                | '\u{e0000}'..='\u{e0fff}'
        )
}

/// Letters of the scripts written from right to left, by the blocks of the Unicode standard.
fn is_right_to_left(letter: char) -> bool {
    matches!(
        letter,
        '\u{590}'..='\u{8ff}'
            | '\u{fb1d}'..='\u{fdff}'
            | '\u{fe70}'..='\u{fefe}'
            | '\u{10800}'..='\u{10fff}'
            | '\u{1e800}'..='\u{1efff}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_could_mean_something_gets_a_backslash() {
        for (text, escaped) in [
            (
                "plain words, 2.5 cm at 02:14:05",
                "plain words, 2.5 cm at 02:14:05",
            ),
            ("a|b", "a\\|b"),
            ("`code`", "\\`code\\`"),
            ("*b* _i_ ~~s~~", "\\*b\\* \\_i\\_ \\~\\~s\\~\\~"),
            ("<b>&amp;</b>", "\\<b\\>\\&amp;\\</b\\>"),
            ("[x](http://e.example)", "\\[x\\](http\\://e\\.example)"),
            ("![x](y)", "!\\[x\\](y)"),
            ("www.example.org", "www\\.example\\.org"),
            ("a@b.example", "a\\@b\\.example"),
            ("# head", "\\# head"),
            ("- item", "\\- item"),
            ("+ item", "\\+ item"),
            ("1. item", "1\\. item"),
            ("1) item", "1\\) item"),
            ("1.", "1\\."),
            ("2.5", "2.5"),
            ("---", "\\---"),
            ("===", "\\==="),
            ("> quote", "\\> quote"),
            (":--|", "\\:--\\|"),
            ("a\\", "a\\\\"),
            ("$x$", "\\$x\\$"),
        ] {
            assert_eq!(markdown(text), escaped, "{text:?}");
        }
    }

    #[test]
    fn a_value_stays_on_one_line() {
        for (text, escaped) in [
            ("one\ntwo", "one / two"),
            ("one\r\n\r\n\ttwo  three", "one / two three"),
            ("one\u{2028}two\u{85}three", "one / two / three"),
            ("    four blanks", "four blanks"),
            ("\n\n", ""),
            ("a\u{1b}[31mred\u{7}", "a\\[31mred"),
        ] {
            assert_eq!(markdown(text), escaped, "{text:?}");
        }
    }

    #[test]
    fn direction_cannot_reach_outside() {
        assert_eq!(markdown("abc\u{202e}cba"), "abccba");
        assert_eq!(
            markdown("\u{5d0}\u{5d1}|"),
            "\u{2068}\u{5d0}\u{5d1}\\|\u{2069}"
        );
    }

    #[test]
    fn other_scripts_and_pictures_pass_unchanged() {
        for text in [
            "cmH₂O",
            "Sauerstoff größer",
            "日本",
            "👩\u{200d}⚕\u{fe0f} 👍🏽",
            "−20",
        ] {
            assert_eq!(markdown(text), text);
        }
    }

    proptest::proptest! {
        #[test]
        fn no_text_ever_gives_a_second_line(text in "\\PC*|[\\x00-\\x7f]{0,40}") {
            let out = markdown(&text);
            proptest::prop_assert!(!out.contains(['\n', '\r']));
            let unescaped = out.replace("\\\\", "");
            proptest::prop_assert!(!unescaped.replace("\\|", "").contains('|'));
            proptest::prop_assert!(!unescaped.replace("\\`", "").contains('`'));
            proptest::prop_assert!(!unescaped.replace("\\<", "").contains('<'));
        }
    }
}
