//! Bands in words: `below 2`, `at least 5`, `2 to below 5`, with numbers or names of limits.

use crate::names::FactName;
use crate::units::Number;

use super::raw::{RawCut, RawRange};

/// Reads a band; `None` when it is not one.
pub(super) fn parse(words: &str) -> Option<RawRange> {
    let words = words.split_whitespace().collect::<Vec<_>>();
    let range =
        |from: Option<(RawCut, bool)>, to: Option<(RawCut, bool)>| Some(RawRange { from, to });
    match words.as_slice() {
        ["below", x] => range(None, Some((cut(x)?, false))),
        ["at", "most", x] => range(None, Some((cut(x)?, true))),
        ["above", x] => range(Some((cut(x)?, false)), None),
        ["at", "least", x] => range(Some((cut(x)?, true)), None),
        ["above", x, "to", "below", y] => range(Some((cut(x)?, false)), Some((cut(y)?, false))),
        ["above", x, "to", y] => range(Some((cut(x)?, false)), Some((cut(y)?, true))),
        [x, "to", "below", y] => range(Some((cut(x)?, true)), Some((cut(y)?, false))),
        [x, "to", y] => range(Some((cut(x)?, true)), Some((cut(y)?, true))),
        _ => None,
    }
}

fn cut(word: &str) -> Option<RawCut> {
    match Number::parse(word) {
        Ok(number) => Some(RawCut::Number(number)),
        Err(_) => FactName::new(word).ok().map(RawCut::Fact),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_is_read() {
        let n = |whole| RawCut::Number(Number::whole(whole));
        let cases = [
            ("below 2", None, Some((n(2), false))),
            ("at most 2", None, Some((n(2), true))),
            ("above 2", Some((n(2), false)), None),
            ("at least 2", Some((n(2), true)), None),
            ("2 to 5", Some((n(2), true)), Some((n(5), true))),
            ("2 to below 5", Some((n(2), true)), Some((n(5), false))),
            ("above 2 to 5", Some((n(2), false)), Some((n(5), true))),
            (
                "above 2 to below 5",
                Some((n(2), false)),
                Some((n(5), false)),
            ),
        ];
        for (words, from, to) in cases {
            assert_eq!(parse(words), Some(RawRange { from, to }), "{words}");
        }
        let name = RawCut::Fact(FactName::new("seal-low").unwrap());
        assert_eq!(
            parse("below seal-low"),
            Some(RawRange {
                from: None,
                to: Some((name, false))
            })
        );
    }

    #[test]
    fn anything_else_is_not() {
        for words in [
            "",
            "2",
            "under 2",
            "below",
            "below 2 cm",
            "2 - 5",
            "2 to",
            "below 2.0001",
            "at 2",
        ] {
            assert_eq!(parse(words), None, "{words}");
        }
    }
}
