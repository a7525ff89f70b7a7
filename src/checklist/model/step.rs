//! A step, what it asks, and where each answer leads.

use std::collections::BTreeSet;

use crate::names::{DutyName, FactName, SourceName, StepName, Tag};
use crate::units::{Number, Span, Unit};

use super::{CallLevel, CounterId, ForChart, ListId, Outcome, StepId, Text};

/// One step.
#[derive(Debug)]
pub struct Step {
    /// Its name within the checklist.
    pub name: StepName,
    /// What it asks of the nurse.
    pub kind: StepKind,
    /// One line of reason.
    pub why: Option<Text>,
    /// The hazard, shown directly before the step.
    pub caution: Option<Text>,
    /// Where to look or touch.
    pub place: Option<Text>,
    /// The sources of the step, each in the checklist's head.
    pub source: Vec<SourceName>,
    /// By what safeguards find it.
    pub tags: BTreeSet<Tag>,
    /// Whether a slip here is dangerous.
    pub critical: bool,
    /// Whether it belongs to the first screen of an urgent list.
    pub from_memory: bool,
    /// Under what name the answer is remembered.
    pub remember: Option<Remember>,
    /// What its answers are for the drain chart.
    pub charts: ForChart,
    /// Duties opened when the step is done or found as expected.
    pub opens: Vec<DutyName>,
    /// Duties closed when the step is done or found as expected.
    pub closes: Vec<DutyName>,
    /// The call for help that the step is.
    pub call: Option<CallLevel>,
    /// How the step reads in a record, when not as asked.
    pub record: Option<Text>,
}

/// A remembered answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remember {
    /// The name under which `when` and `{…}` find it.
    pub name: FactName,
    /// After this time the answer counts as not given.
    pub good_for: Option<Span>,
}

/// What a step asks of the nurse, with every way out.
#[derive(Debug)]
pub enum StepKind {
    /// Carry out one action and confirm it.
    Do {
        /// The action, a command.
        text: Text,
        /// Where to go when it is done.
        then: Way,
        /// Where to go when it could not be done.
        if_not_done: Way,
    },
    /// Look for an expected state.
    Check {
        /// What to look at.
        text: Text,
        /// What should be seen.
        expect: Text,
        /// Where to go when it is so.
        as_expected: Way,
        /// Where to go when it is not so.
        not_as_expected: Way,
        /// Where to go when it could not be seen.
        could_not_check: Way,
    },
    /// Answer a question.
    Ask {
        /// The question.
        text: Text,
        /// The answers; exactly one is flagged `unsure`.
        answers: Vec<AnswerChoice>,
    },
    /// Read a number.
    Measure {
        /// What to read.
        text: Text,
        /// The unit in which it is judged.
        unit: Unit,
        /// The lowest and highest number that is not a slip of the pen.
        plausible: (Number, Number),
        /// Ways by number; every plausible number is in exactly one.
        bands: Vec<Band>,
        /// Where to go when it could not be read.
        not_obtained: Way,
    },
    /// Watch for a time.
    Wait {
        /// What to watch.
        text: Text,
        /// How long.
        period: Period,
        /// How much later than due still counts as waited.
        late_after: Span,
        /// Where to go when the time has passed.
        elapsed: Way,
        /// Where to go when it was broken off or looked at too late.
        if_missed: Way,
    },
    /// Branch on what is known; the nurse does nothing.
    Decide {
        /// The first row whose conditions all hold is taken.
        rows: Vec<Row>,
        /// Where to go when none does.
        otherwise: Way,
    },
    /// Follow another checklist and come back by its ending.
    Use {
        /// The other checklist.
        list: ListId,
        /// Where each of its endings leads.
        endings: Endings,
    },
    /// The end.
    End {
        /// The closing text.
        text: Text,
        /// How the walk came out.
        outcome: Outcome,
        /// When to look again.
        recheck: Option<Span>,
    },
}

impl StepKind {
    /// What it says to the nurse; `None` for a `decide` and for a list that is followed.
    #[must_use]
    pub const fn text(&self) -> Option<&Text> {
        match self {
            Self::Do { text, .. }
            | Self::Check { text, .. }
            | Self::Ask { text, .. }
            | Self::Measure { text, .. }
            | Self::Wait { text, .. }
            | Self::End { text, .. } => Some(text),
            Self::Decide { .. } | Self::Use { .. } => None,
        }
    }

    /// Every way out, in the order of the language; none of a list that is followed, whose ways
    /// hang on how it ends.
    #[must_use]
    pub fn ways(&self) -> Vec<&Way> {
        match self {
            Self::Do {
                then, if_not_done, ..
            } => vec![then, if_not_done],
            Self::Check {
                as_expected,
                not_as_expected,
                could_not_check,
                ..
            } => vec![as_expected, not_as_expected, could_not_check],
            Self::Ask { answers, .. } => answers.iter().map(|answer| &answer.way).collect(),
            Self::Measure {
                bands,
                not_obtained,
                ..
            } => bands
                .iter()
                .map(|band| &band.way)
                .chain([not_obtained])
                .collect(),
            Self::Wait {
                elapsed, if_missed, ..
            } => vec![elapsed, if_missed],
            Self::Decide { rows, otherwise } => {
                rows.iter().map(|row| &row.way).chain([otherwise]).collect()
            }
            Self::Use { .. } | Self::End { .. } => Vec::new(),
        }
    }
}

/// How long a `wait` lasts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Period {
    /// A fixed time.
    Fixed(Span),
    /// The local fact or limit of that name; `unset` holds when the unit has not filled it in.
    Fact {
        /// The name of the fact.
        name: FactName,
        /// The time to wait while it is not filled in.
        unset: Span,
    },
}

/// One answer to an `ask`.
#[derive(Debug)]
pub struct AnswerChoice {
    /// The answer in words; also its name.
    pub words: String,
    /// Whether it is the way to say "not sure".
    pub unsure: bool,
    /// Where it leads.
    pub way: Way,
}

/// A way for a stretch of numbers.
#[derive(Debug)]
pub struct Band {
    /// The numbers it catches.
    pub range: Range,
    /// The band in words, such as "below 2 cm".
    pub words: Text,
    /// Where it leads.
    pub way: Way,
}

/// A stretch of numbers. A missing end is open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Range {
    /// The lower cut, and whether it belongs to the stretch.
    pub from: Option<(Cut, bool)>,
    /// The upper cut, and whether it belongs to the stretch.
    pub to: Option<(Cut, bool)>,
}

impl Range {
    /// The stretch in words, with each cut as `cut` writes it.
    #[must_use]
    pub fn in_words(&self, cut: impl Fn(&Cut) -> String) -> String {
        match (&self.from, &self.to) {
            (None, None) => "any number".to_owned(),
            (Some((low, true)), None) => format!("at least {}", cut(low)),
            (Some((low, false)), None) => format!("above {}", cut(low)),
            (None, Some((high, true))) => format!("at most {}", cut(high)),
            (None, Some((high, false))) => format!("below {}", cut(high)),
            (Some((low, from)), Some((high, to))) => format!(
                "{}{} to {}{}",
                if *from { "" } else { "above " },
                cut(low),
                if *to { "" } else { "below " },
                cut(high)
            ),
        }
    }
}

/// A number at which the way changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cut {
    /// A number in the unit of the step.
    Fixed(Number),
    /// A limit or local fact whose value is known; in the unit of the step.
    Fact(FactName, Number),
    /// A limit for each kilogram: multiplied by the weight of the child.
    PerKg(FactName, Number),
    /// A local fact the unit has not filled in: a measure takes its `not_obtained` way, and a
    /// condition does not hold.
    Unset(FactName),
}

/// One row of a `decide`: all conditions must hold.
#[derive(Debug)]
pub struct Row {
    /// The conditions.
    pub when: Vec<Condition>,
    /// Where the row leads.
    pub way: Way,
}

/// A condition on one fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Condition {
    /// The local fact, limit, drain fact or remembered answer.
    pub name: FactName,
    /// What must be so.
    pub test: Test,
}

/// What a condition asks of a fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Test {
    /// The fact is known and is one of these words.
    OneOf(Vec<String>),
    /// The fact is known and is a number in this stretch.
    Within(Range),
    /// The fact is known.
    Known,
    /// The fact is not known, or a remembered answer was never given.
    Unknown,
}

/// Where an answer leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Way {
    /// To a step of the same checklist.
    Jump(Jump),
    /// To another checklist, and back by its ending.
    Use {
        /// The other checklist.
        list: ListId,
        /// Where each of its endings leads.
        endings: Endings,
    },
}

/// A move to a step of the same checklist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Jump {
    /// Always.
    To(StepId),
    /// At most so often; after that somewhere else.
    Counted {
        /// Where to go while the count lasts.
        go: StepId,
        /// How often it may be taken in one pass through the checklist.
        at_most: u32,
        /// Where to go after that.
        after_that: StepId,
        /// Under what it is counted.
        counter: CounterId,
    },
}

/// Where each ending of a used checklist leads. Every outcome it can have is covered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Endings {
    /// By outcome.
    pub by_outcome: Vec<(Outcome, Jump)>,
    /// For every other outcome.
    pub any: Option<Jump>,
}
