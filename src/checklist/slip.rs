//! What kind of slip in the writing keeps a text from being read, and where.

use super::problem::{Place, Slip};
use super::tree::NotYaml;

/// What kind of slip the library's sentence tells of, and where.
pub(super) fn of(error: &NotYaml, text: &str) -> (Option<Place>, Slip) {
    let says = |words: &str| error.sentence.contains(words);
    let here = error.at.and_then(|(line, column)| {
        text.split('\n')
            .nth(line.saturating_sub(1))?
            .chars()
            .nth(column.saturating_sub(1))
    });
    let slip = if here == Some('\t') {
        Slip::Tab
    } else if says("mapping values are not allowed") {
        Slip::SecondColon
    } else if says("unexpected end of stream") || says("did not find expected ',' or") {
        Slip::Unclosed
    } else if says("could not find expected ':'") {
        Slip::NoColon
    } else if says("cannot start any token") {
        Slip::BadStart
    } else if says("unknown escape character") || says("escape") {
        Slip::BadEscape
    } else if says("did not find expected") || says("not allowed in this context") {
        Slip::Indent
    } else {
        Slip::Other
    };
    let at = if slip == Slip::Unclosed {
        began(&error.sentence).or(error.at)
    } else {
        error.at
    };
    (
        at.map(|(line, column)| Place {
            line,
            column,
            length: 1,
        }),
        slip,
    )
}

/// Where the part began that is not closed: the last place in the library's sentence.
fn began(sentence: &str) -> Option<(usize, usize)> {
    let (_, place) = sentence.rsplit_once(" at line ")?;
    let (line, column) = place.split_once(" column ")?;
    Some((line.parse().ok()?, column.parse().ok()?))
}

/// How many brackets and braces are open at the most, quotes and comments not looked at.
pub(super) fn brackets_deep(text: &str) -> usize {
    let mut open = 0_usize;
    let mut most = 0;
    for byte in text.bytes() {
        match byte {
            b'[' | b'{' => open += 1,
            b']' | b'}' => open = open.saturating_sub(1),
            _ => {}
        }
        most = most.max(open);
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checklist::tree::parse;

    #[test]
    fn slips_are_told_apart_and_placed() {
        let cases = [
            ("a: b: c\n", Slip::SecondColon, Some((1, 5))),
            ("a:\n\tb: c\n", Slip::Tab, Some((2, 1))),
            ("a: \"b\nc: d\n", Slip::Unclosed, Some((1, 4))),
            ("a: [b, c\n", Slip::Unclosed, Some((1, 4))),
            ("a: @b\n", Slip::BadStart, Some((1, 4))),
            ("a: \"\\q\"\n", Slip::BadEscape, Some((1, 5))),
            ("a: b\n c: d\n", Slip::SecondColon, Some((2, 3))),
        ];
        for (text, slip, at) in cases {
            let error = parse(text).unwrap_err();
            let found = of(&error, text);
            assert_eq!(found.1, slip, "{text:?} {}", error.sentence);
            assert_eq!(
                found.0.map(|place| (place.line, place.column)),
                at,
                "{text:?} {}",
                error.sentence
            );
        }
    }

    #[test]
    fn open_brackets_are_counted() {
        for (text, most) in [("", 0), ("[[]]", 2), ("[] {}", 1), ("]]][", 1), ("[{[", 3)] {
            assert_eq!(brackets_deep(text), most, "{text}");
        }
    }
}
