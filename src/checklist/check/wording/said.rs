//! Every text of a list as words, with the part it plays.

use crate::checklist::model::{Piece, Text};
use crate::checklist::raw::{At, RawKind, RawList, RawStep, Spot};

/// What part a text plays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    Recognise,
    Do,
    Check,
    Expect,
    Ask,
    Answer,
    Measure,
    Wait,
    End,
    Why,
    Caution,
    Place,
    Record,
}

impl Part {
    /// Whether it tells the nurse to do something.
    pub(super) const fn is_instruction(self) -> bool {
        matches!(self, Self::Do | Self::Check | Self::Measure | Self::Wait)
    }
}

/// One word with what stands around it.
#[derive(Debug)]
pub(super) struct Word<'a> {
    /// The word without the signs around it; empty for a place to be filled, which counts as one.
    pub(super) word: &'a str,
    /// The same in small letters.
    pub(super) small: String,
    /// The signs after it, such as a comma or a full stop.
    pub(super) after: String,
}

impl Word<'_> {
    /// Whether a sentence ends with it.
    pub(super) fn ends_sentence(&self) -> bool {
        self.after.contains(['.', '?', '!'])
    }
}

/// One text of a list.
pub(super) struct Said<'a> {
    pub(super) part: Part,
    pub(super) at: Spot,
    pub(super) words: Vec<Word<'a>>,
}

impl Said<'_> {
    /// The sentences, each with at least one word.
    pub(super) fn sentences(&self) -> impl Iterator<Item = &[Word<'_>]> {
        self.words
            .split_inclusive(Word::ends_sentence)
            .filter(|words| !words.is_empty())
    }

    /// The place of these words in a row, written small.
    pub(super) fn find(&self, row: &[&str]) -> Option<usize> {
        self.words.windows(row.len()).position(|words| {
            words
                .iter()
                .zip(row)
                .all(|(word, small)| word.small == *small)
        })
    }
}

/// Every text of a list.
pub(super) fn all(list: &RawList) -> Vec<Said<'_>> {
    let mut found = Vec::new();
    add(&mut found, Part::Recognise, list.recognise.as_ref());
    for step in &list.steps {
        of_step(&mut found, step);
    }
    found
}

fn of_step<'a>(found: &mut Vec<Said<'a>>, step: &'a RawStep) {
    match &step.kind {
        RawKind::Do { text, .. } => add(found, Part::Do, text.as_ref()),
        RawKind::Check { text, expect, .. } => {
            add(found, Part::Check, text.as_ref());
            add(found, Part::Expect, expect.as_ref());
        }
        RawKind::Ask { text, answers, .. } => {
            add(found, Part::Ask, text.as_ref());
            found.extend(answers.iter().map(|answer| Said {
                part: Part::Answer,
                at: answer.words.at,
                words: split(&answer.words.is, Vec::new()),
            }));
        }
        RawKind::Measure(measure) => add(found, Part::Measure, measure.text.as_ref()),
        RawKind::Wait { text, .. } => add(found, Part::Wait, text.as_ref()),
        RawKind::End { text, .. } => add(found, Part::End, text.as_ref()),
        RawKind::Hole | RawKind::Decide { .. } | RawKind::Use { .. } => {}
    }
    add(found, Part::Why, step.why.as_ref());
    add(found, Part::Caution, step.caution.as_ref());
    add(found, Part::Place, step.place.as_ref());
    add(found, Part::Record, step.record.as_ref());
}

fn add<'a>(found: &mut Vec<Said<'a>>, part: Part, text: Option<&'a At<Text>>) {
    if let Some(text) = text {
        found.push(Said {
            part,
            at: text.at,
            words: words(&text.is),
        });
    }
}

/// A text as words.
pub(super) fn words(text: &Text) -> Vec<Word<'_>> {
    let mut words = Vec::new();
    for piece in &text.0 {
        match piece {
            Piece::Words(plain) => words = split(plain, words),
            Piece::Fill(_) => words.push(Word {
                word: "",
                small: String::new(),
                after: String::new(),
            }),
        }
    }
    words
}

fn split<'a>(plain: &'a str, mut words: Vec<Word<'a>>) -> Vec<Word<'a>> {
    let inside = |c: char| c.is_alphanumeric() || c == '%';
    for raw in plain.split_whitespace() {
        let Some(start) = raw.find(inside) else {
            if let Some(last) = words.last_mut() {
                last.after.push_str(raw);
            }
            continue;
        };
        let end = raw.rfind(inside).map_or(raw.len(), |at| {
            at + raw[at..].chars().next().map_or(0, char::len_utf8)
        });
        words.push(Word {
            word: &raw[start..end],
            small: raw[start..end].to_lowercase(),
            after: raw[end..].to_owned(),
        });
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_comes_apart_into_words_and_signs() {
        let text = Text(vec![
            Piece::Words("Put \"stop\" to ".to_owned()),
            Piece::Fill(crate::names::FactName::new("a").unwrap()),
            Piece::Words(". SpO2 is 90%!".to_owned()),
        ]);
        let found = words(&text);
        let shown: Vec<(&str, &str)> = found
            .iter()
            .map(|word| (word.word, word.after.as_str()))
            .collect();
        assert_eq!(
            shown,
            [
                ("Put", ""),
                ("stop", "\""),
                ("to", ""),
                ("", "."),
                ("SpO2", ""),
                ("is", ""),
                ("90%", "!")
            ]
        );
        assert!(found[3].ends_sentence());
    }
}
