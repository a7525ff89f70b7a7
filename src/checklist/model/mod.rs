//! A checklist after checking: a type that cannot hold an unknown target.
//!
//! Values of these types are made by `checklist::load` alone, from files without problems.

use std::collections::BTreeMap;
use std::fmt;

use crate::names::{DutyName, FactName, ListName, SourceName, StepName};
use crate::units::Span;

use super::glossary::Glossary;

mod charts;
mod fact;
mod step;
mod text;
mod word;

pub use charts::{AS_EXPECTED, Charts, ForChart, NOT_AS_EXPECTED};
pub use fact::{Evidence, Fact, FactAbout, FactBook, Origin, Population, Stricter, Value};
pub use step::{
    AnswerChoice, Band, Condition, Cut, Endings, Jump, Period, Range, Remember, Row, Step,
    StepKind, Test, Way,
};
pub use text::{Piece, Text};
pub use word::{CallLevel, ListKind, MayStart, Mode, Outcome};

/// The place of a checklist in its [`Library`]; always valid for the library that gave it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ListId(pub(in crate::checklist) usize);

/// The place of a step in its [`Checklist`]; always valid for the checklist that gave it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StepId(pub(in crate::checklist) usize);

impl StepId {
    /// The position in file order, counted from 0.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

impl ListId {
    /// The position in the library, counted from 0.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

/// Names a counted jump within its checklist; each is counted apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CounterId(pub(in crate::checklist) usize);

#[cfg(test)]
impl CounterId {
    /// The counter of that number, for tests.
    pub(crate) const fn nth(number: usize) -> Self {
        Self(number)
    }
}

/// All the checklists a unit works with, and the facts they speak of.
#[derive(Debug)]
pub struct Library {
    pub(in crate::checklist) lists: Vec<Checklist>,
    pub(in crate::checklist) facts: FactBook,
    pub(in crate::checklist) duties: BTreeMap<DutyName, Duty>,
    pub(in crate::checklist) glossary: Glossary,
    pub(in crate::checklist) ladders: BTreeMap<CallLevel, Vec<Rung>>,
    pub(in crate::checklist) unit: Option<LocalUnit>,
    pub(in crate::checklist) waivers: Vec<Waiver>,
}

impl Library {
    /// The checklist at that place.
    #[must_use]
    pub fn list(&self, id: ListId) -> &Checklist {
        &self.lists[id.0]
    }

    /// The place of the checklist of that name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<ListId> {
        self.lists
            .iter()
            .position(|list| list.name.as_str() == name)
            .map(ListId)
    }

    /// Every checklist with its place, in the order of their names.
    pub fn lists(&self) -> impl Iterator<Item = (ListId, &Checklist)> {
        self.lists
            .iter()
            .enumerate()
            .map(|(index, list)| (ListId(index), list))
    }

    /// Local facts and limits.
    #[must_use]
    pub const fn facts(&self) -> &FactBook {
        &self.facts
    }

    /// The duty of that name. Every duty that a step opens or closes is there.
    #[must_use]
    pub fn duty(&self, name: &DutyName) -> Option<&Duty> {
        self.duties.get(name)
    }

    /// The words of the lists, with what else people say for them.
    #[must_use]
    pub const fn glossary(&self) -> &Glossary {
        &self.glossary
    }

    /// Whom to call at that level, first to last. Empty when the unit has not filled it in.
    #[must_use]
    pub fn ladder(&self, level: CallLevel) -> &[Rung] {
        self.ladders.get(&level).map_or(&[], Vec::as_slice)
    }

    /// What the unit has waived, whether or not it still acts.
    #[must_use]
    pub fn waivers(&self) -> &[Waiver] {
        &self.waivers
    }

    /// The ward or department the lists are fitted to. `None` with the shipped lists alone.
    #[must_use]
    pub const fn unit(&self) -> Option<&LocalUnit> {
        self.unit.as_ref()
    }
}

/// The ward or department that answers for its checklists.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LocalUnit {
    /// Its name, for headings.
    pub name: String,
    /// The time zone it works in.
    pub zone: chrono_tz::Tz,
    /// Who filled in `local.yaml`: initials and role.
    pub author: Option<String>,
    /// Whether lists that are not approved may be started. Urgent ones always may.
    pub drafts: MayStart,
    /// Whether lists whose review date has passed may be started. Urgent ones always may.
    pub past_review: MayStart,
}

/// Something that the unit has decided to do without, for a time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiver {
    /// What is waived.
    pub what: Waived,
    /// Why, in one line.
    pub because: String,
    /// Who decided it: initials and role.
    pub who: String,
    /// The last day on which it acts.
    pub until: chrono::NaiveDate,
}

impl Waiver {
    /// Whether it acts on that day.
    #[must_use]
    pub fn acts_on(&self, day: chrono::NaiveDate) -> bool {
        day <= self.until
    }
}

/// What can be waived.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Waived {
    /// A safeguard, by its name.
    Safeguard(String),
    /// The words of a step that would have to stay as they were approved.
    Words(ListName, StepName),
    /// That a limit may only act earlier than the shipped one.
    Limit(FactName),
}

impl fmt::Display for Waived {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Safeguard(name) => write!(f, "the safeguard {name}"),
            Self::Words(list, step) => write!(f, "the words of {list}/{step}"),
            Self::Limit(name) => write!(f, "the limit {name}"),
        }
    }
}

/// That a list is a shipped one with the unit's changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Adapted {
    /// The version of the shipped list.
    pub base: String,
    /// The version of the adaptation.
    pub version: String,
    /// Shipped trials that go another way with the changes, as they are meant to.
    pub changes_trials: Vec<String>,
    /// What each change speaks of (a step, a limit, a local fact), and why it was made.
    pub reasons: Vec<(String, String)>,
}

/// One procedure, checked.
#[derive(Debug)]
pub struct Checklist {
    /// The name, which is also the file's.
    pub name: ListName,
    /// What the procedure is, in words for a person.
    pub title: String,
    /// The version, such as 1.0.0.
    pub version: String,
    /// What it is used for.
    pub kind: ListKind,
    /// How it is read.
    pub mode: Mode,
    /// The single key that starts an urgent list from every prompt.
    pub key: Option<char>,
    /// What one would say one sees.
    pub signs: Vec<String>,
    /// One line: is this the right list?
    pub recognise: Option<Text>,
    /// What it is about and for whom.
    pub about: Option<String>,
    /// Who answers for it.
    pub owner: String,
    /// Who wrote it.
    pub author: Option<String>,
    /// The day by which it must be looked at again.
    pub review_by: Option<chrono::NaiveDate>,
    /// What changed from version to version, newest first.
    pub change: Vec<String>,
    /// The sources its steps name.
    pub sources: BTreeMap<SourceName, String>,
    /// The first step.
    pub begin: StepId,
    /// SHA-256 of the file's text, as hexadecimal digits; of an adapted list, that of the
    /// fingerprints of the shipped file and of the adaptation.
    pub fingerprint: String,
    /// The adaptation it comes from, if it is a shipped list with the unit's changes.
    pub adapted: Option<Adapted>,
    pub(in crate::checklist) steps: Vec<Step>,
    pub(in crate::checklist) counters: usize,
}

impl Checklist {
    /// The step at that place.
    #[must_use]
    pub fn step(&self, id: StepId) -> &Step {
        &self.steps[id.0]
    }

    /// The place of the step of that name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<StepId> {
        self.steps
            .iter()
            .position(|step| step.name.as_str() == name)
            .map(StepId)
    }

    /// How many counted jumps it has; each has its own [`CounterId`].
    #[must_use]
    pub const fn counters(&self) -> usize {
        self.counters
    }

    /// Every step with its place, in file order.
    pub fn steps(&self) -> impl Iterator<Item = (StepId, &Step)> {
        self.steps
            .iter()
            .enumerate()
            .map(|(index, step)| (StepId(index), step))
    }
}

/// One person or role to call, and how long to wait for an answer before the next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rung {
    /// Who, as a role.
    pub who: String,
    /// How: the number to ring or the bell to pull.
    pub how: String,
    /// How long to wait for an answer.
    pub wait: Span,
}

/// Something opened that must be closed or handed over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Duty {
    /// What is open, said as a fact: "A clamp is on the drain".
    pub open: String,
    /// What closes it: "Take the clamp off".
    pub close: String,
    /// How long it may stay open before it is overdue. `None`: until the end of the walk.
    pub within: Option<Span>,
}
