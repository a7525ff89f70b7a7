//! `local compare`: what the unit does differently, in words a ward meeting can read.

use serde::Serialize;

use crate::checklist::compare::runs::{Events, NewRuns, Order, new_runs};
use crate::checklist::compare::{
    Became, Comparison, How, Line, ListDifference, NumberDifference, StepDifference, compare,
};
use crate::checklist::load::load;
use crate::checklist::model::{Library, ListId};
use crate::checklist::shelf::Shelf;
use crate::cli::Common;
use crate::commands::desk::unfit;
use crate::commands::{local_folder, out};
use crate::failure::Failure;

use super::new_folder::unit_folder;

/// The tags whose steps touch the patient's safety: what comes up with them is told.
const TAGS: &[&str] = &[
    "patient-first",
    "red-flag",
    "help",
    "escalate",
    "make-safe",
    "equipment",
    "joints",
    "unclamp",
    "clamp",
    "test-clamp",
    "swap",
    "suction-off",
    "suction-set",
    "seal-depth",
    "never-do",
    "no-clamp",
    "keep-open",
];

/// Everything for `--json`.
#[derive(Serialize)]
pub(super) struct Told {
    #[serde(flatten)]
    pub(super) comparison: Comparison,
    pub(super) runs: Vec<ListRuns>,
}

/// New and lost orders in one list.
#[derive(Serialize)]
pub(super) struct ListRuns {
    /// The list.
    pub(super) list: String,
    /// What can happen now and could not before.
    pub(super) new: NewRuns,
    /// What could happen before and cannot now.
    gone: NewRuns,
}

/// Compares the unit's checklists with the shipped ones.
///
/// # Errors
/// A failure when the unit's folder is not named, the lists have errors, or there is no such list.
pub fn run(common: &Common, list: Option<&str>, json: bool) -> Result<(), Failure> {
    let _folder = unit_folder(common)?;
    let loaded = load(&local_folder::shelf(common)?);
    let Some(own) = loaded.library else {
        return Err(unfit(&loaded.problems));
    };
    let shipped = load(&Shelf::shipped())
        .library
        .ok_or_else(|| Failure::unusable("the shipped checklists cannot be read"))?;
    let only = match list {
        Some(name) => Some(own.find(name).ok_or_else(|| {
            Failure::usage(format!("there is no checklist \"{name}\""))
                .hint("find one by what you see: tubeside find WORDS")
        })?),
        None => None,
    };
    let told = tell(&own, &shipped, only);
    if json {
        return out::json(&told);
    }
    out::wrapped(&words(&told, list))
}

/// What is different, with new and lost orders.
pub(super) fn tell(own: &Library, shipped: &Library, only: Option<ListId>) -> Told {
    let comparison = compare(own, shipped, only);
    let events = Events {
        tags: TAGS.iter().map(|tag| (*tag).to_owned()).collect(),
    };
    let mut runs = Vec::new();
    for difference in &comparison.lists {
        let (Some(now), Some(before)) =
            (own.find(&difference.list), shipped.find(&difference.list))
        else {
            continue;
        };
        let (now, before) = ((own, own.list(now)), (shipped, shipped.list(before)));
        runs.push(ListRuns {
            list: difference.list.clone(),
            new: new_runs(now, before, &events),
            gone: new_runs(before, now, &events),
        });
    }
    Told { comparison, runs }
}

fn words(told: &Told, only: Option<&str>) -> String {
    let Comparison {
        lists,
        limits,
        facts,
        calls,
    } = &told.comparison;
    let mut words = Vec::new();
    match (lists.is_empty(), only) {
        (true, Some(list)) => words.push(format!("{list} is as it is shipped.")),
        (true, None) => words.push("Every list is as it is shipped.".to_owned()),
        (false, _) => {}
    }
    for list in lists {
        words.push(list_words(list));
        if let Some(runs) = told.runs.iter().find(|runs| runs.list == list.list) {
            words.push(runs_words(runs));
        }
    }
    if !limits.is_empty() {
        words.push("LIMITS, for every list".to_owned());
        words.extend(limits.iter().map(limit_words));
    }
    if !facts.is_empty() {
        words.push("\nLOCAL FACTS that are filled in".to_owned());
        words.extend(facts.iter().map(|fact| {
            let now = fact.now.as_deref().unwrap_or("nothing");
            format!(
                "  {}: {now} ({}){}",
                fact.name,
                fact.means,
                because(&fact.because)
            )
        }));
    }
    if !calls.is_empty() {
        words.push("\nWHOM TO CALL".to_owned());
        words.extend(calls.iter().map(|line| {
            format!(
                "  {}: {}",
                line.what,
                line.now.as_deref().unwrap_or("nobody")
            )
        }));
    }
    words.join("\n")
}

fn limit_words(limit: &NumberDifference) -> String {
    let nothing = || "nothing".to_owned();
    let direction = match limit.acts_earlier {
        Some(true) => ": acts earlier",
        Some(false) => ": ACTS LATER",
        None => "",
    };
    format!(
        "  {} ({}): {} instead of {}{direction}{}",
        limit.name,
        limit.means,
        limit.now.clone().unwrap_or_else(nothing),
        limit.was.clone().unwrap_or_else(nothing),
        because(&limit.because)
    )
}

fn because(reasons: &[String]) -> String {
    if reasons.is_empty() {
        return String::new();
    }
    format!("\n      because: {}", reasons.join(" "))
}

fn list_words(list: &ListDifference) -> String {
    let how = match (list.how, &list.shipped) {
        (How::Adapted, _) => format!("adapted ({})", list.version),
        (How::Replaced, Some(shipped)) => format!(
            "a list of the unit's own ({}) in the place of the shipped one ({shipped})",
            list.version
        ),
        (How::Replaced | How::New, _) => {
            format!("a list of the unit's own ({}), not shipped", list.version)
        }
    };
    let mut words = vec![format!("LIST {}: {}\n  {how}", list.list, list.title)];
    words.extend(list.head.iter().map(|line| line_words(line, "  ")));
    for (became, heading) in [
        (Became::Removed, "Steps that are gone"),
        (Became::Added, "Steps that are new"),
        (Became::Changed, "Steps that are changed"),
    ] {
        let steps: Vec<_> = list
            .steps
            .iter()
            .filter(|step| step.became == became)
            .collect();
        if !steps.is_empty() {
            words.push(format!("\n  {heading}"));
            words.extend(steps.into_iter().map(step_words));
        }
    }
    words.join("\n") + "\n"
}

fn step_words(step: &StepDifference) -> String {
    let mut words = vec![format!("    {}: {}", step.step, step.asks)];
    words.extend(step.lines.iter().map(|line| line_words(line, "      ")));
    words.extend(
        step.because
            .iter()
            .map(|why| format!("      because: {why}")),
    );
    words.join("\n")
}

fn line_words(line: &Line, indent: &str) -> String {
    match (&line.was, &line.now) {
        (Some(was), Some(now)) => format!(
            "{indent}{}\n{indent}  was: {was}\n{indent}  now: {now}",
            line.what
        ),
        (None, Some(now)) => format!("{indent}{}: {now}", line.what),
        (Some(was), None) => format!("{indent}{}: no longer there (was: {was})", line.what),
        (None, None) => String::new(),
    }
}

fn runs_words(runs: &ListRuns) -> String {
    let mut words = Vec::new();
    let all = [
        (
            &runs.new,
            "What can happen now and could not before, the shortest first",
        ),
        (
            &runs.gone,
            "What could happen before and cannot now, the shortest first",
        ),
    ];
    for (found, heading) in all {
        words.push(format!("  {heading}"));
        if found.orders.is_empty() {
            words.push("    nothing in what is called, opened, clamped or touched".to_owned());
        }
        words.extend(found.orders.iter().map(order_words));
        if found.given_up {
            words.push("    the search was given up: there is too much to look at".to_owned());
        }
    }
    words.join("\n") + "\n"
}

/// A run as a story of answers, and what it comes to.
pub(super) fn order_words(order: &Order) -> String {
    let run: Vec<String> = order
        .run
        .iter()
        .map(|(step, answer)| {
            if answer.is_empty() {
                step.clone()
            } else {
                format!("{step}: {answer}")
            }
        })
        .collect();
    format!(
        "    {}\n      in all: {}",
        run.join(" -> "),
        order.events.join(", then ")
    )
}
