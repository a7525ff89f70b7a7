//! What is open, and what is known, without replaying anything.

use std::collections::BTreeMap;

use super::entry::{DrainSummary, Entry, WalkState, WalkSummary, What};
use super::error::JournalError;
use super::ids::{DrainId, WalkId};
use super::row::Row;
use super::store::{Store, Which, rows};

/// What is known of a walk.
pub(super) fn walk(store: &dyn Store, walk: &WalkId) -> Result<Option<WalkSummary>, JournalError> {
    let walk = walk.to_string();
    let begun = rows(store, Which::Walk(&walk))?
        .into_iter()
        .find(|row| row.kind == "begun");
    begun.map_or(Ok(None), |begun| summary(store, &begun))
}

/// What is known of every walk, in the order in which they began.
pub(super) fn walks(store: &dyn Store) -> Result<Vec<WalkSummary>, JournalError> {
    let begun = rows(store, Which::Begun)?;
    begun
        .iter()
        .filter_map(|begun| summary(store, begun).transpose())
        .collect()
}

fn summary(store: &dyn Store, begun: &Row) -> Result<Option<WalkSummary>, JournalError> {
    let begun = begun.entry()?;
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
