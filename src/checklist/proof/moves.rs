//! How a run goes on: every answer that can be given, and everything that can follow from it.
//!
//! This is the transition of a walk, followed in all ways at once. What is not kept track of may
//! be anything. A remembered answer that becomes too old may be so at any time. At any time a run
//! may be interrupted: the last completed item is then repeated, and may be no longer so. An
//! urgent list begun meanwhile comes back to the same state, so it adds none of its own; it is
//! proved by itself.

use crate::checklist::model::Outcome;

use super::decide::decide;
use super::model::{GIVEN, Jump, Model, NONE, OLD, Sort, Step, VarId, Way};
use super::state::{Draft, Held, Parts, State, Tracked, finish, keep_frame, resumes};

/// An answer and how it came to be asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Answer {
    pub list: u16,
    pub step: u32,
    /// The place among the answers of the step; of no meaning for repeated items and ends.
    pub reply: u16,
    pub how: Asked,
}

/// How an answer came to be asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Asked {
    /// The step was shown.
    Shown,
    /// Its remembered answer had become too old.
    Again,
    /// Repeated after an interruption, and still so.
    StillSo,
    /// Repeated after an interruption, and no longer so; `direct` when it is the very last answer.
    NoLonger { direct: bool },
}

/// One way in which a run can go on.
#[derive(Debug, Clone)]
pub(super) struct Move {
    pub to: State,
    pub answer: Answer,
    /// Facts that were asked for and are not kept track of.
    pub asked: Vec<VarId>,
    /// Remembered answers of a safeguard that are certainly not too old.
    pub fresh: u64,
    /// Whether what is shown next is no new screen: it was shown before an interruption.
    pub quiet: bool,
}

/// What is followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Scope {
    /// Remembered answers may become too old.
    pub fading: bool,
    /// A run may be interrupted.
    pub interruptions: bool,
}

impl Scope {
    /// What both allow.
    pub const fn and(self, other: Self) -> Self {
        Self {
            fading: self.fading && other.fading,
            interruptions: self.interruptions && other.interruptions,
        }
    }

    /// Everything that can happen.
    pub const ALL: Self = Self {
        fading: true,
        interruptions: true,
    };
    /// Answers given at once, one after the other.
    pub const PLAIN: Self = Self {
        fading: false,
        interruptions: false,
    };
}

/// Follows runs.
pub(super) struct Mover<'m, 'a> {
    pub model: &'m Model<'a>,
    pub tracked: &'m Tracked,
    pub scope: Scope,
    /// The remembered answers that a safeguard asks for, in the order of their bits.
    pub watched: &'m [VarId],
    /// Only what follows from this answer.
    pub only: Option<Answer>,
    pub parts: &'m mut Parts,
}

/// What came of settling: drafts that stand at something that is asked.
pub(super) type Settled = Vec<Draft>;

impl Mover<'_, '_> {
    /// The states in which a run can begin, with the facts asked for that are not kept track of.
    pub fn begin(&mut self) -> Vec<(State, Vec<VarId>)> {
        let list = self.model.list(self.model.root);
        let draft = Draft {
            held: NONE,
            list: super::model::short(self.model.root),
            step: list.begin,
            again: NONE,
            last: NONE,
            returned: false,
            frame: vec![0; list.width()],
            drain: vec![0; self.model.drains.len()],
            asked: Vec::new(),
            fresh: 0,
        };
        // What a safeguard asks of the drain is settled from the start.
        let mut drafts = vec![draft];
        for at in (0..self.model.drains.len()).filter(|at| self.tracked.always[*at]) {
            let chosen = drafts.into_iter();
            drafts = chosen
                .flat_map(|draft| super::decide::drain_values(self.model, self.tracked, draft, at))
                .map(|(draft, _)| draft)
                .collect();
        }
        let mut settled = Vec::new();
        for draft in drafts {
            self.settle(draft, &mut settled);
        }
        let mut found = Vec::new();
        for draft in settled {
            let state = finish(self.model, self.tracked, self.parts, &draft);
            found.push((state, draft.asked));
        }
        found
    }

    /// Every way in which a run can go on from a state, in the order of the list's answers, with
    /// what needs an interruption last.
    pub fn moves(&mut self, state: &State) -> Vec<Move> {
        let mut found = Vec::new();
        if state.is_over() {
            return found;
        }
        let model = self.model;
        match &model.list(usize::from(state.list)).steps[state.shown() as usize] {
            Step::End(outcome) if !self.only.is_some_and(|only| only.how != Asked::Shown) => {
                self.end(state, *outcome, &mut found);
            }
            Step::End(_) => {}
            Step::Asked { .. } => self.answers(state, &mut found),
            Step::Decide { .. } | Step::Use(_) => {}
        }
        if self.scope.interruptions {
            self.interruptions(state, &mut found);
        }
        found
    }

    fn emit(
        &mut self,
        settled: Settled,
        answer: Answer,
        quiet: bool,
        from: &State,
        found: &mut Vec<Move>,
    ) {
        for draft in settled {
            let to = finish(self.model, self.tracked, self.parts, &draft);
            // Asked again after an interruption, and then back where it was: nothing new is shown.
            let stays = (to.held, to.list, to.step) == (from.held, from.list, from.step);
            let quiet = quiet && stays;
            found.push(Move {
                to,
                answer,
                asked: draft.asked,
                fresh: draft.fresh,
                quiet,
            });
        }
    }

    fn answers(&mut self, state: &State, found: &mut Vec<Move>) {
        let model = self.model;
        let list = model.list(usize::from(state.list));
        let step = state.shown();
        let Step::Asked { replies, .. } = &list.steps[step as usize] else {
            return;
        };
        let again = state.again != NONE;
        let how = if again { Asked::Again } else { Asked::Shown };
        let decides = matches!(list.steps[state.step as usize], Step::Decide { .. });
        for (number, reply) in replies.iter().enumerate() {
            let answer = Answer {
                list: state.list,
                step,
                reply: super::model::short(number),
                how,
            };
            if self.only.is_some_and(|only| only != answer) {
                continue;
            }
            let mut draft = Draft::of(state, self.parts);
            if let Some(weight) = model.weight.filter(|_| reply.weighed) {
                draft.note(super::model::short(weight));
            }
            let mut settled = Vec::new();
            self.answer(draft, step, number, again, &mut settled);
            self.emit(settled, answer, again && !decides, state, found);
        }
    }

    /// Takes an answer and goes where it leads.
    fn answer(
        &mut self,
        mut draft: Draft,
        step: u32,
        number: usize,
        again: bool,
        settled: &mut Settled,
    ) {
        let model = self.model;
        let list = model.list(usize::from(draft.list));
        let Step::Asked { replies, memory } = &list.steps[step as usize] else {
            return;
        };
        draft.last = step;
        draft.returned = false;
        draft.again = NONE;
        let mut same = vec![false];
        if let Some(at) = *memory {
            let var = list.memory_var(at);
            let before = draft.frame[at];
            if again && self.tracked.exactly(var) {
                same = vec![self.is_same(draft.list, at, before, number)];
            } else if again {
                draft.note(var);
                let could = replies[number].value != 0;
                same = if could {
                    vec![true, false]
                } else {
                    vec![false]
                };
            }
            draft.frame[at] = if self.tracked.has(var) {
                replies[number].value
            } else {
                0
            };
            draft.fresh |= self.fresh_bit(var);
        }
        for same in same {
            let mut draft = draft.clone();
            if same {
                self.ask_old_or_settle(draft, *memory, settled);
            } else {
                self.follow(&mut draft, replies[number].way, settled);
            }
        }
    }

    /// Whether an answer given again leads the same way as before: the same words, or a number
    /// that is judged the same.
    fn is_same(&self, list: u16, memory: usize, before: u16, number: usize) -> bool {
        let list = self.model.list(usize::from(list));
        let Some(before) = list.memory[memory].given(before) else {
            return false;
        };
        let Step::Asked { replies, .. } = &list.steps[before.step as usize] else {
            return false;
        };
        let (old, new) = (&replies[before.reply], replies.get(number));
        if old.sort != Sort::Value {
            return before.reply == number;
        }
        new.is_some_and(|new| new.value != 0 && new.way == old.way)
    }

    /// The bit of a remembered answer that a safeguard asks for.
    pub(super) fn fresh_bit(&self, var: VarId) -> u64 {
        self.watched
            .iter()
            .position(|one| *one == var)
            .map_or(0, |at| 1 << at)
    }

    /// Reads the closing text.
    fn end(&mut self, state: &State, outcome: Outcome, found: &mut Vec<Move>) {
        let answer = Answer {
            list: state.list,
            step: state.step,
            reply: 0,
            how: Asked::Shown,
        };
        if state.held == NONE {
            let (asked, fresh) = (Vec::new(), 0);
            found.push(Move {
                to: State::OVER,
                answer,
                asked,
                fresh,
                quiet: false,
            });
            return;
        }
        let below = self.parts.held.get(state.held).clone();
        let model = self.model;
        let Some(jump) = model.sites[below.site as usize].jump(outcome) else {
            return;
        };
        let draft = self.back_to(state, &below);
        let mut settled = Vec::new();
        for mut draft in self.jump(draft, jump) {
            draft.returned = true;
            self.settle(draft, &mut settled);
        }
        self.emit(settled, answer, false, state, found);
    }

    fn back_to(&self, state: &State, below: &Held) -> Draft {
        Draft {
            held: below.held,
            list: below.list,
            step: below.last,
            again: NONE,
            last: below.last,
            returned: below.returned,
            frame: self.parts.frames.get(below.frame).to_vec(),
            drain: self.parts.drains.get(state.drain).to_vec(),
            asked: Vec::new(),
            fresh: 0,
        }
    }

    /// Goes a way, and on to what is asked next.
    pub(super) fn follow(&mut self, draft: &mut Draft, way: Way, settled: &mut Settled) {
        match way {
            Way::Jump(jump) => {
                for draft in self.jump(draft.clone(), jump) {
                    self.settle(draft, settled);
                }
            }
            Way::Use { list, site } => {
                self.enter(draft, list, site);
                self.settle(draft.clone(), settled);
            }
        }
    }

    /// Where a jump leads; a count that is not kept track of may stand at anything.
    pub(super) fn jump(&self, mut draft: Draft, jump: Jump) -> Vec<Draft> {
        draft.step = jump.go;
        let Some((counter, at_most, after)) = jump.counted else {
            return vec![draft];
        };
        let list = self.model.list(usize::from(draft.list));
        let at = list.memory.len() + counter;
        let var = list.count_var(counter);
        let mut later = draft.clone();
        later.step = after;
        if !self.tracked.has(var) {
            draft.note(var);
            later.note(var);
            return vec![draft, later];
        }
        if u32::from(draft.frame[at]) < at_most {
            draft.frame[at] += 1;
            vec![draft]
        } else {
            vec![later]
        }
    }

    /// Begins a used list.
    pub(super) fn enter(&mut self, draft: &mut Draft, list: usize, site: u32) {
        let model = self.model;
        let from = usize::from(draft.list);
        let mut frame = std::mem::take(&mut draft.frame);
        let resumes = resumes(model, site);
        keep_frame(model, self.tracked, from, &mut frame, resumes.clone());
        let mut drains = resumes.fold(0, |all, step| {
            all | model.list(from).live_drains[step as usize]
        });
        if draft.held != NONE {
            drains |= self.parts.held.get(draft.held).drains;
        }
        let knows_last = self.tracked.has(model.list(from).last_var());
        if self.tracked.by_list {
            drains = 0;
        }
        let held = Held {
            held: draft.held,
            list: draft.list,
            site,
            last: if knows_last { draft.last } else { NONE },
            returned: knows_last && draft.returned,
            frame: self.parts.frames.add(frame.into()).0,
            drains,
        };
        let used = model.list(list);
        draft.held = self.parts.held.add(held).0;
        draft.list = super::model::short(list);
        draft.step = used.begin;
        draft.again = NONE;
        draft.last = NONE;
        draft.returned = false;
        draft.frame = vec![0; used.width()];
        draft.fresh = 0;
    }

    /// Moves on over steps that ask nothing.
    pub(super) fn settle(&mut self, draft: Draft, settled: &mut Settled) {
        let model = self.model;
        let mut open = vec![draft];
        let mut seen = Vec::new();
        while let Some(mut draft) = open.pop() {
            match &model.list(usize::from(draft.list)).steps[draft.step as usize] {
                Step::Asked { .. } | Step::End(_) => settled.push(draft),
                Step::Use(way) => {
                    if let Way::Use { list, site } = *way {
                        self.enter(&mut draft, list, site);
                        open.push(draft);
                    }
                }
                Step::Decide { rows, otherwise } => {
                    let state = finish(model, self.tracked, self.parts, &draft);
                    if seen.contains(&(state, draft.fresh)) {
                        continue;
                    }
                    seen.push((state, draft.fresh));
                    let mut ways = Vec::new();
                    for (draft, way) in decide(self, draft, rows, *otherwise) {
                        match way {
                            None => settled.push(draft),
                            Some(Way::Jump(jump)) => ways.extend(self.jump(draft, jump)),
                            Some(Way::Use { list, site }) => {
                                let mut draft = draft;
                                self.enter(&mut draft, list, site);
                                ways.push(draft);
                            }
                        }
                    }
                    open.extend(ways.into_iter().rev());
                }
            }
        }
    }

    /// Asks for a remembered answer that may have become too old, or goes on.
    fn ask_old_or_settle(
        &mut self,
        mut draft: Draft,
        except: Option<usize>,
        settled: &mut Settled,
    ) {
        let old = self.could_be_old(&mut draft, except);
        // Of some it is not known whether they were found too old before.
        let list = self.model.list(usize::from(draft.list));
        for at in 0..list.memory.len() {
            let var = list.memory_var(at);
            if draft.frame[at] != 0 && self.tracked.has(var) && !self.tracked.exactly(var) {
                draft.note(var);
            }
        }
        if !self.is_surely_old(&draft) {
            // Nothing was found too old, so everything that is remembered counts.
            let fresh = u64::MAX;
            let draft = Draft {
                fresh,
                ..draft.clone()
            };
            self.settle(draft, settled);
        }
        for step in old {
            settled.push(ask_again(self.model, self.tracked, draft.clone(), step));
        }
    }

    /// Whether a remembered answer was found too old before, and not given anew since.
    fn is_surely_old(&self, draft: &Draft) -> bool {
        let list = self.model.list(usize::from(draft.list));
        list.memory.iter().zip(&draft.frame).any(|(memory, value)| {
            let given = memory.given(*value);
            value & OLD != 0 && given.is_some_and(|given| given.step != draft.step)
        })
    }

    /// Steps whose remembered answer may be too old.
    fn could_be_old(&self, draft: &mut Draft, except: Option<usize>) -> Vec<u32> {
        let list = self.model.list(usize::from(draft.list));
        let mut found = Vec::new();
        if !self.scope.fading {
            return found;
        }
        for (at, memory) in list
            .memory
            .iter()
            .enumerate()
            .filter(|(at, _)| Some(*at) != except)
        {
            let var = list.memory_var(at);
            let tracked = self.tracked.has(var) && draft.frame[at] != GIVEN;
            for (number, value) in memory
                .values
                .iter()
                .enumerate()
                .filter(|(_, value)| value.fades)
            {
                let possible = !tracked || usize::from(draft.frame[at] & !OLD) == number + 1;
                if possible && value.step != draft.step && !found.contains(&value.step) {
                    found.push(value.step);
                    if !tracked {
                        draft.note(var);
                    }
                }
            }
        }
        found.sort_unstable();
        found
    }

    /// What an interruption can do: the last completed item is no longer so, or it is and a
    /// remembered answer has become too old meanwhile.
    fn interruptions(&mut self, state: &State, found: &mut Vec<Move>) {
        for completed in self.last_completed(state) {
            let Completed {
                below,
                item,
                own,
                direct,
            } = completed;
            let how = Asked::NoLonger { direct };
            let answer = Answer {
                list: below.list,
                step: item,
                reply: 0,
                how,
            };
            // Before its first answer a pass remembers nothing that could be too old.
            let still = Answer {
                how: Asked::StillSo,
                ..answer
            };
            if own && self.only.is_none_or(|only| only == still) {
                let mut settled = Vec::new();
                self.still_so(state, item, &below.asked, &mut settled);
                self.emit(settled, still, true, state, found);
            }
            let to = finish(self.model, self.tracked, self.parts, &below);
            if to != *state && self.only.is_none_or(|only| only == answer) {
                found.push(Move {
                    to,
                    answer,
                    asked: below.asked,
                    fresh: 0,
                    quiet: false,
                });
            }
        }
    }

    fn still_so(&mut self, state: &State, item: u32, asked: &[VarId], settled: &mut Settled) {
        let mut draft = Draft::of(state, self.parts);
        draft.last = item;
        asked.iter().for_each(|var| draft.note(*var));
        let refreshed = match &self.model.list(usize::from(state.list)).steps[item as usize] {
            Step::Asked { memory, .. } => *memory,
            _ => None,
        };
        if let Some(at) = refreshed {
            draft.frame[at] &= !OLD;
        }
        if state.again != NONE && item == state.again {
            draft.again = NONE;
            self.ask_old_or_settle(draft, refreshed, settled);
            return;
        }
        for step in self.could_be_old(&mut draft, refreshed) {
            if step != state.again {
                settled.push(ask_again(self.model, self.tracked, draft.clone(), step));
            }
        }
    }

    /// Whether an interruption can lead farther back than the lists that wait.
    pub fn may_leave(&self, state: &State) -> bool {
        let model = self.model;
        let none = |list: u16, last: u32, lasts: &[u32]| {
            let known = self.tracked.has(model.list(usize::from(list)).last_var());
            if known {
                last == NONE
            } else {
                lasts.contains(&NONE)
            }
        };
        let own = &model.list(usize::from(state.list)).lasts[state.step as usize];
        if !self.scope.interruptions || !none(state.list, state.last, own) {
            return false;
        }
        let mut held = state.held;
        while held != NONE {
            let one = self.parts.held.get(held);
            let lasts = &model.sites[one.site as usize].lasts;
            if !none(one.list, one.last, lasts) {
                return false;
            }
            held = one.held;
        }
        true
    }

    /// The last completed item, or every one that it can be.
    fn last_completed(&self, state: &State) -> Vec<Completed> {
        let model = self.model;
        let mut found = Vec::new();
        let mut here = Draft::of(state, self.parts);
        let mut lasts = &model.list(usize::from(state.list)).lasts[state.step as usize];
        let mut own = true;
        loop {
            let var = model.list(usize::from(here.list)).last_var();
            let known = self.tracked.has(var);
            let items = if known {
                vec![here.last]
            } else {
                lasts.clone()
            };
            if !known {
                here.note(var);
            }
            for item in items.iter().copied().filter(|item| *item != NONE) {
                let mut below = here.clone();
                (below.step, below.again, below.last) = (item, NONE, item);
                // Only an answer of the same list can be taken back, and only the very last one.
                let direct = own && !below.returned;
                let completed = |direct, below| Completed {
                    below,
                    item,
                    own,
                    direct,
                };
                if own && !known {
                    let mut returned = below.clone();
                    returned.returned = true;
                    found.push(completed(false, returned));
                }
                found.push(completed(direct, below));
            }
            if !items.contains(&NONE) || here.held == NONE {
                return found;
            }
            let below = self.parts.held.get(here.held);
            let asked = std::mem::take(&mut here.asked);
            lasts = &model.sites[below.site as usize].lasts;
            here = self.back_to(state, below);
            here.asked = asked;
            own = false;
        }
    }
}

/// An item that can be the last completed one.
struct Completed {
    /// A run that stands at it again.
    below: Draft,
    item: u32,
    /// Whether it is of the list being followed.
    own: bool,
    /// Whether it is the very last answer.
    direct: bool,
}

/// Asks a step again because its remembered answer is too old. Too old it stays, whatever comes
/// between, until it is given anew.
pub(super) fn ask_again(
    model: &Model<'_>,
    tracked: &Tracked,
    mut draft: Draft,
    step: u32,
) -> Draft {
    let list = model.list(usize::from(draft.list));
    for (at, memory) in list.memory.iter().enumerate() {
        let asks = memory.values.iter().any(|value| value.step == step);
        let value = draft.frame[at];
        if asks && tracked.has(list.memory_var(at)) && value != 0 && value != GIVEN {
            draft.frame[at] |= OLD;
        }
    }
    draft.again = step;
    draft
}
