//! `chart import`: readings from a file, all of it or nothing.

use std::path::Path;
use std::sync::Arc;

use chrono::{MappedLocalTime, NaiveDateTime};

use crate::chart::What;
use crate::chart::import::{Surroundings, import};
use crate::chart::plausible::doubts;
use crate::failure::{Failure, Kind};
use crate::moment::{Moment, OnTheClock};
use crate::units::Span;

use super::super::charting::Chart;
use super::super::desk::Desk;
use super::super::drains::need_writer;
use super::super::local_folder;
use super::super::out;
use super::super::personal;
use super::store::{New, as_entries, new_problems, store};
use super::{print, the_open_drain};

/// The longest list of bad places that is printed.
const MOST_TOLD: usize = 50;

/// Takes the readings of a file into the chart.
///
/// # Errors
/// A failure that names every bad place with line, column and reason; nothing is stored then.
pub fn run(desk: &Desk, file: &Path, drain: Option<&str>) -> Result<(), Failure> {
    need_writer(desk)?;
    let text = local_folder::text(file)?;
    let mut journal = desk.journal()?;
    let drain = the_open_drain(&journal, drain)?;
    let chart = Chart::of(desk, &journal, drain)?;
    let charted: Vec<Moment> = chart.series.readings().map(|(entry, _)| entry.at).collect();
    let zone = desk.clock.zone();
    let local = |local: NaiveDateTime| match zone.on_the_clock(local) {
        OnTheClock::Once(at) => MappedLocalTime::Single(at),
        OnTheClock::Twice(earlier, later) => MappedLocalTime::Ambiguous(earlier, later),
        OnTheClock::Never(..) => MappedLocalTime::None,
    };
    let around = Surroundings {
        now: desk.now(),
        start: chart.start.at,
        charted: &charted,
        local: &local,
    };
    let name = &file.display().to_string();
    let imported = import(&text, &around).map_err(|problems| {
        let told = problems.iter().map(|p| format!("{name}: {p}"));
        refused(told.collect())
    })?;
    let bounds = chart.bounds(&desk.library);
    let mut impossible = Vec::new();
    let mut unlikely = Vec::new();
    for one in &imported {
        for doubt in doubts(&one.reading, bounds) {
            let told = format!("{name}: line {}: {doubt}", one.line);
            if doubt.impossible {
                impossible.push(told);
            } else {
                unlikely.push(told);
            }
        }
    }
    if !impossible.is_empty() {
        return Err(refused(impossible));
    }
    let new: Vec<New> = imported
        .iter()
        .map(|one| (one.at, What::Reading(Arc::new(one.reading.clone()))))
        .collect();
    let foreseen = chart.with(&as_entries(&chart, &new, desk.now()));
    let problems = new_problems(&chart, &foreseen);
    if !problems.is_empty() {
        let told = problems.iter().map(|problem| format!("{name}: {problem}"));
        return Err(refused(told.collect()).hint(
            "enter a change of drainage unit first: tubeside chart new-drainage-unit --seen TIME",
        ));
    }
    for text in imported
        .iter()
        .filter_map(|one| one.reading.action.as_deref())
    {
        if let Some(doubt) = personal::doubt(text) {
            personal::caution(&doubt);
        }
    }
    let count = new.len();
    let note = format!("{count} readings taken from a file");
    let lines = store(desk, &mut journal, &chart, &new, Some(note))?;
    out::line(&format!("stored {count} readings on {}", chart.drain.name))?;
    print(&lines)?;
    for told in unlikely.iter().take(MOST_TOLD) {
        out::line(&format!("stored, but look again: {told}"))?;
    }
    if unlikely.len() > MOST_TOLD {
        out::line(&format!("and {} more", unlikely.len() - MOST_TOLD))?;
    }
    late(desk, &new)
}

fn refused(mut told: Vec<String>) -> Failure {
    let more = told.len().saturating_sub(MOST_TOLD);
    told.truncate(MOST_TOLD);
    if more > 0 {
        told.push(format!("and {more} more"));
    }
    Failure::new(
        Kind::Problems,
        format!("nothing was stored\n  {}", told.join("\n  ")),
    )
    .hint("correct the file and import it again")
}

/// How late the readings were entered: after a shift is usual, after days is worth a look.
fn late(desk: &Desk, new: &[New]) -> Result<(), Failure> {
    let after = Span::minutes(24 * 60).to_delta();
    let now = desk.now();
    let late = new.iter().filter(|(at, _)| now - *at > after).count();
    if late == 0 {
        return Ok(());
    }
    out::line(&format!(
        "{late} of them were seen more than a day ago; each keeps both times"
    ))
}
