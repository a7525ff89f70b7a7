//! What the lines of a story say in a record.

use std::collections::BTreeMap;

use crate::checklist::model::{CallLevel, Outcome};
use crate::units::Span;
use crate::walk::input::Answer;
use crate::walk::story::{Entered, Telling};

/// The nurse's own words, marked as such.
pub(super) fn quoted(words: &str) -> String {
    format!("\u{201c}{}\u{201d}", words.trim())
}

/// An answer as a record says it: what was recorded, never that it was so.
pub(super) fn said(answer: &Answer, words: &str) -> String {
    let words = words.trim();
    let or = |otherwise: &str| {
        if words.is_empty() {
            otherwise.to_owned()
        } else {
            words.to_owned()
        }
    };
    match answer {
        Answer::Done => "recorded as done".to_owned(),
        Answer::NotDone { reason } => because("recorded as not done", reason),
        Answer::AsExpected => or("as expected"),
        Answer::NotAsExpected { found } if found.trim().is_empty() => or("not as expected"),
        Answer::NotAsExpected { found } if words.contains(found.trim()) => words.to_owned(),
        Answer::NotAsExpected { found } => {
            format!("{}: {}", or("not as expected"), quoted(found))
        }
        Answer::CouldNotCheck { reason } => because("could not be checked", reason),
        Answer::Choice(choice) => or(choice),
        Answer::Value(amount) => or(&amount.to_string()),
        Answer::NotObtained { reason } => because("not obtained", reason),
        Answer::Elapsed => or("watched to the end"),
        Answer::Missed { reason } => because("not watched to the end", reason),
        Answer::Read => "closing text shown and confirmed".to_owned(),
        // Beside the question, "still so" alone would read as a yes to it.
        Answer::StillSo => repeated("still stands", words.strip_prefix("still so: ")),
        Answer::NoLonger => repeated("no longer stands", words.strip_prefix("no longer so: ")),
    }
}

/// An answer that was confirmed or not after an interruption.
fn repeated(stands: &str, before: Option<&str>) -> String {
    match before.map(str::trim).filter(|before| !before.is_empty()) {
        Some(before) => format!("asked again, the answer before {stands}: {before}"),
        None => format!("asked again, the answer before {stands}"),
    }
}

fn because(state: &str, reason: &str) -> String {
    format!("{state}, because: {}", quoted(reason))
}

/// An outcome in words.
pub(super) const fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Ready => "recorded as ready for use",
        Outcome::Working => "recorded as working",
        Outcome::Resolved => "recorded as put right",
        Outcome::Watch => "to be watched and looked at again",
        Outcome::Escalated => "handed on to somebody who was called",
        Outcome::Stopped => "stopped before it was complete",
    }
}

/// How urgent a call is, in words.
pub(super) const fn level(level: CallLevel) -> &'static str {
    match level {
        CallLevel::Emergency => "emergency",
        CallLevel::DoctorNow => "doctor, now",
        CallLevel::DoctorSoon => "doctor, soon",
    }
}

/// What an entry is about, and what was recorded of it where that is a thing apart.
/// `opened` has the words for each duty that was opened.
pub(super) fn words(telling: &Telling, opened: &BTreeMap<&str, &str>) -> (String, Option<String>) {
    match telling {
        Telling::Answered {
            asked,
            record,
            answer,
            words,
            ..
        } => (
            record.as_ref().unwrap_or(asked).clone(),
            Some(said(answer, words)),
        ),
        Telling::Noted { text } => ("Note".to_owned(), Some(quoted(text))),
        Telling::GaveUp { reason } => ("Stopped for good".to_owned(), Some(quoted(reason))),
        Telling::DutyClosed { duty, how } => {
            let open = opened.get(duty.as_str()).copied();
            let open = open.map_or_else(|| spaced(duty.as_str()), str::to_owned);
            (format!("No longer open: {open}"), Some(how.clone()))
        }
        Telling::CallMade {
            call,
            level: urgency,
            who,
            how,
        } => {
            let by = if how.is_empty() { "" } else { " by " };
            let what = format!("Call {call} ({}) to {who}{by}{how}", level(*urgency));
            (what, Some("recorded as made".to_owned()))
        }
        Telling::CallOrdered { call, order } => (
            format!("Call {call}: ordered and read back"),
            Some(quoted(order)),
        ),
        other => (plain(other), None),
    }
}

/// The entries that one sentence says in full.
fn plain(telling: &Telling) -> String {
    match telling {
        Telling::ListBegun {
            title,
            version,
            how,
            ..
        } => {
            let how = match how {
                Entered::Start => "Began the checklist",
                Entered::Used => "Went into the checklist",
                Entered::Jumped => "Left for the urgent checklist",
            };
            format!("{how} {} (version {version})", quoted(title))
        }
        Telling::ListEnded {
            title,
            outcome: came_out,
            text,
            ..
        } => format!("End of {}: {}. {text}", quoted(title), outcome(*came_out)),
        Telling::CallAnswered { call, who } => format!("Call {call}: answered by {who}"),
        Telling::CallArrived { call, who } => format!("Call {call}: {who} came"),
        Telling::DutyOpened { open, .. } => format!("Open from here: {open}"),
        Telling::Paused => "Paused".to_owned(),
        Telling::Resumed { gap, was_paused } => {
            let after = if *was_paused {
                "a pause"
            } else {
                "an interruption"
            };
            format!("Went on after {after} of {}", Span(*gap))
        }
        Telling::WentBack { asked } => format!("Went back to: {asked}"),
        _ => String::new(),
    }
}

/// A name in words.
pub(super) fn spaced(name: &str) -> String {
    name.replace('-', " ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Amount, Number, Unit};

    #[test]
    fn an_answer_says_what_was_recorded_and_keeps_the_words_given() {
        let amount = Amount::new(Number::from_milli(2500), Unit::Cm);
        let cases = [
            (Answer::Done, "Done", "recorded as done"),
            (
                Answer::NotDone {
                    reason: " no spare  ".into(),
                },
                "Not done",
                "recorded as not done, because: \u{201c}no spare\u{201d}",
            ),
            (Answer::AsExpected, "", "as expected"),
            (
                Answer::AsExpected,
                "as expected: it moves",
                "as expected: it moves",
            ),
            (
                Answer::NotAsExpected {
                    found: "still".into(),
                },
                "not as expected",
                "not as expected: \u{201c}still\u{201d}",
            ),
            (
                Answer::NotAsExpected {
                    found: "still".into(),
                },
                "not as expected: still",
                "not as expected: still",
            ),
            (Answer::Value(amount), "", "2.5 cm"),
            (Answer::Choice("worse".into()), "", "worse"),
        ];
        for (answer, words, expected) in cases {
            assert_eq!(said(&answer, words), expected, "{answer:?}");
        }
    }

    #[test]
    fn no_answer_is_ever_said_to_be_done() {
        let said = said(&Answer::Done, "Done");
        assert!(said.contains("recorded as"), "{said}");
    }
}
