//! The readings that walks hold. They are worked out of the answers each time, so that nothing is
//! kept twice: an answer that is taken back or marked leaves the chart by itself.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use crate::chart::reading::{Bubbling, Chamber, Reading, Swing};
use crate::chart::{Entry, EntryId, What as Charted};
use crate::checklist::model::Charts;
use crate::journal::{DrainId, Entry as Written, EntryId as WrittenId, Mark, What};
use crate::units::{Amount, Number};
use crate::walk::charts::{Charted as OfAnswer, charted};
use crate::walk::event::Happening;

use super::charting::chart_id;

/// What the walks of a drain say for its chart.
#[derive(Debug, Default)]
pub struct OfWalks<'a> {
    /// The readings, each under the number of its first answer, with the entry of that answer.
    pub readings: Vec<(Entry, &'a Written)>,
    /// Answers that were marked wrong in words from which nothing can be taken.
    pub unsettled: Vec<String>,
}

/// The readings in the walks that belong to the drain now, out of all entries of the drain and
/// its walks. The answers of one walk are one reading, at the time of its level; what is read or
/// looked at a second time begins another.
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
        let seen = match marks.get(&entry.id) {
            None => Seen::of(one.charts, one.amount),
            Some((Mark::Wrong, text)) => Seen::corrected(one.charts, text),
            Some(_) => continue,
        };
        let Some(seen) = seen else {
            found.unsettled.push(unsettled(entry, &one));
            continue;
        };
        if open.as_ref().is_some_and(|(_, _, r)| seen.stands_in(r)) {
            close(open.take(), found);
        }
        let (row, _, reading) = open.get_or_insert_with(|| (row(entry), entry, Reading::default()));
        seen.put_in(reading);
        if one.charts == Charts::Level {
            row.at = entry.seen;
            row.written_at = entry.written;
        }
    }
    close(open, found);
}

fn unsettled(entry: &Written, one: &OfAnswer) -> String {
    let what = one.charts.what();
    let wanted = match one.charts.unit() {
        Some(_) => format!("no {what} with its unit"),
        None => format!("none of the words of the chart for {what}"),
    };
    format!(
        "Answer {} ({}) was marked wrong, and the words beside it hold {wanted}: enter what is \
         right with tubeside chart add",
        entry.seq, one.words
    )
}

fn row(entry: &Written) -> Entry {
    Entry {
        id: EntryId(chart_id(entry).0),
        at: entry.seen,
        written_at: entry.written,
        what: Charted::Reading(Arc::default()),
    }
}

fn close<'a>(open: Option<(Entry, &'a Written, Reading)>, found: &mut OfWalks<'a>) {
    if let Some((entry, written, reading)) = open {
        let what = Charted::Reading(Arc::new(reading));
        found.readings.push((Entry { what, ..entry }, written));
    }
}

/// What an answer puts into a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Seen {
    Level(Number),
    SealDepth(Number),
    Swing(Swing),
    Bubbling(Bubbling),
}

impl Seen {
    /// What an answer is for the chart. `None` for a number in another unit than the chart's.
    fn of(charts: Charts, amount: Option<Amount>) -> Option<Self> {
        let number = || Some(amount?.to(charts.unit()?).ok()?.number);
        Some(match charts {
            Charts::Level => Self::Level(number()?),
            Charts::SealDepth => Self::SealDepth(number()?),
            Charts::SwingNone => Self::Swing(Swing::None),
            Charts::SwingSeen => Self::Swing(Swing::Seen),
            Charts::SwingSmall => Self::Swing(Swing::Small),
            Charts::SwingLarge => Self::Swing(Swing::Large),
            Charts::BubblingNone => Self::Bubbling(Bubbling::None),
            Charts::BubblingOnCough => Self::Bubbling(Bubbling::OnCough),
            Charts::BubblingOnBreathOut => Self::Bubbling(Bubbling::OnBreathOut),
            Charts::BubblingOnBreathIn => Self::Bubbling(Bubbling::OnBreathIn),
            Charts::BubblingAllTheTime => Self::Bubbling(Bubbling::AllTheTime),
        })
    }

    /// What the words say that stand beside an answer that was marked wrong: a number with its
    /// unit, such as "230 mL", or a look, such as "swing small" or "small".
    fn corrected(charts: Charts, text: &str) -> Option<Self> {
        if charts.unit().is_some() {
            let amount = Amount::parse(text).ok()?;
            let fits = amount.number >= Number::whole(0);
            return Self::of(charts, fits.then_some(amount));
        }
        let what = charts.what();
        let text = text.trim().to_lowercase();
        let look = text.strip_prefix(what).unwrap_or(&text).trim();
        let right = Charts::parse(&format!("{what} {look}"))?;
        Self::of(right, None)
    }

    /// Whether the reading has one already.
    const fn stands_in(self, reading: &Reading) -> bool {
        match self {
            Self::Level(_) => reading.level.is_some(),
            Self::SealDepth(_) => reading.seal_depth.is_some(),
            Self::Swing(_) => reading.swing.is_some(),
            Self::Bubbling(_) => reading.bubbling.is_some(),
        }
    }

    const fn put_in(self, reading: &mut Reading) {
        match self {
            Self::Level(number) => reading.level = Some(number),
            Self::SealDepth(number) => reading.seal_depth = Some(number),
            Self::Swing(swing) => reading.swing = Some(swing),
            Self::Bubbling(bubbling) => {
                reading.bubbling = Some(bubbling);
                // A list that asks for a look means the water seal.
                reading.chamber = Some(Chamber::Seal);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_a_look_are_those_of_the_chart() {
        for charts in Charts::all(false) {
            let word = match Seen::of(charts, None) {
                Some(Seen::Swing(swing)) => format!("swing {swing}"),
                Some(Seen::Bubbling(bubbling)) => format!("bubbling {bubbling}"),
                other => panic!("{charts}: {other:?}"),
            };
            assert_eq!(word, charts.word());
        }
        let all = Swing::ALL.len() + Bubbling::ALL.len();
        assert_eq!(Charts::all(false).len(), all);
    }

    #[test]
    fn what_stands_beside_a_wrong_answer_is_read_in_the_words_of_the_chart() {
        let right = |text| Seen::corrected(Charts::SwingNone, text);
        assert_eq!(right("small"), Some(Seen::Swing(Swing::Small)));
        assert_eq!(right(" Swing none "), Some(Seen::Swing(Swing::None)));
        assert_eq!(right("bubbling none"), None);
        assert_eq!(right("it moved"), None);
        assert_eq!(Seen::corrected(Charts::Level, "small"), None);
        assert_eq!(Seen::corrected(Charts::Level, "-2 mL"), None);
        let level = Seen::Level(Number::whole(230));
        assert_eq!(Seen::corrected(Charts::Level, "0.23 L"), Some(level));
    }
}
