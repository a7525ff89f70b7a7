//! A run that breaks a safeguard, written as a trial that `local try` plays.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::sync::Arc;

use crate::checklist::model::Library;
use crate::checklist::proof::run::{How, Line, Run, Said};
use crate::checklist::trial::{self, Trial};
use crate::commands::play::play;
use crate::commands::replay::replay;
use crate::moment::Moment;
use crate::walk::Walk;
use crate::walk::input::{Answer, Input};
use crate::walk::story::Telling;
use crate::walk::view::Show;

/// How many walks are tried at most to get from the end of the run to an end of the list.
const MOST_TRIED: usize = 5_000;

/// The trial of a run: its answers, and from where it breaks the safeguard the shortest way on to
/// an end.
///
/// # Errors
/// Words when it cannot be one: a trial holds no interruption and no answer that grew too old.
pub fn trial(library: &Arc<Library>, name: &str, says: &str, run: &Run) -> Result<String, String> {
    if run.lines.iter().any(|line| line.how != How::Asked) {
        return Err(
            "the run rests on an interruption or on an answer that grew too old, which no trial \
             can hold; it was followed on the walk itself"
                .to_owned(),
        );
    }
    let walk = replay(library, run)?;
    let (walk, more) = to_the_end(walk).ok_or("no end could be reached from there")?;
    let asked = run.lines.iter().filter(|line| line.said != Said::Read);
    let answers = asked.map(|line| written(run, line)).chain(more);
    let texts = |facts: &crate::checklist::drain_fact::DrainFacts| -> BTreeMap<String, String> {
        let facts = facts.iter();
        facts
            .map(|(name, value)| (name.to_string(), value.to_string()))
            .collect()
    };
    let trial = Trial {
        trial: format!("Breaks {name}"),
        source: "Found by the prover, no source".to_owned(),
        list: run.list.to_string(),
        facts: texts(&run.facts),
        local: texts(&run.local),
        answers: answers.collect(),
        ends: walk
            .outcome()
            .map_or("none", |outcome| outcome.word())
            .to_owned(),
        calls: calls(&walk),
        passes: Vec::new(),
        never: Vec::new(),
    };
    play(library.clone(), &trial)?;
    let head = format!(
        "# A way that breaks the safeguard {name}: {says}\n\
         # Once the list is put right, this trial must no longer pass; then write what is right.\n"
    );
    Ok(head + &trial::write(&trial)?)
}

/// The answer as it is typed.
fn written(run: &Run, line: &Line) -> String {
    let step = if line.list == run.list {
        line.step.to_string()
    } else {
        format!("{}/{}", line.list, line.step)
    };
    let said = match &line.said {
        Said::Done | Said::AsExpected | Said::Elapsed | Said::Read | Said::StillSo => {
            "y".to_owned()
        }
        Said::NotDone => "n: could not be done".to_owned(),
        Said::NotAsExpected => "n: something else".to_owned(),
        Said::CouldNotCheck => "u: could not be seen".to_owned(),
        Said::NotObtained => "u: could not be read".to_owned(),
        Said::Missed => "n: called away".to_owned(),
        Said::Choice(words) => words.clone(),
        Said::Value(amount) => amount.to_string(),
        Said::NoLonger => "n".to_owned(),
    };
    format!("{step} = {said}")
}

fn calls(walk: &Walk) -> Vec<String> {
    let story = walk.story();
    let standing = story.iter().filter(|told| !told.taken_back);
    let levels = standing.filter_map(|told| match &told.what {
        Telling::CallMade { level, .. } => Some(level.word().to_owned()),
        _ => None,
    });
    levels.collect()
}

/// Goes on from a walk to an end by the fewest answers, each step tried once.
fn to_the_end(walk: Walk) -> Option<(Walk, Vec<String>)> {
    let now = Moment::parse_from_rfc3339("2026-03-03T04:00:00Z").ok()?;
    let mut seen = BTreeSet::new();
    let mut open = VecDeque::from([(walk, Vec::new())]);
    while let Some((walk, answers)) = open.pop_front() {
        if walk.outcome().is_some() {
            return Some((walk, answers));
        }
        let view = walk.view(now);
        if seen.len() > MOST_TRIED || !seen.insert(format!("{}/{}", view.list, view.step)) {
            continue;
        }
        for (answer, typed) in answers_to(&view.show) {
            let mut next = walk.clone();
            let input = Input::Answer { answer, seen: None };
            if next.input(input, now).is_err() {
                continue;
            }
            let mut answers = answers.clone();
            answers.extend(typed.map(|typed| format!("{}/{} = {typed}", view.list, view.step)));
            open.push_back((next, answers));
        }
    }
    None
}

/// Some answers to what is shown, with what is typed for them; a closing text is read unasked.
fn answers_to(show: &Show) -> Vec<(Answer, Option<String>)> {
    let no = || "could not be done".to_owned();
    let typed = |text: &str| Some(text.to_owned());
    match show {
        Show::Do { .. } | Show::Urgent { .. } => vec![
            (Answer::Done, typed("y")),
            (
                Answer::NotDone { reason: no() },
                typed("n: could not be done"),
            ),
        ],
        Show::Check { .. } => vec![
            (Answer::AsExpected, typed("y")),
            (
                Answer::CouldNotCheck { reason: no() },
                typed("u: could not be done"),
            ),
        ],
        Show::Ask { answers, .. } => answers
            .iter()
            .map(|choice| {
                (
                    Answer::Choice(choice.words.clone()),
                    Some(choice.words.clone()),
                )
            })
            .collect(),
        Show::Measure { .. } => vec![(
            Answer::NotObtained { reason: no() },
            typed("u: could not be done"),
        )],
        Show::Wait { .. } => vec![(
            Answer::Missed { reason: no() },
            typed("n: could not be done"),
        )],
        Show::End { .. } => vec![(Answer::Read, None)],
        _ => Vec::new(),
    }
}
