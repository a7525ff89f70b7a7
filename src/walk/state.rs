//! Where a walk stands.

use std::collections::{BTreeMap, BTreeSet};

use crate::checklist::model::{CallLevel, CounterId, Endings, ListId, Outcome, StepId, Value};
use crate::moment::Moment;
use crate::names::{DutyName, FactName};

/// Where the walk stood before an answer: what a step back restores.
#[derive(Debug, Clone)]
pub(super) struct Before {
    /// The state then.
    pub state: State,
    /// How many lines the story had.
    pub told: usize,
    /// How many steps had been left undone. They are only ever added to, so a number is enough; a
    /// copy of them in each state would make a long walk slow.
    pub undone: usize,
}

/// Everything that a step back restores, apart from what only grows.
#[derive(Debug, Clone)]
pub(super) struct State {
    /// The checklists being followed, innermost last; never empty.
    pub frames: Vec<Frame>,
    /// What is asked of the nurse.
    pub asking: Asking,
    /// Whether the walk goes on.
    pub status: Status,
    /// Duties that are open.
    pub duties: Vec<Opened>,
    /// In a walk from paper, the time on the paper of the last thing entered.
    pub on_paper: Option<Moment>,
}

impl State {
    /// The checklist being followed now.
    pub fn frame(&self) -> &Frame {
        self.frames
            .last()
            .unwrap_or_else(|| unreachable!("a walk has at least one frame"))
    }

    /// The checklist being followed now.
    pub fn frame_mut(&mut self) -> &mut Frame {
        self.frames
            .last_mut()
            .unwrap_or_else(|| unreachable!("a walk has at least one frame"))
    }
}

/// One pass through one checklist.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    /// The checklist.
    pub list: ListId,
    /// The step it stands at.
    pub step: StepId,
    /// When it came to that step.
    pub arrived: Moment,
    /// How it came to be followed, and where its endings lead.
    pub entry: Entry,
    /// How often each counted jump was taken.
    pub counts: BTreeMap<CounterId, u32>,
    /// Remembered answers of this pass.
    pub memory: BTreeMap<FactName, Memory>,
    /// Steps of the first screen that are done.
    pub done: BTreeSet<StepId>,
    /// How many answers were given in this pass.
    pub answers: usize,
    /// The last completed item.
    pub last: Option<Completed>,
}

impl Frame {
    /// A fresh pass.
    pub fn new(list: ListId, step: StepId, entry: Entry, now: Moment) -> Self {
        Self {
            list,
            step,
            arrived: now,
            entry,
            counts: BTreeMap::new(),
            memory: BTreeMap::new(),
            done: BTreeSet::new(),
            answers: 0,
            last: None,
        }
    }
}

/// How a checklist came to be followed.
#[derive(Debug, Clone)]
pub(super) enum Entry {
    /// The walk began with it.
    Start,
    /// The checklist before it uses it.
    Used(Endings),
    /// It interrupted the checklist before it.
    Jumped,
}

/// What is asked of the nurse.
#[derive(Debug, Clone)]
pub(super) enum Asking {
    /// The step of the innermost checklist.
    Step,
    /// Whether the last completed item still holds.
    Repeat(Completed),
    /// A step whose remembered answer is too old, before the walk goes on where it stands.
    Again(StepId),
}

/// An item that was completed.
#[derive(Debug, Clone)]
pub(super) struct Completed {
    /// How deep its checklist lies, counted from 0.
    pub depth: usize,
    /// Its step.
    pub step: StepId,
    /// The item as it was asked.
    pub asked: String,
    /// What was answered.
    pub answered: String,
    /// When it was seen.
    pub seen: Moment,
}

/// A remembered answer.
#[derive(Debug, Clone)]
pub(super) struct Memory {
    /// The answer.
    pub value: Value,
    /// The step that asked for it.
    pub step: StepId,
    /// When it was seen.
    pub seen: Moment,
    /// When it stops counting.
    pub until: Option<Moment>,
}

impl Memory {
    /// Whether the answer is too old at that moment.
    pub fn is_stale(&self, now: Moment) -> bool {
        self.until.is_some_and(|until| now > until)
    }
}

/// Whether the walk goes on.
#[derive(Debug, Clone)]
pub(super) enum Status {
    /// It does.
    Going,
    /// It is paused.
    Paused(Moment),
    /// It is over.
    Over(Outcome, Option<Moment>),
}

/// An open duty.
#[derive(Debug, Clone)]
pub(super) struct Opened {
    /// Which.
    pub duty: DutyName,
    /// Since when.
    pub since: Moment,
    /// Whether the answer that opened it was taken back.
    pub doubtful: bool,
}

/// A call for help. What was called is a fact about the world: a step back never removes it.
#[derive(Debug, Clone)]
pub(super) struct Call {
    /// How urgently.
    pub level: CallLevel,
    /// The place on the ladder, counted from 0.
    pub rung: usize,
    /// When the last one was called.
    pub called: Moment,
    /// Who answered, and when.
    pub answered: Option<(String, Moment)>,
    /// Who came, and when.
    pub arrived: Option<(String, Moment)>,
    /// Whether an order was given and read back, which ends the call.
    pub ordered: bool,
}
