//! The prover against every possible walk, on lists made at random.

use std::fmt::Write as _;
use std::sync::Arc;

use chrono::TimeDelta;
use proptest::prelude::*;

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::{Library, StepKind, Value};
use crate::checklist::proof::graph::Budget;
use crate::checklist::proof::model::Weight;
use crate::checklist::proof::moves::Scope;
use crate::checklist::proof::rule::{Context, Verdict};
use crate::checklist::proof::{STATES, ToldApart};
use crate::moment::Moment;
use crate::names::{FactName, StepName};
use crate::units::Amount;
use crate::walk::Walk;
use crate::walk::input::{Answer, Input};
use crate::walk::view::Show;

use super::made;
use crate::commands::replay::replay;

/// When every walk begins.
fn start() -> Moment {
    Moment::parse_from_rfc3339("2026-03-02T04:00:00+00:00").expect("a moment")
}

/// What a step of a random list is.
#[derive(Debug, Clone)]
pub struct Seed {
    kind: u8,
    tags: u8,
    ways: [u8; 4],
    remember: u8,
    fades: bool,
    test: u8,
    back: Option<(u8, u8)>,
}

pub fn seed() -> impl Strategy<Value = Seed> {
    let way = 1_u8..6;
    (
        (
            0_u8..10,
            0_u8..8,
            [way.clone(), way.clone(), way.clone(), way],
            0_u8..5,
        ),
        any::<bool>(),
        0_u8..8,
        proptest::option::weighted(0.25, (1_u8..5, 1_u8..3)),
    )
        .prop_map(|((kind, tags, ways, remember), fades, test, back)| Seed {
            kind,
            tags,
            ways,
            remember,
            fades,
            test,
            back,
        })
}

/// The text of a list: every way leads onwards, and some lead back, counted.
pub fn written(seeds: &[Seed], fading: bool, uses: bool) -> String {
    let decides = |at: usize| at > 0 && seeds[at].kind >= if fading { 6 } else { 7 };
    // Each name is remembered by one step: one of the random ones, or else one of the first three.
    let takes = |name: u8| {
        let mut steps = seeds.iter().enumerate().filter(|(at, _)| !decides(*at));
        steps
            .find(|(_, seed)| seed.remember < 3 && seed.kind % 3 == name)
            .map(|(at, _)| at)
    };
    let takers = [takes(0), takes(1), takes(2)];
    let end = seeds.len();
    let name = |at: usize| {
        if at >= end {
            "over".to_owned()
        } else {
            format!("s{at}")
        }
    };
    let mut steps = String::new();
    for (at, seed) in seeds.iter().enumerate() {
        // The first way leads to the next step, so that every step can be reached.
        let way = |number: usize| {
            let on = if number == 0 {
                at + 1
            } else {
                at + usize::from(seed.ways[number])
            };
            match seed.back {
                Some((back, most)) if number == 1 => format!(
                    "{{go: {}, at_most: {most}, after_that: {}}}",
                    name(at.saturating_sub(usize::from(back))),
                    name(on)
                ),
                _ if uses && number == 2 && seed.test < 3 => {
                    format!("{{use: used, then: {{any: {}}}}}", name(on))
                }
                _ => name(on),
            }
        };
        let _ = writeln!(steps, "  s{at}:");
        if decides(at) {
            // A list may only ask for what can have been given before.
            let early = takers
                .iter()
                .all(|taker| taker.is_none_or(|taker| taker < at));
            let test = match if early { seed.test } else { 5 + seed.test % 2 } {
                0 => "{m0: unknown}",
                1 => "{m0: done}",
                2 => "{m1: known}",
                3 => "{m1: yes it is, breathing: own}",
                4 => "{m2: below 3}",
                5 => "{breathing: [own, ventilator]}",
                6 => "{breathing: unknown}",
                _ => "{m2: at least 3, m0: not-done}",
            };
            let _ = writeln!(
                steps,
                "    decide:\n      - {{when: {test}, go: {}}}",
                name(at + 1)
            );
            let _ = writeln!(
                steps,
                "    otherwise: {}",
                name(at + usize::from(seed.ways[1]))
            );
            continue;
        }
        let tags: Vec<&str> = ["a", "b", "c"]
            .into_iter()
            .enumerate()
            .filter(|(bit, _)| seed.tags >> bit & 1 == 1)
            .map(|(_, tag)| tag)
            .collect();
        let kind = seed.kind % 3;
        match kind {
            0 => {
                let _ = writeln!(
                    steps,
                    "    do: Do it.\n    then: {}\n    if_not_done: {}",
                    way(0),
                    way(1)
                );
            }
            1 => {
                let _ = writeln!(
                    steps,
                    "    ask: Is it so?\n    answers:\n      - yes it is: {}\n      - it differs: {}\n      - not sure: {}",
                    way(0),
                    way(1),
                    match way(2) {
                        words if words.starts_with('{') =>
                            format!("{{unsure: true, {}", &words[1..]),
                        words => format!("{{unsure: true, go: {words}}}"),
                    }
                );
            }
            _ => {
                let _ = writeln!(
                    steps,
                    "    measure: Read it.\n    unit: cm\n    plausible: 0 to 10\n    bands:\n      - below seal-low: {}\n      - at least seal-low: {}\n    not_obtained: {}",
                    way(0),
                    way(1),
                    way(2)
                );
            }
        }
        if takers[usize::from(kind)] == Some(at) {
            let _ = writeln!(steps, "    remember: m{kind}");
            if fading && seed.fades {
                let _ = writeln!(steps, "    good_for: 10 min");
            }
        }
        let _ = writeln!(steps, "    source: t");
        if !tags.is_empty() {
            let _ = writeln!(steps, "    tags: [{}]", tags.join(", "));
        }
    }
    // Every name that is tested is remembered somewhere.
    let all = "  first:\n    do: Begin.\n    remember: m0\n    source: t\n    tags: [a0, b0, c0]\n    then: second\n    if_not_done: third\n  \
               second:\n    ask: Is it so?\n    remember: m1\n    source: t\n    answers:\n      - yes it is: third\n      - not sure: {unsure: true, go: s0}\n  \
               third:\n    measure: Read it.\n    unit: cm\n    plausible: 0 to 10\n    remember: m2\n    source: t\n    bands:\n      - at least 0: s0\n    not_obtained: s0\n";
    let mut head = all.to_owned();
    for (number, taker) in takers.into_iter().enumerate() {
        let remember = format!("    remember: m{number}\n");
        if taker.is_some() {
            head = head.replace(&remember, "");
        } else if fading && number == 1 {
            head = head.replace(&remember, &format!("{remember}    good_for: 10 min\n"));
        }
    }
    made::list(
        "random",
        "task",
        "first",
        &format!("{head}{steps}  over:\n    end: Over.\n    outcome: working\n"),
    )
}

const USED: &str = "  u0:
    check: Look.
    expect: It is so.
    source: t
    tags: [b]
    as_expected: u1
    not_as_expected: {go: u0, at_most: 1, after_that: u1}
    could_not_check: u2
  u1:
    end: Good.
    outcome: resolved
  u2:
    do: Call.
    source: t
    tags: [a]
    then: u3
    if_not_done: u3
  u3:
    end: Handed over.
    outcome: escalated
";

pub fn library(seeds: &[Seed], fading: bool, uses: bool) -> Arc<Library> {
    let used = made::list("used", "task", "u0", USED);
    let random = written(seeds, fading, uses);
    // Tags that a rule names must be somewhere.
    let tags = made::list(
        "tags",
        "task",
        "t",
        "  t:\n    do: It.\n    source: t\n    tags: [a, b, c]\n    then: e\n    if_not_done: e\n  e:\n    end: Over.\n    outcome: working\n",
    );
    made::library(&[("random", &random), ("used", &used), ("tags", &tags)])
}

/// Something that happened, for judging a whole walk without the prover.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Event {
    /// A step with these tags is shown.
    Shown { a: bool, b: bool, c: bool },
    /// A step with these tags was carried out.
    Done { a: bool, b: bool, c: bool },
    /// The walk is over.
    Over,
}

fn tags(library: &Library, list: &str, step: &StepName) -> (bool, bool, bool) {
    let list = library.list(library.find(list).expect("a list"));
    let step = list.step(list.find(step.as_str()).expect("a step"));
    let has = |tag: &str| step.tags.iter().any(|one| one.as_str() == tag);
    (has("a"), has("b"), has("c"))
}

fn shown(walk: &Walk) -> Event {
    if walk.outcome().is_some() {
        return Event::Over;
    }
    let view = walk.view(start());
    let (a, b, c) = tags(walk.library(), view.list.as_str(), &view.step);
    Event::Shown { a, b, c }
}

/// Whether b is shown before a was done, and again since c.
fn breaks_first(events: &[Event]) -> bool {
    let mut done = false;
    for event in events {
        match event {
            Event::Shown { b: true, .. } if !done => return true,
            Event::Done { a: true, .. } => done = true,
            Event::Done { c: true, .. } => done = false,
            _ => {}
        }
    }
    false
}

/// Whether a was done, and the walk ended with no b done after it.
fn breaks_afterwards(events: &[Event]) -> bool {
    let Some(last) = events
        .iter()
        .rposition(|event| matches!(event, Event::Done { a: true, .. }))
    else {
        return false;
    };
    let over = events.last() == Some(&Event::Over);
    over && !events[last + 1..]
        .iter()
        .any(|event| matches!(event, Event::Done { b: true, .. }))
}

/// Every answer that the walk can be given, with whether it carries the step out.
pub fn answers(walk: &Walk) -> Vec<(Answer, bool)> {
    let reason = || "no".to_owned();
    match walk.view(start()).show {
        Show::Do { .. } | Show::Urgent { .. } => {
            vec![
                (Answer::Done, true),
                (Answer::NotDone { reason: reason() }, false),
            ]
        }
        Show::Check { .. } => vec![
            (Answer::AsExpected, true),
            (Answer::NotAsExpected { found: reason() }, true),
            (Answer::CouldNotCheck { reason: reason() }, false),
        ],
        Show::Ask { answers, .. } => answers
            .into_iter()
            .map(|choice| (Answer::Choice(choice.words), !choice.unsure))
            .collect(),
        Show::Measure { unit, .. } => {
            let numbers = ["0", "1", "2", "2.5", "3", "4", "10"];
            let amount =
                |number: &&str| Amount::parse(&format!("{number} {unit}")).expect("an amount");
            let values = numbers
                .iter()
                .map(|number| (Answer::Value(amount(number)), true));
            values
                .chain([(Answer::NotObtained { reason: reason() }, false)])
                .collect()
        }
        Show::End { .. } => vec![(Answer::Read, true)],
        _ => Vec::new(),
    }
}

/// The length of the shortest walk that breaks the rule, by trying all of them, and whether there
/// was time for all.
fn enumerate(library: &Arc<Library>, breaks: fn(&[Event]) -> bool) -> (Option<usize>, bool) {
    fn go(
        walk: &Walk,
        events: &mut Vec<Event>,
        depth: usize,
        breaks: fn(&[Event]) -> bool,
        best: &mut Option<usize>,
        left: &mut usize,
    ) {
        if breaks(events) {
            *best = Some(best.map_or(depth, |best| best.min(depth)));
            return;
        }
        *left = left.saturating_sub(1);
        if walk.outcome().is_some() || *left == 0 || best.is_some_and(|best| depth + 1 >= best) {
            return;
        }
        for (answer, done) in answers(walk) {
            let mut next = walk.clone();
            let view = walk.view(start());
            let (a, b, c) = tags(walk.library(), view.list.as_str(), &view.step);
            next.input(Input::Answer { answer, seen: None }, start())
                .expect("it can be answered");
            let before = events.len();
            if done {
                events.push(Event::Done { a, b, c });
            }
            events.push(shown(&next));
            go(&next, events, depth + 1, breaks, best, left);
            events.truncate(before);
        }
    }
    let mut best = None;
    let mut left = 4_000;
    for breathing in [None, Some("own"), Some("ventilator"), Some("mask-pressure")] {
        let mut facts = DrainFacts::new();
        if let Some(word) = breathing {
            facts.insert(
                FactName::new("breathing").expect("a name"),
                Value::Word(word.to_owned()),
            );
        }
        let id = library.find("random").expect("the list");
        let (walk, _) = Walk::begin(library.clone(), id, facts, start()).expect("it begins");
        let mut events = vec![shown(&walk)];
        go(&walk, &mut events, 0, breaks, &mut best, &mut left);
    }
    (best, left > 0)
}

/// The verdict with answers given at once and without interruptions.
fn plain(library: &Library, rule: &str) -> Verdict {
    let found = made::safeguard(rule, library);
    let id = library.find("random").expect("the list");
    let mut session = ToldApart(vec![&found[0]]).session(library, id, Weight::Open);
    session.scope = Scope::PLAIN;
    let budget = &mut Budget {
        states: STATES,
        progress: &mut |_| {},
    };
    let mut context = Context {
        session: &mut session,
        budget,
        base: library,
        without: &[],
    };
    found[0].rule.check(&mut context)
}

fn agree(
    library: &Arc<Library>,
    rule: &str,
    breaks: fn(&[Event]) -> bool,
) -> Result<(), TestCaseError> {
    let verdict = plain(library, rule);
    let (shortest, all) = enumerate(library, breaks);
    match (verdict, shortest) {
        (Verdict::Broken { run: Some(run), .. }, shortest) => {
            if all {
                prop_assert_eq!(Some(run.lines.len()), shortest);
            }
            prop_assert!(shortest.is_none_or(|shortest| run.lines.len() <= shortest));
            replay(library, &run)
                .map_err(|why| TestCaseError::fail(format!("{why}\n{}", run.script())))?;
        }
        (Verdict::Kept { .. } | Verdict::Vacuous { .. } | Verdict::NotHere, None) => {}
        (verdict, shortest) => prop_assert!(false, "{rule}: {shortest:?}, but {verdict:?}"),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { max_shrink_iters: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// "Before" and "afterwards" agree with trying every walk there is, down to the length of the
    /// shortest that breaks them, and each failing run replays on the walk.
    #[test]
    fn first_and_afterwards_agree_with_every_walk(seeds in proptest::collection::vec(seed(), 1..9), uses: bool) {
        let library = library(&seeds, false, uses);
        agree(&library, "first: {do: tag a, before: tag b, since: tag c}", breaks_first)?;
        agree(&library, "afterwards: {when: tag a, do: tag b}", breaks_afterwards)?;
    }

    /// With answers that become too old and with interruptions: a failing run replays on the walk,
    /// and when a safeguard is kept, no walk at random breaks it.
    #[test]
    fn what_is_kept_no_walk_breaks(
        seeds in proptest::collection::vec(seed(), 2..9),
        uses: bool,
        choices in proptest::collection::vec(any::<u16>(), 400),
    ) {
        let library = library(&seeds, true, uses);
        for (rule, breaks) in [
            ("first: {do: tag a, before: tag b}", breaks_first_plain as fn(&[Event]) -> bool),
            ("never_after: {not: tag b, after: tag a}", breaks_never),
        ] {
            match made::verdict(&library, "random", rule) {
                Verdict::Broken { run: Some(run), .. } => {
                    replay(&library, &run).map_err(|why| TestCaseError::fail(format!("{rule}: {why}\n{}\n{:#?}", run.script(), run.lines.iter().map(|l| (l.step.as_str(), l.after, l.seen_before)).collect::<Vec<_>>())))?;
                }
                Verdict::Kept { .. } => {
                    for events in wander(&library, &choices) {
                        prop_assert!(!breaks(&events), "{rule}: {events:?}");
                    }
                }
                Verdict::NotDecided { .. } => prop_assert!(false, "{rule} is not decided"),
                _ => {}
            }
        }
    }
}

fn breaks_first_plain(events: &[Event]) -> bool {
    let events: Vec<Event> = events
        .iter()
        .map(|event| match *event {
            Event::Shown { a, b, .. } => Event::Shown { a, b, c: false },
            Event::Done { a, b, .. } => Event::Done { a, b, c: false },
            Event::Over => Event::Over,
        })
        .collect();
    breaks_first(&events)
}

fn breaks_never(events: &[Event]) -> bool {
    let first = events
        .iter()
        .position(|event| matches!(event, Event::Done { a: true, .. }));
    first.is_some_and(|first| {
        events[first + 1..]
            .iter()
            .any(|event| matches!(event, Event::Shown { b: true, .. }))
    })
}

/// Some walks at random, with interruptions and long pauses. An answer that is no longer so is
/// taken back from what happened.
fn wander(library: &Arc<Library>, choices: &[u16]) -> Vec<Vec<Event>> {
    let mut found = Vec::new();
    for part in choices.chunks(40) {
        let mut facts = DrainFacts::new();
        if let Some(word) = [None, Some("own"), Some("ventilator")][usize::from(part[0]) % 3] {
            facts.insert(
                FactName::new("breathing").expect("a name"),
                Value::Word(word.to_owned()),
            );
        }
        let id = library.find("random").expect("the list");
        let mut now = start();
        let (mut walk, _) = Walk::begin(library.clone(), id, facts, now).expect("it begins");
        let mut events = vec![shown(&walk)];
        let mut undo: Option<(usize, String)> = None;
        for choice in &part[1..] {
            if walk.outcome().is_some() {
                break;
            }
            now += TimeDelta::seconds(i64::from(choice >> 8) * 10);
            if choice % 5 == 0 {
                walk.input(Input::Resume, now).expect("it resumes");
            }
            if let Show::Repeat { .. } = walk.view(now).show {
                let so = choice % 2 == 0;
                let answer = if so {
                    Answer::StillSo
                } else {
                    Answer::NoLonger
                };
                walk.input(Input::Answer { answer, seen: None }, now)
                    .expect("it is repeated");
                if !so {
                    let view = walk.view(now);
                    let name = format!("{}/{}", view.list, view.step);
                    if let Some((at, _)) = undo.as_ref().filter(|(_, step)| *step == name) {
                        events.truncate(*at);
                    }
                    undo = None;
                }
                events.push(shown(&walk));
                continue;
            }
            let all = answers(&walk);
            let (answer, done) = all[usize::from(*choice) % all.len()].clone();
            let view = walk.view(now);
            let (a, b, c) = tags(library, view.list.as_str(), &view.step);
            let list = library.list(library.find(view.list.as_str()).expect("a list"));
            let step = list.step(list.find(view.step.as_str()).expect("a step"));
            walk.input(Input::Answer { answer, seen: None }, now)
                .expect("it is answered");
            if !matches!(step.kind, StepKind::End { .. }) {
                undo = Some((events.len(), format!("{}/{}", view.list, view.step)));
            }
            if done {
                events.push(Event::Done { a, b, c });
            }
            events.push(shown(&walk));
        }
        found.push(events);
    }
    found
}
