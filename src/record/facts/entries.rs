//! Entries by day; late entries and corrections.

use std::collections::{BTreeMap, BTreeSet};

use super::afterwards;
use super::clock::{self, Clock};
use super::input::Amendment;
use super::shape::{Day, Entry};
use super::timeline::{Corrections, Line, Timeline, key};
use super::words;
use crate::moment::Moment;
use crate::walk::input::Answer;
use crate::walk::story::Telling;

/// Makes entries of the lines of a timeline.
pub(super) struct Entries<'t, 'a> {
    timeline: &'t Timeline<'a>,
    corrections: Corrections,
    opened: BTreeMap<&'t str, &'t str>,
}

impl<'t, 'a> Entries<'t, 'a> {
    /// Looks through the timeline for what entries must know of one another.
    pub(super) fn new(timeline: &'t Timeline<'a>) -> Self {
        let opened = timeline
            .lines
            .iter()
            .filter_map(|line| match &line.told.what {
                Telling::DutyOpened { duty, open } => Some((duty.as_str(), open.as_str())),
                _ => None,
            });
        Self {
            timeline,
            corrections: timeline.corrections(),
            opened: opened.collect(),
        }
    }

    /// All entries in the order written, cut where the day or the offset of the clock changes.
    ///
    /// Confirming a closing text is left out where the end of the checklist is told in the same
    /// event: it says the same.
    pub(super) fn days(&self) -> Vec<Day> {
        let ends: BTreeSet<_> = self
            .timeline
            .lines
            .iter()
            .filter(|line| matches!(line.told.what, Telling::ListEnded { .. }))
            .map(key)
            .collect();
        let mut days: Vec<(Moment, Day)> = Vec::new();
        let mut told: BTreeSet<(usize, usize)> = BTreeSet::new();
        for line in self.timeline.all_in_order() {
            let first = told.insert(one_line_for(line));
            if line.bearing.in_error.is_some() && !first {
                continue;
            }
            if matches!(line.answer(), Some((_, Answer::Read))) && ends.contains(&key(line)) {
                continue;
            }
            let written = line.told.written;
            let new = days.last().is_none_or(|(given, _)| {
                !clock::same_day(*given, written) || given.offset() != written.offset()
            });
            if new {
                let day = Day {
                    day: clock::day(written),
                    offset: clock::offset(written),
                    entries: Vec::new(),
                };
                days.push((written, day));
            }
            if let Some((given, day)) = days.last_mut() {
                let clock = Clock::beside(Some(*given));
                let mut entry = match line.bearing.in_error {
                    Some(amendment) => self.erased(line, clock, amendment),
                    None => self.entry(line, clock),
                };
                if !first {
                    entry.remarks.clear();
                }
                day.entries.push(entry);
            }
        }
        days.into_iter().map(|(_, day)| day).collect()
    }

    /// Late entries, in the order they were seen.
    pub(super) fn late(&self) -> Vec<Entry> {
        let lines = self.timeline.lines.iter();
        let mut lines: Vec<_> = lines.filter(|line| line.late).collect();
        lines.sort_by_key(|line| line.told.seen);
        lines
            .into_iter()
            .map(|line| self.entry(line, self.timeline.clock))
            .collect()
    }

    /// Answers that were taken back, in the order written.
    pub(super) fn taken_back(&self) -> Vec<Entry> {
        self.timeline
            .lines
            .iter()
            .filter(|line| line.told.taken_back && line.step().is_some())
            .map(|line| self.entry(line, self.timeline.clock))
            .collect()
    }

    fn entry(&self, line: &Line<'_>, clock: Clock) -> Entry {
        let (what, found) = words::words(&line.told.what, &self.opened);
        let is_answer = line.step().is_some();
        let (critical, quick) = match &line.told.what {
            Telling::Answered {
                critical, quick, ..
            } => (*critical, *quick),
            _ => (false, false),
        };
        let (seen, written) = (line.told.seen, line.told.written);
        let of_answer = |map: &BTreeMap<(usize, usize), String>| {
            map.get(&key(line)).filter(|_| is_answer).cloned()
        };
        Entry {
            number: line.number.clone(),
            seen: clock.short(seen),
            written: (!clock::same_second(seen, written)).then(|| clock.short(written)),
            by: line.by.to_owned(),
            what,
            found,
            critical,
            quick,
            late: line.late,
            struck: line.told.taken_back,
            taken_back_by: self.corrections.back.get(&key(line)).cloned(),
            replaced_by: of_answer(&self.corrections.again),
            replaces: of_answer(&self.corrections.instead),
            wrong: line.bearing.wrong.is_some(),
            in_error: false,
            remarks: line
                .bearing
                .remarks
                .iter()
                .map(|amendment| afterwards::remark(amendment, clock))
                .collect(),
            id: line.id.to_owned(),
        }
    }

    /// The one line that remains of what was entered in error.
    fn erased(&self, line: &Line<'_>, clock: Clock, amendment: &Amendment) -> Entry {
        let whole = line.told.event == 0;
        let what = if whole {
            "A whole walk, entered in error. It is kept in the journal and not shown here."
        } else {
            "Entered in error. It is kept in the journal and not shown here."
        };
        Entry {
            what: what.to_owned(),
            found: None,
            critical: false,
            quick: false,
            late: false,
            struck: false,
            taken_back_by: None,
            replaced_by: None,
            replaces: None,
            wrong: false,
            in_error: true,
            remarks: vec![afterwards::remark(amendment, clock)],
            ..self.entry(line, clock)
        }
    }
}

/// The line that stands for this one when it was entered in error: a whole walk has one.
fn one_line_for(line: &Line<'_>) -> (usize, usize) {
    let (walk, event) = key(line);
    (walk, if line.bearing.whole_walk { 0 } else { event })
}
