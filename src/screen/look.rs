//! How the screen looks: width, colour, and which characters the terminal can show.

use console::Style;

use crate::clean;

/// The narrowest page that is laid out, in columns.
const NARROWEST: usize = 20;
/// The widest page, in columns. Longer lines are hard to read.
const WIDEST: usize = 100;

/// How the screen looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// The width of a page in columns.
    pub width: usize,
    /// Whether colour is used. It never carries meaning alone.
    pub colour: bool,
    /// Whether only ASCII characters can be shown.
    pub ascii: bool,
}

impl Look {
    /// Finds the look from the environment.
    ///
    /// Colour needs a terminal, `NO_COLOR` unset and `TERM` other than `dumb`. Characters beyond
    /// ASCII need a locale that says UTF-8 (`LC_ALL`, else `LC_CTYPE`, else `LANG`) and
    /// `TUBESIDE_ASCII` unset. `columns` is the width of the terminal, if there is one.
    #[must_use]
    pub fn from_env(get: impl Fn(&str) -> Option<String>, columns: Option<usize>) -> Self {
        let set = |name: &str| get(name).filter(|value| !value.is_empty());
        let locale = set("LC_ALL")
            .or_else(|| set("LC_CTYPE"))
            .or_else(|| set("LANG"));
        let utf8 = locale.is_some_and(|name| {
            let name = name.to_ascii_lowercase();
            name.contains("utf-8") || name.contains("utf8")
        });
        let dumb = get("TERM").is_some_and(|term| term == "dumb");
        Self {
            width: columns.unwrap_or(80).clamp(NARROWEST, WIDEST),
            colour: columns.is_some() && get("NO_COLOR").is_none() && !dumb,
            ascii: !utf8 || set("TUBESIDE_ASCII").is_some(),
        }
    }

    /// The same look at another width.
    #[must_use]
    pub fn at_width(self, columns: usize) -> Self {
        Self {
            width: columns.clamp(NARROWEST, WIDEST),
            ..self
        }
    }

    /// Text from a file or a person as it may be shown: on one line, without control characters,
    /// and in ASCII if nothing else can be shown.
    #[must_use]
    pub fn text(self, raw: &str) -> String {
        let clean = clean::line(raw);
        let clean = clean.trim_end();
        if self.ascii {
            to_ascii(clean)
        } else {
            clean.to_owned()
        }
    }

    /// Text as it is being typed, with the blanks at its end.
    #[must_use]
    pub(super) fn typed(self, raw: &str) -> String {
        if self.ascii {
            to_ascii(raw)
        } else {
            raw.to_owned()
        }
    }

    /// The text in the style of its role.
    pub(super) fn paint(self, role: Role, text: &str) -> String {
        if self.colour && role != Role::Plain {
            role.style().apply_to(text).to_string()
        } else {
            text.to_owned()
        }
    }
}

/// What a stretch of text is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// Running text.
    Plain,
    /// A title.
    Title,
    /// What is asked.
    Task,
    /// A hazard.
    Caution,
    /// Something overdue or wrong.
    Alarm,
    /// A key.
    Key,
    /// A side remark.
    Quiet,
}

impl Role {
    /// Foregrounds only, on whatever ground the person has chosen.
    fn style(self) -> Style {
        let style = Style::new().force_styling(true);
        match self {
            Self::Plain => style,
            Self::Title | Self::Task => style.bold(),
            Self::Caution => style.yellow().bold(),
            Self::Alarm => style.red().bold(),
            Self::Key => style.cyan().bold(),
            Self::Quiet => style.dim(),
        }
    }
}

/// The text in ASCII. Characters without a likeness become a question mark.
fn to_ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            _ if c.is_ascii() => out.push(c),
            _ => out.push_str(likeness(c)),
        }
    }
    out
}

/// What stands for a character in ASCII.
fn likeness(c: char) -> &'static str {
    match c {
        '\u{2080}' => "0",
        '\u{2081}' => "1",
        '\u{2082}' | '²' => "2",
        '\u{2083}' | '³' => "3",
        '\u{2010}'..='\u{2015}' | '\u{2212}' => "-",
        '\u{2018}' | '\u{2019}' | '\u{201b}' | '\u{2032}' => "'",
        '\u{201c}' | '\u{201d}' | '«' | '»' | '\u{2033}' => "\"",
        '\u{2026}' => "...",
        '\u{2022}' | '·' => "*",
        '\u{00a0}' | '\u{2000}'..='\u{200a}' | '\u{202f}' => " ",
        '×' => "x",
        '÷' => "/",
        '±' => "+/-",
        '≤' => "<=",
        '≥' => ">=",
        '≠' => "!=",
        '≈' => "about ",
        '→' => "->",
        '←' => "<-",
        '°' => "deg ",
        'µ' | 'μ' => "u",
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        'à'..='å' | 'ā' => "a",
        'À'..='Å' => "A",
        'æ' => "ae",
        'ç' => "c",
        'è'..='ë' => "e",
        'È'..='Ë' => "E",
        'ì'..='ï' => "i",
        'Ì'..='Ï' => "I",
        'ñ' => "n",
        'ò'..='ö' | 'ø' => "o",
        'Ò'..='Ö' | 'Ø' => "O",
        'ù'..='ü' => "u",
        'Ù'..='Ü' => "U",
        'ý' | 'ÿ' => "y",
        'ß' => "ss",
        '\u{0300}'..='\u{036f}' | '\u{200c}' | '\u{200d}' | '\u{fe0f}' => "",
        _ => "?",
    }
}
