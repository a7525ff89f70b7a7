//! Notes every way out of a step that is taken, so that trials can say which none of them takes.

use crate::checklist::exit::{Exit, Leads, Side, cut_name, ends, ranges, ways};
use crate::checklist::model::{
    Condition, Cut, Endings, Jump, ListId, Outcome, StepId, StepKind, Test, Value, Way,
};
use crate::units::Number;

use super::{Passed, Walk};

impl Walk {
    /// A way of the step is about to be taken.
    pub(super) fn pass(&mut self, at: StepId, way: &Way, value: Option<&Value>) {
        let library = self.library.clone();
        let list = self.state.frame().list;
        let step = library.list(list).step(at);
        let place = ways(step)
            .iter()
            .position(|(_, leads)| matches!(leads, Leads::Way(one) if std::ptr::eq(*one, way)));
        let Some(place) = place else {
            return;
        };
        let spent = matches!(way, Way::Jump(jump) if self.is_spent(jump));
        let mut exits = vec![if spent {
            Exit::Spent(place)
        } else {
            Exit::Way(place)
        }];
        if let Some(Value::Amount(amount)) = value {
            for range in ranges(step) {
                exits.extend(ends(range).filter_map(|cut| self.edge(cut, amount.number)));
            }
        }
        if let StepKind::Decide { rows, .. } = &step.kind {
            for condition in rows.iter().flat_map(|row| &row.when) {
                exits.extend(self.condition_edges(condition));
            }
        }
        self.note(list, at, exits);
    }

    fn condition_edges(&self, condition: &Condition) -> Vec<Exit> {
        let known = self.known(self.now.0);
        match (&condition.test, known.value(&condition.name)) {
            (Test::Within(range), Some(Value::Amount(amount))) => ends(range)
                .filter_map(|cut| self.edge(cut, amount.number))
                .collect(),
            _ => Vec::new(),
        }
    }

    fn edge(&self, cut: &Cut, number: Number) -> Option<Exit> {
        let at = self.known(self.now.0).cut(cut)?;
        Side::of(number, at).map(|side| Exit::Edge(cut_name(cut), side))
    }

    /// A step that is nothing but another list is about to be entered.
    pub(super) fn pass_use(&mut self) {
        let frame = self.state.frame();
        let (list, step) = (frame.list, frame.step);
        self.note(list, step, vec![Exit::Way(0)]);
    }

    /// Another list has ended and leads back by that jump, which is not yet taken.
    pub(super) fn pass_back(&mut self, endings: &Endings, outcome: Outcome, jump: &Jump) {
        let frame = self.state.frame();
        let (list, step) = (frame.list, frame.step);
        let entered = self
            .passed
            .iter()
            .rev()
            .find_map(|passed| match passed.exit {
                Exit::Way(place) if (passed.list, passed.step) == (list, step) => Some(place),
                _ => None,
            });
        let Some(place) = entered else {
            return;
        };
        let named = endings.by_outcome.iter().any(|(one, _)| *one == outcome);
        let how = named.then_some(outcome);
        let exit = if self.is_spent(jump) {
            Exit::EndingSpent(place, how)
        } else {
            Exit::Ending(place, how)
        };
        self.note(list, step, vec![exit]);
    }

    /// The closing text of an end was read.
    pub(super) fn pass_end(&mut self, at: StepId) {
        let list = self.state.frame().list;
        self.note(list, at, vec![Exit::Over]);
    }

    fn is_spent(&self, jump: &Jump) -> bool {
        match jump {
            Jump::To(_) => false,
            Jump::Counted {
                at_most, counter, ..
            } => {
                let taken = self.state.frame().counts.get(counter);
                taken.is_some_and(|taken| taken >= at_most)
            }
        }
    }

    fn note(&mut self, list: ListId, step: StepId, exits: Vec<Exit>) {
        let passed = exits.into_iter().map(|exit| Passed { list, step, exit });
        self.passed.extend(passed);
    }
}
