//! What stands in the chart by an answer is one of the step's answers, and never "not sure".

use crate::checklist::model::{AS_EXPECTED, NOT_AS_EXPECTED};
use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawKind};

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for step in &one.list.steps {
        let (answers, unsure): (Vec<&str>, Option<&str>) = match &step.kind {
            RawKind::Ask { answers, whole, .. } if *whole => (
                answers
                    .iter()
                    .map(|answer| answer.words.is.as_str())
                    .collect(),
                answers
                    .iter()
                    .find(|answer| answer.unsure)
                    .map(|answer| answer.words.is.as_str()),
            ),
            RawKind::Check { .. } => (vec![AS_EXPECTED, NOT_AS_EXPECTED], None),
            _ => continue,
        };
        for (words, _) in &step.looks {
            let found = words.is.as_str();
            if unsure == Some(found) {
                let words_of = found.to_owned();
                out.add(words.at, Kind::ChartsUnsure { words: words_of });
            } else if !answers.contains(&found) {
                let kind = Kind::ChartsNoAnswer {
                    words: found.to_owned(),
                    answers: answers.iter().map(|&answer| answer.to_owned()).collect(),
                    nearest: nearest(found, answers.iter().copied()),
                };
                out.add(words.at, kind);
            }
        }
    }
}
