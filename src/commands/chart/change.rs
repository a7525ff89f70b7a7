//! `chart new-drainage-unit`, `chart event` and `chart correct`.

use std::sync::Arc;

use crate::chart::plausible::doubts;
use crate::chart::{ChartEvent, Entry, EntryId, What};
use crate::cli::ChartCommand;
use crate::failure::Failure;
use crate::journal::Journal;
use crate::moment::Moment;

use super::super::charting::Chart;
use super::super::desk::Desk;
use super::super::drains::need_writer;
use super::super::out;
use super::add::{free_moment, refuse_doubts, refuse_empty};
use super::ask::level;
use super::store::{New, as_entries, new_problems, store};
use super::{print, read_fields, seen, the_open_drain};

/// Which drain, and when.
type Where<'a> = (Option<&'a str>, Option<&'a str>);

/// The journal, the chart and the moment for an entry.
fn open(desk: &Desk, (drain, when): Where<'_>) -> Result<(Journal, Chart, Moment), Failure> {
    need_writer(desk)?;
    let journal = desk.journal()?;
    let drain = the_open_drain(&journal, drain)?;
    let chart = Chart::of(desk, &journal, drain)?;
    let at = seen(desk, &chart, when)?;
    Ok((journal, chart, at))
}

fn finish(
    desk: &Desk,
    journal: &mut Journal,
    chart: &Chart,
    new: New,
    (what, note): (&str, Option<String>),
) -> Result<(), Failure> {
    let at = new.0;
    let lines = store(desk, journal, chart, &[new], note)?;
    out::line(&format!(
        "{what} on {}, {}",
        chart.drain.name,
        at.format("%d %b %H:%M")
    ))?;
    print(&lines)
}

/// Enters a change of drainage unit.
///
/// # Errors
/// A failure when a level or the time cannot be, or the journal could not keep it.
pub fn new_unit(desk: &Desk, place: Where<'_>, last: &str, start: &str) -> Result<(), Failure> {
    let read = |name: &str, text: &str| {
        level(text).map_err(|why| Failure::usage(format!("--{name}: {why}")))
    };
    let last_level = match last.trim() {
        "-" => None,
        text => Some(read("last", text)?),
    };
    let start = read("start", start)?;
    let (mut journal, chart, at) = open(desk, place)?;
    let what = What::NewUnit {
        last_level,
        start,
        graduation: chart.start.graduation,
    };
    let foreseen = chart.with(&as_entries(&chart, &[(at, what.clone())], desk.now()));
    if let Some(problem) = new_problems(&chart, &foreseen).first() {
        return Err(Failure::usage(problem.to_string()).hint(
            "nothing is stored: correct the last level or the time; a hyphen means that nobody read it",
        ));
    }
    let done = ("new drainage unit", None);
    finish(desk, &mut journal, &chart, (at, what), done)
}

/// Enters an event.
///
/// # Errors
/// A failure when the words are not an event, or the journal could not keep it.
pub fn event(desk: &Desk, place: Where<'_>, words: &[String]) -> Result<(), Failure> {
    let text = words.join(" ").to_lowercase();
    let may_be = |event: &&ChartEvent| **event != ChartEvent::LimitReached;
    let Some(event) = ChartEvent::parse(&text).filter(|event| may_be(&event)) else {
        let all: Vec<&str> = ChartEvent::ALL
            .iter()
            .filter(may_be)
            .map(|event| event.word())
            .collect();
        return Err(Failure::usage(format!("\"{text}\" is no event of a drain"))
            .hint(format!("the events are: {}", all.join(", "))));
    };
    let (mut journal, chart, at) = open(desk, place)?;
    let done = (event.word(), None);
    finish(desk, &mut journal, &chart, (at, What::Event(event)), done)
}

/// Enters a correction of a reading.
///
/// # Errors
/// A failure when the reading is not one of the drain's, a value cannot be, or the journal could
/// not keep it.
pub fn correct(desk: &Desk, command: &ChartCommand) -> Result<(), Failure> {
    let ChartCommand::Correct {
        entry,
        fields,
        drain,
        seen: when,
        strike,
        sure,
        why,
    } = command
    else {
        return Ok(());
    };
    if why.trim().is_empty() {
        return Err(Failure::usage("why it is corrected is empty").hint("write a few words"));
    }
    let (mut journal, chart, _) = open(desk, (drain.as_deref(), None))?;
    let standing = standing(&chart, *entry)?;
    let (of, before) = (standing.id, standing.at);
    let at = match when {
        Some(text) => seen(desk, &chart, Some(text))?,
        None => before,
    };
    let mut reading = match &standing.what {
        What::Reading(reading) => (**reading).clone(),
        _ => return Err(Failure::usage(format!("entry {entry} is not a reading"))),
    };
    let what = if *strike {
        What::Correction { of, reading: None }
    } else {
        if fields.is_empty() && when.is_none() {
            return Err(Failure::usage("nothing is corrected")
                .hint("give what is right as FIELD=VALUE, a time with --seen, or --strike"));
        }
        read_fields(fields, &mut reading)?;
        refuse_empty(&reading)?;
        free_moment(&chart, at, Some(of))?;
        refuse_doubts(&doubts(&reading, chart.bounds(&desk.library)), *sure)?;
        What::Correction {
            of,
            reading: Some(Arc::new(reading)),
        }
    };
    let foreseen = chart.with(&as_entries(&chart, &[(at, what.clone())], desk.now()));
    if let Some(problem) = new_problems(&chart, &foreseen).first().filter(|_| !sure) {
        return Err(Failure::usage(problem.to_string())
            .hint("nothing is stored; if it is right all the same, add --sure"));
    }
    let note = format!("Entry {entry} of the chart corrected: {}", why.trim());
    let done = (if *strike { "struck out" } else { "corrected" }, Some(note));
    finish(desk, &mut journal, &chart, (at, what), done)
}

/// The reading that stands under that number, or under a correction of it.
fn standing(chart: &Chart, number: u64) -> Result<&Entry, Failure> {
    let id = EntryId(number);
    // The number of a reading that was corrected leads to what stands in its place.
    let corrected = |of: EntryId| {
        chart.entries.iter().find_map(|entry| match entry.what {
            What::Correction { of: other, .. } if other == of => Some(entry.id),
            _ => None,
        })
    };
    let mut last = id;
    while let Some(next) = corrected(last).filter(|next| *next > last) {
        last = next;
    }
    let found = chart.series.entries().iter().find(|entry| entry.id == last);
    found.ok_or_else(|| {
        Failure::usage(format!(
            "entry {number} is no reading that stands on {}",
            chart.drain.name
        ))
        .hint(format!(
            "the entries are numbered in: tubeside chart show --drain {} --all",
            chart.drain.name
        ))
    })
}
