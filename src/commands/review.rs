//! `review`: looking back over many drains and months.

use std::path::Path;

use chrono::{NaiveDate, Offset as _, Utc};

use crate::chart::What as Charted;
use crate::cli::{ReviewArgs, ReviewTable};
use crate::failure::Failure;
use crate::journal::Journal;
use crate::moment::{Moment, Zone};
use crate::record::review::{Picture, Report, Review, ReviewFacts};

use super::charting::Chart;
use super::desk::Desk;
use super::failures::journal_failure;
use super::gather::story;
use super::handle::NamedDrain;
use super::logbook::Reader;
use super::out::{self, progress};
use super::personal::caution;
use super::record::write;

/// How many walks or drains pass between two signs of life.
const EVERY: u64 = 500;

/// Looks through walks and charts one by one and prints what may be shown of them.
///
/// # Errors
/// A failure when a day cannot be read, or the journal or the report's file cannot be used.
pub fn run(desk: &Desk, args: &ReviewArgs) -> Result<(), Failure> {
    let days = Days {
        from: day(args.from.as_deref(), "--from")?,
        to: day(args.to.as_deref(), "--to")?,
        rehearsals: args.rehearsals,
    };
    let journal = desk.journal_to_read()?;
    let mut review = Review::default();
    let unread = walks(&journal, &days, &mut review)?;
    if unread > 0 {
        caution(&format!(
            "{unread} walks could not be brought back and are not counted; run: tubeside journal verify"
        ));
    }
    let unread = charts(desk, &journal, &days, &mut review)?;
    progress("");
    if unread > 0 {
        caution(&format!(
            "{unread} charts could not be read and are not counted; run: tubeside journal verify"
        ));
    }
    let facts = review.facts();
    if let Some(file) = &args.out {
        return report(desk, &journal, &days, &facts, file);
    }
    match args.csv {
        _ if args.json => out::json(&facts),
        None => out::raw(&facts.tables()),
        Some(ReviewTable::Lists) => out::raw(&facts.lists_csv()),
        Some(ReviewTable::Months) => out::raw(&facts.months_csv()),
        Some(ReviewTable::Limits) => out::raw(&facts.limits_csv()),
        Some(ReviewTable::Left) => out::raw(&facts.left_csv()),
    }
}

/// What is looked at.
struct Days {
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
    rehearsals: bool,
}

impl Days {
    fn hold(&self, moment: Moment) -> bool {
        let day = moment.date_naive();
        self.from.is_none_or(|from| day >= from) && self.to.is_none_or(|to| day <= to)
    }

    fn in_words(&self) -> String {
        match (self.from, self.to) {
            (None, None) => "All walks and charts of the journal.".to_owned(),
            (Some(from), None) => format!("From {from} on."),
            (None, Some(to)) => format!("Up to {to}."),
            (Some(from), Some(to)) => format!("From {from} to {to}."),
        }
    }
}

/// Counts the walks begun on those days; gives how many could not be brought back.
fn walks(journal: &Journal, days: &Days, review: &mut Review) -> Result<usize, Failure> {
    let failed = |why| journal_failure(&why);
    let all = journal.count_walks().map_err(failed)?;
    let mut reader = Reader::of(journal);
    let mut unread = 0;
    let looked = journal.each_walk(&mut |summary| {
        if summary.number.is_multiple_of(EVERY) {
            progress(&format!("{} of {all} walks", summary.number));
        }
        if summary.rehearsal == days.rehearsals && days.hold(summary.begun) {
            match reader.bring(summary.walk) {
                Ok(brought) => review.add(&story(&summary.into(), &brought, &[])),
                Err(_) => unread += 1,
            }
        }
        Ok(())
    });
    looked.map_err(failed)?;
    Ok(unread)
}

/// Counts what became of limits on those days, and corrections written on them; gives how many
/// charts could not be read.
fn charts(
    desk: &Desk,
    journal: &Journal,
    days: &Days,
    review: &mut Review,
) -> Result<usize, Failure> {
    let failed = |why| journal_failure(&why);
    // The same on every computer, also where the unit has not filled in its zone.
    let unit = desk.library.unit();
    let zone = unit.map_or(Zone::Fixed(Utc.fix()), |unit| Zone::Named(unit.zone));
    let all = journal.drain_ids().map_err(failed)?;
    let mut unread = 0;
    for (id, number) in all.iter().zip(1_u64..) {
        if number.is_multiple_of(EVERY) {
            progress(&format!("{number} of {} charts", all.len()));
        }
        let Some(summary) = journal.drain(id).map_err(failed)? else {
            continue;
        };
        let over = summary.closed.as_ref().map(|(at, _)| at.date_naive());
        let before = days.from.zip(over).is_some_and(|(from, over)| over < from);
        let after = days.to.is_some_and(|to| summary.opened.date_naive() > to);
        if summary.rehearsal != days.rehearsals || before || after {
            continue;
        }
        let drain = NamedDrain {
            name: format!("d{number}"),
            summary,
        };
        match Chart::until(desk, journal, drain, i64::MAX, zone) {
            Ok(chart) => count(&chart, days, zone, review),
            Err(_) => unread += 1,
        }
    }
    Ok(unread)
}

fn count(chart: &Chart, days: &Days, zone: Zone, review: &mut Review) {
    let judged = chart.judged(&chart.series);
    let happened: Vec<_> = judged
        .happened
        .into_iter()
        .map(|mut happening| {
            happening.at = zone.at(happening.at.to_utc());
            happening
        })
        .filter(|happening| days.hold(happening.at))
        .collect();
    let corrected = chart
        .entries
        .iter()
        .filter(|entry| matches!(entry.what, Charted::Correction { .. }))
        .map(|entry| zone.at(entry.written_at.to_utc()))
        .filter(|at| days.hold(*at));
    review.add_chart(&happened, corrected);
}

/// Writes the report, and its pictures beside it.
fn report(
    desk: &Desk,
    journal: &Journal,
    days: &Days,
    facts: &ReviewFacts,
    file: &Path,
) -> Result<(), Failure> {
    let mut report = Report {
        unit: desk.library.unit().map(|unit| unit.name.clone()),
        time: days.in_words(),
        rehearsals: days.rehearsals,
        last_hash: journal.last_hash().map_err(|why| journal_failure(&why))?,
        pictures: Vec::new(),
    };
    let pictures = [
        ("months", facts.picture_of_months()),
        ("waits", facts.picture_of_waits()),
    ];
    for (name, picture) in pictures {
        let Some(Picture { svg, words }) = picture else {
            continue;
        };
        let stem = file.file_stem().unwrap_or_default().to_string_lossy();
        let beside = format!("{stem}-{name}.svg");
        write(&file.with_file_name(&beside), &svg)?;
        report.pictures.push((link(&beside), words));
    }
    write(file, &facts.report(&report))?;
    out::line(&format!("written: {}", file.display()))
}

/// The name of a file as a link needs it.
fn link(name: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._".contains(&byte);
    name.bytes()
        .map(|byte| match plain(byte) {
            true => char::from(byte).to_string(),
            false => format!("%{byte:02X}"),
        })
        .collect()
}

fn day(text: Option<&str>, option: &str) -> Result<Option<NaiveDate>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let read = NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d");
    read.map(Some).map_err(|_| {
        Failure::usage(format!("{option}: \"{text}\" is not a day"))
            .hint("write it like 2026-03-31")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_of_a_picture_fits_into_a_link() {
        assert_eq!(link("a-months.svg"), "a-months.svg");
        assert_eq!(link("a b)é.svg"), "a%20b%29%C3%A9.svg");
    }
}
