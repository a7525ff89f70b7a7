//! Texts with places to be filled: `{name}`, and `{{` and `}}` for the braces themselves.

use crate::names::FactName;

use super::model::{FactBook, Origin, Piece, Text};
use super::problem::Kind;

/// Reads a text.
///
/// # Errors
/// [`Kind::LooseBrace`] or [`Kind::BadPlaceholder`], the first that is met.
pub(super) fn parse(words: &str) -> Result<Text, Kind> {
    let mut pieces = Vec::new();
    let mut plain = String::new();
    let mut rest = words;
    while let Some(at) = rest.find(['{', '}']) {
        let (before, from) = rest.split_at(at);
        plain.push_str(before);
        if let Some(after) = from.strip_prefix("{{") {
            plain.push('{');
            rest = after;
        } else if let Some(after) = from.strip_prefix("}}") {
            plain.push('}');
            rest = after;
        } else if let Some(inside) = from.strip_prefix('{') {
            let (name, after) = inside
                .split_once('}')
                .ok_or(Kind::LooseBrace { brace: '{' })?;
            let name = FactName::new(name.trim()).map_err(|_| Kind::BadPlaceholder {
                found: name.to_owned(),
            })?;
            if !plain.is_empty() {
                pieces.push(Piece::Words(std::mem::take(&mut plain)));
            }
            pieces.push(Piece::Fill(name));
            rest = after;
        } else {
            return Err(Kind::LooseBrace { brace: '}' });
        }
    }
    plain.push_str(rest);
    if !plain.is_empty() {
        pieces.push(Piece::Words(plain));
    }
    Ok(Text(pieces))
}

/// Words with each `{name}` in them filled by what `shown` says of the name; braces of which it
/// knows nothing stay as they are.
pub(super) fn with_limits(words: &str, shown: impl Fn(&str) -> Option<String>) -> String {
    let mut filled = String::new();
    let mut rest = words;
    while let Some((before, from)) = rest.split_once('{') {
        filled.push_str(before);
        let known = from
            .split_once('}')
            .and_then(|(name, after)| Some((shown(name.trim())?, after)));
        if let Some((shown, after)) = known {
            filled.push_str(&shown);
            rest = after;
        } else {
            filled.push('{');
            rest = from;
        }
    }
    filled + rest
}

/// Words with each `{limit}` filled as the answers of a question are.
#[must_use]
pub fn answer_words(words: &str, facts: &FactBook) -> String {
    with_limits(words, |name| {
        let fact = facts.get(name)?;
        (fact.origin == Origin::Limit).then(|| fact.shown())?
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Piece {
        Piece::Words(text.to_owned())
    }

    fn fill(name: &str) -> Piece {
        Piece::Fill(FactName::new(name).unwrap())
    }

    #[test]
    fn places_and_words_come_apart() {
        let cases: &[(&str, Vec<Piece>)] = &[
            ("plain", vec![words("plain")]),
            ("{a}", vec![fill("a")]),
            (
                "Fill {a} to {b-2}.",
                vec![
                    words("Fill "),
                    fill("a"),
                    words(" to "),
                    fill("b-2"),
                    words("."),
                ],
            ),
            ("{{a}} stays", vec![words("{a} stays")]),
            ("{{{a}}}", vec![words("{"), fill("a"), words("}")]),
        ];
        for (text, pieces) in cases {
            assert_eq!(&parse(text).unwrap().0, pieces, "{text}");
        }
    }

    #[test]
    fn words_are_filled_with_what_is_known() {
        let shown = |name: &str| (name == "half").then(|| "one half".to_owned());
        for (words, filled) in [
            ("plain", "plain"),
            ("below {half}", "below one half"),
            (
                "{half} up to { half }, {other}",
                "one half up to one half, {other}",
            ),
            ("{", "{"),
            ("a {half", "a {half"),
        ] {
            assert_eq!(with_limits(words, shown), filled);
        }
    }

    #[test]
    fn a_loose_brace_is_refused() {
        assert_eq!(parse("a { b"), Err(Kind::LooseBrace { brace: '{' }));
        assert_eq!(parse("a } b"), Err(Kind::LooseBrace { brace: '}' }));
        assert_eq!(
            parse("{A b}"),
            Err(Kind::BadPlaceholder {
                found: "A b".to_owned()
            })
        );
        assert_eq!(
            parse("{}"),
            Err(Kind::BadPlaceholder {
                found: String::new()
            })
        );
    }
}
