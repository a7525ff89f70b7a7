//! `chart plot`: the chart as lines of text, or as a picture file.

use crate::chart::plot::{LimitLine, Look, plot};
use crate::cli::ChartPlotArgs;
use crate::failure::Failure;
use crate::screen;

use super::super::charting::Chart;
use super::super::desk::Desk;
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
