//! Makes the [`Model`] of a checklist from its library.

use std::collections::BTreeSet;

use crate::checklist::drain_fact::{FactKind, drain_fact};
use crate::checklist::model as given;
use crate::checklist::model::{Checklist, Condition, Cut, Library, ListId, Range, Test, Value};
use crate::names::FactName;
use crate::units::{Amount, Number};

use super::last;
use super::live;
use super::model::{
    Cond, Drain, Jump, List, Main, Memory, Model, Remembered, Site, Sort, Step, Way, Weight, short,
    step_number,
};
use super::number::{Within, classes, cut_at, cuts, meeting_weights, within};
use super::reply::replies;

/// What the safeguards ask for beyond what the lists themselves ask.
pub(super) struct Wishes<'w> {
    /// Conditions on facts.
    pub conditions: &'w [Condition],
    /// Stretches of numbers of a measure.
    pub readings: &'w dyn Fn(&Checklist, &given::Step) -> Vec<Range>,
}

/// Makes the model of everything that can be reached from a checklist, for that weight.
pub(super) fn compile<'a>(
    library: &'a Library,
    root: ListId,
    wishes: &Wishes<'_>,
    weighs: Weight,
) -> Model<'a> {
    let reached = reached(library, root);
    let mut maker = Maker {
        library,
        reached,
        wishes,
        weighs,
        drains: Vec::new(),
        weight: None,
        sites: Vec::new(),
    };
    maker.find_drains();
    let mut lists: Vec<Option<List>> = library.lists().map(|_| None).collect();
    let mut next_var = maker.drains.len();
    for id in maker.reached.clone() {
        let list = maker.list(id, next_var);
        // One more for its last completed item.
        next_var += list.width() + 1;
        lists[id.index()] = Some(list);
    }
    let mut model = Model {
        library,
        root: root.index(),
        lists,
        drains: maker.drains,
        weight: maker.weight,
        weighs,
        sites: maker.sites,
        vars: next_var,
    };
    last::find(&mut model);
    live::find(&mut model);
    model
}

/// The lists that can be reached by `use`, the root first, then in the order of the library.
pub(super) fn reached(library: &Library, root: ListId) -> Vec<ListId> {
    let mut found = BTreeSet::from([root]);
    let mut open = vec![root];
    while let Some(id) = open.pop() {
        for used in used_by(library.list(id)) {
            if found.insert(used) {
                open.push(used);
            }
        }
    }
    found.into_iter().collect()
}

/// The lists that a list uses.
pub(super) fn used_by(list: &Checklist) -> Vec<ListId> {
    let mut used = Vec::new();
    for (_, step) in list.steps() {
        if let given::StepKind::Use { list, .. } = &step.kind {
            used.push(*list);
        }
        used.extend(step.kind.ways().into_iter().filter_map(|way| match way {
            given::Way::Use { list, .. } => Some(*list),
            given::Way::Jump(_) => None,
        }));
    }
    used
}

/// What is being made.
pub(super) struct Maker<'a, 'w> {
    pub(super) library: &'a Library,
    reached: Vec<ListId>,
    wishes: &'w Wishes<'w>,
    pub(super) weighs: Weight,
    drains: Vec<Drain>,
    weight: Option<usize>,
    sites: Vec<Site>,
}

impl<'a> Maker<'a, '_> {
    /// Every condition of the lists and of the safeguards.
    fn conditions(&self) -> Vec<&Condition> {
        let mut found: Vec<&Condition> = self.wishes.conditions.iter().collect();
        for id in &self.reached {
            found.extend(conditions_of(self.library.list(*id)));
        }
        found
    }

    /// Finds the drain facts that matter, and the local facts that are still open, each with the
    /// classes of its values.
    fn find_drains(&mut self) {
        let conditions = self.conditions();
        let mut names: BTreeSet<&FactName> =
            conditions.iter().map(|condition| &condition.name).collect();
        let weight = FactName::new("weight").ok();
        if !weighings(self.library, &self.reached, self.wishes).is_empty() {
            names.extend(&weight);
        }
        let drains: Vec<Drain> = names
            .into_iter()
            .filter_map(|name| self.drain(name, &conditions))
            .collect();
        self.weight = drains
            .iter()
            .position(|drain| drain.name.as_str() == "weight");
        self.drains = drains;
    }

    /// A drain fact or a local fact that is not filled in; `None` for anything else.
    fn drain(&self, name: &FactName, conditions: &[&Condition]) -> Option<Drain> {
        let Some(fact) = drain_fact(name.as_str()) else {
            let fact = self.library.facts().get(name.as_str())?;
            let (None, given::FactAbout::Local { choices, .. }) = (&fact.value, &fact.about) else {
                return None;
            };
            let mut values: Vec<Value> = choices.iter().cloned().map(Value::Word).collect();
            if values.is_empty() {
                values.push(Value::Words("something".to_owned()));
            }
            return Some(Drain {
                name: name.clone(),
                local: true,
                values,
                maybe_unknown: true,
            });
        };
        let mut maybe_unknown = true;
        let values = match fact.kind {
            FactKind::Choice(choices) => {
                let words = choices.iter().map(|word| (*word).to_owned());
                words.map(Value::Word).collect()
            }
            FactKind::Words => vec![Value::Words("a place".to_owned())],
            FactKind::Amount(unit, low, high) => {
                let numbers = match self.weighs {
                    Weight::Is(weight) if name.as_str() == "weight" => {
                        maybe_unknown = weight.is_none();
                        weight.into_iter().collect()
                    }
                    _ => classes(cuts_on(conditions, name.as_str()), low, high, false),
                };
                let value = |number| Value::Amount(Amount::new(number, unit));
                numbers.into_iter().map(value).collect()
            }
        };
        Some(Drain {
            name: name.clone(),
            local: false,
            values,
            maybe_unknown,
        })
    }

    fn list(&mut self, id: ListId, first_var: usize) -> List {
        let library = self.library;
        let list = library.list(id);
        let mut memory: Vec<Memory> = Vec::new();
        let mut asked = Vec::new();
        for (at, step) in list.steps() {
            let kept = step.remember.as_ref().map(|remember| {
                let known = memory
                    .iter()
                    .position(|one: &Memory| one.name == remember.name);
                known.unwrap_or_else(|| {
                    memory.push(Memory {
                        name: remember.name.clone(),
                        values: Vec::new(),
                        alike: Vec::new(),
                    });
                    memory.len() - 1
                })
            });
            let cuts = self.cuts_of(list, step);
            let mut found = replies(self, id.index(), step, &cuts);
            if let Some((kept, remember)) = kept.zip(step.remember.as_ref()) {
                for (number, (reply, value)) in found.iter_mut().enumerate() {
                    let Some(value) = value.take() else { continue };
                    let fades = remember.good_for.is_some();
                    let step = step_number(at.index());
                    memory[kept].values.push(Remembered {
                        step,
                        reply: number,
                        value,
                        fades,
                    });
                    reply.value = short(memory[kept].values.len());
                }
            }
            asked.push((
                kept,
                found
                    .into_iter()
                    .map(|(reply, _)| reply)
                    .collect::<Vec<_>>(),
            ));
        }
        let mut steps = Vec::new();
        for ((_, step), (kept, replies)) in list.steps().zip(asked) {
            steps.push(self.step(id.index(), step, kept, replies, &memory));
        }
        self.merge(&mut steps, &mut memory);
        List {
            begin: step_number(list.begin.index()),
            steps,
            memory,
            counters: list.counters,
            first_var,
            live: Vec::new(),
            live_drains: Vec::new(),
            lasts: Vec::new(),
        }
    }

    fn step(
        &mut self,
        list: usize,
        step: &given::Step,
        memory: Option<usize>,
        replies: Vec<super::model::Reply>,
        memories: &[Memory],
    ) -> Step {
        match &step.kind {
            given::StepKind::Decide { rows, otherwise } => Step::Decide {
                rows: rows
                    .iter()
                    .map(|row| {
                        let when = row
                            .when
                            .iter()
                            .map(|one| self.condition(one, memories))
                            .collect();
                        (when, self.way(list, &row.way))
                    })
                    .collect(),
                otherwise: self.way(list, otherwise),
            },
            given::StepKind::Use {
                list: used,
                endings,
            } => {
                let site = self.site(list, endings);
                Step::Use(Way::Use {
                    list: used.index(),
                    site,
                })
            }
            given::StepKind::End { outcome, .. } => Step::End(*outcome),
            _ => Step::Asked { replies, memory },
        }
    }

    /// Remembers what nothing tells apart under one number: the number of the first value that
    /// every condition takes alike and that leads the same way when it is asked again.
    fn merge(&self, steps: &mut [Step], memory: &mut [Memory]) {
        let wished: Vec<Cond> = self
            .wishes
            .conditions
            .iter()
            .map(|condition| self.condition(condition, memory))
            .collect();
        let conds = steps.iter().flat_map(|step| match step {
            Step::Decide { rows, .. } => rows.iter().flat_map(|(when, _)| when.clone()).collect(),
            _ => Vec::new(),
        });
        let conds: Vec<Cond> = conds.chain(wished).collect();
        let mut first = Vec::new();
        for (at, one) in memory.iter_mut().enumerate() {
            let on: Vec<&Cond> = conds
                .iter()
                .filter(|cond| cond.main == Main::Memory(at))
                .collect();
            let looks = one.values.iter().enumerate().map(|(number, value)| {
                let looks: Vec<Option<bool>> =
                    on.iter().map(|cond| cond.holds[number + 1]).collect();
                (looks, value.fades.then_some(value.step))
            });
            let looks: Vec<_> = looks.collect();
            let again = one.values.iter().map(|value| {
                let Step::Asked { replies, .. } = &steps[value.step as usize] else {
                    return None;
                };
                let reply = &replies[value.reply];
                let judged = (reply.sort == Sort::Value).then_some(reply.way);
                let words = judged.is_none().then_some(value.reply);
                value.fades.then_some((judged, words))
            });
            let again: Vec<_> = again.collect();
            one.alike = firsts(&looks);
            let exactly: Vec<_> = looks.iter().zip(&again).collect();
            first.push(firsts(&exactly));
        }
        for step in steps {
            let Step::Asked {
                replies,
                memory: Some(at),
            } = step
            else {
                continue;
            };
            for reply in replies.iter_mut().filter(|reply| reply.value > 0) {
                reply.value = first[*at][usize::from(reply.value) - 1];
            }
        }
    }

    /// The cut points of a measure: its own, those of conditions on it, those of safeguards.
    fn cuts_of(&self, list: &Checklist, step: &given::Step) -> Vec<Number> {
        let ranges = ranges_of(self.wishes, list, step);
        ranges
            .iter()
            .flat_map(cuts)
            .filter_map(|cut| cut_at(cut, self.weighs))
            .collect()
    }

    /// A condition as a table.
    pub(super) fn condition(&self, condition: &Condition, memories: &[Memory]) -> Cond {
        let name = &condition.name;
        let memory = memories.iter().position(|memory| memory.name == *name);
        let drain = self.drains.iter().position(|drain| drain.name == *name);
        let (main, values): (Main, Vec<Option<&Value>>) = match (memory, drain) {
            (Some(at), _) => {
                let values = memories[at].values.iter().map(|one| Some(&one.value));
                (
                    Main::Memory(at),
                    std::iter::once(None).chain(values).collect(),
                )
            }
            (None, Some(at)) => {
                let values = self.drains[at].values.iter().map(Some);
                (
                    Main::Drain(at),
                    [None, None].into_iter().chain(values).collect(),
                )
            }
            (None, None) => {
                // Numbers of the unit's own are known before a run begins.
                let fact = self.library.facts().get(name.as_str());
                (Main::Fixed, vec![fact.and_then(|fact| fact.value.as_ref())])
            }
        };
        let holds = values
            .iter()
            .map(|value| holds(&condition.test, *value, self.weighs))
            .collect();
        Cond { main, holds }
    }

    pub(super) fn way(&mut self, list: usize, way: &given::Way) -> Way {
        match way {
            given::Way::Jump(jump) => Way::Jump(make_jump(jump)),
            given::Way::Use {
                list: used,
                endings,
            } => {
                let site = self.site(list, endings);
                Way::Use {
                    list: used.index(),
                    site,
                }
            }
        }
    }

    fn site(&mut self, list: usize, endings: &given::Endings) -> u32 {
        let site = Site {
            list,
            by_outcome: endings
                .by_outcome
                .iter()
                .map(|(outcome, jump)| (*outcome, make_jump(jump)))
                .collect(),
            any: endings.any.as_ref().map(make_jump),
            lasts: Vec::new(),
        };
        let at = self
            .sites
            .iter()
            .position(|one| *one == site)
            .unwrap_or_else(|| {
                self.sites.push(site);
                self.sites.len() - 1
            });
        step_number(at)
    }
}

fn make_jump(jump: &given::Jump) -> Jump {
    match jump {
        given::Jump::To(step) => Jump {
            go: step_number(step.index()),
            counted: None,
        },
        given::Jump::Counted {
            go,
            at_most,
            after_that,
            counter,
        } => Jump {
            go: step_number(go.index()),
            counted: Some((counter.0, *at_most, step_number(after_that.index()))),
        },
    }
}

/// Every condition of a list.
fn conditions_of(list: &Checklist) -> impl Iterator<Item = &Condition> {
    list.steps()
        .flat_map(|(_, step)| match &step.kind {
            given::StepKind::Decide { rows, .. } => rows.as_slice(),
            _ => &[],
        })
        .flat_map(|row| &row.when)
}

/// Every cut of the bands and conditions of a list.
pub(super) fn cuts_in(list: &Checklist) -> impl Iterator<Item = &Cut> {
    let bands = list.steps().flat_map(|(_, step)| match &step.kind {
        given::StepKind::Measure { bands, .. } => bands.as_slice(),
        _ => &[],
    });
    let tests = conditions_of(list).filter_map(|condition| match &condition.test {
        Test::Within(range) => Some(range),
        _ => None,
    });
    bands.map(|band| &band.range).chain(tests).flat_map(cuts)
}

/// For each entry the number, from 1, of the first that is equal to it.
fn firsts<T: PartialEq>(entries: &[T]) -> Vec<u16> {
    let first = |entry| entries.iter().position(|one| one == entry).unwrap_or(0);
    entries
        .iter()
        .map(|entry| short(first(entry) + 1))
        .collect()
}

/// The stretches that are told apart of a measure: its bands, conditions on it, safeguards.
fn ranges_of(wishes: &Wishes<'_>, list: &Checklist, step: &given::Step) -> Vec<Range> {
    let given::StepKind::Measure { bands, .. } = &step.kind else {
        return Vec::new();
    };
    let mut ranges: Vec<Range> = bands.iter().map(|band| band.range.clone()).collect();
    ranges.extend((wishes.readings)(list, step));
    let name = step.remember.as_ref().map(|remember| &remember.name);
    let conditions = conditions_of(list).chain(wishes.conditions);
    for condition in conditions.filter(|condition| Some(&condition.name) == name) {
        if let Test::Within(range) = &condition.test {
            ranges.push(range.clone());
        }
    }
    ranges
}

/// For each measure that is judged by a limit for each kilogram: the fixed numbers and the limits.
fn weighings(
    library: &Library,
    reached: &[ListId],
    wishes: &Wishes<'_>,
) -> Vec<(Vec<Number>, Vec<Number>)> {
    let mut found = Vec::new();
    for list in reached.iter().map(|id| library.list(*id)) {
        for (_, step) in list.steps() {
            let given::StepKind::Measure { plausible, .. } = &step.kind else {
                continue;
            };
            let (mut fixed, mut each) = (vec![plausible.0, plausible.1], Vec::new());
            for cut in ranges_of(wishes, list, step).iter().flat_map(cuts) {
                match cut {
                    Cut::Fixed(number) | Cut::Fact(_, number) => fixed.push(*number),
                    Cut::PerKg(_, number) => each.push(*number),
                    Cut::Unset(_) => {}
                }
            }
            if !each.is_empty() {
                found.push((fixed, each));
            }
        }
    }
    found
}

/// Every weight that may be told apart: one for each class, and one that is not known.
pub(super) fn weights(library: &Library, root: ListId, wishes: &Wishes<'_>) -> Vec<Weight> {
    let reached = reached(library, root);
    let mut at = Vec::new();
    for (fixed, each) in weighings(library, &reached, wishes) {
        at.extend(meeting_weights(&fixed, &each));
    }
    let lists = reached.iter().map(|id| library.list(*id));
    let conditions: Vec<&Condition> = lists
        .flat_map(conditions_of)
        .chain(wishes.conditions)
        .collect();
    at.extend(cuts_on(&conditions, "weight"));
    let mut found = vec![Weight::Is(None)];
    if let Some(FactKind::Amount(_, low, high)) = drain_fact("weight").map(|fact| fact.kind) {
        let known = classes(at, low, high, false).into_iter();
        found.extend(known.map(|number| Weight::Is(Some(number))));
    }
    found
}

/// The numbers at which conditions cut the fact of that name.
fn cuts_on(conditions: &[&Condition], name: &str) -> Vec<Number> {
    let own = conditions
        .iter()
        .filter(|condition| condition.name.as_str() == name);
    let ranges = own.filter_map(|condition| match &condition.test {
        Test::Within(range) => Some(range),
        _ => None,
    });
    ranges
        .flat_map(cuts)
        .filter_map(|cut| cut_at(cut, Weight::Open))
        .collect()
}

/// Whether a test holds for a value; a value that is not there matches only `unknown`. `None` when
/// that rests on the weight, which is open.
pub(super) fn holds(test: &Test, value: Option<&Value>, weight: Weight) -> Option<bool> {
    match (test, value) {
        (Test::Known, value) => Some(value.is_some()),
        (Test::Unknown, value) => Some(value.is_none()),
        (_, None) => Some(false),
        (Test::OneOf(words), Some(Value::Word(word) | Value::Words(word))) => {
            Some(words.iter().any(|one| one == word))
        }
        (Test::Within(range), Some(Value::Amount(amount))) => {
            match within(range, amount.number, weight) {
                Within::Yes => Some(true),
                Within::No | Within::Unknown => Some(false),
                Within::Open => None,
            }
        }
        (Test::OneOf(_) | Test::Within(_), Some(_)) => Some(false),
    }
}
