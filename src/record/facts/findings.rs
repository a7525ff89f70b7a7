//! What was found, left undone and seen first.

use super::shape::{Finding, StateRow, Undone};
use super::timeline::{Line, Timeline, key};
use std::collections::BTreeSet;

use super::super::tags::{FIRST_SEEN, FindingTags};
use super::words::{quoted, said};
use crate::checklist::model::ListKind;
use crate::moment::Moment;
use crate::names::ListName;
use crate::walk::input::Answer;
use crate::walk::story::Telling;

/// The finding that a line is.
pub(super) fn finding(timeline: &Timeline<'_>, line: &Line<'_>, earlier: usize) -> Finding {
    let (what, found) = match &line.told.what {
        Telling::Answered {
            asked,
            record,
            answer,
            words,
            ..
        } => (
            record.as_ref().unwrap_or(asked).clone(),
            line.put_right(said(answer, words)),
        ),
        Telling::ListBegun { title, .. } => (title.clone(), "checklist begun".to_owned()),
        Telling::Noted { text } => ("Note".to_owned(), line.put_right(quoted(text))),
        _ => (String::new(), String::new()),
    };
    Finding {
        what,
        found,
        by: Some(line.by.to_owned()),
        at: Some(timeline.seen(line)),
        entry: Some(line.number.clone()),
        earlier: earlier as u64,
        late: line.late,
    }
}

/// The last answer to each step with any of those tags, under a heading of the record's own; one
/// row that says so when there is none.
pub(super) fn headed(timeline: &Timeline<'_>, wanted: &FindingTags) -> Vec<Finding> {
    let tagged = |line: &Line<'_>| line.is_tagged(wanted.tags);
    let looks = wanted.looks
        && timeline
            .lines
            .iter()
            .any(|line| tagged(line) && line.is_look());
    let found = last_of_each(timeline, |line| {
        tagged(line) && (!looks || timeline.is_look(line))
    });
    if found.is_empty() {
        return vec![nothing(wanted.heading)];
    }
    found
        .into_iter()
        .map(|found| Finding {
            found: format!("{}: {}", without_stop(&found.what), found.found),
            what: wanted.heading.to_owned(),
            ..found
        })
        .collect()
}

fn nothing(heading: &str) -> Finding {
    Finding {
        what: heading.to_owned(),
        found: "not recorded".to_owned(),
        by: None,
        at: None,
        entry: None,
        earlier: 0,
        late: false,
    }
}

/// A sentence that something else is to follow on the same line.
fn without_stop(text: &str) -> &str {
    text.trim().trim_end_matches(['.', ':'])
}

/// The last answer to each step that is wanted, in the order the steps were first answered.
pub(super) fn last_of_each(
    timeline: &Timeline<'_>,
    wanted: impl Fn(&Line<'_>) -> bool,
) -> Vec<Finding> {
    let mut last: Vec<(&Line<'_>, usize)> = Vec::new();
    for line in timeline.lines.iter().filter(|line| wanted(line)) {
        match last.iter_mut().find(|(met, _)| met.step() == line.step()) {
            Some((met, times)) => (*met, *times) = (line, *times + 1),
            None => last.push((line, 0)),
        }
    }
    last.into_iter()
        .map(|(line, earlier)| finding(timeline, line, earlier))
        .collect()
}

/// Every line that is wanted, in the order written.
pub(super) fn pick(
    timeline: &Timeline<'_>,
    mut wanted: impl FnMut(&Line<'_>) -> bool,
) -> Vec<Finding> {
    timeline
        .lines
        .iter()
        .filter(|line| wanted(line))
        .map(|line| finding(timeline, line, 0))
        .collect()
}

/// Every check that was not as expected, and when the same check was as expected after it.
pub(super) fn unexpected(timeline: &Timeline<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for (index, line) in timeline.lines.iter().enumerate() {
        if !matches!(line.answer(), Some((_, Answer::NotAsExpected { .. }))) {
            continue;
        }
        let mut row = finding(timeline, line, 0);
        let later = timeline.lines[index + 1..].iter().find(|later| {
            later.walk == line.walk
                && later.step() == line.step()
                && matches!(later.answer(), Some((_, Answer::AsExpected)))
        });
        if let Some(later) = later {
            let at = timeline.seen(later);
            row.found = format!(
                "{}; as expected when looked at again at {at}, entry {}",
                row.found, later.number
            );
        }
        found.push(row);
    }
    found
}

/// Everything left undone, with its reason and the entry where it was answered otherwise later.
pub(super) fn undone(timeline: &Timeline<'_>) -> Vec<Undone> {
    let mut undone = Vec::new();
    for (index, line) in timeline.lines.iter().enumerate() {
        let Some((_, answer)) = line.answer() else {
            continue;
        };
        let Some((state, reason)) = left(answer) else {
            continue;
        };
        // That it is still undone, or no longer so and asked again, is no other answer yet.
        let otherwise = |(_, answer): (&str, &Answer)| left(answer).is_none() && !is_repeat(answer);
        let later = timeline.lines[index + 1..].iter().find(|later| {
            later.walk == line.walk
                && later.step() == line.step()
                && later.answer().is_some_and(otherwise)
        });
        undone.push(Undone {
            what: finding(timeline, line, 0).what,
            state: line.put_right(state.to_owned()),
            reason: quoted(reason),
            by: line.by.to_owned(),
            at: timeline.seen(line),
            entry: line.number.clone(),
            later: later.map(|later| later.number.clone()),
        });
    }
    undone
}

/// Whether an answer says of an earlier one that it still stands, or no longer.
pub(super) const fn is_repeat(answer: &Answer) -> bool {
    matches!(answer, Answer::StillSo | Answer::NoLonger)
}

/// That an answer leaves something undone, and why.
fn left(answer: &Answer) -> Option<(&'static str, &str)> {
    match answer {
        Answer::NotDone { reason } => Some(("recorded as not done", reason)),
        Answer::CouldNotCheck { reason } => Some(("could not be checked", reason)),
        Answer::NotObtained { reason } => Some(("not obtained", reason)),
        Answer::Missed { reason } => Some(("not watched to the end", reason)),
        _ => None,
    }
}

/// What was seen first: an answer tagged so, or else the earliest finding that is not as
/// expected, note, or begun fault or urgent list, by the time it was seen.
pub(super) fn first_seen<'t, 'a>(timeline: &'t Timeline<'a>) -> Option<&'t Line<'a>> {
    let tagged = timeline
        .lines
        .iter()
        .find(|line| line.is_tagged(FIRST_SEEN));
    let troubled: BTreeSet<usize> = timeline
        .lines
        .iter()
        .filter(|line| is_trouble(&line.told.what))
        .map(|line| line.walk)
        .collect();
    tagged.or_else(|| {
        timeline
            .lines
            .iter()
            .filter(|line| !line.told.taken_back)
            .filter(|line| is_sighting(&line.told.what, troubled.contains(&line.walk)))
            .min_by_key(|line| line.told.seen)
    })
}

/// Each urgent list that was begun, with its title and when; not where its beginning is what was
/// seen first.
pub(super) fn urgent_begun<'t>(
    timeline: &'t Timeline<'_>,
    first: Option<&Line<'_>>,
) -> impl Iterator<Item = (&'t ListName, &'t str, Moment)> {
    let first = first.map(key);
    let lines = timeline.lines.iter();
    let others = lines.filter(move |line| !line.told.taken_back && first != Some(key(line)));
    others.filter_map(|line| match &line.told.what {
        Telling::ListBegun {
            list,
            title,
            kind: ListKind::Urgent,
            ..
        } => Some((list, title.as_str(), line.told.seen)),
        _ => None,
    })
}

fn is_trouble(telling: &Telling) -> bool {
    matches!(
        telling,
        Telling::ListBegun {
            kind: ListKind::Fault | ListKind::Urgent,
            ..
        }
    )
}

/// `troubled`: the walk has a fault or urgent list in it. A note in any other walk may be about
/// anything.
fn is_sighting(telling: &Telling, troubled: bool) -> bool {
    match telling {
        Telling::Answered { answer, .. } => matches!(answer, Answer::NotAsExpected { .. }),
        Telling::Noted { .. } => troubled,
        other => is_trouble(other),
    }
}

/// Steps of looking that are wanted, by their first and last answer, in the order first answered.
pub(super) fn states(timeline: &Timeline<'_>, wanted: impl Fn(&Line<'_>) -> bool) -> Vec<StateRow> {
    let mut met: Vec<(Option<(&str, &str)>, StateRow)> = Vec::new();
    let lines = timeline.lines.iter();
    for line in lines.filter(|line| timeline.is_look(line) && wanted(line)) {
        let found = finding(timeline, line, 0);
        let at = timeline.seen(line);
        match met.iter_mut().find(|(step, _)| *step == line.step()) {
            Some((_, row)) => (row.last, row.last_at) = (Some(found.found), Some(at)),
            None => met.push((
                line.step(),
                StateRow {
                    what: found.what,
                    first: found.found,
                    first_at: at,
                    last: None,
                    last_at: None,
                },
            )),
        }
    }
    met.into_iter().map(|(_, row)| row).collect()
}
