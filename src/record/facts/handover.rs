//! The facts of a handover record: situation, background, assessment, recommendation, and then
//! what is open, left undone and due, and who accepted.
//!
//! The order is SBAR (Institute for Healthcare Improvement; AHRQ, TeamSTEPPS; from memory).

use std::collections::BTreeMap;

use super::super::tags::{PATIENT_STATE, SETUP_FINDINGS};
use super::clock::{self, Clock};
use super::duties::OpenedDuty;
use super::input::{DueItem, Handing, Header, TOLD_BY_CHART, WalkStory};
use super::shape::{
    AcceptedFacts, CallFacts, DueFacts, Finding, HandoverFacts, OrderFacts, Undone,
};
use super::timeline::{Line, Timeline};
use super::words::quoted;
use super::{Charted, Kind, afterwards, calls, chart, drain, duties, findings, head};
use crate::moment::Moment;
use crate::walk::input::Answer;
use crate::walk::story::Telling;

impl HandoverFacts {
    /// Gathers the facts of everything that is known of a drain, for the person who takes it over.
    #[must_use]
    pub fn new(
        walks: &[WalkStory],
        header: &Header,
        handing: &Handing,
        charted: Option<&Charted<'_>>,
    ) -> Self {
        let mut timeline = Timeline::new(walks, header.late_after);
        let written = charted.into_iter().flat_map(|charted| charted.written);
        let charted_last = written.map(|entry| entry.written_at).max();
        let last = timeline.last_written().max(charted_last).or(handing.opened);
        timeline.clock = Clock::beside(last);
        let calls: Vec<CallFacts> = calls::calls(&timeline)
            .into_iter()
            .map(|call| call.facts)
            .collect();
        let opened = duties::duties(&timeline);
        let look = charted.and_then(|charted| charted.next);
        let due = due(&timeline, handing, &opened, look, last);
        let open_duties = opened
            .into_iter()
            .map(|duty| duty.facts)
            .filter(|duty| duty.still_open)
            .collect::<Vec<_>>();
        let open_calls = calls.iter().filter(|call| call.open).count();
        let mut facts = Self {
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
            chart: Vec::new(),
            limits: Vec::new(),
            seal: Vec::new(),
            told_by_chart: 0,
            notes: notes(&timeline),
            orders: orders(&timeline, &calls),
            still_open: (open_duties.len() + open_calls) as u64,
            duties: open_duties,
            undone: undone(&timeline),
            calls: calls.into_iter().filter(|call| call.open).collect(),
            due,
            accepted: accepted(handing, timeline.clock),
            written_since: handing.written_since,
            afterwards: afterwards::facts(walks, header, &timeline),
        };
        if let Some(charted) = charted {
            facts.take_chart(charted, &timeline);
        }
        facts
    }

    /// Puts in what the chart says. Its own words in the notes are left to the record of the chart,
    /// or they would hide what people wrote.
    fn take_chart(&mut self, charted: &Charted<'_>, timeline: &Timeline<'_>) {
        self.chart = chart::in_short(charted, timeline.clock);
        self.limits = chart::limits(charted, timeline.clock);
        self.seal = chart::seal(charted, timeline.clock);
        // A reading in a walk is counted with the walk.
        let written = charted.written.iter();
        let apart = written.filter(|entry| !timeline.holds(entry.id.0)).count();
        self.head.entries += apart as u64;
        let own = format!("\u{201c}{TOLD_BY_CHART}");
        let notes = self.afterwards.notes.len();
        self.afterwards
            .notes
            .retain(|note| !note.text.starts_with(&own) || !note.remarks.is_empty());
        self.told_by_chart = (notes - self.afterwards.notes.len()) as u64;
    }
}

/// The last answer with any of the tags, under one heading.
fn latest(timeline: &Timeline<'_>, heading: &str, tags: &[&str], looks: bool) -> Option<Finding> {
    let tagged = |line: &&Line<'_>| line.is_tagged(tags);
    let look = timeline
        .lines
        .iter()
        .filter(|line| looks && timeline.is_look(line))
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
            .rfind(|line| line.is_tagged(&[tag]) && timeline.is_look(line));
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
    let given = |line: &&Line<'_>| {
        line.answer()
            .is_some_and(|(_, answer)| !matches!(answer, Answer::StillSo))
    };
    for line in timeline.lines.iter().filter(given) {
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

/// Every note that stands within a checklist, in the order written.
fn notes(timeline: &Timeline<'_>) -> Vec<Finding> {
    findings::pick(timeline, |line| {
        !line.told.taken_back && matches!(line.told.what, Telling::Noted { .. })
    })
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

/// What comes due, soonest first; not of walks entered in error, nor duties closed elsewhere. With
/// it the next look by the chart's plan.
fn due(
    timeline: &Timeline<'_>,
    handing: &Handing,
    duties: &[OpenedDuty<'_>],
    look: Option<Moment>,
    last: Option<Moment>,
) -> Vec<DueFacts> {
    let gone = |item: &DueItem| timeline.lines.iter().all(|line| line.walk != item.walk);
    let closed = |item: &DueItem| {
        item.duty
            .as_ref()
            .is_some_and(|name| !duties.iter().any(|duty| duty.is_open(name)))
    };
    let of_walks = handing
        .due
        .iter()
        .filter(|item| !gone(item) && !closed(item))
        .map(|item| (item.at, item.what.clone(), (item.walk + 1).to_string()));
    let look = look.map(|at| {
        let what = "look at the drain and chart it, by the plan of looks";
        (at, what.to_owned(), "chart".to_owned())
    });
    let mut items: Vec<_> = of_walks.chain(look).collect();
    items.sort_by_key(|(at, ..)| *at);
    let given = handing.accepted.iter().map(|one| one.at);
    let last = last.into_iter().chain(given).max();
    let facts = items.into_iter().map(|(at, what, walk)| DueFacts {
        at: timeline.clock.short(at),
        what,
        walk,
        past: last.is_some_and(|last| at < last),
    });
    facts.collect()
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
