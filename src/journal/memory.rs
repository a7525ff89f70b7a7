//! A journal that is gone when the program ends: for tests, and for trying things out.

use std::collections::{BTreeMap, BTreeSet};

use super::charted;
use super::error::JournalError;
use super::row::Row;
use super::store::{Decide, Store, Visit, VisitSlim, Which};
use super::text_hash::TextHash;

/// Rows and texts in memory.
#[derive(Debug, Default)]
pub(super) struct MemoryStore {
    rows: Vec<Row>,
    texts: BTreeMap<String, String>,
}

/// True when the row opened, changed or closed a drain.
fn is_drain_fact(row: &Row) -> bool {
    matches!(
        row.kind.as_str(),
        "drain-opened" | "drain-changed" | "drain-closed"
    )
}

impl MemoryStore {
    fn chosen(&self, which: Which<'_>) -> Vec<Row> {
        let same = |column: &Option<String>, wanted: &str| column.as_deref() == Some(wanted);
        let walks: BTreeSet<&str> = match which {
            Which::Drain(drain) | Which::BegunOn(drain) => self
                .rows
                .iter()
                .filter(|row| same(&row.drain, drain))
                .filter_map(|row| row.walk.as_deref())
                .collect(),
            _ => BTreeSet::new(),
        };
        let begun = |row: &Row| row.kind == "begun";
        let open = |row: &Row| {
            let last = self
                .rows
                .iter()
                .rfind(|other| other.state.is_some() && other.walk == row.walk);
            last.and_then(|last| last.state.as_deref()) != Some("over")
        };
        let at = |number: i64| {
            let skipped = usize::try_from(number).ok()?.checked_sub(1)?;
            self.rows.iter().filter(|row| begun(row)).nth(skipped)
        };
        let wanted = |row: &&Row| match which {
            Which::After(seq) => row.seq > seq,
            Which::Id(id) => row.id == id,
            Which::Hash(hash) => row.hash == hash,
            Which::Walk(walk) => same(&row.walk, walk),
            Which::Drain(drain) => {
                same(&row.drain, drain)
                    || row.walk.as_deref().is_some_and(|walk| walks.contains(walk))
            }
            Which::DrainFacts(None) => is_drain_fact(row),
            Which::DrainFacts(Some(drain)) => is_drain_fact(row) && same(&row.drain, drain),
            Which::Begun => begun(row),
            Which::BegunOpen => begun(row) && open(row),
            Which::BegunOn(_) => {
                begun(row) && row.walk.as_deref().is_some_and(|walk| walks.contains(walk))
            }
            Which::BegunAt(number) => at(number).is_some_and(|one| one.seq == row.seq),
            Which::Records => row.kind == "record-written",
        };
        self.rows.iter().filter(wanted).cloned().collect()
    }
}

impl Store for MemoryStore {
    fn scan(&self, which: Which<'_>, visit: &mut Visit<'_>) -> Result<(), JournalError> {
        self.chosen(which)
            .into_iter()
            .try_for_each(|row| visit(Ok(row)))
    }

    fn scan_chart(
        &self,
        drain: &str,
        slim: &mut VisitSlim<'_>,
        other: &mut Visit<'_>,
    ) -> Result<(), JournalError> {
        self.chosen(Which::Drain(drain))
            .into_iter()
            .try_for_each(|row| match charted::is_charted(&row.kind) {
                true => slim(row.slim()),
                false => other(Ok(row)),
            })
    }

    fn last(&self) -> Result<Option<Row>, JournalError> {
        Ok(self.rows.last().cloned())
    }

    fn last_move(&self, walk: &str) -> Result<Option<Row>, JournalError> {
        let moved = |row: &&Row| row.state.is_some() && row.walk.as_deref() == Some(walk);
        Ok(self.rows.iter().rfind(moved).cloned())
    }

    fn begun_upto(&self, seq: i64) -> Result<i64, JournalError> {
        let begun = self
            .rows
            .iter()
            .filter(|row| row.kind == "begun" && row.seq <= seq);
        Ok(i64::try_from(begun.count()).unwrap_or(i64::MAX))
    }

    fn add(&mut self, decide: &mut Decide<'_>) -> Result<(), JournalError> {
        let added = decide(self)?;
        self.rows.extend(added);
        Ok(())
    }

    fn put_texts(&mut self, texts: &[(TextHash, &str)]) -> Result<(), JournalError> {
        for (hash, body) in texts {
            self.texts
                .entry(hash.as_str().to_owned())
                .or_insert_with(|| (*body).to_owned());
        }
        Ok(())
    }

    fn text(&self, hash: &str) -> Result<Option<Vec<u8>>, JournalError> {
        Ok(self.texts.get(hash).map(|body| body.clone().into_bytes()))
    }

    fn text_hashes(&self) -> Result<Vec<String>, JournalError> {
        Ok(self.texts.keys().cloned().collect())
    }

    fn repeated_ids(&self, visit: &mut dyn FnMut(i64, String)) -> Result<(), JournalError> {
        let mut seen = BTreeSet::new();
        for row in self.rows.iter().filter(|row| !seen.insert(row.id.as_str())) {
            visit(row.seq, row.id.clone());
        }
        Ok(())
    }

    fn own_faults(&self) -> Result<Vec<String>, JournalError> {
        Ok(Vec::new())
    }
}
