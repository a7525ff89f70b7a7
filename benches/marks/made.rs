//! Made inputs: a long checklist, a long walk through it, and journals that hold much.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use chrono::{SecondsFormat, TimeDelta};
use rusqlite::Connection;
use tubeside::checklist::drain_fact::DrainFacts;
use tubeside::checklist::load::load;
use tubeside::checklist::model::Library;
use tubeside::checklist::shelf::{Shelf, SourceFile};
use tubeside::journal::{
    self, Access, By, DrainId, Entry, Journal, NewEntry, SessionId, WalkId, WalkState, What,
};
use tubeside::moment::Moment;
use tubeside::units::{Amount, Number, Unit};
use tubeside::walk::Walk;
use tubeside::walk::event::{Event, Happening};
use tubeside::walk::input::{Answer, Input};

/// The moment at which everything made begins.
pub fn begin() -> Moment {
    Moment::parse_from_rfc3339("2026-03-02T20:40:00Z").expect("a moment")
}

/// The text of a checklist of so many steps, in turn things to do, to check, to ask and to measure,
/// written as the shipped ones are.
pub fn long_list(steps: usize) -> String {
    let mut text = String::from(
        "checklist: long\ntitle: A long list\nversion: 1.0.0\nkind: task\nmode: read-do\n\
         signs: [much to do]\n\
         recognise: There is much to do.\nowner: Nobody\nreview_by: 2027-06-30\n\
         sources:\n  made: Made for measuring, no source\nbegin: s0\n\nsteps:\n",
    );
    for at in 0..steps - 1 {
        let next = if at + 2 == steps {
            "the-end".to_owned()
        } else {
            format!("s{}", at + 1)
        };
        let written = match at % 4 {
            0 => write!(
                text,
                "  s{at}:\n    do: Straighten part {at} of the tubing.\n    why: A kink stops the \
                 swing.\n    where: From the chest to the drainage unit\n    source: made\n    \
                 then: {next}\n    if_not_done: {next}\n\n"
            ),
            1 => write!(
                text,
                "  s{at}:\n    check: Watch the seal for five breaths.\n    expect: The level moves \
                 with each breath.\n    source: made\n    as_expected: {next}\n    \
                 not_as_expected: {next}\n    could_not_check: {next}\n\n"
            ),
            2 => write!(
                text,
                "  s{at}:\n    ask: Is part {at} of the tubing clear?\n    source: made\n    \
                 answers:\n      - clear: {next}\n      - blocked: {next}\n      \
                 - not sure: {{unsure: true, go: {next}}}\n\n"
            ),
            _ => write!(
                text,
                "  s{at}:\n    measure: Depth of the seal\n    unit: cm\n    plausible: 0 to 30\n    \
                 source: made\n    bands:\n      - below 2: {next}\n      - 2 to 5: {next}\n      \
                 - above 5: {next}\n    not_obtained: {next}\n\n"
            ),
        };
        written.expect("memory");
    }
    text.push_str("  the-end:\n    end: Everything is done.\n    outcome: resolved\n");
    text
}

/// A shelf of one list.
pub fn shelf(text: &str) -> Shelf {
    let file = |path: &str, text: &str| SourceFile {
        path: path.to_owned(),
        bytes: text.as_bytes().to_vec(),
    };
    let of_the_shipped = |path: &str| {
        let shipped = Shelf::shipped();
        let bytes = shipped.file(path).expect("a shipped file").to_vec();
        SourceFile {
            path: path.to_owned(),
            bytes,
        }
    };
    Shelf::from_files([
        of_the_shipped("checklists/duties.yaml"),
        of_the_shipped("checklists/limits.yaml"),
        of_the_shipped("checklists/local-facts.yaml"),
        file("checklists/long.yaml", text),
    ])
}

/// The library of a shelf; ends the run with its problems when it has any.
pub fn library(shelf: &Shelf) -> Arc<Library> {
    let loaded = load(shelf);
    let problems: Vec<String> = loaded.errors().take(3).map(|one| one.drawn()).collect();
    Arc::new(
        loaded
            .library
            .unwrap_or_else(|| panic!("{}", problems.join("\n"))),
    )
}

/// The answer to a step of the long list, by the place of the step.
fn answer(turn: usize) -> Answer {
    match turn % 4 {
        0 => Answer::Done,
        1 => Answer::AsExpected,
        2 => Answer::Choice("clear".to_owned()),
        _ => Answer::Value(Amount::new(Number::from_milli(2_000), Unit::Cm)),
    }
}

/// What happens on a long list in turn. What does not fit where the walk stands is refused there.
fn input(turn: usize) -> Input {
    let answered = |answer: Answer| Input::Answer { answer, seen: None };
    match turn % 32 {
        27 => Input::Note {
            text: "The patient was turned to the other side.".to_owned(),
            seen: None,
        },
        28 => Input::Pause,
        29 => Input::Resume,
        30 => answered(Answer::StillSo),
        31 => Input::Back,
        12 => answered(Answer::NotDone {
            reason: "called to the next bed".to_owned(),
        }),
        _ => answered(answer(turn)),
    }
}

/// The next answer on a long list, whatever the step asks.
pub fn next_answer(walk: &Walk, now: Moment) -> Event {
    (0..4)
        .find_map(|turn| {
            let answer = answer(turn);
            walk.prepare(Input::Answer { answer, seen: None }, now).ok()
        })
        .expect("an answer that fits")
}

/// The events of one walk with everything that happens in a shift, and the walk itself.
pub fn long_walk(library: &Arc<Library>, events: usize) -> (Vec<Event>, Walk) {
    let list = library.find("long").expect("the long list");
    let mut now = begin();
    let (mut walk, first) =
        Walk::begin(library.clone(), list, DrainFacts::new(), now).expect("a walk");
    let mut all = vec![first];
    for turn in 0.. {
        if all.len() >= events || walk.outcome().is_some() {
            break;
        }
        now += TimeDelta::seconds(7);
        if let Ok(event) = walk.input(input(turn), now) {
            all.push(event);
        }
    }
    assert_eq!(all.len(), events, "the list is too short for the walk");
    (all, walk)
}

/// What every made entry has in common.
pub fn entry(
    walk: WalkId,
    state: WalkState,
    session: SessionId,
    at: Moment,
    what: What,
) -> NewEntry {
    NewEntry {
        drain: None,
        walk: Some((walk, state)),
        session,
        seen: at,
        written: at,
        by: By::new("AB", "RN"),
        rehearsal: false,
        what,
    }
}

/// An event as it is kept. The shelf that a walk begins with is left empty here.
pub fn what(event: &Event) -> What {
    match &event.what {
        Happening::Begun { list, facts, paper } => What::Begun {
            list: list.clone(),
            facts: facts.clone(),
            paper: paper.clone(),
            shelf: journal::Shelf::default(),
        },
        other => What::Walk(other.clone()),
    }
}

/// Adds a walk of these events to a journal.
pub fn keep(journal: &mut Journal, events: &[Event], drain: Option<DrainId>) -> WalkId {
    let session = SessionId::new(begin());
    let walk = WalkId::new(begin());
    for event in events {
        let new = NewEntry {
            drain,
            ..entry(walk, WalkState::Going, session, event.written, what(event))
        };
        journal.append(&new).expect("an entry");
    }
    walk
}

/// Writes entries made in memory into a fresh file at once: the same rows with the same hashes,
/// without waiting for the disk a hundred thousand times.
pub fn write(path: &Path, entries: &[Entry]) {
    drop(Journal::open(path, Access::Write).expect("a fresh journal"));
    let mut file = Connection::open(path).expect("the journal's file");
    let work = file.transaction().expect("a transaction");
    {
        let mut insert = work
            .prepare("INSERT INTO events VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14)")
            .expect("the journal's table");
        let time = |moment: Moment| moment.to_rfc3339_opts(SecondsFormat::AutoSi, false);
        for entry in entries {
            insert
                .execute(rusqlite::params![
                    entry.seq,
                    entry.id.to_string(),
                    entry.drain.map(|id| id.to_string()),
                    entry.walk.map(|id| id.to_string()),
                    entry.session.to_string(),
                    journal::kind(&entry.what),
                    entry.state.map(WalkState::word),
                    time(entry.seen),
                    time(entry.written),
                    entry.by.initials,
                    entry.by.role,
                    entry.rehearsal,
                    entry.body,
                    entry.hash,
                ])
                .expect("a row");
        }
    }
    work.commit().expect("a commit");
}
