//! Looking through a journal of 100,000 events, beside a plain scan of the same table.

use std::hint::black_box;
use std::path::Path;

use rusqlite::Connection;
use rusqlite::types::ValueRef;
use tubeside::journal::{Access, By, DrainId, Journal, NewEntry, SessionId, What};

use crate::common::{Mark, Row, folder, in_turn, row};
use crate::made;

const WALKS: usize = 1_000;
const EVENTS_EACH: usize = 100;
const DRAINS: usize = 50;

/// The full check, the open walks, and the drains.
pub fn rows() -> Vec<Row> {
    let folder = folder();
    let path = folder.path().join("journal.db");
    fill(&path);
    let journal = Journal::open(&path, Access::Read).expect("the journal");
    let verified = journal.verify().expect("a check");
    assert!(verified.faults.is_empty(), "{:?}", verified.faults);
    let bare = Connection::open(&path).expect("the same file");
    let measured = |what: &str, rounds: usize, work: &dyn Fn()| {
        let (ours, theirs) = in_turn(
            rounds,
            || ((), ()),
            |()| work(),
            |()| {
                black_box(plain_scan(&bare));
            },
        );
        let yardstick = format!("a plain scan of its {} rows", verified.entries);
        row(what, &ours, &yardstick, &theirs, Mark::None)
    };
    vec![
        measured("verify a journal of 100,000 events", 7, &|| {
            drop(black_box(journal.verify()));
        }),
        measured("the open ones among its 1,000 walks", 20, &|| {
            drop(black_box(journal.open_walks()));
        }),
        measured("its 50 drains", 20, &|| {
            drop(black_box(journal.drains()));
        }),
    ]
}

/// A journal of some years: drains, and walks on them that are all open.
fn fill(path: &Path) {
    let library = made::library(&made::shelf(&made::long_list(EVENTS_EACH * 2)));
    let (events, _) = made::long_walk(&library, EVENTS_EACH);
    let mut memory = Journal::in_memory();
    let now = made::begin();
    let drains: Vec<DrainId> = (0..DRAINS).map(|_| DrainId::new(now)).collect();
    for drain in &drains {
        let opened = NewEntry {
            drain: Some(*drain),
            walk: None,
            session: SessionId::new(now),
            seen: now,
            written: now,
            by: By::new("AB", "RN"),
            rehearsal: false,
            what: What::DrainOpened {
                facts: Default::default(),
            },
        };
        memory.append(&opened).expect("a drain");
    }
    for walk in 0..WALKS {
        // Only the first event names the drain; the journal puts it into the others itself.
        let drain = drains[walk % DRAINS];
        made::keep(&mut memory, &events, Some(drain));
    }
    made::write(path, &memory.entries_after(0).expect("entries"));
}

/// Reads every column of every row and does nothing with it but count its bytes.
pub fn plain_scan(file: &Connection) -> usize {
    let mut rows = file
        .prepare_cached("SELECT * FROM events ORDER BY seq")
        .expect("the table");
    let mut rows = rows.query([]).expect("its rows");
    let mut bytes = 0;
    while let Some(row) = rows.next().expect("a row") {
        for column in 0..14 {
            bytes += match row.get_ref(column) {
                Ok(ValueRef::Text(text)) => text.len(),
                _ => 8,
            };
        }
    }
    bytes
}
