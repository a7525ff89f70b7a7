//! `chart plot`: the chart as lines of text, or as a picture file.

use std::path::Path;

use crate::chart::picture::{Picture, notes, svg};
use crate::chart::plot::{LimitLine, Look, plot};
use crate::cli::ChartPlotArgs;
use crate::failure::Failure;
use crate::files::{Present, Readers, write_whole};
use crate::journal::Journal;
use crate::screen;

use super::super::charting::Chart;
use super::super::desk::Desk;
use super::super::drains::in_words;
use super::super::handle::NamedDrain;
use super::super::out;
use super::the_drain;

/// Draws the chart.
///
/// # Errors
/// A failure when the drain is not known, or the journal or the file cannot be used.
pub fn run(desk: &Desk, args: &ChartPlotArgs) -> Result<(), Failure> {
    let journal = desk.journal_to_read()?;
    let drain = the_drain(&journal, args.drain.as_deref())?;
    let chart = Chart::of(desk, &journal, drain)?;
    if let Some(file) = &args.svg {
        return picture(&chart, file, args.width);
    }
    let width = match args.width {
        Some(width) if !(40..=200).contains(&width) => {
            return Err(Failure::usage(format!("--width {width} cannot be drawn"))
                .hint("give 40 to 200 columns"));
        }
        Some(width) => width,
        None => screen::columns()
            .and_then(|columns| u16::try_from(columns).ok())
            .unwrap_or(80),
    };
    let look = Look {
        width,
        ascii: desk.common.ascii,
        limit: limit_lines(&chart).into_iter().next(),
    };
    for line in plot(&chart.series, &look) {
        out::line(&line)?;
    }
    Ok(())
}

/// Writes the picture beside a record of the chart, under its name.
///
/// # Errors
/// A failure when the journal or the file cannot be used.
pub fn beside(
    desk: &Desk,
    journal: &Journal,
    drain: NamedDrain,
    record: &Path,
) -> Result<(), Failure> {
    let chart = Chart::of(desk, journal, drain)?;
    picture(&chart, &record.with_extension("svg"), None)
}

/// Writes the chart as a picture file.
fn picture(chart: &Chart, file: &Path, width: Option<u16>) -> Result<(), Failure> {
    let width = width.unwrap_or(900);
    if !(320..=2_000).contains(&width) {
        return Err(Failure::usage(format!("--width {width} cannot be drawn"))
            .hint("give 320 to 2000 pixels for a picture"));
    }
    let text = drawn(chart, &of(chart, width))?;
    if file == Path::new("-") {
        return out::raw(&text);
    }
    write_whole(file, text.as_bytes(), Readers::Owner, Present::Replace)
        .map_err(|why| Failure::unusable(why.to_string()))?;
    out::line(&format!("written: {}", file.display()))
}

/// The chart as a picture for a page, so many pixels wide, and the notes that stand under it.
///
/// # Errors
/// A failure when a part of it does not fit.
pub fn figure(chart: &Chart, width: u16) -> Result<(String, Vec<String>), Failure> {
    let picture = Picture {
        with_notes: false,
        ..of(chart, width)
    };
    Ok((drawn(chart, &picture)?, notes(&picture)))
}

fn of(chart: &Chart, width: u16) -> Picture {
    let rehearsal = if chart.drain.summary.rehearsal {
        "REHEARSAL. "
    } else {
        ""
    };
    Picture {
        title: format!("{rehearsal}{}", in_words(&chart.drain)),
        width,
        limits: limit_lines(chart),
        with_notes: true,
    }
}

fn drawn(chart: &Chart, picture: &Picture) -> Result<String, Failure> {
    svg(&chart.series, picture).map_err(|why| Failure::unusable(why.to_string()))
}

/// The limits that can be drawn across the hourly output, the lowest first.
#[must_use]
pub fn limit_lines(chart: &Chart) -> Vec<LimitLine> {
    let watched = chart
        .limits
        .iter()
        .filter(|limit| limit.applies(&chart.series, &chart.patient));
    let mut lines: Vec<LimitLine> = watched
        .filter_map(|limit| {
            let at = limit.per_hour(&chart.patient)?;
            Some(LimitLine {
                at,
                label: format!("{at} mL/h: {}", limit.value.means),
            })
        })
        .collect();
    lines.sort_by_key(|line| line.at);
    lines
}
