//! The journal as a file: who may read it, what is refused, what changes are found, two at once.

use std::fs;
use std::path::{Path, PathBuf};

use proptest::proptest;
use rusqlite::Connection;
use rusqlite::types::Value;

use super::behaviour::{Window, all, answered, at, begun, note, side};
use super::sqlite::SqliteStore;
use super::verify::verify;
use super::{
    Access, DrainId, FaultKind, Held, Journal, JournalError, NewEntry, Shelf, TextHash, WalkId,
    WalkState, What,
};

fn folder() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("data/journal.db");
    (folder, path)
}

fn write(path: &Path) -> Journal {
    Journal::open(path, Access::Write).unwrap()
}

fn refusal(path: &Path, access: Access) -> JournalError {
    match Journal::open(path, access) {
        Ok(_) => panic!("{} was opened", path.display()),
        Err(error) => error,
    }
}

/// A walk on a drain, with every sort of column filled: eight entries and two texts.
fn filled(path: &Path) -> Vec<String> {
    let mut journal = write(path);
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    let drain = DrainId::new(at(0));
    let hash = journal.put_text("checklist: no-swing\n").unwrap();
    journal.put_text("limits: {}\n").unwrap();
    let shelf = Shelf {
        files: [("no-swing.yaml".to_owned(), hash)].into(),
        approval: "not approved".to_owned(),
    };
    let list = crate::names::ListName::new("no-swing").unwrap();
    let begin = What::Begun {
        list,
        facts: side("left"),
        paper: None,
        shelf,
    };
    let mut news = vec![
        window.entry(
            0,
            What::DrainOpened {
                facts: side("left"),
            },
        ),
        window.on(1, walk, begin),
        window.on(2, walk, answered("tubing")),
        window.on(3, walk, note("é \" \\ \n")),
        window.on(4, walk, answered("seal")),
        window.entry(
            5,
            What::DrainNote {
                text: "x".to_owned(),
            },
        ),
    ];
    for new in &mut news {
        new.drain = Some(drain);
    }
    let hashes: Vec<String> = news
        .iter()
        .map(|new| journal.append(new).unwrap().hash)
        .collect();
    assert_eq!(journal.verify().unwrap().faults, []);
    hashes
}

/// A store without the triggers, as somebody has who wants to change what is kept.
fn meddler(path: &Path) -> SqliteStore {
    let connection = Connection::open(path).unwrap();
    let names: Vec<String> = connection
        .prepare("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert_eq!(names.len(), 6);
    for name in names {
        connection
            .execute_batch(&format!("DROP TRIGGER {name}"))
            .unwrap();
    }
    connection
        .pragma_update(None, "ignore_check_constraints", true)
        .unwrap();
    SqliteStore {
        connection,
        path: path.to_owned(),
        writes: false,
    }
}

/// What is wrong with the entries; what is wrong with the file itself is left out.
fn faults(store: &SqliteStore) -> Vec<(i64, FaultKind)> {
    let faults = verify(store, &mut |_| ()).unwrap().faults;
    faults
        .into_iter()
        .filter_map(|fault| Some((fault.seq?, fault.what)))
        .collect()
}

/// What is found after these statements, which are then taken back. `None` when the database
/// itself refuses them even without its triggers.
fn found_after(
    store: &SqliteStore,
    meddle: impl Fn(&Connection) -> rusqlite::Result<()>,
) -> Option<Vec<(i64, FaultKind)>> {
    store
        .connection
        .execute_batch("SAVEPOINT meddling")
        .unwrap();
    let found = meddle(&store.connection).ok().map(|()| faults(store));
    store
        .connection
        .execute_batch("ROLLBACK TO meddling; RELEASE meddling")
        .unwrap();
    found
}

#[test]
fn a_file_behaves_as_every_store() {
    let folder = tempfile::tempdir().unwrap();
    let count = std::cell::Cell::new(0);
    all(&|| {
        count.set(count.get() + 1);
        write(&folder.path().join(format!("{}.db", count.get())))
    });
    assert!(count.get() > 10);
}

#[test]
fn what_was_written_is_there_when_it_is_opened_again() {
    let (_folder, path) = folder();
    let hashes = filled(&path);
    for access in [Access::Read, Access::Write, Access::Read] {
        let journal = Journal::open(&path, access).unwrap();
        assert_eq!(journal.path(), Some(path.as_path()));
        assert_eq!(journal.doubt(), None);
        let found: Vec<String> = journal
            .entries_after(0)
            .unwrap()
            .into_iter()
            .map(|entry| entry.hash)
            .collect();
        assert_eq!(found, hashes);
        assert_eq!(journal.open_walks().unwrap().len(), 1);
    }
}

#[cfg(unix)]
#[test]
fn only_the_owner_can_read_any_of_it() {
    use std::os::unix::fs::PermissionsExt;
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let (_folder, path) = folder();
    let mut journal = write(&path);
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    journal.append(&window.on(0, walk, begun())).unwrap();
    let _hold = journal
        .hold(Held::Walk(walk), window.session, &window.by, at(0))
        .unwrap();
    let mut seen = Vec::new();
    for entry in fs::read_dir(path.parent().unwrap()).unwrap() {
        let entry = entry.unwrap().path();
        let expected = if entry.is_dir() { 0o700 } else { 0o600 };
        assert_eq!(mode(&entry), expected, "{}", entry.display());
        seen.push(entry.file_name().unwrap().to_str().unwrap().to_owned());
    }
    seen.sort();
    let expected = [
        "journal.db",
        "journal.db-shm",
        "journal.db-wal",
        "journal.db.holds",
    ];
    assert_eq!(seen, expected);
    assert_eq!(mode(path.parent().unwrap()), 0o700);
    drop(journal);
    fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).unwrap();
    drop(write(&path));
    assert_eq!(mode(&path), 0o600, "taken back when it is opened to write");
}

#[test]
fn each_thing_that_is_no_journal_is_told_apart_and_left_alone() {
    let (folder, missing) = folder();
    assert!(matches!(
        refusal(&missing, Access::Read),
        JournalError::Missing { .. }
    ));
    assert!(!missing.exists());
    for access in [Access::Read, Access::Write] {
        assert!(matches!(
            refusal(folder.path(), access),
            JournalError::IsFolder { .. }
        ));
    }
    for (name, bytes) in [
        ("a.txt", &b"hello"[..]),
        ("b.txt", &[b'x'; 5_000]),
        ("c.txt", b"SQLite"),
    ] {
        let path = folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        for access in [Access::Read, Access::Write] {
            let error = refusal(&path, access);
            assert!(
                matches!(error, JournalError::NotAJournal { .. }),
                "{name}: {error:?}"
            );
        }
        assert_eq!(fs::read(&path).unwrap(), bytes);
    }
    let other = folder.path().join("other.db");
    Connection::open(&other)
        .unwrap()
        .execute_batch("CREATE TABLE t (a)")
        .unwrap();
    let before = fs::read(&other).unwrap();
    let error = refusal(&other, Access::Write);
    assert!(
        error.to_string().contains("a database of another program"),
        "{error}"
    );
    assert_eq!(fs::read(&other).unwrap(), before);
    let empty = folder.path().join("empty");
    fs::write(&empty, "").unwrap();
    assert!(matches!(
        refusal(&empty, Access::Read),
        JournalError::NotAJournal { .. }
    ));
    assert_eq!(
        write(&empty).entries_after(0).unwrap(),
        [],
        "an empty file can become one"
    );
    let below_a_file = folder.path().join("a.txt/journal.db");
    assert!(matches!(
        refusal(&below_a_file, Access::Write),
        JournalError::NoFolder { .. }
    ));
    #[cfg(target_os = "linux")]
    assert!(matches!(
        refusal(Path::new("/dev/null"), Access::Write),
        JournalError::NotAJournal { .. }
    ));
}

#[test]
fn a_newer_form_is_refused_and_left_as_it_is() {
    let (_folder, path) = folder();
    drop(write(&path));
    let connection = Connection::open(&path).unwrap();
    connection.pragma_update(None, "user_version", 2).unwrap();
    drop(connection);
    for access in [Access::Read, Access::Write] {
        let error = refusal(&path, access);
        assert_eq!(
            error,
            JournalError::Newer {
                path: path.clone(),
                found: 2,
                known: 1
            }
        );
        assert!(
            error.to_string().contains("use the newer version"),
            "{error}"
        );
    }
}

#[test]
fn damage_is_told_apart_from_another_kind_of_file() {
    let (_folder, path) = folder();
    filled(&path);
    let good = fs::read(&path).unwrap();
    // The size of the pages, at byte 16 of the header, becomes impossible.
    let mut bad = good.clone();
    bad[16..18].copy_from_slice(&[0, 3]);
    fs::write(&path, &bad).unwrap();
    let error = refusal(&path, Access::Write);
    assert!(matches!(error, JournalError::Damaged { .. }), "{error:?}");
    // Half of the file is gone.
    fs::write(&path, &good[..good.len() / 2]).unwrap();
    match Journal::open(&path, Access::Read) {
        Err(error) => assert!(matches!(error, JournalError::Damaged { .. }), "{error:?}"),
        Ok(journal) => match journal.verify() {
            Err(error) => assert!(matches!(error, JournalError::Damaged { .. }), "{error:?}"),
            Ok(verified) => assert_ne!(verified.faults, []),
        },
    }
}

#[test]
fn what_cannot_be_written_says_so_and_nothing_is_added() {
    let (_folder, path) = folder();
    filled(&path);
    let window = Window::of("CD");
    let new = window.on(9, WalkId::new(at(9)), begun());
    let mut reader = Journal::open(&path, Access::Read).unwrap();
    let error = reader.append(&new).unwrap_err();
    assert!(
        matches!(error, JournalError::OpenedToRead { .. }),
        "{error:?}"
    );
    let error = reader.put_text("x").unwrap_err();
    assert!(
        matches!(error, JournalError::OpenedToRead { .. }),
        "{error:?}"
    );
    let fresh = || super::open::open(&path, Access::Write).unwrap();
    for (pragma, full) in [("query_only = 1", false), ("max_page_count = 1", true)] {
        let store = fresh();
        store
            .connection
            .execute_batch(&format!("PRAGMA {pragma}"))
            .unwrap();
        let mut journal = Journal {
            store: Box::new(store),
            path: Some(path.clone()),
            doubt: None,
        };
        let mut new = new.clone();
        new.by.role = "x".repeat(1_000_000);
        let error = journal.append(&new).unwrap_err();
        match (&error, full) {
            (JournalError::Full { .. }, true) | (JournalError::ReadOnly { .. }, false) => {}
            _ => panic!("{pragma}: {error:?}"),
        }
        assert_eq!(journal.entries_after(0).unwrap().len(), 6);
        assert_eq!(journal.verify().unwrap().faults, []);
    }
}

#[cfg(unix)]
#[test]
fn permissions_that_forbid_it_are_named() {
    use std::os::unix::fs::PermissionsExt;
    let (_folder, path) = folder();
    filled(&path);
    let set = |mode| fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
    set(0o400);
    let writable = fs::OpenOptions::new().write(true).open(&path).is_ok();
    let result = Journal::open(&path, Access::Write);
    // The administrator may write whatever the permissions say.
    match (result, writable) {
        (Ok(_), true) | (Err(JournalError::ReadOnly { .. }), false) => {}
        (result, _) => panic!("{:?}", result.err()),
    }
    set(0o000);
    let readable = fs::File::open(&path).is_ok();
    match (Journal::open(&path, Access::Read), readable) {
        (Ok(_), true) | (Err(JournalError::NotReadable { .. }), false) => {}
        (result, _) => panic!("{:?}", result.err()),
    }
}

#[test]
fn a_writer_that_waits_in_vain_is_told() {
    let (_folder, path) = folder();
    filled(&path);
    let other = Connection::open(&path).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let store = super::open::open(&path, Access::Write).unwrap();
    store
        .connection
        .busy_timeout(std::time::Duration::from_millis(50))
        .unwrap();
    let mut journal = Journal {
        store: Box::new(store),
        path: Some(path),
        doubt: None,
    };
    let new = Window::of("AB").on(9, WalkId::new(at(9)), begun());
    let error = journal.append(&new).unwrap_err();
    assert!(matches!(error, JournalError::Busy { .. }), "{error:?}");
    assert_eq!(
        journal.entries_after(0).unwrap().len(),
        6,
        "reading goes on meanwhile"
    );
    other.execute_batch("ROLLBACK").unwrap();
    journal.append(&new).unwrap();
}

/// Another value of the same column: one byte changed, or another type.
fn changes(value: &Value) -> Vec<Value> {
    match value {
        Value::Null => vec![Value::Text(String::new()), Value::Text("null".to_owned())],
        Value::Integer(number) => vec![
            Value::Integer(number + 1),
            Value::Integer(number + 7),
            Value::Integer(-number - 1),
        ],
        Value::Text(text) => {
            let mut changed: Vec<Value> = (0..text.len())
                .filter(|at| text.is_char_boundary(*at))
                .flat_map(|at| ['é', '0', '1'].map(|c| (at, c)))
                .filter(|(at, c)| !text[*at..].starts_with(*c))
                .map(|(at, c)| {
                    let end = (at + 1..=text.len()).find(|end| text.is_char_boundary(*end));
                    Value::Text(format!("{}{c}{}", &text[..at], &text[end.unwrap_or(at)..]))
                })
                .collect();
            changed.push(Value::Text(format!("{text} ")));
            if !text.is_empty() {
                changed.push(Value::Text(String::new()));
            }
            changed
        }
        other => panic!("{other:?}"),
    }
}

/// The places at which a fault may be found first when a row is given another place.
fn moved(seq: i64, to: i64) -> [i64; 3] {
    [seq, seq + 1, to]
}

#[test]
fn every_byte_of_every_column_is_watched() {
    let (_folder, path) = folder();
    filled(&path);
    let store = meddler(&path);
    let columns = [
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
    let mut tried = 0;
    for (seq, column) in (1_i64..=6).flat_map(|seq| columns.map(|column| (seq, column))) {
        let get = format!("SELECT {column} FROM events WHERE seq = ?1");
        let good: Value = store
            .connection
            .query_row(&get, [seq], |row| row.get(0))
            .unwrap();
        // Every change of one row in the middle; of the others a part.
        let some = changes(&good)
            .into_iter()
            .step_by(if seq == 3 { 1 } else { 13 });
        for bad in some {
            let found = found_after(&store, |connection| {
                let set = format!("UPDATE events SET {column} = ?1 WHERE seq = ?2");
                connection.execute(&set, (&bad, seq)).map(drop)
            });
            let Some(found) = found else { continue };
            tried += 1;
            let first = found
                .first()
                .unwrap_or_else(|| panic!("{seq} {column} {bad:?}"))
                .0;
            match bad {
                Value::Integer(to) if column == "seq" => {
                    assert!(moved(seq, to).contains(&first), "{seq} {to}: {found:?}");
                }
                _ => assert_eq!(first, seq, "{column} {bad:?}: {found:?}"),
            }
        }
    }
    assert!(tried > 1_000, "{tried}");
    assert_eq!(faults(&store), [], "all is as it was");
}

#[test]
fn rows_taken_out_put_in_or_moved_are_found() {
    let (_folder, path) = folder();
    filled(&path);
    let store = meddler(&path);
    let copy = "INSERT INTO events SELECT {seq}, id || 'x', drain, walk, session, kind, state, \
        seen_at, written_at, by_initials, by_role, rehearsal, body, hash FROM events WHERE seq = 2";
    let all_later = "UPDATE events SET seq = -seq WHERE seq >= 3; UPDATE events SET seq = 1 - seq WHERE seq < 0;";
    let swap = |a: i64, b: i64| {
        format!(
            "UPDATE events SET seq = -1 WHERE seq = {a}; UPDATE events SET seq = {a} WHERE seq = {b}; \
             UPDATE events SET seq = {b} WHERE seq = -1"
        )
    };
    for (sql, first) in [
        ("DELETE FROM events WHERE seq = 1".to_owned(), 2),
        ("DELETE FROM events WHERE seq = 3".to_owned(), 4),
        ("DELETE FROM events WHERE seq IN (2, 3)".to_owned(), 4),
        (
            "DELETE FROM events WHERE seq = 3; UPDATE events SET seq = seq - 1 WHERE seq > 3"
                .to_owned(),
            3,
        ),
        (swap(2, 3), 2),
        (swap(1, 6), 1),
        (swap(5, 6), 5),
        (copy.replace("{seq}", "7"), 7),
        (copy.replace("{seq}", "0"), 0),
        (format!("{all_later} {}", copy.replace("{seq}", "3")), 3),
        (copy.replace("{seq}", "9"), 9),
    ] {
        let found = found_after(&store, |connection| connection.execute_batch(&sql));
        let found = found.unwrap_or_else(|| panic!("{sql}"));
        assert_eq!(
            found.first().map(|fault| fault.0),
            Some(first),
            "{sql}: {found:?}"
        );
    }
    let found = found_after(&store, |connection| {
        connection.execute_batch("DELETE FROM events WHERE seq > 4")
    });
    assert_eq!(
        found,
        Some(vec![]),
        "what is cut off at the end only a kept hash can show"
    );
}

#[test]
fn a_row_changed_with_a_new_hash_is_found_at_the_next() {
    let (_folder, path) = folder();
    filled(&path);
    let store = meddler(&path);
    let found = found_after(&store, |connection| {
        let rows = super::store::rows(&store, super::store::Which::After(0)).unwrap();
        let mut row = rows[2].clone();
        row.initials = "ZZ".to_owned();
        let hash = row.hash_after(&rows[1].hash);
        let set = "UPDATE events SET by_initials = 'ZZ', hash = ?1 WHERE seq = 3";
        connection.execute(set, [hash.as_str()]).map(drop)
    });
    let found = found.unwrap();
    assert_eq!(found.len(), 1);
    assert!(matches!(found[0], (4, FaultKind::Hash { .. })), "{found:?}");
}

#[test]
fn of_very_many_faults_the_first_are_told_and_the_others_counted() {
    let (_folder, path) = folder();
    filled(&path);
    let store = meddler(&path);
    let rows = super::store::rows(&store, super::store::Which::After(0)).unwrap();
    // The same row again and again: of each its hash does not fit, and its identifier was there.
    let again = 150;
    for seq in 1..=again {
        let sql = "INSERT INTO events SELECT ?1, id || ?2, drain, walk, session, kind, NULL, seen_at, \
             written_at, by_initials, by_role, rehearsal, body, hash FROM events WHERE seq = 1";
        let place = i64::try_from(rows.len()).unwrap() + seq;
        store.connection.execute(sql, (place, "")).unwrap_err();
        store.connection.execute(sql, (place, place)).unwrap();
    }
    let verified = verify(&store, &mut |_| ()).unwrap();
    let places: Vec<i64> = verified.faults.iter().filter_map(|one| one.seq).collect();
    assert_eq!(places.len(), super::verify::SHOWN);
    assert!(places.is_sorted());
    let first = i64::try_from(rows.len()).unwrap() + 1;
    assert_eq!(places.first(), Some(&first), "{places:?}");
    // Each has a hash that does not fit and an identifier that is none.
    let all = 2 * u64::try_from(again).unwrap();
    assert_eq!(places.len() as u64 + verified.more, all);
}

#[test]
fn changed_texts_and_lost_triggers_are_found() {
    let (_folder, path) = folder();
    filled(&path);
    let store = meddler(&path);
    let lost = verify(&store, &mut |_| ()).unwrap().faults;
    assert_eq!(lost.len(), 6, "each trigger that is gone: {lost:?}");
    assert!(lost.iter().all(|fault| fault.seq.is_none()));
    let hash = TextHash::of(b"checklist: no-swing\n");
    let set = "UPDATE texts SET body = x'00' WHERE hash = ?1";
    store.connection.execute(set, [hash.as_str()]).unwrap();
    let faults = verify(&store, &mut |_| ()).unwrap().faults;
    let changed = FaultKind::TextChanged(hash.to_string());
    assert!(
        faults.iter().any(|fault| fault.what == changed),
        "{faults:?}"
    );
    drop(store);
    let journal = Journal::open(&path, Access::Read).unwrap();
    let error = journal.text(&hash).unwrap_err();
    assert!(matches!(error, JournalError::Damaged { .. }), "{error:?}");
    drop(journal);
    let store = meddler_again(&path);
    store
        .connection
        .execute("DELETE FROM texts WHERE hash = ?1", [hash.as_str()])
        .unwrap();
    assert_eq!(faults_of_texts(&store), [(2, FaultKind::TextMissing(hash))]);
}

/// After the triggers are gone.
fn meddler_again(path: &Path) -> SqliteStore {
    SqliteStore {
        connection: Connection::open(path).unwrap(),
        path: path.to_owned(),
        writes: false,
    }
}

fn faults_of_texts(store: &SqliteStore) -> Vec<(i64, FaultKind)> {
    let mut faults = faults(store);
    faults.retain(|(_, what)| matches!(what, FaultKind::TextMissing(_)));
    faults
}

#[test]
fn a_doubtful_last_row_is_noticed_on_opening_and_writing_goes_on() {
    let (_folder, path) = folder();
    filled(&path);
    let store = meddler(&path);
    let set = "UPDATE events SET by_role = 'X' WHERE seq = 6";
    store.connection.execute_batch(set).unwrap();
    drop(store);
    let mut journal = write(&path);
    assert_eq!(journal.doubt().unwrap().seq, Some(6));
    assert!(
        journal
            .doubt()
            .unwrap()
            .to_string()
            .starts_with("entry 6: ")
    );
    let new = Window::of("AB").on(9, WalkId::new(at(9)), begun());
    assert_eq!(journal.append(&new).unwrap().seq, 7);
}

#[test]
fn what_a_newer_version_wrote_is_kept_and_stops_only_its_own_walk() {
    let (_folder, path) = folder();
    filled(&path);
    let store = meddler(&path);
    let rows = super::store::rows(&store, super::store::Which::After(0)).unwrap();
    // As a newer version would have written them.
    let mut prev = rows[2].hash.clone();
    for (row, kind) in rows[3..].iter().zip(["weighed", "answered", "drain-note"]) {
        let mut row = row.clone();
        row.kind = kind.to_owned();
        prev = row.hash_after(&prev).to_string();
        let set = "UPDATE events SET kind = ?1, hash = ?2 WHERE seq = ?3";
        store
            .connection
            .execute(set, (kind, &prev, row.seq))
            .unwrap();
    }
    assert_eq!(faults(&store), [], "an unknown kind is no fault");
    drop(store);
    let journal = Journal::open(&path, Access::Read).unwrap();
    let walk = journal.open_walks().unwrap().remove(0).walk;
    let entries = journal.walk_entries(&walk).unwrap();
    let unread = entries
        .iter()
        .find(|entry| matches!(entry.what, What::Unread { .. }));
    assert!(unread.unwrap().body.contains("\\n"), "{unread:?}");
    let error = journal.walk_events(&walk).unwrap_err();
    assert!(
        matches!(error, JournalError::NotReplayable { seq: 4, .. }),
        "{error:?}"
    );
    assert_eq!(journal.drains().unwrap().len(), 1);
}

#[test]
fn a_backup_is_whole_owner_only_and_replaces_nothing() {
    let (folder, path) = folder();
    let hashes = filled(&path);
    let mut journal = write(&path);
    let to = folder.path().join("backup.db");
    let verified = journal.backup(&to).unwrap();
    assert_eq!((verified.entries, verified.faults), (6, vec![]));
    assert_eq!(verified.last_hash.as_ref(), hashes.last());
    let new = Window::of("AB").on(9, WalkId::new(at(9)), begun());
    journal.append(&new).unwrap();
    assert_eq!(
        journal.verify().unwrap().faults,
        [],
        "the journal itself is untouched"
    );
    let names: Vec<_> = fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(
        names.len(),
        2,
        "nothing but the folder and the copy: {names:?}"
    );
    let error = journal.backup(&to).unwrap_err();
    let there = error.to_string();
    assert!(there.contains("it is there already"), "{there}");
    assert!(
        journal
            .backup(&folder.path().join("no/such/backup.db"))
            .is_err()
    );
    assert!(matches!(
        journal.backup(&path),
        Err(JournalError::NotWritten(_))
    ));
    let copy = Journal::open(&to, Access::Read).unwrap();
    assert_eq!(copy.last_hash().unwrap().as_ref(), hashes.last());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        assert_eq!(
            fs::metadata(&to).unwrap().permissions().mode() & 0o777,
            0o600
        );
    }
}

#[test]
fn two_windows_write_at_once_and_the_chain_holds() {
    let (_folder, path) = folder();
    // Both make the file, too.
    std::thread::scope(|scope| {
        for initials in ["AB", "CD", "EF"] {
            let path = &path;
            scope.spawn(move || {
                let mut journal = write(path);
                let window = Window::of(initials);
                let walk = WalkId::new(at(0));
                journal.append(&window.on(0, walk, begun())).unwrap();
                for _ in 0..40 {
                    journal.append(&window.on(0, walk, note(initials))).unwrap();
                    journal.put_text("the same text").unwrap();
                }
            });
        }
    });
    let journal = Journal::open(&path, Access::Read).unwrap();
    let verified = journal.verify().unwrap();
    assert_eq!((verified.entries, verified.faults), (3 * 41, vec![]));
    for walk in journal.walks().unwrap() {
        let entries = journal.walk_entries(&walk.walk).unwrap();
        assert_eq!(entries.len(), 41);
        assert!(entries.iter().all(|entry| entry.by == walk.begun_by));
    }
}

#[test]
fn one_drain_is_held_by_one_window_and_can_be_seized() {
    let (_folder, path) = folder();
    let (first, second) = (Window::of("AB"), Window::of("CD"));
    let (mut one, mut two) = (write(&path), write(&path));
    let walk = WalkId::new(at(0));
    one.append(&first.on(0, walk, begun())).unwrap();
    let held = Held::Walk(walk);
    let hold = one.hold(held, first.session, &first.by, at(0)).unwrap();
    match two.hold(held, second.session, &second.by, at(1)) {
        Err(JournalError::Held { session, by, since }) => {
            assert_eq!(session, Some(first.session));
            assert_eq!((by, since), (Some(first.by.clone()), Some(at(0))));
        }
        other => panic!("{other:?}"),
    }
    let seized = two.seize(held, second.session, &second.by, at(2)).unwrap();
    two.take_over(walk, second.session, &second.by, at(2), true)
        .unwrap()
        .unwrap();
    let error = one.append(&first.on(3, walk, note("late"))).unwrap_err();
    assert!(matches!(error, JournalError::TakenOver { .. }), "{error:?}");
    drop(hold);
    assert!(one.hold(held, first.session, &first.by, at(4)).is_err());
    drop(seized);
    assert!(one.hold(held, first.session, &first.by, at(5)).is_ok());
}

#[test]
fn journals_of_every_earlier_form_open_and_verify() {
    let dumps = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/journals");
    let mut versions = Vec::new();
    for entry in fs::read_dir(dumps).unwrap() {
        let dump = entry.unwrap().path();
        let name = dump.file_stem().unwrap().to_str().unwrap().to_owned();
        let (_folder, path) = folder();
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        let connection = Connection::open(&path).unwrap();
        connection
            .execute_batch(&fs::read_to_string(&dump).unwrap())
            .unwrap();
        let form: i64 = connection
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .unwrap();
        assert_eq!(name, format!("v{form}"));
        versions.push(form);
        drop(connection);
        let mut journal = write(&path);
        let verified = journal.verify().unwrap();
        assert_eq!((verified.faults, journal.doubt()), (vec![], None), "{name}");
        assert!(verified.entries >= 10 && verified.texts >= 1, "{name}");
        let entries = journal.entries_after(0).unwrap();
        assert!(
            entries
                .iter()
                .all(|entry| !matches!(entry.what, What::Unread { .. })),
            "{name}"
        );
        let charted = |drain: &super::DrainSummary| journal.chart_entries(&drain.drain).unwrap();
        let charted: usize = journal
            .drains()
            .unwrap()
            .iter()
            .map(|d| charted(d).len())
            .sum();
        assert!(charted >= 7, "{name}");
        for walk in journal.walks().unwrap() {
            assert!(
                !journal.walk_events(&walk.walk).unwrap().is_empty(),
                "{name}"
            );
        }
        let window = Window::of("AB");
        journal
            .append(&window.on(9_999, WalkId::new(at(9)), begun()))
            .unwrap();
        assert_eq!(journal.verify().unwrap().faults, [], "{name}");
    }
    versions.sort_unstable();
    let newest = super::schema::NEWEST;
    assert_eq!(
        versions,
        (1..=newest).collect::<Vec<_>>(),
        "one dump for each form"
    );
}

proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(40))]
    #[test]
    fn whatever_is_written_comes_back_from_the_file(
        whats in proptest::collection::vec(super::event::tests::what(), 1..8),
        words in "(\\PC|[\\x00-\\x9f]|\u{202e}|\u{1b}\\[31m){0,20}",
    ) {
        let (_folder, path) = folder();
        let window = Window::of("AB");
        let walk = WalkId::new(at(0));
        let drain = DrainId::new(at(0));
        let mut written = Vec::new();
        {
            let mut journal = write(&path);
            let mut opened = window.entry(0, What::DrainOpened { facts: side("left") });
            opened.drain = Some(drain);
            journal.append(&opened).unwrap();
            let mut first = window.on(0, walk, begun());
            first.drain = Some(drain);
            let first = journal.append(&first).unwrap();
            for what in whats {
                let mut new = window.on(1, walk, what);
                match &mut new.what {
                    What::Amended { entry, mark, .. } => (*entry, *mark) = (first.id, super::Mark::Addendum),
                    // The walk is not over, so it cannot be signed; its drain can.
                    What::Signed { .. } => new.walk = None,
                    _ => {}
                }
                if matches!(new.what, What::Begun { .. } | What::DrainOpened { .. } | What::TakenOver { .. }) {
                    continue;
                }
                new.drain = Some(drain);
                new.by.initials.clone_from(&words);
                match journal.append(&new) {
                    Err(JournalError::Unsigned | JournalError::Sealed { .. }) => continue,
                    added => written.push(added.unwrap()),
                }
                proptest::prop_assert_eq!(&written.last().unwrap().what, &new.what);
            }
        }
        let journal = Journal::open(&path, Access::Read).unwrap();
        proptest::prop_assert_eq!(journal.entries_after(2).unwrap(), written);
        proptest::prop_assert_eq!(journal.verify().unwrap().faults, vec![]);
    }
}

#[test]
fn a_new_entry_says_where_its_walk_stands() {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    let new = NewEntry {
        walk: Some((walk, WalkState::Over)),
        ..window.on(0, walk, begun())
    };
    let mut journal = Journal::in_memory();
    assert_eq!(journal.append(&new).unwrap().state, Some(WalkState::Over));
    assert_eq!(journal.open_walks().unwrap(), []);
}
