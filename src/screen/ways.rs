//! Which keys and words are understood at a view. What is shown at the foot and what is
//! understood when typed come from the same table, so they cannot drift apart.

use crate::names::DutyName;
use crate::walk::input::{Answer, Input};
use crate::walk::view::{Choice, Show, View};

use super::labels;

/// Whether words can follow a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Words {
    /// None.
    No,
    /// They can.
    May,
    /// They must, or be asked for.
    Must,
}

/// What a key does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Act {
    /// A complete input.
    Input(Input),
    /// An input that is complete once its words are there.
    Words(Need),
    /// Something to be told; nothing is answered.
    Tell(Topic),
    /// Leave the walk.
    Leave,
}

/// What can be told on demand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Topic {
    /// The reason and the sources.
    Why,
    /// The calls that are open.
    Calls,
    /// The duties that are open.
    Duties,
    /// What each key does.
    Keys,
}

/// What words are asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Need {
    /// Why it was not done.
    NotDone,
    /// What was found instead.
    Found,
    /// Why it could not be checked.
    CouldNotCheck,
    /// Why it was not obtained.
    NotObtained,
    /// Why the wait was broken off.
    Missed,
    /// A note.
    Note,
    /// Why the walk is stopped for good.
    Stop,
    /// When it was seen.
    When,
    /// What happened to a call.
    Call(usize, CallWord),
    /// How a duty was closed.
    Duty(DutyName),
}

/// What can happen to a call and needs words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CallWord {
    /// Somebody answered.
    Answered,
    /// Somebody came.
    Arrived,
    /// Something was ordered.
    Ordered,
}

impl Need {
    /// The question that asks for the words.
    pub(super) const fn question(&self) -> &'static str {
        match self {
            Self::NotDone => "Why was it not done?",
            Self::Found => "What did you find?",
            Self::CouldNotCheck => "Why could it not be checked?",
            Self::NotObtained => "Why was it not obtained?",
            Self::Missed => "Why was the watch broken off?",
            Self::Note => "Note, without names:",
            Self::Stop => "Why is the walk stopped for good?",
            Self::When => "When was it seen or done?",
            Self::Call(_, CallWord::Answered) => "Who answered? Role or initials:",
            Self::Call(_, CallWord::Arrived) => "Who came? Role or initials:",
            Self::Call(_, CallWord::Ordered) => "What was ordered? Write it as it was read back:",
            Self::Duty(_) => "How was it closed, or to whom was it handed over?",
        }
    }

    /// Whether what it completes can have been seen earlier than it is written.
    pub(super) const fn can_be_late(&self) -> bool {
        !matches!(
            self,
            Self::When | Self::Stop | Self::Call(..) | Self::Duty(_)
        )
    }

    /// Whether it may stay without words.
    pub(super) const fn may_be_empty(&self) -> bool {
        matches!(self, Self::Found)
    }
}

/// One key with what it does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Way {
    /// The key: one character, or the number of an answer.
    pub key: String,
    /// The words that mean the same.
    pub words: String,
    /// Whether words can follow.
    pub takes: Words,
    /// What it does.
    pub act: Act,
}

impl Way {
    fn new(key: &str, words: &str, takes: Words, act: Act) -> Self {
        Self {
            key: key.to_owned(),
            words: words.to_owned(),
            takes,
            act,
        }
    }

    fn answer(key: &str, words: &str, answer: Answer) -> Self {
        let act = Act::Input(Input::Answer { answer, seen: None });
        Self::new(key, words, Words::No, act)
    }

    fn reason(key: &str, words: &str, need: Need) -> Self {
        let takes = if need.may_be_empty() {
            Words::May
        } else {
            Words::Must
        };
        Self::new(key, words, takes, Act::Words(need))
    }

    fn tell(key: &str, words: &str, topic: Topic) -> Self {
        Self::new(key, words, Words::No, Act::Tell(topic))
    }

    /// The key as it is written in a line: with a place for words if it needs them.
    pub(super) fn written(&self) -> String {
        match self.takes {
            Words::No => self.key.clone(),
            Words::May => format!("{} or {}: words", self.key, self.key),
            Words::Must => format!("{}: words", self.key),
        }
    }
}

/// Every key at a view.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Ways {
    /// Answers to the step.
    pub answers: Vec<Way>,
    /// Everything else but urgent keys.
    pub others: Vec<Way>,
    /// Urgent checklists.
    pub urgent: Vec<Way>,
    /// Keys that are understood but not shown again.
    second: Vec<Way>,
}

impl Ways {
    /// The keys at that view.
    pub(super) fn at(view: &View) -> Self {
        Self {
            answers: answers(&view.show),
            others: others(view),
            urgent: view
                .urgent
                .iter()
                .map(|urgent| {
                    let jump = Act::Input(Input::Jump(urgent.list.clone()));
                    Way::new(&urgent.key.to_string(), &urgent.title, Words::No, jump)
                })
                .collect(),
            second: second_keys(view),
        }
    }

    /// The way of that key. An urgent key means the same everywhere, so it comes first.
    pub(super) fn by_key(&self, key: &str) -> Option<&Way> {
        self.urgent
            .iter()
            .chain(&self.answers)
            .chain(&self.others)
            .chain(&self.second)
            .find(|way| way.key == key)
    }

    /// The way of those words, in whatever case. Urgent checklists have a key only.
    pub(super) fn by_words(&self, words: &str) -> Option<&Way> {
        let words = words.to_lowercase();
        self.answers
            .iter()
            .chain(&self.others)
            .chain(&self.second)
            .find(|way| way.words.to_lowercase() == words)
    }

    /// What would be understood, for a message.
    pub(super) fn allowed(&self, measuring: bool) -> Vec<String> {
        let number = measuring.then(|| "a number with its unit".to_owned());
        let answers = self
            .answers
            .iter()
            .map(|way| format!("{} ({})", way.written(), way.words));
        let others = self.others.iter().map(Way::written);
        let urgent = self.urgent.iter().map(|way| way.key.clone());
        number
            .into_iter()
            .chain(answers)
            .chain(others)
            .chain(urgent)
            .collect()
    }
}

fn answers(show: &Show) -> Vec<Way> {
    match show {
        Show::Urgent { .. } | Show::Do { .. } => vec![
            Way::answer("y", labels::DONE, Answer::Done),
            Way::reason("n", labels::NOT_DONE, Need::NotDone),
        ],
        Show::Check { .. } => vec![
            Way::answer("y", labels::AS_EXPECTED, Answer::AsExpected),
            Way::reason("n", labels::NOT_AS_EXPECTED, Need::Found),
            Way::reason("u", labels::COULD_NOT_CHECK, Need::CouldNotCheck),
        ],
        Show::Ask { answers, .. } => choices(answers),
        Show::Measure { .. } => vec![Way::reason("u", labels::NOT_OBTAINED, Need::NotObtained)],
        Show::Wait { .. } => vec![
            Way::answer("y", labels::WATCHED, Answer::Elapsed),
            Way::reason("n", labels::BROKEN_OFF, Need::Missed),
        ],
        Show::End { .. } => vec![Way::answer("y", labels::READ, Answer::Read)],
        Show::Repeat { .. } => vec![
            Way::answer("y", labels::STILL_SO, Answer::StillSo),
            Way::answer("n", labels::NO_LONGER, Answer::NoLonger),
        ],
        Show::Paused { .. } => vec![Way::new(
            "r",
            labels::RESUME,
            Words::No,
            Act::Input(Input::Resume),
        )],
        Show::Over { .. } => Vec::new(),
    }
}

/// The answers to a question, numbered.
fn choices(answers: &[Choice]) -> Vec<Way> {
    let numbered = answers.iter().enumerate().map(|(index, choice)| {
        let answer = Answer::Choice(choice.words.clone());
        Way::answer(&(index + 1).to_string(), &choice.words, answer)
    });
    numbered.collect()
}

/// Keys that are understood besides those shown at the foot: `u` for the answer that is not sure,
/// `y` and `n` for answers that are the bare words, `q` for a pause, and `c` and `d` while
/// nothing is open.
fn second_keys(view: &View) -> Vec<Way> {
    if matches!(view.show, Show::Over { .. } | Show::Paused { .. }) {
        return Vec::new();
    }
    let mut ways = vec![
        Way::new("q", labels::PAUSE, Words::No, Act::Input(Input::Pause)),
        Way::tell("c", labels::CALLS, Topic::Calls),
        Way::tell("d", labels::DUTIES, Topic::Duties),
    ];
    if let Show::Ask { answers, .. } = &view.show {
        ways.extend(answers.iter().filter_map(second_answer));
    }
    ways
}

fn second_answer(choice: &Choice) -> Option<Way> {
    let key = match choice.words.to_lowercase().as_str() {
        labels::YES => "y",
        labels::NO => "n",
        _ if choice.unsure => "u",
        _ => return None,
    };
    let answer = Answer::Choice(choice.words.clone());
    Some(Way::answer(key, &choice.words, answer))
}

fn others(view: &View) -> Vec<Way> {
    match view.show {
        Show::Over { .. } => vec![leave()],
        Show::Paused { .. } => {
            let mut ways = open_things(view);
            ways.push(leave());
            ways
        }
        _ => while_walking(view),
    }
}

fn leave() -> Way {
    Way::new("q", labels::LEAVE, Words::No, Act::Leave)
}

fn open_things(view: &View) -> Vec<Way> {
    let calls = (!view.calls.is_empty()).then(|| Way::tell("c", labels::CALLS, Topic::Calls));
    let duties = (!view.duties.is_empty()).then(|| Way::tell("d", labels::DUTIES, Topic::Duties));
    calls.into_iter().chain(duties).collect()
}

fn while_walking(view: &View) -> Vec<Way> {
    let mut ways = Vec::new();
    if view.can_go_back {
        let back = Act::Input(Input::Back);
        ways.push(Way::new("b", labels::BACK, Words::No, back));
    }
    ways.push(Way::reason("t", labels::NOTE, Need::Note));
    ways.push(Way::tell("w", labels::WHY, Topic::Why));
    ways.push(Way::reason("l", labels::LATE, Need::When));
    ways.extend(open_things(view));
    let pause = Act::Input(Input::Pause);
    ways.push(Way::new("p", labels::PAUSE, Words::No, pause));
    ways.push(Way::reason("x", labels::STOP, Need::Stop));
    ways.push(Way::tell("?", labels::KEYS, Topic::Keys));
    ways
}
