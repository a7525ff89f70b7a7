//! The chart as CSV for a spreadsheet (RFC 4180).

use crate::chart::{Output, What};
use crate::clean;
use crate::units::Number;

use super::super::charting::Chart;
use super::show::{FINDINGS, Row, rows, what_words};

/// The columns before the findings.
const HEAD: &[&str] = &[
    "entry",
    "seen-at",
    "written-at",
    "by",
    "kind",
    "level mL",
    "output mL",
    "output low mL",
    "output high mL",
    "output is at least",
    "total mL",
    "total is at least",
];

/// The whole chart.
#[must_use]
pub fn text(chart: &Chart) -> String {
    let mut head: Vec<String> = HEAD.iter().map(|name| (*name).to_owned()).collect();
    head.extend(FINDINGS.iter().map(|column| column.word().to_owned()));
    head.push("says".to_owned());
    let mut text = line(&head);
    for row in rows(chart, None) {
        text.push_str(&line(&cells(chart, &row)));
    }
    text
}

/// What an entry is, in a word.
#[must_use]
pub const fn kind(what: &What) -> &'static str {
    match what {
        What::Reading(_) => "reading",
        What::NewUnit { .. } => "new drainage unit",
        What::Baseline { .. } => "counting goes on",
        What::Event(_) => "event",
        What::Correction { .. } => "correction",
    }
}

fn cells(chart: &Chart, row: &Row<'_>) -> Vec<String> {
    let entry = row.entry;
    let level = match &entry.what {
        What::Reading(reading) => reading.level,
        What::Baseline { level, .. } => Some(*level),
        What::NewUnit { start, .. } => Some(*start),
        What::Correction { .. } | What::Event(_) => None,
    };
    let of = |output: &Option<Output>, part: fn(&Output) -> Option<Number>| {
        number(output.as_ref().and_then(part))
    };
    let partial = |output: &Option<Output>| {
        let word = |output: &Output| if output.is_partial() { "yes" } else { "no" };
        output.as_ref().map_or("", word).to_owned()
    };
    let mut cells = vec![
        entry.id.0.to_string(),
        entry.at.to_rfc3339(),
        entry.written_at.to_rfc3339(),
        chart
            .writer(entry.id)
            .map_or_else(String::new, ToString::to_string),
        kind(&entry.what).to_owned(),
        number(level),
        of(&row.output, |output| Some(output.volume.nominal)),
        of(&row.output, |output| Some(output.volume.bounds?.0)),
        of(&row.output, |output| Some(output.volume.bounds?.1)),
        partial(&row.output),
        of(&row.total, |output| Some(output.volume.nominal)),
        partial(&row.total),
    ];
    let reading = match &entry.what {
        What::Reading(reading) => Some(reading),
        _ => None,
    };
    let found = |column: &crate::chart::import::Column| {
        reading
            .and_then(|reading| column.shown(reading))
            .unwrap_or_default()
    };
    cells.extend(FINDINGS.iter().map(found));
    cells.push(match reading {
        Some(_) => String::new(),
        None => what_words(entry).join("; "),
    });
    cells
}

fn number(number: Option<Number>) -> String {
    number.map_or_else(String::new, |number| number.to_string())
}

fn line(cells: &[String]) -> String {
    let cells: Vec<String> = cells.iter().map(|text| clean::cell(text)).collect();
    format!("{}\r\n", cells.join(","))
}
