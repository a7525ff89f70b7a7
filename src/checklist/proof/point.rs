//! What a safeguard points at: steps by name or tag, calls, duties, endings, and answers to them.

use std::fmt;

use crate::checklist::model::{CallLevel, Checklist, Library, Outcome, Range, Step, StepKind};
use crate::names::{DutyName, ListName, StepName, Tag};

use super::model::{Jump, Model, Reply, Sort, Step as Made, Way, Weight, urgency};
use super::number::{Within, is_weighed, within};
use super::run::Said;

/// A place in checklists.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// Every step.
    Anywhere,
    /// Every step with that tag.
    Tag(Tag),
    /// One step.
    Step(ListName, StepName),
    /// Every step of a list.
    List(ListName),
    /// Every call, or every call at least as urgent.
    Call(Option<CallLevel>),
    /// Every end, or every end that comes out so.
    Ending(Option<Outcome>),
    /// Every step that opens the duty.
    Opens(DutyName),
    /// Every step that closes the duty.
    Closes(DutyName),
    /// Every step marked critical.
    Critical,
}

impl Place {
    /// Whether the step is there.
    #[must_use]
    pub fn is_at(&self, list: &Checklist, step: &Step) -> bool {
        match self {
            Self::Anywhere => true,
            Self::Tag(tag) => step.tags.contains(tag),
            Self::Step(of, name) => list.name == *of && step.name == *name,
            Self::List(name) => list.name == *name,
            Self::Call(None) => step.call.is_some(),
            Self::Call(Some(least)) => step
                .call
                .is_some_and(|level| urgency(level) <= urgency(*least)),
            Self::Ending(wanted) => match &step.kind {
                StepKind::End { outcome, .. } => wanted.is_none_or(|wanted| wanted == *outcome),
                _ => false,
            },
            Self::Opens(duty) => step.opens.contains(duty),
            Self::Closes(duty) => step.closes.contains(duty),
            Self::Critical => step.critical,
        }
    }

    /// Whether it is there only once the step took effect.
    const fn needs_effect(&self) -> bool {
        matches!(self, Self::Call(_) | Self::Opens(_) | Self::Closes(_))
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Anywhere => f.write_str("anywhere"),
            Self::Tag(tag) => write!(f, "tag {tag}"),
            Self::Step(list, step) => write!(f, "step {list}/{step}"),
            Self::List(list) => write!(f, "list {list}"),
            Self::Call(None) => f.write_str("call"),
            Self::Call(Some(level)) => write!(f, "call {level}"),
            Self::Ending(None) => f.write_str("any ending"),
            Self::Ending(Some(outcome)) => write!(f, "ending {outcome}"),
            Self::Opens(duty) => write!(f, "opens {duty}"),
            Self::Closes(duty) => write!(f, "closes {duty}"),
            Self::Critical => f.write_str("critical"),
        }
    }
}

/// What an answer must be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AnswerIs {
    /// These words, of an `ask`.
    Words(String),
    /// Carried out, or found as expected, not done, and so on.
    Kind(AnswerKind),
    /// A number in this stretch.
    Within(Range),
}

macro_rules! answer_kinds {
    ($($(#[$doc:meta])* $name:ident = $word:literal,)*) => {
        /// A kind of answer that a safeguard can name.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum AnswerKind { $($(#[$doc])* $name,)* }

        impl AnswerKind {
            /// Every kind.
            pub const ALL: &[Self] = &[$(Self::$name,)*];

            /// The words used in files.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$name => $word,)* }
            }
        }
    };
}

answer_kinds! {
    /// A `do` was carried out.
    Done = "done",
    /// A `do` was not carried out.
    NotDone = "not-done",
    /// A `check` found what was expected.
    AsExpected = "as-expected",
    /// A `check` found something else.
    NotAsExpected = "not-as-expected",
    /// A `check` could not be made.
    NotChecked = "not-checked",
    /// The answer flagged as not sure.
    Unsure = "unsure",
    /// A `measure` could not be read, or its number could not be judged.
    NotObtained = "not-obtained",
    /// A `wait` was watched to its end.
    Elapsed = "elapsed",
    /// A `wait` was broken off.
    Missed = "missed",
    /// Any answer of an `ask` that is not flagged as not sure.
    Sure = "sure",
    /// A number that was read and judged.
    Reading = "reading",
}

impl AnswerKind {
    const fn is(self, sort: Sort) -> bool {
        matches!(
            (self, sort),
            (Self::Done, Sort::Done)
                | (Self::NotDone, Sort::NotDone)
                | (Self::AsExpected, Sort::AsExpected)
                | (Self::NotAsExpected, Sort::NotAsExpected)
                | (Self::NotChecked, Sort::NotChecked)
                | (Self::Unsure, Sort::Unsure)
                | (Self::NotObtained, Sort::NotObtained)
                | (Self::Elapsed, Sort::Elapsed)
                | (Self::Missed, Sort::Missed)
                | (Self::Sure, Sort::Choice)
                | (Self::Reading, Sort::Value)
        )
    }
}

impl AnswerIs {
    fn is(&self, reply: &Reply, weighs: Weight) -> bool {
        match (self, &reply.said) {
            (Self::Words(words), Said::Choice(said)) => words == said,
            (Self::Words(_), _) => false,
            (Self::Kind(kind), _) => kind.is(reply.sort),
            (Self::Within(range), Said::Value(amount)) => {
                within(range, amount.number, weighs) == Within::Yes
            }
            (Self::Within(_), _) => false,
        }
    }
}

impl fmt::Display for AnswerIs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Words(words) => write!(f, "\"{words}\""),
            Self::Kind(kind) => f.write_str(kind.word()),
            Self::Within(_) => f.write_str("a number in the stretch"),
        }
    }
}

/// When a point is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// As soon as the step is on the screen.
    Shown,
    /// Only once it was carried out: a step that was shown and skipped, could not be done, or was
    /// answered "not sure" does not count. A call, and a duty that is opened or closed, counts
    /// only once it took effect.
    Done,
}

/// One way in which a point can be met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Case {
    /// Any of these places.
    pub places: Vec<Place>,
    /// Any of these answers; when empty, whatever [`When`] says.
    pub answers: Vec<AnswerIs>,
    /// When it is met.
    pub when: When,
}

impl Case {
    /// Whether any of its places is at the step.
    #[must_use]
    pub fn is_at(&self, list: &Checklist, step: &Step) -> bool {
        self.places.iter().any(|place| place.is_at(list, step))
    }

    fn met_shown(&self, list: &Checklist, step: &Step) -> bool {
        self.when == When::Shown && self.answers.is_empty() && self.is_at(list, step)
    }

    fn met_answered(&self, list: &Checklist, step: &Step, reply: &Reply, weighs: Weight) -> bool {
        if !self.answers.is_empty() {
            return self.is_at(list, step)
                && self.answers.iter().any(|answer| answer.is(reply, weighs));
        }
        self.when == When::Done
            && self.places.iter().any(|place| {
                let counts = if place.needs_effect() {
                    reply.sort.takes_effect()
                } else {
                    reply.sort.carried_out()
                };
                counts && place.is_at(list, step)
            })
    }
}

impl fmt::Display for Case {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places: Vec<String> = self.places.iter().map(ToString::to_string).collect();
        f.write_str(&places.join(" or "))?;
        if !self.answers.is_empty() {
            let answers: Vec<String> = self.answers.iter().map(ToString::to_string).collect();
            write!(f, " answered {}", answers.join(" or "))?;
        }
        Ok(())
    }
}

/// Something that can happen in a run, in any of these ways.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Point(pub Vec<Case>);

impl Point {
    /// Whether any of its places is at the step.
    #[must_use]
    pub fn is_at(&self, list: &Checklist, step: &Step) -> bool {
        self.0.iter().any(|case| case.is_at(list, step))
    }

    /// Whether it is somewhere in the lists that can be reached.
    pub(super) fn is_somewhere(&self, model: &Model<'_>) -> bool {
        !Marks::new(model, &[self], &[]).steps_with(1).is_empty()
    }

    /// Whether it names numbers by a limit for each kilogram.
    pub(super) fn is_weighed(&self) -> bool {
        self.ranges().iter().any(is_weighed)
    }

    /// The stretches of numbers that its answers name.
    pub(super) fn ranges(&self) -> Vec<Range> {
        let answers = self.0.iter().flat_map(|case| &case.answers);
        let ranges = answers.filter_map(|answer| match answer {
            AnswerIs::Within(range) => Some(range.clone()),
            _ => None,
        });
        ranges.collect()
    }

    fn met_shown(&self, list: &Checklist, step: &Step) -> bool {
        self.0.iter().any(|case| case.met_shown(list, step))
    }

    fn met_answered(&self, list: &Checklist, step: &Step, reply: &Reply, weighs: Weight) -> bool {
        self.0
            .iter()
            .any(|case| case.met_answered(list, step, reply, weighs))
    }
}

impl fmt::Display for Point {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cases: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        f.write_str(&cases.join(" or "))
    }
}

/// The list at that place of the library.
pub(super) fn list_at(library: &Library, at: usize) -> &Checklist {
    library.list(crate::checklist::model::ListId(at))
}

/// Points that are taken as not met at a step, as if it were not in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct LeftOut {
    /// The place of the list in the library.
    pub list: usize,
    /// The number of the step.
    pub step: u32,
    /// The bits of the points.
    pub bits: u8,
}

/// Which points are met where: a bit for each.
#[derive(Debug)]
pub(super) struct Marks {
    /// By list and step: when it is shown.
    shown: Vec<Vec<u8>>,
    /// By list, step and answer; an end has one.
    answered: Vec<Vec<Vec<u8>>>,
}

/// Bits of one list: when its steps are shown, and when they are answered.
type OfList = (Vec<u8>, Vec<Vec<u8>>);

impl Marks {
    /// Finds where the points are met, but for those that are left out.
    pub fn new(model: &Model<'_>, points: &[&Point], without: &[LeftOut]) -> Self {
        let mut marks = Self {
            shown: Vec::new(),
            answered: Vec::new(),
        };
        for at in 0..model.lists.len() {
            let (shown, answered) = if model.lists[at].is_some() {
                Self::of_list(model, at, points, without)
            } else {
                OfList::default()
            };
            marks.shown.push(shown);
            marks.answered.push(answered);
        }
        marks
    }

    fn of_list(model: &Model<'_>, at: usize, points: &[&Point], without: &[LeftOut]) -> OfList {
        let list = list_at(model.library, at);
        let mut found = OfList::default();
        let nowhere = Way::Jump(Jump {
            go: 0,
            counted: None,
        });
        let read = Reply::new(Said::Read, Sort::Read, nowhere);
        for ((id, step), made) in list.steps().zip(&model.list(at).steps) {
            let here = without
                .iter()
                .filter(|one| one.list == at && one.step as usize == id.index());
            let left_out = here.fold(u8::MAX, |left, one| left & !one.bits);
            let bits = |is: &dyn Fn(&Point) -> bool| {
                let met = points.iter().enumerate().filter(|(_, point)| is(point));
                met.fold(0, |all, (bit, _)| all | 1 << bit) & left_out
            };
            found.0.push(bits(&|point| point.met_shown(list, step)));
            let replies: &[Reply] = match made {
                Made::Asked { replies, .. } => replies,
                Made::End(_) => std::slice::from_ref(&read),
                Made::Decide { .. } | Made::Use(_) => &[],
            };
            let answered = replies
                .iter()
                .map(|reply| bits(&|point| point.met_answered(list, step, reply, model.weighs)));
            found.1.push(answered.collect());
        }
        found
    }

    /// The bits met when the step is shown.
    pub fn shown(&self, list: u16, step: u32) -> u8 {
        self.shown[usize::from(list)][step as usize]
    }

    /// The bits met by the answer.
    pub fn answered(&self, list: u16, step: u32, reply: u16) -> u8 {
        let replies = &self.answered[usize::from(list)][step as usize];
        replies.get(usize::from(reply)).copied().unwrap_or(0)
    }

    /// Every step at which any of these bits can be met.
    pub fn steps_with(&self, bits: u8) -> Vec<(usize, u32)> {
        let mut found = Vec::new();
        for (list, steps) in self.answered.iter().enumerate() {
            for (step, replies) in steps.iter().enumerate() {
                let all = replies
                    .iter()
                    .fold(self.shown[list][step], |all, one| all | one);
                if all & bits != 0 {
                    found.push((list, super::model::step_number(step)));
                }
            }
        }
        found
    }
}
