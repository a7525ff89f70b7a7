//! The marks to reach, each measured beside a yardstick in the same run:
//!
//! ```text
//! cargo bench               every subject
//! cargo bench -- load       those whose name holds "load"
//! ```
//!
//! Run by hand on a quiet machine; nothing here is timed in a test. Figures are the middle of many
//! rounds, and in brackets the stretch that holds eight rounds of ten. Work and yardstick take
//! turns, so that their ratio stands even when the machine is busy.

#![allow(clippy::print_stdout)]

mod answer;
mod chart;
mod common;
mod load;
mod made;
mod memory;
mod prove;
mod replay;
mod review;
mod scan;
mod start;
mod years;

use common::Row;

/// A subject: its name, and what measures it.
type Subject = (&'static str, fn() -> Vec<Row>);

const SUBJECTS: &[Subject] = &[
    ("start", start::rows),
    ("load", load::rows),
    ("answer", answer::rows),
    ("replay", replay::rows),
    ("memory", memory::rows),
    ("scan", scan::rows),
    ("review", review::rows),
    ("chart", chart::rows),
    ("prove", prove::rows),
];

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if let [word, folder] = words.as_slice()
        && word == memory::CHILD
    {
        return memory::work_a_shift(folder.as_ref());
    }
    if let [word, journal] = words.as_slice()
        && word == review::CHILD
    {
        return review::scan(journal.as_ref());
    }
    // Without this word it was started to be tested, and there is nothing to test.
    if !words.iter().any(|word| word == "--bench") {
        return;
    }
    let wanted: Vec<&String> = words.iter().filter(|word| !word.starts_with('-')).collect();
    let mut rows = Vec::new();
    for (name, measure) in SUBJECTS {
        if wanted.is_empty() || wanted.iter().any(|word| name.contains(word.as_str())) {
            println!("measuring: {name}");
            rows.extend(measure());
        }
    }
    println!();
    for row in &rows {
        tell(row);
    }
    let marked: Vec<bool> = rows
        .iter()
        .filter_map(|row| row.mark.as_ref().map(|(_, met)| *met))
        .collect();
    let met = marked.iter().filter(|met| **met).count();
    println!("{met} of {} marks are met", marked.len());
}

fn tell(row: &Row) {
    println!("{}", row.what);
    println!("    {}", row.figure);
    println!("    beside {}", row.beside);
    match &row.mark {
        Some((mark, met)) => println!(
            "    ratio {:.2}; mark: {mark}: {}\n",
            row.ratio,
            if *met { "met" } else { "MISSED" }
        ),
        None => println!("    ratio {:.2}; no mark is set\n", row.ratio),
    }
}
