//! What a unit's checklists do differently from the shipped ones, as data for people and programs.

pub mod runs;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::checklist::model::{
    CallLevel, Checklist, Condition, Cut, Endings, FactAbout, Jump, Library, ListId, Period, Piece,
    Range, Step, StepKind, Stricter, Test, Text, Value, Way,
};

/// Everything that a unit does differently.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
pub struct Comparison {
    /// Lists that are adapted, replaced or new.
    pub lists: Vec<ListDifference>,
    /// Limits with another number.
    pub limits: Vec<NumberDifference>,
    /// Local facts that are filled in.
    pub facts: Vec<NumberDifference>,
    /// Levels of call for which the unit says whom to call.
    pub calls: Vec<Line>,
}

/// How the unit's list came to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum How {
    /// A shipped list with changes.
    Adapted,
    /// A whole list in the place of a shipped one.
    Replaced,
    /// A list that is not shipped.
    New,
}

/// What is different in one list.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct ListDifference {
    /// Its name.
    pub list: String,
    /// Its title.
    pub title: String,
    /// How it came to be.
    pub how: How,
    /// The unit's version.
    pub version: String,
    /// The shipped version, unless it is new.
    pub shipped: Option<String>,
    /// What is different in its head.
    pub head: Vec<Line>,
    /// Steps that are added, removed or changed.
    pub steps: Vec<StepDifference>,
}

/// What became of a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Became {
    /// It is new.
    Added,
    /// It is gone.
    Removed,
    /// It says something else, or leads elsewhere.
    Changed,
}

/// What is different in one step.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct StepDifference {
    /// Its name.
    pub step: String,
    /// What it asks of the nurse, now or before.
    pub asks: String,
    /// What became of it.
    pub became: Became,
    /// What is different; of a new step, all it says.
    pub lines: Vec<Line>,
    /// The reasons that the adaptation gives.
    pub because: Vec<String>,
}

/// Something that was one thing and is another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// What, in words: "instruction", "when done".
    pub what: String,
    /// As it is shipped.
    pub was: Option<String>,
    /// As it is in the unit.
    pub now: Option<String>,
}

/// A number or fact with another value.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct NumberDifference {
    /// Its name.
    pub name: String,
    /// What it means.
    pub means: String,
    /// As it is shipped; nothing when it was not filled in.
    pub was: Option<String>,
    /// As it is in the unit.
    pub now: Option<String>,
    /// Of a limit: whether somebody acts earlier.
    pub acts_earlier: Option<bool>,
    /// The reasons that adaptations give.
    pub because: Vec<String>,
}

/// Compares a unit's checklists with the shipped ones; only one list when `only` names it.
#[must_use]
pub fn compare(own: &Library, shipped: &Library, only: Option<ListId>) -> Comparison {
    let lists = own
        .lists()
        .filter(|(id, _)| only.is_none_or(|only| only == *id));
    let lists = lists.filter_map(|(_, list)| list_difference(own, shipped, list));
    Comparison {
        lists: lists.collect(),
        limits: numbers(own, shipped, true),
        facts: numbers(own, shipped, false),
        calls: calls(own, shipped),
    }
}

fn list_difference(own: &Library, shipped: &Library, list: &Checklist) -> Option<ListDifference> {
    let before = shipped.find(list.name.as_str()).map(|id| shipped.list(id));
    if before.is_some_and(|before| before.fingerprint == list.fingerprint) {
        return None;
    }
    let how = match (&list.adapted, before) {
        (Some(_), _) => How::Adapted,
        (None, Some(_)) => How::Replaced,
        (None, None) => How::New,
    };
    let (head, steps) = match before {
        Some(before) => (
            changed(&head(before), &head(list)),
            step_differences((own, list), (shipped, before)),
        ),
        None => (Vec::new(), Vec::new()),
    };
    Some(ListDifference {
        list: list.name.to_string(),
        title: list.title.clone(),
        how,
        version: list.version.clone(),
        shipped: before.map(|before| before.version.clone()),
        head,
        steps,
    })
}

type Said = Vec<(String, String)>;

fn head(list: &Checklist) -> Said {
    let mut said = vec![
        ("title".to_owned(), list.title.clone()),
        ("kind".to_owned(), list.kind.to_string()),
        ("mode".to_owned(), list.mode.to_string()),
        ("found by".to_owned(), list.signs.join(", ")),
        ("owner".to_owned(), list.owner.clone()),
        ("begins with".to_owned(), name_of(list, list.begin.index())),
    ];
    let optional = [
        ("recognised by", list.recognise.as_ref().map(words)),
        ("about", list.about.clone()),
        ("author", list.author.clone()),
        ("review by", list.review_by.map(|day| day.to_string())),
        ("key", list.key.map(|key| key.to_string())),
    ];
    said.extend(
        optional
            .into_iter()
            .filter_map(|(what, words)| Some((what.to_owned(), words?))),
    );
    said
}

fn step_differences(
    (own, list): (&Library, &Checklist),
    (shipped, before): (&Library, &Checklist),
) -> Vec<StepDifference> {
    let mut found = Vec::new();
    for (_, step) in list.steps() {
        let now = said(own, list, step);
        let old = before.find(step.name.as_str()).map(|id| before.step(id));
        let (became, lines) = match old {
            None => (Became::Added, changed(&Vec::new(), &now)),
            Some(old) => (Became::Changed, changed(&said(shipped, before, old), &now)),
        };
        if !lines.is_empty() {
            found.push(difference(list, step, became, lines));
        }
    }
    for (_, step) in before.steps() {
        if list.find(step.name.as_str()).is_none() {
            found.push(difference(list, step, Became::Removed, Vec::new()));
        }
    }
    found
}

fn difference(list: &Checklist, step: &Step, became: Became, lines: Vec<Line>) -> StepDifference {
    StepDifference {
        step: step.name.to_string(),
        asks: asks(step),
        became,
        lines,
        because: reasons(list, step.name.as_str()),
    }
}

fn reasons(list: &Checklist, subject: &str) -> Vec<String> {
    let reasons = list.adapted.iter().flat_map(|adapted| &adapted.reasons);
    reasons
        .filter(|(about, _)| about == subject)
        .map(|(_, because)| because.clone())
        .collect()
}

/// What was said then and now, where it differs, in the order of now.
fn changed(then: &Said, now: &Said) -> Vec<Line> {
    let by_what: BTreeMap<&str, &str> = then
        .iter()
        .map(|(what, words)| (what.as_str(), words.as_str()))
        .collect();
    let mut lines: Vec<Line> = now
        .iter()
        .filter(|(what, words)| by_what.get(what.as_str()) != Some(&words.as_str()))
        .map(|(what, words)| Line {
            what: what.clone(),
            was: by_what.get(what.as_str()).map(|words| (*words).to_owned()),
            now: Some(words.clone()),
        })
        .collect();
    let gone = then
        .iter()
        .filter(|(what, _)| !now.iter().any(|(other, _)| other == what));
    lines.extend(gone.map(|(what, words)| Line {
        what: what.clone(),
        was: Some(words.clone()),
        now: None,
    }));
    lines
}

/// What a step asks of the nurse, in a few words.
fn asks(step: &Step) -> String {
    match &step.kind {
        StepKind::Decide { .. } => "goes on by what is known".to_owned(),
        StepKind::Use { .. } => "follows another checklist".to_owned(),
        other => other.text().map_or_else(String::new, words),
    }
}

/// All that a step says, each with what it is.
fn said(library: &Library, list: &Checklist, step: &Step) -> Said {
    let mut said = Saying {
        library,
        list,
        said: Vec::new(),
    };
    said.kind(&step.kind);
    let texts = [
        ("reason", &step.why),
        ("caution", &step.caution),
        ("where", &step.place),
        ("in the record", &step.record),
    ];
    for (what, text) in texts {
        if let Some(text) = text {
            said.add(what, words(text));
        }
    }
    let names = |names: Vec<String>| names.join(", ");
    let lists = [
        (
            "sources",
            step.source.iter().map(ToString::to_string).collect(),
        ),
        ("tags", step.tags.iter().map(ToString::to_string).collect()),
        (
            "opens the duty",
            step.opens.iter().map(ToString::to_string).collect(),
        ),
        (
            "closes the duty",
            step.closes.iter().map(ToString::to_string).collect(),
        ),
    ];
    for (what, all) in lists {
        let all: Vec<String> = all;
        if !all.is_empty() {
            said.add(what, names(all));
        }
    }
    if let Some(level) = step.call {
        said.add("calls", call_words(level).to_owned());
    }
    if step.critical {
        said.add("critical", "yes".to_owned());
    }
    if step.from_memory {
        said.add("from memory", "yes".to_owned());
    }
    if let Some(remember) = &step.remember {
        let good_for = remember
            .good_for
            .map_or_else(String::new, |span| format!(", good for {span}"));
        said.add("remembered as", format!("{}{good_for}", remember.name));
    }
    said.said
}

struct Saying<'a> {
    library: &'a Library,
    list: &'a Checklist,
    said: Said,
}

impl Saying<'_> {
    fn add(&mut self, what: &str, words: String) {
        self.said.push((what.to_owned(), words));
    }

    fn way(&mut self, what: &str, way: &Way) {
        let words = match way {
            Way::Jump(jump) => jump_words(self.list, jump),
            Way::Use { list, endings } => self.used(*list, endings),
        };
        self.add(what, words);
    }

    fn used(&self, list: ListId, endings: &Endings) -> String {
        let used = self.library.list(list);
        let mut words = format!("follows {}", used.name);
        for (outcome, jump) in &endings.by_outcome {
            words.push_str(&format!(
                "; ends {outcome}: {}",
                jump_words(self.list, jump)
            ));
        }
        if let Some(jump) = &endings.any {
            words.push_str(&format!("; then {}", jump_words(self.list, jump)));
        }
        words
    }

    fn kind(&mut self, kind: &StepKind) {
        match kind {
            StepKind::Do {
                text,
                then,
                if_not_done,
            } => {
                self.add("instruction", words(text));
                self.way("when done", then);
                self.way("when not done", if_not_done);
            }
            StepKind::Check {
                text,
                expect,
                as_expected,
                not_as_expected,
                could_not_check,
            } => {
                self.add("look", words(text));
                self.add("expects", words(expect));
                self.way("when as expected", as_expected);
                self.way("when not as expected", not_as_expected);
                self.way("when it could not be checked", could_not_check);
            }
            StepKind::Ask { text, answers } => {
                self.add("question", words(text));
                for answer in answers {
                    let unsure = if answer.unsure { " (not sure)" } else { "" };
                    self.way(&format!("answer \"{}\"{unsure}", answer.words), &answer.way);
                }
            }
            StepKind::Measure {
                text,
                unit,
                plausible,
                bands,
                not_obtained,
            } => {
                self.add("reads", words(text));
                let (low, high) = plausible;
                self.add("plausible", format!("{low} to {high} {unit}"));
                for band in bands {
                    self.way(&words(&band.words), &band.way);
                }
                self.way("when not obtained", not_obtained);
            }
            StepKind::Wait {
                text,
                period,
                late_after,
                elapsed,
                if_missed,
            } => {
                self.add("watches", words(text));
                self.add("for", period_words(period));
                self.add("too late after", late_after.to_string());
                self.way("when watched to the end", elapsed);
                self.way("when broken off or late", if_missed);
            }
            StepKind::Decide { rows, otherwise } => {
                for row in rows {
                    let conditions: Vec<String> = row.when.iter().map(condition).collect();
                    self.way(&format!("if {}", conditions.join(" and ")), &row.way);
                }
                self.way("otherwise", otherwise);
            }
            StepKind::Use { list, endings } => {
                let words = self.used(*list, endings);
                self.add("follows", words);
            }
            StepKind::End {
                text,
                outcome,
                recheck,
            } => {
                self.add("closing words", words(text));
                self.add("outcome", outcome.to_string());
                if let Some(recheck) = recheck {
                    self.add("look again in", recheck.to_string());
                }
            }
        }
    }
}

fn name_of(list: &Checklist, index: usize) -> String {
    list.steps()
        .nth(index)
        .map_or_else(String::new, |(_, step)| step.name.to_string())
}

fn jump_words(list: &Checklist, jump: &Jump) -> String {
    match jump {
        Jump::To(step) => format!("to {}", list.step(*step).name),
        Jump::Counted {
            go,
            at_most,
            after_that,
            ..
        } => format!(
            "to {}, at most {at_most} times, after that to {}",
            list.step(*go).name,
            list.step(*after_that).name
        ),
    }
}

fn period_words(period: &Period) -> String {
    match period {
        Period::Fixed(span) => span.to_string(),
        Period::Fact { name, unset } => format!("{{{name}}}, {unset} while it is not set"),
    }
}

fn condition(condition: &Condition) -> String {
    let name = &condition.name;
    match &condition.test {
        Test::OneOf(words) => format!("{name} is {}", words.join(" or ")),
        Test::Within(range) => format!("{name} is {}", range_words(range)),
        Test::Known => format!("{name} is known"),
        Test::Unknown => format!("{name} is not known"),
    }
}

fn range_words(range: &Range) -> String {
    let cut = |cut: &Cut| match cut {
        Cut::Fixed(number) => number.to_string(),
        Cut::Fact(name, _) | Cut::PerKg(name, _) | Cut::Unset(name) => format!("{{{name}}}"),
    };
    let mut parts = Vec::new();
    if let Some((from, with)) = &range.from {
        parts.push(format!(
            "{} {}",
            if *with { "at least" } else { "above" },
            cut(from)
        ));
    }
    if let Some((to, with)) = &range.to {
        parts.push(format!(
            "{} {}",
            if *with { "at most" } else { "below" },
            cut(to)
        ));
    }
    parts.join(" and ")
}

/// A text with the names of its places to be filled.
fn words(text: &Text) -> String {
    let pieces = text.0.iter().map(|piece| match piece {
        Piece::Words(words) => words.clone(),
        Piece::Fill(name) => format!("{{{name}}}"),
    });
    pieces.collect()
}

/// A level of call, as people say it.
#[must_use]
pub const fn call_words(level: CallLevel) -> &'static str {
    match level {
        CallLevel::Emergency => "the emergency team",
        CallLevel::DoctorNow => "a doctor, now",
        CallLevel::DoctorSoon => "a doctor, within the hour",
    }
}

fn numbers(own: &Library, shipped: &Library, limits: bool) -> Vec<NumberDifference> {
    let mut found = Vec::new();
    for (name, fact) in own.facts().iter() {
        let direction = match &fact.about {
            FactAbout::Limit { stricter, .. } => Some(*stricter),
            FactAbout::Local { .. } => None,
        };
        let before = shipped
            .facts()
            .get(name.as_str())
            .and_then(|fact| fact.value.as_ref());
        if direction.is_some() != limits || before == fact.value.as_ref() {
            continue;
        }
        let because = own
            .lists()
            .flat_map(|(_, list)| reasons(list, name.as_str()))
            .collect();
        found.push(NumberDifference {
            name: name.to_string(),
            means: fact.meaning.clone(),
            was: before.map(ToString::to_string),
            now: fact.value.as_ref().map(ToString::to_string),
            acts_earlier: direction
                .and_then(|stricter| acts_earlier(fact.value.as_ref(), before, stricter)),
            because,
        });
    }
    found
}

fn acts_earlier(own: Option<&Value>, shipped: Option<&Value>, stricter: Stricter) -> Option<bool> {
    let (own, shipped) = (own?, shipped?);
    Some(!crate::checklist::adapt::limits::acts_later(
        own, shipped, stricter,
    ))
}

fn calls(own: &Library, shipped: &Library) -> Vec<Line> {
    let ladder = |library: &Library, level: CallLevel| {
        let rungs = library.ladder(level).iter();
        let rungs: Vec<String> = rungs
            .map(|rung| format!("{} ({}; next after {})", rung.who, rung.how, rung.wait))
            .collect();
        (!rungs.is_empty()).then(|| rungs.join(", then "))
    };
    let levels = CallLevel::ALL.iter().copied();
    levels
        .filter_map(|level| {
            let (was, now) = (ladder(shipped, level), ladder(own, level));
            (was != now).then(|| Line {
                what: call_words(level).to_owned(),
                was,
                now,
            })
        })
        .collect()
}
