//! Text from files and people, made safe for a terminal and for a spreadsheet.
//!
//! Letters of every script, accents and emoji stay as they are. What could move the cursor, change
//! colours, hide words, turn their order round or pretend to be another line does not.

use std::borrow::Cow;

/// What stands for a control character: it shows that something was there.
const REPLACEMENT: char = '\u{fffd}';

/// Columns from one tab stop to the next (common practice, no source).
const TAB: usize = 8;

/// The text as one line: line breaks become spaces.
#[must_use]
pub fn line(text: &str) -> Cow<'_, str> {
    cleaned(text, ' ')
}

/// The text with its line breaks; each kind of break becomes a line feed.
#[must_use]
pub fn lines(text: &str) -> Cow<'_, str> {
    cleaned(text, '\n')
}

/// The text as markup shows it: what HTML, XML and SVG would take for their own is spelled out, so
/// that no text becomes an element, an entity or the end of an attribute.
#[must_use]
pub fn markup(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            other => out.push(other),
        }
    }
    out
}

/// A text of JSON in which strings hold no character that acts on a terminal: each is written as
/// `\u` and four digits, which means the same (RFC 8259, section 7).
#[must_use]
pub fn json(text: &str) -> Cow<'_, str> {
    let fine = |c| c == '\n' || judge(c) == Fate::Stays;
    if text.chars().all(fine) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if fine(c) {
            out.push(c);
            continue;
        }
        for unit in c.encode_utf16(&mut [0; 2]) {
            out.push_str(&format!("\\u{unit:04x}"));
        }
    }
    Cow::Owned(out)
}

/// The text as a cell of CSV (RFC 4180): on one line, quoted where it must be, and never a formula.
/// What a spreadsheet would take for one begins with an apostrophe instead (OWASP, page on CSV
/// injection, from memory: `=`, `+`, `-`, `@`, tab and carriage return at the beginning).
#[must_use]
pub fn cell(text: &str) -> String {
    let text = line(text);
    let formula = ['=', '+', '-', '@', '\u{2212}'];
    let text = match text.trim_start().starts_with(formula) {
        true => format!("'{text}"),
        false => text.into_owned(),
    };
    if text.contains([',', '"', ';', '\'']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

fn cleaned(text: &str, line_break: char) -> Cow<'_, str> {
    let fine = |c| judge(c) == Fate::Stays || (c == '\n' && line_break == '\n');
    if text.chars().all(fine) {
        return Cow::Borrowed(text);
    }
    let mut out = Output {
        text: String::with_capacity(text.len()),
        column: 0,
    };
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let after = &rest[c.len_utf8()..];
        rest = match judge(c) {
            Fate::Stays => {
                out.put(c);
                after
            }
            Fate::Goes => after,
            Fate::Tab => {
                out.tab();
                after
            }
            Fate::Break => {
                out.put(line_break);
                // A carriage return and a line feed are one break.
                match c {
                    '\r' => after.strip_prefix('\n').unwrap_or(after),
                    _ => after,
                }
            }
            Fate::Control => match after_escape(c, after) {
                Some(after) => after,
                None => {
                    out.put(REPLACEMENT);
                    after
                }
            },
        };
    }
    Cow::Owned(out.text)
}

struct Output {
    text: String,
    column: usize,
}

impl Output {
    fn put(&mut self, c: char) {
        self.text.push(c);
        self.column = if c == '\n' { 0 } else { self.column + 1 };
    }

    fn tab(&mut self) {
        let width = TAB - self.column % TAB;
        self.text.extend(std::iter::repeat_n(' ', width));
        self.column += width;
    }
}

/// What becomes of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fate {
    Stays,
    Goes,
    Tab,
    Break,
    Control,
}

const fn judge(c: char) -> Fate {
    match c {
        '\t' => Fate::Tab,
        // Line feed, vertical tab, form feed, carriage return, next line, line and paragraph separator.
        '\n' | '\u{b}' | '\u{c}' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}' => Fate::Break,
        // C0 and C1 controls and delete (ECMA-48).
        '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' => Fate::Control,
        // Marks, embeddings, overrides and isolates of direction (Unicode Standard Annex 9).
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{206f}' => {
            Fate::Goes
        }
        // Invisible: soft hyphen, zero-width space and word joiner, byte order mark, annotation and
        // tag characters. The joiners U+200C and U+200D stay; scripts and emoji need them.
        '\u{ad}'
        | '\u{180e}'
        | '\u{200b}'
        | '\u{2060}'..='\u{2064}'
        | '\u{feff}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}' => Fate::Goes,
        _ => Fate::Stays,
    }
}

/// What follows a whole escape sequence (ECMA-48), or `None` when it is none: then the control
/// character alone is replaced, and no words are lost.
fn after_escape(c: char, after: &str) -> Option<&str> {
    match c {
        '\u{1b}' => {
            let next = after.chars().next()?;
            let inner = &after[next.len_utf8()..];
            match next {
                '[' => after_control_sequence(inner),
                ']' | 'P' | 'X' | '^' | '_' => after_string(inner),
                _ => after_plain_escape(after),
            }
        }
        '\u{9b}' => after_control_sequence(after),
        '\u{90}' | '\u{98}' | '\u{9d}' | '\u{9e}' | '\u{9f}' => after_string(after),
        _ => None,
    }
}

/// Parameters, intermediates and one final byte.
fn after_control_sequence(text: &str) -> Option<&str> {
    let rest = text.trim_start_matches(|c| ('\u{30}'..='\u{3f}').contains(&c));
    let rest = rest.trim_start_matches(|c| ('\u{20}'..='\u{2f}').contains(&c));
    rest.strip_prefix(|c| ('\u{40}'..='\u{7e}').contains(&c))
}

/// A command string up to its end on the same line: the string terminator, or the bell.
fn after_string(text: &str) -> Option<&str> {
    let end = text.find(['\u{7}', '\u{9c}', '\u{1b}', '\n', '\r'])?;
    let rest = &text[end..];
    rest.strip_prefix("\u{1b}\\")
        .or_else(|| rest.strip_prefix(['\u{7}', '\u{9c}']))
}

/// Intermediates and one final byte.
fn after_plain_escape(text: &str) -> Option<&str> {
    let rest = text.trim_start_matches(|c| ('\u{20}'..='\u{2f}').contains(&c));
    rest.strip_prefix(|c| ('\u{30}'..='\u{7e}').contains(&c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ordinary_text_of_any_script_stays_and_is_not_copied() {
        for text in [
            "",
            "Level 1500 mL at 04:10, 20 cmH₂O, SpO₂ 94 %",
            "Änderung, garçon, Ångström, e\u{301}",
            "ไทย العربية עברית हिन्दी 日本語",
            "👩\u{200d}⚕\u{fe0f} 👍🏽 🫁",
            "می\u{200c}خواهم",
            "Don’t – “so” … ½ ≥ 2",
        ] {
            assert!(
                matches!(line(text), Cow::Borrowed(same) if same == text),
                "{text}"
            );
        }
    }

    #[test]
    fn whatever_acts_on_a_terminal_is_gone() {
        for (text, expected) in [
            ("a\u{1b}[31mred\u{1b}[0mb", "aredb"),
            ("a\u{1b}[2J\u{1b}[1;1Hb", "ab"),
            ("a\u{1b}[?25lb\u{1b}[38:2::1:2:3mc", "abc"),
            ("a\u{1b}]0;title\u{7}b", "ab"),
            ("a\u{1b}]8;;http://x\u{1b}\\b\u{1b}]8;;\u{1b}\\c", "abc"),
            ("a\u{1b}P1$r\u{1b}\\b", "ab"),
            ("a\u{1b}cb\u{1b}(Bc\u{1b}7d", "abcd"),
            ("a\u{9b}31mb", "ab"),
            ("a\u{9d}0;t\u{9c}b", "ab"),
            ("bell\u{7}", "bell\u{fffd}"),
            ("cla\u{8}\u{8}mp", "cla\u{fffd}\u{fffd}mp"),
            (
                "nul\0 del\u{7f} c1\u{84}",
                "nul\u{fffd} del\u{fffd} c1\u{fffd}",
            ),
        ] {
            assert_eq!(line(text), expected, "{text:?}");
        }
    }

    #[test]
    fn a_broken_escape_costs_no_words() {
        for (text, expected) in [
            ("\u{1b}]0;the drain fell", "\u{fffd}]0;the drain fell"),
            ("\u{1b}", "\u{fffd}"),
            ("\u{1b}[", "\u{fffd}["),
            ("\u{1b}[31é clamp", "\u{fffd}[31é clamp"),
            ("\u{1b}é", "\u{fffd}é"),
            ("\u{1b}]0;a\nb\u{7}", "\u{fffd}]0;a b\u{fffd}"),
            ("\u{1b}\u{1b}[31mx", "\u{fffd}x"),
            ("\u{1b}]a\u{1b}[31mx", "\u{fffd}]ax"),
        ] {
            assert_eq!(line(text), expected, "{text:?}");
        }
    }

    #[test]
    fn nothing_turns_words_round_or_hides_them() {
        for (text, expected) in [
            ("do \u{202e}pmalc\u{202c} now", "do pmalc now"),
            ("\u{2067}a\u{2069}\u{200f}\u{200e}\u{61c}b", "ab"),
            ("no\u{200b}t\u{ad} \u{feff}ok\u{e0041}\u{2060}", "not ok"),
        ] {
            assert_eq!(line(text), expected, "{text:?}");
        }
    }

    #[test]
    fn breaks_of_every_kind_are_spaces_or_line_feeds() {
        let text = "a\r\nb\rc\nd\u{2028}e\u{85}f\u{c}g";
        assert_eq!(line(text), "a b c d e f g");
        assert_eq!(lines(text), "a\nb\nc\nd\ne\nf\ng");
        assert!(matches!(lines("a\nb"), Cow::Borrowed(_)));
    }

    #[test]
    fn tabs_reach_the_next_stop() {
        assert_eq!(line("a\tb"), "a       b");
        assert_eq!(line("12345678\tb"), "12345678        b");
        assert_eq!(lines("abc\n\tb"), "abc\n        b");
    }

    #[test]
    fn no_cell_is_a_formula_or_breaks_its_row() {
        for bad in ["=1+1", "+44", "-2", "@sum", " =1", "\t=1", "\r=1"] {
            let cell = cell(bad);
            let inside = cell.trim_matches('"');
            assert!(inside.starts_with('\''), "{bad:?} became {cell}");
        }
        assert_eq!(cell("turned, \"no\" pain"), "\"turned, \"\"no\"\" pain\"");
        assert_eq!(cell("a\u{202e}b\nc\u{1b}[31md"), "ab cd");
        assert_eq!(cell("320"), "320");
    }

    #[test]
    fn json_means_the_same_and_acts_on_nothing() {
        let text = "a\u{9b}31m\u{202e}\u{7f}\u{e0041}\u{200d}é";
        let written = serde_json::to_string(text).expect("JSON");
        let clean = json(&written);
        assert!(clean.chars().all(|c| judge(c) == Fate::Stays), "{clean:?}");
        let read: String = serde_json::from_str(&clean).expect("JSON");
        assert_eq!(read, text);
        assert!(matches!(json("{\n  \"a\": 1\n}"), Cow::Borrowed(_)));
    }

    proptest::proptest! {
        #[test]
        fn what_is_clean_is_clean_and_stays_so(text in "(\\PC|[\\x00-\\x9f]|\u{1b}\\[|\u{1b}\\]|\u{202e}){0,40}") {
            let once = line(&text).into_owned();
            proptest::prop_assert!(once.chars().all(|c| judge(c) == Fate::Stays), "{once:?}");
            proptest::prop_assert_eq!(line(&once), once.as_str());
            let lined = lines(&text).into_owned();
            proptest::prop_assert!(lined.chars().all(|c| c == '\n' || judge(c) == Fate::Stays));
        }
    }
}
