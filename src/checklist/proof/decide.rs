//! How a `decide` can come out, with everything that is not kept track of left open.

use super::model::{Cond, GIVEN, Main, Model, OLD, VarId, Way};
use super::moves::{Mover, ask_again};
use super::state::{Draft, Tracked};

/// What was assumed of a fact within one `decide`, so that two rows do not assume two things.
type Assumed = Vec<(Main, u16)>;

/// Every way out of a `decide`; `None` when an answer that is too old is asked again first.
pub(super) fn decide(
    mover: &Mover<'_, '_>,
    draft: Draft,
    rows: &[(Vec<Cond>, Way)],
    otherwise: Way,
) -> Vec<(Draft, Option<Way>)> {
    let mut found = Vec::new();
    let mut old = Vec::new();
    // The walk looks at every condition of a row, also when an earlier one does not hold: a later
    // one may rest on an answer that is too old.
    let mut open = vec![(draft, Assumed::new(), 0, 0, true)];
    while let Some((draft, assumed, row, at, holds)) = open.pop() {
        let Some((when, way)) = rows.get(row) else {
            found.push((draft, Some(otherwise)));
            continue;
        };
        let Some(cond) = when.get(at) else {
            if holds {
                found.push((draft, Some(*way)));
            } else {
                open.push((draft, assumed, row + 1, 0, true));
            }
            continue;
        };
        let mut next = Vec::new();
        for (draft, assumed, value) in values(mover, draft, &assumed, cond.main, rows) {
            match value {
                Known::TooOld(step) => {
                    old.push((ask_again(mover.model, mover.tracked, draft, step), None));
                }
                Known::Is(value) => {
                    let mut draft = draft;
                    let outcomes: &[bool] = match cond.holds[usize::from(value)] {
                        Some(true) => &[true],
                        Some(false) => &[false],
                        None => {
                            if let Some(weight) = mover.model.weight {
                                draft.note(super::model::short(weight));
                            }
                            &[true, false]
                        }
                    };
                    for is in outcomes {
                        let (draft, assumed) = (draft.clone(), assumed.clone());
                        next.push((draft, assumed, row, at + 1, holds && *is));
                    }
                }
            }
        }
        open.extend(next.into_iter().rev());
    }
    found.extend(old);
    merge(found)
}

/// Ways that differ only in what was assumed are one.
fn merge(found: Vec<(Draft, Option<Way>)>) -> Vec<(Draft, Option<Way>)> {
    let mut kept: Vec<(Draft, Option<Way>)> = Vec::new();
    for (draft, way) in found {
        let twin = kept.iter().any(|(one, other)| {
            *other == way
                && one.again == draft.again
                && one.drain == draft.drain
                && one.frame == draft.frame
                && one.fresh == draft.fresh
                && one.asked == draft.asked
        });
        if !twin {
            kept.push((draft, way));
        }
    }
    kept
}

/// What a fact can be found to be.
enum Known {
    /// This, as a number.
    Is(u16),
    /// Too old; the step is asked again.
    TooOld(u32),
}

/// Every value that a fact can have here.
fn values(
    mover: &Mover<'_, '_>,
    draft: Draft,
    assumed: &Assumed,
    main: Main,
    rows: &[(Vec<Cond>, Way)],
) -> Vec<(Draft, Assumed, Known)> {
    if let Some((_, value)) = assumed.iter().find(|(one, _)| *one == main) {
        return vec![(draft, assumed.clone(), Known::Is(*value))];
    }
    match main {
        Main::Fixed => vec![(draft, assumed.clone(), Known::Is(0))],
        Main::Drain(at) => drain_values(mover.model, mover.tracked, draft, at)
            .into_iter()
            .filter(unlike(
                rows,
                main,
                mover.tracked.has(super::model::short(at)),
            ))
            .map(|(draft, value)| {
                let mut assumed = assumed.clone();
                assumed.push((main, value));
                (draft, assumed, Known::Is(value))
            })
            .collect(),
        Main::Memory(at) => remembered(mover, &draft, assumed, at, rows),
    }
}

/// Of a fact that is not kept track of, one value is enough for all that every condition of this
/// `decide` takes alike.
fn unlike(
    rows: &[(Vec<Cond>, Way)],
    main: Main,
    tracked: bool,
) -> impl FnMut(&(Draft, u16)) -> bool {
    let conds = rows.iter().flat_map(|(when, _)| when);
    let tables: Vec<Vec<Option<bool>>> = conds
        .filter(|cond| cond.main == main)
        .map(|cond| cond.holds.clone())
        .collect();
    let mut seen: Vec<Vec<Option<bool>>> = Vec::new();
    move |(_, value)| {
        if tracked {
            return true;
        }
        let looks = tables
            .iter()
            .map(|table| table[usize::from(*value)])
            .collect();
        if seen.contains(&looks) {
            return false;
        }
        seen.push(looks);
        true
    }
}

/// Every value that a drain fact can have. It is the same in the whole run once it was chosen.
pub(super) fn drain_values(
    model: &Model<'_>,
    tracked: &Tracked,
    mut draft: Draft,
    at: usize,
) -> Vec<(Draft, u16)> {
    let var: VarId = super::model::short(at);
    if draft.drain[at] != 0 {
        let value = draft.drain[at];
        return vec![(draft, value)];
    }
    if !tracked.has(var) {
        draft.note(var);
    }
    model.drains[at]
        .numbers()
        .map(|value| {
            let mut draft = draft.clone();
            if tracked.has(var) {
                draft.drain[at] = value;
            }
            (draft, value)
        })
        .collect()
}

fn remembered(
    mover: &Mover<'_, '_>,
    draft: &Draft,
    assumed: &Assumed,
    at: usize,
    rows: &[(Vec<Cond>, Way)],
) -> Vec<(Draft, Assumed, Known)> {
    let list = mover.model.list(usize::from(draft.list));
    let memory = &list.memory[at];
    let var = list.memory_var(at);
    let mut draft = draft.clone();
    let tracked = mover.tracked.has(var) && draft.frame[at] != GIVEN;
    let possible: Vec<u16> = if tracked {
        vec![draft.frame[at]]
    } else {
        draft.note(var);
        (0..=super::model::short(memory.values.len())).collect()
    };
    let mut found = Vec::new();
    let mut old = Vec::new();
    let mut unlike = unlike(rows, Main::Memory(at), tracked);
    for value in possible {
        let given = memory.given(value);
        if let Some(given) = given.filter(|given| given.fades && mover.scope.fading)
            && !old.contains(&given.step)
        {
            old.push(given.step);
        }
        let probe = (draft.clone(), value);
        if value & OLD != 0 || !unlike(&probe) {
            continue;
        }
        let mut here = probe.0;
        here.fresh |= mover.fresh_bit(var);
        let mut assumed = assumed.clone();
        assumed.push((Main::Memory(at), value));
        found.push((here, assumed, Known::Is(value)));
    }
    found.extend(
        old.into_iter()
            .map(|step| (draft.clone(), assumed.clone(), Known::TooOld(step))),
    );
    found
}
