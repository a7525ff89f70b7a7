//! A checklist and every list that it uses, made ready for being followed in all possible ways:
//! every answer by class, every condition as a table, every fact with the values it may have.

use crate::checklist::model::{CallLevel, Library, Outcome, Value};
use crate::names::FactName;
use crate::units::Number;

use super::last::Lasts;
use super::run::Said;

/// Numbers a fact that can be kept track of: a drain fact, or a remembered answer or a count of
/// one list.
pub(super) type VarId = u16;

/// Stands for "no step".
pub(super) const NONE: u32 = u32::MAX;

/// Everything that can be reached from one checklist.
#[derive(Debug)]
pub(super) struct Model<'a> {
    /// The library it was made from.
    pub library: &'a Library,
    /// The checklist that is started.
    pub root: usize,
    /// By place in the library; `None` for lists that cannot be reached.
    pub lists: Vec<Option<List>>,
    /// Drain facts that any condition asks for; they come first among the facts kept track of.
    pub drains: Vec<Drain>,
    /// The place of the weight among the drain facts, if anything depends on it.
    pub weight: Option<usize>,
    /// Which weight it was made for.
    pub weighs: Weight,
    /// Where the endings of used lists lead.
    pub sites: Vec<Site>,
    /// How many facts can be kept track of.
    pub vars: usize,
}

impl Model<'_> {
    /// The list at that place; only called for lists that can be reached.
    pub fn list(&self, list: usize) -> &List {
        match &self.lists[list] {
            Some(list) => list,
            None => unreachable!("only lists that can be reached are asked for"),
        }
    }

    /// Every list that can be reached, with its place.
    pub fn reached(&self) -> impl Iterator<Item = (usize, &List)> {
        self.lists
            .iter()
            .enumerate()
            .filter_map(|(at, list)| Some((at, list.as_ref()?)))
    }
}

/// Which weight a model is made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    /// Any: what is judged by a limit for each kilogram may come out either way.
    Open,
    /// This one, or one that is not known.
    Is(Option<Number>),
}

/// A drain fact, or a local fact that the unit has not filled in yet. As a number: 0 not chosen
/// yet, 1 not known, from 2 on its values.
#[derive(Debug)]
pub(super) struct Drain {
    /// Its name.
    pub name: FactName,
    /// Whether it is a local fact.
    pub local: bool,
    /// One value for each class.
    pub values: Vec<Value>,
    /// Whether it may also be not known.
    pub maybe_unknown: bool,
}

impl Drain {
    /// The numbers that it can have.
    pub fn numbers(&self) -> impl Iterator<Item = u16> {
        let first = if self.maybe_unknown { 1 } else { 2 };
        first..=short(self.values.len() + 1)
    }
}

/// One list.
#[derive(Debug)]
pub(super) struct List {
    /// The first step.
    pub begin: u32,
    /// Its steps.
    pub steps: Vec<Step>,
    /// Its remembered answers.
    pub memory: Vec<Memory>,
    /// How many counted jumps it has.
    pub counters: usize,
    /// The number of its first remembered answer; its counts follow the last one.
    pub first_var: usize,
    /// For each step, which remembered answers and counts can still matter from there on.
    pub live: Vec<Vec<u64>>,
    /// For each step, which drain facts can still matter from there on.
    pub live_drains: Vec<u64>,
    /// For each step, which item can be the last completed one there.
    pub lasts: Vec<Lasts>,
}

impl List {
    /// The number of a remembered answer among the facts kept track of.
    pub fn memory_var(&self, memory: usize) -> VarId {
        short(self.first_var + memory)
    }

    /// The number of a count among the facts kept track of.
    pub fn count_var(&self, counter: usize) -> VarId {
        short(self.first_var + self.memory.len() + counter)
    }

    /// The number of its last completed item among the facts kept track of.
    pub fn last_var(&self) -> VarId {
        short(self.first_var + self.width())
    }

    /// How many remembered answers and counts there are.
    pub fn width(&self) -> usize {
        self.memory.len() + self.counters
    }
}

/// Numbers of facts and classes are small; one too large would only be kept apart less finely.
pub(super) fn short(number: usize) -> u16 {
    u16::try_from(number).unwrap_or(u16::MAX)
}

/// Step numbers, held small.
pub(super) fn step_number(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(NONE)
}

/// A remembered answer. As a number: 0 never given, from 1 on its values, with [`OLD`] when it was
/// found too old.
#[derive(Debug)]
pub(super) struct Memory {
    /// The name.
    pub name: FactName,
    /// Every value it can have.
    pub values: Vec<Remembered>,
    /// By value, the number of the first one that no condition tells from it.
    pub alike: Vec<u16>,
}

/// The bit of a remembered answer that was found too old and not given anew since.
pub(super) const OLD: u16 = 0x8000;

/// Stands for any value of a remembered answer: only that it was given is still known.
pub(super) const GIVEN: u16 = 0x4000;

impl Memory {
    /// The number that stands for all that no condition tells from it.
    pub fn alike(&self, value: u16) -> u16 {
        let at = usize::from(value & !OLD).checked_sub(1);
        at.and_then(|at| self.alike.get(at).copied())
            .unwrap_or(value)
    }

    /// The value that a number stands for, whether it is too old or not.
    pub fn given(&self, value: u16) -> Option<&Remembered> {
        self.values.get(usize::from(value & !OLD).checked_sub(1)?)
    }
}

/// A value that a remembered answer can have.
#[derive(Debug)]
pub(super) struct Remembered {
    /// The step that asks for it.
    pub step: u32,
    /// The answer among those of the step.
    pub reply: usize,
    /// The value.
    pub value: Value,
    /// Whether it becomes too old.
    pub fades: bool,
}

/// One step.
#[derive(Debug)]
pub(super) enum Step {
    /// Something is asked of the nurse.
    Asked {
        /// Every answer by class.
        replies: Vec<Reply>,
        /// Under which remembered answer it is kept.
        memory: Option<usize>,
    },
    /// The list branches on what is known.
    Decide {
        /// Rows of conditions with their ways.
        rows: Vec<(Vec<Cond>, Way)>,
        /// When no row holds.
        otherwise: Way,
    },
    /// Another list is followed.
    Use(Way),
    /// The end; reading it is the only answer.
    End(Outcome),
}

/// One class of answers.
#[derive(Debug)]
pub(super) struct Reply {
    /// The answer.
    pub said: Said,
    /// What sort of answer it is.
    pub sort: Sort,
    /// What is remembered, as a number.
    pub value: u16,
    /// Where it leads.
    pub way: Way,
    /// Whether it rests on the weight, which is open: the same answer stands there with its other
    /// ways too.
    pub weighed: bool,
}

impl Reply {
    /// An answer of which nothing is remembered yet.
    pub const fn new(said: Said, sort: Sort, way: Way) -> Self {
        Self {
            said,
            sort,
            value: 0,
            way,
            weighed: false,
        }
    }
}

/// What sort of answer it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Sort {
    Done,
    NotDone,
    AsExpected,
    NotAsExpected,
    NotChecked,
    Choice,
    Unsure,
    Value,
    NotObtained,
    Elapsed,
    Missed,
    Read,
}

impl Sort {
    /// Whether the step was carried out, whatever was found.
    pub const fn carried_out(self) -> bool {
        matches!(
            self,
            Self::Done
                | Self::AsExpected
                | Self::NotAsExpected
                | Self::Choice
                | Self::Value
                | Self::Elapsed
                | Self::Read
        )
    }

    /// Whether the walk takes the step as done: its duties open and close, its call was made.
    pub const fn takes_effect(self) -> bool {
        matches!(self, Self::Done | Self::AsExpected)
    }
}

/// One way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    Jump(Jump),
    Use { list: usize, site: u32 },
}

/// A move to a step of the same list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Jump {
    pub go: u32,
    /// The count, how often, and where after that.
    pub counted: Option<(usize, u32, u32)>,
}

/// Where the endings of a used list lead.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Site {
    /// The list that uses the other.
    pub list: usize,
    /// By outcome.
    pub by_outcome: Vec<(Outcome, Jump)>,
    /// For every other outcome.
    pub any: Option<Jump>,
    /// Which item of the list can be the last completed one while it waits here.
    pub lasts: Lasts,
}

impl Site {
    /// Where that outcome leads.
    pub fn jump(&self, outcome: Outcome) -> Option<Jump> {
        let named = self.by_outcome.iter().find(|(one, _)| *one == outcome);
        named.map(|(_, jump)| *jump).or(self.any)
    }

    /// Every jump.
    pub fn jumps(&self) -> impl Iterator<Item = Jump> {
        self.by_outcome
            .iter()
            .map(|(_, jump)| *jump)
            .chain(self.any)
    }
}

/// A condition as a table: whether it holds, by the value of the fact; `None` when that rests on
/// the weight, which is open.
#[derive(Debug, Clone)]
pub(super) struct Cond {
    /// The fact.
    pub main: Main,
    /// By the number of the value.
    pub holds: Vec<Option<bool>>,
}

/// What a condition asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Main {
    /// Something that is the same in every run.
    Fixed,
    /// A remembered answer of the list.
    Memory(usize),
    /// A drain fact.
    Drain(usize),
}

/// How urgent a call is: a lower number is more urgent.
pub(super) fn urgency(level: CallLevel) -> usize {
    CallLevel::ALL
        .iter()
        .position(|one| *one == level)
        .unwrap_or(usize::MAX)
}
