//! Which item can be the last completed one where: after an interruption it is repeated. Found
//! from the shape of a list alone, so that the real last item need not be kept track of.

use super::model::{List, Model, NONE, Step, Way, step_number};

/// Possible last items, in order; [`NONE`] among them for a pass without any yet.
pub(super) type Lasts = Vec<u32>;

/// Finds them for each step of each list, and for each place where a used list is waited for.
pub(super) fn find(model: &mut Model<'_>) {
    let mut waiting = vec![Lasts::new(); model.sites.len()];
    for at in 0..model.lists.len() {
        let Some(list) = &model.lists[at] else {
            continue;
        };
        let found = of_list(model, list, &mut waiting);
        if let Some(list) = model.lists[at].as_mut() {
            list.lasts = found;
        }
    }
    for (site, lasts) in model.sites.iter_mut().zip(waiting) {
        site.lasts = lasts;
    }
}

fn of_list(model: &Model<'_>, list: &List, waiting: &mut [Lasts]) -> Vec<Lasts> {
    let mut found = vec![Lasts::new(); list.steps.len()];
    found[list.begin as usize].push(NONE);
    // Asked again anywhere because it is too old, a step becomes the last item there.
    let mut old: Lasts = list
        .memory
        .iter()
        .flat_map(|memory| memory.values.iter().filter(|value| value.fades))
        .map(|value| value.step)
        .collect();
    old.dedup();
    for lasts in &mut found {
        join(lasts, &old);
    }
    let mut open: Vec<u32> = (0..step_number(list.steps.len())).collect();
    while let Some(at) = open.pop() {
        let step = &list.steps[at as usize];
        let out = match step {
            Step::Asked { .. } => {
                join(&mut found[at as usize], &[at]);
                vec![at]
            }
            _ => found[at as usize].clone(),
        };
        for way in super::live::ways(step) {
            let mut reach = |jump: super::model::Jump| {
                for next in [Some(jump.go), jump.counted.map(|(_, _, after)| after)]
                    .into_iter()
                    .flatten()
                {
                    if join(&mut found[next as usize], &out) {
                        open.push(next);
                    }
                }
            };
            match way {
                Way::Jump(jump) => reach(jump),
                Way::Use { site, .. } => {
                    join(&mut waiting[site as usize], &out);
                    model.sites[site as usize].jumps().for_each(reach);
                }
            }
        }
    }
    found
}

/// Adds what is not there yet; whether there was anything.
fn join(lasts: &mut Lasts, more: &[u32]) -> bool {
    let before = lasts.len();
    lasts.extend(more);
    lasts.sort_unstable();
    lasts.dedup();
    lasts.len() > before
}
