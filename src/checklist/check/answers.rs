//! A question has one way to say "not sure", no answer twice, and no more answers than digits.

use std::collections::HashSet;

use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawAnswer, RawKind, Spot};

use super::One;

/// An answer is one key, a digit from 1 to 9.
const MOST: usize = 9;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for step in &one.list.steps {
        let RawKind::Ask {
            answers, whole, at, ..
        } = &step.kind
        else {
            continue;
        };
        unsure(answers, *whole, *at, out);
        let mut seen = HashSet::new();
        for answer in answers {
            if !seen.insert(answer.words.is.to_lowercase()) {
                out.add(
                    answer.words.at,
                    Kind::SameAnswer {
                        words: answer.words.is.clone(),
                    },
                );
            }
            if step.remember.is_some() && matches!(answer.words.is.as_str(), "known" | "unknown") {
                out.add(
                    answer.words.at,
                    Kind::ReservedAnswer {
                        words: answer.words.is.clone(),
                    },
                );
            }
        }
        if answers.len() > MOST {
            out.add(
                *at,
                Kind::TooManyAnswers {
                    count: answers.len(),
                    most: MOST,
                },
            );
        }
    }
}

fn unsure(answers: &[RawAnswer], whole: bool, at: Spot, out: &mut Findings) {
    let mut unsure = answers.iter().filter(|answer| answer.unsure);
    match unsure.next() {
        // An answer that could not be read may be the one.
        None if whole => out.add(at, Kind::NoUnsure),
        None => {}
        Some(first) => {
            for second in unsure {
                out.add(
                    second.words.at,
                    Kind::SeveralUnsure {
                        first: first.words.is.clone(),
                    },
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::with_ask;

    #[test]
    fn exactly_one_answer_is_unsure() {
        assert_eq!(
            with_ask(&["- one: fine", "- other: fine"]),
            ["no-unsure 40:5"]
        );
        let two = [
            "- one: {unsure: true, go: fine}",
            "- other: {unsure: true, go: fine}",
        ];
        assert_eq!(with_ask(&two), ["several-unsure 42:9"]);
        assert_eq!(
            with_ask(&["- one: fine", "- not sure: {unsure: true, go: call}"]),
            [""; 0]
        );
    }

    #[test]
    fn no_answer_stands_twice_or_is_reserved() {
        let twice = [
            "- one: fine",
            "- One: call",
            "- not sure: {unsure: true, go: call}",
        ];
        assert_eq!(with_ask(&twice), ["same-answer 42:9"]);
        let reserved = ["- known: fine", "- not sure: {unsure: true, go: call}"];
        assert_eq!(with_ask(&reserved), ["reserved-answer 41:9"]);
    }

    #[test]
    fn ten_answers_are_too_many() {
        let mut answers: Vec<String> = (1..=9).map(|n| format!("- answer {n}: fine")).collect();
        answers.push("- not sure: {unsure: true, go: call}".to_owned());
        let answers: Vec<&str> = answers.iter().map(String::as_str).collect();
        assert_eq!(with_ask(&answers), ["too-many-answers 40:5"]);
    }
}
