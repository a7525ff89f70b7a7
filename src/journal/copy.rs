//! Copies of the journal: an online backup, and an export that a person can check by hand.

use std::io::Write;
use std::path::Path;
use std::time::Duration;

use rusqlite::OpenFlags;
use rusqlite::backup::{Backup, StepResult};

use crate::files::{Aside, Present, Readers};

use super::error::JournalError;
use super::open::{self, Access};
use super::row::NO_PREVIOUS;
use super::sqlite::{PATIENCE, SqliteStore, connect, told};
use super::store::{BadColumn, Store, Which};
use super::verify::{Verified, verify};

/// What an export holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exported {
    /// How many lines.
    pub entries: u64,
    /// The hash of the last line; `None` when there is none.
    pub last_hash: Option<String>,
}

/// Writes every row as its line. The `prev` of a line is the hash kept with the row before.
pub(super) fn export(store: &dyn Store, out: &mut dyn Write) -> Result<Exported, JournalError> {
    let mut entries = 0;
    let mut last_hash: Option<String> = None;
    store.scan(Which::After(i64::MIN), &mut |scanned| {
        let row = scanned.map_err(BadColumn::into_error)?;
        let prev = last_hash.as_deref().unwrap_or(NO_PREVIOUS);
        writeln!(out, "{}", row.line(prev)).map_err(|error| output(&error))?;
        entries += 1;
        last_hash = Some(row.hash);
        Ok(())
    })?;
    out.flush().map_err(|error| output(&error))?;
    Ok(Exported { entries, last_hash })
}

fn output(error: &std::io::Error) -> JournalError {
    JournalError::Output {
        kind: error.kind(),
        why: error.to_string(),
    }
}

/// Copies the journal while it is in use, and checks the copy. Others may go on writing; what they
/// add after the beginning is not in the copy.
pub(super) fn backup(from: &Path, to: &Path) -> Result<Verified, JournalError> {
    let source = open::open(from, Access::Read)?;
    let aside = Aside::beside(to, Readers::Owner)?;
    let meanwhile = aside.meanwhile().to_owned();
    let copied = copy_into(&source, aside, to);
    if copied.is_err() {
        clear_beside(&meanwhile);
    }
    copied
}

/// Removes what the database leaves beside a copy that was given up. Nothing more can be done when
/// that fails; it harms nothing.
fn clear_beside(copy: &Path) {
    for ending in ["-wal", "-shm", "-journal"] {
        let mut name = copy.as_os_str().to_owned();
        name.push(ending);
        drop(std::fs::remove_file(Path::new(&name)));
    }
}

fn copy_into(source: &SqliteStore, aside: Aside, to: &Path) -> Result<Verified, JournalError> {
    let fail = |error: rusqlite::Error| told(to, &error);
    let mut copy = connect(aside.meanwhile(), OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(fail)?;
    copy_pages(source, &mut copy, to)?;
    // One file without a log beside it, so that it can be carried away as it is.
    copy.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))
        .map_err(fail)?;
    let copy = SqliteStore {
        connection: copy,
        path: to.to_owned(),
        writes: false,
    };
    let verified = verify(&copy, &mut |_| ())?;
    copy.connection
        .close()
        .map_err(|(_, error)| told(to, &error))?;
    aside.put_in_place(Present::Keep)?;
    Ok(verified)
}

fn copy_pages(
    source: &SqliteStore,
    copy: &mut rusqlite::Connection,
    to: &Path,
) -> Result<(), JournalError> {
    let fail = |error: rusqlite::Error| told(to, &error);
    let work = Backup::new(&source.connection, copy).map_err(fail)?;
    // All pages in one step: in small steps it would begin again with every entry added meanwhile.
    for _ in 0..50 * PATIENCE {
        match work.step(-1).map_err(fail)? {
            StepResult::Done => return Ok(()),
            _ => std::thread::sleep(Duration::from_millis(20)),
        }
    }
    Err(JournalError::Busy {
        path: source.path.clone(),
        seconds: PATIENCE,
    })
}
