//! What was entered for one drain, put in order, and the line of output it gives.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::curve::{Curve, Point};
use super::problem::Problem;
use super::reading::Reading;
use crate::moment::Moment;
use crate::names::words;
use crate::units::{Number, Span};

/// Which entry: its place in the order of writing. A later entry has a larger number, and no two
/// entries of a drain have the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntryId(pub u64);

/// Something entered for a drain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its place in the order of writing.
    pub id: EntryId,
    /// When it was seen or happened.
    pub at: Moment,
    /// When it was written down.
    pub written_at: Moment,
    /// What it says.
    pub what: What,
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// A look at the drain.
    Reading(Arc<Reading>),
    /// An earlier reading was wrong: this stands in its place, at this entry's `at`. `None`
    /// strikes it out. The earlier one stays in the journal.
    Correction {
        /// The reading, or an earlier correction of it.
        of: EntryId,
        /// What stands instead.
        reading: Option<Arc<Reading>>,
    },
    /// Another drainage unit was connected.
    NewUnit {
        /// The last level on the old one, mL. Without it, the output since the last reading is
        /// not known.
        last_level: Option<Number>,
        /// What already stood in the new one, mL; usually 0.
        start: Number,
        /// The graduation of the new one, mL. `None` when not known.
        graduation: Option<Number>,
    },
    /// The level on the same drainage unit no longer continues the old one; counting goes on
    /// from here.
    Baseline {
        /// The level from which counting goes on, mL.
        level: Number,
        /// Why.
        why: BaselineReason,
    },
    /// Something happened.
    Event(ChartEvent),
}

words! {
    /// Why a level no longer continues the one before.
    BaselineReason {
        /// The drainage unit was tilted.
        Tilt = "tilted",
        /// It was knocked over, or fluid moved between chambers or was lost.
        Spill = "spilled",
        /// The level before, or this one, was misread, and it cannot be said which.
        Misread = "misread",
        /// The drainage unit was changed and nobody wrote when.
        Changed = "changed",
    }

    /// Things after which the drain is looked at more often.
    ChartEvent {
        /// A joint came apart.
        Disconnected = "disconnected",
        /// The patient was moved.
        Transfer = "transfer",
        /// A clamp was put on.
        ClampOn = "clamp on",
        /// The clamp was taken off.
        ClampOff = "clamp off",
        /// Suction was started.
        SuctionOn = "suction on",
        /// Suction was stopped.
        SuctionOff = "suction off",
        /// A limit was met.
        LimitReached = "limit reached",
    }
}

/// The beginning of a drain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DrainStart {
    /// When the drain was connected.
    pub at: Moment,
    /// What already stood in the drainage unit, mL; usually 0.
    pub level: Number,
    /// The graduation of the drainage unit, mL. `None` when not known: then no range can be given.
    pub graduation: Option<Number>,
}

/// "03 Jan 10:00".
pub(super) fn clock(at: Moment) -> String {
    at.format("%d %b %H:%M").to_string()
}

/// Levels above this many thousandths of a millilitre (1000 L) are refused, so that sums fit.
const MOST: i64 = 1_000_000_000;
/// Ten years in seconds: the same for times.
const LONGEST: i64 = 10 * 366 * 86_400;

/// The entries of one drain in order of when they were seen, corrections applied.
#[derive(Debug, Clone)]
pub struct Series {
    start: DrainStart,
    entries: Vec<Entry>,
    problems: Vec<Problem>,
    pub(super) curve: Curve,
}

impl Series {
    /// Puts entries in order and works out the line of output. Nothing is refused: what cannot be
    /// counted is named in [`Series::problems`]. The order in which entries are given does not matter.
    #[must_use]
    pub fn new(start: DrainStart, entries: impl IntoIterator<Item = Entry>) -> Self {
        let mut problems = Vec::new();
        let mut entries = corrected(entries, &mut problems);
        entries.retain(|entry| {
            let since = entry.at.timestamp() - start.at.timestamp();
            let problem = match since {
                ..0 => Problem::BeforeStart {
                    entry: entry.id,
                    at: entry.at,
                },
                0..=LONGEST if levels(&entry.what).all(|n| (0..=MOST).contains(&n.milli())) => {
                    return true;
                }
                _ => Problem::OutOfRange { entry: entry.id },
            };
            problems.push(problem);
            false
        });
        entries.sort_by_key(|entry| (entry.at.timestamp(), entry.id));
        let mut line = Line::new(&start);
        for moment in entries.chunk_by_mut(|a, b| a.at.timestamp() == b.at.timestamp()) {
            line.settle_order(moment);
            moment.iter().for_each(|entry| line.take(entry));
        }
        problems.extend(line.problems);
        Self {
            start,
            entries,
            problems,
            curve: Curve::through(line.points),
        }
    }

    /// The beginning of the drain.
    #[must_use]
    pub const fn start(&self) -> &DrainStart {
        &self.start
    }

    /// The entries that count, in order of when they were seen. A correction stands as the
    /// reading it puts in place, under the number of the correction.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The readings, in order.
    pub fn readings(&self) -> impl DoubleEndedIterator<Item = (&Entry, &Reading)> {
        self.entries.iter().filter_map(|entry| match &entry.what {
            What::Reading(reading) => Some((entry, &**reading)),
            _ => None,
        })
    }

    /// The events, in order. A change of drainage unit is not among them.
    pub fn events(&self) -> impl Iterator<Item = (&Entry, ChartEvent)> {
        self.entries.iter().filter_map(|entry| match entry.what {
            What::Event(event) => Some((entry, event)),
            _ => None,
        })
    }

    /// What a person must settle.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    /// The last reading with a level, on whichever drainage unit.
    #[must_use]
    pub fn last_level(&self) -> Option<(&Entry, Number)> {
        self.readings()
            .rev()
            .find_map(|(entry, reading)| Some((entry, reading.level?)))
    }

    /// The entries written down more than this long after they were seen.
    #[must_use]
    pub fn late(&self, after: Span) -> Vec<EntryId> {
        let is_late = |e: &&Entry| e.written_at - e.at > after.to_delta();
        self.entries.iter().filter(is_late).map(|e| e.id).collect()
    }

    /// The moment of that second, with the offset of the last entry before it, or of the start, so
    /// that after a change of summer time it is shown as the clock on the wall showed it.
    pub(super) fn moment(&self, second: i64) -> Moment {
        let past = self.entries.partition_point(|e| e.at.timestamp() <= second);
        let near = past.checked_sub(1).and_then(|i| self.entries.get(i));
        let near = near.map_or(self.start.at, |entry| entry.at);
        chrono::TimeDelta::try_seconds(second - near.timestamp())
            .and_then(|delta| near.checked_add_signed(delta))
            .unwrap_or(near)
    }
}

/// The levels an entry speaks of, mL.
fn levels(what: &What) -> impl Iterator<Item = Number> {
    let found = match what {
        What::Reading(reading) => [reading.level, None, None],
        What::NewUnit {
            last_level,
            start,
            graduation,
        } => [*last_level, Some(*start), *graduation],
        What::Baseline { level, .. } => [Some(*level), None, None],
        What::Correction { .. } | What::Event(_) => [None; 3],
    };
    found.into_iter().flatten()
}

/// Puts each reading's last correction in its place; drops what was struck out.
fn corrected(entries: impl IntoIterator<Item = Entry>, problems: &mut Vec<Problem>) -> Vec<Entry> {
    let entries: Vec<Entry> = entries.into_iter().collect();
    let corrects = |entry: &Entry| matches!(entry.what, What::Correction { .. });
    if !entries.iter().any(corrects) {
        return entries;
    }
    let mut by_id: BTreeMap<EntryId, Entry> = entries.into_iter().map(|e| (e.id, e)).collect();
    // What stands now for each reading, by the number of the reading and of its corrections.
    let mut original: BTreeMap<EntryId, EntryId> = BTreeMap::new();
    let mut standing: BTreeMap<EntryId, Option<Entry>> = BTreeMap::new();
    let mut kept = Vec::new();
    // In order of writing, so that a correction meets what it corrects.
    while let Some((id, entry)) = by_id.pop_first() {
        let Entry {
            at,
            written_at,
            what,
            ..
        } = entry;
        let again = |what| Entry {
            id,
            at,
            written_at,
            what,
        };
        match what {
            What::Reading(_) => {
                original.insert(id, id);
                standing.insert(id, Some(again(what)));
            }
            What::Correction { of, reading } => match original.get(&of).copied() {
                Some(first) => {
                    original.insert(id, first);
                    standing.insert(first, reading.map(|r| again(What::Reading(r))));
                }
                None => problems.push(Problem::CorrectsNothing { entry: id }),
            },
            _ => kept.push(again(what)),
        }
    }
    kept.extend(standing.into_values().flatten());
    kept
}

/// The line of output while it is being drawn.
struct Line {
    points: Vec<Point>,
    problems: Vec<Problem>,
    /// The level at the last point, thousandths of a millilitre.
    level: i64,
    /// Half a graduation of the present drainage unit.
    half: Option<i64>,
    run: u32,
}

impl Line {
    fn new(start: &DrainStart) -> Self {
        let first = Point {
            at: start.at.timestamp(),
            total: 0,
            // Nothing was read off: the drainage unit is known to stand at its mark.
            margin: Some(0),
            run: 0,
            by: None,
        };
        Self {
            points: vec![first],
            problems: Vec::new(),
            level: start.level.milli().clamp(0, MOST),
            half: half(start.graduation),
            run: 0,
        }
    }

    /// Within one moment, a level seen before a change of drainage unit goes before it, and one
    /// that cannot continue the old line goes after it.
    fn settle_order(&self, moment: &mut [Entry]) {
        let changes = |e: &Entry| matches!(e.what, What::NewUnit { .. } | What::Baseline { .. });
        let Some(change) = moment.iter().find(|e| changes(e)).map(|e| e.id) else {
            return;
        };
        moment.sort_by_key(|entry| {
            let continues = levels(&entry.what).all(|n| n.milli() >= self.level);
            match changes(entry) {
                true => 1,
                false if continues && entry.id < change => 0,
                false => 2,
            }
        });
    }

    fn take(&mut self, entry: &Entry) {
        match &entry.what {
            What::Reading(reading) => {
                if let Some(level) = reading.level {
                    self.read(entry, level);
                }
            }
            What::NewUnit {
                last_level,
                start,
                graduation,
            } => {
                if let Some(last) = last_level {
                    self.read(entry, *last);
                }
                self.half = half(*graduation);
                self.begin_run(entry, start.milli(), Some(0));
            }
            What::Baseline { level, .. } => self.begin_run(entry, level.milli(), self.half),
            What::Correction { .. } | What::Event(_) => {}
        }
    }

    /// A level on the present drainage unit.
    fn read(&mut self, entry: &Entry, level: Number) {
        let (id, at) = (entry.id, entry.at);
        if level.milli() < self.level {
            self.problems.push(Problem::Lower {
                entry: id,
                at,
                before: Number::from_milli(self.level),
                level,
            });
            self.begin_run(entry, level.milli(), self.half);
            return;
        }
        if let Some(last) = self.points.last()
            && last.at == at.timestamp()
            && last.by.is_some()
            && last.run == self.run
            && level.milli() > self.level
        {
            self.problems.push(Problem::SameMoment { entry: id, at });
        }
        let grown = level.milli() - self.level;
        self.push(entry, grown, level.milli(), self.half);
    }

    fn begin_run(&mut self, entry: &Entry, level: i64, margin: Option<i64>) {
        self.run += 1;
        self.push(entry, 0, level, margin);
    }

    fn push(&mut self, entry: &Entry, grown: i64, level: i64, margin: Option<i64>) {
        let total = self.points.last().map_or(0, |p| p.total) + grown;
        self.level = level;
        self.points.push(Point {
            at: entry.at.timestamp(),
            total,
            margin,
            run: self.run,
            by: Some(entry.id),
        });
    }
}

/// Half a graduation in thousandths, rounded up.
fn half(graduation: Option<Number>) -> Option<i64> {
    graduation.map(|n| (n.milli().clamp(0, MOST) + 1) / 2)
}

#[cfg(test)]
pub(super) mod tests;
