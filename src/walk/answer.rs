//! What an answer means: which way it takes, how it reads, what is remembered of it.

use crate::checklist::model::{Step, StepKind, Value, Way};
use crate::units::Amount;

use super::input::Answer;
use super::known::Known;
use super::refused::Refused;

/// What an answer amounts to.
pub(super) struct Meaning<'a> {
    /// Where it leads; `None` at an end.
    pub way: Option<&'a Way>,
    /// The answer in words.
    pub words: String,
    /// What is remembered of it, if the step remembers.
    pub value: Option<Value>,
    /// Whether the step counts as done: opens and closes its duties, makes its call.
    pub done: bool,
    /// Why the step was left undone.
    pub undone: Option<String>,
}

impl<'a> Meaning<'a> {
    fn new(way: &'a Way, words: impl Into<String>) -> Self {
        Self {
            way: Some(way),
            words: words.into(),
            value: None,
            done: false,
            undone: None,
        }
    }

    fn done(mut self) -> Self {
        self.done = true;
        self
    }

    fn remembered(mut self, word: &str) -> Self {
        self.value = Some(Value::Word(word.to_owned()));
        self
    }

    fn left_undone(mut self, reason: &str) -> Self {
        self.undone = Some(reason.trim().to_owned());
        self
    }
}

/// Finds what the answer to the step amounts to.
///
/// `late` says that a wait was looked at too late to count.
pub(super) fn meaning<'a>(
    step: &'a Step,
    answer: &Answer,
    known: &Known<'_>,
    late: bool,
) -> Result<Meaning<'a>, Refused> {
    match (&step.kind, answer) {
        (StepKind::Do { then, .. }, Answer::Done) => {
            Ok(Meaning::new(then, "done").done().remembered("done"))
        }
        (StepKind::Do { if_not_done, .. }, Answer::NotDone { reason }) => {
            let words = with_reason("not done", reason)?;
            Ok(Meaning::new(if_not_done, words)
                .remembered("not-done")
                .left_undone(reason))
        }
        (
            StepKind::Check {
                expect,
                as_expected,
                ..
            },
            Answer::AsExpected,
        ) => {
            let words = format!("as expected: {}", known.fill(expect));
            Ok(Meaning::new(as_expected, words)
                .done()
                .remembered("as-expected"))
        }
        (
            StepKind::Check {
                not_as_expected, ..
            },
            Answer::NotAsExpected { found },
        ) => {
            let words = match found.trim() {
                "" => "not as expected".to_owned(),
                found => format!("not as expected: {found}"),
            };
            Ok(Meaning::new(not_as_expected, words).remembered("not-as-expected"))
        }
        (
            StepKind::Check {
                could_not_check, ..
            },
            Answer::CouldNotCheck { reason },
        ) => {
            let words = with_reason("could not check", reason)?;
            Ok(Meaning::new(could_not_check, words)
                .remembered("not-checked")
                .left_undone(reason))
        }
        (StepKind::Ask { answers, .. }, Answer::Choice(words)) => {
            match answers.iter().find(|choice| choice.words == *words) {
                Some(choice) => Ok(Meaning::new(&choice.way, words).remembered(words)),
                None => Err(no_such_answer(step, words)),
            }
        }
        (StepKind::Measure { .. }, Answer::Value(amount)) => measured(step, *amount, known),
        (StepKind::Measure { not_obtained, .. }, Answer::NotObtained { reason }) => Ok(
            Meaning::new(not_obtained, with_reason("not obtained", reason)?).left_undone(reason),
        ),
        (
            StepKind::Wait {
                elapsed, if_missed, ..
            },
            Answer::Elapsed,
        ) => Ok(if late {
            Meaning::new(if_missed, "looked at later than due")
        } else {
            Meaning::new(elapsed, "watched to the end")
        }),
        (StepKind::Wait { if_missed, .. }, Answer::Missed { reason }) => {
            Ok(Meaning::new(if_missed, with_reason("broken off", reason)?).left_undone(reason))
        }
        (StepKind::End { .. }, Answer::Read) => Ok(Meaning {
            way: None,
            words: "read".to_owned(),
            value: None,
            done: false,
            undone: None,
        }),
        (kind, _) => Err(Refused::WrongKind {
            step: step.name.clone(),
            allowed: allowed(kind),
        }),
    }
}

/// Takes a number into the unit of the step and finds its band.
fn measured<'a>(step: &'a Step, given: Amount, known: &Known<'_>) -> Result<Meaning<'a>, Refused> {
    let StepKind::Measure {
        unit,
        bands,
        not_obtained,
        ..
    } = &step.kind
    else {
        unreachable!("only called for a measure");
    };
    let judged = given.to(*unit)?;
    let words = if given.unit == judged.unit {
        judged.to_string()
    } else {
        format!("{given} = {judged}")
    };
    for band in bands {
        match known.within(&band.range, judged.number) {
            Some(true) => {
                let mut meaning = Meaning::new(&band.way, words);
                meaning.value = Some(Value::Amount(judged));
                return Ok(meaning);
            }
            Some(false) => {}
            None => {
                let words =
                    format!("{words}, which cannot be judged: a weight or local value is missing");
                return Ok(Meaning::new(not_obtained, words)
                    .left_undone("the weight or a local value is not known"));
            }
        }
    }
    // Bands cover every plausible number; one beyond them is not judged but handed on.
    let words = format!("{words}, beyond what the step can judge");
    Ok(Meaning::new(not_obtained, words)
        .left_undone("the number is beyond what the step can judge"))
}

fn with_reason(what: &str, reason: &str) -> Result<String, Refused> {
    match reason.trim() {
        "" => Err(Refused::NoReason),
        reason => Ok(format!("{what}: {reason}")),
    }
}

fn no_such_answer(step: &Step, words: &str) -> Refused {
    let StepKind::Ask { answers, .. } = &step.kind else {
        unreachable!("only called for an ask");
    };
    let all: Vec<String> = answers
        .iter()
        .map(|choice| format!("\"{}\"", choice.words))
        .collect();
    Refused::NoSuchAnswer {
        step: step.name.clone(),
        words: words.to_owned(),
        answers: all.join(", "),
    }
}

/// What a step can be answered with, in words.
fn allowed(kind: &StepKind) -> &'static str {
    match kind {
        StepKind::Do { .. } => "done, or not done with a reason",
        StepKind::Check { .. } => "as expected, not as expected, or could not check with a reason",
        StepKind::Ask { .. } => "one of its answers",
        StepKind::Measure { .. } => "a number with its unit, or not obtained with a reason",
        StepKind::Wait { .. } => "watched to the end, or broken off with a reason",
        StepKind::End { .. } => "read",
        StepKind::Decide { .. } | StepKind::Use { .. } => "nothing; the walk goes on by itself",
    }
}
