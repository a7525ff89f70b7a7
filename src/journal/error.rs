//! What can go wrong with the journal: what, where, and what to do.

use std::path::PathBuf;

use crate::moment::Moment;

use super::entry::By;
use super::ids::{DrainId, EntryId, SessionId, WalkId};

/// Why the journal could not be used. Nothing is half written: an entry is there whole, or not.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum JournalError {
    /// There is no such file, and it was only to be read.
    #[error("there is no journal at {}", path.display())]
    Missing {
        /// The file.
        path: PathBuf,
    },
    /// A folder stands where the file should be.
    #[error("{} is a folder: give the path of a journal file", path.display())]
    IsFolder {
        /// The folder.
        path: PathBuf,
    },
    /// The folder for the file could not be made.
    #[error("the folder {} cannot be made ({why}): give a path in a folder of your own", path.display())]
    NoFolder {
        /// The folder.
        path: PathBuf,
        /// What the system said.
        why: String,
    },
    /// The file may not be read.
    #[error("the journal {} may not be read: it belongs to another user, or its permissions were changed; ask whoever looks after this computer", path.display())]
    NotReadable {
        /// The file.
        path: PathBuf,
    },
    /// The file may be read but not written.
    #[error("the journal {} cannot be written to: the file, its folder or the disk is read-only; nothing was recorded. Make it writable, or give another file", path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("{} is not a journal of this program ({why}): it was left as it is; check the path", path.display())]
    NotAJournal {
        /// The file.
        path: PathBuf,
        /// What it is instead.
        why: String,
    },
    /// The file was made by a newer version of the program.
    #[error("the journal {} has form {found}, and this version knows forms up to {known}: use the newer version of the program that wrote it; it was left as it is", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// The version of its form.
        found: i64,
        /// The newest version known here.
        known: i64,
    },
    /// The file is damaged.
    #[error("the journal {} is damaged ({why}): keep a copy of the file, restore a backup or begin a new journal with another file, and tell whoever looks after this computer", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What was found.
        why: String,
    },
    /// A row cannot be read.
    #[error(
        "entry {seq} of the journal cannot be read ({why}): run the check of the journal, keep a copy of the file, and compare with a backup"
    )]
    BadRow {
        /// The place of the entry.
        seq: i64,
        /// What was found.
        why: String,
    },
    /// The disk is full.
    #[error("the disk that holds {} is full: the last entry was not recorded. Free some space and answer again, and go on on paper meanwhile", path.display())]
    Full {
        /// The file.
        path: PathBuf,
    },
    /// Other processes kept the file locked.
    #[error("the journal {} was busy for {seconds} s: another program is using it; try again, and go on on paper meanwhile", path.display())]
    Busy {
        /// The file.
        path: PathBuf,
        /// How long was waited.
        seconds: u64,
    },
    /// The journal was opened only to be read.
    #[error("the journal {} was opened only to be read", path.display())]
    OpenedToRead {
        /// The file.
        path: PathBuf,
    },
    /// Another session has taken the walk up.
    #[error("this walk was taken over by {by} at {}: nothing more is recorded from here. Take it over again only after speaking to them", since.format("%H:%M on %Y-%m-%d"))]
    TakenOver {
        /// The walk.
        walk: WalkId,
        /// The session that holds it now.
        session: SessionId,
        /// Who took it over.
        by: By,
        /// When.
        since: Moment,
    },
    /// Another running session holds the drain or the walk.
    #[error("{} Wait, or take it over after speaking to them", held_words(by.as_ref(), *since))]
    Held {
        /// The session that holds it, if it could be read.
        session: Option<SessionId>,
        /// Who holds it, if it could be read.
        by: Option<By>,
        /// Since when, if it could be read.
        since: Option<Moment>,
    },
    /// An entry came for a walk that has not begun.
    #[error("walk {walk} is not in this journal: check that it is the right journal file")]
    NotBegun {
        /// The walk.
        walk: WalkId,
    },
    /// A walk was begun twice.
    #[error("walk {walk} has begun already")]
    BegunTwice {
        /// The walk.
        walk: WalkId,
    },
    /// An entry came for a drain that was never opened.
    #[error(
        "drain {drain} is not in this journal: open the drain first, or check that it is the right journal file"
    )]
    UnknownDrain {
        /// The drain.
        drain: DrainId,
    },
    /// A drain was opened twice.
    #[error("drain {drain} is in this journal already")]
    OpenedTwice {
        /// The drain.
        drain: DrainId,
    },
    /// An entry that is to be put right is not there.
    #[error("the entry {entry} is not in this journal: check that it is the right journal file")]
    NoSuchEntry {
        /// The entry.
        entry: EntryId,
    },
    /// What is to be changed was signed.
    #[error("this was signed by {by} at {}: nothing before the signature is changed any more. Write an addendum instead", since.format("%H:%M on %Y-%m-%d"))]
    Sealed {
        /// Who signed it.
        by: By,
        /// When.
        since: Moment,
    },
    /// A walk is to be signed that is not over.
    #[error(
        "this walk is not over: end it, or stop it for good with its reason, before it is signed"
    )]
    NotOver {
        /// The walk.
        walk: WalkId,
    },
    /// A signature without initials or role.
    #[error("a signature needs initials and a role, typed by the person who signs")]
    Unsigned,
    /// An entry for a walk names another drain than the walk's.
    #[error("walk {walk} belongs to another drain: attach it to the right one first")]
    OtherDrain {
        /// The walk.
        walk: WalkId,
        /// The drain of the walk.
        drain: DrainId,
    },
    /// An entry lacks what its kind needs; a mistake of the program.
    #[error(
        "an entry of kind \"{kind}\" cannot be written: {why}. This is a mistake of the program; please report it"
    )]
    Incomplete {
        /// The kind of entry.
        kind: String,
        /// What is missing.
        why: String,
    },
    /// A walk cannot be replayed, because an entry is from a newer version or damaged.
    #[error(
        "this walk cannot be continued here: entry {seq} ({kind}) cannot be read by this version ({why}). Use the newer version of the program, or begin the checklist again"
    )]
    NotReplayable {
        /// The place of the entry.
        seq: i64,
        /// Its kind.
        kind: String,
        /// Why it cannot be read.
        why: String,
    },
    /// The chart of a drain cannot be worked out, because an entry is from a newer version or damaged.
    #[error(
        "the chart of this drain cannot be worked out here: entry {seq} ({kind}) cannot be read by this version ({why}). Use the newer version of the program, or go by the drainage unit itself"
    )]
    ChartUnread {
        /// The place of the entry.
        seq: i64,
        /// Its kind.
        kind: String,
        /// Why it cannot be read.
        why: String,
    },
    /// A file beside the journal, or a copy, could not be written.
    #[error(transparent)]
    NotWritten(#[from] crate::files::NotWritten),
    /// What receives an export refused it.
    #[error("the export could not be written ({why})")]
    Output {
        /// What kind of refusal, such as a pipe that nobody reads any more.
        kind: std::io::ErrorKind,
        /// What the system said.
        why: String,
    },
    /// A journal in memory has no file to copy.
    #[error("this journal is in memory only and cannot be copied to a file: export it instead")]
    InMemory,
    /// Anything else that a file or the system refused.
    #[error("{} could not be used ({why}): check the disk and its permissions", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: String,
    },
}

fn held_words(by: Option<&By>, since: Option<Moment>) -> String {
    let who = by.map_or("another session".to_owned(), ToString::to_string);
    match since {
        Some(since) => format!(
            "this is held in another window by {who} since {}.",
            since.format("%H:%M on %Y-%m-%d")
        ),
        None => format!("this is held in another window by {who}."),
    }
}
