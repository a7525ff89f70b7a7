//! A journal of years, written in stretches so that making it needs little memory: drains that are
//! charted for two days, each with walks on it that are over.

use std::collections::HashMap;
use std::path::Path;

use chrono::{SecondsFormat, TimeDelta};
use rusqlite::Connection;
use tubeside::chart::What as Charted;
use tubeside::chart::reading::Reading;
use tubeside::journal::row::Row;
use tubeside::journal::{
    self, Access, By, DrainId, Entry, EntryId, Journal, Mark, NewEntry, SessionId, Shelf, WalkId,
    WalkState, What,
};
use tubeside::moment::Moment;
use tubeside::units::Number;
use tubeside::walk::event::Event;

use crate::made;

/// Walks on one drain.
pub const WALKS_EACH: usize = 5;
/// Entries of one drain with all its walks.
pub const ENTRIES_EACH: usize = 250;
const EVENTS_OF_WALK: usize = 45;
const READINGS_AFTER_WALK: usize = 4;
/// Drains that are in use at the same time, whose entries stand between each other's.
const AT_ONCE: usize = 20;
/// From one group of drains to the next: 1,000 groups fill ten years.
const APART: TimeDelta = TimeDelta::minutes(87 * 60 + 39);

/// Writes a journal of so many walks, rounded up to whole groups of drains, or goes on with one that
/// was broken off; gives how many entries it has.
pub fn write(path: &Path, walks: usize) -> usize {
    let drain = one_drain(path);
    let mut file = Connection::open(path).expect("the journal's file");
    // A made journal need not outlast a power cut; the rows are the same.
    file.execute_batch("PRAGMA synchronous = OFF; PRAGMA cache_size = -200000;")
        .expect("settings");
    let mut chain = Chain::of(&file);
    let written = usize::try_from(chain.seq).expect("a count") / (ENTRIES_EACH * AT_ONCE);
    for group in written..walks.div_ceil(WALKS_EACH * AT_ONCE) {
        let later = APART * i32::try_from(group).expect("few groups");
        let mut copies: Vec<Copy> = (0..AT_ONCE).map(|_| Copy::later(later)).collect();
        let work = file.transaction().expect("a transaction");
        for entry in &drain {
            for copy in &mut copies {
                insert(&work, &chain.row(copy, entry));
            }
        }
        work.commit().expect("a commit");
    }
    usize::try_from(chain.seq).expect("a count")
}

/// The entries of one drain, made by the journal itself.
fn one_drain(path: &Path) -> Vec<Entry> {
    let shelf = made::shelf(&made::long_list(EVENTS_OF_WALK * 2));
    let (events, _) = made::long_walk(&made::library(&shelf), EVENTS_OF_WALK);
    let mut file = Journal::open(path, Access::Write).expect("a fresh journal");
    let mut files = Shelf::default();
    for (name, bytes) in shelf.library_files() {
        let text = String::from_utf8_lossy(bytes);
        let hash = file.put_text(&text).expect("a text");
        files.files.insert(name.to_owned(), hash);
    }
    let mut memory = Journal::in_memory();
    let mut hours = made::begin();
    let drain = DrainId::new(hours);
    let facts = Default::default();
    let opened = of_drain(drain, hours, What::DrainOpened { facts });
    memory.append(&opened).expect("kept");
    for walk in 0..WALKS_EACH {
        over(&mut memory, &events, drain, hours, &files);
        for reading in 0..READINGS_AFTER_WALK {
            hours += TimeDelta::hours(2);
            let read = walk * READINGS_AFTER_WALK + reading + 1;
            let at = memory
                .append(&of_drain(drain, hours, level(read)))
                .expect("kept");
            if read == 7 {
                let wrong = What::Amended {
                    entry: at.id,
                    mark: Mark::Addendum,
                    text: "read with the drainage unit tilted".to_owned(),
                    why: "added on the round".to_owned(),
                };
                memory.append(&of_drain(drain, hours, wrong)).expect("kept");
            }
        }
    }
    while memory.entries_after(0).expect("entries").len() + 1 < ENTRIES_EACH {
        let text = "The dressing is dry.".to_owned();
        memory
            .append(&of_drain(drain, hours, What::DrainNote { text }))
            .expect("kept");
    }
    let how = "tube removed".to_owned();
    memory
        .append(&of_drain(drain, hours, What::DrainClosed { how }))
        .expect("kept");
    let all = memory.entries_after(0).expect("entries");
    assert_eq!(all.len(), ENTRIES_EACH);
    all
}

/// The level at a reading: much comes in the first hours.
fn level(reading: usize) -> What {
    let millilitres = 400 + 90 * reading;
    let level = Number::whole(i32::try_from(millilitres).expect("a level"));
    What::Charted(Charted::Reading(std::sync::Arc::new(Reading {
        level: Some(level),
        ..Reading::default()
    })))
}

fn of_drain(drain: DrainId, at: Moment, what: What) -> NewEntry {
    NewEntry {
        drain: Some(drain),
        walk: None,
        session: SessionId::new(at),
        seen: at,
        written: at,
        by: By::new("AB", "RN"),
        rehearsal: false,
        what,
    }
}

/// A walk from its beginning to its end.
fn over(memory: &mut Journal, events: &[Event], drain: DrainId, from: Moment, files: &Shelf) {
    let (walk, session) = (WalkId::new(from), SessionId::new(from));
    for (index, event) in events.iter().enumerate() {
        let state = match index + 1 == events.len() {
            true => WalkState::Over,
            false => WalkState::Going,
        };
        let mut what = made::what(event);
        if let What::Begun { shelf, .. } = &mut what {
            shelf.clone_from(files);
        }
        let at = from + (event.written - made::begin());
        let new = made::entry(walk, state, session, at, what);
        let drain = Some(drain);
        memory.append(&NewEntry { drain, ..new }).expect("an entry");
    }
}

/// The same drain again, later and with identifiers of its own.
struct Copy {
    later: TimeDelta,
    ids: HashMap<String, String>,
}

impl Copy {
    fn later(later: TimeDelta) -> Self {
        let ids = HashMap::new();
        Self { later, ids }
    }

    fn id(&mut self, of: &str, at: Moment) -> String {
        let new = || EntryId::new(at).to_string();
        self.ids.entry(of.to_owned()).or_insert_with(new).clone()
    }
}

/// Gives each row its place and its hash.
struct Chain {
    seq: i64,
    prev: String,
}

impl Chain {
    /// What the file's last row leaves.
    fn of(file: &Connection) -> Self {
        let last = file.query_row(
            "SELECT seq, hash FROM events ORDER BY seq DESC LIMIT 1",
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        );
        let (seq, prev) = last.unwrap_or_else(|_| (0, "0".repeat(64)));
        Self { seq, prev }
    }

    fn row(&mut self, copy: &mut Copy, entry: &Entry) -> Row {
        self.seq += 1;
        let (seen, written) = (entry.seen + copy.later, entry.written + copy.later);
        let time = |moment: Moment| moment.to_rfc3339_opts(SecondsFormat::AutoSi, false);
        let mut body = entry.body.clone();
        if let What::Amended { entry: about, .. } = &entry.what {
            let about = about.to_string();
            body = body.replace(&about, &copy.id(&about, seen));
        }
        let mut row = Row {
            seq: self.seq,
            id: copy.id(&entry.id.to_string(), written),
            drain: entry.drain.map(|id| copy.id(&id.to_string(), written)),
            walk: entry.walk.map(|id| copy.id(&id.to_string(), written)),
            session: copy.id(&entry.session.to_string(), written),
            kind: journal::kind(&entry.what).to_owned(),
            state: entry.state.map(|state| state.word().to_owned()),
            seen_at: time(seen),
            written_at: time(written),
            initials: entry.by.initials.clone(),
            role: entry.by.role.clone(),
            rehearsal: entry.rehearsal,
            body,
            hash: String::new(),
        };
        row.hash = row.hash_after(&self.prev).as_str().to_owned();
        self.prev.clone_from(&row.hash);
        row
    }
}

fn insert(work: &Connection, row: &Row) {
    work.prepare_cached(
        "INSERT INTO events VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14)",
    )
    .expect("the journal's table")
    .execute(rusqlite::params![
        row.seq,
        row.id,
        row.drain,
        row.walk,
        row.session,
        row.kind,
        row.state,
        row.seen_at,
        row.written_at,
        row.initials,
        row.role,
        row.rehearsal,
        row.body,
        row.hash,
    ])
    .expect("a row");
}
