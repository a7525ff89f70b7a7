//! Looking back over years of walks that are over, beside a plain scan of the same table.
//!
//! `TUBESIDE_WALKS` sets how many walks the journal holds; 100,000 are ten years of a busy unit.

use std::hint::black_box;
use std::path::Path;
use std::process::{Command, Stdio};

use rusqlite::Connection;
use tubeside::journal::{Access, Journal, NewEntry, SessionId, Shelf, WalkId, WalkState, What};

use crate::common::{Mark, Row, folder, in_turn, row};
use crate::made;
use crate::scan::plain_scan;

const WALKS: usize = 2_000;
const EVENTS_EACH: usize = 50;

/// The review of all of it, as the program prints it.
pub fn rows() -> Vec<Row> {
    let walks = std::env::var("TUBESIDE_WALKS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(WALKS);
    let folder = folder();
    let path = folder.path().join("journal.db");
    fill(&path, walks);
    let bare = Connection::open(&path).expect("the same file");
    let measured = |what: String, words: &[&str]| {
        let (ours, theirs) = in_turn(
            3,
            || ((), ()),
            |()| run(&path, words),
            |()| {
                black_box(plain_scan(&bare));
            },
        );
        let yardstick = format!("a plain scan of its {} rows", walks * EVENTS_EACH);
        row(&what, &ours, &yardstick, &theirs, Mark::None)
    };
    vec![
        measured(format!("review of {walks} walks"), &["review"]),
        measured(format!("verify of {walks} walks"), &["journal", "verify"]),
    ]
}

fn run(journal: &Path, words: &[&str]) {
    let done = Command::new(env!("CARGO_BIN_EXE_tubeside"))
        .args(words)
        .arg("--journal")
        .arg(journal)
        .stdout(Stdio::null())
        .status()
        .expect("it runs");
    assert!(done.success());
}

/// Writes the journal in stretches, so that making it needs little memory too.
fn fill(path: &Path, walks: usize) {
    let shelf = made::shelf(&made::long_list(EVENTS_EACH * 2));
    let library = made::library(&shelf);
    let (events, _) = made::long_walk(&library, EVENTS_EACH);
    let mut journal = Journal::open(path, Access::Write).expect("a fresh journal");
    let mut files = Shelf::default();
    for (name, bytes) in shelf.library_files() {
        let hash = journal
            .put_text(&String::from_utf8_lossy(bytes))
            .expect("a text");
        files.files.insert(name.to_owned(), hash);
    }
    drop(journal);
    let mut memory = Journal::in_memory();
    for _ in 0..walks {
        let now = made::begin();
        let (walk, session) = (WalkId::new(now), SessionId::new(now));
        for (index, event) in events.iter().enumerate() {
            let state = if index + 1 == events.len() {
                WalkState::Over
            } else {
                WalkState::Going
            };
            let mut what = made::what(event);
            if let What::Begun { shelf, .. } = &mut what {
                shelf.clone_from(&files);
            }
            let new: NewEntry = made::entry(walk, state, session, event.written, what);
            memory.append(&new).expect("an entry");
        }
    }
    made::write(path, &memory.entries_after(0).expect("entries"));
}
