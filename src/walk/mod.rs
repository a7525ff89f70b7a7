//! One pass through a checklist, as a pure state machine.
//!
//! A [`Walk`] never reads a clock, a file or a terminal. Its methods are of four kinds, used in
//! this order by whoever drives it:
//!
//! 1. [`Walk::begin`] or [`Walk::replay`] make one;
//! 2. [`Walk::view`] and [`Walk::due`] say what to show and what falls due;
//! 3. [`Walk::prepare`] turns what a person did into an event, without changing anything;
//! 4. [`Walk::take`] takes the event, once it has been made durable.
//!
//! [`Walk::input`] does the last two at once for callers that keep no journal. A walk is replayed
//! from its events by the same code that made them.

mod answer;
mod call;
pub mod charts;
pub mod event;
pub mod input;
mod known;
mod passed;
mod prepare;
pub mod refused;
mod show;
mod state;
mod step;
pub mod story;
pub mod view;

use std::sync::Arc;

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::exit::Exit;
use crate::checklist::model::{Library, ListId, Outcome, StepId};
use crate::moment::Moment;
use crate::names::ListName;

use event::{Event, Happening};
use input::Input;
use refused::{Misfit, Refused};
use state::{Asking, Before, Call, Entry, Frame, State, Status};
use story::{Telling, Told};
use view::Undone;

/// What is said of a paper on which a checklist was walked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnPaper {
    /// Who wrote the paper: initials and role.
    pub by: String,
    /// The first time on it.
    pub begun: Moment,
}

/// A walk through a checklist.
#[derive(Debug, Clone)]
pub struct Walk {
    library: Arc<Library>,
    facts: DrainFacts,
    state: State,
    /// Where it stood before each answer.
    past: Vec<Before>,
    /// What was left undone so far.
    undone: Vec<Undone>,
    calls: Vec<Call>,
    story: Vec<Told>,
    /// How many events were taken.
    event: usize,
    /// When the event being taken was seen and written.
    now: (Moment, Moment),
    last_written: Moment,
    /// Every way out of a step that was taken.
    passed: Vec<Passed>,
}

/// A way out of a step that was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Passed {
    /// The checklist.
    pub list: ListId,
    /// The step.
    pub step: StepId,
    /// The way out.
    pub exit: Exit,
}

impl Walk {
    /// Begins a walk, and gives the event that says so.
    ///
    /// # Errors
    /// [`Misfit`] when the checklist runs in a circle before it asks anything.
    pub fn begin(
        library: Arc<Library>,
        list: ListId,
        facts: DrainFacts,
        now: Moment,
    ) -> Result<(Self, Event), Misfit> {
        let list = library.list(list).name.clone();
        let event = Event {
            seen: now,
            written: now,
            what: Happening::Begun {
                list,
                facts,
                paper: None,
            },
        };
        Ok((Self::from_first(library, &event)?, event))
    }

    /// Begins a walk that was walked on paper and is entered now. In such a walk answers are as
    /// old as they were on the paper, and nothing is asked whether it is still so.
    ///
    /// # Errors
    /// As for [`Walk::begin`].
    pub fn begin_from_paper(
        library: Arc<Library>,
        list: ListId,
        facts: DrainFacts,
        paper: OnPaper,
        now: Moment,
    ) -> Result<(Self, Event), Misfit> {
        let list = library.list(list).name.clone();
        let event = Event {
            seen: paper.begun,
            written: now,
            what: Happening::Begun {
                list,
                facts,
                paper: Some(paper.by),
            },
        };
        Ok((Self::from_first(library, &event)?, event))
    }

    /// In a walk from paper, the time on the paper of the last thing entered.
    #[must_use]
    pub const fn on_paper(&self) -> Option<Moment> {
        self.state.on_paper
    }

    /// Makes a walk from its events.
    ///
    /// # Errors
    /// [`Misfit`] when an event does not follow from those before it.
    pub fn replay(library: Arc<Library>, events: &[Event]) -> Result<Self, Misfit> {
        let Some((first, rest)) = events.split_first() else {
            return Err(Misfit {
                event: 0,
                what: "a walk has at least one event".to_owned(),
            });
        };
        let mut walk = Self::from_first(library, first)?;
        for event in rest {
            walk.take(event)?;
        }
        Ok(walk)
    }

    fn from_first(library: Arc<Library>, event: &Event) -> Result<Self, Misfit> {
        let misfit = |what: String| Misfit { event: 0, what };
        let Happening::Begun { list, facts, paper } = &event.what else {
            return Err(misfit("a walk starts with its beginning".to_owned()));
        };
        let Some(id) = library.find(list.as_str()) else {
            return Err(misfit(format!("there is no list \"{list}\"")));
        };
        let begin = library.list(id).begin;
        let mut walk = Self {
            facts: facts.clone(),
            state: State {
                frames: vec![Frame::new(id, begin, Entry::Start, event.seen)],
                asking: Asking::Step,
                status: Status::Going,
                duties: Vec::new(),
                on_paper: paper.as_ref().map(|_| event.seen),
            },
            library,
            past: Vec::new(),
            undone: Vec::new(),
            calls: Vec::new(),
            story: Vec::new(),
            event: 1,
            now: (event.seen, event.written),
            last_written: event.written,
            passed: Vec::new(),
        };
        walk.state.frames.clear();
        walk.enter(id, Entry::Start);
        walk.settle()?;
        Ok(walk)
    }

    /// Takes an input and gives the event that it is.
    ///
    /// # Errors
    /// [`Refused`] when it is not taken; nothing has changed then, unless it is
    /// [`Refused::Stuck`], after which the walk must not be used any more.
    pub fn input(&mut self, input: Input, now: Moment) -> Result<Event, Refused> {
        let event = self.prepare(input, now)?;
        self.take(&event)?;
        Ok(event)
    }

    /// Takes an event that follows from the events before it.
    ///
    /// # Errors
    /// [`Misfit`] when it does not follow; the walk must not be used any more then.
    pub fn take(&mut self, event: &Event) -> Result<(), Misfit> {
        self.apply(event)
    }

    /// The library it was begun with.
    #[must_use]
    pub fn library(&self) -> &Arc<Library> {
        &self.library
    }

    /// Everything that happened, with its effects, in words.
    #[must_use]
    pub fn story(&self) -> &[Told] {
        &self.story
    }

    /// Every way out of a step that was taken, in order; also those taken back later.
    #[must_use]
    pub fn passed(&self) -> &[Passed] {
        &self.passed
    }

    /// What was known of the drain when it began.
    #[must_use]
    pub const fn facts(&self) -> &DrainFacts {
        &self.facts
    }

    /// The checklist it began with.
    #[must_use]
    pub fn list(&self) -> ListName {
        self.library.list(self.state.frames[0].list).name.clone()
    }

    /// Whether it is over, and how it came out.
    #[must_use]
    pub const fn outcome(&self) -> Option<Outcome> {
        match self.state.status {
            Status::Over(outcome, _) => Some(outcome),
            Status::Going | Status::Paused(_) => None,
        }
    }

    /// Whether it is paused.
    #[must_use]
    pub const fn is_paused(&self) -> bool {
        matches!(self.state.status, Status::Paused(_))
    }

    /// Notes where it stands, for a step back.
    fn remember_place(&mut self) {
        self.past.push(Before {
            state: self.state.clone(),
            told: self.story.len(),
            undone: self.undone.len(),
        });
    }

    fn tell(&mut self, what: Telling) {
        let (seen, written) = self.now;
        self.story.push(Told {
            event: self.event - 1,
            seen,
            written,
            what,
            taken_back: false,
        });
    }
}
