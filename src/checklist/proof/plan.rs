//! Turns a path into a run that can be replayed: the answers, the drain, and the times that make
//! each remembered answer too old exactly where the path says so.

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::{Library, Period, StepKind, Value};
use crate::units::{Amount, Span, Unit};

use super::model::{Model, NONE, Step, Weight};
use super::moves::{Answer, Asked};
use super::point::list_at;
use super::run::{How, Line, Run, Said};
use super::state::{Parts, State};

/// The run of a path: its exact states, and the answer on each way between them.
pub(super) fn run(model: &Model<'_>, parts: &Parts, states: &[State], answers: &[Answer]) -> Run {
    let mut lines: Vec<Line> = answers.iter().map(|answer| line(model, answer)).collect();
    time(model, states, answers, &mut lines);
    let reaches = states.last().filter(|state| !state.is_over()).map(|state| {
        let list = list_at(model.library, usize::from(state.list));
        let step = list.steps().nth(state.shown() as usize);
        (list.name.clone(), step.map(|(_, step)| step.name.clone()))
    });
    Run {
        list: list_at(model.library, model.root).name.clone(),
        facts: facts(model, parts, states, false),
        local: facts(model, parts, states, true),
        lines,
        reaches: reaches.and_then(|(list, step)| Some((list, step?))),
    }
}

/// The drain facts, or the local facts, that were chosen anywhere on the way.
fn facts(model: &Model<'_>, parts: &Parts, states: &[State], local: bool) -> DrainFacts {
    let mut facts = DrainFacts::new();
    if let (Weight::Is(Some(weight)), Some(at)) = (model.weighs, model.weight.filter(|_| !local)) {
        let weight = Value::Amount(Amount::new(weight, Unit::Kg));
        facts.insert(model.drains[at].name.clone(), weight);
    }
    for state in states.iter().filter(|state| !state.is_over()) {
        for (drain, value) in model
            .drains
            .iter()
            .zip(parts.drains.get(state.drain).iter())
        {
            if drain.local != local {
                continue;
            }
            let value = usize::from(*value)
                .checked_sub(2)
                .and_then(|at| drain.values.get(at));
            if let Some(value) = value {
                facts.insert(drain.name.clone(), value.clone());
            }
        }
    }
    facts
}

fn line(model: &Model<'_>, answer: &Answer) -> Line {
    let list = list_at(model.library, usize::from(answer.list));
    let step = list.step(crate::checklist::model::StepId(answer.step as usize));
    let given = match &model.list(usize::from(answer.list)).steps[answer.step as usize] {
        Step::Asked { replies, .. } => replies
            .get(usize::from(answer.reply))
            .map_or(Said::Read, |reply| reply.said.clone()),
        Step::Decide { .. } | Step::Use(_) | Step::End(_) => Said::Read,
    };
    let (said, how) = match answer.how {
        Asked::Shown => (given, How::Asked),
        Asked::Again => (given, How::AskedAgain),
        Asked::StillSo => (Said::StillSo, How::Repeated),
        Asked::NoLonger { .. } => (Said::NoLonger, How::Repeated),
    };
    Line {
        list: list.name.clone(),
        step: step.name.clone(),
        said,
        how,
        after: 1,
        seen_before: 0,
    }
}

/// When each line is written, in seconds after the beginning.
fn written(lines: &[Line]) -> Vec<u32> {
    let mut now = 0_u32;
    lines
        .iter()
        .map(|line| {
            now = now.saturating_add(line.after);
            now
        })
        .collect()
}

fn time(model: &Model<'_>, states: &[State], answers: &[Answer], lines: &mut [Line]) {
    let first_wait = states.first().and_then(|state| wait_of(model, state));
    if let (Some((period, _)), Some(line)) = (first_wait, lines.first_mut()) {
        line.after = period.0.max(1);
    }
    fade(model, states, answers, lines);
    let written = written(lines);
    for at in 1..answers.len() {
        if lines[at].said != Said::Elapsed {
            continue;
        }
        let Some((period, _)) = wait_of(model, &states[at]) else {
            continue;
        };
        let Some(arrived) = (0..at)
            .rev()
            .find(|before| arrives(&answers[*before], &states[*before..]))
        else {
            continue;
        };
        let since = written[at] - written[arrived];
        let before = lines[arrived]
            .seen_before
            .max(period.0.saturating_sub(since));
        lines[arrived].seen_before = before;
        // Seen exactly when it was due, so that it is neither too early nor too late.
        lines[at].seen_before = (since + before).saturating_sub(period.0);
    }
}

/// Whether an answer moves the walk to another step, so that a wait there begins with it.
fn arrives(answer: &Answer, states: &[State]) -> bool {
    match answer.how {
        Asked::Shown | Asked::NoLonger { .. } => true,
        Asked::StillSo => false,
        Asked::Again => {
            let pair = states.first().zip(states.get(1));
            pair.is_some_and(|(from, to)| {
                (from.held, from.list, from.step) != (to.held, to.list, to.step)
            })
        }
    }
}

/// Makes each answer that is asked again too old just then, and not sooner.
fn fade(model: &Model<'_>, states: &[State], answers: &[Answer], lines: &mut [Line]) {
    let mut old = Vec::new();
    for (at, state) in states
        .iter()
        .enumerate()
        .skip(1)
        .filter(|(_, state)| state.again != NONE)
    {
        let given = (0..at).rev().find(|before| {
            let one = &answers[*before];
            (one.list, one.step) == (state.list, state.again)
                && !matches!(one.how, Asked::NoLonger { .. })
        });
        let good_for = good_for(model.library, state.list, state.again);
        let Some((given, good_for)) = given.zip(good_for) else {
            continue;
        };
        if old.contains(&given) {
            continue;
        }
        old.push(given);
        // It is found too old when the line before is written.
        let times = written(lines);
        let since = times[at - 1] - times[given];
        lines[given].seen_before = good_for.0.saturating_add(1).saturating_sub(since);
    }
}

fn good_for(library: &Library, list: u16, step: u32) -> Option<Span> {
    let list = list_at(library, usize::from(list));
    let step = list.step(crate::checklist::model::StepId(step as usize));
    step.remember.as_ref()?.good_for
}

/// How long the wait lasts at which the run stands, and how late it may be looked at.
fn wait_of(model: &Model<'_>, state: &State) -> Option<(Span, Span)> {
    if state.is_over() || state.again != NONE {
        return None;
    }
    let list = list_at(model.library, usize::from(state.list));
    let step = list.step(crate::checklist::model::StepId(state.step as usize));
    let StepKind::Wait {
        period, late_after, ..
    } = &step.kind
    else {
        return None;
    };
    let period = match period {
        Period::Fixed(span) => *span,
        Period::Fact { name, unset } => {
            match model
                .library
                .facts()
                .get(name.as_str())
                .and_then(|fact| fact.value.as_ref())
            {
                Some(Value::Span(span)) => *span,
                _ => *unset,
            }
        }
    };
    Some((period, *late_after))
}
