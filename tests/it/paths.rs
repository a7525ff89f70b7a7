//! Finds, for a checklist, answers that lead to each of its steps: whoever wants to stand at every
//! step of every shipped list follows these paths. Steps, lists and facts are found by listing
//! them, so that a new one is covered without a change here.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::Arc;

use chrono::TimeDelta;
use tubeside::checklist::drain_fact::{DRAIN_FACTS, DrainFacts, FactKind, drain_fact};
use tubeside::checklist::load::load;
use tubeside::checklist::model::{
    Checklist, Cut, Endings, FactAbout, Jump, Library, ListId, Outcome, Range, Row, StepId,
    StepKind, Test, Value, Way,
};
use tubeside::checklist::shelf::{Shelf, SourceFile};
use tubeside::moment::Moment;
use tubeside::names::FactName;
use tubeside::units::{Amount, Number};
use tubeside::walk::Walk;
use tubeside::walk::event::Happening;
use tubeside::walk::input::{Answer, Input};
use tubeside::walk::view::{Show, View};

/// When every path begins.
pub const BEGIN: &str = "2026-03-02T04:00:00Z";
/// How long each answer takes, in seconds.
pub const EACH_ANSWER: i64 = 2;
/// A path longer than this goes in circles.
const LONGEST: usize = 160;
/// So many paths on end without a new step, and the rest counts as out of reach.
const PATIENCE: usize = 1500;

/// What a ward has filled in: its `local.yaml`, or nothing at all.
pub struct Ward {
    /// The text of `local.yaml`.
    pub local: Option<String>,
    /// The shipped lists with it.
    pub library: Arc<Library>,
}

/// One thing typed at a step.
#[derive(Debug, Clone)]
pub struct Move {
    /// The list and the step that is shown, and how many lists are held under it.
    pub at: (String, String, usize),
    /// What the step asks.
    pub asked: String,
    /// The lines to type; only the last is an answer, those before move the clock.
    pub lines: Vec<String>,
    /// The answer.
    pub answer: Answer,
}

/// A way through a list.
#[derive(Debug)]
pub struct Path {
    /// The list.
    pub list: String,
    /// Which ward.
    pub ward: usize,
    /// What is known of the drain.
    pub facts: DrainFacts,
    /// What is typed.
    pub moves: Vec<Move>,
    /// The moves that stand at a step no path before stood at.
    pub fresh: BTreeSet<usize>,
}

/// Numbers that look thrown, the same each time (the constants are Knuth's, from memory).
pub struct Dice(pub u64);

impl Dice {
    /// A number below `sides`.
    pub fn throw(&mut self, sides: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % sides
    }
}

/// Wards that differ in every fact they can choose: none filled in, the demonstration ward, and
/// for each place among the choices a ward that chose what stands there.
pub fn wards() -> Vec<Ward> {
    let demo = include_str!("../../checklists/demo/local.yaml");
    let none = ward(None);
    let mut chosen = vec![String::new(); 4];
    for (name, fact) in none.library.facts().iter() {
        let FactAbout::Local { choices, .. } = &fact.about else {
            continue;
        };
        for (place, text) in chosen.iter_mut().enumerate() {
            if !choices.is_empty() {
                let word = &choices[place % choices.len()];
                writeln!(text, "  {name}: \"{word}\"").expect("a line");
            }
        }
    }
    let mut wards = vec![none, ward(Some(demo.to_owned()))];
    wards.extend(
        chosen
            .iter()
            .map(|facts| ward(Some(format!("unit: Made ward\nzone: UTC\nfacts:\n{facts}")))),
    );
    wards
}

fn ward(local: Option<String>) -> Ward {
    let shelf = match &local {
        Some(text) => Shelf::shipped().with_unit(
            "ward",
            [SourceFile {
                path: "local.yaml".to_owned(),
                bytes: text.clone().into_bytes(),
            }],
        ),
        None => Shelf::shipped(),
    };
    let loaded = load(&shelf);
    let problems: Vec<String> = loaded.problems.iter().map(|one| one.drawn()).collect();
    let library = Arc::new(loaded.library.unwrap_or_else(|| panic!("{problems:#?}")));
    Ward { local, library }
}

/// Paths that together stand at every step of the list at which a walk can stand, and the steps
/// that none of them reached.
pub fn paths_through(wards: &[Ward], list: ListId, dice: &mut Dice) -> (Vec<Path>, Vec<String>) {
    let checklist = wards[0].library.list(list);
    let mut wanted: BTreeSet<String> = checklist
        .steps()
        .filter(|(_, step)| !matches!(step.kind, StepKind::Decide { .. } | StepKind::Use { .. }))
        .map(|(_, step)| step.name.to_string())
        .collect();
    let mut search = Search::default();
    let (mut paths, mut in_vain) = (Vec::new(), 0);
    while !wanted.is_empty() && in_vain < PATIENCE {
        let start = search.start(wards, list, dice);
        let (ward, facts) = (start.ward, start.facts.clone());
        let moves = search.wander(&wards[ward].library, list, start, &wanted, dice);
        let fresh: BTreeSet<usize> = (0..moves.len())
            .filter(|index| {
                let (at, step, held) = &moves[*index].at;
                *held == 0 && at == checklist.name.as_str() && wanted.remove(step)
            })
            .collect();
        in_vain += 1;
        if !fresh.is_empty() {
            in_vain = 0;
            paths.push(Path {
                list: checklist.name.to_string(),
                ward,
                facts,
                moves,
                fresh,
            });
        }
    }
    (paths, wanted.into_iter().collect())
}

/// Where a way through a list starts: at its beginning, or behind moves that led to a place where
/// few have been.
#[derive(Clone)]
struct Start {
    ward: usize,
    facts: DrainFacts,
    moves: Vec<Move>,
    /// How often it was started from here.
    used: usize,
}

/// What is known from the ways walked so far.
#[derive(Default)]
struct Search {
    /// How often each answer was given.
    tried: BTreeMap<String, usize>,
    /// Moves that led to each place, with the lists that are held there.
    places: BTreeMap<String, Start>,
}

impl Search {
    fn start(&mut self, wards: &[Ward], list: ListId, dice: &mut Dice) -> Start {
        let rare = self.places.values_mut().min_by_key(|start| start.used);
        match rare {
            Some(start) if dice.throw(3) > 0 => {
                start.used += 1;
                start.clone()
            }
            _ => {
                let (mut ward, mut facts) = (dice.throw(wards.len()), thrown_facts(dice));
                if dice.throw(2) == 0 {
                    ward = lean(wards, list, ward, &mut facts, dice);
                }
                Start {
                    ward,
                    facts,
                    moves: Vec::new(),
                    used: 0,
                }
            }
        }
    }

    /// One way through a list, by the answers that were tried least so far.
    fn wander(
        &mut self,
        library: &Arc<Library>,
        list: ListId,
        start: Start,
        wanted: &BTreeSet<String>,
        dice: &mut Dice,
    ) -> Vec<Move> {
        let mut now = begin();
        let begun = Walk::begin(library.clone(), list, start.facts.clone(), now);
        let (mut walk, _) = begun.expect("it begins");
        let mut moves: Vec<Move> = Vec::new();
        // Some walks go well for a while: the first answer is the one that is hoped for.
        let smooth = [0, 5, 9, 10][dice.throw(4)];
        let mut aim = Aim::at(library, list, wanted, dice);
        while walk.outcome().is_none() && moves.len() < LONGEST {
            let view = walk.view(now);
            let (line, answer) = match start.moves.get(moves.len()) {
                Some(one) => (one.lines[1].clone(), one.answer.clone()),
                None => {
                    self.remember(&view, &start, &moves, dice);
                    let ways = answers(library, &view, &start.facts);
                    let ways = aim.towards(library, &view, ways, dice);
                    self.choose(ways, &view, smooth, dice)
                }
            };
            let pass = passes(&view, &answer);
            now += TimeDelta::seconds(pass);
            let input = Input::Answer {
                answer: answer.clone(),
                seen: None,
            };
            let event = walk.input(input, now).expect("an answer of the step");
            moves.push(Move {
                at: (
                    view.list.to_string(),
                    view.step.to_string(),
                    view.held.len(),
                ),
                asked: asked(&event.what),
                lines: vec![format!("+{pass}s"), line],
                answer,
            });
        }
        moves
    }

    fn choose(
        &mut self,
        mut ways: Vec<(String, Answer)>,
        view: &View,
        smooth: usize,
        dice: &mut Dice,
    ) -> (String, Answer) {
        let key = |line: &str| format!("{}/{}={line}", view.list, view.step);
        let tried = &self.tried;
        let tries =
            |(line, _): &(String, Answer)| tried.get(&key(line)).copied().unwrap_or_default();
        let measured = matches!(view.show, Show::Measure { .. });
        if dice.throw(10) < smooth && !measured {
            ways.truncate(1);
        }
        let least = ways.iter().map(tries).min().expect("every step has a way");
        ways.retain(|way| tries(way) == least);
        let (line, answer) = ways.swap_remove(dice.throw(ways.len()));
        *self.tried.entry(key(&line)).or_default() += 1;
        (line, answer)
    }

    /// Keeps the shortest moves to a place, and now and then others, for what they bring along.
    fn remember(&mut self, view: &View, start: &Start, moves: &[Move], dice: &mut Dice) {
        let held: Vec<&str> = view.held.iter().map(|held| held.at.as_str()).collect();
        let place = format!("{}/{} on {held:?}", view.list, view.step);
        let known = self.places.get(&place);
        if known.is_none_or(|known| known.moves.len() > moves.len()) || dice.throw(4) == 0 {
            let used = known.map_or(0, |known| known.used);
            let start = Start {
                moves: moves.to_vec(),
                used,
                ..start.clone()
            };
            self.places.insert(place, start);
        }
    }
}

/// Where a way is meant to lead: a step of the list, and in a list that it uses some ending.
struct Aim {
    /// For each list that is followed, the moves still needed from each of its steps.
    far: Vec<(String, Vec<usize>)>,
    /// Whether it is forgotten now and then.
    strays: bool,
}

impl Aim {
    fn at(library: &Library, list: ListId, wanted: &BTreeSet<String>, dice: &mut Dice) -> Self {
        let checklist = library.list(list);
        let step = wanted.iter().nth(dice.throw(wanted.len())).expect("wanted");
        let step = checklist.find(step).expect("the step");
        Self {
            far: vec![(checklist.name.to_string(), moves_to(checklist, step))],
            strays: dice.throw(2) == 0,
        }
    }

    /// Ends of a list that is used: mostly those after which the list below is nearest to its goal.
    fn endings_wanted(&self, library: &Library, list: &Checklist, dice: &mut Dice) -> Vec<StepId> {
        let ends: Vec<(StepId, Outcome)> = list
            .steps()
            .filter_map(|(id, step)| match step.kind {
                StepKind::End { outcome, .. } => Some((id, outcome)),
                _ => None,
            })
            .collect();
        let all = ends.iter().map(|(id, _)| *id).collect();
        let (Some((below, far)), true) = (self.far.last(), dice.throw(4) > 0) else {
            return all;
        };
        let below = library.list(library.find(below).expect("the list"));
        let used: Vec<&Endings> = below
            .steps()
            .flat_map(|(_, step)| uses_of(&step.kind))
            .filter(|(used, _)| library.list(*used).name == list.name)
            .map(|(_, endings)| endings)
            .collect();
        let length = |outcome: Outcome| {
            let jumps = used.iter().filter_map(|endings| {
                let named = endings.by_outcome.iter().find(|(one, _)| *one == outcome);
                named.map(|(_, jump)| jump).or(endings.any.as_ref())
            });
            let targets = jumps.flat_map(steps_of).map(|step| far[step.index()]);
            targets.min().unwrap_or(usize::MAX - 1)
        };
        let least = ends.iter().map(|(_, outcome)| length(*outcome)).min();
        let nearest = ends
            .iter()
            .filter(|(_, outcome)| Some(length(*outcome)) == least);
        nearest.map(|(id, _)| *id).collect()
    }

    /// The answers that lead nearer, now and then all of them.
    fn towards(
        &mut self,
        library: &Library,
        view: &View,
        ways: Vec<(String, Answer)>,
        dice: &mut Dice,
    ) -> Vec<(String, Answer)> {
        let list = library.list(library.find(view.list.as_str()).expect("the list"));
        self.far.truncate(view.held.len() + 1);
        let known = self.far.get(view.held.len());
        if known.is_none_or(|(name, _)| name != list.name.as_str()) {
            self.far.truncate(view.held.len());
            let ends = self.endings_wanted(library, list, dice);
            let end = ends[dice.throw(ends.len())];
            self.far.push((list.name.to_string(), moves_to(list, end)));
        }
        let Some((_, far)) = self.far.get(view.held.len()) else {
            return ways;
        };
        if self.strays && dice.throw(8) == 0 {
            return ways;
        }
        let step = list.step(list.find(view.step.as_str()).expect("the step"));
        let length = |(_, answer): &(String, Answer)| {
            let targets = ways_by(&step.kind, answer).into_iter().flat_map(leads_to);
            let lengths = targets.map(|target| far[target.index()]);
            lengths.min().unwrap_or(usize::MAX - 1)
        };
        let least = ways.iter().map(length).min().unwrap_or_default();
        ways.into_iter()
            .filter(|way| length(way) == least)
            .collect()
    }
}

/// How many moves lead from each step to `goal`, when every condition held as needed.
fn moves_to(list: &Checklist, goal: StepId) -> Vec<usize> {
    let next: Vec<Vec<StepId>> = list
        .steps()
        .map(|(_, step)| match &step.kind {
            StepKind::Use { endings, .. } => {
                jumps_of(endings).into_iter().flat_map(steps_of).collect()
            }
            kind => kind.ways().into_iter().flat_map(leads_to).collect(),
        })
        .collect();
    let mut far = vec![usize::MAX - 1; next.len()];
    far[goal.index()] = 0;
    for _ in 0..next.len() {
        for (index, targets) in next.iter().enumerate() {
            let through = targets.iter().map(|target| far[target.index()]).min();
            far[index] = far[index].min(through.unwrap_or(usize::MAX - 1).saturating_add(1));
        }
    }
    far
}

/// The steps to which a way can lead in its own list.
fn leads_to(way: &Way) -> Vec<StepId> {
    let jumps: Vec<&Jump> = match way {
        Way::Jump(jump) => vec![jump],
        Way::Use { endings, .. } => jumps_of(endings),
    };
    jumps.into_iter().flat_map(steps_of).collect()
}

fn jumps_of(endings: &Endings) -> Vec<&Jump> {
    let named = endings.by_outcome.iter().map(|(_, jump)| jump);
    named.chain(&endings.any).collect()
}

fn steps_of(jump: &Jump) -> Vec<StepId> {
    match jump {
        Jump::To(step) => vec![*step],
        Jump::Counted { go, after_that, .. } => vec![*go, *after_that],
    }
}

/// Every list that a step uses, by itself or by an answer.
fn uses_of(kind: &StepKind) -> Vec<(ListId, &Endings)> {
    if let StepKind::Use { list, endings } = kind {
        return vec![(*list, endings)];
    }
    let ways = kind.ways().into_iter();
    ways.filter_map(|way| match way {
        Way::Use { list, endings } => Some((*list, endings)),
        Way::Jump(_) => None,
    })
    .collect()
}

/// The ways that an answer can take; a number is judged later and can take several.
fn ways_by<'a>(kind: &'a StepKind, answer: &Answer) -> Vec<&'a Way> {
    let all = kind.ways();
    let place = match (kind, answer) {
        (StepKind::Ask { answers, .. }, Answer::Choice(words)) => {
            answers.iter().position(|one| one.words == *words)
        }
        (_, Answer::Done | Answer::AsExpected | Answer::Elapsed) => Some(0),
        (_, Answer::NotDone { .. } | Answer::NotAsExpected { .. } | Answer::Missed { .. }) => {
            Some(1)
        }
        (_, Answer::CouldNotCheck { .. }) => Some(2),
        (_, Answer::NotObtained { .. }) => Some(all.len() - 1),
        (_, Answer::Value(_)) => return all[..all.len() - 1].to_vec(),
        _ => None,
    };
    place
        .and_then(|place| all.get(place).copied())
        .into_iter()
        .collect()
}

/// How many seconds go by until the answer is given.
fn passes(view: &View, answer: &Answer) -> i64 {
    match (&view.show, answer) {
        (Show::Wait { started, due, .. }, Answer::Elapsed) => {
            (*due - *started).num_seconds() + EACH_ANSWER
        }
        _ => EACH_ANSWER,
    }
}

fn asked(what: &Happening) -> String {
    match what {
        Happening::Answered { asked, .. } => asked.clone(),
        other => panic!("not an answer: {other:?}"),
    }
}

/// When every path begins.
pub fn begin() -> Moment {
    Moment::parse_from_rfc3339(BEGIN).expect("a moment")
}

/// Every answer to the step that is shown, as it is typed.
fn answers(library: &Library, view: &View, facts: &DrainFacts) -> Vec<(String, Answer)> {
    let reason = || "not possible here".to_owned();
    let with_reason = |key: &str| format!("{key}: {}", reason());
    match &view.show {
        Show::Urgent { .. } | Show::Do { .. } => vec![
            ("y".to_owned(), Answer::Done),
            (with_reason("n"), Answer::NotDone { reason: reason() }),
        ],
        Show::Check { .. } => vec![
            ("y".to_owned(), Answer::AsExpected),
            (with_reason("n"), Answer::NotAsExpected { found: reason() }),
            (with_reason("u"), Answer::CouldNotCheck { reason: reason() }),
        ],
        Show::Ask { answers, .. } => answers
            .iter()
            .enumerate()
            .map(|(index, one)| {
                let answer = Answer::Choice(one.words.clone());
                ((index + 1).to_string(), answer)
            })
            .collect(),
        Show::Measure {
            unit, plausible, ..
        } => {
            let mut ways: Vec<(String, Answer)> = numbers(library, view, facts, *plausible)
                .into_iter()
                .map(|number| Amount::new(number, *unit))
                .map(|amount| (amount.to_string(), Answer::Value(amount)))
                .collect();
            ways.push((with_reason("u"), Answer::NotObtained { reason: reason() }));
            ways
        }
        Show::Wait { .. } => vec![
            ("y".to_owned(), Answer::Elapsed),
            (with_reason("n"), Answer::Missed { reason: reason() }),
        ],
        Show::End { .. } => vec![("y".to_owned(), Answer::Read)],
        other => panic!("nothing to answer: {other:?}"),
    }
}

/// Numbers on and between the cuts at which the way changes: those of the step's bands, and those
/// at which a `decide` of the list judges the number later.
fn numbers(
    library: &Library,
    view: &View,
    facts: &DrainFacts,
    plausible: (Number, Number),
) -> Vec<Number> {
    let list = library.list(library.find(view.list.as_str()).expect("the list"));
    let step = list.step(list.find(view.step.as_str()).expect("the step"));
    let StepKind::Measure { bands, .. } = &step.kind else {
        panic!("{} measures nothing", view.step);
    };
    let mut ranges: Vec<&Range> = bands.iter().map(|band| &band.range).collect();
    if let Some(remember) = &step.remember {
        let rows = list.steps().flat_map(|(_, step)| rows_of(&step.kind));
        let conditions = rows.flat_map(|row| &row.when);
        ranges.extend(conditions.filter_map(|condition| match &condition.test {
            Test::Within(range) if condition.name == remember.name => Some(range),
            _ => None,
        }));
    }
    let weight = match facts.get("weight") {
        Some(Value::Amount(weight)) => weight.number.milli(),
        _ => 0,
    };
    let mut cuts = BTreeSet::from([plausible.0, plausible.1]);
    for (cut, _) in ranges
        .iter()
        .flat_map(|range| [&range.from, &range.to])
        .flatten()
    {
        match cut {
            Cut::Fixed(number) | Cut::Fact(_, number) => {
                cuts.insert(*number);
            }
            Cut::PerKg(_, number) => {
                cuts.insert(Number::from_milli(number.milli() * weight / 1000));
            }
            Cut::Unset(_) => {}
        }
    }
    let cuts: Vec<Number> = cuts.into_iter().collect();
    let between = cuts
        .windows(2)
        .map(|pair| Number::from_milli((pair[0].milli() + pair[1].milli()) / 2));
    let mut all: BTreeSet<Number> = between.collect();
    all.extend(cuts);
    all.into_iter()
        .filter(|number| (plausible.0..=plausible.1).contains(number))
        .collect()
}

/// The rows of a `decide`.
fn rows_of(kind: &StepKind) -> &[Row] {
    match kind {
        StepKind::Decide { rows, .. } => rows,
        _ => &[],
    }
}

/// Makes one row of a `decide` in the list hold, as far as drain facts and the choice of the ward
/// can. Gives the ward.
fn lean(
    wards: &[Ward],
    list: ListId,
    ward: usize,
    facts: &mut DrainFacts,
    dice: &mut Dice,
) -> usize {
    // The list's own rows, or those of any list: it may use that one.
    let own = dice.throw(2) == 0;
    let lists = wards[0].library.lists();
    let rows: Vec<&Row> = lists
        .filter(|(id, _)| !own || *id == list)
        .flat_map(|(_, checklist)| checklist.steps())
        .flat_map(|(_, step)| rows_of(&step.kind))
        .collect();
    if rows.is_empty() {
        return ward;
    }
    let mut fits: Vec<usize> = (0..wards.len()).collect();
    for condition in &rows[dice.throw(rows.len())].when {
        let Test::OneOf(words) = &condition.test else {
            continue;
        };
        if drain_fact(condition.name.as_str()).is_some() {
            let word = words[dice.throw(words.len())].clone();
            facts.insert(condition.name.clone(), Value::Word(word));
        } else if wards[0]
            .library
            .facts()
            .get(condition.name.as_str())
            .is_some()
        {
            fits.retain(|ward| {
                let fact = wards[*ward].library.facts().get(condition.name.as_str());
                let value = fact.and_then(|fact| fact.value.as_ref());
                value.is_some_and(|value| words.contains(&value.to_string()))
            });
        }
    }
    match fits.len() {
        0 => ward,
        many => fits[dice.throw(many)],
    }
}

/// Some facts of a drain; in half of them each may be unknown.
fn thrown_facts(dice: &mut Dice) -> DrainFacts {
    let mut facts = DrainFacts::new();
    let unknown = dice.throw(2);
    for fact in DRAIN_FACTS {
        let value = match fact.kind {
            FactKind::Choice(words) => match dice.throw(words.len() * 2 + unknown) + 1 - unknown {
                0 => continue,
                side => Value::Word(words[(side - 1) % words.len()].to_owned()),
            },
            FactKind::Amount(unit, low, high) => match dice.throw(2 + unknown) + 1 - unknown {
                0 => continue,
                side => {
                    let step = (high.milli() - low.milli()) / 12_000;
                    let side = i64::try_from(side).expect("small");
                    let tenth = side * i64::try_from(dice.throw(6)).expect("small");
                    Value::Amount(Amount::new(
                        Number::from_milli(low.milli() + step * 1000 * tenth),
                        unit,
                    ))
                }
            },
            FactKind::Words => Value::Words("bay 4".to_owned()),
        };
        facts.insert(FactName::new(fact.name).expect("a name"), value);
    }
    facts
}
