//! Where a run stands, packed small: everything with parts is numbered once and named by number.

use super::hash::Numbered;
use super::live::has;
use super::model::{GIVEN, Model, NONE, VarId};

/// A state of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct State {
    /// The lists that wait for this one, by number; `NONE` when there is none.
    pub held: u32,
    /// The list being followed.
    pub list: u16,
    /// The step it stands at; `NONE` when the run is over.
    pub step: u32,
    /// The step whose answer is asked again before it goes on; otherwise `NONE`.
    pub again: u32,
    /// The last completed item of this pass; `NONE` when there is none, or when it is not kept
    /// track of.
    pub last: u32,
    /// Whether a used list has ended since then.
    pub returned: bool,
    /// Remembered answers and counts of this pass, by number.
    pub frame: u32,
    /// Drain facts, by number.
    pub drain: u32,
}

impl State {
    /// The state after the end.
    pub const OVER: Self = Self {
        held: NONE,
        list: 0,
        step: NONE,
        again: NONE,
        last: NONE,
        returned: false,
        frame: 0,
        drain: 0,
    };

    /// Whether the run is over.
    pub const fn is_over(&self) -> bool {
        self.step == NONE
    }

    /// The step that is shown.
    pub const fn shown(&self) -> u32 {
        if self.again == NONE {
            self.step
        } else {
            self.again
        }
    }
}

/// A list that waits for the one it uses.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Held {
    /// The lists that wait for it in turn.
    pub held: u32,
    /// The list.
    pub list: u16,
    /// Where the endings lead.
    pub site: u32,
    /// Its last completed item.
    pub last: u32,
    /// Whether a used list has ended since then.
    pub returned: bool,
    /// Its remembered answers and counts.
    pub frame: u32,
    /// Drain facts that can still matter once it goes on.
    pub drains: u64,
}

/// The parts of states, numbered.
#[derive(Debug, Default)]
pub(super) struct Parts {
    pub frames: Numbered<Box<[u16]>>,
    pub drains: Numbered<Box<[u16]>>,
    pub held: Numbered<Held>,
}

/// As closely as can be.
const CLOSEST: u8 = 2;

impl Parts {
    /// Whether one state stands for the other: it is the same, or knows less of what was given.
    pub fn covers(&self, one: &State, other: &State) -> bool {
        let plain = |state: &State| State {
            held: NONE,
            frame: 0,
            ..*state
        };
        one == other
            || plain(one) == plain(other)
                && self.covers_frame(one.frame, other.frame)
                && self.covers_held(one.held, other.held)
    }

    fn covers_frame(&self, one: u32, other: u32) -> bool {
        let (one, other) = (self.frames.get(one), self.frames.get(other));
        let mut pairs = one.iter().zip(other);
        pairs.all(|(one, other)| one == other || *one == GIVEN && *other != 0)
    }

    fn covers_held(&self, one: u32, other: u32) -> bool {
        if one == other || one == NONE || other == NONE {
            return one == other;
        }
        let (one, other) = (self.held.get(one), self.held.get(other));
        let plain = |held: &Held| Held {
            held: NONE,
            frame: 0,
            ..held.clone()
        };
        plain(one) == plain(other)
            && self.covers_frame(one.frame, other.frame)
            && self.covers_held(one.held, other.held)
    }

    /// Lists that wait, with more lists waiting below them.
    pub fn stack(&mut self, held: u32, below: u32) -> u32 {
        if held == NONE || below == NONE {
            return if held == NONE { below } else { held };
        }
        let mut one = self.held.get(held).clone();
        one.held = self.stack(one.held, below);
        self.held.add(one).0
    }
}

/// Which facts are kept track of. All others may be anything, each time they are asked for.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Tracked {
    /// By number: how closely it is kept track of. 0: not at all. 1: as far as conditions that may
    /// still come tell it apart; after the last of them, of an answer that can become too old only
    /// that it was given. 2: exactly.
    pub kept: Box<[u8]>,
    /// By number: whether it is never forgotten, because a safeguard asks for it.
    pub always: Box<[bool]>,
    /// Whether lists are searched one by one: then a list knows nothing of those that wait for it,
    /// and what was chosen of the drain is never forgotten.
    pub by_list: bool,
}

impl Tracked {
    /// Nothing at all.
    pub fn nothing(vars: usize) -> Self {
        Self {
            kept: vec![0; vars].into(),
            always: vec![false; vars].into(),
            by_list: false,
        }
    }

    /// Everything.
    pub fn everything(&self) -> Self {
        Self {
            kept: vec![CLOSEST; self.kept.len()].into(),
            always: self.always.clone(),
            by_list: self.by_list,
        }
    }

    /// Keeps closer track of a fact.
    pub fn closer(&mut self, var: VarId) {
        let kept = &mut self.kept[usize::from(var)];
        *kept = CLOSEST.min(*kept + 1);
    }

    /// Keeps track of a fact exactly.
    pub fn keep_exactly(&mut self, var: VarId) {
        self.kept[usize::from(var)] = CLOSEST;
    }

    /// Whether a fact is kept track of exactly.
    pub fn exactly(&self, var: VarId) -> bool {
        self.kept[usize::from(var)] == CLOSEST
    }

    /// Whether a fact is kept track of.
    pub fn has(&self, var: VarId) -> bool {
        self.kept[usize::from(var)] > 0
    }
}

/// A state while it is being made.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub held: u32,
    pub list: u16,
    pub step: u32,
    pub again: u32,
    pub last: u32,
    pub returned: bool,
    pub frame: Vec<u16>,
    pub drain: Vec<u16>,
    /// Facts asked for that are not kept track of.
    pub asked: Vec<VarId>,
    /// Remembered answers of a safeguard that are certainly not too old, as a bit for each.
    pub fresh: u64,
}

impl Draft {
    /// The state as it can be changed.
    pub fn of(state: &State, parts: &Parts) -> Self {
        Self {
            held: state.held,
            list: state.list,
            step: state.step,
            again: state.again,
            last: state.last,
            returned: state.returned,
            frame: parts.frames.get(state.frame).to_vec(),
            drain: parts.drains.get(state.drain).to_vec(),
            asked: Vec::new(),
            fresh: 0,
        }
    }

    /// Notes that a fact was asked for that is not kept track of.
    pub fn note(&mut self, var: VarId) {
        if !self.asked.contains(&var) {
            self.asked.push(var);
        }
    }
}

/// Keeps of a frame what is kept track of and can still matter from any of these steps.
pub(super) fn keep_frame(
    model: &Model<'_>,
    tracked: &Tracked,
    list: usize,
    frame: &mut [u16],
    from: impl Iterator<Item = u32> + Clone,
) {
    let here = model.list(list);
    for (at, value) in frame.iter_mut().enumerate() {
        let var = here.first_var + at;
        let alive =
            tracked.always[var] || from.clone().any(|step| has(&here.live[step as usize], at));
        let memory = here.memory.get(at);
        if alive && tracked.kept[var] == 1 {
            *value = memory.map_or(*value, |memory| memory.alike(*value));
        }
        if *value == 0 || alive && tracked.kept[var] > 0 {
            continue;
        }
        let can_fade = memory.is_some_and(|memory| {
            *value == GIVEN || memory.given(*value).is_some_and(|given| given.fades)
        });
        *value = match tracked.kept[var] {
            CLOSEST if can_fade => *value,
            1 if can_fade => GIVEN,
            _ => 0,
        };
    }
}

/// The steps from which a list that waits can go on.
pub(super) fn resumes(model: &Model<'_>, site: u32) -> impl Iterator<Item = u32> + Clone {
    let site = &model.sites[site as usize];
    let mut steps: Vec<u32> = site
        .jumps()
        .flat_map(|jump| [Some(jump.go), jump.counted.map(|(_, _, after)| after)])
        .flatten()
        .collect();
    steps.extend(&site.lasts);
    steps.retain(|step| *step != NONE);
    steps.into_iter()
}

/// Numbers the parts of a draft and gives its state.
pub(super) fn finish(
    model: &Model<'_>,
    tracked: &Tracked,
    parts: &mut Parts,
    draft: &Draft,
) -> State {
    let list = usize::from(draft.list);
    let here = model.list(list);
    let knows_last = tracked.has(here.last_var());
    // What can be asked for again after an interruption is judged alike, whether the last item is
    // kept track of or not, so that a state looks alike from both.
    let lasts = &here.lasts[draft.step as usize];
    let from = [draft.step, draft.again]
        .into_iter()
        .chain(lasts.iter().copied())
        .filter(|step| *step != NONE);
    let mut frame = draft.frame.clone();
    keep_frame(model, tracked, list, &mut frame, from.clone());
    let mut alive = from.fold(0, |all, step| all | here.live_drains[step as usize]);
    if draft.held != NONE {
        alive |= parts.held.get(draft.held).drains;
    }
    let mut drain = draft.drain.clone();
    for (at, value) in drain.iter_mut().enumerate() {
        let alive = tracked.by_list || tracked.always[at] || alive >> at & 1 == 1;
        if tracked.kept[at] == 0 || !alive {
            *value = 0;
        }
    }
    State {
        held: draft.held,
        list: draft.list,
        step: draft.step,
        again: draft.again,
        last: if knows_last { draft.last } else { NONE },
        returned: knows_last && draft.returned,
        frame: parts.frames.add(frame.into()).0,
        drain: parts.drains.add(drain.into()).0,
    }
}

/// What an exact state looks like when only some facts are kept track of.
pub(super) fn blur(
    model: &Model<'_>,
    tracked: &Tracked,
    parts: &mut Parts,
    state: &State,
) -> State {
    if state.is_over() {
        return *state;
    }
    let mut draft = Draft::of(state, parts);
    draft.held = blur_held(model, tracked, parts, state.held);
    finish(model, tracked, parts, &draft)
}

fn blur_held(model: &Model<'_>, tracked: &Tracked, parts: &mut Parts, held: u32) -> u32 {
    if held == NONE {
        return NONE;
    }
    let mut one = parts.held.get(held).clone();
    one.held = blur_held(model, tracked, parts, one.held);
    let mut frame = parts.frames.get(one.frame).to_vec();
    let from = resumes(model, one.site);
    if !tracked.has(model.list(usize::from(one.list)).last_var()) {
        (one.last, one.returned) = (NONE, false);
    }
    keep_frame(model, tracked, usize::from(one.list), &mut frame, from);
    one.frame = parts.frames.add(frame.into()).0;
    parts.held.add(one).0
}
