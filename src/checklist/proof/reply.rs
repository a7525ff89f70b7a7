//! The answers that a step can be given, one for each class, with where each leads.

use crate::checklist::model as given;
use crate::checklist::model::{Range, StepKind, Value};
use crate::units::{Amount, Number};

use super::compile::Maker;
use super::model::{Reply, Sort, Way, Weight};
use super::number::{Within, classes, within};
use super::run::Said;

/// The answers of a step in the order of the list, each with what is remembered of it.
///
/// `cuts` are the numbers at which the answers to a measure must be told apart.
pub(super) fn replies(
    maker: &mut Maker<'_, '_>,
    list: usize,
    step: &given::Step,
    cuts: &[Number],
) -> Vec<(Reply, Option<Value>)> {
    let mut one = |said: Said, sort: Sort, way: &given::Way, word: Option<&str>| {
        let way = maker.way(list, way);
        let value = word.map(|word| Value::Word(word.to_owned()));
        (Reply::new(said, sort, way), value)
    };
    match &step.kind {
        StepKind::Do {
            then, if_not_done, ..
        } => vec![
            one(Said::Done, Sort::Done, then, Some("done")),
            one(Said::NotDone, Sort::NotDone, if_not_done, Some("not-done")),
        ],
        StepKind::Check {
            as_expected,
            not_as_expected,
            could_not_check,
            ..
        } => vec![
            one(
                Said::AsExpected,
                Sort::AsExpected,
                as_expected,
                Some("as-expected"),
            ),
            one(
                Said::NotAsExpected,
                Sort::NotAsExpected,
                not_as_expected,
                Some("not-as-expected"),
            ),
            one(
                Said::CouldNotCheck,
                Sort::NotChecked,
                could_not_check,
                Some("not-checked"),
            ),
        ],
        StepKind::Ask { answers, .. } => answers
            .iter()
            .map(|answer| {
                let sort = if answer.unsure {
                    Sort::Unsure
                } else {
                    Sort::Choice
                };
                one(
                    Said::Choice(answer.words.clone()),
                    sort,
                    &answer.way,
                    Some(&answer.words),
                )
            })
            .collect(),
        StepKind::Wait {
            elapsed, if_missed, ..
        } => vec![
            one(Said::Elapsed, Sort::Elapsed, elapsed, None),
            one(Said::Missed, Sort::Missed, if_missed, None),
        ],
        StepKind::Measure { .. } => measured(maker, list, &step.kind, cuts),
        StepKind::Decide { .. } | StepKind::Use { .. } | StepKind::End { .. } => Vec::new(),
    }
}

fn measured(
    maker: &mut Maker<'_, '_>,
    list: usize,
    kind: &StepKind,
    cuts: &[Number],
) -> Vec<(Reply, Option<Value>)> {
    let StepKind::Measure {
        unit,
        plausible,
        bands,
        not_obtained,
        ..
    } = kind
    else {
        return Vec::new();
    };
    let bands: Vec<(&Range, Way)> = bands
        .iter()
        .map(|band| (&band.range, maker.way(list, &band.way)))
        .collect();
    let none = maker.way(list, not_obtained);
    let mut found = Vec::new();
    for number in classes(cuts.to_vec(), plausible.0, plausible.1, true) {
        let amount = Amount::new(number, *unit);
        let ways = judged(&bands, number, maker.weighs);
        let weighed = ways.len() > 1;
        for way in ways {
            // A number that cannot be judged is handed on like one that could not be read.
            let sort = match way {
                Some(_) => Sort::Value,
                None => Sort::NotObtained,
            };
            let mut reply = Reply::new(Said::Value(amount), sort, way.unwrap_or(none));
            reply.weighed = weighed;
            found.push((reply, way.map(|_| Value::Amount(amount))));
        }
    }
    let reply = Reply::new(Said::NotObtained, Sort::NotObtained, none);
    found.push((reply, None));
    found
}

/// The ways of a number, one unless they rest on an open weight; `None` for one that cannot be
/// judged.
fn judged(bands: &[(&Range, Way)], number: Number, weight: Weight) -> Vec<Option<Way>> {
    let mut open = Vec::new();
    for (range, way) in bands {
        match within(range, number, weight) {
            Within::Yes => {
                open.push(Some(*way));
                return open;
            }
            Within::No => {}
            Within::Open => open.push(Some(*way)),
            Within::Unknown => break,
        }
    }
    open.push(None);
    open
}
