//! One possible walk, told as the answers that make it.

use std::fmt;

use crate::checklist::drain_fact::DrainFacts;
use crate::names::{ListName, StepName};
use crate::units::Amount;

/// An answer in a run.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Said {
    /// A `do` was carried out.
    Done,
    /// A `do` was not carried out.
    NotDone,
    /// A `check` found what was expected.
    AsExpected,
    /// A `check` found something else.
    NotAsExpected,
    /// A `check` could not be made.
    CouldNotCheck,
    /// One of the answers to an `ask`, in its words.
    Choice(String),
    /// A number that stands for all numbers of its class.
    Value(Amount),
    /// A `measure` could not be read.
    NotObtained,
    /// A `wait` was watched to its end.
    Elapsed,
    /// A `wait` was broken off.
    Missed,
    /// The closing text was read.
    Read,
    /// After an interruption: the repeated item still holds.
    StillSo,
    /// After an interruption: the repeated item no longer holds.
    NoLonger,
}

impl fmt::Display for Said {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Done => f.write_str("done"),
            Self::NotDone => f.write_str("not done: could not do it"),
            Self::AsExpected => f.write_str("as expected"),
            Self::NotAsExpected => f.write_str("not as expected"),
            Self::CouldNotCheck => f.write_str("could not check: could not see it"),
            Self::Choice(words) => f.write_str(words),
            Self::Value(amount) => amount.fmt(f),
            Self::NotObtained => f.write_str("not obtained: could not read it"),
            Self::Elapsed => f.write_str("watched to the end"),
            Self::Missed => f.write_str("broken off: called away"),
            Self::Read => f.write_str("read"),
            Self::StillSo => f.write_str("still so"),
            Self::NoLonger => f.write_str("no longer so"),
        }
    }
}

/// How a step came to be answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum How {
    /// It was the step that was shown.
    Asked,
    /// Its remembered answer had become too old and was needed.
    AskedAgain,
    /// After an interruption it was repeated as the last completed item.
    Repeated,
}

/// One answer of a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The checklist of the step.
    pub list: ListName,
    /// The step that was answered; with [`How::Repeated`], the repeated item.
    pub step: StepName,
    /// The answer.
    pub said: Said,
    /// How it came to be asked.
    pub how: How,
    /// How many seconds after the line before it is written.
    pub after: u32,
    /// How many seconds before it was written it was seen. An answer that is written late is as
    /// old as it was seen; so a replay can make each remembered answer too old when the run says so.
    pub seen_before: u32,
}

/// One possible walk through a checklist.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// The checklist that is started.
    pub list: ListName,
    /// What is known of the drain; anything not named here is not known.
    pub facts: DrainFacts,
    /// Local facts as the unit would have filled them in; only such as it has not filled in yet.
    pub local: DrainFacts,
    /// The answers in order.
    pub lines: Vec<Line>,
    /// The step that is shown after the last answer; `None` when the walk is over.
    pub reaches: Option<(ListName, StepName)>,
}

impl Run {
    /// The run as a script: one line `step = answer` for each answer, with what is known of the
    /// drain and every interruption said in lines that begin with `#`.
    #[must_use]
    pub fn script(&self) -> String {
        let mut lines: Vec<String> = self
            .facts
            .iter()
            .map(|(name, value)| format!("# drain: {name} = {value}"))
            .collect();
        lines.extend(
            self.local
                .iter()
                .map(|(name, value)| format!("# filled in: {name} = {value}")),
        );
        for line in &self.lines {
            match line.how {
                How::Asked => {}
                How::AskedAgain => {
                    lines.push("# asked again, the answer had become too old".to_owned())
                }
                How::Repeated => {
                    lines.push("# interrupted; the last completed item is repeated".to_owned())
                }
            }
            lines.push(match line.list == self.list {
                true => format!("{} = {}", line.step, line.said),
                false => format!("{}/{} = {}", line.list, line.step, line.said),
            });
        }
        lines.push(match &self.reaches {
            Some((list, step)) => format!("# reaches {list}/{step}"),
            None => "# over".to_owned(),
        });
        lines.join("\n") + "\n"
    }
}
