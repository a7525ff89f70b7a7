//! Every combination of the drain facts on every shipped list: what no way through may offer.
//!
//! One list at a time. A list that is used counts as ending in each way it can end in, which adds
//! ways and takes none away; it is walked by itself as well, and knows nothing of what was
//! answered outside. A counted jump counts both as still allowed and as used up. So what is found
//! to be out of reach here is out of reach in a walk.
//!
//! Sources of what is forbidden: NSW Agency for Clinical Innovation (Australia), 2014, Pleural
//! Drains in Adults, section 3: no clamp on positive-pressure ventilation or a pressure mask;
//! Queen's University School of Medicine, chest tube module, and Medscape, Tube Thoracostomy
//! Management: no clamp on a bubbling drain (passages read). No per-kilogram limit without a weight:
//! common practice, no source.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::sync::Arc;

use crate::checklist::drain_fact::{DrainFacts, FactKind, drain_fact};
use crate::checklist::load::load;
use crate::checklist::model::{
    Checklist, Cut, FactAbout, Library, ListId, Outcome, Population, Step, StepKind, Test, Value,
};
use crate::checklist::shelf::{Shelf, SourceFile};
use crate::moment::Moment;
use crate::names::FactName;
use crate::units::{Amount, Number, Unit};

use super::super::Walk;
use super::super::input::{Answer, Input};
use super::super::state::{Asking, Entry, Status};

/// The facts that are combined; the others are never tested by a list.
const COMBINED: &[&str] = &[
    "population",
    "weight",
    "breathing",
    "reason",
    "suction",
    "suction-order",
    "suction-control",
    "lung-removed",
];

/// For each question about bubbling in a list that clamps: the one answer that says there is none.
/// Every other answer, "not sure" too, counts as bubbling.
const QUIET: &[(&str, &str, &str)] = &[
    ("change-unit", "bubbling", "still through breaths and cough"),
    ("cracked", "bubbled", "still through a cough"),
    ("disconnected", "bubbled", "free of bubbles"),
    ("first-volume", "limit-bubbles", "free of bubbles"),
    ("first-volume", "close-bubbles", "free of bubbles"),
    (
        "large-volume",
        "bubbling",
        "still through breaths and cough",
    ),
    ("re-expansion", "bubbling", "still, even on cough"),
];

/// A unit whose policy allows every clamp that a policy can allow.
const PERMISSIVE: &str = "\
unit: A unit that allows every clamp (invented)
zone: UTC
facts:
  clamp-on-disconnection: clamp-allowed
  clamp-on-change: doctor-order
";

/// More states than this in one list with one set of facts would be a mistake of the test.
const MOST_STATES: usize = 20_000;

fn moment() -> Moment {
    Moment::parse_from_rfc3339("2026-03-02T04:00:00Z").unwrap()
}

fn library(local: Option<&str>) -> Arc<Library> {
    let shelf = match local {
        None => Shelf::shipped(),
        Some(text) => Shelf::shipped().with_unit(
            "permissive",
            [SourceFile {
                path: "local.yaml".to_owned(),
                bytes: text.as_bytes().to_vec(),
            }],
        ),
    };
    Arc::new(load(&shelf).library.expect("the shipped lists are sound"))
}

/// The drain facts that a list itself tests.
fn tested(list: &Checklist) -> BTreeSet<&'static str> {
    let mut names = BTreeSet::new();
    let mut add = |name: &str| {
        names.extend(COMBINED.iter().copied().find(|one| *one == name));
    };
    for (_, step) in list.steps() {
        match &step.kind {
            StepKind::Decide { rows, .. } => {
                for condition in rows.iter().flat_map(|row| &row.when) {
                    add(condition.name.as_str());
                    if let Test::Within(range) = &condition.test {
                        let cuts = range.from.iter().chain(&range.to);
                        if cuts.clone().any(|(cut, _)| matches!(cut, Cut::PerKg(..))) {
                            add("weight");
                        }
                    }
                }
            }
            StepKind::Measure { .. } if per_kg(step) => add("weight"),
            _ => {}
        }
    }
    // What is asserted is looked at for each way of breathing, whatever the list tests.
    if list.steps().any(|(_, step)| clamps(step).is_some()) {
        names.insert("breathing");
    }
    if list.steps().any(|(_, step)| !limits_of(step).is_empty()) {
        names.extend(["population", "weight"]);
    }
    names
}

fn per_kg(step: &Step) -> bool {
    cuts(step).iter().any(|cut| matches!(cut, Cut::PerKg(..)))
}

fn cuts(step: &Step) -> Vec<&Cut> {
    let StepKind::Measure { bands, .. } = &step.kind else {
        return Vec::new();
    };
    let ends = bands
        .iter()
        .flat_map(|band| band.range.from.iter().chain(&band.range.to));
    ends.map(|(cut, _)| cut).collect()
}

/// The limits at which the ways of a measure change.
fn limits_of(step: &Step) -> Vec<&FactName> {
    let limits = cuts(step).into_iter().filter_map(|cut| match cut {
        Cut::Fact(name, _) | Cut::PerKg(name, _) => Some(name),
        Cut::Fixed(_) | Cut::Unset(_) => None,
    });
    limits.collect()
}

/// The tag of a step that closes a drain.
fn clamps(step: &Step) -> Option<&'static str> {
    ["clamp", "test-clamp"]
        .into_iter()
        .find(|tag| step.tags.iter().any(|one| one.as_str() == *tag))
}

/// Every value of a fact, and that it is not known.
fn values(name: &str) -> Vec<Option<Value>> {
    let amount = |number, unit| Some(Value::Amount(Amount::new(Number::whole(number), unit)));
    let mut values = vec![None];
    match drain_fact(name).map(|fact| fact.kind) {
        Some(FactKind::Choice(words)) => {
            values.extend(
                words
                    .iter()
                    .map(|word| Some(Value::Word((*word).to_owned()))),
            );
        }
        _ if name == "weight" => values.push(amount(14, Unit::Kg)),
        _ => values.extend([amount(10, Unit::CmH2O), amount(50, Unit::CmH2O)]),
    }
    values
}

/// Every value of a fact that the list can tell apart from those before it: two words that fit
/// the same tests take the same ways. "Own" breathing is what the assertions look at.
fn told_apart(list: &Checklist, name: &str) -> Vec<Option<Value>> {
    let tests: Vec<&Test> = list
        .steps()
        .filter_map(|(_, step)| match &step.kind {
            StepKind::Decide { rows, .. } => Some(rows.iter().flat_map(|row| &row.when)),
            _ => None,
        })
        .flatten()
        .filter(|condition| condition.name.as_str() == name)
        .map(|condition| &condition.test)
        .collect();
    let fits = |value: &Option<Value>| -> Vec<bool> {
        let Some(Value::Word(is)) = value else {
            return Vec::new();
        };
        let fit = |test: &&Test| matches!(test, Test::OneOf(words) if words.contains(is));
        [is == "own", name == "population" && is == "adult"]
            .into_iter()
            .chain(tests.iter().map(fit))
            .collect()
    };
    let mut kept: Vec<Option<Value>> = Vec::new();
    for value in values(name) {
        let words = matches!(value, Some(Value::Word(_)));
        if !words || kept.iter().all(|one| fits(one) != fits(&value)) {
            kept.push(value);
        }
    }
    kept
}

fn combinations(list: &Checklist) -> Vec<DrainFacts> {
    let mut all = vec![DrainFacts::new()];
    for name in tested(list) {
        let mut more = Vec::new();
        for facts in &all {
            for value in told_apart(list, name) {
                let mut facts = facts.clone();
                if let Some(value) = value {
                    facts.insert(FactName::new(name).unwrap(), value);
                }
                more.push(facts);
            }
        }
        all = more;
    }
    all
}

fn says(facts: &DrainFacts, name: &str, word: &str) -> bool {
    matches!(facts.get(name), Some(Value::Word(is)) if is == word)
}

/// What was found over all lists and facts.
#[derive(Default)]
struct Found {
    faults: BTreeSet<String>,
    /// Steps that clamp, and were offered at least once.
    offered: BTreeSet<String>,
    walks: usize,
    states: usize,
}

/// One list with one set of facts.
struct Look<'a> {
    library: &'a Arc<Library>,
    list: ListId,
    facts: &'a DrainFacts,
    found: &'a mut Found,
    met: HashSet<String>,
}

/// Where the look stands: the walk, and the questions about bubbling that were last answered with
/// anything but "none".
type At = (Walk, BTreeSet<String>);

impl Look<'_> {
    fn run(&mut self) {
        let begun = Walk::begin(
            self.library.clone(),
            self.list,
            self.facts.clone(),
            moment(),
        );
        let (walk, _) = begun.expect("every list begins");
        let mut left = vec![(walk, BTreeSet::new())];
        while let Some((walk, bubbling)) = left.pop() {
            if walk.state.frames.len() > 1 {
                left.extend(
                    self.used(&walk)
                        .into_iter()
                        .map(|walk| (walk, bubbling.clone())),
                );
                continue;
            }
            if !matches!(walk.state.status, Status::Going)
                || !self.met.insert(key(&walk, &bubbling))
            {
                continue;
            }
            assert!(self.met.len() < MOST_STATES, "{}", self.name());
            self.judge(&walk, &bubbling);
            left.extend(self.onward(&walk, &bubbling));
        }
        self.found.walks += 1;
        self.found.states += self.met.len();
    }

    fn name(&self) -> &str {
        self.library.list(self.list).name.as_str()
    }

    /// The walk after the list that it has just entered, once for each ending of that list.
    fn used(&self, walk: &Walk) -> Vec<Walk> {
        let inner = walk.state.frames[1].clone();
        let Entry::Used(endings) = &inner.entry else {
            panic!("nothing jumps here");
        };
        let list = self.library.list(inner.list);
        let outcomes: BTreeSet<Outcome> = list
            .steps()
            .filter_map(|(_, step)| match &step.kind {
                StepKind::End { outcome, .. } => Some(*outcome),
                _ => None,
            })
            .collect();
        let counts = [0, u32::MAX];
        let ways = outcomes
            .into_iter()
            .flat_map(|outcome| counts.map(|taken| (outcome, taken)));
        let after = ways.map(|(outcome, taken)| {
            let mut walk = walk.clone();
            walk.state.frames.truncate(1);
            for count in walk.state.frame_mut().counts.values_mut() {
                *count = taken;
            }
            let jump = walk
                .ending(endings, outcome)
                .expect("every ending leads somewhere");
            walk.follow_jump(&jump);
            walk.settle().expect("it settles");
            walk
        });
        after.collect()
    }

    /// The walk after each answer, with every counted jump still allowed and used up.
    fn onward(&mut self, walk: &Walk, bubbling: &BTreeSet<String>) -> Vec<At> {
        let list = self.library.list(self.list);
        let step = list.step(walk.asked_step());
        let mut next = Vec::new();
        for answer in answers(step, walk) {
            let mut bubbling = bubbling.clone();
            if let Answer::Choice(words) = &answer {
                let asked = (list.name.as_str(), step.name.as_str());
                if let Some((.., quiet)) = QUIET.iter().find(|one| (one.0, one.1) == asked) {
                    bubbling.remove(step.name.as_str());
                    if words != quiet {
                        bubbling.insert(step.name.to_string());
                    }
                }
            }
            let allowed = self.after(walk, &answer, 0);
            // Only where a counted jump was taken does it matter whether it is used up.
            if allowed.1 {
                next.push((self.after(walk, &answer, u32::MAX).0, bubbling.clone()));
            }
            next.push((allowed.0, bubbling));
        }
        next
    }

    /// The walk after an answer, with every counted jump taken so often before, and whether one
    /// was taken now.
    fn after(&self, walk: &Walk, answer: &Answer, taken: u32) -> (Walk, bool) {
        let list = self.library.list(self.list);
        let mut walk = walk.clone();
        let counters = (0..list.counters()).map(crate::checklist::model::CounterId::nth);
        walk.state.frame_mut().counts = counters.map(|counter| (counter, taken)).collect();
        let input = Input::Answer {
            answer: answer.clone(),
            seen: None,
        };
        let now = walk
            .due()
            .first()
            .map_or(moment(), |due| due.at.max(moment()));
        walk.input(input, now)
            .expect("an answer that is offered is taken");
        walk.past.clear();
        walk.story.clear();
        walk.calls.clear();
        walk.state.duties.clear();
        walk.undone.clear();
        let jumped = walk.state.frames[0]
            .counts
            .values()
            .any(|count| *count != taken);
        (walk, jumped)
    }

    fn fault(&mut self, step: &Step, what: &str) {
        let facts: Vec<String> = self
            .facts
            .iter()
            .map(|(name, value)| format!("{name}={value}"))
            .collect();
        let fault = format!(
            "{}/{}: {what} [{}]",
            self.name(),
            step.name,
            facts.join(", ")
        );
        self.found.faults.insert(fault);
    }

    /// What no way may offer here.
    fn judge(&mut self, walk: &Walk, bubbling: &BTreeSet<String>) {
        let library = self.library.clone();
        let step = library.list(self.list).step(walk.asked_step());
        if let Some(tag) = clamps(step) {
            self.found
                .offered
                .insert(format!("{}/{}", self.name(), step.name));
            if !says(self.facts, "breathing", "own") {
                self.fault(
                    step,
                    "a clamp, though the patient may be ventilated or on a pressure mask",
                );
            }
            if !bubbling.is_empty() && tag == "clamp" {
                self.fault(step, "a clamp, though the drain may bubble");
            }
        }
        if per_kg(step) && !self.facts.contains_key("weight") {
            self.judge_without_weight(walk, step);
        }
        self.judge_population(step);
    }

    /// Without a weight each number takes the way of "not obtained".
    fn judge_without_weight(&mut self, walk: &Walk, step: &Step) {
        let StepKind::Measure { not_obtained, .. } = &step.kind else {
            return;
        };
        for answer in answers(step, walk) {
            let known = walk.known(moment());
            let meant = super::meaning(step, &answer, &known, false).expect("a fitting answer");
            if meant.way != Some(not_obtained) {
                self.fault(
                    step,
                    &format!("{answer:?} was judged per kilogram without a weight"),
                );
            }
        }
    }

    /// A limit for adults judges no child, and the other way round.
    fn judge_population(&mut self, step: &Step) {
        let library = self.library.clone();
        for name in limits_of(step) {
            let about = library.facts().get(name.as_str()).map(|fact| &fact.about);
            let Some(FactAbout::Limit { population, .. }) = about else {
                continue;
            };
            let wrong = match population {
                Population::Adult => says(self.facts, "population", "child"),
                Population::Child => says(self.facts, "population", "adult"),
                Population::All => false,
            };
            if wrong {
                self.fault(step, &format!("{name} is not for this patient"));
            }
        }
    }
}

/// What tells two states apart: the step, what is asked again, and what is remembered.
fn key(walk: &Walk, bubbling: &BTreeSet<String>) -> String {
    let frame = walk.state.frame();
    let again = matches!(walk.state.asking, Asking::Again(_));
    let memory: BTreeMap<&str, String> = frame
        .memory
        .iter()
        .map(|(name, memory)| (name.as_str(), memory.value.to_string()))
        .collect();
    format!("{} {again} {memory:?} {bubbling:?}", frame.step.index())
}

/// Every kind of answer that a step takes; for a number one below, at and above each cut.
fn answers(step: &Step, walk: &Walk) -> Vec<Answer> {
    let reason = "made for a test".to_owned();
    match &step.kind {
        StepKind::Do { .. } => vec![Answer::Done, Answer::NotDone { reason }],
        StepKind::Check { .. } => vec![
            Answer::AsExpected,
            Answer::NotAsExpected {
                found: String::new(),
            },
            Answer::CouldNotCheck { reason },
        ],
        StepKind::Ask { answers, .. } => answers
            .iter()
            .map(|one| Answer::Choice(one.words.clone()))
            .collect(),
        StepKind::Measure {
            unit, plausible, ..
        } => {
            let mut numbers = BTreeSet::from([plausible.0, plausible.1]);
            let known = walk.known(moment());
            for number in cuts(step).into_iter().filter_map(|cut| known.cut(cut)) {
                let milli = number.milli();
                numbers.extend([milli - 1, milli, milli + 1].map(Number::from_milli));
            }
            let inside = numbers
                .into_iter()
                .filter(|one| (plausible.0..=plausible.1).contains(one));
            inside
                .map(|number| Answer::Value(Amount::new(number, *unit)))
                .chain([Answer::NotObtained { reason }])
                .collect()
        }
        StepKind::Wait { .. } => vec![Answer::Elapsed, Answer::Missed { reason }],
        StepKind::End { .. } | StepKind::Decide { .. } | StepKind::Use { .. } => Vec::new(),
    }
}

fn look_at_all(library: &Arc<Library>) -> Found {
    let mut found = Found::default();
    for (id, list) in library.lists() {
        for facts in combinations(list) {
            let mut look = Look {
                library,
                list: id,
                facts: &facts,
                found: &mut found,
                met: HashSet::new(),
            };
            look.run();
        }
    }
    found
}

#[test]
fn no_combination_of_the_drain_facts_leads_to_what_is_forbidden() {
    let library = library(Some(PERMISSIVE));
    let found = look_at_all(&library);
    let faults: Vec<&String> = found.faults.iter().take(20).collect();
    assert!(
        faults.is_empty(),
        "{} faults, such as {faults:#?}",
        found.faults.len()
    );
    // What is forbidden above is not simply never offered.
    let clamping: BTreeSet<String> = library
        .lists()
        .flat_map(|(_, list)| {
            let steps = list.steps().filter(|(_, step)| clamps(step).is_some());
            steps.map(|(_, step)| format!("{}/{}", list.name, step.name))
        })
        .collect();
    assert_eq!(found.offered, clamping);
    assert!(
        found.walks > 1_000 && found.states > 10_000,
        "{} walks",
        found.walks
    );
}

#[test]
fn while_the_unit_has_set_nothing_no_clamp_follows_from_its_policy() {
    let library = library(None);
    let mut found = Found::default();
    for name in ["change-unit", "disconnected", "cracked"] {
        let id = library.find(name).expect("the list is there");
        for facts in combinations(library.list(id)) {
            let mut look = Look {
                library: &library,
                list: id,
                facts: &facts,
                found: &mut found,
                met: HashSet::new(),
            };
            look.run();
        }
    }
    assert_eq!(found.faults, BTreeSet::new());
    let by_policy = ["disconnected/clamp", "cracked/clamp-short"];
    for step in by_policy {
        assert!(!found.offered.contains(step), "{step}");
    }
}

/// A question about bubbles in a list that clamps must be known to the test.
#[test]
fn every_question_about_bubbles_in_a_list_that_clamps_is_looked_at() {
    let library = library(None);
    for (_, list) in library.lists() {
        if !list.steps().any(|(_, step)| clamps(step) == Some("clamp")) {
            continue;
        }
        for (_, step) in list.steps() {
            let StepKind::Ask { answers, .. } = &step.kind else {
                continue;
            };
            let asked = (list.name.as_str(), step.name.as_str());
            let of_bubbles = answers.iter().any(|one| one.words.contains("bubbl"));
            let known = QUIET.iter().any(|one| (one.0, one.1) == asked);
            // Asked after the joint is closed again; nothing is clamped after it.
            let afterwards = asked == ("disconnected", "bubbles");
            assert!(!of_bubbles || known || afterwards, "{asked:?}");
        }
    }
    for (list, step, quiet) in QUIET {
        let list = library.list(library.find(list).expect("the list is there"));
        let step = list.step(list.find(step).expect("the step is there"));
        let StepKind::Ask { answers, .. } = &step.kind else {
            panic!("{} asks nothing", step.name);
        };
        assert!(answers.iter().any(|one| one.words == *quiet), "{quiet}");
    }
}
