//! Bringing back a walk of 10,000 events, beside reading its rows from the same file.

use std::hint::black_box;

use rusqlite::Connection;
use tubeside::journal::{Access, Journal};
use tubeside::walk::Walk;

use crate::common::{Mark, Row, folder, in_turn, row};
use crate::made;
use crate::scan::plain_scan;

const EVENTS: usize = 10_000;

/// The replay alone, and with reading the events from the journal as `resume` does.
pub fn rows() -> Vec<Row> {
    let folder = folder();
    let library = made::library(&made::shelf(&made::long_list(12_000)));
    let (events, _) = made::long_walk(&library, EVENTS);
    let mut memory = Journal::in_memory();
    let walk = made::keep(&mut memory, &events, None);
    let path = folder.path().join("journal.db");
    made::write(&path, &memory.entries_after(0).expect("entries"));
    drop(memory);
    let journal = Journal::open(&path, Access::Read).expect("the journal");
    let bare = Connection::open(&path).expect("the same file");
    let scan = |()| {
        black_box(plain_scan(&bare));
    };
    let yardstick = "a plain scan of its 10,000 rows";

    let (alone, scanned) = in_turn(
        20,
        || ((), ()),
        |()| drop(black_box(Walk::replay(library.clone(), black_box(&events)))),
        scan,
    );
    let (read, scanned_too) = in_turn(
        20,
        || ((), ()),
        |()| {
            let events = journal.walk_events(&walk).expect("its events");
            assert_eq!(events.len(), EVENTS, "every event is read");
            drop(black_box(Walk::replay(library.clone(), &events)).expect("a walk"));
        },
        scan,
    );
    vec![
        row(
            "replay a walk of 10,000 events",
            &alone,
            yardstick,
            &scanned,
            Mark::Millis(50.0),
        ),
        row(
            "read a walk of 10,000 events from the journal and replay it",
            &read,
            yardstick,
            &scanned_too,
            Mark::Millis(50.0),
        ),
    ]
}
