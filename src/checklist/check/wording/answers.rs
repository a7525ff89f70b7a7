//! Answers name the states that were seen, and are few enough to be taken in together.
//!
//! Degani and Wiener, Human Factors 1993;35(2):28, guideline 1 (passage read); Burian, 2014,
//! NASA/TM-2014-218382, on alternatives shown as one set (second-hand). Six is a starting value of
//! our own: five states and "not sure".

use crate::checklist::prose::Prose;
use crate::checklist::raw::{Findings, RawKind, RawList, RawStep};

use super::expectation::EMPTY;
use super::told;

const MOST: usize = 6;

pub(super) fn check(_: &RawList, step: &RawStep, out: &mut Findings) {
    let RawKind::Ask { answers, at, .. } = &step.kind else {
        return;
    };
    let mut states = answers.iter().filter(|answer| !answer.unsure).peekable();
    let all_empty = states.peek().is_some()
        && states.all(|answer| EMPTY.contains(&answer.words.is.to_lowercase().as_str()));
    if all_empty {
        told(*at, Prose::EmptyAnswers, out);
    }
    if answers.len() > MOST {
        let (count, most) = (answers.len(), MOST);
        told(*at, Prose::ManyAnswers { count, most }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::{spoiled, with};

    #[test]
    fn answers_name_states() {
        assert_eq!(
            spoiled(
                "\"easily\": choose\n      - still: choose",
                "\"yes\": choose\n      - \"no\": choose"
            ),
            ["empty-answers"]
        );
        assert_eq!(with("answer", "done"), [""; 0]);
    }

    #[test]
    fn many_answers_are_pointed_out() {
        let more = |count: usize| -> String {
            (0..count)
                .map(|n| format!("      - state {}: choose\n", ["a", "b", "c", "d"][n]))
                .collect()
        };
        let with_more = |count| {
            spoiled(
                "      - still: choose\n",
                &format!("      - still: choose\n{}", more(count)),
            )
        };
        assert_eq!(with_more(3), [""; 0]);
        assert_eq!(with_more(4), ["many-answers"]);
    }
}
