//! The tables of the journal file, and how older files come to the newest form.
//!
//! The list is only ever added to. A step that has been released is never edited, and no step
//! drops or renames a column, because its rows are in the chain. Each step runs in a transaction
//! of its own, together with the version it leads to.

use rusqlite::{Connection, Transaction, TransactionBehavior};

/// Marks the file as a journal of this program ("TbSd").
pub(super) const APPLICATION_ID: i64 = 0x5462_5364;

/// The steps in order; the form after the first is version 1.
const STEPS: &[&str] = &[VERSION_1];

/// The newest form known here.
pub(super) const NEWEST: i64 = STEPS.len() as i64;

/// Entries and texts, and the triggers that let them only be added to.
const VERSION_1: &str = "
CREATE TABLE events (
    seq INTEGER PRIMARY KEY NOT NULL,
    id TEXT NOT NULL UNIQUE,
    drain TEXT,
    walk TEXT,
    session TEXT NOT NULL,
    kind TEXT NOT NULL,
    state TEXT,
    seen_at TEXT NOT NULL,
    written_at TEXT NOT NULL,
    by_initials TEXT NOT NULL,
    by_role TEXT NOT NULL,
    rehearsal INTEGER NOT NULL CHECK (rehearsal IN (0, 1)),
    body TEXT NOT NULL,
    hash TEXT NOT NULL
) STRICT;

CREATE TABLE texts (
    hash TEXT PRIMARY KEY NOT NULL,
    body BLOB NOT NULL
) STRICT;

CREATE INDEX events_of_walk ON events (walk, seq) WHERE walk IS NOT NULL;
CREATE INDEX events_of_drain ON events (drain, seq) WHERE drain IS NOT NULL;
CREATE INDEX moves_of_walk ON events (walk, seq) WHERE state IS NOT NULL;
CREATE INDEX facts_of_drain ON events (drain, seq)
    WHERE kind IN ('drain-opened', 'drain-changed', 'drain-closed');
CREATE INDEX walks_begun ON events (seq) WHERE kind = 'begun';
CREATE INDEX events_by_hash ON events (hash);

CREATE TRIGGER events_are_not_changed BEFORE UPDATE ON events
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER events_are_not_removed BEFORE DELETE ON events
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER events_come_in_order BEFORE INSERT ON events
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM events)
    OR EXISTS (SELECT 1 FROM events WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER texts_are_not_changed BEFORE UPDATE ON texts
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER texts_are_not_removed BEFORE DELETE ON texts
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
CREATE TRIGGER texts_are_not_replaced BEFORE INSERT ON texts
WHEN EXISTS (SELECT 1 FROM texts WHERE hash = NEW.hash)
BEGIN SELECT RAISE(ABORT, 'the journal is only added to'); END;
";

/// What a file is, by its marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// There is nothing in it yet.
    Empty,
    /// A journal in this version.
    Version(i64),
    /// Something else.
    Other,
}

/// Finds out what the file is.
///
/// # Errors
/// When it cannot be read.
pub(super) fn form(connection: &Connection) -> rusqlite::Result<Form> {
    // In one transaction, or another process could make its tables between two of the questions.
    let look = Transaction::new_unchecked(connection, TransactionBehavior::Deferred)?;
    let things: i64 = look.query_row("SELECT count(*) FROM sqlite_master", [], |row| row.get(0))?;
    let mark: i64 = look.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let version: i64 = look.pragma_query_value(None, "user_version", |row| row.get(0))?;
    look.commit()?;
    Ok(match (mark, version, things) {
        (APPLICATION_ID, 1.., _) => Form::Version(version),
        (0 | APPLICATION_ID, 0, 0) => Form::Empty,
        _ => Form::Other,
    })
}

/// Brings the file to the newest form. Two processes may try at once; each step is done once.
///
/// # Errors
/// When the file cannot be written.
pub(super) fn upgrade(connection: &Connection) -> rusqlite::Result<()> {
    upgrade_to(connection, NEWEST)
}

fn upgrade_to(connection: &Connection, wanted: i64) -> rusqlite::Result<()> {
    for (version, step) in (1_i64..).zip(STEPS) {
        let work = Transaction::new_unchecked(connection, TransactionBehavior::Immediate)?;
        let now: i64 = work.pragma_query_value(None, "user_version", |row| row.get(0))?;
        if now < version && version <= wanted {
            work.execute_batch(step)?;
            work.pragma_update(None, "application_id", APPLICATION_ID)?;
            work.pragma_update(None, "user_version", version)?;
        }
        work.commit()?;
    }
    Ok(())
}

/// The name and text of everything that the newest form holds, for comparing.
///
/// # Errors
/// When it cannot be read.
pub(super) fn things(connection: &Connection) -> rusqlite::Result<Vec<(String, String)>> {
    connection
        .prepare("SELECT name, coalesce(sql, '') FROM sqlite_master ORDER BY name")?
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fresh() -> Connection {
        let connection = Connection::open_in_memory().unwrap();
        upgrade(&connection).unwrap();
        connection
    }

    fn insert(connection: &Connection, how: &str, seq: i64, id: &str) -> rusqlite::Result<usize> {
        connection.execute(
            &format!(
                "{how} INTO events VALUES (?1, ?2, NULL, NULL, 's', 'k', NULL, 't', 't', '', '', 0, '{{}}', 'h')"
            ),
            (seq, id),
        )
    }

    #[test]
    fn a_new_file_gets_its_marks_and_doing_it_again_changes_nothing() {
        let connection = Connection::open_in_memory().unwrap();
        assert_eq!(form(&connection).unwrap(), Form::Empty);
        upgrade(&connection).unwrap();
        let before = things(&connection).unwrap();
        upgrade(&connection).unwrap();
        assert_eq!(things(&connection).unwrap(), before);
        assert_eq!(form(&connection).unwrap(), Form::Version(NEWEST));
    }

    #[test]
    fn rows_can_only_be_added_at_the_end() {
        let connection = fresh();
        insert(&connection, "INSERT", 1, "a").unwrap();
        insert(&connection, "INSERT", 2, "b").unwrap();
        for (how, seq, id) in [
            ("INSERT", 4, "d"),
            ("INSERT", 0, "d"),
            ("INSERT", -1, "d"),
            ("INSERT OR REPLACE", 2, "d"),
            ("INSERT OR REPLACE", 3, "a"),
            ("INSERT OR IGNORE", 1, "d"),
            ("REPLACE", 1, "a"),
        ] {
            let error = insert(&connection, how, seq, id).unwrap_err().to_string();
            assert_eq!(error, "the journal is only added to", "{how} {seq} {id}");
        }
        for sql in [
            "UPDATE events SET body = '{}' WHERE seq = 1",
            "UPDATE events SET seq = 9 WHERE seq = 2",
            "DELETE FROM events",
            "DELETE FROM events WHERE seq = 2",
            "INSERT INTO events SELECT * FROM events WHERE seq = 1 ON CONFLICT DO UPDATE SET body = 'x'",
        ] {
            let error = connection.execute_batch(sql).unwrap_err().to_string();
            assert!(error.contains("only added to"), "{sql}: {error}");
        }
        let count: i64 = connection
            .query_row("SELECT count(*) FROM events", [], |row| row.get(0))
            .unwrap();
        assert_eq!(count, 2);
    }

    #[test]
    fn texts_can_only_be_added() {
        let connection = fresh();
        let put = "INSERT INTO texts VALUES ('h', x'61')";
        connection.execute_batch(put).unwrap();
        for sql in [
            put,
            "INSERT OR REPLACE INTO texts VALUES ('h', x'62')",
            "UPDATE texts SET body = x'62'",
            "DELETE FROM texts",
        ] {
            let error = connection.execute_batch(sql).unwrap_err().to_string();
            assert!(error.contains("only added to"), "{sql}: {error}");
        }
    }

    #[test]
    fn a_database_of_another_program_is_told_apart() {
        let connection = Connection::open_in_memory().unwrap();
        connection.execute_batch("CREATE TABLE t (a)").unwrap();
        assert_eq!(form(&connection).unwrap(), Form::Other);
        let connection = Connection::open_in_memory().unwrap();
        connection.pragma_update(None, "application_id", 7).unwrap();
        assert_eq!(form(&connection).unwrap(), Form::Other);
    }
}
