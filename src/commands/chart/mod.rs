//! `chart …`: the drain chart.

mod add;
mod ask;
mod change;
mod csv;
mod due;
mod import;
mod plot;
mod record;
mod show;
mod store;

use crate::chart::import::field;
use crate::chart::reading::Reading;
use crate::cli::ChartCommand;
use crate::failure::Failure;
use crate::journal::Journal;
use crate::moment::Moment;
use crate::screen::Tone;

use super::charting::Chart;
use super::desk::Desk;
use super::handle::{NamedDrain, drains, find_drain};
use super::out;

pub use due::standing_lines;
pub use plot::{beside, figure};
pub use record::{charted, facts, gathered};
pub use store::after_answer;

/// Does what `chart …` asks.
///
/// # Errors
/// A failure when a drain or a value is not known, cannot be, or the journal cannot be used.
pub fn run(desk: &mut Desk, command: &ChartCommand) -> Result<(), Failure> {
    match command {
        ChartCommand::Add(args) => add::run(desk, args),
        ChartCommand::Show(args) => show::run(desk, args),
        ChartCommand::Due { drain, json } => due::run(desk, drain.as_deref(), *json),
        ChartCommand::Import { file, drain } => import::run(desk, file, drain.as_deref()),
        ChartCommand::Plot(args) => plot::run(desk, args),
        ChartCommand::NewDrainageUnit {
            drain,
            seen,
            last,
            start,
        } => {
            let when = (drain.as_deref(), seen.as_deref());
            change::new_unit(desk, when, last, start)
        }
        ChartCommand::Event { words, drain, seen } => {
            change::event(desk, (drain.as_deref(), seen.as_deref()), words)
        }
        ChartCommand::Correct { .. } => change::correct(desk, command),
    }
}

/// The drain that is meant: the one named, or the only one that is open.
fn the_drain(journal: &Journal, named: Option<&str>) -> Result<NamedDrain, Failure> {
    if let Some(text) = named {
        return find_drain(journal, text);
    }
    let mut open = drains(journal)?;
    open.retain(|drain| drain.summary.closed.is_none());
    match open.len() {
        1 => Ok(open.remove(0)),
        0 => Err(Failure::usage("no drain is open").hint("open one first: tubeside drain new")),
        _ => {
            let names: Vec<&str> = open.iter().map(|drain| drain.name.as_str()).collect();
            Err(Failure::usage("several drains are open: which one?")
                .hint(format!("add --drain with one of {}", names.join(", "))))
        }
    }
}

/// The drain that is meant, when it may still be written to.
fn the_open_drain(journal: &Journal, named: Option<&str>) -> Result<NamedDrain, Failure> {
    let drain = the_drain(journal, named)?;
    match &drain.summary.closed {
        Some((when, how)) => Err(Failure::usage(format!(
            "{} was closed on {}: {how}",
            drain.name,
            when.format("%d %b at %H:%M")
        ))
        .hint("look at it with: tubeside chart show --drain ID")),
        None => Ok(drain),
    }
}

/// The moment at which something was seen: now, or as it was typed; never in the future and never
/// before the drain was connected.
fn seen(desk: &Desk, chart: &Chart, text: Option<&str>) -> Result<Moment, Failure> {
    let now = desk.now();
    let at = match text {
        Some(text) => desk.read_moment(text).map_err(Failure::usage)?,
        None => now,
    };
    if at > now {
        return Err(
            Failure::usage(format!("{} lies in the future", at.format("%d %b %H:%M")))
                .hint("give the time at which it was seen"),
        );
    }
    // Parts of a second do not count in a chart.
    if at.timestamp() < chart.start.at.timestamp() {
        return Err(Failure::usage(format!(
            "{} lies before the drain was connected, on {}",
            at.format("%d %b %H:%M"),
            chart.start.at.format("%d %b at %H:%M")
        ))
        .hint("correct the time; a reading of another drain goes with --drain"));
    }
    Ok(at)
}

/// Reads FIELD=VALUE words into a reading.
fn read_fields(fields: &[String], into: &mut Reading) -> Result<(), Failure> {
    for pair in fields {
        let Some((name, value)) = pair.split_once('=') else {
            return Err(Failure::usage(format!("\"{pair}\" is not FIELD=VALUE"))
                .hint("write it like level=\"320 mL\" swing=small"));
        };
        field(name, value, into).map_err(|why| {
            let why = why.to_string();
            let told = if why.starts_with(name.trim()) {
                why
            } else {
                format!("{name}: {why}")
            };
            Failure::usage(told).hint("nothing is stored; write it like level=\"320 mL\" swing=small suction-set=\"20 cmH2O\"")
        })?;
    }
    Ok(())
}

/// Prints what a command has to say, a line each.
fn print(lines: &[(Tone, String)]) -> Result<(), Failure> {
    for (_, line) in lines {
        out::line(line)?;
    }
    Ok(())
}
