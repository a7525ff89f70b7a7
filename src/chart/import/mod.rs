//! Readings from a CSV text: the whole of it, or every problem in it.
//!
//! The first line names the columns (see [`Column`]), a unit in brackets after the name where
//! every cell has the same: `level (mL)`. The separator is a semicolon when the first line holds
//! one, otherwise a comma; text in double quotes may hold either. `seen-at` is
//! `2031-03-04 10:00` in local time, or with an offset `2031-03-04T10:00+00:00`; `24:00` is the
//! end of that day. An empty cell or `-` is "not obtained".

mod cells;
mod column;

pub use column::Column;

use super::reading::Reading;
use crate::moment::Moment;
use crate::units::{BadAmount, Unit};
use cells::{Cell, Row};
use chrono::{MappedLocalTime, NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;

/// A reading that was read from a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Imported {
    /// The line it stands on, from 1.
    pub line: usize,
    /// When it was seen.
    pub at: Moment,
    /// What was seen.
    pub reading: Reading,
}

/// Something wrong with the text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column}: {why}")]
pub struct ImportProblem {
    /// The line, from 1.
    pub line: usize,
    /// The character in the line, from 1.
    pub column: usize,
    /// What is wrong and what to do.
    pub why: Why,
}

/// What is wrong with a cell or a line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Why {
    /// There is no text.
    #[error("the file is empty: the first line must name the columns")]
    Empty,
    /// There is no column of moments.
    #[error("there is no column seen-at: every reading needs the time it was seen")]
    NoMoments,
    /// The column is not known.
    #[error("\"{0}\" is not a column known here; known are {known}", known = column::names())]
    UnknownColumn(String),
    /// The column is there twice.
    #[error("the column \"{0}\" is there twice: keep one")]
    TwiceColumn(String),
    /// The unit does not belong to the column.
    #[error("the unit {unit} does not fit {column}; use {units}", units = column.units())]
    WrongUnit {
        /// The unit.
        unit: Unit,
        /// The column.
        column: Column,
    },
    /// A line has more or fewer cells than the first.
    #[error(
        "there are {found} cells here and {expected} columns (a decimal comma needs quotes when commas separate the cells)"
    )]
    CellCount {
        /// As many as there are.
        found: usize,
        /// As many as there should be.
        expected: usize,
    },
    /// A quote is not closed, or text follows one.
    #[error(
        "a double quote is not closed, or text follows it: close it, and write a quote inside text twice"
    )]
    Quotes,
    /// The amount cannot be read.
    #[error(transparent)]
    Amount(#[from] BadAmount),
    /// The word is not one of the column's.
    #[error("\"{text}\" is not a word for {column}; use {words}", words = column.words())]
    UnknownWord {
        /// The text.
        text: String,
        /// The column.
        column: Column,
    },
    /// Not a whole number in the column's range.
    #[error("\"{text}\" is not a whole number from {low} to {high}")]
    NotInRange {
        /// The text.
        text: String,
        /// The least.
        low: u16,
        /// The most.
        high: u16,
    },
    /// A blood pressure without its second number.
    #[error("\"{0}\" is not a blood pressure: write both numbers, like 120/80")]
    OneNumber(String),
    /// An amount below zero where none can be.
    #[error("{0} cannot be below zero")]
    Negative(Column),
    /// A character that is not to be shown.
    #[error("the text holds a control character: take it out")]
    Control,
    /// The moment is missing.
    #[error("the time it was seen is missing")]
    MomentMissing,
    /// The moment cannot be read.
    #[error("\"{0}\" is not a time: write it like 2031-03-04 10:00")]
    NotAMoment(String),
    /// The clock went back: the local time came twice.
    #[error(
        "{0} came twice that night, when the clocks went back: write it with its offset, like {0}+00:00"
    )]
    Twice(String),
    /// The clock went forward over it.
    #[error("{0} did not exist that night, when the clocks went forward: correct it")]
    Skipped(String),
    /// It lies in the future.
    #[error("this time lies in the future: correct it")]
    Future,
    /// It lies before the drain was connected.
    #[error("this time lies before the drain was connected: correct it")]
    BeforeStart,
    /// Another line has the same moment.
    #[error("line {0} has the same time: keep one of the two")]
    Duplicate(usize),
    /// The chart has a reading at this moment.
    #[error(
        "the chart already has a reading at this time: take the line out, or correct the reading there"
    )]
    AlreadyCharted,
    /// A line with a moment and nothing else.
    #[error("nothing was obtained on this line: take it out, or fill it in")]
    NothingObtained,
}

/// What an import is held against.
pub struct Surroundings<'a> {
    /// The present moment.
    pub now: Moment,
    /// When the drain was connected.
    pub start: Moment,
    /// The moments of the readings already charted.
    pub charted: &'a [Moment],
    /// Finds the moment of a local time.
    pub local: &'a dyn Fn(NaiveDateTime) -> MappedLocalTime<Moment>,
}

/// Reads a CSV text.
///
/// # Errors
/// Every problem, in order of line and column; then nothing is imported.
pub fn import(text: &str, around: &Surroundings<'_>) -> Result<Vec<Imported>, Vec<ImportProblem>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut problems = Vec::new();
    let mut rows = cells::rows(text, &mut problems).into_iter();
    let Some(head) = rows.next() else {
        if problems.is_empty() {
            problems.push(at_line(1, Why::Empty));
        }
        return Err(problems);
    };
    // Without a sound first line nothing after it can be judged.
    if problems.first().is_some_and(|p| p.line < head.line) {
        return Err(problems);
    }
    let mut named = Vec::new();
    let columns = column::read_head(&head, &mut named);
    if !named.is_empty() {
        return Err(in_order(named));
    }
    let mut imported = Vec::new();
    let mut seen: BTreeMap<i64, usize> = BTreeMap::new();
    for row in rows {
        if let Some(reading) = read_row(&row, &columns, around, &mut problems) {
            match seen.insert(reading.at.timestamp(), row.line) {
                None => imported.push(reading),
                Some(first) => problems.push(at_line(row.line, Why::Duplicate(first))),
            }
        }
    }
    if problems.is_empty() {
        Ok(imported)
    } else {
        Err(in_order(problems))
    }
}

/// Reads one field of a reading by its column's name, as [`import`] reads a cell: `level` with
/// `150 mL`. Nothing, `-` and `not obtained` leave it as not obtained.
///
/// # Errors
/// What is wrong with the name or the text.
pub fn field(name: &str, text: &str, into: &mut Reading) -> Result<(), Why> {
    let column = Column::parse(&name.trim().to_lowercase())
        .filter(|column| *column != Column::SeenAt)
        .ok_or_else(|| Why::UnknownColumn(name.to_owned()))?;
    let cell = Cell {
        text: text.to_owned(),
        column: 1,
    };
    column.clear(into);
    column.read(cell.value(), None, into)
}

fn in_order(mut problems: Vec<ImportProblem>) -> Vec<ImportProblem> {
    problems.sort_by_key(|problem| (problem.line, problem.column));
    problems
}

const fn at_line(line: usize, why: Why) -> ImportProblem {
    ImportProblem {
        line,
        column: 1,
        why,
    }
}

fn read_row(
    row: &Row,
    columns: &[(Column, Option<Unit>)],
    around: &Surroundings<'_>,
    problems: &mut Vec<ImportProblem>,
) -> Option<Imported> {
    let (found, expected) = (row.cells.len(), columns.len());
    if found != expected {
        problems.push(at_line(row.line, Why::CellCount { found, expected }));
        return None;
    }
    let mut reading = Reading::default();
    let mut at = None;
    let before = problems.len();
    for (cell, (column, unit)) in row.cells.iter().zip(columns) {
        let read = match column {
            Column::SeenAt => moment(cell, around).map(|moment| at = Some(moment)),
            column => column.read(cell.value(), *unit, &mut reading),
        };
        if let Err(why) = read {
            problems.push(ImportProblem {
                line: row.line,
                column: cell.column,
                why,
            });
        }
    }
    if problems.len() > before {
        return None;
    }
    if reading == Reading::default() {
        problems.push(at_line(row.line, Why::NothingObtained));
        return None;
    }
    at.map(|at| Imported {
        line: row.line,
        at,
        reading,
    })
}

fn moment(cell: &Cell, around: &Surroundings<'_>) -> Result<Moment, Why> {
    let text = cell.value().ok_or(Why::MomentMissing)?;
    let at = match with_offset(text) {
        Some(at) => at,
        None => {
            let local = local_time(text).ok_or_else(|| Why::NotAMoment(text.to_owned()))?;
            match (around.local)(local) {
                MappedLocalTime::Single(at) => at,
                MappedLocalTime::Ambiguous(..) => return Err(Why::Twice(text.to_owned())),
                MappedLocalTime::None => return Err(Why::Skipped(text.to_owned())),
            }
        }
    };
    match at {
        at if at > around.now => Err(Why::Future),
        at if at < around.start => Err(Why::BeforeStart),
        at if around
            .charted
            .iter()
            .any(|c| c.timestamp() == at.timestamp()) =>
        {
            Err(Why::AlreadyCharted)
        }
        at => Ok(at),
    }
}

fn with_offset(text: &str) -> Option<Moment> {
    let formats = [
        "%Y-%m-%dT%H:%M%:z",
        "%Y-%m-%d %H:%M%:z",
        "%Y-%m-%dT%H:%M:%S%:z",
    ];
    let text = text
        .strip_suffix('Z')
        .map_or(text.to_owned(), |t| format!("{t}+00:00"));
    let mut read = formats.iter().map(|f| Moment::parse_from_str(&text, f));
    read.find_map(Result::ok)
}

/// "2031-03-04 10:00"; 24:00 is the midnight at the end of that day (ISO 8601:2004, from memory).
fn local_time(text: &str) -> Option<NaiveDateTime> {
    let text = text.replacen('T', " ", 1);
    let read = |text: &str| NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").ok();
    match text.strip_suffix(" 24:00") {
        Some(day) => read(&format!("{day} 00:00"))?.checked_add_signed(TimeDelta::days(1)),
        None => read(&text),
    }
}

#[cfg(test)]
mod tests;
