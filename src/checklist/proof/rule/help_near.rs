//! `help_near`: from every step, until help came up, it can be reached within so many answers,
//! whatever was answered before. Interruptions and
//! answers that become too old are left out: they come back to where it was.

use crate::checklist::proof::graph::Graph;
use crate::checklist::proof::hash::QuickMap;
use crate::checklist::proof::moves::{Answer, Asked, Scope};
use crate::checklist::proof::point::{Marks, Point};
use crate::checklist::proof::state::{Parts, State};
use crate::checklist::proof::watch::{Seen, Watch};

use super::{Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HelpNear {
    /// The help.
    pub must: Point,
    /// Within so many answers.
    pub within: u16,
}

/// Forbids the states from which help is too far, until help came up.
struct Far(Vec<bool>);

impl Watch for Far {
    fn next(&self, now: u16, seen: Seen) -> Option<u16> {
        Some(match seen {
            Seen::Shown { bits, .. } if bits & 1 != 0 => 1,
            _ => now,
        })
    }

    fn allows(&self, now: u16, number: u32, _to: &State, _parts: &Parts, _fresh: u64) -> bool {
        now == 1 || !self.0[number as usize]
    }

    /// What came up came up.
    fn takes_back(&self) -> bool {
        false
    }
}

/// The states from which help is too far. The nurse chooses the answer; what that leads to where a
/// fact is not kept track of is taken at its worst.
fn far(graph: &Graph, marks: &Marks, within: u16) -> Vec<bool> {
    let mut near: Vec<bool> = graph
        .states
        .iter()
        .map(|state| state.is_over() || marks.shown(state.list, state.shown()) & 1 != 0)
        .collect();
    for _ in 0..within {
        let nearer = (0..near.len()).map(|at| near[at] || gets_near(graph, &near, at));
        near = nearer.collect();
    }
    near.into_iter().map(|near| !near).collect()
}

/// Whether some answer leads nearer, whatever the facts are.
fn gets_near(graph: &Graph, near: &[bool], at: usize) -> bool {
    let ways = graph.ways(crate::checklist::proof::model::step_number(at));
    let is_near = |to: u32| near[to as usize] && !graph.states[to as usize].is_over();
    let mut answers: QuickMap<Answer, bool> = QuickMap::default();
    for way in ways {
        let answer = graph.label(*way).answer;
        if matches!(answer.how, Asked::Shown | Asked::Again) {
            *answers.entry(answer).or_insert(true) &= is_near(way.0);
        }
    }
    answers.into_values().any(|near| near)
}

impl HelpNear {
    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let marks = Marks::new(&context.session.model, &[&self.must], context.without);
        let within = self.within;
        let question = Question {
            points: vec![&self.must],
            watch: Watching::OnGraph(
                &|graph| Box::new(Far(far(graph, &marks, within))),
                Scope::PLAIN,
            ),
            asked: Vec::new(),
            fresh: Vec::new(),
        };
        let must = context.told(&self.must);
        let why = format!("from here {must} is more than {within} answers away");
        context.judge(&question, &[&self.must], &why)
    }
}
