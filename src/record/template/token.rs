//! Cuts a template into its parts, and what is inside a tag into words and signs.

/// Words of the language that are not names of facts.
pub(super) const WORDS: &[&str] = &[
    "and", "or", "not", "in", "is", "if", "else", "true", "false", "none", "True", "False", "None",
];

/// A stretch of a template. `at` is the byte at which it begins.
pub(super) enum Part<'t> {
    Text { at: usize, text: &'t str },
    Print { at: usize, inside: &'t str },
    Tag { at: usize, inside: &'t str },
}

/// Cuts a text at its tags. Comments are left out.
pub(super) fn parts(text: &str) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let rest = &text[at..];
        let open = ["{{", "{%", "{#"]
            .iter()
            .filter_map(|mark| rest.find(mark))
            .min();
        let Some(open) = open else {
            parts.push(Part::Text { at, text: rest });
            break;
        };
        parts.push(Part::Text {
            at,
            text: &rest[..open],
        });
        let begin = at + open + 2;
        let (close, is_comment) = match &rest[open..open + 2] {
            "{{" => ("}}", false),
            "{%" => ("%}", false),
            _ => ("#}", true),
        };
        let end = begin + end_of_tag(&text[begin..], close, is_comment);
        let inside = &text[begin..end];
        match close {
            "}}" => parts.push(Part::Print { at: begin, inside }),
            "%}" => parts.push(Part::Tag { at: begin, inside }),
            _ => {}
        }
        at = (end + 2).min(text.len());
    }
    parts
}

/// Where a tag ends: at its closing mark, but not inside a quoted text.
fn end_of_tag(text: &str, close: &str, is_comment: bool) -> usize {
    let mut quote: Option<char> = None;
    for (at, letter) in text.char_indices() {
        match quote {
            Some(open) if letter == open => quote = None,
            Some(_) => {}
            None if !is_comment && matches!(letter, '"' | '\'' | '`') => quote = Some(letter),
            None if text[at..].starts_with(close) => return at,
            None => {}
        }
    }
    text.len()
}

/// A word, a text or a sign inside a tag. `at` is its byte in the whole text.
#[derive(Clone, Copy)]
pub(super) struct Token<'t> {
    pub(super) at: usize,
    pub(super) what: What<'t>,
}

#[derive(Clone, Copy, PartialEq)]
pub(super) enum What<'t> {
    Name(&'t str),
    Number(&'t str),
    Text,
    Sign(char),
    /// Two signs that mean one thing, such as `==`.
    Signs,
}

pub(super) fn tokens(begin: usize, inside: &str) -> Vec<Token<'_>> {
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(letter) = inside[at..].chars().next() {
        let rest = &inside[at..];
        let run =
            |belongs: fn(char) -> bool| rest.find(|c: char| !belongs(c)).unwrap_or(rest.len());
        let (length, what) = if letter.is_whitespace() {
            (letter.len_utf8(), None)
        } else if letter.is_ascii_digit() {
            let length = run(|c| c.is_ascii_digit());
            (length, Some(What::Number(&rest[..length])))
        } else if letter.is_alphabetic() || letter == '_' {
            let length = run(|c| c.is_alphanumeric() || c == '_');
            (length, Some(What::Name(&rest[..length])))
        } else if matches!(letter, '"' | '\'' | '`') {
            let inner = &rest[1..];
            let length = inner.find(letter).map_or(rest.len(), |end| end + 2);
            (length, Some(What::Text))
        } else if ["==", "!=", "<=", ">=", "//", "**"]
            .iter()
            .any(|s| rest.starts_with(s))
        {
            (2, Some(What::Signs))
        } else {
            (letter.len_utf8(), Some(What::Sign(letter)))
        };
        if let Some(what) = what {
            let at = begin + at;
            tokens.push(Token { at, what });
        }
        at += length;
    }
    tokens
}

/// The dotted name at the beginning of some tokens, and how many of them it takes. A number in
/// square brackets counts as a part of it.
pub(super) fn path<'t>(tokens: &[Token<'t>]) -> Option<(Vec<&'t str>, usize)> {
    let What::Name(first) = tokens.first()?.what else {
        return None;
    };
    if WORDS.contains(&first) {
        return None;
    }
    let mut path = vec![first];
    let mut used = 1;
    loop {
        let next: Vec<_> = tokens[used..]
            .iter()
            .take(3)
            .map(|token| token.what)
            .collect();
        match next.as_slice() {
            [What::Sign('?'), What::Sign('.'), What::Name(name)] => {
                path.push(name);
                used += 3;
            }
            [What::Sign('.'), What::Name(name) | What::Number(name), ..] => {
                path.push(name);
                used += 2;
            }
            [What::Sign('['), What::Number(name), What::Sign(']')] => {
                path.push(name);
                used += 3;
            }
            // Anything else in brackets is not understood: a name that cannot be found.
            [What::Sign('['), ..] => {
                path.push("[");
                used += 1;
                return Some((path, used));
            }
            _ => return Some((path, used)),
        }
    }
}
