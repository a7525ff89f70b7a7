//! Follows a run of the prover on the walk itself: nothing counts as broken that no walk can do.

use std::sync::Arc;

use chrono::TimeDelta;

use crate::checklist::model::Library;
use crate::checklist::proof::run::{How, Line, Run, Said};
use crate::moment::Moment;
use crate::walk::Walk;
use crate::walk::event::Happening;
use crate::walk::input::{Answer, Input};

/// When a replay begins, so that it comes out the same each time.
const BEGIN: &str = "2026-03-02T04:00:00Z";

/// Follows the run.
///
/// # Errors
/// Words that say where the walk does something else than the run says.
pub fn replay(library: &Arc<Library>, run: &Run) -> Result<Walk, String> {
    let mut now = Moment::parse_from_rfc3339(BEGIN).map_err(|why| why.to_string())?;
    let id = library.find(run.list.as_str()).ok_or("no such list")?;
    // A local fact is looked up like a drain fact, so it can be given with them.
    let mut facts = run.facts.clone();
    facts.extend(run.local.clone());
    let (mut walk, _) =
        Walk::begin(library.clone(), id, facts, now).map_err(|why| why.to_string())?;
    for (number, line) in run.lines.iter().enumerate() {
        now += TimeDelta::seconds(i64::from(line.after));
        follow(&mut walk, line, now).map_err(|why| {
            let (list, step, said) = (&line.list, &line.step, &line.said);
            format!("answer {}, {list}/{step} = {said}: {why}", number + 1)
        })?;
    }
    let stands = walk.view(now);
    match &run.reaches {
        None if walk.outcome().is_some() => Ok(walk),
        Some((list, step))
            if stands.list == *list && stands.step == *step && walk.outcome().is_none() =>
        {
            Ok(walk)
        }
        _ => Err(format!("it ends at {}/{}", stands.list, stands.step)),
    }
}

fn follow(walk: &mut Walk, line: &Line, now: Moment) -> Result<(), String> {
    if line.how == How::Repeated {
        walk.input(Input::Resume, now)
            .map_err(|why| why.to_string())?;
    }
    let input = Input::Answer {
        answer: answer(&line.said),
        seen: Some(now - TimeDelta::seconds(i64::from(line.seen_before))),
    };
    let event = walk.prepare(input, now).map_err(|why| why.to_string())?;
    match &event.what {
        Happening::Answered { list, step, .. } if *list == line.list && *step == line.step => {}
        other => return Err(format!("the walk takes it as {other:?}")),
    }
    walk.take(&event).map_err(|why| why.to_string())
}

/// What the nurse would enter.
fn answer(said: &Said) -> Answer {
    let reason = String::from("it could not be done");
    match said {
        Said::Done => Answer::Done,
        Said::NotDone => Answer::NotDone { reason },
        Said::AsExpected => Answer::AsExpected,
        Said::NotAsExpected => Answer::NotAsExpected {
            found: String::new(),
        },
        Said::CouldNotCheck => Answer::CouldNotCheck { reason },
        Said::Choice(words) => Answer::Choice(words.clone()),
        Said::Value(amount) => Answer::Value(*amount),
        Said::NotObtained => Answer::NotObtained { reason },
        Said::Elapsed => Answer::Elapsed,
        Said::Missed => Answer::Missed { reason },
        Said::Read => Answer::Read,
        Said::StillSo => Answer::StillSo,
        Said::NoLonger => Answer::NoLonger,
    }
}
