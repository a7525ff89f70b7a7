//! All lines of all walks in the order in which they were written.

use std::collections::{BTreeMap, BTreeSet};

use super::afterwards::{Bearing, Bearings};
use super::clock::{self, Clock};
use super::findings::is_repeat;
use super::input::{EventMark, WalkStory};
use super::words;
use crate::moment::Moment;
use crate::units::Span;
use crate::walk::input::Answer;
use crate::walk::story::{Telling, Told};

/// One line of a walk's story with what the journal knows of it.
#[derive(Debug, Clone)]
pub(super) struct Line<'a> {
    /// The walk, counted from 0.
    pub(super) walk: usize,
    /// The drain's identifier.
    pub(super) drain: &'a str,
    /// The line.
    pub(super) told: &'a Told,
    /// Who wrote it.
    pub(super) by: &'a str,
    /// The event's identifier.
    pub(super) id: &'a str,
    /// The number shown.
    pub(super) number: String,
    /// Whether it was written later than the limit allows.
    pub(super) late: bool,
    /// What was written about it afterwards.
    pub(super) bearing: Bearing<'a>,
    sequence: u64,
}

impl Line<'_> {
    /// The answer, when the line is one that was not taken back.
    pub(super) fn answer(&self) -> Option<(&str, &Answer)> {
        match &self.told.what {
            Telling::Answered { answer, words, .. } if !self.told.taken_back => {
                Some((words, answer))
            }
            _ => None,
        }
    }

    /// Whether the line is an answer, not taken back, to a step with any of those tags.
    pub(super) fn is_tagged(&self, wanted: &[&str]) -> bool {
        match &self.told.what {
            Telling::Answered { tags, .. } => {
                !self.told.taken_back && tags.iter().any(|own| wanted.contains(&own.as_str()))
            }
            _ => false,
        }
    }

    /// Whether the line is an answer, not taken back, that comes from looking or reading.
    pub(super) fn is_look(&self) -> bool {
        matches!(
            self.answer(),
            Some((
                _,
                Answer::AsExpected
                    | Answer::NotAsExpected { .. }
                    | Answer::CouldNotCheck { .. }
                    | Answer::Choice(_)
                    | Answer::Value(_)
                    | Answer::NotObtained { .. }
            ))
        )
    }

    /// What was recorded, with what is right when it was marked as wrong.
    pub(super) fn put_right(&self, found: String) -> String {
        self.bearing.wrong.map_or(found.clone(), |amendment| {
            format!(
                "corrected to {} by {}; was recorded as: {found}",
                words::quoted(&amendment.text),
                amendment.by
            )
        })
    }

    /// The list and the step, when the line is an answer.
    pub(super) fn step(&self) -> Option<(&str, &str)> {
        match &self.told.what {
            Telling::Answered { list, step, .. } => Some((list.as_str(), step.as_str())),
            _ => None,
        }
    }
}

/// All lines, and how their times are written.
#[derive(Debug)]
pub(super) struct Timeline<'a> {
    /// The lines in the order written.
    pub(super) lines: Vec<Line<'a>>,
    /// Lines that were entered in error, apart from the others.
    pub(super) gone: Vec<Line<'a>>,
    /// Writes times beside the day and offset at the head of the record.
    pub(super) clock: Clock,
}

/// Shown for an event of which the journal gave no writer.
const NO_WRITER: &str = "writer not known";

impl<'a> Timeline<'a> {
    /// Joins the walks in the order of the journal, never by clock.
    pub(super) fn new(walks: &'a [WalkStory], late_after: Span) -> Self {
        let several = walks.len() > 1;
        let mut lines: Vec<Line<'a>> = Vec::new();
        for (walk, story) in walks.iter().enumerate() {
            let bearings = Bearings::new(&story.afterwards.amendments);
            let mut sequence = 0;
            for told in &story.story {
                let mark = story.marks.get(told.event);
                sequence = sequence.max(mark.map_or(0, |mark| mark.sequence));
                let mut line = line(walk, story, told, mark, sequence, several, late_after);
                line.bearing = bearings.of_event(told.event);
                lines.push(line);
            }
        }
        lines.sort_by_key(|line| line.sequence);
        let clock = Clock::beside(lines.first().map(|line| line.told.seen));
        let (gone, lines) = lines
            .into_iter()
            .partition(|line| line.bearing.in_error.is_some());
        Self { lines, gone, clock }
    }

    /// Whether a line was written at that place of the journal.
    pub(super) fn holds(&self, sequence: u64) -> bool {
        self.lines.iter().any(|line| line.sequence == sequence)
    }

    /// Whether a line comes from looking or reading: its answer does, or it says of one that did
    /// that it still stands or no longer.
    pub(super) fn is_look(&self, line: &Line<'_>) -> bool {
        if line.is_look() {
            return true;
        }
        let repeats = line.answer().is_some_and(|(_, answer)| is_repeat(answer));
        repeats
            && self.lines.iter().any(|other| {
                other.is_look() && other.walk == line.walk && other.step() == line.step()
            })
    }

    /// The moment a line was seen, in short words, and where to look for what was written about it
    /// afterwards.
    pub(super) fn seen(&self, line: &Line<'_>) -> String {
        let seen = self.clock.short(line.told.seen);
        match &line.bearing {
            Bearing {
                wrong: Some(amendment),
                ..
            } => format!("{seen} (marked wrong, {})", amendment.number),
            Bearing { remarks, .. } => match remarks.first() {
                Some(amendment) => format!("{seen} (see {})", amendment.number),
                None => seen,
            },
        }
    }

    /// Every line in the order written, those entered in error too.
    pub(super) fn all_in_order(&self) -> Vec<&Line<'a>> {
        let mut all: Vec<&Line<'a>> = self.lines.iter().chain(&self.gone).collect();
        all.sort_by_key(|line| line.sequence);
        all
    }

    /// The moment and the writer: "02:14:05 by KL".
    pub(super) fn seen_by(&self, line: &Line<'_>) -> String {
        format!("{} by {}", self.seen(line), line.by)
    }

    /// Events of the walk that also made a call: their answer is shown with the calls.
    pub(super) fn calling_events(&self) -> BTreeSet<(usize, usize)> {
        self.lines
            .iter()
            .filter(|line| matches!(line.told.what, Telling::CallMade { .. }))
            .map(|line| (line.walk, line.told.event))
            .collect()
    }

    /// Each event once, in the order written.
    pub(super) fn events(&self) -> impl Iterator<Item = &Line<'a>> {
        let mut met = BTreeSet::new();
        self.lines
            .iter()
            .filter(move |line| met.insert((line.walk, line.told.event)))
    }

    /// How many events were entered in error.
    pub(super) fn gone_events(&self) -> usize {
        self.gone.iter().map(key).collect::<BTreeSet<_>>().len()
    }

    /// The moment of the last entry as it was written.
    pub(super) fn last_written(&self) -> Option<Moment> {
        self.lines.last().map(|line| line.told.written)
    }

    /// A line for every place where the clock or a time seen is odd.
    pub(super) fn clock_notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        let mut before: Option<&Line<'_>> = None;
        for line in self.events() {
            if let Some(before) = before {
                notes.extend(self.went_back(before, line));
            }
            if line.told.seen.timestamp() > line.told.written.timestamp() {
                notes.push(format!(
                    "Entry {}: the time seen, {}, is after the time written, {}.",
                    line.number,
                    self.seen(line),
                    self.clock.short(line.told.written)
                ));
            }
            before = Some(line);
        }
        notes
    }

    fn went_back(&self, before: &Line<'_>, line: &Line<'_>) -> Option<String> {
        let (earlier, later) = (before.told.written, line.told.written);
        if later.timestamp() >= earlier.timestamp() {
            return None;
        }
        let by = clock::length(later, earlier)?;
        Some(format!(
            "Between entries {} and {} the clock went back by {by}, from {} to {}. The order of entries is right; times and intervals across this place are not sure.",
            before.number,
            line.number,
            self.clock.short(earlier),
            self.clock.short(later)
        ))
    }

    /// For every answer taken back: who took it back, and where the step was answered again.
    pub(super) fn corrections(&self) -> Corrections {
        let mut corrections = Corrections::default();
        for (index, line) in self.lines.iter().enumerate() {
            if !matches!(line.told.what, Telling::WentBack { .. }) {
                continue;
            }
            let taken = self.lines[..index].iter().rev().find(|earlier| {
                earlier.walk == line.walk
                    && earlier.told.taken_back
                    && earlier.step().is_some()
                    && !corrections.back.contains_key(&key(earlier))
            });
            let Some(taken) = taken else { continue };
            corrections.back.insert(key(taken), line.number.clone());
            let again = self.lines[index..]
                .iter()
                .find(|later| later.walk == line.walk && later.step() == taken.step());
            if let Some(again) = again {
                corrections.again.insert(key(taken), again.number.clone());
                corrections.instead.insert(key(again), taken.number.clone());
            }
        }
        corrections
    }
}

/// The event of a line: the walk and the number within it.
pub(super) fn key(line: &Line<'_>) -> (usize, usize) {
    (line.walk, line.told.event)
}

/// How answers that were taken back hang together, by event; the values are entry numbers.
#[derive(Debug, Default)]
pub(super) struct Corrections {
    /// The entry that took it back.
    pub(super) back: BTreeMap<(usize, usize), String>,
    /// The entry in which the step was answered again.
    pub(super) again: BTreeMap<(usize, usize), String>,
    /// The entry that this one answers again.
    pub(super) instead: BTreeMap<(usize, usize), String>,
}

fn line<'a>(
    walk: usize,
    story: &'a WalkStory,
    told: &'a Told,
    mark: Option<&'a EventMark>,
    sequence: u64,
    several: bool,
    late_after: Span,
) -> Line<'a> {
    let event = told.event + 1;
    Line {
        walk,
        drain: &story.drain,
        told,
        by: mark.map_or(NO_WRITER, |mark| mark.by.as_str()),
        id: mark.map_or("", |mark| mark.id.as_str()),
        number: if several {
            format!("{}.{event}", walk + 1)
        } else {
            event.to_string()
        },
        late: told.written - told.seen > late_after.to_delta(),
        bearing: Bearing::default(),
        sequence,
    }
}
