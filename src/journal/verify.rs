//! Checking the journal from its first row to its last.
//!
//! **What this can show.** Any change to a row, a row taken out, put in or moved, when the hashes
//! after it were not all worked out anew; and damage by the disk. **What it cannot show.** Rows cut
//! off at the end, and a whole chain rebuilt by somebody who may write the file. Both are found only
//! by comparing with a hash kept elsewhere: every record ends with one.

use std::collections::BTreeMap;
use std::fmt;

use serde::de::IgnoredAny;

use super::entry::What;
use super::error::JournalError;
use super::row::{NO_PREVIOUS, Row};
use super::store::{BadColumn, Scanned, Store, Which};
use super::text_hash::TextHash;

/// What was examined, and what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verified {
    /// How many entries there are.
    pub entries: u64,
    /// How many texts are kept.
    pub texts: u64,
    /// The hash of the last entry; `None` when there is none.
    pub last_hash: Option<String>,
    /// What is wrong, in the order of the entries: at most the first [`SHOWN`] faults.
    pub faults: Vec<Fault>,
    /// How many more faults there are.
    pub more: u64,
}

/// So many faults are told in full, the others counted: a file that was changed throughout has one
/// for every entry (our own choice, no source).
pub const SHOWN: usize = 100;

/// Something wrong with the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The place of the entry; `None` when it is not about one.
    pub seq: Option<i64>,
    /// What is wrong.
    pub what: FaultKind,
}

/// What can be wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FaultKind {
    /// The hash kept with the entry is not that of its line: the entry was changed, or what stood
    /// before it was changed, removed or added.
    Hash {
        /// The hash kept.
        kept: String,
        /// The hash that its line has.
        found: TextHash,
    },
    /// Entries are missing before this one: from this place on.
    Gap {
        /// The first place that is missing.
        missing: i64,
    },
    /// A column holds what it should not.
    Column(&'static str),
    /// The entry cannot be read, though its hash is right.
    Unreadable(String),
    /// Two entries have the same identifier.
    SameId(String),
    /// A checklist text that the entry goes by is not kept.
    TextMissing(TextHash),
    /// A text is not the one that its hash names.
    TextChanged(String),
    /// The file itself is not as it should be.
    Store(String),
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.seq {
            Some(seq) => write!(f, "entry {seq}: ")?,
            None => write!(f, "the file: ")?,
        }
        match &self.what {
            FaultKind::Hash { .. } => write!(
                f,
                "its hash does not fit: it, or what stands before it, was changed"
            ),
            FaultKind::Gap { missing } => {
                write!(f, "entries are missing before it, from {missing} on")
            }
            FaultKind::Column(column) => {
                write!(f, "column {column} does not hold what it should")
            }
            FaultKind::Unreadable(why) => write!(f, "it cannot be read ({why})"),
            FaultKind::SameId(id) => write!(f, "its identifier {id} was used before"),
            FaultKind::TextMissing(hash) => {
                write!(f, "the checklist text {hash} that it goes by is missing")
            }
            FaultKind::TextChanged(hash) => write!(f, "the text kept as {hash} was changed"),
            FaultKind::Store(why) => f.write_str(why),
        }
    }
}

/// Checks everything; `so_far` is told now and then how many entries were examined. What is held in
/// memory does not grow with the journal.
///
/// # Errors
/// What kept the journal from being examined to its end.
pub(super) fn verify(
    store: &dyn Store,
    so_far: &mut dyn FnMut(u64),
) -> Result<Verified, JournalError> {
    let mut check = Check::default();
    store.scan(Which::After(i64::MIN), &mut |scanned| {
        check.row(scanned);
        if check.entries.is_multiple_of(EVERY) {
            so_far(check.entries);
        }
        Ok(())
    })?;
    check.ids(store)?;
    let texts = check.texts(store)?;
    for why in store.own_faults()? {
        check.faults.push(Fault {
            seq: None,
            what: FaultKind::Store(why),
        });
    }
    Ok(Verified {
        entries: check.entries,
        texts,
        last_hash: check.last_hash,
        faults: check.faults,
        more: check.more,
    })
}

/// After how many entries it is told how far the check has come.
const EVERY: u64 = 50_000;

/// A check under way: what the next row is held against, and what was found so far.
#[derive(Default)]
pub(super) struct Check {
    entries: u64,
    pub(super) expected: i64,
    pub(super) last_hash: Option<String>,
    wanted: BTreeMap<TextHash, i64>,
    /// At most [`SHOWN`] about entries; beyond them there are a few about the file as a whole.
    pub(super) faults: Vec<Fault>,
    more: u64,
}

impl Check {
    fn fault(&mut self, seq: i64, what: FaultKind) {
        if self.faults.len() >= SHOWN {
            self.more += 1;
            return;
        }
        self.faults.push(Fault {
            seq: Some(seq),
            what,
        });
    }

    /// Identifiers that were used before; of all faults so far those of the first entries stay.
    fn ids(&mut self, store: &dyn Store) -> Result<(), JournalError> {
        let mut first: BTreeMap<i64, String> = BTreeMap::new();
        let mut more = 0;
        store.repeated_ids(&mut |seq, id| {
            first.insert(seq, id);
            if first.len() > SHOWN {
                first.pop_last();
                more += 1;
            }
        })?;
        let again = first.into_iter().map(|(seq, id)| Fault {
            seq: Some(seq),
            what: FaultKind::SameId(id),
        });
        self.faults.extend(again);
        self.faults.sort_by_key(|fault| fault.seq);
        let kept = self.faults.len().min(SHOWN);
        self.more += more + (self.faults.drain(kept..).count() as u64);
        Ok(())
    }

    /// Checks the next row.
    pub(super) fn row(&mut self, scanned: Scanned) {
        self.entries += 1;
        self.expected += 1;
        match scanned {
            Ok(row) => self.good_row(row),
            Err(BadColumn { seq, column }) => {
                let seq = seq.unwrap_or(self.expected);
                self.fault(seq, FaultKind::Column(column));
                self.expected = seq;
                // The next row cannot be checked against this one; it will not fit.
                self.last_hash = None;
            }
        }
    }

    fn good_row(&mut self, row: Row) {
        let missing = self.expected;
        if row.seq != missing {
            self.fault(row.seq, FaultKind::Gap { missing });
        }
        self.expected = row.seq;
        let prev = self.last_hash.as_deref().unwrap_or(NO_PREVIOUS);
        let found = row.hash_after(prev);
        if found.as_str() != row.hash {
            let kept = row.hash.clone();
            self.fault(row.seq, FaultKind::Hash { kept, found });
        }
        self.last_hash = Some(row.hash.clone());
        let seq = row.seq;
        match readable(row) {
            Ok(What::Begun { shelf, .. }) => {
                for hash in shelf.files.into_values() {
                    self.wanted.entry(hash).or_insert(seq);
                }
            }
            Ok(_) => {}
            Err(why) => self.fault(seq, FaultKind::Unreadable(why)),
        }
    }

    fn texts(&mut self, store: &dyn Store) -> Result<u64, JournalError> {
        let kept = store.text_hashes()?;
        for hash in &kept {
            let body = store.text(hash)?.unwrap_or_default();
            if TextHash::of(&body).as_str() != hash {
                self.faults.push(Fault {
                    seq: None,
                    what: FaultKind::TextChanged(hash.clone()),
                });
            }
        }
        for (hash, seq) in std::mem::take(&mut self.wanted) {
            if kept.iter().all(|other| other != hash.as_str()) {
                self.fault(seq, FaultKind::TextMissing(hash));
            }
        }
        Ok(kept.len() as u64)
    }
}

/// What a row says. It can be read when its columns can, and its body is one JSON object on one
/// line. A kind that this version does not know is no fault.
fn readable(row: Row) -> Result<What, String> {
    let entry = row.into_entry().map_err(|error| match error {
        JournalError::BadRow { why, .. } => why,
        other => other.to_string(),
    })?;
    if entry.body.contains(['\n', '\r']) {
        return Err("its body is not on one line".to_owned());
    }
    serde_json::from_str::<BTreeMap<String, IgnoredAny>>(&entry.body)
        .map_err(|error| format!("its body is not a JSON object: {error}"))?;
    Ok(entry.what)
}

/// What is wrong with the last row, if anything: the quick look on opening.
///
/// # Errors
/// What kept it from being examined.
pub(super) fn last_row(store: &dyn Store) -> Result<Option<Fault>, JournalError> {
    let last = match store.last() {
        Ok(Some(last)) => last,
        Ok(None) => return Ok(None),
        Err(JournalError::BadRow { seq, why }) => {
            return Ok(Some(Fault {
                seq: Some(seq),
                what: FaultKind::Unreadable(why),
            }));
        }
        Err(error) => return Err(error),
    };
    let mut check = Check::default();
    let before = last.seq.saturating_sub(2);
    store.scan(Which::After(before), &mut |scanned| {
        match scanned {
            Ok(row) if row.seq < last.seq => {
                check.expected = row.seq;
                check.last_hash = Some(row.hash);
            }
            other => check.row(other),
        }
        Ok(())
    })?;
    check.faults.truncate(1);
    Ok(check.faults.pop())
}
