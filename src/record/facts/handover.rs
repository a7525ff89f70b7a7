//! The facts of a handover record: situation, background, assessment, recommendation, and then
//! what is open, left undone and due, and who accepted.
//!
//! The order is SBAR (Institute for Healthcare Improvement; AHRQ, TeamSTEPPS; from memory).

use std::collections::BTreeMap;

use super::super::tags::{PATIENT_STATE, SETUP_FINDINGS};
use super::clock::{self, Clock};
use super::duties::OpenedDuty;
use super::input::{DueItem, Handing, Header, WalkStory};
use super::shape::{
    AcceptedFacts, CallFacts, DueFacts, Finding, HandoverFacts, OrderFacts, Undone,
};
use super::timeline::{Line, Timeline};
use super::words::quoted;
use super::{Kind, afterwards, calls, drain, duties, findings, head};
use crate::walk::input::Answer;
use crate::walk::story::Telling;

impl HandoverFacts {
    /// Gathers the facts of everything that is known of a drain, for the person who takes it over.
    #[must_use]
    pub fn new(walks: &[WalkStory], header: &Header, handing: &Handing) -> Self {
        let mut timeline = Timeline::new(walks, header.late_after);
        let last = timeline.last_written().or(handing.opened);
        timeline.clock = Clock::beside(last);
        let calls: Vec<CallFacts> = calls::calls(&timeline)
            .into_iter()
            .map(|call| call.facts)
            .collect();
        let opened = duties::duties(&timeline);
        let due = due(&timeline, handing, &opened);
        let open_duties = opened
            .into_iter()
            .map(|duty| duty.facts)
            .filter(|duty| duty.still_open)
            .collect::<Vec<_>>();
        let open_calls = calls.iter().filter(|call| call.open).count();
        Self {
            head: head::head(Kind::Handover, walks, header, &timeline),
            walks: head::walks(walks, &timeline),
            day: last.map(clock::day).unwrap_or_default(),
            offset: last.map(clock::offset).unwrap_or_default(),
            opened: handing.opened.map(|at| timeline.clock.short(at)),
            closed: handing
                .closed
                .as_ref()
                .map(|(at, how)| format!("{}: {}", timeline.clock.short(*at), quoted(how))),
            patient: latest_by_tag(&timeline),
            findings: SETUP_FINDINGS
                .iter()
                .filter_map(|row| latest(&timeline, row.heading, row.tags, row.looks))
                .collect(),
            known: drain::known(&header.drain_facts),
            unexpected: still_unexpected(&timeline),
            orders: orders(&timeline, &calls),
            still_open: (open_duties.len() + open_calls) as u64,
            duties: open_duties,
            undone: undone(&timeline),
            calls: calls.into_iter().filter(|call| call.open).collect(),
            due,
            accepted: accepted(handing, timeline.clock),
            written_since: handing.written_since,
            afterwards: afterwards::facts(walks, header, &timeline),
        }
    }
}

/// The last answer with any of the tags, under one heading.
fn latest(timeline: &Timeline<'_>, heading: &str, tags: &[&str], looks: bool) -> Option<Finding> {
    let tagged = |line: &&Line<'_>| line.is_tagged(tags);
    let look = timeline
        .lines
        .iter()
        .filter(|line| looks && line.is_look())
        .rfind(tagged);
    let line = look.or_else(|| timeline.lines.iter().rfind(tagged))?;
    let found = findings::finding(timeline, line, 0);
    Some(Finding {
        found: format!(
            "{}: {}",
            found.what.trim().trim_end_matches(['.', ':']),
            found.found
        ),
        what: heading.to_owned(),
        ..found
    })
}

/// The patient, by the last answer to each kind of look; the same answer once.
fn latest_by_tag(timeline: &Timeline<'_>) -> Vec<Finding> {
    let mut rows: Vec<Finding> = Vec::new();
    for tag in PATIENT_STATE {
        let line = timeline
            .lines
            .iter()
            .rfind(|line| line.is_look() && line.is_tagged(&[tag]));
        let Some(line) = line else { continue };
        let row = findings::finding(timeline, line, 0);
        if !rows.contains(&row) {
            rows.push(row);
        }
    }
    rows
}

/// Checks whose last answer was not as expected.
fn still_unexpected(timeline: &Timeline<'_>) -> Vec<Finding> {
    let mut last: BTreeMap<(&str, &str), &Line<'_>> = BTreeMap::new();
    for line in timeline.lines.iter().filter(|line| line.answer().is_some()) {
        if let Some(step) = line.step() {
            last.insert(step, line);
        }
    }
    findings::pick(timeline, |line| {
        let is_last = line
            .step()
            .and_then(|step| last.get(&step))
            .is_some_and(|last| last.number == line.number);
        is_last && matches!(line.answer(), Some((_, Answer::NotAsExpected { .. })))
    })
}

/// What was left undone and not answered otherwise since.
fn undone(timeline: &Timeline<'_>) -> Vec<Undone> {
    let mut undone = findings::undone(timeline);
    undone.retain(|row| row.later.is_none());
    undone
}

/// Every order that was read back, with the call it came by.
fn orders(timeline: &Timeline<'_>, calls: &[CallFacts]) -> Vec<OrderFacts> {
    let lines = timeline.lines.iter().filter(|line| !line.told.taken_back);
    lines
        .filter_map(|line| match &line.told.what {
            Telling::CallOrdered { order, .. } => Some(OrderFacts {
                order: quoted(order),
                at: timeline.seen(line),
                by: line.by.to_owned(),
                from: calls
                    .iter()
                    .find(|call| {
                        let order = quoted(order);
                        call.orders.iter().any(|one| one.ends_with(&order))
                    })
                    .map(|call| call.who.clone()),
                entry: line.number.clone(),
            }),
            _ => None,
        })
        .collect()
}

/// What comes due, soonest first; not of walks entered in error, nor duties closed elsewhere.
fn due(timeline: &Timeline<'_>, handing: &Handing, duties: &[OpenedDuty<'_>]) -> Vec<DueFacts> {
    let gone = |item: &DueItem| timeline.lines.iter().all(|line| line.walk != item.walk);
    let closed = |item: &DueItem| {
        item.duty
            .as_ref()
            .is_some_and(|name| !duties.iter().any(|duty| duty.is_open(name)))
    };
    let mut items: Vec<&DueItem> = handing.due.iter().collect();
    items.retain(|item| !gone(item) && !closed(item));
    items.sort_by_key(|item| item.at);
    let given = handing.accepted.iter().map(|one| one.at);
    let last = timeline.last_written().into_iter().chain(given).max();
    items
        .into_iter()
        .map(|item| DueFacts {
            at: timeline.clock.short(item.at),
            what: item.what.clone(),
            walk: (item.walk + 1).to_string(),
            past: last.is_some_and(|last| item.at < last),
        })
        .collect()
}

fn accepted(handing: &Handing, clock: Clock) -> Vec<AcceptedFacts> {
    handing
        .accepted
        .iter()
        .map(|one| AcceptedFacts {
            by: one.to.clone(),
            from: one.from.clone(),
            at: clock.short(one.at),
            read_back: (!one.read_back.trim().is_empty()).then(|| quoted(&one.read_back)),
        })
        .collect()
}
