//! Plays one trial through the same engine as a real walk, without a journal.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::checklist::answer_words;
use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::Library;
use crate::checklist::trial::Trial;
use crate::failure::Failure;
use crate::moment::{Clock, Moment, Zone};
use crate::screen::{self, Look, Menu, Picked, Reply, Screen, Setup, Stopped, TextQuestion, Tone};
use crate::units::Span;
use crate::walk::Walk;
use crate::walk::event::Event;
use crate::walk::input::{Answer, Input};
use crate::walk::story::Telling;
use crate::walk::view::{Show, View};

use super::drive::{Keep, Left, Times, drive};
use super::fact_text::read_pairs;

/// When every trial begins, so that it comes out the same each time.
const BEGIN: &str = "2026-03-02T04:00:00Z";

/// How long each answer takes in a trial.
const EACH_ANSWER: Span = Span(5);

/// Reads closing texts by itself, so that a trial holds only what a nurse decides.
struct ReadsEndings<'a>(Box<dyn Screen + 'a>);

impl Screen for ReadsEndings<'_> {
    fn step(&mut self, view: &View, now: Moment) -> Result<Reply, Stopped> {
        match view.show {
            Show::End { .. } => Ok(Reply::Input(Input::Answer {
                answer: Answer::Read,
                seen: None,
            })),
            _ => self.0.step(view, now),
        }
    }

    fn choose(&mut self, menu: &Menu) -> Result<Picked, Stopped> {
        self.0.choose(menu)
    }

    fn text(&mut self, question: &TextQuestion<'_>) -> Result<String, Stopped> {
        self.0.text(question)
    }

    fn confirm(&mut self, question: &str) -> Result<bool, Stopped> {
        self.0.confirm(question)
    }

    fn say(&mut self, tone: Tone, text: &str) {
        self.0.say(tone, text);
    }

    fn saved(&mut self, text: &str) {
        self.0.saved(text);
    }

    fn refused(&mut self, why: &str) -> Result<(), Stopped> {
        self.0.refused(why)
    }

    fn excerpt(&mut self, rendered: &str) {
        self.0.excerpt(rendered);
    }

    fn finish(&mut self) -> Result<(), Stopped> {
        self.0.finish()
    }
}

/// Keeps nothing: a trial leaves no trace.
struct Nowhere;

impl Keep for Nowhere {
    fn keep(&mut self, _: &Event, _: &Walk) -> Result<(), Failure> {
        Ok(())
    }
}

/// Plays one trial and compares what it reached.
///
/// # Errors
/// Words that say what was reached instead.
pub fn play(library: Arc<Library>, trial: &Trial) -> Result<Walk, String> {
    let start = Moment::parse_from_rfc3339(BEGIN).map_err(|why| why.to_string())?;
    let clock = Clock::set(start, Zone::named("UTC").map_err(|why| why.to_string())?);
    let list = library
        .find(&trial.list)
        .ok_or_else(|| format!("there is no list {}", trial.list))?;
    let mut facts = DrainFacts::new();
    let pairs: Vec<String> = trial
        .facts
        .iter()
        .map(|(name, value)| format!("{name}={value}"))
        .collect();
    read_pairs(&mut facts, &pairs).map_err(|why| why.message)?;
    let (mut walk, _) = Walk::begin(library, list, facts, start).map_err(|why| why.to_string())?;
    walk_through(&mut walk, trial, &clock)?;
    judge(&walk, trial)?;
    Ok(walk)
}

fn walk_through(walk: &mut Walk, trial: &Trial, clock: &Clock) -> Result<(), String> {
    let read_moment = |text: &str| {
        Moment::parse_from_rfc3339(text).map_err(|_| format!("\"{text}\" is not a moment"))
    };
    let move_clock = |span: Span| {
        clock.advance(span);
    };
    let setup = Setup {
        look: Look {
            width: 80,
            colour: false,
            ascii: true,
        },
        read_moment: &read_moment,
        doubt_text: &|_| None,
        urgent: Vec::new(),
    };
    let answers = answer_words(&trial.answers.join("\n"), walk.library().facts());
    let script = screen::scripted(
        setup,
        &trial.trial,
        &answers,
        std::io::sink(),
        Some(&move_clock),
    );
    let mut screen = ReadsEndings(script);
    let now = || {
        clock.advance(EACH_ANSWER);
        clock.now()
    };
    let times = Times {
        notices: &|_| Vec::new(),
        now: &now,
        wall: &|moment| moment,
    };
    match drive(walk, &mut screen, times, &mut Nowhere).map_err(|why| why.message)? {
        Left::Over => screen.finish().map_err(|why| why.to_string()),
        Left::Paused => Err("it was paused before its end".to_owned()),
        Left::Stopped(failure) => Err(failure.message),
    }
}

fn judge(walk: &Walk, trial: &Trial) -> Result<(), String> {
    let outcome = walk.outcome().map_or("none", |outcome| outcome.word());
    if outcome != trial.ends {
        return Err(format!("it ended {outcome}, and must end {}", trial.ends));
    }
    let (mut met, mut calls) = (BTreeSet::new(), Vec::new());
    for told in walk.story().iter().filter(|told| !told.taken_back) {
        match &told.what {
            Telling::Answered {
                list, step, tags, ..
            } => {
                met.insert(format!("{list}/{step}"));
                if list.as_str() == trial.list {
                    met.insert(step.to_string());
                }
                met.extend(tags.iter().map(ToString::to_string));
            }
            Telling::CallMade { level, .. } => calls.push(level.word().to_owned()),
            _ => {}
        }
    }
    if calls != trial.calls {
        return Err(format!(
            "it made the calls {calls:?}, and must make {:?}",
            trial.calls
        ));
    }
    if let Some(missed) = trial.passes.iter().find(|step| !met.contains(*step)) {
        return Err(format!("it never passed {missed}"));
    }
    match trial.never.iter().find(|step| met.contains(*step)) {
        Some(step) => Err(format!("it met {step}, which it must never")),
        None => Ok(()),
    }
}
