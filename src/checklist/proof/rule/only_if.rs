//! `only_if`: something is shown only when facts are known and are so.

use crate::checklist::model::{Condition, Value};
use crate::checklist::proof::compile::holds;
use crate::checklist::proof::model::{Model, NONE, OLD, VarId, Weight, short};
use crate::checklist::proof::moves::Scope;
use crate::checklist::proof::number::is_weighed;
use crate::checklist::proof::point::Point;
use crate::checklist::proof::state::{Parts, State};
use crate::checklist::proof::watch::{Seen, Watch};

use super::{Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnlyIf {
    /// This is shown.
    pub show: Point,
    /// Only when all of these hold. A fact that is not known, an answer that was never given and
    /// one that may have become too old do not hold.
    pub when: Vec<Condition>,
}

/// What a condition needs at each place.
struct Asked {
    condition: Condition,
    /// The drain fact, if it is one.
    drain: Option<usize>,
    /// By list: the place among its remembered answers, if it is one there.
    memory: Vec<Option<usize>>,
    /// The value that a limit or a local fact has in every run.
    fixed: Option<Value>,
}

/// Watches for bit 0 and for the facts at that moment.
struct Guarding {
    asked: Vec<Asked>,
    /// By list: which steps are guarded.
    guarded: Vec<Vec<bool>>,
    watched: Vec<VarId>,
    /// What of the model is needed to read a state.
    weighs: Weight,
    drains: Vec<Vec<Value>>,
    /// By list and remembered answer.
    memories: Vec<Vec<Kept>>,
}

/// A remembered answer: its number, and its values with whether they fade.
type Kept = (VarId, Vec<(Value, bool)>);

impl Watch for Guarding {
    fn next(&self, now: u16, _seen: Seen) -> Option<u16> {
        Some(now)
    }

    fn allows(&self, _now: u16, _number: u32, to: &State, parts: &Parts, fresh: u64) -> bool {
        to.is_over()
            || !self.guarded[usize::from(to.list)][to.shown() as usize]
            || self
                .asked
                .iter()
                .all(|asked| self.is_so(asked, to, parts, fresh))
    }
}

impl Guarding {
    fn new(model: &Model<'_>, rule: &OnlyIf, guarded: Vec<Vec<bool>>, watched: Vec<VarId>) -> Self {
        let asked = rule
            .when
            .iter()
            .map(|condition| Asked::new(model, condition))
            .collect();
        let memories = model.lists.iter().map(|list| {
            let memory = list
                .iter()
                .flat_map(|list| list.memory.iter().enumerate().map(move |one| (list, one)));
            memory
                .map(|(list, (at, memory))| {
                    let values = memory
                        .values
                        .iter()
                        .map(|one| (one.value.clone(), one.fades));
                    (list.memory_var(at), values.collect())
                })
                .collect()
        });
        Self {
            asked,
            guarded,
            watched,
            weighs: model.weighs,
            drains: model
                .drains
                .iter()
                .map(|drain| drain.values.clone())
                .collect(),
            memories: memories.collect(),
        }
    }

    fn is_so(&self, asked: &Asked, to: &State, parts: &Parts, fresh: u64) -> bool {
        let test =
            |value: Option<&Value>| holds(&asked.condition.test, value, self.weighs) == Some(true);
        if let Some(drain) = asked.drain {
            return test(self.drain(drain, to, parts));
        }
        if let Some(value) = &asked.fixed {
            return test(Some(value));
        }
        self.remembered(asked, to, parts, fresh, &test)
    }

    fn drain(&self, at: usize, to: &State, parts: &Parts) -> Option<&Value> {
        let value = parts.drains.get(to.drain)[at];
        self.drains[at].get(usize::from(value).checked_sub(2)?)
    }

    /// Looks in the list being followed, then in those that wait for it.
    fn remembered(
        &self,
        asked: &Asked,
        to: &State,
        parts: &Parts,
        fresh: u64,
        test: &dyn Fn(Option<&Value>) -> bool,
    ) -> bool {
        let (mut list, mut frame, mut held, mut innermost) = (to.list, to.frame, to.held, true);
        loop {
            if let Some(at) = asked.memory[usize::from(list)] {
                let (var, values) = &self.memories[usize::from(list)][at];
                let value = parts.frames.get(frame)[at];
                if value & OLD != 0 {
                    return false;
                }
                let value = usize::from(value)
                    .checked_sub(1)
                    .and_then(|value| values.get(value));
                let bit = self.watched.iter().position(|one| one == var);
                let is_fresh = innermost && bit.is_some_and(|bit| fresh >> bit & 1 == 1);
                if value.is_some_and(|(_, fades)| *fades) && !is_fresh {
                    return false;
                }
                return test(value.map(|(value, _)| value));
            }
            if held == NONE {
                return test(None);
            }
            let below = parts.held.get(held);
            (list, frame, held, innermost) = (below.list, below.frame, below.held, false);
        }
    }
}

impl Asked {
    fn new(model: &Model<'_>, condition: &Condition) -> Self {
        let name = &condition.name;
        let fact = model.library.facts().get(name.as_str());
        let memory = model.lists.iter().map(|list| {
            list.as_ref()
                .and_then(|list| list.memory.iter().position(|memory| memory.name == *name))
        });
        Self {
            drain: model.drains.iter().position(|drain| drain.name == *name),
            memory: memory.collect(),
            fixed: fact.and_then(|fact| fact.value.clone()),
            condition: condition.clone(),
        }
    }

    fn vars(&self, model: &Model<'_>) -> (Vec<VarId>, Vec<VarId>) {
        let drains = self.drain.map(short).into_iter().collect();
        let memory = model
            .reached()
            .filter_map(|(at, list)| Some(list.memory_var(self.memory[at]?)));
        (drains, memory.collect())
    }
}

impl OnlyIf {
    /// Whether a condition of its own is a limit for each kilogram.
    fn needs_weight(&self) -> bool {
        self.when.iter().any(|condition| {
            matches!(&condition.test, crate::checklist::model::Test::Within(range) if is_weighed(range))
        })
    }

    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        if self.needs_weight() && context.session.model.weighs == Weight::Open {
            context.session.needs_weight = true;
            return Verdict::NotDecided { states: 0 };
        }
        let model = &context.session.model;
        let guarded: Vec<Vec<bool>> = model
            .library
            .lists()
            .map(|(_, list)| {
                list.steps()
                    .map(|(_, step)| self.show.is_at(list, step))
                    .collect()
            })
            .collect();
        let (mut asked, mut watched) = (Vec::new(), Vec::new());
        for condition in &self.when {
            let (drains, memory) = Asked::new(model, condition).vars(model);
            asked.extend(drains);
            asked.extend(memory.iter().copied());
            watched.extend(memory);
        }
        watched.sort_unstable();
        watched.dedup();
        watched.truncate(64);
        let names: Vec<String> = self.when.iter().map(|one| one.name.to_string()).collect();
        let why = format!(
            "{} comes while {} is not known, or not as it must be",
            context.told(&self.show),
            names.join(" or ")
        );
        let rule = self.clone();
        let library = model.library;
        let maker = Guarding::new(model, &rule, guarded, watched.clone());
        debug_assert!(library.lists().count() == maker.guarded.len());
        // What a list remembers is looked for in those that wait for it too.
        let remembers = !watched.is_empty();
        let maker = std::rc::Rc::new(maker);
        let on_graph = |_: &_| -> Box<dyn Watch> { Box::new(Shared(maker.clone())) };
        let question = Question {
            points: vec![&self.show],
            watch: if remembers {
                Watching::OnGraph(&on_graph, Scope::ALL)
            } else {
                Watching::ByList(&*maker)
            },
            asked,
            fresh: watched,
        };
        context.judge(&question, &[&self.show], &why)
    }
}

struct Shared(std::rc::Rc<Guarding>);

impl Watch for Shared {
    fn next(&self, now: u16, seen: Seen) -> Option<u16> {
        self.0.next(now, seen)
    }

    fn allows(&self, now: u16, number: u32, to: &State, parts: &Parts, fresh: u64) -> bool {
        self.0.allows(now, number, to, parts, fresh)
    }
}
