//! Searching list by list: what can happen in a used list is worked out once for each way of
//! beginning it, not again for everything that may wait for it. So a list of many lists is no
//! larger than its parts together.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::rc::Rc;

use super::graph::{Budget, Label, TooLarge};
use super::hash::{Numbered, QuickMap};
use super::model::{NONE, Step};
use super::moves::{Asked, Move, Mover};
use super::point::Marks;
use super::state::State;
use super::watch::{Mind, Watch, advance};

/// The moves of states, kept for the next question.
pub(super) type MoveBook = QuickMap<State, Rc<[Move]>>;

/// A way to where a safeguard is broken: from a state, by each move, to the next.
#[derive(Debug, Clone)]
pub(super) struct Trail {
    pub begin: State,
    pub steps: Vec<(State, Label, State)>,
}

/// Where a part of a run stands: the state, with only such lists waiting as began in this part,
/// and what the watcher remembers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Place {
    state: State,
    mind: Mind,
}

/// How a place was reached.
#[derive(Debug, Clone, Copy)]
enum From {
    /// The part begins here.
    Start,
    /// By a move from another place of the part.
    Move(u32, Label),
    /// Through a used list, begun at a place, to an exit of its part, and by a move out of it.
    Return(u32, usize, Label),
}

/// Where a part can be left: at its end, or by an interruption before its first answer.
#[derive(Debug, Clone, Copy)]
struct Exit {
    place: Place,
    far: u32,
    how: Left,
}

/// What is left.
#[derive(Debug, Clone, Copy)]
enum Left {
    /// The list of the part, from a place.
    Own(u32),
    /// A list used by it, begun at a place, from an exit of its part.
    Used(u32, usize),
}

/// Everything that can happen from one beginning until the list is left.
#[derive(Debug, Default)]
struct Part {
    places: Numbered<Place>,
    /// By place: how far it is, and how it was reached.
    far: Vec<(u32, From)>,
    exits: Vec<Exit>,
    /// How many times a place was reached nearer than before.
    order: usize,
    /// Where the safeguard is broken first: how far, from which place, and how.
    broken: Option<(u32, Broken)>,
}

#[derive(Debug, Clone, Copy)]
enum Broken {
    /// At once.
    Start,
    /// By the move out of a place, to that state.
    Move(u32, Label, State),
    /// Within the used list begun at a place.
    Within(u32),
    /// By the move out of a used list, begun at a place, from an exit, to that state.
    Return(u32, usize, Label, State),
}

/// The search.
pub(super) struct Search<'s, 'm, 'a, 'p> {
    pub mover: &'s mut Mover<'m, 'a>,
    pub book: &'s mut MoveBook,
    pub marks: &'s Marks,
    pub watch: &'s dyn Watch,
    pub budget: &'s mut Budget<'p>,
    parts: QuickMap<Place, Rc<Part>>,
    known: usize,
}

impl<'s, 'm, 'a, 'p> Search<'s, 'm, 'a, 'p> {
    pub fn new(
        mover: &'s mut Mover<'m, 'a>,
        book: &'s mut MoveBook,
        marks: &'s Marks,
        watch: &'s dyn Watch,
        budget: &'s mut Budget<'p>,
    ) -> Self {
        Self {
            mover,
            book,
            marks,
            watch,
            budget,
            parts: QuickMap::default(),
            known: 0,
        }
    }

    /// The shortest way on which the watcher finds the safeguard broken, and how many places were
    /// looked at.
    pub fn run(mut self) -> Result<(Option<Trail>, usize), TooLarge> {
        let mut best: Option<(u32, Rc<Part>)> = None;
        for (state, _) in self.mover.begin() {
            let mind = Mind::default();
            let part = self.part_of_beginning(Place { state, mind })?;
            let far = part.broken.map(|(far, _)| far);
            let nearer = |far: &u32| best.as_ref().is_none_or(|(best, _)| far < best);
            if let Some(far) = far.filter(nearer) {
                best = Some((far, part));
            }
        }
        let Some((_, part)) = best else {
            return Ok((None, self.known));
        };
        let begin = part.places.get(0).state;
        let mut steps = Vec::new();
        self.tell_broken(&part, NONE, &mut steps);
        Ok((Some(Trail { begin, steps }), self.known))
    }

    /// The part that begins with the whole run.
    fn part_of_beginning(&mut self, mut start: Place) -> Result<Rc<Part>, TooLarge> {
        let state = start.state;
        let shown = self.marks.shown(state.list, state.shown());
        let mind = Mind::begin(self.watch, shown);
        let allowed = |mind: &Mind| {
            self.watch
                .allows(mind.now, NONE, &state, self.mover.parts, 0)
        };
        match mind.filter(allowed) {
            Some(mind) => start.mind = mind,
            None => {
                let mut part = Part::default();
                part.places.add(start);
                part.broken = Some((0, Broken::Start));
                return Ok(Rc::new(part));
            }
        }
        self.part(start, true)
    }

    /// Works out a part, the nearest places first.
    fn part(&mut self, start: Place, is_whole: bool) -> Result<Rc<Part>, TooLarge> {
        if !is_whole && let Some(part) = self.parts.get(&start) {
            return Ok(part.clone());
        }
        let mut part = Part::default();
        let mut open = BinaryHeap::new();
        reach(&mut part, &mut open, start, 0, From::Start);
        let mut settled: Vec<bool> = Vec::new();
        while let Some(Reverse((far, _, at))) = open.pop() {
            settled.resize(part.places.len(), false);
            if std::mem::replace(&mut settled[at as usize], true) {
                continue;
            }
            // What is farther than where it is broken can make no way shorter.
            if part.broken.is_some_and(|(broken, _)| far >= broken) {
                break;
            }
            self.known += 1;
            self.budget.allows(self.known, self.known)?;
            let place = *part.places.get(at);
            if place.state.held == NONE {
                self.own_moves(&mut part, &mut open, at, far, is_whole);
            } else {
                self.through(&mut part, &mut open, at, far, is_whole)?;
            }
        }
        let part = Rc::new(part);
        if !is_whole {
            self.parts.insert(start, part.clone());
        }
        Ok(part)
    }

    fn moves(&mut self, state: &State) -> Rc<[Move]> {
        if let Some(moves) = self.book.get(state) {
            return moves.clone();
        }
        let moves: Rc<[Move]> = self.mover.moves(state).into();
        self.book.insert(*state, moves.clone());
        moves
    }

    /// Goes on from a place of the list itself.
    fn own_moves(&mut self, part: &mut Part, open: &mut Open, at: u32, far: u32, is_whole: bool) {
        let place = *part.places.get(at);
        if place.state.is_over() {
            return;
        }
        let is_end = self.is_end(&place.state);
        if !is_whole && (is_end || self.mover.may_leave(&place.state)) {
            let how = Left::Own(at);
            part.exits.push(Exit { place, far, how });
        }
        for one in self.moves(&place.state).iter() {
            if is_end && !is_whole && one.answer.how == Asked::Shown {
                continue;
            }
            let label = Label::of(one);
            match self.advance(place.mind, &label, &one.to) {
                Some(mind) => {
                    let next = Place {
                        state: one.to,
                        mind,
                    };
                    reach(part, open, next, far + 1, From::Move(at, label));
                }
                None => break_at(part, far + 1, Broken::Move(at, label, one.to)),
            }
        }
    }

    /// Goes through a used list, to all that can follow it.
    fn through(
        &mut self,
        part: &mut Part,
        open: &mut Open,
        at: u32,
        far: u32,
        is_whole: bool,
    ) -> Result<(), TooLarge> {
        let place = *part.places.get(at);
        let waiting = place.state.held;
        let mut start = place;
        start.state.held = NONE;
        let used = self.part(start, false)?;
        if let Some((inner, _)) = used.broken {
            break_at(part, far + inner, Broken::Within(at));
        }
        for (exit, one) in used.exits.iter().enumerate() {
            let left = one.place;
            let far = far + one.far;
            let full = self.compose(left.state, waiting);
            // Left so early that an interruption may lead farther back than this part.
            if !is_whole && self.mover.may_leave(&full) {
                let place = Place {
                    state: full,
                    ..left
                };
                let how = Left::Used(at, exit);
                if !part.exits.iter().any(|exit| exit.place == place) {
                    part.exits.push(Exit { place, far, how });
                }
            }
            let ends = left.state.held == NONE && self.is_end(&left.state);
            let depth = self.depth(waiting);
            for one in self.moves(&full).iter() {
                let leaves = match one.answer.how {
                    Asked::Shown => ends,
                    Asked::NoLonger { .. } => self.depth(one.to.held) < depth,
                    Asked::Again | Asked::StillSo => false,
                };
                if !leaves {
                    continue;
                }
                let label = Label::of(one);
                match self.advance(left.mind, &label, &one.to) {
                    Some(mind) => {
                        let next = Place {
                            state: one.to,
                            mind,
                        };
                        reach(part, open, next, far + 1, From::Return(at, exit, label));
                    }
                    None => break_at(part, far + 1, Broken::Return(at, exit, label, one.to)),
                }
            }
        }
        Ok(())
    }

    fn advance(&self, mind: Mind, label: &Label, to: &State) -> Option<Mind> {
        advance(
            self.marks,
            self.watch,
            self.mover.parts,
            mind,
            label,
            (NONE, to),
        )
    }

    fn is_end(&self, state: &State) -> bool {
        let list = self.mover.model.list(usize::from(state.list));
        matches!(list.steps[state.shown() as usize], Step::End(_))
    }

    fn depth(&self, mut held: u32) -> usize {
        let mut depth = 0;
        while held != NONE {
            held = self.mover.parts.held.get(held).held;
            depth += 1;
        }
        depth
    }

    /// The state with more lists waiting below those that wait already.
    fn compose(&mut self, mut state: State, below: u32) -> State {
        if !state.is_over() {
            state.held = self.mover.parts.stack(state.held, below);
        }
        state
    }

    /// Tells how a place of a part is reached, with what waits below the part.
    fn tell(&mut self, part: &Part, at: u32, below: u32, steps: &mut Vec<(State, Label, State)>) {
        let to = part.places.get(at).state;
        match part.far[at as usize].1 {
            From::Start => {}
            From::Move(from, label) => {
                self.tell(part, from, below, steps);
                self.step(part.places.get(from).state, label, to, below, steps);
            }
            From::Return(call, exit, label) => {
                self.tell_exit(part, call, exit, below, steps);
                let left = self.left(part, call, exit);
                self.step(left, label, to, below, steps);
            }
        }
    }

    fn step(
        &mut self,
        from: State,
        label: Label,
        to: State,
        below: u32,
        steps: &mut Vec<(State, Label, State)>,
    ) {
        let from = self.compose(from, below);
        let to = self.compose(to, below);
        steps.push((from, label, to));
    }

    /// The part of the used list that is begun at a place.
    fn used(&self, part: &Part, call: u32) -> Option<Rc<Part>> {
        let mut start = *part.places.get(call);
        start.state.held = NONE;
        self.parts.get(&start).cloned()
    }

    /// The state at an exit of a used list, as the part sees it.
    fn left(&mut self, part: &Part, call: u32, exit: usize) -> State {
        let waiting = part.places.get(call).state.held;
        match self.used(part, call) {
            Some(used) => self.compose(used.exits[exit].place.state, waiting),
            None => State::OVER,
        }
    }

    fn tell_exit(
        &mut self,
        part: &Part,
        call: u32,
        exit: usize,
        below: u32,
        steps: &mut Vec<(State, Label, State)>,
    ) {
        self.tell(part, call, below, steps);
        if let Some(used) = self.used(part, call) {
            let waiting = self
                .mover
                .parts
                .stack(part.places.get(call).state.held, below);
            match used.exits[exit].how {
                Left::Own(at) => self.tell(&used, at, waiting, steps),
                Left::Used(call, exit) => self.tell_exit(&used, call, exit, waiting, steps),
            }
        }
    }

    fn tell_broken(&mut self, part: &Part, below: u32, steps: &mut Vec<(State, Label, State)>) {
        match part.broken {
            None | Some((_, Broken::Start)) => {}
            Some((_, Broken::Move(from, label, to))) => {
                self.tell(part, from, below, steps);
                self.step(part.places.get(from).state, label, to, below, steps);
            }
            Some((_, Broken::Within(call))) => {
                self.tell(part, call, below, steps);
                if let Some(used) = self.used(part, call) {
                    let waiting = self
                        .mover
                        .parts
                        .stack(part.places.get(call).state.held, below);
                    self.tell_broken(&used, waiting, steps);
                }
            }
            Some((_, Broken::Return(call, exit, label, to))) => {
                self.tell_exit(part, call, exit, below, steps);
                let left = self.left(part, call, exit);
                self.step(left, label, to, below, steps);
            }
        }
    }
}

/// Places still to be looked at: how far, in which order found, which.
type Open = BinaryHeap<Reverse<(u32, usize, u32)>>;

/// Notes that a place can be reached, if it was not reached as near before.
fn reach(part: &mut Part, open: &mut Open, place: Place, far: u32, from: From) {
    let (at, new) = part.places.add(place);
    if new {
        part.far.push((far, from));
    } else if far < part.far[at as usize].0 {
        part.far[at as usize] = (far, from);
    } else {
        return;
    }
    part.order += 1;
    open.push(Reverse((far, part.order, at)));
}

fn break_at(part: &mut Part, far: u32, how: Broken) {
    if part.broken.is_none_or(|(broken, _)| far < broken) {
        part.broken = Some((far, how));
    }
}
