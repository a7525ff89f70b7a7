//! What was entered for one drain, put in order, and the line of output it gives.

use super::curve::{Curve, Point};
use super::reading::{Reading, words};
use crate::moment::Moment;
use crate::units::{Number, Span};
use std::collections::BTreeMap;
use std::fmt;

/// Which entry: its place in the order of writing. A later entry has a larger number.
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
    Reading(Box<Reading>),
    /// An earlier reading was wrong: this stands in its place, at this entry's `at`. `None`
    /// strikes it out. The earlier one stays in the journal.
    Correction {
        /// The reading, or an earlier correction of it.
        of: EntryId,
        /// What stands instead.
        reading: Option<Box<Reading>>,
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

/// Something in the entries that a person must settle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Problem {
    /// A level lies below the one before. It gives no output; counting goes on from it.
    Lower {
        /// The entry with the lower level.
        entry: EntryId,
        /// When it was seen.
        at: Moment,
        /// The level before, mL.
        before: Number,
        /// The lower level, mL.
        level: Number,
    },
    /// Two levels for one moment on one drainage unit. The difference is counted at that moment.
    SameMoment {
        /// The entry written later.
        entry: EntryId,
        /// The moment.
        at: Moment,
    },
    /// It lies before the drain was connected, and is not counted.
    BeforeStart {
        /// The entry.
        entry: EntryId,
        /// Its moment.
        at: Moment,
    },
    /// A level below zero or above 1000 L, or a moment more than ten years after the start. Not counted.
    OutOfRange {
        /// The entry.
        entry: EntryId,
    },
    /// It corrects something that is not an earlier reading. Not counted.
    CorrectsNothing {
        /// The entry.
        entry: EntryId,
    },
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            // Lower than before means tilt, spill or misread (The Trauma Professional's Blog,
            // 2017-04-03, on drainage units knocked over).
            Self::Lower {
                at, before, level, ..
            } => write!(
                f,
                "The level at {} is {level} mL, below the {before} mL before it. It cannot be an \
                 output. Was the drainage unit tilted, spilled or changed, or one level misread? \
                 Say which; counting goes on from {level} mL.",
                clock(*at)
            ),
            Self::SameMoment { at, .. } => write!(
                f,
                "There are two different levels for {}. Strike out the wrong one.",
                clock(*at)
            ),
            Self::BeforeStart { at, .. } => write!(
                f,
                "An entry for {} lies before the drain was connected. It is not counted: correct \
                 its time.",
                clock(*at)
            ),
            Self::OutOfRange { entry } => write!(
                f,
                "Entry {} has an impossible level or time. It is not counted: correct it.",
                entry.0
            ),
            Self::CorrectsNothing { entry } => write!(
                f,
                "Entry {} corrects something that is not an earlier reading. It is not counted.",
                entry.0
            ),
        }
    }
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
            curve: Curve(line.points),
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

    /// The moment of that second, with the offset that held at the start.
    pub(super) fn moment(&self, second: i64) -> Moment {
        let delta = chrono::TimeDelta::try_seconds(second - self.start.at.timestamp());
        delta
            .and_then(|delta| self.start.at.checked_add_signed(delta))
            .unwrap_or(self.start.at)
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
pub(super) mod tests {
    use super::*;
    use crate::chart::reading::Swing;

    /// 10:00 on an invented day, plus minutes.
    pub(in crate::chart) fn at(minutes: i64) -> Moment {
        let start = chrono::DateTime::parse_from_rfc3339("2031-03-04T10:00:00+00:00").unwrap();
        start + chrono::TimeDelta::minutes(minutes)
    }

    /// A drain connected at 10:00 with a graduation of 10 mL.
    pub(in crate::chart) fn start() -> DrainStart {
        DrainStart {
            at: at(0),
            level: Number::whole(0),
            graduation: Some(Number::whole(10)),
        }
    }

    pub(in crate::chart) fn entry(id: u64, minutes: i64, what: What) -> Entry {
        Entry {
            id: EntryId(id),
            at: at(minutes),
            written_at: at(minutes),
            what,
        }
    }

    pub(in crate::chart) fn level(ml: i32) -> What {
        What::Reading(Box::new(Reading {
            level: Some(Number::whole(ml)),
            swing: Some(Swing::Small),
            ..Reading::default()
        }))
    }

    pub(in crate::chart) fn new_unit(last_level: Option<i32>) -> What {
        What::NewUnit {
            last_level: last_level.map(Number::whole),
            start: Number::whole(0),
            graduation: Some(Number::whole(10)),
        }
    }

    /// Hourly levels from one hour after the start.
    pub(in crate::chart) fn hourly(levels: &[i32]) -> Series {
        let entries = levels.iter().zip(1..);
        Series::new(
            start(),
            entries.map(|(ml, hour)| entry(hour, 60 * i64::try_from(hour).unwrap(), level(*ml))),
        )
    }

    fn total(series: &Series) -> i64 {
        series.total().volume.nominal.milli() / 1000
    }

    // Lower than before means tilt, spill or misread: The Trauma Professional's Blog, 2017-04-03.
    #[test]
    fn a_lower_level_asks_and_is_no_output() {
        let series = hourly(&[320, 300, 330]);
        let [Problem::Lower { before, level, .. }] = series.problems() else {
            panic!("{:?}", series.problems());
        };
        assert_eq!((*before, *level), (Number::whole(320), Number::whole(300)));
        let words = series.problems()[0].to_string();
        assert!(words.contains("tilted, spilled or changed"), "{words}");
        assert_eq!(total(&series), 350);
        let unknown = series.total().unknown;
        assert_eq!((unknown[0].from, unknown[0].to), (at(60), at(120)));
    }

    #[test]
    fn a_correction_stands_in_the_place_of_its_reading() {
        let fix = |id, of, ml: Option<i32>| {
            let reading = ml.map(level).map(|what| match what {
                What::Reading(reading) => reading,
                _ => unreachable!(),
            });
            entry(
                id,
                60,
                What::Correction {
                    of: EntryId(of),
                    reading,
                },
            )
        };
        let base = [entry(1, 60, level(500)), entry(2, 120, level(80))];
        let with = |more: &[Entry]| Series::new(start(), base.iter().chain(more).cloned());
        assert_eq!(with(&[]).problems().len(), 1);
        let fixed = with(&[fix(3, 1, Some(50))]);
        assert!(fixed.problems().is_empty());
        assert_eq!(total(&fixed), 80);
        assert_eq!(fixed.entries()[0].id, EntryId(3));
        // A correction of the correction, and a strike.
        assert_eq!(
            total(&with(&[fix(3, 1, Some(50)), fix(4, 3, Some(60))])),
            80
        );
        assert_eq!(with(&[fix(3, 1, None)]).entries().len(), 1);
        assert_eq!(
            with(&[fix(3, 9, Some(50))]).problems()[0],
            Problem::CorrectsNothing { entry: EntryId(3) }
        );
    }

    #[test]
    fn late_entries_go_to_their_right_place() {
        let mut late = entry(3, 90, level(70));
        late.written_at = at(200);
        let series = Series::new(
            start(),
            [entry(1, 60, level(50)), entry(2, 120, level(100)), late],
        );
        assert_eq!(
            series.entries().iter().map(|e| e.id.0).collect::<Vec<_>>(),
            [1, 3, 2]
        );
        assert_eq!(series.late(Span::minutes(60)), [EntryId(3)]);
    }

    #[test]
    fn a_change_answered_afterwards_takes_the_reading_along() {
        // The new unit's zero was charted first, and the change told for the same moment after it.
        let told = [
            entry(1, 60, level(320)),
            entry(2, 120, level(0)),
            entry(3, 120, new_unit(Some(350))),
            entry(4, 180, level(90)),
        ];
        let series = Series::new(start(), told);
        assert!(series.problems().is_empty(), "{:?}", series.problems());
        assert_eq!(total(&series), 440);
    }

    #[test]
    fn a_change_without_a_last_level_leaves_a_stretch_unknown() {
        let entries = [
            entry(1, 60, level(320)),
            entry(2, 90, new_unit(None)),
            entry(3, 120, level(40)),
        ];
        let series = Series::new(start(), entries);
        assert_eq!(total(&series), 360);
        let unknown = series.total().unknown;
        assert_eq!(unknown.len(), 1);
        assert_eq!((unknown[0].from, unknown[0].to), (at(60), at(90)));
    }

    #[test]
    fn impossible_entries_are_named_and_not_counted() {
        let entries = [
            entry(1, -5, level(10)),
            entry(2, 60, level(-1)),
            entry(3, 60, level(2_000_000)),
            entry(4, 60, level(50)),
            entry(5, 60, level(60)),
        ];
        let series = Series::new(start(), entries);
        assert_eq!(
            series.problems(),
            [
                Problem::BeforeStart {
                    entry: EntryId(1),
                    at: at(-5)
                },
                Problem::OutOfRange { entry: EntryId(2) },
                Problem::OutOfRange { entry: EntryId(3) },
                Problem::SameMoment {
                    entry: EntryId(5),
                    at: at(60)
                },
            ]
        );
        assert_eq!(total(&series), 60);
    }

    #[test]
    fn a_level_not_obtained_is_not_zero() {
        let blank = What::Reading(Box::default());
        let series = Series::new(start(), [entry(1, 60, level(50)), entry(2, 120, blank)]);
        assert_eq!(total(&series), 50);
        assert_eq!(series.last_level().unwrap().1, Number::whole(50));
    }
}
