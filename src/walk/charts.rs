//! What the answers of a walk say for the drain chart.

use crate::checklist::model::Charts;
use crate::units::Amount;

use super::event::Happening;
use super::input::Answer;

/// An answer of a walk that belongs in the drain chart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Charted {
    /// The place of its event among those given, counted from 0.
    pub event: usize,
    /// What of the chart it is.
    pub charts: Charts,
    /// The number with its unit; `None` for a look.
    pub amount: Option<Amount>,
    /// The answer in words.
    pub words: String,
}

/// The answers for the chart that stand after these events of one walk, in order. An answer that
/// was taken back is none. An item that was asked again after an interruption, because it was no
/// longer so, was right when it was given: both stand, each at its own time.
pub fn charted<'a>(events: impl IntoIterator<Item = &'a Happening>) -> Vec<Charted> {
    // What each step back takes away: an answer, or an urgent list that was begun.
    let mut steps: Vec<Option<Charted>> = Vec::new();
    for (event, what) in events.into_iter().enumerate() {
        match what {
            Happening::Answered {
                answer: Answer::StillSo | Answer::NoLonger,
                ..
            } => {}
            Happening::Answered { answer, charts, .. } => {
                steps.push(charts.map(|charts| Charted {
                    event,
                    charts,
                    amount: amount(answer),
                    words: words(answer),
                }));
            }
            Happening::Jumped { .. } => steps.push(None),
            Happening::WentBack { .. } => drop(steps.pop()),
            _ => {}
        }
    }
    steps.into_iter().flatten().collect()
}

fn amount(answer: &Answer) -> Option<Amount> {
    match answer {
        Answer::Value(amount) => Some(*amount),
        _ => None,
    }
}

fn words(answer: &Answer) -> String {
    match answer {
        Answer::Value(amount) => amount.to_string(),
        Answer::Choice(words) => words.clone(),
        Answer::AsExpected => "as expected".to_owned(),
        _ => "not as expected".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use crate::names::{ListName, StepName};

    use super::*;

    fn level(text: &str) -> Happening {
        answered(Answer::Value(Amount::parse(text).unwrap()), true)
    }

    fn answered(answer: Answer, charts: bool) -> Happening {
        Happening::Answered {
            list: ListName::new("round").unwrap(),
            step: StepName::new("level").unwrap(),
            asked: String::new(),
            answer,
            charts: charts.then_some(Charts::Level),
        }
    }

    fn back() -> Happening {
        Happening::WentBack {
            list: ListName::new("round").unwrap(),
            step: StepName::new("level").unwrap(),
        }
    }

    fn jump() -> Happening {
        Happening::Jumped {
            list: ListName::new("tube-out").unwrap(),
        }
    }

    fn found(events: &[Happening]) -> Vec<String> {
        let found = charted(events);
        found.into_iter().map(|one| one.words).collect()
    }

    #[test]
    fn what_was_taken_back_is_not_charted_and_its_repetition_counts_once() {
        assert_eq!(
            found(&[level("320 mL"), back(), level("230 mL")]),
            ["230 mL"]
        );
        // Other answers after it are taken back first.
        let other = || answered(Answer::Done, false);
        assert_eq!(found(&[level("320 mL"), other(), back()]), ["320 mL"]);
        assert!(found(&[level("320 mL"), other(), back(), back()]).is_empty());
        // A step back over an urgent list leaves the answer before it.
        assert_eq!(found(&[level("320 mL"), jump(), back()]), ["320 mL"]);
    }

    #[test]
    fn an_item_that_still_holds_is_no_second_reading() {
        let repeated = [level("320 mL"), Happening::Paused, Happening::Resumed];
        let still = answered(Answer::StillSo, false);
        assert_eq!(found(&[&repeated[..], &[still]].concat()), ["320 mL"]);
        let no_longer = [answered(Answer::NoLonger, false), level("350 mL")];
        assert_eq!(
            found(&[&repeated[..], &no_longer].concat()),
            ["320 mL", "350 mL"]
        );
    }
}
