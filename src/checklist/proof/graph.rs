//! The finite graph of a checklist: every state that a run can reach, with every way on.

use super::hash::Numbered;
use super::model::{Model, VarId};
use super::moves::{Answer, Move, Mover, Scope};
use super::state::{Parts, State, Tracked};

/// What a way on looks like, apart from where it leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Label {
    pub answer: Answer,
    /// Remembered answers of a safeguard that are certainly not too old.
    pub fresh: u64,
    /// Whether the way may not be open, because it rests on a fact that is not kept track of.
    pub gated: bool,
    /// Whether what is shown next is no new screen.
    pub quiet: bool,
}

impl Label {
    /// The label of a move.
    pub fn of(one: &Move) -> Self {
        Self {
            answer: one.answer,
            fresh: one.fresh,
            gated: !one.asked.is_empty(),
            quiet: one.quiet,
        }
    }
}

/// The graph.
#[derive(Debug)]
pub(super) struct Graph {
    /// Every state, in the order in which it was reached.
    pub states: Vec<State>,
    /// How many of them a run can begin in; they come first.
    pub begins: usize,
    /// Where the ways of each state begin among all; one more at the end.
    pub from: Vec<u32>,
    /// Every way: the state it leads to and its label.
    pub ways: Vec<(u32, u32)>,
    /// The labels by number.
    pub labels: Vec<Label>,
}

impl Graph {
    /// The ways on from a state.
    pub fn ways(&self, state: u32) -> &[(u32, u32)] {
        let state = state as usize;
        &self.ways[self.from[state] as usize..self.from[state + 1] as usize]
    }

    /// The number of the first way of a state among all.
    pub fn first_way(&self, state: u32) -> u32 {
        self.from[state as usize]
    }

    /// The label of a way.
    pub fn label(&self, way: (u32, u32)) -> &Label {
        &self.labels[way.1 as usize]
    }
}

/// The graph was given up: it has more states than the budget allows.
#[derive(Debug, Clone, Copy)]
pub(super) struct TooLarge;

/// What a proof may cost, and who wants to know how far it is.
pub struct Budget<'p> {
    /// At most so many states are looked at for one question.
    pub states: usize,
    /// Told from time to time how many states were looked at.
    pub progress: &'p mut dyn FnMut(usize),
}

impl Budget<'_> {
    /// How often progress is told.
    const EVERY: usize = 1 << 14;

    /// Takes note of how many were looked at, of how many that are known.
    pub(super) fn allows(&mut self, looked_at: usize, known: usize) -> Result<(), TooLarge> {
        if looked_at.is_multiple_of(Self::EVERY) && looked_at > 0 {
            (self.progress)(looked_at);
        }
        if known > self.states {
            Err(TooLarge)
        } else {
            Ok(())
        }
    }
}

/// Reaches every state.
pub(super) fn explore(
    model: &Model<'_>,
    tracked: &Tracked,
    scope: Scope,
    watched: &[VarId],
    parts: &mut Parts,
    budget: &mut Budget<'_>,
) -> Result<Graph, TooLarge> {
    let mut mover = Mover {
        model,
        tracked,
        scope,
        watched,
        only: None,
        parts,
    };
    let mut states = Numbered::default();
    let mut labels = Numbered::default();
    for (state, _) in mover.begin() {
        states.add(state);
    }
    let begins = states.len();
    let mut ways = Vec::new();
    let mut from = vec![0];
    let mut next = 0;
    while (next as usize) < states.len() {
        let state = *states.get(next);
        let first = ways.len();
        for one in mover.moves(&state) {
            let label = Label::of(&one);
            let way = (states.add(one.to).0, labels.add(label).0);
            if !ways[first..].contains(&way) {
                ways.push(way);
            }
        }
        from.push(u32::try_from(ways.len()).map_err(|_| TooLarge)?);
        budget.allows(next as usize, states.len())?;
        next += 1;
    }
    Ok(Graph {
        states: states.into_values(),
        begins,
        from,
        ways,
        labels: labels.into_values(),
    })
}
