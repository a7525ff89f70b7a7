//! Texts with places to be filled: `{name}`, and `{{` and `}}` for the braces themselves.

use crate::names::FactName;

use super::model::{Piece, Text};
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
