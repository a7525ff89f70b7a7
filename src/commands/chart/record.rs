//! The facts of a chart record, out of what was gathered from the journal.

use chrono::{Days, NaiveTime, TimeDelta};

use crate::chart::{EntryId, Output};
use crate::failure::Failure;
use crate::journal::Journal;
use crate::moment::{Moment, OnTheClock, Zone};
use crate::record::facts::{ChartFacts, Charted};

use super::super::charting::{Chart, shift_starts};
use super::super::desk::Desk;
use super::super::gather::Gathered;
use super::super::handle::NamedDrain;

/// The longest row of days or shifts in a record; more are left to the chart itself.
const MOST: usize = 400;

/// The facts of the chart of the drain that was gathered.
///
/// # Errors
/// A failure when no drain is known, nothing was charted, or the journal cannot be read.
pub fn facts(desk: &Desk, journal: &Journal, gathered: &Gathered) -> Result<ChartFacts, Failure> {
    let Some(drain) = &gathered.drain else {
        return Err(Failure::usage("a chart is of a drain").hint("add --drain d1"));
    };
    let Some(chart) = self::gathered(desk, journal, gathered)? else {
        return Err(
            Failure::usage(format!("nothing was charted for {}", drain.name))
                .hint("enter a reading: tubeside chart add"),
        );
    };
    Ok(charted(desk, &chart, |charted| {
        ChartFacts::new(&gathered.stories, &gathered.header, charted)
    }))
}

/// Hands over what a record says of the chart.
pub fn charted<T>(desk: &Desk, chart: &Chart, make: impl FnOnce(&Charted<'_>) -> T) -> T {
    let judged = chart.judged(&chart.series);
    let last = chart.series.entries().last().map(|entry| entry.at);
    let writer = |id: EntryId| {
        chart
            .writer(id)
            .map_or_else(String::new, ToString::to_string)
    };
    let charted = Charted {
        drain: chart.drain.summary.drain.to_string(),
        series: &chart.series,
        written: &chart.entries,
        writer: &writer,
        totals: totals(desk, chart),
        limits: &judged.happened,
        not_watched: judged
            .refused
            .iter()
            .map(|refused| format!("{}: {}", refused.limit, refused.why))
            .collect(),
        signs: chart.signs(&chart.series),
        missed: last.map_or_else(Vec::new, |last| chart.plan.missed(&chart.series, last)),
        next: last
            .filter(|_| chart.drain.summary.closed.is_none())
            .and_then(|last| chart.plan.standing(&chart.series, last).next),
    };
    make(&charted)
}

/// The chart of the drain that was gathered, as the journal stood then; `None` without a drain or
/// when nothing was charted for it.
///
/// # Errors
/// A failure when the journal cannot be read.
pub fn gathered(
    desk: &Desk,
    journal: &Journal,
    gathered: &Gathered,
) -> Result<Option<Chart>, Failure> {
    let Some(drain) = gathered.drain.clone() else {
        return Ok(None);
    };
    let upto = i64::try_from(gathered.header.journal.sequence).unwrap_or(i64::MAX);
    let zone = zone(desk, &drain);
    let chart = Chart::until(desk, journal, drain, upto, zone)?;
    Ok((!chart.entries.is_empty()).then_some(chart))
}

/// The zone of a record: that which the unit names, or else the offset at which the drain was opened,
/// never that of the computer on which the record is made.
fn zone(desk: &Desk, drain: &NamedDrain) -> Zone {
    let own = *drain.summary.opened.offset();
    desk.library
        .unit()
        .map_or(Zone::Fixed(own), |_| desk.clock.zone())
}

/// The outputs of each shift, or else of each day, and of all.
fn totals(desk: &Desk, chart: &Chart) -> Vec<(String, Output)> {
    let zone = zone(desk, &chart.drain);
    let starts = shift_starts(&desk.library);
    let (name, starts) = match starts.as_slice() {
        [] => ("Day", vec![0]),
        all => ("Shift", all.to_vec()),
    };
    let total = chart.series.total();
    let mut boundaries = vec![total.from];
    boundaries.extend(
        between(zone, &starts, total.from, total.to)
            .into_iter()
            .take(MOST),
    );
    if boundaries.last().is_some_and(|last| *last < total.to) {
        boundaries.push(total.to);
    }
    let outputs = chart.series.between(&boundaries).into_iter();
    let mut totals: Vec<(String, Output)> = outputs
        .map(|output| {
            let words = |at: Moment| zone.at(at.to_utc()).format("%d %b %H:%M").to_string();
            let what = format!("{name} {} to {}", words(output.from), words(output.to));
            (what, output)
        })
        .collect();
    totals.push(("Since it was connected".to_owned(), total));
    totals
}

/// The moments between two others at which the clock shows one of these minutes of the day.
fn between(zone: Zone, minutes: &[u32], from: Moment, to: Moment) -> Vec<Moment> {
    let mut found = Vec::new();
    let mut day = zone.at(from.to_utc()).date_naive();
    let end = zone.at((to + TimeDelta::days(1)).to_utc()).date_naive();
    while day <= end && found.len() <= MOST {
        for minute in minutes {
            let time = NaiveTime::from_num_seconds_from_midnight_opt(minute * 60, 0);
            let at = time.and_then(|time| match zone.on_the_clock(day.and_time(time)) {
                OnTheClock::Once(at) | OnTheClock::Twice(at, _) => Some(at),
                OnTheClock::Never(..) => None,
            });
            found.extend(at.filter(|at| *at > from && *at < to));
        }
        match day.checked_add_days(Days::new(1)) {
            Some(next) => day = next,
            None => break,
        }
    }
    found
}
