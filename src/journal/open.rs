//! Opening the journal file: made for the owner alone, and refused when it is anything else.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use crate::files::{self, Readers, Trouble};

use super::error::JournalError;
use super::schema::{self, Form};
use super::sqlite::{PATIENCE, SqliteStore, connect, told};

/// For what the journal is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// To read and to add; the file and its folder are made when they are not there.
    Write,
    /// To read only; the file must be there.
    Read,
}

/// Opens the file.
///
/// # Errors
/// Each reason why it cannot be used is a variant of its own.
pub(super) fn open(path: &Path, access: Access) -> Result<SqliteStore, JournalError> {
    match access {
        Access::Write => make_file(path)?,
        Access::Read => {}
    }
    look_at_file(path)?;
    let mode = match access {
        Access::Write => OpenFlags::SQLITE_OPEN_READ_WRITE,
        Access::Read => OpenFlags::SQLITE_OPEN_READ_ONLY,
    };
    let fail = |error: rusqlite::Error| told(path, &error);
    let connection = connect(path, mode | OpenFlags::SQLITE_OPEN_NO_MUTEX)
        .map_err(|error| refused(path, &error))?;
    if access == Access::Write && connection.is_readonly("main").map_err(fail)? {
        return Err(JournalError::ReadOnly {
            path: path.to_owned(),
        });
    }
    let form = look_at_form(path, &connection)?;
    match (access, form) {
        (Access::Read, Form::Empty) => {
            return Err(JournalError::NotAJournal {
                path: path.to_owned(),
                why: "it is empty".to_owned(),
            });
        }
        (Access::Read, _) => {}
        (Access::Write, _) => set_up(&connection, form).map_err(fail)?,
    }
    if access == Access::Write {
        owner_only(path)?;
    }
    Ok(SqliteStore {
        connection,
        path: path.to_owned(),
        writes: access == Access::Write,
    })
}

/// Makes the folder and an empty file, if they are not there. SQLite then fills it; made by SQLite
/// itself, others could read it.
fn make_file(path: &Path) -> Result<(), JournalError> {
    if let Some(folder) = path.parent() {
        files::make_folder(folder, Readers::Owner).map_err(|bad| JournalError::NoFolder {
            path: folder.to_owned(),
            why: bad.why,
        })?;
    }
    match files::create_new(path, Readers::Owner) {
        Ok(file) => {
            drop(file);
            files::sync_folder_of(path).map_err(|error| io_error(path, &error))
        }
        Err(error) if error.kind() == ErrorKind::AlreadyExists => may_be_written(path),
        Err(error) => Err(match Trouble::of(&error) {
            Trouble::Full => JournalError::Full {
                path: path.to_owned(),
            },
            Trouble::NotAllowed | Trouble::ReadOnly => JournalError::ReadOnly {
                path: path.to_owned(),
            },
            _ => io_error(path, &error),
        }),
    }
}

fn io_error(path: &Path, error: &io::Error) -> JournalError {
    let path = path.to_owned();
    match error.kind() {
        ErrorKind::NotFound => JournalError::Missing { path },
        ErrorKind::PermissionDenied => JournalError::NotReadable { path },
        _ => JournalError::Io {
            path,
            why: error.to_string(),
        },
    }
}

/// Looks at the file before SQLite does: is it there, is it a file?
///
/// It is not opened here. When a process closes a file in any way, the system takes away all locks
/// that the process has on it, those of an open journal too.
fn look_at_file(path: &Path) -> Result<(), JournalError> {
    let kind = fs::metadata(path).map_err(|error| io_error(path, &error))?;
    if kind.is_dir() {
        return Err(JournalError::IsFolder {
            path: path.to_owned(),
        });
    }
    if !kind.is_file() {
        return Err(JournalError::NotAJournal {
            path: path.to_owned(),
            why: "it is a device or a pipe".to_owned(),
        });
    }
    Ok(())
}

/// A disk that is read-only shows itself here; the database would only say that it cannot open.
fn may_be_written(path: &Path) -> Result<(), JournalError> {
    match OpenOptions::new().append(true).open(path) {
        Err(error) if error.kind() == ErrorKind::ReadOnlyFilesystem => {
            Err(JournalError::ReadOnly {
                path: path.to_owned(),
            })
        }
        // What else is wrong is told better by what follows.
        _ => Ok(()),
    }
}

/// Finds out why SQLite would not have the file.
fn refused(path: &Path, error: &rusqlite::Error) -> JournalError {
    const MAGIC: &[u8] = b"SQLite format 3\0";
    let mut head = Vec::new();
    let looked = File::open(path)
        .and_then(|file| file.take(MAGIC.len() as u64).read_to_end(&mut head))
        .map_err(|error| io_error(path, &error));
    match (told(path, error), looked) {
        (_, Err(error)) => error,
        // The file begins rightly, so it was a journal once.
        (JournalError::NotAJournal { path, why }, Ok(_)) if head == MAGIC => {
            JournalError::Damaged { path, why }
        }
        (told, Ok(_)) => told,
    }
}

fn look_at_form(path: &Path, connection: &Connection) -> Result<Form, JournalError> {
    let path = path.to_owned();
    match schema::form(connection) {
        Ok(Form::Version(found)) if found > schema::NEWEST => Err(JournalError::Newer {
            path,
            found,
            known: schema::NEWEST,
        }),
        Ok(Form::Other) => Err(JournalError::NotAJournal {
            path,
            why: "it is a database of another program".to_owned(),
        }),
        Ok(form) => Ok(form),
        Err(error) => Err(refused(&path, &error)),
    }
}

fn set_up(connection: &Connection, form: Form) -> rusqlite::Result<()> {
    let mut tries = 0;
    loop {
        tries += 1;
        // SQLite does not wait by itself when two processes change the mode at once.
        match connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())) {
            Err(error) if is_busy(&error) && tries < 50 * PATIENCE => {
                std::thread::sleep(Duration::from_millis(20));
            }
            result => break result?,
        }
    }
    if form != Form::Version(schema::NEWEST) {
        schema::upgrade(connection)?;
    }
    Ok(())
}

fn is_busy(error: &rusqlite::Error) -> bool {
    use rusqlite::ErrorCode as Code;
    matches!(
        error.sqlite_error_code(),
        Some(Code::DatabaseBusy | Code::DatabaseLocked)
    )
}

/// Takes away what others may do with a file that was copied or made by hand.
fn owner_only(path: &Path) -> Result<(), JournalError> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(path)
            .map_err(|error| io_error(path, &error))?
            .permissions()
            .mode();
        if mode & 0o077 != 0 {
            fs::set_permissions(path, fs::Permissions::from_mode(0o600))
                .map_err(|error| io_error(path, &error))?;
        }
    }
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

/// The folder in which lock files stand: beside the journal.
pub(super) fn holds_folder(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".holds");
    path.with_file_name(name)
}
