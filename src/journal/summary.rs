//! What is open, and what is known, without replaying anything.

use std::collections::BTreeMap;

use super::entry::{DrainSummary, Entry, WalkState, WalkSummary, What};
use super::error::JournalError;
use super::ids::{DrainId, WalkId};
use super::row::Row;
use super::store::{BadColumn, Store, Which, rows};

/// What is known of a walk.
pub(super) fn walk(store: &dyn Store, walk: &WalkId) -> Result<Option<WalkSummary>, JournalError> {
    let walk = walk.to_string();
    let begun = rows(store, Which::Walk(&walk))?
        .into_iter()
        .find(|row| row.kind == "begun");
    let Some(begun) = begun else { return Ok(None) };
    let number = store.begun_upto(begun.seq)?;
    summary(store, begun, number)
}

/// What is known of every walk, one by one in the order in which they began.
pub(super) fn each_walk(
    store: &dyn Store,
    visit: &mut dyn FnMut(WalkSummary) -> Result<(), JournalError>,
) -> Result<(), JournalError> {
    let mut number = 0;
    store.scan(Which::Begun, &mut |scanned| {
        number += 1;
        let begun = scanned.map_err(BadColumn::into_error)?;
        summary(store, begun, number)?.map_or(Ok(()), &mut *visit)
    })
}

/// What is known of these walks, few among all, in the order in which they began.
pub(super) fn walks(store: &dyn Store, which: Which<'_>) -> Result<Vec<WalkSummary>, JournalError> {
    let mut found = Vec::new();
    for begun in rows(store, which)? {
        let number = store.begun_upto(begun.seq)?;
        found.extend(summary(store, begun, number)?);
    }
    Ok(found)
}

fn summary(
    store: &dyn Store,
    begun: Row,
    number: i64,
) -> Result<Option<WalkSummary>, JournalError> {
    let begun = begun.into_entry()?;
    let Some(walk) = begun.walk else {
        return Ok(None);
    };
    let Some(last) = store.last_move(&walk.to_string())? else {
        return Ok(None);
    };
    let last = last.entry()?;
    let list = match begun.what {
        What::Begun { list, .. } => Some(list),
        _ => None,
    };
    Ok(Some(WalkSummary {
        number: number.unsigned_abs(),
        walk,
        drain: last.drain,
        list,
        begun: begun.seen,
        begun_by: begun.by,
        state: last.state.unwrap_or(WalkState::Going),
        session: last.session,
        last_written: last.written,
        last_by: last.by,
        rehearsal: last.rehearsal,
        first_seq: begun.seq,
        last_seq: last.seq,
    }))
}

/// Every drain in the order in which they were opened; of each nothing but this is held.
pub(super) fn drain_ids(store: &dyn Store) -> Result<Vec<DrainId>, JournalError> {
    let mut ids = Vec::new();
    store.scan(Which::DrainFacts(None), &mut |scanned| {
        let row = scanned.map_err(BadColumn::into_error)?;
        if row.kind == "drain-opened" {
            ids.extend(row.into_entry()?.drain);
        }
        Ok(())
    })?;
    Ok(ids)
}

/// What is known of the drains that these rows speak of, in the order in which they were opened.
pub(super) fn drains(
    store: &dyn Store,
    which: Which<'_>,
) -> Result<Vec<DrainSummary>, JournalError> {
    let mut drains: BTreeMap<DrainId, DrainSummary> = BTreeMap::new();
    let mut order = Vec::new();
    for row in rows(store, which)? {
        let entry = row.entry()?;
        let Some(drain) = entry.drain else { continue };
        let summary = drains.entry(drain).or_insert_with(|| {
            order.push(drain);
            DrainSummary {
                drain,
                facts: BTreeMap::new(),
                opened: entry.seen,
                closed: None,
                unread: false,
                rehearsal: false,
                last_seq: entry.seq,
            }
        });
        learn(summary, entry);
    }
    Ok(order
        .iter()
        .filter_map(|drain| drains.remove(drain))
        .collect())
}

fn learn(summary: &mut DrainSummary, entry: Entry) {
    summary.last_seq = entry.seq;
    summary.rehearsal |= entry.rehearsal;
    match entry.what {
        What::DrainOpened { facts } | What::DrainChanged { facts, .. } => summary.facts = facts,
        What::DrainClosed { how } => summary.closed = Some((entry.seen, how)),
        _ => summary.unread = true,
    }
}
