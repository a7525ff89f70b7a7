//! `chart show`: the last readings, the totals, what the limits say, what is due.

use chrono::{NaiveTime, TimeDelta};
use serde::Serialize;

use crate::chart::import::Column;
use crate::chart::limit::{Change, Happening};
use crate::chart::reading::Reading;
use crate::chart::sign::leak_now;
use crate::chart::{Entry, Output, What};
use crate::cli::ChartShowArgs;
use crate::failure::Failure;
use crate::moment::{Moment, OnTheClock};

use super::super::charting::{Chart, DAY, HOUR, long, name, shift_starts, told};
use super::super::desk::Desk;
use super::super::drains::in_words;
use super::super::out;
use super::store::fill_lines;
use super::{csv, due, the_drain};

/// The columns that are shown after the level, in their order.
pub const FINDINGS: &[Column] = &[
    Column::Fluid,
    Column::Swing,
    Column::SwingHeight,
    Column::Bubbling,
    Column::Chamber,
    Column::SealDepth,
    Column::SuctionOrdered,
    Column::SuctionSet,
    Column::SuctionIndicated,
    Column::Tubing,
    Column::Position,
    Column::Dressing,
    Column::Emphysema,
    Column::Breaths,
    Column::Saturation,
    Column::Oxygen,
    Column::HeartRate,
    Column::BloodPressure,
    Column::Pain,
    Column::Action,
];

/// One entry of the chart as it is shown.
pub struct Row<'a> {
    /// The entry.
    pub entry: &'a Entry,
    /// What came since the level before it.
    pub output: Option<Output>,
    /// What came since the drain was connected.
    pub total: Option<Output>,
}

/// Shows the chart.
///
/// # Errors
/// A failure when the drain or the time is not known, or the journal cannot be read.
pub fn run(desk: &Desk, args: &ChartShowArgs) -> Result<(), Failure> {
    let journal = desk.journal_to_read()?;
    let drain = the_drain(&journal, args.drain.as_deref())?;
    let chart = Chart::of(desk, &journal, drain)?;
    if args.csv {
        return out::raw(&csv::text(&chart));
    }
    let totals = totals(desk, &chart, args.since.as_deref())?;
    if args.json {
        return out::json(&json(desk, &chart, &totals));
    }
    print(desk, &chart, &totals, args.all)
}

/// The entries after `after`, each with its output.
pub fn rows<'a>(chart: &'a Chart, after: Option<Moment>) -> impl Iterator<Item = Row<'a>> {
    let start = chart.start.at;
    let mut before = start;
    chart.series.entries().iter().filter_map(move |entry| {
        let counts = match &entry.what {
            What::Reading(reading) => reading.level.is_some(),
            What::NewUnit { .. } | What::Baseline { .. } => true,
            What::Correction { .. } | What::Event(_) => false,
        };
        let from = before;
        if counts {
            before = entry.at;
        }
        if after.is_some_and(|after| entry.at < after) {
            return None;
        }
        let output = |from| counts.then(|| chart.series.output(from, entry.at));
        Some(Row {
            entry,
            output: output(from),
            total: output(start),
        })
    })
}

/// An output over a time that has a name.
pub struct Total {
    /// The name.
    pub name: String,
    /// The output.
    pub output: Output,
}

/// The outputs of the last hour, the shift, the last 24 h, since the asked time, and since the
/// drain was connected. None of them reaches past the last reading.
fn totals(desk: &Desk, chart: &Chart, since: Option<&str>) -> Result<Vec<Total>, Failure> {
    let series = &chart.series;
    let Some((last, _)) = series.last_level() else {
        return Ok(Vec::new());
    };
    let last = last.at;
    let mut totals = Vec::new();
    let mut add = |name: String, from: Moment| {
        // A window never begins before the drain.
        let from = from.max(chart.start.at);
        totals.push(Total {
            name,
            output: series.output(from, last.max(from)),
        });
    };
    add("Last hour".to_owned(), last - HOUR.to_delta());
    if let Some(from) = shift_start(desk, last) {
        add(format!("Shift since {}", from.format("%H:%M")), from);
    }
    if let Some(text) = since {
        let from = desk.read_moment(text).map_err(Failure::usage)?;
        add(format!("Since {}", from.format("%d %b %H:%M")), from);
    }
    add("Last 24 h".to_owned(), last - DAY.to_delta());
    totals.push(Total {
        name: "Since it was connected".to_owned(),
        output: series.total(),
    });
    Ok(totals)
}

/// The last beginning of a shift up to that moment.
fn shift_start(desk: &Desk, at: Moment) -> Option<Moment> {
    let zone = desk.clock.zone();
    let starts = shift_starts(&desk.library);
    let local = zone.at(at.to_utc()).naive_local();
    let days = [local.date(), local.date() - TimeDelta::days(1)];
    let begins = days.into_iter().flat_map(|day| {
        starts.iter().filter_map(move |minutes| {
            let time = NaiveTime::from_num_seconds_from_midnight_opt(minutes * 60, 0)?;
            match zone.on_the_clock(day.and_time(time)) {
                OnTheClock::Once(at) | OnTheClock::Twice(at, _) => Some(at),
                OnTheClock::Never(..) => None,
            }
        })
    });
    begins.filter(|begin| *begin < at).max()
}

/// An output in words: "at least" when a part of it is not known.
#[must_use]
pub fn output_words(output: &Output) -> String {
    let at_least = if output.is_partial() { "at least " } else { "" };
    format!("{at_least}{}", output.volume)
}

fn print(desk: &Desk, chart: &Chart, totals: &[Total], all: bool) -> Result<(), Failure> {
    out::line(&in_words(&chart.drain))?;
    for line in head_lines(desk, chart) {
        out::line(&line)?;
    }
    if !totals.is_empty() {
        out::line("")?;
        out::line("Output up to the last reading:")?;
    }
    for total in totals {
        let rate = total.output.per_hour().map(|rate| format!(", {rate}"));
        out::line(&format!(
            "  {:<24}{}{}",
            total.name,
            output_words(&total.output),
            rate.filter(|_| total.name == "Last hour")
                .unwrap_or_default()
        ))?;
    }
    let after = match (all, chart.series.entries().last()) {
        (false, Some(last)) => Some(last.at - DAY.to_delta()),
        _ => None,
    };
    let rows: Vec<Row<'_>> = rows(chart, after).collect();
    let hidden = chart.series.entries().len() - rows.len();
    out::line("")?;
    out::line(&format!(
        "{:<6}{:<14}{:<11}{:<28}{}",
        "No.", "Seen", "Level", "Since the level before", "Total"
    ))?;
    let mut text = String::new();
    if hidden > 0 {
        text.push_str(&format!("({hidden} earlier entries: --all)\n"));
    }
    for row in &rows {
        for line in row_lines(chart, row) {
            text.push_str(crate::clean::line(&line).trim_end());
            text.push('\n');
        }
    }
    out::raw(&text)
}

/// What a reader must know first: what is due, what limits stand, what is to be settled.
#[must_use]
pub fn head_lines(desk: &Desk, chart: &Chart) -> Vec<String> {
    let mut lines = Vec::new();
    if chart.drain.summary.closed.is_none() {
        lines.push(due::words(&due::standing(desk, chart)));
    }
    if let Some(leak) = leak_now(&chart.series) {
        lines.push(format!(
            "Air leak: bubbling was last seen {} after the drain was connected",
            long(leak)
        ));
    }
    lines.extend(fill_lines(chart));
    let judged = chart.standing();
    for happening in judged.standing() {
        let since = happening.at.format("%d %b %H:%M");
        let word = match happening.change {
            Change::Doubtful => "perhaps met",
            _ => "met",
        };
        lines.push(format!("Limit {word}, as told on {since}:"));
        lines.extend(
            told(desk, &chart.series, happening)
                .into_iter()
                .map(|line| format!("  {line}")),
        );
    }
    for refused in &judged.refused {
        lines.push(format!("Not watched: {}: {}", refused.limit, refused.why));
    }
    lines.extend(to_settle(chart));
    lines
}

/// What a person must settle.
fn to_settle(chart: &Chart) -> impl Iterator<Item = String> {
    let problems = chart.series.problems().iter().map(ToString::to_string);
    problems.chain(chart.unsettled.iter().cloned())
}

fn row_lines(chart: &Chart, row: &Row<'_>) -> Vec<String> {
    let entry = row.entry;
    let level = match &entry.what {
        What::Reading(reading) => reading.level,
        What::Baseline { level, .. } => Some(*level),
        What::NewUnit { start, .. } => Some(*start),
        What::Correction { .. } | What::Event(_) => None,
    };
    let mut lines = vec![format!(
        "{:<6}{:<14}{:<11}{:<28}{}",
        entry.id.0,
        entry.at.format("%d %b %H:%M").to_string(),
        level.map_or_else(|| "-".to_owned(), |level| format!("{level} mL")),
        row.output.as_ref().map_or_else(String::new, output_words),
        row.total.as_ref().map_or_else(String::new, |total| {
            format!(
                "{}{}",
                if total.is_partial() { "at least " } else { "" },
                tenth(total)
            )
        }),
    )];
    let mut words = what_words(entry);
    if let Some(by) = chart.writer(entry.id) {
        words.push(format!("by {by}"));
    }
    if entry.written_at - entry.at > crate::record::facts::LATE_AFTER.to_delta() {
        words.push(format!(
            "written {}",
            entry.written_at.format("%d %b %H:%M")
        ));
    }
    lines.push(format!("      {}", words.join("; ")));
    lines
}

/// A total without its range, which stands in the totals above.
fn tenth(output: &Output) -> String {
    let mut volume = output.volume;
    volume.bounds = Some((volume.nominal, volume.nominal));
    volume.to_string()
}

/// What an entry says besides its level.
#[must_use]
pub fn what_words(entry: &Entry) -> Vec<String> {
    match &entry.what {
        What::Reading(reading) => findings(reading)
            .into_iter()
            .map(|(column, value)| match column {
                Column::Fluid | Column::Action => value,
                column => format!("{} {value}", column.word().replace('-', " ")),
            })
            .collect(),
        What::NewUnit {
            last_level, start, ..
        } => {
            let last = last_level.map_or_else(
                || "last level of the old one not read: output unknown".to_owned(),
                |level| format!("last level of the old one {level} mL"),
            );
            vec![format!("NEW DRAINAGE UNIT, starts at {start} mL; {last}")]
        }
        What::Baseline { level, why } => {
            vec![format!("COUNTING GOES ON from {level} mL: {why}")]
        }
        What::Event(event) => vec![event.word().to_uppercase()],
        What::Correction { .. } => Vec::new(),
    }
}

/// What was obtained besides the level.
#[must_use]
pub fn findings(reading: &Reading) -> Vec<(Column, String)> {
    let all = FINDINGS.iter();
    all.filter_map(|column| Some((*column, column.shown(reading)?)))
        .collect()
}

#[derive(Serialize)]
struct Json {
    drain: String,
    id: String,
    connected: String,
    rehearsal: bool,
    totals: Vec<JsonTotal>,
    limits: Vec<JsonLimit>,
    not_watched: Vec<String>,
    to_settle: Vec<String>,
    due: due::Json,
    entries: Vec<JsonRow>,
}

#[derive(Serialize)]
struct JsonTotal {
    name: String,
    from: String,
    to: String,
    output: JsonRanged,
}

#[derive(Serialize)]
struct JsonRanged {
    ml: f64,
    low: Option<f64>,
    high: Option<f64>,
    at_least: bool,
}

#[derive(Serialize)]
struct JsonLimit {
    limit: String,
    state: &'static str,
    since: String,
    told: Vec<String>,
}

#[derive(Serialize)]
struct JsonRow {
    entry: u64,
    seen: String,
    written: String,
    by: Option<String>,
    kind: &'static str,
    level_ml: Option<f64>,
    output: Option<JsonRanged>,
    total: Option<JsonRanged>,
    #[serde(skip_serializing_if = "std::collections::BTreeMap::is_empty")]
    findings: std::collections::BTreeMap<&'static str, String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    says: Option<String>,
}

fn ranged(output: &Output) -> JsonRanged {
    let bounds = output.volume.bounds;
    JsonRanged {
        ml: output.volume.nominal.to_f64(),
        low: bounds.map(|bounds| bounds.0.to_f64()),
        high: bounds.map(|bounds| bounds.1.to_f64()),
        at_least: output.is_partial(),
    }
}

fn json(desk: &Desk, chart: &Chart, totals: &[Total]) -> Json {
    let judged = chart.standing();
    let limit = |happening: &&Happening| JsonLimit {
        limit: name(happening).to_string(),
        state: happening.change.word(),
        since: happening.at.to_rfc3339(),
        told: told(desk, &chart.series, happening),
    };
    Json {
        drain: chart.drain.name.clone(),
        id: chart.drain.summary.drain.to_string(),
        connected: chart.start.at.to_rfc3339(),
        rehearsal: chart.drain.summary.rehearsal,
        totals: totals
            .iter()
            .map(|total| JsonTotal {
                name: total.name.clone(),
                from: total.output.from.to_rfc3339(),
                to: total.output.to.to_rfc3339(),
                output: ranged(&total.output),
            })
            .collect(),
        limits: judged.standing().iter().map(limit).collect(),
        not_watched: judged
            .refused
            .iter()
            .map(|refused| format!("{}: {}", refused.limit, refused.why))
            .collect(),
        to_settle: to_settle(chart).collect(),
        due: due::json(&chart.drain.name, &due::standing(desk, chart)),
        entries: rows(chart, None).map(|row| json_row(chart, &row)).collect(),
    }
}

fn json_row(chart: &Chart, row: &Row<'_>) -> JsonRow {
    let entry = row.entry;
    let (level, found, says) = match &entry.what {
        What::Reading(reading) => (reading.level, findings(reading), None),
        What::Baseline { level, .. } => (Some(*level), Vec::new(), what_words(entry).pop()),
        What::NewUnit { start, .. } => (Some(*start), Vec::new(), what_words(entry).pop()),
        What::Event(_) | What::Correction { .. } => (None, Vec::new(), what_words(entry).pop()),
    };
    JsonRow {
        entry: entry.id.0,
        seen: entry.at.to_rfc3339(),
        written: entry.written_at.to_rfc3339(),
        by: chart.writer(entry.id).map(ToString::to_string),
        kind: csv::kind(&entry.what),
        level_ml: level.map(|level| level.to_f64()),
        output: row.output.as_ref().map(ranged),
        total: row.total.as_ref().map(ranged),
        findings: found
            .into_iter()
            .map(|(column, value)| (column.word(), value))
            .collect(),
        says,
    }
}
