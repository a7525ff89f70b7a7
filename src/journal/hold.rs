//! Who is at work on a walk or a drain: a lock that the system lets go when the program ends,
//! however it ends.
//!
//! Each held thing has a small file beside the journal. It is locked while it is held, and says by
//! whom and since when. The lock keeps two windows from working on one drain by mistake; what
//! decides in the end is the journal itself, which refuses entries of a session that no longer
//! holds the walk.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::files::{self, Readers};
use crate::moment::Moment;

use super::entry::By;
use super::error::JournalError;
use super::ids::{DrainId, SessionId, WalkId};
use super::moment_text;

/// What can be held. A walk on a drain is held by its drain, so that a drain has one walk at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Held {
    /// A walk that belongs to no drain yet.
    Walk(WalkId),
    /// A drain, and with it every walk on it.
    Drain(DrainId),
}

/// Holds a walk or a drain until it is dropped or the program ends.
#[derive(Debug)]
#[must_use = "dropped at once, it holds nothing"]
pub struct Hold {
    file: Option<(File, PathBuf)>,
}

/// What the file says.
#[derive(Debug, Serialize, Deserialize)]
struct Says {
    session: String,
    initials: String,
    role: String,
    since: String,
}

/// Who wants to hold it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Claim<'a> {
    pub session: SessionId,
    pub by: &'a By,
    pub now: Moment,
}

impl Hold {
    /// A hold on what nobody else can reach.
    pub(super) const fn of_nothing() -> Self {
        Self { file: None }
    }

    /// Takes the lock.
    ///
    /// # Errors
    /// [`JournalError::Held`] when another session has it.
    pub(super) fn take(folder: &Path, held: Held, claim: Claim<'_>) -> Result<Self, JournalError> {
        files::make_folder(folder, Readers::Owner)?;
        let path = folder.join(file_name(held));
        let fail = |why: String| JournalError::Io {
            path: path.clone(),
            why,
        };
        // The holder removes the file when it lets go, so the name may lead to another file by the
        // time the lock is ours; then it is tried again.
        for _ in 0..100 {
            let mut file = open(&path).map_err(|error| fail(error.to_string()))?;
            match file.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Err(holder(&path)),
                Err(TryLockError::Error(error)) => return Err(fail(error.to_string())),
            }
            if is_named(&file, &path) {
                say(&mut file, claim).map_err(fail)?;
                return Ok(Self {
                    file: Some((file, path)),
                });
            }
        }
        Err(holder(&path))
    }

    /// Takes the lock from the session that has it. That one keeps its lock on a file without a
    /// name, which nobody asks any more.
    ///
    /// # Errors
    /// [`JournalError::Held`] when yet another session was quicker.
    pub(super) fn seize(folder: &Path, held: Held, claim: Claim<'_>) -> Result<Self, JournalError> {
        let path = folder.join(file_name(held));
        match fs::remove_file(&path) {
            Err(error) if error.kind() != ErrorKind::NotFound => Err(JournalError::Io {
                path,
                why: error.to_string(),
            }),
            _ => Self::take(folder, held, claim),
        }
    }
}

impl Drop for Hold {
    fn drop(&mut self) {
        if let Some((file, path)) = &self.file
            && is_named(file, path)
        {
            // When it fails, an unlocked file stays, which holds nothing.
            drop(fs::remove_file(path));
        }
    }
}

fn file_name(held: Held) -> String {
    match held {
        Held::Walk(walk) => format!("walk-{walk}.lock"),
        Held::Drain(drain) => format!("drain-{drain}.lock"),
    }
}

fn open(path: &Path) -> std::io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    options.open(path)
}

/// True when the name still leads to this file.
#[cfg(unix)]
fn is_named(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), fs::metadata(path)) {
        (Ok(open), Ok(named)) => (open.dev(), open.ino()) == (named.dev(), named.ino()),
        _ => false,
    }
}

/// Elsewhere a locked file cannot lose its name.
#[cfg(not(unix))]
fn is_named(_file: &File, path: &Path) -> bool {
    path.exists()
}

fn say(file: &mut File, claim: Claim<'_>) -> Result<(), String> {
    let says = Says {
        session: claim.session.to_string(),
        initials: claim.by.initials.clone(),
        role: claim.by.role.clone(),
        since: moment_text::write(claim.now),
    };
    let text = serde_json::to_string(&says).map_err(|error| error.to_string())?;
    file.set_len(0)
        .and_then(|()| file.write_all(text.as_bytes()))
        .map_err(|error| error.to_string())
}

/// The error that tells who has the lock. Its holder may be about to write it: a short patience.
fn holder(path: &Path) -> JournalError {
    for _ in 0..10 {
        if let Some(says) = read(path) {
            return JournalError::Held {
                session: SessionId::parse(&says.session).ok(),
                since: moment_text::read(&says.since).ok(),
                by: Some(By {
                    initials: says.initials,
                    role: says.role,
                }),
            };
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    JournalError::Held {
        session: None,
        by: None,
        since: None,
    }
}

fn read(path: &Path) -> Option<Says> {
    let mut text = String::new();
    File::open(path).ok()?.read_to_string(&mut text).ok()?;
    serde_json::from_str(&text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn now() -> Moment {
        Moment::parse_from_rfc3339("2026-03-01T04:10:00+00:00").unwrap()
    }

    fn take(folder: &Path, held: Held, who: &str) -> Result<Hold, JournalError> {
        Hold::take(folder, held, claim(&By::new(who, "RN")))
    }

    fn claim(by: &By) -> Claim<'_> {
        Claim {
            session: SessionId::new(now()),
            by,
            now: now(),
        }
    }

    fn holder_of(result: Result<Hold, JournalError>) -> String {
        match result.unwrap_err() {
            JournalError::Held { by: Some(by), .. } => by.initials,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn what_is_held_is_held_once_and_free_again_afterwards() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path().join("holds");
        let drain = Held::Drain(DrainId::new(now()));
        let other = Held::Drain(DrainId::new(now()));
        let first = take(&folder, drain, "AB").unwrap();
        let _elsewhere = take(&folder, other, "EF").unwrap();
        assert_eq!(holder_of(take(&folder, drain, "CD")), "AB");
        drop(first);
        let _second = take(&folder, drain, "CD").unwrap();
        assert_eq!(holder_of(take(&folder, drain, "AB")), "CD");
    }

    #[test]
    fn the_error_tells_who_since_when_and_what_to_do() {
        let folder = tempfile::tempdir().unwrap();
        let held = Held::Walk(WalkId::new(now()));
        let _first = take(folder.path(), held, "AB").unwrap();
        assert_eq!(
            take(folder.path(), held, "CD").unwrap_err().to_string(),
            "this is held in another window by AB, RN since 04:10 on 2026-03-01. \
             Wait, or take it over after speaking to them"
        );
    }

    #[test]
    fn what_was_seized_is_not_freed_by_the_one_before() {
        let folder = tempfile::tempdir().unwrap();
        let held = Held::Walk(WalkId::new(now()));
        let first = take(folder.path(), held, "AB").unwrap();
        let second = Hold::seize(folder.path(), held, claim(&By::new("CD", ""))).unwrap();
        drop(first);
        assert_eq!(holder_of(take(folder.path(), held, "EF")), "CD");
        drop(second);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn a_lock_file_left_by_a_crash_holds_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let held = Held::Walk(WalkId::new(now()));
        fs::write(folder.path().join(file_name(held)), "{half").unwrap();
        assert!(take(folder.path(), held, "AB").is_ok());
    }

    #[test]
    fn many_at_once_never_hold_it_together() {
        use std::sync::atomic::{AtomicU32, Ordering};
        let folder = tempfile::tempdir().unwrap();
        let held = Held::Walk(WalkId::new(now()));
        let (inside, taken) = (AtomicU32::new(0), AtomicU32::new(0));
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    for _ in 0..50 {
                        let Ok(hold) = take(folder.path(), held, "AB") else {
                            continue;
                        };
                        assert_eq!(inside.fetch_add(1, Ordering::SeqCst), 0);
                        taken.fetch_add(1, Ordering::SeqCst);
                        inside.fetch_sub(1, Ordering::SeqCst);
                        drop(hold);
                    }
                });
            }
        });
        assert!(taken.load(Ordering::SeqCst) > 0);
    }
}
