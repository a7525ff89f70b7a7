//! What a signature means for what comes after it: before it nothing is changed any more.
//!
//! A walk is signed by itself or with its drain. After that only addenda are taken for the entries
//! that stand before the signature (AHIMA, documentation in long-term care; Medicare Program
//! Integrity Manual, chapter 3, section 3.2.5: amendments keep the original and are dated).

use super::entry::{Mark, NewEntry, WalkState, What};
use super::error::JournalError;
use super::ids::EntryId;
use super::row::Row;
use super::store::{Store, Which, rows};

/// Whether the entry may be added as far as signatures are concerned.
///
/// # Errors
/// [`JournalError::Sealed`], [`JournalError::NotOver`], [`JournalError::Unsigned`] or
/// [`JournalError::NoSuchEntry`]; or what went wrong with the store.
pub(super) fn allows(store: &dyn Store, new: &NewEntry) -> Result<(), JournalError> {
    match &new.what {
        What::Signed { .. } => may_sign(store, new),
        What::Amended { entry, mark, .. } => may_amend(store, *entry, *mark),
        What::Attached { .. } => match new.walk {
            Some((walk, _)) => refuse_sealed(store, Some(&walk.to_string()), None, 0),
            None => Ok(()),
        },
        _ => Ok(()),
    }
}

fn may_sign(store: &dyn Store, new: &NewEntry) -> Result<(), JournalError> {
    if new.by.initials.is_empty() || new.by.role.is_empty() {
        return Err(JournalError::Unsigned);
    }
    let Some((walk, _)) = new.walk else {
        return Ok(());
    };
    let over = store
        .last_move(&walk.to_string())?
        .is_some_and(|row| row.state.as_deref() == Some(WalkState::Over.word()));
    if over {
        Ok(())
    } else {
        Err(JournalError::NotOver { walk })
    }
}

fn may_amend(store: &dyn Store, entry: EntryId, mark: Mark) -> Result<(), JournalError> {
    let found = rows(store, Which::Id(&entry.to_string()))?.pop();
    let row = found.ok_or(JournalError::NoSuchEntry { entry })?;
    match mark {
        Mark::Addendum => Ok(()),
        Mark::Wrong | Mark::EnteredInError => {
            refuse_sealed(store, row.walk.as_deref(), row.drain.as_deref(), row.seq)
        }
    }
}

/// Refuses when the walk or the drain was signed after that place of the journal.
fn refuse_sealed(
    store: &dyn Store,
    walk: Option<&str>,
    drain: Option<&str>,
    seq: i64,
) -> Result<(), JournalError> {
    let mut drains: Vec<String> = drain.map(str::to_owned).into_iter().collect();
    let mut seals: Vec<Row> = Vec::new();
    let mut after = seq;
    if let Some(walk) = walk {
        let of_walk = rows(store, Which::Walk(walk))?;
        after = after.max(of_walk.first().map_or(0, |row| row.seq));
        drains.extend(of_walk.iter().filter_map(|row| row.drain.clone()));
        seals.extend(of_walk.into_iter().filter(is_seal));
    }
    drains.sort();
    drains.dedup();
    for drain in &drains {
        let of_drain = rows(store, Which::Drain(drain))?;
        seals.extend(
            of_drain
                .into_iter()
                .filter(|row| is_seal(row) && row.walk.is_none()),
        );
    }
    let Some(seal) = seals.iter().find(|row| row.seq > after) else {
        return Ok(());
    };
    let seal = seal.entry()?;
    Err(JournalError::Sealed {
        by: seal.by,
        since: seal.written,
    })
}

fn is_seal(row: &Row) -> bool {
    row.kind == "signed"
}
