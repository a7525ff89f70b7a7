//! `drain …` and `note`.

use serde::Serialize;

use crate::checklist::drain_fact::{DRAIN_FACTS, DrainFact, DrainFacts, FactKind};
use crate::checklist::model::Value;
use crate::cli::{DrainCommand, NoteArgs};
use crate::failure::Failure;
use crate::journal::{By, DrainId, Entry, Journal, What};
use crate::moment::Moment;
use crate::names::FactName;
use crate::screen::{Item, Menu, Picked, Screen, Stopped, TextQuestion, Tone};
use crate::units::Unit;
use crate::walk::Walk;
use crate::walk::input::Answer;
use crate::walk::story::Telling;

use super::aim::{Names, Whole};
use super::bedside::ask_writer;
use super::desk::Desk;
use super::fact_text::{read_pairs, read_value};
use super::failures::{journal_failure, stopped};
use super::handle::{NamedDrain, drains, find_drain, walks_on};
use super::out;
use super::personal;
use super::screens::{Form, form};
use super::start::{describe, in_form};

/// Does what `drain …` asks.
///
/// # Errors
/// A failure when a drain or a fact is not known, or the journal cannot be used.
pub fn run(desk: &mut Desk, command: &DrainCommand) -> Result<(), Failure> {
    match command {
        DrainCommand::New { facts } if facts.is_empty() => ask_new(desk),
        DrainCommand::New { facts } => {
            need_writer(desk)?;
            let mut known = DrainFacts::new();
            read_pairs(&mut known, facts)?;
            warn_personal(&known);
            let mut journal = desk.journal()?;
            let drain = open(desk, &mut journal, known)?;
            out::wrapped(&format!("opened {}", drain.name))
        }
        DrainCommand::List { all, json } => list(desk, *all, *json),
        DrainCommand::Show { id } => show(desk, id),
        DrainCommand::Set { id, facts, why } => set(desk, id, facts, why),
        DrainCommand::Close { id, how } => {
            need_writer(desk)?;
            let mut journal = desk.journal()?;
            let drain = find_drain(&journal, id)?;
            let what = What::DrainClosed { how: how.clone() };
            append(desk, &mut journal, drain.summary.drain, what, desk.now())?;
            out::wrapped(&format!("closed {}", drain.name))
        }
    }
}

/// Writes a note on a drain.
///
/// # Errors
/// A failure when the drain or the time is not known, or the journal cannot be used.
pub fn note(desk: &Desk, args: &NoteArgs) -> Result<(), Failure> {
    need_writer(desk)?;
    let text = args.text.join(" ").trim().to_owned();
    if text.is_empty() {
        return Err(Failure::usage("the note is empty").hint("write a few words"));
    }
    let seen = match &args.seen {
        Some(time) => desk.read_moment(time).map_err(Failure::usage)?,
        None => desk.now(),
    };
    personal::warn(&text);
    let mut journal = desk.journal()?;
    let drain = find_drain(&journal, &args.drain)?;
    append(
        desk,
        &mut journal,
        drain.summary.drain,
        What::DrainNote { text },
        seen,
    )?;
    let whole = Whole::Drain(drain);
    let entries = whole.entries(&journal)?;
    let names = Names::of(&whole, &entries);
    let mut notes = entries
        .iter()
        .filter(|entry| matches!(entry.what, What::DrainNote { .. }));
    let name = notes.next_back().and_then(|entry| names.name(&entry.id));
    out::wrapped(&format!(
        "noted on {} as {}",
        whole.name(),
        name.unwrap_or("a note")
    ))
}

/// Whether the drain may be said later.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Later {
    /// It may: what follows can do without for now.
    May,
    /// It may not: there is nothing to do without it.
    Not,
}

/// What came of asking for the drain.
#[derive(Debug)]
pub enum Meant {
    /// This one.
    This(NamedDrain),
    /// It is said later.
    Later,
    /// Nothing was meant: back to where the question came from.
    Back,
}

impl Meant {
    /// The drain, where one was chosen.
    #[must_use]
    pub fn drain(self) -> Option<NamedDrain> {
        match self {
            Self::This(drain) => Some(drain),
            Self::Later | Self::Back => None,
        }
    }
}

/// The drain that is meant, out of those that are open; a new one; or none for now.
///
/// # Errors
/// A failure when no reply can be had or the journal cannot be used.
pub fn choose(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    later: Later,
) -> Result<Meant, Failure> {
    let mut open: Vec<NamedDrain> = drains(journal)?;
    open.retain(|drain| drain.summary.closed.is_none());
    let mut items: Vec<Item> = open
        .iter()
        .map(|drain| Item::numbered(&in_words(drain)))
        .collect();
    items.push(Item::keyed('n', "A new drain"));
    if later == Later::May {
        items.push(Item::keyed('l', "Say it later"));
    }
    let menu = Menu {
        title: "Which drain?".to_owned(),
        items,
        leave: Some("Back".to_owned()),
        ..Menu::default()
    };
    match screen.choose(&menu).map_err(|why| stopped(&why))? {
        Picked::Item(index) if index < open.len() => Ok(Meant::This(open.swap_remove(index))),
        Picked::Item(index) if index == open.len() => {
            let facts = ask_facts(screen)?;
            self::open(desk, journal, facts).map(Meant::This)
        }
        Picked::Item(_) => Ok(Meant::Later),
        Picked::Urgent(list) => Err(stopped(&Stopped::Urgent(list))),
        Picked::Leave | Picked::Again => Ok(Meant::Back),
    }
}

/// Opens a drain in the journal.
fn open(desk: &Desk, journal: &mut Journal, facts: DrainFacts) -> Result<NamedDrain, Failure> {
    let drain = DrainId::new(desk.now());
    append(
        desk,
        journal,
        drain,
        What::DrainOpened { facts },
        desk.now(),
    )?;
    find_drain(journal, &drain.to_string())
}

fn ask_new(desk: &mut Desk) -> Result<(), Failure> {
    let form = form(&desk.common, None);
    if form != Form::Terminal {
        need_writer(desk)?;
    }
    in_form(desk, form, |desk, screen| {
        if desk.by.is_empty() {
            ask_writer(desk, screen)?;
        }
        let mut journal = desk.journal()?;
        let facts = ask_facts(screen)?;
        let drain = open(desk, &mut journal, facts)?;
        screen.say(
            Tone::Plain,
            &format!("Opened {}: {}", drain.name, in_words(&drain)),
        );
        screen.finish().map_err(|why| stopped(&why))
    })
}

/// Asks for each drain fact; each may stay open.
fn ask_facts(screen: &mut dyn Screen) -> Result<DrainFacts, Failure> {
    let mut facts = DrainFacts::new();
    for fact in DRAIN_FACTS {
        if !is_asked(fact, &facts) {
            continue;
        }
        let value = match fact.kind {
            FactKind::Choice(words) => ask_choice(screen, fact, words)?,
            FactKind::Amount(..) | FactKind::Words => ask_text(screen, fact)?,
        };
        if let Some(value) = value {
            let read = read_value(fact, &value).map_err(Failure::usage)?;
            let name = FactName::new(fact.name).map_err(|bad| Failure::usage(bad.to_string()))?;
            facts.insert(name, read);
        }
    }
    Ok(facts)
}

/// The weight only of a child, and suction details only when suction is ordered or may be.
fn is_asked(fact: &DrainFact, facts: &DrainFacts) -> bool {
    let is = |name: &str, word: &str| {
        facts
            .get(name)
            .is_some_and(|value| value.to_string() == word)
    };
    match fact.name {
        "weight" => !is("population", "adult"),
        "suction-order" | "suction-control" => !is("suction", "none"),
        _ => true,
    }
}

fn ask_choice(
    screen: &mut dyn Screen,
    fact: &DrainFact,
    words: &[&str],
) -> Result<Option<String>, Failure> {
    let mut items: Vec<Item> = words.iter().map(|word| Item::numbered(word)).collect();
    items.push(Item::keyed('u', "not known"));
    let menu = Menu {
        title: fact.question.to_owned(),
        items,
        ..Menu::default()
    };
    match screen.choose(&menu).map_err(|why| stopped(&why))? {
        Picked::Item(index) => Ok(words.get(index).map(|word| (*word).to_owned())),
        Picked::Leave | Picked::Again => Ok(None),
        Picked::Urgent(list) => Err(stopped(&Stopped::Urgent(list))),
    }
}

fn ask_text(screen: &mut dyn Screen, fact: &DrainFact) -> Result<Option<String>, Failure> {
    let check = |text: &str| read_value(fact, text).map(drop);
    let hint = match fact.kind {
        FactKind::Amount(unit, ..) => Some(format!("with its unit, like 20 {unit}")),
        FactKind::Choice(_) | FactKind::Words => None,
    };
    let question = TextQuestion {
        question: fact.question,
        hint: hint.as_deref(),
        may_be_open: true,
        check: &check,
    };
    let text = screen.text(&question).map_err(|why| stopped(&why))?;
    Ok((!text.is_empty()).then_some(text))
}

/// One line for `drain list --json`.
#[derive(Serialize)]
struct Row {
    name: String,
    id: String,
    opened: String,
    closed: Option<String>,
    rehearsal: bool,
    facts: std::collections::BTreeMap<String, String>,
}

fn list(desk: &Desk, all: bool, json: bool) -> Result<(), Failure> {
    let journal = desk.journal_to_read()?;
    let mut shown = drains(&journal)?;
    shown.retain(|drain| all || drain.summary.closed.is_none());
    if json {
        let rows: Vec<Row> = shown.iter().map(row).collect();
        return out::json(&rows);
    }
    if shown.is_empty() {
        return out::wrapped("no drain is open; open one with: tubeside drain new");
    }
    for drain in &shown {
        out::wrapped(&in_words(drain))?;
    }
    Ok(())
}

fn row(drain: &NamedDrain) -> Row {
    let facts = drain.summary.facts.iter();
    Row {
        name: drain.name.clone(),
        id: drain.summary.drain.to_string(),
        opened: drain.summary.opened.to_rfc3339(),
        closed: drain
            .summary
            .closed
            .as_ref()
            .map(|(when, _)| when.to_rfc3339()),
        rehearsal: drain.summary.rehearsal,
        facts: facts
            .map(|(name, value)| (name.to_string(), value.to_string()))
            .collect(),
    }
}

fn show(desk: &Desk, id: &str) -> Result<(), Failure> {
    let journal = desk.journal_to_read()?;
    let drain = find_drain(&journal, id)?;
    out::wrapped(&in_words(&drain))?;
    for fact in DRAIN_FACTS {
        let value = drain.summary.facts.get(fact.name);
        let words = value.map_or_else(|| "not known".to_owned(), ToString::to_string);
        out::wrapped(&format!("  {:<16}{words}", fact.name))?;
    }
    for walk in walks_on(&journal, drain.summary.drain)? {
        out::wrapped(&format!("  {}", describe(&walk)))?;
    }
    let whole = Whole::Drain(drain);
    let entries = whole.entries(&journal)?;
    let names = Names::of(&whole, &entries);
    for entry in &entries {
        if let Some(text) = note_words(entry, &names) {
            out::wrapped(&format!("  {text}"))?;
        }
    }
    Ok(())
}

fn note_words(entry: &Entry, names: &Names) -> Option<String> {
    let when = entry.seen.format("%d %b %H:%M");
    let name = names.name(&entry.id).unwrap_or("");
    match &entry.what {
        What::DrainNote { text } => Some(format!("{when} note {name} by {}: {text}", entry.by)),
        What::Amended {
            entry: about,
            mark,
            text,
            why,
        } => {
            let about = names.name(about).unwrap_or("an entry");
            let (mark, by) = (mark.word(), &entry.by);
            Some(format!(
                "{when} {name}: {about} marked {mark} by {by}: {text} ({why})"
            ))
        }
        What::Signed { .. } => Some(format!("{when} signed by {}", entry.by)),
        What::HandedOver { to, .. } => Some(format!("{when} handed over by {} to {to}", entry.by)),
        What::DrainChanged { why, .. } if !why.is_empty() => {
            Some(format!("{when} facts changed by {}: {why}", entry.by))
        }
        What::DrainClosed { how } => Some(format!("{when} closed by {}: {how}", entry.by)),
        _ => None,
    }
}

fn set(desk: &Desk, id: &str, pairs: &[String], why: &str) -> Result<(), Failure> {
    need_writer(desk)?;
    let mut journal = desk.journal()?;
    let drain = find_drain(&journal, id)?;
    let mut facts = drain.summary.facts.clone();
    read_pairs(&mut facts, pairs)?;
    warn_personal(&facts);
    let what = What::DrainChanged {
        facts,
        why: why.trim().to_owned(),
    };
    append(desk, &mut journal, drain.summary.drain, what, desk.now())?;
    out::wrapped(&in_words(&find_drain(&journal, &drain.name)?))
}

/// Offers to keep a weight measured in a walk as a fact of its drain, so that later limits for each
/// kilogram rest on it. Nothing is kept unasked.
///
/// # Errors
/// A failure when no reply can be had or the journal could not be used.
pub fn offer_weight(
    desk: &Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    drain: DrainId,
    walk: &Walk,
) -> Result<(), Failure> {
    let measured = walk.story().iter().rev().find_map(|told| match &told.what {
        Telling::Answered {
            answer: Answer::Value(amount),
            ..
        } if !told.taken_back => amount.to(Unit::Kg).ok(),
        _ => None,
    });
    let Some(weight) = measured else {
        return Ok(());
    };
    let named = find_drain(journal, &drain.to_string())?;
    let value = Value::Amount(weight);
    if named.summary.facts.get("weight") == Some(&value) {
        return Ok(());
    }
    let question = format!("Keep the weight, {weight}, with drain {}?", named.name);
    if !screen.confirm(&question).map_err(|why| stopped(&why))? {
        return Ok(());
    }
    let mut facts = named.summary.facts.clone();
    if let Ok(name) = FactName::new("weight") {
        facts.insert(name, value);
    }
    let what = What::DrainChanged {
        facts,
        why: format!("weighed: {weight}"),
    };
    append(desk, journal, drain, what, desk.now())
}

fn append(
    desk: &Desk,
    journal: &mut Journal,
    drain: DrainId,
    what: What,
    seen: Moment,
) -> Result<(), Failure> {
    journal
        .append(&desk.entry(Some(drain), seen, what))
        .map(drop)
        .map_err(|why| journal_failure(&why))
}

/// A drain in one line.
#[must_use]
pub fn in_words(drain: &NamedDrain) -> String {
    let facts = &drain.summary.facts;
    let fact = |name: &str| facts.get(name).map(ToString::to_string);
    let place = fact("place").unwrap_or_else(|| "place not given".to_owned());
    let mut words = vec![format!("{} {place}", drain.name)];
    words.extend(fact("side").map(|side| format!("{side} side")));
    words.extend(fact("population"));
    words.push(format!(
        "since {}",
        drain.summary.opened.format("%d %b %H:%M")
    ));
    if drain.summary.closed.is_some() {
        words.push("closed".to_owned());
    }
    if drain.summary.rehearsal {
        words.push("rehearsal".to_owned());
    }
    words.join(", ")
}

/// Refuses when nobody has said who writes.
///
/// # Errors
/// A usage failure that says how.
pub(super) fn need_writer(desk: &Desk) -> Result<(), Failure> {
    if desk.by == By::default() {
        return Err(Failure::usage("who writes is not given").hint("add --by \"AB, RN\""));
    }
    Ok(())
}

/// Points out what looks like a person's data; what was typed is kept all the same.
fn warn_personal(facts: &DrainFacts) {
    for value in facts.values() {
        personal::warn(&value.to_string());
    }
}
