//! The journal: what happened, in the order in which it was written, never changed afterwards.
//!
//! One SQLite file. Entries are only ever added; the database itself refuses anything else. Each
//! entry holds when a thing was seen and when it was written, by whom, what it says as JSON, and a
//! hash that chains it to the entry before; [`row`] describes the line that is hashed, and
//! [`verify`] what the chain can show and what it cannot.
//!
//! The order is that of the places (`seq`), never that of the clock. A clock that goes back is
//! itself an entry.
//!
//! Nothing that names a person belongs in here: places, initials and roles only.

mod append;
mod charted;
mod copy;
mod drain_chart;
mod entry;
mod error;
mod event;
mod hold;
mod ids;
mod memory;
mod moment_text;
mod open;
mod quantity;
pub mod row;
mod schema;
mod sealed;
mod sqlite;
mod store;
mod summary;
mod text_hash;
pub mod verify;

use std::io::Write;
use std::path::{Path, PathBuf};

pub use copy::Exported;
pub use drain_chart::DrainChart;
pub use entry::{
    By, DrainSummary, Entry, Mark, NewEntry, RecordAbout, Shelf, WalkState, WalkSummary, What,
};
pub use error::JournalError;
pub use event::kind;
pub use hold::{Held, Hold};
pub use ids::{DrainId, EntryId, NotAnId, SessionId, WalkId};
pub use open::Access;
pub use text_hash::{Summing, TextHash};
pub use verify::{Fault, FaultKind, Verified};

use crate::moment::Moment;
use crate::walk::event::Event;

use store::{Store, Which};

/// An open journal.
pub struct Journal {
    store: Box<dyn Store>,
    path: Option<PathBuf>,
    doubt: Option<Fault>,
}

impl Journal {
    /// Opens the journal in that file. For writing, the file (mode 0600) and its folder (mode 0700)
    /// are made when they are not there, and an older form is brought to the newest.
    ///
    /// # Errors
    /// Each reason why it cannot be used is a variant of [`JournalError`] of its own.
    pub fn open(path: &Path, access: Access) -> Result<Self, JournalError> {
        let store = open::open(path, access)?;
        let doubt = verify::last_row(&store)?;
        Ok(Self {
            store: Box::new(store),
            path: Some(path.to_owned()),
            doubt,
        })
    }

    /// A journal that is gone when the program ends.
    #[must_use]
    pub fn in_memory() -> Self {
        Self {
            store: Box::<memory::MemoryStore>::default(),
            path: None,
            doubt: None,
        }
    }

    /// The file, unless the journal is in memory.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// What a quick look at the last entry found wrong on opening. Writing goes on, because care
    /// must not wait; the person is told to run the full check.
    #[must_use]
    pub const fn doubt(&self) -> Option<&Fault> {
        self.doubt.as_ref()
    }

    /// Adds an entry. On return it is durable, and only then may the answer be acknowledged.
    ///
    /// # Errors
    /// [`JournalError::TakenOver`] when another session has taken the walk up; nothing is added
    /// then, nor on any other error.
    pub fn append(&mut self, new: &NewEntry) -> Result<Entry, JournalError> {
        let mut added = None;
        self.store.add(&mut |store| {
            let rows = append::rows_for(store, std::slice::from_ref(new))?;
            added = rows.last().map(row::Row::entry).transpose()?;
            Ok(rows)
        })?;
        added.ok_or_else(|| JournalError::Incomplete {
            kind: kind(&new.what).to_owned(),
            why: "it was lost on the way".to_owned(),
        })
    }

    /// Adds several entries that belong together, in their order: all of them or none. On return
    /// they are durable. They may not begin a walk or open a drain that another of them needs.
    ///
    /// # Errors
    /// As [`Journal::append`]; then nothing is added.
    pub fn append_all(&mut self, news: &[NewEntry]) -> Result<(), JournalError> {
        self.store.add(&mut |store| append::rows_for(store, news))
    }

    /// Makes this session the one that holds the walk, with an entry that says from which session
    /// it was taken. `in_use` tells whether that one was still at work. Does nothing and returns
    /// `None` when this session holds it already.
    ///
    /// # Errors
    /// [`JournalError::NotBegun`] for a walk that is not here, or what went wrong with the store.
    pub fn take_over(
        &mut self,
        walk: WalkId,
        session: SessionId,
        by: &By,
        now: Moment,
        in_use: bool,
    ) -> Result<Option<Entry>, JournalError> {
        let held = self.walk(&walk)?.ok_or(JournalError::NotBegun { walk })?;
        if held.session == session {
            return Ok(None);
        }
        self.append(&NewEntry {
            drain: None,
            walk: Some((walk, held.state)),
            session,
            seen: now,
            written: now,
            by: by.clone(),
            rehearsal: false,
            what: What::TakenOver {
                from: held.session,
                in_use,
            },
        })
        .map(Some)
    }

    /// Every entry after that place; 0 for all.
    ///
    /// # Errors
    /// [`JournalError::BadRow`] for one that cannot be read, or what went wrong with the store.
    pub fn entries_after(&self, seq: i64) -> Result<Vec<Entry>, JournalError> {
        self.entries(Which::After(seq))
    }

    /// The entries of a walk.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn walk_entries(&self, walk: &WalkId) -> Result<Vec<Entry>, JournalError> {
        self.entries(Which::Walk(&walk.to_string()))
    }

    /// The events of a walk, for replaying it.
    ///
    /// # Errors
    /// [`JournalError::NotReplayable`] when one of them cannot be read by this version; replaying
    /// the others would show something that never was.
    pub fn walk_events(&self, walk: &WalkId) -> Result<Vec<Event>, JournalError> {
        events_of(&self.walk_entries(walk)?)
    }

    /// The entries of a drain, and all those of walks that were ever its own.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn drain_entries(&self, drain: &DrainId) -> Result<Vec<Entry>, JournalError> {
        self.entries(Which::Drain(&drain.to_string()))
    }

    /// Those of [`Journal::drain_entries`] that `keep` says, asked in their order. A drain of some
    /// weeks has thousands; only those kept are ever held together.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn drain_entries_where(
        &self,
        drain: &DrainId,
        keep: &mut dyn FnMut(&Entry) -> bool,
    ) -> Result<Vec<Entry>, JournalError> {
        self.entries_where(Which::Drain(&drain.to_string()), keep)
    }

    /// What was charted for a drain, for working out its output. The place of an entry in the
    /// journal is its identifier in the chart.
    ///
    /// # Errors
    /// [`JournalError::ChartUnread`] when an entry about the drain cannot be read by this version;
    /// a sum without it could be wrong.
    pub fn chart_entries(&self, drain: &DrainId) -> Result<Vec<crate::chart::Entry>, JournalError> {
        let found = self.drain_chart(drain, i64::MAX)?.charted;
        Ok(found.into_iter().map(|(entry, _)| entry).collect())
    }

    /// The same with who wrote it, and every other entry of the drain and its walks, as the
    /// journal stood at that place.
    ///
    /// # Errors
    /// As [`Journal::chart_entries`].
    pub fn drain_chart(&self, drain: &DrainId, upto: i64) -> Result<DrainChart, JournalError> {
        DrainChart::read(self.store.as_ref(), drain, upto)
    }

    /// The entry with that identifier.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn entry(&self, id: &EntryId) -> Result<Option<Entry>, JournalError> {
        Ok(self.entries(Which::Id(&id.to_string()))?.pop())
    }

    /// Every entry that says a record was filed, printed or exported.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn records_written(&self) -> Result<Vec<Entry>, JournalError> {
        self.entries(Which::Records)
    }

    /// The entry with that hash: confirms the hash at the end of a record.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn entry_with_hash(&self, hash: &str) -> Result<Option<Entry>, JournalError> {
        Ok(self.entries(Which::Hash(hash))?.pop())
    }

    fn entries(&self, which: Which<'_>) -> Result<Vec<Entry>, JournalError> {
        self.entries_where(which, &mut |_| true)
    }

    fn entries_where(
        &self,
        which: Which<'_>,
        keep: &mut dyn FnMut(&Entry) -> bool,
    ) -> Result<Vec<Entry>, JournalError> {
        let mut entries = Vec::new();
        self.store.scan(which, &mut |scanned| {
            let row = scanned.map_err(store::BadColumn::into_error)?;
            let entry = row.into_entry()?;
            if keep(&entry) {
                entries.push(entry);
            }
            Ok(())
        })?;
        Ok(entries)
    }

    /// What is known of a walk without replaying it.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn walk(&self, walk: &WalkId) -> Result<Option<WalkSummary>, JournalError> {
        summary::walk(self.store.as_ref(), walk)
    }

    /// Every walk, oldest first. In a journal of years this is much: see [`Journal::each_walk`].
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn walks(&self) -> Result<Vec<WalkSummary>, JournalError> {
        let mut all = Vec::new();
        self.each_walk(&mut |walk| {
            all.push(walk);
            Ok(())
        })?;
        Ok(all)
    }

    /// Hands over every walk one by one, oldest first; none is held in memory. The journal may be
    /// read meanwhile.
    ///
    /// # Errors
    /// As [`Journal::entries_after`], or the visitor's own.
    pub fn each_walk(
        &self,
        visit: &mut dyn FnMut(WalkSummary) -> Result<(), JournalError>,
    ) -> Result<(), JournalError> {
        summary::each_walk(self.store.as_ref(), visit)
    }

    /// The walks that are neither ended nor given up, oldest first.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn open_walks(&self) -> Result<Vec<WalkSummary>, JournalError> {
        summary::walks(self.store.as_ref(), Which::BegunOpen)
    }

    /// The walks that ever belonged to the drain, oldest first; those that belong to another now too.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn walks_ever_on(&self, drain: &DrainId) -> Result<Vec<WalkSummary>, JournalError> {
        summary::walks(self.store.as_ref(), Which::BegunOn(&drain.to_string()))
    }

    /// The walk of that number, as in [`WalkSummary::number`].
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn walk_numbered(&self, number: u64) -> Result<Option<WalkSummary>, JournalError> {
        let Ok(number @ 1..) = i64::try_from(number) else {
            return Ok(None);
        };
        Ok(summary::walks(self.store.as_ref(), Which::BegunAt(number))?.pop())
    }

    /// How many walks were ever begun.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn count_walks(&self) -> Result<u64, JournalError> {
        Ok(self.store.begun_upto(i64::MAX)?.unsigned_abs())
    }

    /// Every drain with what is known of it now, oldest first; closed ones too.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn drains(&self) -> Result<Vec<DrainSummary>, JournalError> {
        summary::drains(self.store.as_ref(), Which::DrainFacts(None))
    }

    /// Every drain that was ever opened, oldest first.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn drain_ids(&self) -> Result<Vec<DrainId>, JournalError> {
        summary::drain_ids(self.store.as_ref())
    }

    /// What is known of a drain now.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn drain(&self, drain: &DrainId) -> Result<Option<DrainSummary>, JournalError> {
        let drain = drain.to_string();
        let which = Which::DrainFacts(Some(&drain));
        Ok(summary::drains(self.store.as_ref(), which)?.pop())
    }

    /// Keeps a text, such as a checklist file, under its hash. Doing it again changes nothing.
    ///
    /// # Errors
    /// What went wrong with the store.
    pub fn put_text(&mut self, body: &str) -> Result<TextHash, JournalError> {
        let hash = TextHash::of(body.as_bytes());
        self.store.put_texts(&[(hash.clone(), body)])?;
        Ok(hash)
    }

    /// Keeps several texts under their hashes, all of them or none: the hashes, in the order of the
    /// texts. Those that are kept already cost no writing.
    ///
    /// # Errors
    /// What went wrong with the store.
    pub fn put_texts(&mut self, bodies: &[&str]) -> Result<Vec<TextHash>, JournalError> {
        let hash = |body: &&str| TextHash::of(body.as_bytes());
        let hashes: Vec<TextHash> = bodies.iter().map(hash).collect();
        let texts: Vec<(TextHash, &str)> =
            hashes.iter().cloned().zip(bodies.iter().copied()).collect();
        self.store.put_texts(&texts)?;
        Ok(hashes)
    }

    /// The text under that hash.
    ///
    /// # Errors
    /// [`JournalError::Damaged`] when what is kept there is not the text that the hash names.
    pub fn text(&self, hash: &TextHash) -> Result<Option<String>, JournalError> {
        let Some(bytes) = self.store.text(hash.as_str())? else {
            return Ok(None);
        };
        if TextHash::of(&bytes) == *hash
            && let Ok(text) = String::from_utf8(bytes)
        {
            return Ok(Some(text));
        }
        Err(JournalError::Damaged {
            path: self.path.clone().unwrap_or_default(),
            why: format!("the text kept as {hash} was changed"),
        })
    }

    /// Checks everything, from the first entry to the last.
    ///
    /// # Errors
    /// What kept the journal from being examined to its end. What is wrong with it is in the
    /// result.
    pub fn verify(&self) -> Result<Verified, JournalError> {
        self.verify_telling(&mut |_| ())
    }

    /// The same, and tells now and then how many entries were examined.
    ///
    /// # Errors
    /// As [`Journal::verify`].
    pub fn verify_telling(&self, so_far: &mut dyn FnMut(u64)) -> Result<Verified, JournalError> {
        verify::verify(self.store.as_ref(), so_far)
    }

    /// The hash of the last entry; `None` when there is none.
    ///
    /// # Errors
    /// As [`Journal::entries_after`].
    pub fn last_hash(&self) -> Result<Option<String>, JournalError> {
        Ok(self.store.last()?.map(|row| row.hash))
    }

    /// Writes every entry as one line of JSON, in the form described in [`row`].
    ///
    /// # Errors
    /// [`JournalError::Output`] when `out` refuses a line, [`JournalError::BadRow`] for an entry
    /// that cannot be read.
    pub fn export(&self, out: &mut dyn Write) -> Result<Exported, JournalError> {
        copy::export(self.store.as_ref(), out)
    }

    /// Copies the journal to a file that is not there yet, while it is in use, and checks the copy.
    /// A damaged journal is copied too; the result says what is wrong.
    ///
    /// # Errors
    /// [`JournalError::NotWritten`] when the copy cannot be written or is there already.
    pub fn backup(&self, to: &Path) -> Result<Verified, JournalError> {
        let from = self.path.as_deref().ok_or(JournalError::InMemory)?;
        copy::backup(from, to)
    }

    /// Holds a drain, or a walk without one, for this session until the result is dropped or the
    /// program ends.
    ///
    /// # Errors
    /// [`JournalError::Held`] when another running session holds it; it tells who and since when.
    pub fn hold(
        &self,
        held: Held,
        session: SessionId,
        by: &By,
        now: Moment,
    ) -> Result<Hold, JournalError> {
        let claim = hold::Claim { session, by, now };
        self.path.as_deref().map_or_else(
            || Ok(Hold::of_nothing()),
            |path| Hold::take(&open::holds_folder(path), held, claim),
        )
    }

    /// Takes a hold away from the running session that has it. To be followed by
    /// [`Journal::take_over`], after which that session can add nothing to the walk.
    ///
    /// # Errors
    /// [`JournalError::Held`] when yet another session was quicker.
    pub fn seize(
        &self,
        held: Held,
        session: SessionId,
        by: &By,
        now: Moment,
    ) -> Result<Hold, JournalError> {
        let claim = hold::Claim { session, by, now };
        self.path.as_deref().map_or_else(
            || Ok(Hold::of_nothing()),
            |path| Hold::seize(&open::holds_folder(path), held, claim),
        )
    }
}

/// The events among the entries of a walk, for replaying it.
///
/// # Errors
/// [`JournalError::NotReplayable`] when one of them cannot be read by this version.
pub fn events_of(entries: &[Entry]) -> Result<Vec<Event>, JournalError> {
    let mut events = Vec::new();
    for entry in entries {
        match (&entry.what, entry.state) {
            (What::Unread { kind, why }, Some(_)) => {
                return Err(JournalError::NotReplayable {
                    seq: entry.seq,
                    kind: kind.clone(),
                    why: why.clone(),
                });
            }
            _ => events.extend(entry.event()),
        }
    }
    Ok(events)
}

#[cfg(test)]
mod behaviour;
#[cfg(test)]
mod file_tests;
#[cfg(test)]
mod verify_tests;
