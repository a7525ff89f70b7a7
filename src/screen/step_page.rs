//! The page for a step: what is overdue, the title, the caution directly before what is asked,
//! the answers, what is open, and at the foot every key.

use crate::moment::Moment;
use crate::walk::view::{Action, Show, View};

use super::clock_words::{at, at_in, long};
use super::labels;
use super::look::{Look, Role};
use super::open_things::{self, call_to};
use super::page::Page;
use super::ways::{Way, Ways, Words};

/// Whether keys are pressed one by one, or written in lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Typing {
    /// Single keys; further words are asked for.
    Keys,
    /// Lines; further words stand on the line.
    Lines,
}

/// The page for the view.
pub(super) fn page(
    view: &View,
    now: Moment,
    late: Option<Moment>,
    look: Look,
    typing: Typing,
) -> Page {
    let ways = Ways::at(view);
    let mut page = Page::new(look);
    if let Show::Urgent {
        recognise,
        actions,
        current,
    } = &view.show
    {
        urgent(&mut page, view, recognise.as_deref(), actions, *current);
        open_things::in_short(&mut page, view, now);
        seen_earlier(&mut page, late, now);
        short_foot(&mut page, &ways, typing);
        return page;
    }
    page.rule();
    open_things::overdue(&mut page, view, now);
    let title = format!(
        "{} (step {}, {} {})",
        view.title, view.number, view.list, view.version
    );
    page.words(Role::Title, "", &title);
    for notice in &view.notices {
        page.words(Role::Caution, "", notice);
    }
    page.gap();
    asked(&mut page, view, now);
    page.gap();
    seen_earlier(&mut page, late, now);
    foot(&mut page, view, &ways, now, typing);
    page
}

/// The first screen of an urgent list: no air, nothing but what is needed.
fn urgent(
    page: &mut Page,
    view: &View,
    recognise: Option<&str>,
    actions: &[Action],
    current: usize,
) {
    let title = match view.notices.as_slice() {
        [] => view.title.clone(),
        // Every line counts here, so only the first words are said: "Draft".
        notices => {
            let short = notices
                .iter()
                .filter_map(|notice| notice.split([',', ':']).next());
            format!("{} ({})", view.title, short.collect::<Vec<_>>().join("; "))
        }
    };
    page.words(Role::Title, labels::URGENT, &title);
    page.maybe(Role::Plain, labels::RECOGNISE, recognise);
    for (index, action) in actions.iter().enumerate() {
        let mark = match (index == current, action.done) {
            (true, _) => "Now >",
            (false, true) => "Done ",
            (false, false) => "     ",
        };
        if index == current {
            page.maybe(Role::Caution, labels::CAUTION, view.caution.as_deref());
        }
        let role = if index == current {
            Role::Task
        } else {
            Role::Plain
        };
        page.words(
            role,
            &format!("{mark} {} ", index + 1),
            &action_words(action),
        );
    }
}

/// The action, and whom to call if it is a call.
fn action_words(action: &Action) -> String {
    match &action.call {
        Some(call) => format!("{} [{}]", action.text, call_to(call)),
        None => action.text.clone(),
    }
}

fn asked(page: &mut Page, view: &View, now: Moment) {
    page.maybe(Role::Caution, labels::CAUTION, view.caution.as_deref());
    match &view.show {
        Show::Urgent { .. } => {}
        Show::Do { action } => {
            page.words(Role::Task, "", &action.text);
            if let Some(call) = &action.call {
                page.words(Role::Task, "Call ", &call_to(call));
            }
        }
        Show::Check { text, expect } => {
            page.words(Role::Task, "", text);
            page.words(Role::Task, labels::EXPECT, expect);
        }
        Show::Ask { text, .. } => page.words(Role::Task, "", text),
        Show::Measure {
            text,
            unit,
            plausible,
            bands,
        } => {
            page.words(Role::Task, "", text);
            let (low, high) = plausible;
            let how = if unit.is_pressure() {
                format!("a number with its unit, such as {unit}")
            } else {
                format!("a number in {unit}")
            };
            page.words(
                Role::Plain,
                "Write: ",
                &format!("{how}. Plausible: {low} to {high} {unit}"),
            );
            // One band for every number says nothing.
            if bands.len() > 1 {
                page.words(Role::Quiet, "Bands: ", &bands.join("; "));
            }
        }
        Show::Wait { text, started, due } => waiting(page, text, *started, *due, now),
        Show::End { .. } => ending(page, view),
        Show::Repeat {
            asked,
            answered,
            seen,
            ago,
        } => {
            page.words(
                Role::Task,
                "After the interruption, is this still so? ",
                asked,
            );
            let when = format!("{answered}, {} ({ago} ago)", at(*seen, now));
            page.words(Role::Task, "Last answer: ", &when);
        }
        Show::Paused { since, hold_at } => {
            let words = format!("since {} ({})", at(*since, now), long(*since, now));
            page.words(Role::Task, "Paused ", &words);
            page.words(Role::Task, "Hold at: ", hold_at);
        }
        Show::Over { outcome, recheck } => {
            page.words(
                Role::Task,
                "The checklist is over. ",
                labels::outcome(*outcome),
            );
            if let Some(recheck) = recheck {
                page.words(Role::Task, "Look again at ", &at(*recheck, now));
            }
        }
    }
    around(page, view);
}

/// Where to look, and for a critical step its reason at once.
fn around(page: &mut Page, view: &View) {
    page.maybe(Role::Plain, labels::WHERE, view.place.as_deref());
    if view.critical {
        let why = view.why.as_deref().unwrap_or_default();
        page.words(
            Role::Plain,
            labels::WHY_LEAD,
            format!("{why} {}", labels::CRITICAL).trim(),
        );
    }
}

fn waiting(page: &mut Page, text: &str, started: Moment, due: Moment, now: Moment) {
    page.words(Role::Task, "", text);
    let left = if due <= now {
        format!("The time has been over for {}", long(due, now))
    } else {
        format!("Still {}", long(now, due))
    };
    let words = format!(
        "{}. Began {}, now {}. {left}.",
        at_in(due, (started, due), now),
        at_in(started, (started, due), now),
        at_in(now, (started, due), now)
    );
    page.words(Role::Plain, "Watch until ", &words);
}

fn ending(page: &mut Page, view: &View) {
    let Show::End {
        text,
        outcome,
        recheck,
        undone,
        last,
    } = &view.show
    else {
        return;
    };
    page.words(Role::Task, "", text);
    page.words(Role::Plain, "Outcome: ", labels::outcome(*outcome));
    if let Some(recheck) = recheck {
        page.words(Role::Plain, "Look again in ", &recheck.to_string());
    }
    for item in undone {
        let words = format!("{} Reason: {}", item.asked, item.reason);
        page.words(Role::Alarm, labels::UNDONE, &words);
    }
    if !last {
        page.words(
            Role::Quiet,
            "",
            "The list that led here goes on after this.",
        );
    }
}

/// The answers, close to what is asked; then what is open, and every other key.
fn foot(page: &mut Page, view: &View, ways: &Ways, now: Moment, typing: Typing) {
    let pair = |way: &Way| (way.key.clone(), words_of(way, typing));
    page.answers(ways.answers.iter().map(pair));
    if !ways.answers.is_empty() {
        page.gap();
    }
    open_things::open(page, view, now);
    page.keys(labels::KEYS_LEAD, ways.others.iter().map(pair));
    page.keys(labels::URGENT_KEYS, ways.urgent.iter().map(pair));
}

/// The same in as few lines as can be.
fn short_foot(page: &mut Page, ways: &Ways, typing: Typing) {
    let pair = |way: &Way| (way.key.clone(), words_of(way, typing));
    let all = ways.answers.iter().chain(&ways.others);
    page.keys(labels::KEYS_LEAD, all.map(pair));
    page.keys(labels::URGENT_KEYS, ways.urgent.iter().map(pair));
}

/// That the next answer counts as seen earlier, if it does.
fn seen_earlier(page: &mut Page, late: Option<Moment>, now: Moment) {
    if let Some(late) = late {
        page.words(Role::Plain, "", &labels::late(late, now));
    }
}

/// The words beside a key; on a line, with the way to write what must follow.
fn words_of(way: &Way, typing: Typing) -> String {
    match (typing, way.takes) {
        (Typing::Lines, Words::Must | Words::May) => {
            format!("{} (write {}: words)", way.words, way.key)
        }
        _ => way.words.clone(),
    }
}

/// What a view asks, in a few words.
pub(super) fn asked_in_short(view: &View) -> String {
    match &view.show {
        Show::Urgent {
            actions, current, ..
        } => actions.get(*current).map(|action| action.text.clone()),
        Show::Do { action } => Some(action.text.clone()),
        Show::Check { text, .. }
        | Show::Ask { text, .. }
        | Show::Measure { text, .. }
        | Show::Wait { text, .. }
        | Show::End { text, .. } => Some(text.clone()),
        Show::Repeat { asked, .. } => Some(asked.clone()),
        Show::Paused { .. } | Show::Over { .. } => None,
    }
    .unwrap_or_else(|| view.title.clone())
}
