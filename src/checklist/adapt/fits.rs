//! Whether changes still mean what they meant, when the shipped list has moved on since.
//!
//! Three texts are held against each other: the list as it was when the adaptation was written, the
//! list as it is now, and the changes. A change of a key still fits when the shipped list says the
//! same there as then; a step that is taken out, when nothing of it is other than then; a new step,
//! when the way on which it is put is the same.

use std::collections::BTreeMap;

use crate::checklist::raw::Spot;
use crate::checklist::tree::Node;

use super::misfit::{Elsewhere, Misfit};
use super::{Adaptation, What, entries, said, step, steps, text, value, ways};

/// The list then and now.
pub(in crate::checklist) struct Moved<'a> {
    /// As it was when the adaptation was written.
    pub(in crate::checklist) then: &'a Node,
    /// As it is now.
    pub(in crate::checklist) now: &'a Node,
    /// Where a node of the list then stands.
    pub(in crate::checklist) then_at: &'a dyn Fn(&Node) -> Elsewhere,
    /// Where a node of the list now stands.
    pub(in crate::checklist) now_at: &'a dyn Fn(&Node) -> Elsewhere,
}

/// What no longer fits, with the place of the change in the adaptation.
pub(in crate::checklist) fn misfits(
    adaptation: &Adaptation,
    moved: &Moved<'_>,
) -> Vec<(Spot, Misfit)> {
    let file = adaptation.at.file;
    let mut found = Vec::new();
    for change in &adaptation.changes {
        match &change.what {
            What::Change { step, set, drop } => {
                let name = step.is.as_str();
                let set = set
                    .iter()
                    .map(|(key, _)| (text(key), Spot { file, node: key.id }));
                let drop = drop.iter().map(|key| (key.is.as_str(), key.at));
                for (key, at) in set.chain(drop) {
                    found.extend(moved.key(name, key).map(|misfit| (at, misfit)));
                }
            }
            What::Add { after, way, .. } => {
                let name = after.is.as_str();
                let Some((_, then)) = step(moved.then, name) else {
                    continue;
                };
                let way = match way {
                    Some(way) => Some(way.is.clone()),
                    None => ways::plain_way(then).map(str::to_owned),
                };
                let misfit = way.and_then(|way| moved.way(name, &way));
                found.extend(misfit.map(|misfit| (after.at, misfit)));
            }
            What::Remove { step, .. } => {
                let misfit = moved.whole(step.is.as_str());
                found.extend(misfit.map(|misfit| (step.at, misfit)));
            }
            What::Limit { .. } | What::Fact { .. } => {}
        }
    }
    found
}

/// Steps of the shipped list that are new, gone, or other than then.
pub(in crate::checklist) fn moved_steps(then: &Node, now: &Node) -> Vec<String> {
    let by_name = |list: &Node| -> BTreeMap<String, String> {
        steps(list)
            .iter()
            .map(|(key, step)| (text(key).to_owned(), sorted(step)))
            .collect()
    };
    let (then, now) = (by_name(then), by_name(now));
    let mut moved = Vec::new();
    for (name, step) in &now {
        match then.get(name) {
            None => moved.push(format!("{name} is new")),
            Some(old) if old != step => moved.push(name.clone()),
            Some(_) => {}
        }
    }
    let gone = then.keys().filter(|name| !now.contains_key(*name));
    moved.extend(gone.map(|name| format!("{name} is gone")));
    moved
}

/// What a step says, whatever the order of its keys.
fn sorted(step: &Node) -> String {
    let mut keys: Vec<String> = entries(step)
        .iter()
        .map(|(key, value)| format!("{}: {}", said(key), said(value)))
        .collect();
    keys.sort();
    keys.join("; ")
}

impl Moved<'_> {
    fn misfit(
        &self,
        step: &str,
        key: &str,
        then: Option<(&Node, String)>,
        now: Option<(&Node, String)>,
    ) -> Misfit {
        let fallback = &self.then;
        Misfit::MovedBelow {
            step: step.to_owned(),
            key: key.to_owned(),
            then_at: (self.then_at)(then.as_ref().map_or(fallback, |(node, _)| node)),
            now_at: now.as_ref().map(|(node, _)| (self.now_at)(node)),
            was: then.map_or_else(nothing, |(_, words)| words),
            now: now.map_or_else(nothing, |(_, words)| words),
        }
    }

    /// Whether a key of a step says something else now. A step that was not there then is one that
    /// the adaptation adds.
    fn key(&self, name: &str, key: &str) -> Option<Misfit> {
        let (then_name, then) = step(self.then, name)?;
        let then_key = value(then, key);
        let old = then_key.map(|node| (node, said(node)));
        let Some((_, now)) = step(self.now, name) else {
            return Some(self.misfit(name, key, old.or(Some((then_name, nothing()))), None));
        };
        let new = value(now, key).map(|node| (node, said(node)));
        if old.as_ref().map(|(_, words)| words) == new.as_ref().map(|(_, words)| words) {
            return None;
        }
        let old = old.or(Some((then_name, nothing())));
        Some(self.misfit(name, key, old, new))
    }

    /// Whether a way out of a step leads elsewhere now.
    fn way(&self, name: &str, way: &str) -> Option<Misfit> {
        let find = |list: &Node| -> Option<(Node, String)> {
            let mut step = step(list, name)?.1.clone();
            let found = ways::find(&mut step, way)?.clone();
            let words = said(&found);
            Some((found, words))
        };
        let (then, now) = (find(self.then), find(self.now));
        let differs = then.as_ref().map(|(_, words)| words) != now.as_ref().map(|(_, words)| words);
        let shown = |found: &'_ Option<(Node, String)>| found.clone();
        let (old, new) = (shown(&then), shown(&now));
        differs.then(|| {
            self.misfit(
                name,
                way,
                old.as_ref().map(|(node, words)| (node, words.clone())),
                new.as_ref().map(|(node, words)| (node, words.clone())),
            )
        })
    }

    /// Whether anything of a step is other now.
    fn whole(&self, name: &str) -> Option<Misfit> {
        let (_, then) = step(self.then, name)?;
        let now = step(self.now, name).map(|(_, step)| step)?;
        let mut keys: Vec<&str> = entries(then).iter().map(|(key, _)| text(key)).collect();
        keys.extend(entries(now).iter().map(|(key, _)| text(key)));
        keys.into_iter().find_map(|key| self.key(name, key))
    }
}

fn nothing() -> String {
    "nothing".to_owned()
}
