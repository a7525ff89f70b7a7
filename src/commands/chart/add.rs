//! `chart add`: a reading, from words on the command line or question by question.

use std::sync::Arc;

use crate::chart::plausible::{Doubt, doubts};
use crate::chart::reading::Reading;
use crate::chart::{BaselineReason, Problem, What};
use crate::cli::{ChartAddArgs, Lower};
use crate::failure::{Failure, Kind};
use crate::journal::Journal;
use crate::moment::Moment;
use crate::screen::{Screen, Tone};

use super::super::bedside::ask_writer;
use super::super::charting::Chart;
use super::super::desk::Desk;
use super::super::drains::{in_words, need_writer};
use super::super::failures::stopped_unstored;
use super::super::out;
use super::super::personal;
use super::super::screens::{Form, form};
use super::super::start::in_form;
use super::ask;
use super::store::{New, as_entries, new_problems, store};
use super::{print, read_fields, seen, the_open_drain};

/// Enters a reading.
///
/// # Errors
/// A failure when a value or the time cannot be, the drain is not known, or the journal could not
/// keep it. Nothing is stored then.
pub fn run(desk: &mut Desk, args: &ChartAddArgs) -> Result<(), Failure> {
    if args.fields.is_empty() {
        return by_questions(desk, args);
    }
    need_writer(desk)?;
    let mut journal = desk.journal()?;
    let drain = the_open_drain(&journal, args.drain.as_deref())?;
    let chart = Chart::of(desk, &journal, drain)?;
    let at = seen(desk, &chart, args.seen.as_deref())?;
    free_moment(&chart, at, None)?;
    let mut reading = Reading::default();
    read_fields(&args.fields, &mut reading)?;
    refuse_empty(&reading)?;
    refuse_doubts(&doubts(&reading, chart.bounds(&desk.library)), args.sure)?;
    warn_personal(&reading);
    let new = entries(desk, &chart, at, reading, args)?;
    let lines = store(desk, &mut journal, &chart, &new, None)?;
    out::line(&format!(
        "stored on {}, seen {}",
        chart.drain.name,
        at.format("%d %b %H:%M")
    ))?;
    print(&lines)
}

/// The reading, and before it what makes its level continue from a new beginning.
fn entries(
    desk: &Desk,
    chart: &Chart,
    at: Moment,
    reading: Reading,
    args: &ChartAddArgs,
) -> Result<Vec<New>, Failure> {
    let level = reading.level;
    let alone = vec![(at, What::Reading(Arc::new(reading.clone())))];
    let Some((before, own)) = lower(desk, chart, &alone) else {
        return Ok(alone);
    };
    if !own {
        // A late reading above a later one.
        if args.sure {
            return Ok(alone);
        }
        return Err(Failure::usage(before.to_string())
            .hint("if this level is right all the same, add --sure; the later one is then to be corrected"));
    }
    let (Some(why), Some(level)) = (args.lower, level) else {
        return Err(Failure::usage(before.to_string())
            .hint("say which with --lower tilted, spilled, misread or changed")
            .hint("after a change of drainage unit: tubeside chart new-drainage-unit --last \"480 mL\" --start \"0 mL\", then the reading"));
    };
    let why = reason(why);
    let baseline = What::Baseline { level, why };
    Ok(vec![(at, baseline), (at, What::Reading(Arc::new(reading)))])
}

/// The problem of a level below the one before, and whether it is the new reading that is lower.
pub fn lower(desk: &Desk, chart: &Chart, new: &[New]) -> Option<(Problem, bool)> {
    let entries = as_entries(chart, new, desk.now());
    let ids: Vec<_> = entries.iter().map(|entry| entry.id).collect();
    let problems = new_problems(chart, &chart.with(&entries)).into_iter();
    problems
        .filter_map(|problem| match problem {
            Problem::Lower { entry, .. } => Some((problem, ids.contains(&entry))),
            _ => None,
        })
        .max_by_key(|(_, own)| *own)
}

/// The reason as the chart knows it.
#[must_use]
pub const fn reason(why: Lower) -> BaselineReason {
    match why {
        Lower::Tilted => BaselineReason::Tilt,
        Lower::Spilled => BaselineReason::Spill,
        Lower::Misread => BaselineReason::Misread,
        Lower::Changed => BaselineReason::Changed,
    }
}

/// Refuses a second reading at one moment. `except` is a reading that is being corrected.
///
/// # Errors
/// A usage failure that says how to correct the one that is there.
pub fn free_moment(
    chart: &Chart,
    at: Moment,
    except: Option<crate::chart::EntryId>,
) -> Result<(), Failure> {
    let there = chart
        .series
        .readings()
        .find(|(entry, _)| entry.at.timestamp() == at.timestamp() && Some(entry.id) != except);
    match there {
        None => Ok(()),
        Some((entry, _)) => Err(Failure::usage(format!(
            "there is already a reading at {}: entry {}",
            at.format("%d %b %H:%M:%S"),
            entry.id.0
        ))
        .hint(format!(
            "correct it: tubeside chart correct {} FIELD=VALUE --why \"...\"",
            entry.id.0
        ))
        .hint("or give the time at which this one was seen: --seen 04:10")),
    }
}

/// Refuses a reading in which nothing was obtained.
///
/// # Errors
/// A usage failure.
pub fn refuse_empty(reading: &Reading) -> Result<(), Failure> {
    if *reading == Reading::default() {
        return Err(Failure::usage("nothing was obtained: nothing is stored")
            .hint("write why nobody could look as a note: tubeside note --drain d1 \"...\""));
    }
    Ok(())
}

/// Refuses what cannot be, and what is unlikely unless it was looked at twice.
///
/// # Errors
/// A usage failure that names every such value.
pub fn refuse_doubts(doubts: &[Doubt], sure: bool) -> Result<(), Failure> {
    let told = |doubts: &[&Doubt]| {
        let lines: Vec<String> = doubts.iter().map(ToString::to_string).collect();
        lines.join("; ")
    };
    let impossible: Vec<&Doubt> = doubts.iter().filter(|doubt| doubt.impossible).collect();
    if !impossible.is_empty() {
        return Err(Failure::usage(told(&impossible)).hint("nothing is stored: look again"));
    }
    if !doubts.is_empty() && !sure {
        let all: Vec<&Doubt> = doubts.iter().collect();
        return Err(Failure::usage(told(&all))
            .hint("nothing is stored: look again; if it is so, give it once more with --sure"));
    }
    Ok(())
}

fn warn_personal(reading: &Reading) {
    if let Some(doubt) = reading.action.as_deref().and_then(personal::doubt) {
        personal::caution(&doubt);
    }
}

fn by_questions(desk: &mut Desk, args: &ChartAddArgs) -> Result<(), Failure> {
    let form = form(&desk.common, args.answers.as_deref());
    if form != Form::Terminal {
        need_writer(desk)?;
    }
    in_form(desk, form, |desk, screen| {
        if desk.by.is_empty() {
            ask_writer(desk, screen)?;
        }
        let mut journal = desk.journal()?;
        let drain = the_open_drain(&journal, args.drain.as_deref())?;
        enter(desk, &mut journal, screen, drain, args.seen.as_deref())?;
        screen.finish().map_err(|why| stopped_unstored(&why))
    })
}

/// Asks for a reading and stores it.
///
/// # Errors
/// A failure when no reply can be had or the journal could not keep it.
pub fn enter(
    desk: &Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    drain: super::super::handle::NamedDrain,
    when: Option<&str>,
) -> Result<(), Failure> {
    let chart = Chart::of(desk, journal, drain)?;
    let at = seen(desk, &chart, when)?;
    free_moment(&chart, at, None)?;
    screen.say(
        Tone::Title,
        &format!("Reading of {}", in_words(&chart.drain)),
    );
    let when = at.format("%d %b %H:%M");
    screen.say(
        Tone::Plain,
        &format!("Seen at {when}. Another time: leave with Ctrl-C and add --seen 04:10."),
    );
    let reading = ask::reading(desk, &chart, screen)?;
    if reading == Reading::default() {
        return Err(
            Failure::new(Kind::Stopped, "nothing was obtained: nothing is stored")
                .hint("write why nobody could look: tubeside note --drain d1 \"...\""),
        );
    }
    let new = ask::with_beginning(desk, &chart, screen, at, reading)?;
    let lines = store(desk, journal, &chart, &new, None)?;
    screen.saved(&format!("reading of {} at {when}", chart.drain.name));
    for (tone, line) in &lines {
        screen.say(*tone, line);
    }
    Ok(())
}
