//! One durable answer, beside a bare insert into SQLite with the same settings on the same disk.

use chrono::TimeDelta;
use rusqlite::Connection;
use tubeside::checklist::drain_fact::DrainFacts;
use tubeside::journal::{Access, Journal, SessionId, WalkId, WalkState, What};
use tubeside::walk::Walk;

use crate::common::{Mark, Row, folder, in_turn, row};
use crate::made;

const ROUNDS: usize = 400;

/// An answer taken by the walk and added to the journal.
pub fn rows() -> Vec<Row> {
    let folder = folder();
    let library = made::library(&made::shelf(&made::long_list(3_000)));
    let list = library.find("long").expect("the long list");
    let mut now = made::begin();
    let (mut walk, begun) =
        Walk::begin(library.clone(), list, DrainFacts::new(), now).expect("a walk");
    let mut journal =
        Journal::open(&folder.path().join("journal.db"), Access::Write).expect("a journal");
    let (id, session) = (WalkId::new(now), SessionId::new(now));
    let first = made::entry(id, WalkState::Going, session, now, made::what(&begun));
    journal.append(&first).expect("an entry");

    let mut answered = || {
        now += TimeDelta::seconds(7);
        let event = made::next_answer(&walk, now);
        walk.take(&event).expect("an event that follows");
        let what = What::Walk(event.what);
        let new = made::entry(id, WalkState::Going, session, event.written, what);
        journal.append(&new).expect("an entry")
    };
    let size = size(&answered());
    let bare = bare(&folder.path().join("bare.db"));
    let words = "x".repeat(size);
    let mut insert = bare
        .prepare("INSERT INTO rows (body) VALUES (?1)")
        .expect("a table");
    let (ours, theirs) = in_turn(
        ROUNDS,
        || ((), ()),
        |()| drop(answered()),
        |()| {
            insert.execute([&words]).expect("a row");
        },
    );
    let yardstick = format!("a bare insert of a row of {size} bytes, WAL, synchronous FULL");
    vec![row(
        "one durable answer: prepare, take, append",
        &ours,
        &yardstick,
        &theirs,
        Mark::Times(1.5),
    )]
}

/// The bytes of text in an entry's row.
fn size(entry: &tubeside::journal::Entry) -> usize {
    let identifiers = 36 * 3;
    let times = 25 * 2;
    let words = entry.by.initials.len() + entry.by.role.len() + "answered".len() + "going".len();
    identifiers + times + words + entry.body.len() + entry.hash.len()
}

/// A database with one table and nothing that guards it.
fn bare(path: &std::path::Path) -> Connection {
    let bare = Connection::open(path).expect("a database");
    bare.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))
        .and_then(|()| bare.pragma_update(None, "synchronous", "FULL"))
        .and_then(|()| bare.execute_batch("CREATE TABLE rows (seq INTEGER PRIMARY KEY, body TEXT)"))
        .expect("its settings");
    bare
}
