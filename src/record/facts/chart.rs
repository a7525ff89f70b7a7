//! The facts of a chart record: readings in the order they were seen, totals, limits, corrections.

use super::clock::{self, Clock};
use super::input::{Header, WalkStory};
use super::shape::{
    ChartCorrection, ChartFacts, ChartRow, ChartTotal, LimitFacts, LimitInShort, Pair, SignFacts,
    Writer,
};
use super::timeline::Timeline;
use super::words::quoted;
use super::{Kind, afterwards, head};
use crate::chart::import::Column;
use crate::chart::limit::{Call, Change, Happening};
use crate::chart::reading::Reading;
use crate::chart::sign::Signed;
use crate::chart::{Entry, EntryId, Output, Series, What};
use crate::moment::Moment;

/// What a chart record is made from, besides the header.
pub struct Charted<'a> {
    /// The drain's identifier in the journal.
    pub drain: String,
    /// The entries that stand, in order of when they were seen.
    pub series: &'a Series,
    /// Every entry as it was written, corrections too.
    pub written: &'a [Entry],
    /// Who wrote an entry.
    pub writer: &'a dyn Fn(EntryId) -> String,
    /// Outputs over times that have a name.
    pub totals: Vec<(String, Output)>,
    /// What became of the limits, in order.
    pub limits: &'a [Happening],
    /// Limits that could not be watched, and why.
    pub not_watched: Vec<String>,
    /// What the seal told.
    pub signs: Vec<Signed>,
    /// Looks that were due and for which there is no reading.
    pub missed: Vec<Moment>,
    /// When the drain is to be looked at next, by the plan of looks; `None` when it is closed.
    pub next: Option<Moment>,
}

impl ChartFacts {
    /// Gathers the facts of a drain's chart.
    #[must_use]
    pub fn new(walks: &[WalkStory], header: &Header, charted: &Charted<'_>) -> Self {
        let mut timeline = Timeline::new(walks, header.late_after);
        let last = charted.written.iter().map(|entry| entry.written_at).max();
        let start = charted.series.start().at;
        let clock = Clock::beside(last);
        timeline.clock = clock;
        let mut head = head::head(Kind::Chart, walks, header, &timeline);
        head.drain.clone_from(&charted.drain);
        head.began = Some(clock::stamp(start));
        head.last = last.map(clock::stamp);
        head.writers = writers(charted);
        head.entries = charted.written.len() as u64;
        let after = header.late_after.to_delta();
        let rows = rows(charted, clock, |entry| entry.written_at - entry.at > after);
        Self {
            head,
            day: clock::day(last.unwrap_or(start)),
            offset: clock::offset(last.unwrap_or(start)),
            connected: clock.short(start),
            graduation: charted.series.start().graduation.map_or_else(
                || "not set: ranges are not known".to_owned(),
                |mark| format!("{mark} mL"),
            ),
            totals: charted.totals.iter().map(total).collect(),
            limits: charted
                .limits
                .iter()
                .map(|happening| limit(happening, charted.series, clock))
                .collect(),
            not_watched: charted.not_watched.clone(),
            signs: charted
                .signs
                .iter()
                .map(|signed| SignFacts {
                    at: clock.short(signed.at),
                    what: signed.sign.to_string(),
                    entry: signed.reading.0.to_string(),
                })
                .collect(),
            missed: charted.missed.iter().map(|at| clock.short(*at)).collect(),
            to_settle: charted
                .series
                .problems()
                .iter()
                .map(ToString::to_string)
                .collect(),
            late: rows.iter().filter(|row| row.late).count() as u64,
            rows,
            corrections: corrections(charted, clock),
            afterwards: afterwards::facts(walks, header, &timeline),
        }
    }
}

/// The chart in short, for who takes the drain over.
pub(super) fn in_short(charted: &Charted<'_>, clock: Clock) -> Vec<Pair> {
    let pair = |what: &str, value: String| Pair {
        what: what.to_owned(),
        value,
    };
    let rows = rows(charted, clock, |_| false);
    let told = |row: &ChartRow| {
        let level = Some(row.level.as_str()).filter(|level| !level.is_empty());
        let level = level.map(|level| format!("level {level}"));
        let found = Some(row.found.clone()).filter(|found| !found.is_empty());
        let parts: Vec<String> = level.into_iter().chain(found).collect();
        format!("{} ({} by {})", parts.join("; "), row.seen, row.by)
    };
    let mut short = Vec::new();
    let last = rows.last();
    short.extend(last.map(|row| pair("Last entry of the chart", told(row))));
    let level = rows.iter().rfind(|row| !row.level.is_empty());
    let other = level.filter(|level| last.is_some_and(|last| last.entry != level.entry));
    short.extend(other.map(|row| pair("Last level", told(row))));
    let totals = charted.totals.iter().rev().take(2).rev();
    short.extend(totals.map(|(what, output)| pair(&format!("Output: {what}"), words(output))));
    let problems = charted.series.problems().iter();
    short.extend(problems.map(|problem| pair("To settle", problem.to_string())));
    short
}

/// What the seal told at the last reading. What it told before may be otherwise now.
pub(super) fn seal(charted: &Charted<'_>, clock: Clock) -> Vec<String> {
    let last = charted
        .series
        .readings()
        .next_back()
        .map(|(entry, _)| entry.at);
    let signs = charted.signs.iter();
    signs
        .filter(|signed| Some(signed.at) == last)
        .map(|signed| format!("{} ({})", signed.sign, clock.short(signed.at)))
        .collect()
}

/// Limits that were ever met, or are in doubt at the last reading. That one is no longer met does
/// not make it unimportant to who takes over.
pub(super) fn limits(charted: &Charted<'_>, clock: Clock) -> Vec<LimitInShort> {
    let mut last: Vec<(&Happening, Option<&Happening>)> = Vec::new();
    for happening in charted.limits {
        let name = &happening.finding.limit.value.name;
        let known = last
            .iter()
            .position(|(told, _)| told.finding.limit.value.name == *name);
        match (known, happening.change) {
            (Some(known), Change::Cleared) => last[known].1 = Some(happening),
            // A doubt after it was met, and over, is less than that it was met.
            (Some(known), Change::Doubtful) if last[known].0.change != Change::Doubtful => {}
            (Some(known), _) => last[known] = (happening, None),
            (None, Change::Cleared) => {}
            (None, _) => last.push((happening, None)),
        }
    }
    last.retain(|(told, over)| told.change != Change::Doubtful || over.is_none());
    last.sort_by_key(|(told, over)| (over.is_some(), std::cmp::Reverse(told.at)));
    last.into_iter()
        .map(|(told, over)| LimitInShort {
            told: limit(told, charted.series, clock),
            over: over.map(|over| clock.short(over.at)),
        })
        .collect()
}

fn writers(charted: &Charted<'_>) -> Vec<Writer> {
    let mut writers: Vec<Writer> = Vec::new();
    for entry in charted.written {
        let by = (charted.writer)(entry.id);
        match writers.iter_mut().find(|writer| writer.by == by) {
            Some(writer) => writer.entries += 1,
            None => writers.push(Writer { by, entries: 1 }),
        }
    }
    writers
}

/// An output in words: "at least" where a part of it is not known.
fn words(output: &Output) -> String {
    let at_least = if output.is_partial() { "at least " } else { "" };
    format!("{at_least}{}", output.volume)
}

fn total((what, output): &(String, Output)) -> ChartTotal {
    ChartTotal {
        what: what.clone(),
        volume: words(output),
    }
}

fn limit(happening: &Happening, series: &Series, clock: Clock) -> LimitFacts {
    let finding = &happening.finding;
    let limit = &finding.limit;
    let readings = series.rests_on(finding.from, finding.to);
    let readings: Vec<String> = readings.iter().map(|id| id.0.to_string()).collect();
    let partial = if finding.partial { "at least " } else { "" };
    LimitFacts {
        at: clock.short(happening.at),
        state: happening.change.word().to_owned(),
        what: limit.value.means.clone(),
        value: format!("{partial}{}", finding.value),
        from: clock.short(finding.from),
        to: clock.short(finding.to),
        limit: format!("{} {}", limit.shape.cut, limit.value.value),
        call: match limit.shape.call {
            _ if happening.change == Change::Cleared => "nobody for this",
            _ if happening.change == Change::Doubtful => "nobody yet: read again soon",
            Call::Warn => "nobody yet: watch closely",
            Call::DoctorSoon => "a doctor soon",
            Call::DoctorNow => "a doctor now",
            Call::Emergency => "the emergency team at once",
        }
        .to_owned(),
        source: limit.value.source.clone(),
        readings: match readings.as_slice() {
            [first, .., last] if readings.len() > 6 => format!("{first} to {last}"),
            all => all.join(", "),
        },
    }
}

fn rows(charted: &Charted<'_>, clock: Clock, is_late: impl Fn(&Entry) -> bool) -> Vec<ChartRow> {
    let series = charted.series;
    let start = series.start().at;
    let mut before = start;
    let rows = series.entries().iter().map(|entry| {
        let level = level(&entry.what);
        let output = level.is_some().then(|| series.output(before, entry.at));
        let total = level.is_some().then(|| series.output(start, entry.at));
        if level.is_some() {
            before = entry.at;
        }
        let late = is_late(entry);
        ChartRow {
            entry: entry.id.0.to_string(),
            seen: clock.short(entry.at),
            written: late.then(|| clock.short(entry.written_at)),
            late,
            by: (charted.writer)(entry.id),
            level: level.unwrap_or_default(),
            output: output.as_ref().map(words).unwrap_or_default(),
            total: total.as_ref().map(words).unwrap_or_default(),
            found: says(&entry.what),
        }
    });
    rows.collect()
}

/// The level an entry speaks of.
fn level(what: &What) -> Option<String> {
    let level = match what {
        What::Reading(reading) => reading.level?,
        What::Baseline { level, .. } => *level,
        What::NewUnit { start, .. } => *start,
        What::Correction { .. } | What::Event(_) => return None,
    };
    Some(format!("{level} mL"))
}

/// What an entry says besides its level.
fn says(what: &What) -> String {
    match what {
        What::Reading(reading) => findings(reading),
        What::NewUnit { last_level, .. } => match last_level {
            Some(last) => format!("new drainage unit; last level of the old one {last} mL"),
            None => "new drainage unit; last level of the old one not recorded".to_owned(),
        },
        What::Baseline { why, .. } => format!("counting goes on from this level: {why}"),
        What::Event(event) => event.word().to_owned(),
        What::Correction { .. } => String::new(),
    }
}

fn findings(reading: &Reading) -> String {
    let found = Column::ALL
        .iter()
        .filter(|column| **column != Column::Level)
        .filter_map(|column| {
            let value = column.shown(reading)?;
            Some(match column {
                Column::Fluid => format!("fluid {value}"),
                Column::Action => format!("done: {}", quoted(&value)),
                column => format!("{} {value}", column.word().replace('-', " ")),
            })
        });
    found.collect::<Vec<_>>().join("; ")
}

/// Every correction, with what had been recorded.
fn corrections(charted: &Charted<'_>, clock: Clock) -> Vec<ChartCorrection> {
    let of = |id: EntryId| charted.written.iter().find(|entry| entry.id == id);
    let recorded = |reading: &Reading| {
        let level = reading.level.map(|level| format!("level {level} mL"));
        let found = Some(findings(reading)).filter(|found| !found.is_empty());
        let parts: Vec<String> = level.into_iter().chain(found).collect();
        parts.join("; ")
    };
    let corrections = charted.written.iter().filter_map(|entry| {
        let What::Correction { of: wrong, reading } = &entry.what else {
            return None;
        };
        let before = of(*wrong);
        let was = match before.map(|before| &before.what) {
            Some(
                What::Reading(reading)
                | What::Correction {
                    reading: Some(reading),
                    ..
                },
            ) => recorded(reading),
            _ => "nothing".to_owned(),
        };
        Some(ChartCorrection {
            entry: wrong.0.to_string(),
            was,
            was_seen: before
                .map(|before| clock.short(before.at))
                .unwrap_or_default(),
            now: reading
                .as_deref()
                .map_or_else(|| "struck out".to_owned(), recorded),
            seen: clock.short(entry.at),
            replaced_by: entry.id.0.to_string(),
            by: (charted.writer)(entry.id),
            at: clock.short(entry.written_at),
        })
    });
    corrections.collect()
}
