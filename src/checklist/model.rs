//! A checklist after checking: a type that cannot hold an unknown target.
//!
//! Values of these types are made by `checklist::load` alone, from files without problems.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use crate::names::{DutyName, FactName, ListName, SourceName, StepName, Tag};
use crate::units::{Amount, Number, Span, Unit};

use super::glossary::Glossary;

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

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant,)* }

        impl $name {
            /// Every value, in the order of the language's documentation.
            pub const ALL: &[Self] = &[$(Self::$variant,)*];

            /// The word used in files.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }

            /// Reads the word used in files.
            #[must_use]
            pub fn parse(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)* _ => None }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(self.word())
            }
        }
    };
}

words! {
    /// Whether a list may be started that is not approved or past its review.
    MayStart {
        /// It may; every screen and record says what it is.
        Allow = "allow",
        /// It may not, unless it is urgent.
        Refuse = "refuse",
    }
}

words! {
    /// What a checklist is used for.
    ListKind {
        /// Getting ready.
        Prepare = "prepare",
        /// Joining and proving.
        Connect = "connect",
        /// The observation round.
        Round = "round",
        /// A planned piece of work.
        Task = "task",
        /// Finding what is wrong.
        Fault = "fault",
        /// Seconds count: acts before it asks.
        Urgent = "urgent",
    }
}

words! {
    /// How a checklist is read.
    Mode {
        /// Read one step, do it, go on.
        ReadDo = "read-do",
        /// Do from knowledge, then confirm against the list.
        Confirm = "confirm",
    }
}

words! {
    /// How a walk came out.
    Outcome {
        /// Equipment is ready for use.
        Ready = "ready",
        /// The drain works as it should.
        Working = "working",
        /// The fault is put right.
        Resolved = "resolved",
        /// Nothing to do now but look again.
        Watch = "watch",
        /// Somebody else has been called and takes it further.
        Escalated = "escalated",
        /// Stopped before it was complete.
        Stopped = "stopped",
    }
}

words! {
    /// How urgently somebody is called.
    CallLevel {
        /// The emergency team, at once.
        Emergency = "emergency",
        /// A doctor, now.
        DoctorNow = "doctor-now",
        /// A doctor within the hour or on the next round.
        DoctorSoon = "doctor-soon",
    }
}

words! {
    /// What of the drain chart an answer is: a number that a `measure` reads, or a look at the seal
    /// in the words of the chart.
    Charts {
        /// The level on the drainage unit, in mL.
        Level = "level",
        /// The depth of the water seal, in cm.
        SealDepth = "seal-depth",
        /// The seal does not swing.
        SwingNone = "swing none",
        /// It swings; how far is not said.
        SwingSeen = "swing seen",
        /// It swings a little.
        SwingSmall = "swing small",
        /// It swings far.
        SwingLarge = "swing large",
        /// The seal does not bubble.
        BubblingNone = "bubbling none",
        /// It bubbles on a cough only.
        BubblingOnCough = "bubbling on cough",
        /// It bubbles on each breath out.
        BubblingOnBreathOut = "bubbling on breath out",
        /// It bubbles on breathing in too.
        BubblingOnBreathIn = "bubbling on breath in too",
        /// It bubbles all the time.
        BubblingAllTheTime = "bubbling all the time",
    }
}

impl Charts {
    /// The unit in which the chart keeps a number; `None` for a look.
    #[must_use]
    pub const fn unit(self) -> Option<Unit> {
        match self {
            Self::Level => Some(Unit::Ml),
            Self::SealDepth => Some(Unit::Cm),
            _ => None,
        }
    }

    /// What is looked at or read: "level", "seal depth", "swing" or "bubbling".
    #[must_use]
    pub fn what(self) -> &'static str {
        match self {
            Self::SealDepth => "seal depth",
            other => other.word().split(' ').next().unwrap_or_default(),
        }
    }

    /// The numbers, or the looks.
    #[must_use]
    pub fn all(numbers: bool) -> Vec<Self> {
        let fits = |charts: &&Self| charts.unit().is_some() == numbers;
        Self::ALL.iter().filter(fits).copied().collect()
    }
}

/// What the answers of a step are for the drain chart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ForChart {
    /// Nothing.
    Nothing,
    /// The number that is read.
    Number(Charts),
    /// Some answers, by their words; of a `check`, [`AS_EXPECTED`] or [`NOT_AS_EXPECTED`].
    Answers(Vec<(String, Charts)>),
}

/// The key of a `check` that was as expected.
pub const AS_EXPECTED: &str = "as_expected";
/// The key of a `check` that was not as expected.
pub const NOT_AS_EXPECTED: &str = "not_as_expected";

impl ForChart {
    /// What the answer with these words is.
    #[must_use]
    pub fn of(&self, words: &str) -> Option<Charts> {
        let Self::Answers(answers) = self else {
            return None;
        };
        let found = answers.iter().find(|(answer, _)| answer == words);
        found.map(|(_, charts)| *charts)
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

/// A text with places to be filled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text(pub Vec<Piece>);

/// A part of a [`Text`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Words as they stand.
    Words(String),
    /// A place filled from the fact of that name.
    Fill(FactName),
}

impl Text {
    /// The text with each place filled by `fill`.
    #[must_use]
    pub fn filled(&self, mut fill: impl FnMut(&FactName) -> String) -> String {
        self.0
            .iter()
            .map(|piece| match piece {
                Piece::Words(words) => words.clone(),
                Piece::Fill(name) => fill(name),
            })
            .collect()
    }
}

/// The value of a fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// One of a few words, compared in `when`.
    Word(String),
    /// A number with its unit.
    Amount(Amount),
    /// A length of time.
    Span(Span),
    /// Free words, only shown.
    Words(String),
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Word(words) | Self::Words(words) => f.pad(words),
            Self::Amount(amount) => amount.fmt(f),
            Self::Span(span) => span.fmt(f),
        }
    }
}

/// Where a fact comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The unit's `local.yaml`.
    Local,
    /// `limits.yaml`.
    Limit,
}

/// A local fact or a limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// Where it comes from.
    pub origin: Origin,
    /// What it means, in words for a person.
    pub meaning: String,
    /// Its value; `None` while the unit has not filled it in.
    pub value: Option<Value>,
    /// The unit in which it is compared, for an amount. A known value is in this unit.
    pub unit: Option<Unit>,
    /// What only a limit or only a local fact has.
    pub about: FactAbout,
}

impl Fact {
    /// The value as it reads in a text; `None` while it is not filled in.
    #[must_use]
    pub fn shown(&self) -> Option<String> {
        self.value.as_ref().map(|value| self.about.shown(value))
    }
}

impl FactAbout {
    /// How the value reads in a text.
    #[must_use]
    pub fn shown(&self, value: &Value) -> String {
        match self {
            Self::Limit {
                words: Some(words), ..
            } => words.clone(),
            _ => value.to_string(),
        }
    }
}

/// What only a limit or only a local fact has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FactAbout {
    /// Of a limit.
    Limit {
        /// How the value reads in a text, where the number is not how one says it: "two thirds".
        words: Option<String>,
        /// For whom it holds.
        population: Population,
        /// Which way it acts earlier.
        stricter: Stricter,
        /// Where it comes from: publisher, year, title, section.
        source: String,
        /// How well the source was seen.
        evidence: Evidence,
        /// The length of time over which an output is held against it.
        window: Option<Span>,
        /// In how many hours, one after another, it must be met.
        hours: Option<u8>,
    },
    /// Of a local fact.
    Local {
        /// What happens while it is not filled in, in one line.
        while_unset: String,
        /// The words it may be, when it is a choice; otherwise empty.
        choices: Vec<String>,
    },
}

words! {
    /// For whom a limit holds.
    Population {
        /// For everybody.
        All = "all",
        /// For adults.
        Adult = "adult",
        /// For children.
        Child = "child",
    }
}

words! {
    /// Which way a limit may be moved so that somebody acts earlier.
    Stricter {
        /// A higher number acts earlier.
        Higher = "higher",
        /// A lower number acts earlier.
        Lower = "lower",
    }
}

words! {
    /// How well the source of a number was seen.
    Evidence {
        /// The passage was read.
        Seen = "S",
        /// Only a second-hand summary was read.
        SecondHand = "s2",
        /// From memory; the source was not looked up.
        Memory = "M",
        /// Common practice, no source.
        Custom = "C",
        /// Derived here by arithmetic, or set here as a starting value.
        Derived = "D",
    }
}

/// Local facts and limits by name.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FactBook(pub(in crate::checklist) BTreeMap<FactName, Fact>);

impl FactBook {
    /// The fact of that name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Fact> {
        self.0.get(name)
    }

    /// Every fact, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&FactName, &Fact)> {
        self.0.iter()
    }
}

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
