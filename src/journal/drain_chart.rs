//! Reads what was charted for a drain quickly: a drain of a year has tens of thousands of readings.
//!
//! Of a charted entry only what the chart needs is read and checked: its place, kind, both times,
//! its writer and its body. Its identifiers and its hash are looked at by the full check alone.

use crate::chart::{self, EntryId};
use crate::moment::Moment;

use super::charted;
use super::entry::{By, Entry};
use super::error::JournalError;
use super::ids::DrainId;
use super::moment_text;
use super::store::{BadColumn, Slim, Store};

/// What the journal holds for the chart of a drain.
#[derive(Debug, Default)]
pub struct DrainChart {
    /// What was charted, in order, each with the place of its writer among `people`.
    pub charted: Vec<(chart::Entry, usize)>,
    /// Who wrote it.
    pub people: Vec<By>,
    /// Every other entry of the drain and of the walks that were ever its own, in order.
    pub others: Vec<Entry>,
}

impl DrainChart {
    /// What was charted for the drain, as far as that place.
    ///
    /// # Errors
    /// [`JournalError::ChartUnread`] when an entry about the drain cannot be read by this version;
    /// a sum without it could be wrong. [`JournalError::BadRow`] for one that cannot be read at all.
    pub(super) fn read(
        store: &dyn Store,
        drain: &DrainId,
        upto: i64,
    ) -> Result<Self, JournalError> {
        let mut found = Self::default();
        let mut others = Vec::new();
        store.scan_chart(
            &drain.to_string(),
            &mut |slim| match slim.seq <= upto {
                true => found.take(&slim),
                false => Ok(()),
            },
            &mut |row| {
                let entry = row.map_err(BadColumn::into_error)?.into_entry()?;
                if entry.seq <= upto {
                    charted::is_of_no_chart(&entry)?;
                    others.push(entry);
                }
                Ok(())
            },
        )?;
        others.sort_by_key(|entry| entry.seq);
        Ok(Self { others, ..found })
    }

    fn take(&mut self, slim: &Slim<'_>) -> Result<(), JournalError> {
        let seq = slim.seq;
        let what = charted::read(slim.kind, slim.body);
        let what = what.and_then(|what| what.ok_or_else(|| "it is not of the chart".to_owned()));
        let what = what.map_err(|why| JournalError::ChartUnread {
            seq,
            kind: slim.kind.to_owned(),
            why,
        })?;
        let moment =
            |text: &str| moment_text::read(text).map_err(|why| JournalError::BadRow { seq, why });
        let at: Moment = moment(slim.seen_at)?;
        // Mostly a reading is written when it is seen.
        let written_at = match slim.written_at == slim.seen_at {
            true => at,
            false => moment(slim.written_at)?,
        };
        let same = |by: &By| by.initials == slim.initials && by.role == slim.role;
        let writer = self.people.iter().rposition(same).unwrap_or_else(|| {
            self.people.push(By {
                initials: slim.initials.to_owned(),
                role: slim.role.to_owned(),
            });
            self.people.len() - 1
        });
        let id = EntryId(seq.unsigned_abs());
        let entry = chart::Entry {
            id,
            at,
            written_at,
            what,
        };
        self.charted.push((entry, writer));
        Ok(())
    }
}
