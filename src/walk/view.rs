//! What to show next: everything a screen needs, and nothing it must work out.

use crate::checklist::model::{CallLevel, Library, ListId, ListKind, Outcome};
use crate::moment::Moment;
use crate::names::{DutyName, ListName, StepName};
use crate::units::{Number, Span, Unit};

/// What a walk shows at a moment.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// The checklist of the step that is shown.
    pub list: ListName,
    /// Its title.
    pub title: String,
    /// Its version.
    pub version: String,
    /// What it is used for.
    pub kind: ListKind,
    /// The step that is shown.
    pub step: StepName,
    /// The number of answers given so far in this checklist, plus one.
    pub number: usize,
    /// The hazard, to be read directly before the step.
    pub caution: Option<String>,
    /// Where to look or touch.
    pub place: Option<String>,
    /// One line of reason.
    pub why: Option<String>,
    /// The sources of the step, in words.
    pub sources: Vec<String>,
    /// Whether a slip here is dangerous.
    pub critical: bool,
    /// What is asked.
    pub show: Show,
    /// Checklists that are held while this one is followed, outermost first.
    pub held: Vec<Held>,
    /// Calls for help that are still open.
    pub calls: Vec<OpenCall>,
    /// Duties that are still open.
    pub duties: Vec<OpenDuty>,
    /// Urgent checklists with the key that starts each.
    pub urgent: Vec<UrgentKey>,
    /// Whether a step can be taken back.
    pub can_go_back: bool,
    /// What must be known of the list itself: that it is a draft, past its review, or waived in
    /// part. Put in by whoever shows the view; a walk knows nothing of it.
    pub notices: Vec<String>,
}

impl View {
    /// The same view with everything that falls due as the clock on the wall will show it then. A
    /// walk counts on from what it was told, so across a change of the clocks its moments to come
    /// carry the offset of before; `wall` gives a moment the offset that holds at it.
    #[must_use]
    pub fn by_the_clock(mut self, wall: &dyn Fn(Moment) -> Moment) -> Self {
        match &mut self.show {
            Show::Wait { due, .. }
            | Show::Over {
                recheck: Some(due), ..
            } => *due = wall(*due),
            _ => {}
        }
        let calls = self.calls.iter_mut().map(|call| &mut call.due);
        let duties = self.duties.iter_mut().map(|duty| &mut duty.due);
        for due in calls.chain(duties).flatten() {
            *due = wall(*due);
        }
        self
    }

    /// The first moment after `now` at which something falls due: a wait that is over, a call
    /// without an answer, a duty that is open too long.
    #[must_use]
    pub fn next_due(&self, now: Moment) -> Option<Moment> {
        let wait = match &self.show {
            Show::Wait { due, .. } => Some(*due),
            _ => None,
        };
        let calls = self.calls.iter().filter_map(|call| call.due);
        let duties = self.duties.iter().filter_map(|duty| duty.due);
        let all = wait.into_iter().chain(calls).chain(duties);
        all.filter(|due| *due > now).min()
    }
}

/// What is asked of the nurse.
#[derive(Debug, Clone, PartialEq)]
pub enum Show {
    /// The first screen of an urgent list: recognise, call, act. Answered like a [`Show::Do`];
    /// the action now asked for is `actions[current]`.
    Urgent {
        /// Is this the right list?
        recognise: Option<String>,
        /// The actions, in order.
        actions: Vec<Action>,
        /// Which of them is asked for now.
        current: usize,
    },
    /// Carry out one action.
    Do {
        /// The action.
        action: Action,
    },
    /// Look for an expected state.
    Check {
        /// What to look at.
        text: String,
        /// What should be seen.
        expect: String,
    },
    /// Answer a question.
    Ask {
        /// The question.
        text: String,
        /// The answers in words, in order.
        answers: Vec<Choice>,
    },
    /// Read a number.
    Measure {
        /// What to read.
        text: String,
        /// The unit in which it is judged.
        unit: Unit,
        /// The lowest and highest number that is not a slip of the pen.
        plausible: (Number, Number),
        /// The bands in words.
        bands: Vec<String>,
    },
    /// Watch for a time.
    Wait {
        /// What to watch.
        text: String,
        /// When watching began.
        started: Moment,
        /// When it is over.
        due: Moment,
    },
    /// Read the closing text.
    End {
        /// The closing text.
        text: String,
        /// How the walk came out.
        outcome: Outcome,
        /// When to look again.
        recheck: Option<Span>,
        /// What was left undone, each with its reason.
        undone: Vec<Undone>,
        /// Whether the walk is over with it, or another checklist goes on.
        last: bool,
    },
    /// After an interruption: the last completed item, to be confirmed.
    Repeat {
        /// The item as it was asked.
        asked: String,
        /// What was answered.
        answered: String,
        /// When it was seen.
        seen: Moment,
        /// How long ago that is.
        ago: Span,
    },
    /// The walk is paused.
    Paused {
        /// Since when.
        since: Moment,
        /// The title of the checklist and the step to come back to, in words.
        hold_at: String,
    },
    /// The walk is over.
    Over {
        /// How it came out.
        outcome: Outcome,
        /// When to look again.
        recheck: Option<Moment>,
    },
}

/// An action, with the call for help that it may be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Action {
    /// The action, a command.
    pub text: String,
    /// Whom to call and how, when the action is a call.
    pub call: Option<CallTo>,
    /// Whether it is already done.
    pub done: bool,
}

/// Whom to call and how.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CallTo {
    /// How urgently.
    pub level: CallLevel,
    /// Who, as a role; `None` when the unit has not filled it in.
    pub who: Option<String>,
    /// How: the number to ring; `None` when the unit has not filled it in.
    pub how: Option<String>,
}

/// One answer that can be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// The answer in words.
    pub words: String,
    /// Whether it is the way to say "not sure".
    pub unsure: bool,
}

/// Something left undone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undone {
    /// The step as it was asked.
    pub asked: String,
    /// Why it was not done.
    pub reason: String,
}

/// A checklist that is held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// Its title.
    pub title: String,
    /// The text of the step at which it is held; of a step that only uses a list, that list's title.
    pub at: String,
    /// Whether it was interrupted by an urgent list, rather than using the one that is shown.
    pub interrupted: bool,
}

/// A call for help that is still open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenCall {
    /// The number of the call within the walk, counted from 1.
    pub call: usize,
    /// How urgently.
    pub level: CallLevel,
    /// Who was called last, as a role.
    pub who: String,
    /// When they were called.
    pub called: Moment,
    /// Who answered, and when.
    pub answered: Option<(String, Moment)>,
    /// Who came, and when. The call stays listed so that what is ordered can be written down.
    pub arrived: Option<(String, Moment)>,
    /// Whom to call next, when nobody has answered in time. `None` at the top of the ladder.
    pub next: Option<CallTo>,
    /// When an answer is overdue. `None` once somebody has answered.
    pub due: Option<Moment>,
}

/// A duty that is still open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenDuty {
    /// The duty.
    pub duty: DutyName,
    /// What is open, said as a fact.
    pub open: String,
    /// What closes it.
    pub close: String,
    /// When it was opened.
    pub since: Moment,
    /// When it is overdue.
    pub due: Option<Moment>,
    /// Whether the answer that opened it was taken back afterwards.
    pub doubtful: bool,
}

/// An urgent checklist and its key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UrgentKey {
    /// The key.
    pub key: char,
    /// The checklist.
    pub list: ListName,
    /// Its title.
    pub title: String,
}

impl UrgentKey {
    /// Every urgent checklist that has a key, apart from those to be left out.
    #[must_use]
    pub fn all(library: &Library, left_out: impl Fn(ListId) -> bool) -> Vec<Self> {
        let lists = library.lists().filter(|(id, _)| !left_out(*id));
        let keys = lists.filter_map(|(_, list)| {
            list.key.map(|key| Self {
                key,
                list: list.name.clone(),
                title: list.title.clone(),
            })
        });
        let mut keys: Vec<Self> = keys.collect();
        // "!" comes before the letters: the patient who is worse comes first.
        keys.sort_by_key(|one| one.key);
        keys
    }
}

/// Something that falls due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// When.
    pub at: Moment,
    /// What, in words for a person.
    pub what: DueWhat,
}

/// What can fall due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DueWhat {
    /// A `wait` is over.
    WaitOver,
    /// A call has had no answer.
    NoAnswer {
        /// The number of the call within the walk, counted from 1.
        call: usize,
    },
    /// A duty has been open too long.
    DutyOpen {
        /// The duty.
        duty: DutyName,
    },
    /// It is time to look again after the end.
    Recheck,
}
