//! A CSV text cut into cells that know where they stand (RFC 4180, from memory: quotes around
//! text, a quote inside written twice).

use super::{ImportProblem, Why};

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cell {
    /// Its text, without quotes.
    pub(super) text: String,
    /// The character in the line at which it begins, from 1.
    pub(super) column: usize,
}

impl Cell {
    /// Its trimmed text. `None` when it was not obtained.
    pub(super) fn value(&self) -> Option<&str> {
        Some(self.text.trim()).filter(|text| !matches!(*text, "" | "-" | "not obtained"))
    }
}

/// One line with something on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    /// The line on which it begins, from 1.
    pub(super) line: usize,
    pub(super) cells: Vec<Cell>,
}

/// Cuts the text; empty lines are left out. A row never runs over more than one line: a line end
/// inside quotes is a quote that was not closed.
pub(super) fn rows(text: &str, problems: &mut Vec<ImportProblem>) -> Vec<Row> {
    let lines = || {
        text.lines()
            .zip(1..)
            .filter(|(line, _)| !line.trim().is_empty())
    };
    let separator = match lines().next() {
        Some((head, _)) if head.contains(';') => ';',
        _ => ',',
    };
    let mut rows = Vec::new();
    for (text, line) in lines() {
        match cut(text, separator) {
            Ok(cells) => rows.push(Row { line, cells }),
            Err(column) => problems.push(ImportProblem {
                line,
                column,
                why: Why::Quotes,
            }),
        }
    }
    rows
}

/// The cells of a line, or the column of the quote that is wrong.
fn cut(line: &str, separator: char) -> Result<Vec<Cell>, usize> {
    let mut cells = Vec::new();
    let mut chars = line.chars().zip(1..).peekable();
    loop {
        let column = chars.peek().map_or(line.chars().count() + 1, |(_, at)| *at);
        let mut text = String::new();
        if let Some((_, opened)) = chars.next_if(|(c, _)| *c == '"') {
            loop {
                match chars.next() {
                    Some(('"', _)) if chars.next_if(|(c, _)| *c == '"').is_some() => text.push('"'),
                    Some(('"', _)) => break,
                    Some((c, _)) => text.push(c),
                    None => return Err(opened),
                }
            }
            while chars.next_if(|(c, _)| *c == ' ').is_some() {}
            if chars.peek().is_some_and(|(c, _)| *c != separator) {
                return Err(opened);
            }
        } else {
            while let Some((c, _)) = chars.next_if(|(c, _)| *c != separator) {
                text.push(c);
            }
        }
        cells.push(Cell { text, column });
        if chars.next().is_none() {
            return Ok(cells);
        }
    }
}
