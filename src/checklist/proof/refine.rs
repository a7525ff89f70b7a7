//! Proving with as few facts as possible: at first nothing is remembered; when a run seems to
//! break a safeguard but cannot really happen, the facts it rests on are kept track of too.

use std::collections::{HashMap, HashSet};
use std::rc::Rc;

use super::graph::{Budget, Graph, Label, TooLarge, explore};
use super::model::{Model, VarId};
use super::moves::{Answer, Mover, Scope};
use super::plan;
use super::point::Marks;
use super::run::Run;
use super::state::{Parts, State, Tracked, blur};
use super::table::{MoveBook, Search, Trail};
use super::watch::{Watch, search};

/// Moves of so many states are kept for the next question, and this often.
const LARGEST_BOOK: usize = 20_000;
const MOST_BOOKS: usize = 8;

/// At most so many exact states beyond its own are tried along one path before more facts are kept
/// track of.
const MOST_TRIES: usize = 2_000;

/// What came of a question.
#[derive(Debug)]
pub(super) enum Answered {
    /// No run breaks it; so many states were looked at.
    Holds { states: usize },
    /// This run does, and no shorter one.
    Fails { run: Box<Run>, states: usize },
    /// The budget was used up, or a run could not be followed to its end.
    Open { states: usize },
}

/// How a rule is watched.
#[derive(Clone, Copy)]
pub(super) enum Watching<'w> {
    /// List by list.
    ByList(&'w dyn Watch),
    /// On the graph of everything at once: for a watcher that has to see the graph, or what the
    /// lists that wait remember.
    OnGraph(&'w dyn Fn(&Graph) -> Box<dyn Watch>, Scope),
}

/// The graphs of one checklist, kept for the next question.
pub(super) struct Session<'a> {
    pub model: Model<'a>,
    pub parts: Parts,
    /// What can happen in a run; everything, except where a figure or a test leaves something out.
    pub scope: Scope,
    /// Whether a question could not be answered because it rests on the weight.
    pub needs_weight: bool,
    graphs: HashMap<(Tracked, Vec<VarId>, Scope), Rc<Graph>>,
    books: HashMap<(Tracked, Vec<VarId>), MoveBook>,
}

impl<'a> Session<'a> {
    /// A session without any graph yet.
    pub fn new(model: Model<'a>) -> Self {
        Self {
            model,
            parts: Parts::default(),
            scope: Scope::ALL,
            needs_weight: false,
            graphs: HashMap::new(),
            books: HashMap::new(),
        }
    }

    /// Forgets what was worked out for other questions: it is large.
    pub fn forget(&mut self) {
        self.graphs.clear();
        self.books.clear();
        self.parts = Parts::default();
    }

    /// The graph with these facts kept track of.
    fn graph(
        &mut self,
        tracked: &Tracked,
        watched: &[VarId],
        scope: Scope,
        budget: &mut Budget<'_>,
    ) -> Result<Rc<Graph>, TooLarge> {
        let key = (tracked.clone(), watched.to_vec(), scope);
        if let Some(graph) = self.graphs.get(&key) {
            return Ok(graph.clone());
        }
        let graph = explore(
            &self.model,
            tracked,
            scope,
            watched,
            &mut self.parts,
            budget,
        )?;
        let graph = Rc::new(graph);
        self.graphs.insert(key, graph.clone());
        Ok(graph)
    }

    /// The shortest way that seems to break what is watched for, with these facts kept track of,
    /// and how many states were looked at.
    fn seems(
        &mut self,
        marks: &Marks,
        watch: Watching<'_>,
        tracked: &Tracked,
        watched: &[VarId],
        budget: &mut Budget<'_>,
    ) -> Result<(Option<Trail>, usize), TooLarge> {
        match watch {
            Watching::OnGraph(make, scope) => {
                let scope = scope.and(self.scope);
                let graph = self.graph(tracked, watched, scope, budget)?;
                let watch = make(&graph);
                let (path, states) = search(&graph, &self.parts, marks, &*watch, budget)?;
                Ok((path.map(|path| path.trail(&graph)), states))
            }
            Watching::ByList(watch) => {
                let key = (tracked.clone(), watched.to_vec());
                let mut book = self.books.remove(&key).unwrap_or_default();
                let mut mover = self.mover(tracked, watched, None);
                let found = Search::new(&mut mover, &mut book, marks, watch, budget).run();
                if book.len() < LARGEST_BOOK && self.books.len() < MOST_BOOKS {
                    self.books.insert(key, book);
                }
                found
            }
        }
    }

    /// Whether any run breaks what is watched for. `asked` are facts that the watcher itself asks
    /// for, `watched` those of them that must not be too old.
    pub fn ask(
        &mut self,
        marks: &Marks,
        watch: Watching<'_>,
        asked: &[VarId],
        watched: &[VarId],
        budget: &mut Budget<'_>,
    ) -> Answered {
        let mut tracked = Tracked::nothing(self.model.vars);
        tracked.by_list = matches!(watch, Watching::ByList(_));
        for var in asked {
            tracked.keep_exactly(*var);
            tracked.always[usize::from(*var)] = true;
        }
        let mut states = 0;
        loop {
            let Ok((trail, looked_at)) = self.seems(marks, watch, &tracked, watched, budget) else {
                return Answered::Open {
                    states: budget.states,
                };
            };
            states = states.max(looked_at);
            let Some(trail) = trail else {
                return Answered::Holds { states };
            };
            match self.follow(&tracked, watched, &trail) {
                Ok((_, true)) => {
                    self.needs_weight = true;
                    return Answered::Open { states };
                }
                Ok((exact, false)) => {
                    let answers = trail.steps.iter().map(|(_, label, _)| label.answer);
                    let answers = answers.collect::<Vec<_>>();
                    let run = plan::run(&self.model, &self.parts, &exact, &answers);
                    return Answered::Fails {
                        run: Box::new(run),
                        states,
                    };
                }
                Err(vars) => {
                    let before = tracked.clone();
                    vars.into_iter().for_each(|var| tracked.closer(var));
                    if tracked == before {
                        return Answered::Open { states };
                    }
                }
            }
        }
    }

    /// Follows a way with everything kept track of: its exact states and whether it rests on the
    /// weight, or the facts on which it fails. Tries one value after the other and goes back where
    /// none leads on; after [`MOST_TRIES`] it takes the furthest place reached as the one on which
    /// the way fails.
    fn follow(
        &mut self,
        tracked: &Tracked,
        watched: &[VarId],
        trail: &Trail,
    ) -> Result<(Vec<State>, bool), Vec<VarId>> {
        let everything = tracked.everything();
        let begin = trail.begin;
        let mut first = Vec::new();
        for (state, asked) in self.mover(&everything, watched, None).begin() {
            if self.looks_like(tracked, &state, &begin) {
                first.push((state, !asked.is_empty()));
            }
        }
        if first.is_empty() {
            let begins = self.mover(tracked, watched, None).begin();
            let wanted = begins.into_iter().filter(|(state, _)| *state == begin);
            return Err(wanted.flat_map(|(_, asked)| asked).collect());
        }
        first.reverse();
        // For each depth, the states still to be tried; the last of each was the one gone on from.
        let mut open = vec![first];
        let mut seen: HashSet<(usize, State)> = HashSet::new();
        let (mut deepest, mut tries) = (0, 0);
        while let Some(level) = open.last() {
            let exact = level.last().map(|(state, _)| *state);
            let depth = open.len() - 1;
            let Some(exact) = exact else {
                open.pop();
                if let Some(above) = open.last_mut() {
                    above.pop();
                }
                continue;
            };
            let Some((_, label, to)) = trail.steps.get(depth) else {
                let taken = open.iter().filter_map(|level| level.last().copied());
                let (states, weighed): (Vec<_>, Vec<_>) = taken.unzip();
                return Ok((states, weighed.contains(&true)));
            };
            deepest = deepest.max(depth);
            tries += 1;
            if tries > MOST_TRIES + trail.steps.len() {
                break;
            }
            let mut next = self.fitting(tracked, &everything, watched, &exact, (label, to));
            next.retain(|(state, _)| seen.insert((depth + 1, *state)));
            next.reverse();
            open.push(next);
        }
        let (state, label, to) = trail.steps[deepest];
        let moves = self
            .mover(tracked, watched, Some(label.answer))
            .moves(&state);
        let same = moves.into_iter().filter(|one| one.to == to);
        Err(same.flat_map(|one| one.asked).collect())
    }

    /// Whether an exact state looks like that when only some facts are kept track of.
    fn looks_like(&mut self, tracked: &Tracked, exact: &State, like: &State) -> bool {
        let blurred = blur(&self.model, tracked, &mut self.parts, exact);
        self.parts.covers(like, &blurred)
    }

    /// The exact states to which a way leads from an exact state.
    fn fitting(
        &mut self,
        tracked: &Tracked,
        everything: &Tracked,
        watched: &[VarId],
        exact: &State,
        (label, to): (&Label, &State),
    ) -> Vec<(State, bool)> {
        let mut next: Vec<(State, bool)> = Vec::new();
        for one in self
            .mover(everything, watched, Some(label.answer))
            .moves(exact)
        {
            let fits = watched.is_empty() || one.fresh == label.fresh;
            let weighed = !one.asked.is_empty();
            if fits && !next.contains(&(one.to, weighed)) && self.looks_like(tracked, &one.to, to) {
                next.push((one.to, weighed));
            }
        }
        // What does not rest on the weight is tried first.
        next.sort_by_key(|(_, weighed)| *weighed);
        next
    }

    fn mover<'s>(
        &'s mut self,
        tracked: &'s Tracked,
        watched: &'s [VarId],
        only: Option<Answer>,
    ) -> Mover<'s, 'a> {
        Mover {
            model: &self.model,
            tracked,
            scope: self.scope,
            watched,
            only,
            parts: &mut self.parts,
        }
    }
}
