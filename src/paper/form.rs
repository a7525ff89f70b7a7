//! What stands on the form, before it is written as Markdown or HTML.

use std::collections::BTreeSet;

use crate::checklist::drain_fact::{DRAIN_FACTS, FactKind};
use crate::checklist::model::{
    CallLevel, Checklist, Library, ListId, ListKind, Outcome, Step, StepKind, Way,
};

use super::fill::Filler;
use super::ways::{Parts, period_words, ways};

/// What is wanted on a form.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'a> {
    /// The checklist.
    pub list: ListId,
    /// Whether the lists that it uses follow as further parts; otherwise they are named only.
    pub with_used: bool,
    /// The state of approval, in words.
    pub approval: &'a str,
    /// The caution that stands on every page.
    pub caution: &'a str,
}

/// A checklist on paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Form {
    /// The title of the checklist.
    pub title: String,
    /// Name and version of the checklist, its unit, and its state of approval: on every page.
    pub identity: String,
    /// The caution that stands on every page.
    pub caution: String,
    /// What is to be written down of the drain: a question each, with the words to ring.
    pub facts: Vec<(String, String)>,
    /// Whom to call.
    pub calls: Vec<CallLine>,
    /// Urgent checklists, to which the nurse goes from any step.
    pub urgent: Vec<String>,
    /// The checklist, and those it uses.
    pub parts: Vec<Part>,
}

/// Whom to call at one level.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CallLine {
    /// The level in words.
    pub level: &'static str,
    /// Each with how to reach them and how long to wait; empty when the unit has not set it.
    pub whom: Vec<String>,
}

/// One checklist on a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// The letter before its numbers.
    pub letter: String,
    /// Its title.
    pub title: String,
    /// Its name and version.
    pub identity: String,
    /// One line: is this the right list?
    pub recognise: Option<String>,
    /// The number of the first step.
    pub begin: String,
    /// Its steps.
    pub items: Vec<Item>,
}

/// What a step asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Carry out one action.
    Do,
    /// Look for an expected state.
    Check,
    /// Answer a question.
    Ask,
    /// Read a number.
    Measure,
    /// Watch for a time.
    Wait,
    /// Choose the first line that is true.
    Choose,
    /// Follow another list.
    Use,
    /// The end.
    End,
}

impl Kind {
    /// The word on the form.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Do => "Do",
            Self::Check => "Check",
            Self::Ask => "Ask",
            Self::Measure => "Measure",
            Self::Wait => "Wait",
            Self::Choose => "Choose",
            Self::Use => "Other list",
            Self::End => "End",
        }
    }
}

/// One step on a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Its number, such as A4.
    pub number: String,
    /// What it asks for.
    pub kind: Kind,
    /// The hazard, directly before the step.
    pub caution: Option<String>,
    /// The step.
    pub text: String,
    /// What should be seen, where, why, and what belongs to a call or a duty: each with its label.
    pub notes: Vec<(&'static str, String)>,
    /// Lines to be written on.
    pub blanks: Vec<String>,
    /// Every way out.
    pub outs: Vec<Out>,
    /// Whether somebody signs it with the time.
    pub signed: bool,
}

/// One way out of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Out {
    /// The answer.
    pub words: String,
    /// Where it leads.
    pub go: String,
}

/// The parts of a form, the first of which is the checklist itself.
struct Lettered<'a> {
    library: &'a Library,
    lists: Vec<ListId>,
}

impl Parts for Lettered<'_> {
    fn part(&self, list: ListId) -> (Option<String>, String) {
        let place = self.lists.iter().position(|one| *one == list);
        (place.map(letter), self.library.list(list).title.clone())
    }
}

/// A to Z, then AA, AB and so on.
fn letter(place: usize) -> String {
    let last = char::from(b'A' + u8::try_from(place % 26).unwrap_or(0));
    match place / 26 {
        0 => last.to_string(),
        before => format!("{}{last}", letter(before - 1)),
    }
}

/// Makes the form of a checklist.
#[must_use]
pub fn form(library: &Library, wanted: Wanted<'_>) -> Form {
    let list = library.list(wanted.list);
    let lists = if wanted.with_used {
        with_used(library, wanted.list)
    } else {
        vec![wanted.list]
    };
    let parts = Lettered { library, lists };
    let unit = library.unit().map_or_else(
        || "no unit's values filled in".to_owned(),
        |unit| unit.name.clone(),
    );
    Form {
        title: list.title.clone(),
        identity: format!(
            "{} {} · {unit} · {}",
            list.name, list.version, wanted.approval
        ),
        caution: wanted.caution.to_owned(),
        facts: facts(&parts),
        calls: CallLevel::ALL
            .iter()
            .map(|level| calls(library, *level))
            .collect(),
        urgent: library
            .lists()
            .filter(|(_, list)| list.kind == ListKind::Urgent)
            .map(|(_, list)| list.title.clone())
            .collect(),
        parts: (0..parts.lists.len())
            .map(|place| part(&parts, place))
            .collect(),
    }
}

/// The list and every list it uses, nearest first.
fn with_used(library: &Library, list: ListId) -> Vec<ListId> {
    let mut lists = vec![list];
    let mut at = 0;
    while let Some(list) = lists.get(at) {
        for (_, step) in library.list(*list).steps() {
            for used in uses(step) {
                if !lists.contains(&used) {
                    lists.push(used);
                }
            }
        }
        at += 1;
    }
    lists
}

fn uses(step: &Step) -> Vec<ListId> {
    if let StepKind::Use { list, .. } = &step.kind {
        return vec![*list];
    }
    let used = step.kind.ways().into_iter().filter_map(|way| match way {
        Way::Use { list, .. } => Some(*list),
        Way::Jump(_) => None,
    });
    used.collect()
}

/// The drain facts that a `decide` of any part looks at, as questions.
fn facts(parts: &Lettered<'_>) -> Vec<(String, String)> {
    let mut tested = BTreeSet::from(["place", "side"].map(str::to_owned));
    for list in &parts.lists {
        for (_, step) in parts.library.list(*list).steps() {
            if let StepKind::Decide { rows, .. } = &step.kind {
                let conditions = rows.iter().flat_map(|row| &row.when);
                tested.extend(conditions.map(|condition| condition.name.to_string()));
            }
        }
    }
    let asked = DRAIN_FACTS
        .iter()
        .filter(|fact| tested.contains(fact.name))
        .map(|fact| {
            let room = match fact.kind {
                FactKind::Choice(words) => format!("{} / not known", words.join(" / ")),
                FactKind::Amount(unit, ..) => format!("________ {unit}"),
                FactKind::Words => "________________".to_owned(),
            };
            (format!("{} ({})", fact.question, fact.name), room)
        });
    asked.collect()
}

const fn level_words(level: CallLevel) -> &'static str {
    match level {
        CallLevel::Emergency => "Emergency",
        CallLevel::DoctorNow => "Doctor now",
        CallLevel::DoctorSoon => "Doctor within the hour",
    }
}

fn calls(library: &Library, level: CallLevel) -> CallLine {
    let rungs = library.ladder(level).iter();
    CallLine {
        level: level_words(level),
        whom: rungs
            .map(|rung| {
                format!(
                    "{}: {} (no answer in {}: the next)",
                    rung.who, rung.how, rung.wait
                )
            })
            .collect(),
    }
}

fn part(parts: &Lettered<'_>, place: usize) -> Part {
    let library = parts.library;
    let list: &Checklist = library.list(parts.lists[place]);
    let letter = letter(place);
    let filler = Filler {
        library,
        list,
        letter: &letter,
    };
    Part {
        title: list.title.clone(),
        identity: format!("{} {}", list.name, list.version),
        recognise: list.recognise.as_ref().map(|text| filler.fill(text)),
        begin: filler.number(list.begin.index()),
        items: list
            .steps()
            .map(|(id, step)| item(parts, &filler, place, id.index(), step))
            .collect(),
        letter: letter.clone(),
    }
}

fn item(
    parts: &Lettered<'_>,
    filler: &Filler<'_>,
    place: usize,
    index: usize,
    step: &Step,
) -> Item {
    let (kind, text) = match &step.kind {
        StepKind::Do { text, .. } => (Kind::Do, filler.fill(text)),
        StepKind::Check { text, .. } => (Kind::Check, filler.fill(text)),
        StepKind::Ask { text, .. } => (Kind::Ask, filler.fill(text)),
        StepKind::Measure { text, .. } => (Kind::Measure, filler.fill(text)),
        StepKind::Wait { text, .. } => (Kind::Wait, filler.fill(text)),
        StepKind::Decide { .. } => (Kind::Choose, "Take the first line that is true.".to_owned()),
        StepKind::Use { .. } => (Kind::Use, "Follow another list, then come back.".to_owned()),
        StepKind::End { text, .. } => (Kind::End, filler.fill(text)),
    };
    let mut blanks = Vec::new();
    match &step.kind {
        StepKind::Measure { unit, .. } => blanks.push(format!("Reading: ________ {unit}")),
        StepKind::Wait { period, .. } => blanks.push(format!(
            "Begun at ____:____  Due {} later, at ____:____",
            period_words(filler, period)
        )),
        StepKind::End { outcome, .. } => blanks.push(ended(place, *outcome)),
        _ => {}
    }
    Item {
        number: filler.number(index),
        kind,
        caution: step.caution.as_ref().map(|text| filler.fill(text)),
        text,
        notes: notes(filler, step),
        blanks,
        outs: ways(filler, parts, step),
        signed: !matches!(kind, Kind::Choose | Kind::Use),
    }
}

/// What comes after an ending.
fn ended(place: usize, outcome: Outcome) -> String {
    if place == 0 {
        return format!("This form ends here: {outcome}. Left undone, because: ________________");
    }
    format!("This part ends: {outcome}. Go back to the step that sent you here, to that line.")
}

fn notes(filler: &Filler<'_>, step: &Step) -> Vec<(&'static str, String)> {
    let mut notes = Vec::new();
    if let StepKind::Check { expect, .. } = &step.kind {
        notes.push(("Expected", filler.fill(expect)));
    }
    if let Some(place) = &step.place {
        notes.push(("Where", filler.fill(place)));
    }
    if let Some(why) = &step.why {
        notes.push(("Why", filler.fill(why)));
    }
    if let Some(level) = step.call {
        let line = calls(filler.library, level);
        let whom = if line.whom.is_empty() {
            "your emergency or on-call number (not set here)".to_owned()
        } else {
            line.whom.join("; ")
        };
        notes.push((
            "Call",
            format!("{whom}. Who answered: ________ at ____:____"),
        ));
    }
    for name in &step.opens {
        if let Some(duty) = filler.library.duty(name) {
            // Not "open" and "close": beside a tap or clamp those words say something else.
            let when = duty.within.map_or_else(
                || "Before this form ends".to_owned(),
                |span| format!("Within {span}"),
            );
            let words = format!("{}. {when}: {}", duty.open, duty.close);
            notes.push(("Begins here", words));
        }
    }
    for name in &step.closes {
        if let Some(duty) = filler.library.duty(name) {
            notes.push(("Ends here", duty.open.clone()));
        }
    }
    notes
}
