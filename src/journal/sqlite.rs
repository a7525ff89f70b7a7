//! The journal in one SQLite file.
//!
//! Two processes may use it at once: each addition is one transaction that takes the right to write
//! before it reads, and waits for it if need be. Write-ahead logging with full flushing: when an
//! addition returns, it is on the disk.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::types::ValueRef;
use rusqlite::{
    Connection, OptionalExtension, ToSql, Transaction, TransactionBehavior, params_from_iter,
};

use super::charted;
use super::error::JournalError;
use super::row::Row;
use super::schema;
use super::store::{BadColumn, Decide, Scanned, Slim, Store, Visit, VisitSlim, Which};
use super::text_hash::TextHash;

/// How long to wait for another process before giving up, in seconds (our judgement: an addition
/// takes milliseconds, so five seconds mean that something is stuck).
pub(super) const PATIENCE: u64 = 5;

const COLUMNS: [&str; 14] = [
    "seq",
    "id",
    "drain",
    "walk",
    "session",
    "kind",
    "state",
    "seen_at",
    "written_at",
    "by_initials",
    "by_role",
    "rehearsal",
    "body",
    "hash",
];

/// An open file.
#[derive(Debug)]
pub(super) struct SqliteStore {
    pub(super) connection: Connection,
    pub(super) path: PathBuf,
    pub(super) writes: bool,
}

/// Turns an error of SQLite into one that names the file and says what to do.
pub(super) fn told(path: &Path, error: &rusqlite::Error) -> JournalError {
    use rusqlite::ErrorCode as Code;
    let path = path.to_owned();
    let why = error.to_string();
    let extended = error.sqlite_error().map(|error| error.extended_code);
    match error.sqlite_error_code() {
        // The file beside a journal that its readers share could not be made large enough.
        _ if extended == Some(rusqlite::ffi::SQLITE_IOERR_SHMSIZE) => JournalError::Full { path },
        Some(Code::DiskFull) => JournalError::Full { path },
        Some(Code::ReadOnly) => JournalError::ReadOnly { path },
        Some(Code::NotADatabase) => JournalError::NotAJournal {
            path,
            why: "it is not a database".to_owned(),
        },
        Some(Code::DatabaseCorrupt | Code::TypeMismatch) => JournalError::Damaged { path, why },
        Some(Code::DatabaseBusy | Code::DatabaseLocked | Code::FileLockingProtocolFailed) => {
            JournalError::Busy {
                path,
                seconds: PATIENCE,
            }
        }
        Some(Code::PermissionDenied) => JournalError::NotReadable { path },
        Some(Code::Unknown) if why.contains("no such") => JournalError::Damaged { path, why },
        _ => JournalError::Io { path, why },
    }
}

impl SqliteStore {
    pub(super) fn fail(&self, error: &rusqlite::Error) -> JournalError {
        told(&self.path, error)
    }

    fn query(
        &self,
        tail: &str,
        values: &[&dyn ToSql],
        visit: &mut Visit<'_>,
    ) -> Result<(), JournalError> {
        self.each(tail, values, &mut |row| visit(read_row(row)))
    }

    fn each(
        &self,
        tail: &str,
        values: &[&dyn ToSql],
        visit: &mut dyn FnMut(&rusqlite::Row<'_>) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        let fail = |error: rusqlite::Error| self.fail(&error);
        let sql = format!("SELECT {} FROM events {tail}", COLUMNS.join(", "));
        let mut statement = self.connection.prepare_cached(&sql).map_err(fail)?;
        let mut rows = statement
            .query(params_from_iter(values.iter()))
            .map_err(fail)?;
        while let Some(row) = rows.next().map_err(fail)? {
            visit(row)?;
        }
        Ok(())
    }

    fn one(&self, tail: &str, values: &[&dyn ToSql]) -> Result<Option<Row>, JournalError> {
        let mut found = None;
        self.query(tail, values, &mut |scanned| {
            found = Some(scanned.map_err(BadColumn::into_error)?);
            Ok(())
        })?;
        Ok(found)
    }
}

/// Reads a row column by column, so that a wrong one is named.
fn read_row(row: &rusqlite::Row<'_>) -> Scanned {
    let bad = |seq, column| BadColumn { seq, column };
    let seq = match row.get_ref(0) {
        Ok(ValueRef::Integer(seq)) => seq,
        _ => return Err(bad(None, COLUMNS[0])),
    };
    let optional = |index: usize| match row.get_ref(index) {
        Ok(ValueRef::Null) => Ok(None),
        Ok(ValueRef::Text(bytes)) => std::str::from_utf8(bytes)
            .map(|text| Some(text.to_owned()))
            .map_err(|_| bad(Some(seq), COLUMNS[index])),
        _ => Err(bad(Some(seq), COLUMNS[index])),
    };
    let text = |index: usize| optional(index)?.ok_or_else(|| bad(Some(seq), COLUMNS[index]));
    let rehearsal = match row.get_ref(11) {
        Ok(ValueRef::Integer(0)) => false,
        Ok(ValueRef::Integer(1)) => true,
        _ => return Err(bad(Some(seq), COLUMNS[11])),
    };
    Ok(Row {
        seq,
        id: text(1)?,
        drain: optional(2)?,
        walk: optional(3)?,
        session: text(4)?,
        kind: text(5)?,
        state: optional(6)?,
        seen_at: text(7)?,
        written_at: text(8)?,
        initials: text(9)?,
        role: text(10)?,
        rehearsal,
        body: text(12)?,
        hash: text(13)?,
    })
}

/// The place of the kind among the columns.
const KIND: usize = 5;

/// The text in a column; `None` when it holds something else.
fn text_at<'a>(row: &'a rusqlite::Row<'_>, index: usize) -> Option<&'a str> {
    match row.get_ref(index) {
        Ok(ValueRef::Text(bytes)) => std::str::from_utf8(bytes).ok(),
        _ => None,
    }
}

/// Reads what the chart needs of a row of that kind.
fn read_slim<'a>(row: &'a rusqlite::Row<'_>, kind: &'a str) -> Result<Slim<'a>, JournalError> {
    let bad = |seq, index: usize| {
        let column = COLUMNS.get(index).copied().unwrap_or_default();
        BadColumn { seq, column }.into_error()
    };
    let seq = match row.get_ref(0) {
        Ok(ValueRef::Integer(seq)) => seq,
        _ => return Err(bad(None, 0)),
    };
    let text = |index| text_at(row, index).ok_or_else(|| bad(Some(seq), index));
    Ok(Slim {
        seq,
        kind,
        seen_at: text(7)?,
        written_at: text(8)?,
        initials: text(9)?,
        role: text(10)?,
        body: text(12)?,
    })
}

/// The rows of a drain.
const OF_DRAIN: &str = "WHERE drain = ?1 ORDER BY seq";

/// The rows of its walks that are not its own.
const OF_ITS_WALKS: &str = "WHERE walk IN \
     (SELECT walk FROM events WHERE drain = ?1 AND walk IS NOT NULL) \
     AND drain IS NOT ?1 ORDER BY seq";

/// What follows the table in the question for these rows. Each finds its rows by an index; the one
/// for the facts of all drains is named, because the order asked for would lure SQLite away from it.
const fn tail(which: Which<'_>) -> &'static str {
    match which {
        Which::After(_) => "WHERE seq > ?1 ORDER BY seq",
        Which::Id(_) => "WHERE id = ?1 ORDER BY seq",
        Which::Hash(_) => "WHERE hash = ?1 ORDER BY seq",
        Which::Walk(_) => "WHERE walk = ?1 ORDER BY seq",
        Which::Drain(_) => {
            "WHERE drain = ?1 OR walk IN \
             (SELECT walk FROM events WHERE drain = ?1 AND walk IS NOT NULL) ORDER BY seq"
        }
        Which::DrainFacts(None) => {
            "INDEXED BY facts_of_drain \
             WHERE kind IN ('drain-opened', 'drain-changed', 'drain-closed') ORDER BY seq"
        }
        Which::DrainFacts(Some(_)) => {
            "WHERE kind IN ('drain-opened', 'drain-changed', 'drain-closed') AND drain = ?1 \
             ORDER BY seq"
        }
        Which::Begun => "WHERE kind = 'begun' ORDER BY seq",
        Which::BegunOpen => {
            "WHERE kind = 'begun' AND \
             (SELECT move.state FROM events AS move WHERE move.walk = events.walk \
             AND move.state IS NOT NULL ORDER BY move.seq DESC LIMIT 1) IS NOT 'over' ORDER BY seq"
        }
        Which::BegunOn(_) => {
            "INDEXED BY events_of_walk WHERE kind = 'begun' AND walk IN \
             (SELECT walk FROM events WHERE drain = ?1 AND walk IS NOT NULL) ORDER BY seq"
        }
        Which::BegunAt(_) => "WHERE kind = 'begun' ORDER BY seq LIMIT 1 OFFSET ?1 - 1",
        Which::Records => "WHERE kind = 'record-written' ORDER BY seq",
    }
}

const LAST: &str = "ORDER BY seq DESC LIMIT 1";

const LAST_MOVE: &str = "WHERE walk = ?1 AND state IS NOT NULL ORDER BY seq DESC LIMIT 1";

fn insert(connection: &Connection, row: &Row) -> rusqlite::Result<usize> {
    let sql = format!(
        "INSERT INTO events ({}) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14)",
        COLUMNS.join(", ")
    );
    connection.prepare_cached(&sql)?.execute(rusqlite::params![
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
}

impl Store for SqliteStore {
    fn scan(&self, which: Which<'_>, visit: &mut Visit<'_>) -> Result<(), JournalError> {
        let tail = tail(which);
        match which {
            Which::After(number) | Which::BegunAt(number) => self.query(tail, &[&number], visit),
            Which::Id(text)
            | Which::Hash(text)
            | Which::Walk(text)
            | Which::Drain(text)
            | Which::DrainFacts(Some(text))
            | Which::BegunOn(text) => self.query(tail, &[&text], visit),
            Which::DrainFacts(None) | Which::Begun | Which::BegunOpen | Which::Records => {
                self.query(tail, &[], visit)
            }
        }
    }

    fn scan_chart(
        &self,
        drain: &str,
        slim: &mut VisitSlim<'_>,
        other: &mut Visit<'_>,
    ) -> Result<(), JournalError> {
        // In the order of the index of drains, so that nothing is sorted.
        self.each(OF_DRAIN, &[&drain], &mut |row| match text_at(row, KIND) {
            Some(kind) if charted::is_charted(kind) => slim(read_slim(row, kind)?),
            _ => other(read_row(row)),
        })?;
        self.query(OF_ITS_WALKS, &[&drain], other)
    }

    fn last(&self) -> Result<Option<Row>, JournalError> {
        self.one(LAST, &[])
    }

    fn last_move(&self, walk: &str) -> Result<Option<Row>, JournalError> {
        self.one(LAST_MOVE, &[&walk])
    }

    fn begun_upto(&self, seq: i64) -> Result<i64, JournalError> {
        self.connection
            .prepare_cached("SELECT count(*) FROM events WHERE kind = 'begun' AND seq <= ?1")
            .and_then(|mut count| count.query_row([seq], |row| row.get(0)))
            .map_err(|error| self.fail(&error))
    }

    fn add(&mut self, decide: &mut Decide<'_>) -> Result<(), JournalError> {
        if !self.writes {
            return Err(JournalError::OpenedToRead {
                path: self.path.clone(),
            });
        }
        let fail = |error: rusqlite::Error| self.fail(&error);
        // Dropped without a commit, the transaction leaves nothing behind.
        let work = Transaction::new_unchecked(&self.connection, TransactionBehavior::Immediate)
            .map_err(fail)?;
        for row in decide(self)? {
            insert(&work, &row).map_err(fail)?;
        }
        work.commit().map_err(fail)
    }

    fn put_texts(&mut self, texts: &[(TextHash, &str)]) -> Result<(), JournalError> {
        if !self.writes {
            return Err(JournalError::OpenedToRead {
                path: self.path.clone(),
            });
        }
        // A text that can be read is on the disk, and is never removed.
        let mut missing = Vec::new();
        for text in texts {
            if !self.has_text(text.0.as_str())? {
                missing.push(text);
            }
        }
        if missing.is_empty() {
            return Ok(());
        }
        let fail = |error: rusqlite::Error| self.fail(&error);
        let work = Transaction::new_unchecked(&self.connection, TransactionBehavior::Immediate)
            .map_err(fail)?;
        for (hash, body) in missing {
            // Another process, or an equal text in this list, may have been quicker.
            if !self.has_text(hash.as_str())? {
                work.prepare_cached("INSERT INTO texts (hash, body) VALUES (?1, ?2)")
                    .and_then(|mut put| put.execute((hash.as_str(), body.as_bytes())))
                    .map_err(fail)?;
            }
        }
        work.commit().map_err(fail)
    }

    fn text(&self, hash: &str) -> Result<Option<Vec<u8>>, JournalError> {
        self.connection
            .prepare_cached("SELECT CAST(body AS BLOB) FROM texts WHERE hash = ?1")
            .and_then(|mut get| get.query_row([hash], |row| row.get(0)).optional())
            .map_err(|error| self.fail(&error))
    }

    fn text_hashes(&self) -> Result<Vec<String>, JournalError> {
        let hashes = || {
            self.connection
                .prepare("SELECT CAST(hash AS BLOB) FROM texts ORDER BY hash")?
                .query_map([], |row| row.get::<_, Vec<u8>>(0))?
                .map(|hash| Ok(String::from_utf8_lossy(&hash?).into_owned()))
                .collect::<rusqlite::Result<Vec<String>>>()
        };
        hashes().map_err(|error| self.fail(&error))
    }

    fn repeated_ids(&self, visit: &mut dyn FnMut(i64, String)) -> Result<(), JournalError> {
        self.neighbours_alike(visit)
            .map_err(|error| self.fail(&error))
    }

    fn own_faults(&self) -> Result<Vec<String>, JournalError> {
        let mut faults = self.integrity().map_err(|error| self.fail(&error))?;
        faults.extend(self.changed_things().map_err(|error| self.fail(&error))?);
        Ok(faults)
    }
}

impl SqliteStore {
    fn has_text(&self, hash: &str) -> Result<bool, JournalError> {
        self.connection
            .prepare_cached("SELECT 1 FROM texts WHERE hash = ?1")
            .and_then(|mut has| has.exists([hash]))
            .map_err(|error| self.fail(&error))
    }

    /// In the order of the identifiers those that are the same stand beside each other, so that none
    /// but the last has to be remembered. What cannot be read as text is told with its row.
    fn neighbours_alike(&self, visit: &mut dyn FnMut(i64, String)) -> rusqlite::Result<()> {
        let mut ordered = self
            .connection
            .prepare("SELECT seq, id FROM events WHERE typeof(id) = 'text' ORDER BY id, seq")?;
        let mut rows = ordered.query([])?;
        let mut last = Vec::new();
        while let Some(row) = rows.next()? {
            let id = row.get_ref(1)?.as_bytes()?;
            if id == last.as_slice() {
                visit(row.get(0)?, String::from_utf8_lossy(id).into_owned());
            }
            last.clear();
            last.extend_from_slice(id);
        }
        Ok(())
    }

    /// What SQLite itself finds wrong with the file.
    fn integrity(&self) -> rusqlite::Result<Vec<String>> {
        let found: rusqlite::Result<Vec<String>> = self
            .connection
            .prepare("PRAGMA integrity_check(20)")?
            .query_map([], |row| row.get(0))?
            .collect();
        Ok(found?.into_iter().filter(|line| line != "ok").collect())
    }

    /// Tables, indexes and triggers that are not as this version makes them.
    fn changed_things(&self) -> rusqlite::Result<Vec<String>> {
        let model = Connection::open_in_memory()?;
        schema::upgrade(&model)?;
        let wanted = schema::things(&model)?;
        let found = schema::things(&self.connection)?;
        let missing = wanted
            .iter()
            .filter(|thing| !found.contains(thing))
            .map(|(name, _)| format!("{name} was removed or changed"));
        let added = found
            .iter()
            .filter(|(name, _)| wanted.iter().all(|(other, _)| other != name))
            .map(|(name, _)| format!("{name} was added"));
        Ok(missing.chain(added).collect())
    }
}

/// Opens the connection and sets it up.
pub(super) fn connect(path: &Path, flags: rusqlite::OpenFlags) -> rusqlite::Result<Connection> {
    let connection = Connection::open_with_flags(path, flags)?;
    connection.busy_timeout(Duration::from_secs(PATIENCE))?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    Ok(connection)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_question_finds_its_rows_by_an_index() {
        let connection = Connection::open_in_memory().unwrap();
        schema::upgrade(&connection).unwrap();
        let tails = [
            Which::After(0),
            Which::Id(""),
            Which::Hash(""),
            Which::Walk(""),
            Which::Drain(""),
            Which::DrainFacts(None),
            Which::DrainFacts(Some("")),
            Which::Begun,
            Which::BegunOpen,
            Which::BegunOn(""),
            Which::BegunAt(1),
        ]
        .map(tail);
        for tail in tails.into_iter().chain([LAST_MOVE, OF_DRAIN, OF_ITS_WALKS]) {
            let sql = format!("EXPLAIN QUERY PLAN SELECT * FROM events {tail}");
            let mut statement = connection.prepare(&sql).unwrap();
            let values = vec![""; statement.parameter_count()];
            let plan: Vec<String> = statement
                .query_map(params_from_iter(values), |row| row.get(3))
                .unwrap()
                .map(Result::unwrap)
                .collect();
            let whole = plan.iter().find(|step| *step == "SCAN events");
            assert_eq!(whole, None, "{tail}: {plan:?}");
        }
    }
}
