//! What can still matter: a fact that no step ahead asks for is forgotten, so that two states
//! which differ only in it are one.

use super::model::{List, Main, Model, Step, Way};

/// Finds for each step of each list what can still matter from there on.
pub(super) fn find(model: &mut Model<'_>) {
    let order = used_first(model);
    for at in order {
        let Some(list) = model.lists[at].as_ref() else {
            continue;
        };
        let (live, drains) = of_list(model, list);
        if let Some(list) = model.lists[at].as_mut() {
            list.live = live;
            list.live_drains = drains;
        }
    }
}

/// The lists with those that are used before those that use them.
fn used_first(model: &Model<'_>) -> Vec<usize> {
    fn visit(model: &Model<'_>, at: usize, seen: &mut Vec<bool>, order: &mut Vec<usize>) {
        if std::mem::replace(&mut seen[at], true) {
            return;
        }
        if let Some(list) = &model.lists[at] {
            for used in list.steps.iter().flat_map(uses) {
                visit(model, used, seen, order);
            }
        }
        order.push(at);
    }
    let mut order = Vec::new();
    visit(
        model,
        model.root,
        &mut vec![false; model.lists.len()],
        &mut order,
    );
    order
}

/// Every way out of a step.
pub(super) fn ways(step: &Step) -> Vec<Way> {
    match step {
        Step::Asked { replies, .. } => replies.iter().map(|reply| reply.way).collect(),
        Step::Decide { rows, otherwise } => rows
            .iter()
            .map(|(_, way)| *way)
            .chain([*otherwise])
            .collect(),
        Step::Use(way) => vec![*way],
        Step::End(_) => Vec::new(),
    }
}

fn uses(step: &Step) -> Vec<usize> {
    let used = ways(step).into_iter().filter_map(|way| match way {
        Way::Use { list, .. } => Some(list),
        Way::Jump(_) => None,
    });
    used.collect()
}

/// Every step of the same list that can follow a step, whatever happens in lists used between.
pub(super) fn followers(model: &Model<'_>, step: &Step) -> Vec<u32> {
    let mut found = Vec::new();
    let mut jump = |jump: super::model::Jump| {
        found.push(jump.go);
        found.extend(jump.counted.map(|(_, _, after)| after));
    };
    for way in ways(step) {
        match way {
            Way::Jump(one) => jump(one),
            Way::Use { site, .. } => model.sites[site as usize].jumps().for_each(&mut jump),
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}

fn of_list(model: &Model<'_>, list: &List) -> (Vec<Vec<u64>>, Vec<u64>) {
    let words = list.width().div_ceil(64);
    let mut live = vec![vec![0; words]; list.steps.len()];
    let mut drains = vec![0; list.steps.len()];
    let mut before: Vec<Vec<u32>> = vec![Vec::new(); list.steps.len()];
    for (at, step) in list.steps.iter().enumerate() {
        own(model, list, step, &mut live[at], &mut drains[at]);
        for next in followers(model, step) {
            before[next as usize].push(super::model::step_number(at));
        }
    }
    let mut open: Vec<u32> = (0..super::model::step_number(list.steps.len())).collect();
    while let Some(at) = open.pop() {
        for from in before[at as usize].clone() {
            let (here, there) = (live[at as usize].clone(), &mut live[from as usize]);
            let mut grew = drains[from as usize] | drains[at as usize] != drains[from as usize];
            drains[from as usize] |= drains[at as usize];
            for (word, (there, here)) in there.iter_mut().zip(here).enumerate() {
                let here = here & !answered(&list.steps[from as usize], word);
                grew |= *there | here != *there;
                *there |= here;
            }
            if grew {
                open.push(from);
            }
        }
    }
    fading(list, &mut live, &mut drains);
    (live, drains)
}

/// What the step gives anew, whatever the answer.
fn answered(step: &Step, word: usize) -> u64 {
    match step {
        Step::Asked {
            memory: Some(at), ..
        } if at / 64 == word => 1 << (at % 64),
        _ => 0,
    }
}

/// An answer that becomes too old can be asked again anywhere, and then its own ways are open.
fn fading(list: &List, live: &mut [Vec<u64>], drains: &mut [u64]) {
    let mut always = vec![0; list.width().div_ceil(64)];
    let mut always_drains = 0;
    for memory in &list.memory {
        for value in memory.values.iter().filter(|value| value.fades) {
            for (all, one) in always.iter_mut().zip(&live[value.step as usize]) {
                *all |= one;
            }
            always_drains |= drains[value.step as usize];
        }
    }
    for step in live {
        for (one, all) in step.iter_mut().zip(&always) {
            *one |= all;
        }
    }
    for step in drains {
        *step |= always_drains;
    }
}

/// What the step itself asks for.
fn own(model: &Model<'_>, list: &List, step: &Step, live: &mut [u64], drains: &mut u64) {
    if let Step::Decide { rows, .. } = step {
        for cond in rows.iter().flat_map(|(when, _)| when) {
            match cond.main {
                Main::Memory(at) => set(live, at),
                Main::Drain(at) => *drains |= 1 << at,
                Main::Fixed => {}
            }
        }
    }
    let mut jumps: Vec<super::model::Jump> = Vec::new();
    for way in ways(step) {
        match way {
            Way::Jump(jump) => jumps.push(jump),
            Way::Use { list: used, site } => {
                jumps.extend(model.sites[site as usize].jumps());
                if let Some(used) = &model.lists[used] {
                    *drains |= used
                        .live_drains
                        .get(used.begin as usize)
                        .copied()
                        .unwrap_or(0);
                }
            }
        }
    }
    for (counter, _, _) in jumps.into_iter().filter_map(|jump| jump.counted) {
        set(live, list.memory.len() + counter);
    }
}

fn set(bits: &mut [u64], at: usize) {
    bits[at / 64] |= 1 << (at % 64);
}

/// Whether a bit is set.
pub(super) fn has(bits: &[u64], at: usize) -> bool {
    bits[at / 64] >> (at % 64) & 1 == 1
}
