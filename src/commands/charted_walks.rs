//! The readings that walks hold. They are worked out of the answers each time, so that nothing is
//! kept twice: an answer that is taken back or marked leaves the chart by itself.

use std::collections::{BTreeMap, HashMap};

use crate::chart::reading::Reading;
use crate::chart::{Entry, EntryId, What as Charted};
use crate::checklist::model::Charts;
use crate::journal::{DrainId, Entry as Written, EntryId as WrittenId, Mark, What};
use crate::units::{Amount, Number};
use crate::walk::charts::charted;
use crate::walk::event::Happening;

use super::charting::chart_id;

/// What the walks of a drain say for its chart.
#[derive(Debug, Default)]
pub struct OfWalks<'a> {
    /// The readings, each under the number of its first answer, with the entry of that answer.
    pub readings: Vec<(Entry, &'a Written)>,
    /// Answers that were marked wrong in words from which no number can be taken.
    pub unsettled: Vec<String>,
}

/// The readings in the walks that belong to the drain now, out of all entries of the drain and
/// its walks. The numbers of one walk are one reading, at the time of its level; a number that is
/// read a second time begins another.
#[must_use]
pub fn of_walks(written: &[Written], drain: DrainId) -> OfWalks<'_> {
    let mut walks: BTreeMap<_, Vec<&Written>> = BTreeMap::new();
    let mut marks = HashMap::new();
    for entry in written {
        if let Some(walk) = entry.walk {
            walks.entry(walk).or_default().push(entry);
        }
        if let What::Amended {
            entry: of,
            mark: mark @ (Mark::Wrong | Mark::EnteredInError),
            text,
            ..
        } = &entry.what
        {
            marks.insert(*of, (*mark, text.as_str()));
        }
    }
    let mut found = OfWalks::default();
    for entries in walks.values() {
        let last = entries.iter().rfind(|entry| entry.state.is_some());
        if last.and_then(|last| last.drain) == Some(drain) {
            of_walk(entries, &marks, &mut found);
        }
    }
    found
}

type Marks<'a> = HashMap<WrittenId, (Mark, &'a str)>;

fn of_walk<'a>(entries: &[&'a Written], marks: &Marks<'_>, found: &mut OfWalks<'a>) {
    let (events, happened): (Vec<&'a Written>, Vec<&Happening>) = entries
        .iter()
        .filter_map(|entry| match &entry.what {
            What::Walk(happening) => Some((*entry, happening)),
            _ => None,
        })
        .unzip();
    let mut open: Option<(Entry, &'a Written, Reading)> = None;
    for one in charted(happened) {
        let Some(entry) = events.get(one.event).copied() else {
            continue;
        };
        let amount = match marks.get(&entry.id) {
            None => Some(one.amount),
            Some((Mark::Wrong, text)) => corrected(text, one.charts),
            Some(_) => continue,
        };
        let number = amount.and_then(|amount| amount.to(one.charts.unit()).ok());
        let Some(number) = number.map(|amount| amount.number) else {
            found.unsettled.push(format!(
                "Answer {} ({}) was marked wrong, and the words beside it hold no {} with its \
                 unit: enter what is right with tubeside chart add",
                entry.seq,
                one.amount,
                one.charts.word().replace('-', " ")
            ));
            continue;
        };
        if open
            .as_ref()
            .is_some_and(|(_, _, r)| place(r, one.charts).is_some())
        {
            close(open.take(), found);
        }
        let (row, _, reading) = open.get_or_insert_with(|| (row(entry), entry, Reading::default()));
        *place_in(reading, one.charts) = Some(number);
        if one.charts == Charts::Level {
            row.at = entry.seen;
            row.written_at = entry.written;
        }
    }
    close(open, found);
}

/// The number in the words beside an answer that was marked wrong, such as "230 mL".
fn corrected(text: &str, charts: Charts) -> Option<Amount> {
    let amount = Amount::parse(text).ok()?;
    let fits = amount.to(charts.unit()).is_ok() && amount.number >= Number::whole(0);
    fits.then_some(amount)
}

fn row(entry: &Written) -> Entry {
    Entry {
        id: EntryId(chart_id(entry).0),
        at: entry.seen,
        written_at: entry.written,
        what: Charted::Reading(Box::default()),
    }
}

fn close<'a>(open: Option<(Entry, &'a Written, Reading)>, found: &mut OfWalks<'a>) {
    if let Some((entry, written, reading)) = open {
        let what = Charted::Reading(Box::new(reading));
        found.readings.push((Entry { what, ..entry }, written));
    }
}

const fn place(reading: &Reading, charts: Charts) -> Option<Number> {
    match charts {
        Charts::Level => reading.level,
        Charts::SealDepth => reading.seal_depth,
    }
}

const fn place_in(reading: &mut Reading, charts: Charts) -> &mut Option<Number> {
    match charts {
        Charts::Level => &mut reading.level,
        Charts::SealDepth => &mut reading.seal_depth,
    }
}
