//! `chart due`: when each open drain is to be looked at, and what is overdue.

use chrono::TimeDelta;
use serde::Serialize;

use crate::chart::schedule::Standing;
use crate::failure::Failure;
use crate::journal::Journal;
use crate::moment::Moment;
use crate::screen::Tone;

use super::super::charting::{Chart, long};
use super::super::desk::Desk;
use super::super::drains::in_words;
use super::super::handle::{NamedDrain, drains};
use super::super::out;
use super::the_drain;

/// The looks of a drain at this moment.
pub struct Due {
    standing: Standing,
    now: Moment,
}

/// One drain, for a program.
#[derive(Serialize)]
pub struct Json {
    drain: String,
    next: Option<String>,
    overdue_minutes: Option<i64>,
    missed: Vec<String>,
}

/// Prints what is due.
///
/// # Errors
/// A failure when a drain is not known or the journal cannot be read.
pub fn run(desk: &Desk, drain: Option<&str>, json: bool) -> Result<(), Failure> {
    let journal = desk.journal_to_read()?;
    let shown = match drain {
        Some(text) => vec![the_drain(&journal, Some(text))?],
        None => open(&journal)?,
    };
    let mut rows = Vec::new();
    for drain in shown {
        let chart = Chart::of(desk, &journal, drain)?;
        rows.push((
            in_words(&chart.drain),
            chart.drain.name.clone(),
            standing(desk, &chart),
        ));
    }
    if json {
        let all: Vec<Json> = rows
            .iter()
            .map(|(_, name, due)| self::json(name, due))
            .collect();
        return out::json(&all);
    }
    if rows.is_empty() {
        return out::line("no drain is open: nothing is due");
    }
    // What has waited longest stands first.
    rows.sort_by_key(|(_, _, due)| due.standing.next);
    for (drain, _, due) in &rows {
        out::line(drain)?;
        out::line(&format!("  {}", words(due)))?;
    }
    Ok(())
}

fn open(journal: &Journal) -> Result<Vec<NamedDrain>, Failure> {
    let mut open = drains(journal)?;
    open.retain(|drain| drain.summary.closed.is_none());
    Ok(open)
}

/// How a drain stands now. Moments are as the clock on the wall shows them.
#[must_use]
pub fn standing(desk: &Desk, chart: &Chart) -> Due {
    let now = desk.now();
    let zone = desk.clock.zone();
    let mut standing = chart.plan.standing(&chart.series, now);
    let local = |at: &mut Moment| *at = zone.at(at.to_utc());
    standing.missed.iter_mut().for_each(local);
    standing.next.iter_mut().for_each(local);
    Due { standing, now }
}

/// In words: overdue by how long, or when next.
#[must_use]
pub fn words(due: &Due) -> String {
    let Due { standing, now } = due;
    let Some(next) = standing.next else {
        return "Nothing is due".to_owned();
    };
    let when = next.format("%d %b %H:%M");
    match standing.overdue {
        Some(late) if late > TimeDelta::minutes(1) => {
            let others = standing.missed.len() - 1;
            let more = match others {
                0 => String::new(),
                1 => ", and 1 look after it".to_owned(),
                more => format!(", and {more} looks after it"),
            };
            format!("OVERDUE by {}: look due {when}{more}", long(late))
        }
        Some(_) => format!("Look due now, {when}"),
        None => format!("Next look {when}, in {}", long(next - *now)),
    }
}

/// For a program.
#[must_use]
pub fn json(name: &str, due: &Due) -> Json {
    Json {
        drain: name.to_owned(),
        next: due.standing.next.map(|next| next.to_rfc3339()),
        overdue_minutes: due.standing.overdue.map(|late| late.num_minutes()),
        missed: due.standing.missed.iter().map(Moment::to_rfc3339).collect(),
    }
}

/// What is due of every open drain, for the home screen; what is overdue stands first. A drain
/// whose chart cannot be read is named too.
///
/// # Errors
/// A failure when the journal cannot be read at all.
pub fn standing_lines(desk: &Desk, journal: &Journal) -> Result<Vec<(Tone, String)>, Failure> {
    let mut lines = Vec::new();
    for drain in open(journal)? {
        let name = drain.name.clone();
        let place = drain.summary.facts.get("place").map(ToString::to_string);
        let who = place.map_or_else(|| name.clone(), |place| format!("{name} {place}"));
        let (at, tone, text) = match Chart::of(desk, journal, drain) {
            Ok(chart) => {
                let due = standing(desk, &chart);
                let tone = match due.standing.overdue {
                    Some(_) => Tone::Overdue,
                    None => Tone::Plain,
                };
                (due.standing.next, tone, format!("{who}: {}", words(&due)))
            }
            Err(why) => (None, Tone::Problem, format!("{who}: {}", why.message)),
        };
        lines.push((at, tone, text));
    }
    lines.sort_by_key(|(at, ..)| *at);
    Ok(lines
        .into_iter()
        .map(|(_, tone, text)| (tone, text))
        .collect())
}
