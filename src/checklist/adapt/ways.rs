//! The ways out of a step in its untyped form, to lead one of them elsewhere.

use crate::checklist::tree::{Data, Node};

use super::{entries, text, value};

/// Keys that are a way out of a step.
const KEYS: &[&str] = &[
    "then",
    "if_not_done",
    "as_expected",
    "not_as_expected",
    "could_not_check",
    "not_obtained",
    "elapsed",
    "if_missed",
    "otherwise",
];

/// Keys that hold a list of single-key maps, each a way out.
const LISTS: &[&str] = &["answers", "bands"];

/// The way on which a step is put when none is named: only of kinds that have one good way.
pub(super) fn plain_way(step: &Node) -> Option<&'static str> {
    [
        ("do", "then"),
        ("check", "as_expected"),
        ("wait", "elapsed"),
    ]
    .into_iter()
    .find(|(kind, _)| value(step, kind).is_some())
    .map(|(_, way)| way)
}

/// The names of all ways out of a step, as `way` takes them.
pub(super) fn names(step: &Node) -> Vec<String> {
    let mut names = Vec::new();
    for (key, node) in entries(step) {
        let key = text(key);
        if KEYS.contains(&key) {
            names.push(key.to_owned());
        } else if LISTS.contains(&key)
            && let Data::List(items) = &node.data
        {
            let words = items.iter().filter_map(|item| entries(item).first());
            names.extend(words.map(|(words, _)| super::said(words)));
        }
    }
    names
}

/// The way of that name, to be changed.
pub(super) fn find<'n>(step: &'n mut Node, way: &str) -> Option<&'n mut Node> {
    let Data::Map(entries) = &mut step.data else {
        return None;
    };
    for (key, node) in entries {
        let key = text(key).to_owned();
        if KEYS.contains(&key.as_str()) && key == way {
            return Some(node);
        }
        if !LISTS.contains(&key.as_str()) {
            continue;
        }
        let Data::List(items) = &mut node.data else {
            continue;
        };
        for item in items {
            if let Data::Map(entries) = &mut item.data
                && let [(words, node)] = entries.as_mut_slice()
                && super::said(words) == way
            {
                return Some(node);
            }
        }
    }
    None
}

/// Leads a way to another step; `false` when it goes through another list.
pub(super) fn lead(way: &mut Node, to: &Node) -> bool {
    match &mut way.data {
        Data::Text(_) => {
            *way = to.clone();
            true
        }
        Data::Map(entries) => {
            let go = entries.iter_mut().find(|(key, _)| text(key) == "go");
            match go {
                Some((_, node)) => {
                    *node = to.clone();
                    true
                }
                None => false,
            }
        }
        _ => false,
    }
}

/// Leads every way of a list that goes to a step to another one, and its beginning too.
pub(super) fn lead_all(list: &mut Node, from: &str, to: &Node) {
    let Data::Map(head) = &mut list.data else {
        return;
    };
    for (key, node) in head {
        match text(key) {
            "begin" if text(node) == from => *node = to.clone(),
            "steps" => {
                if let Data::Map(steps) = &mut node.data {
                    for (_, step) in steps {
                        in_step(step, from, to);
                    }
                }
            }
            _ => {}
        }
    }
}

fn in_step(step: &mut Node, from: &str, to: &Node) {
    let Data::Map(entries) = &mut step.data else {
        return;
    };
    for (key, node) in entries {
        let key = text(key);
        if KEYS.contains(&key) || LISTS.contains(&key) || key == "decide" {
            in_way(node, from, to);
        }
    }
}

/// Within a way every text is the name of a step, but for lists that are used and conditions.
fn in_way(node: &mut Node, from: &str, to: &Node) {
    match &mut node.data {
        Data::Text(name) if name == from => *node = to.clone(),
        Data::List(items) => items.iter_mut().for_each(|item| in_way(item, from, to)),
        Data::Map(entries) => {
            for (key, node) in entries {
                if !matches!(text(key), "use" | "when") {
                    in_way(node, from, to);
                }
            }
        }
        _ => {}
    }
}

/// Every step that a way of the step may lead to, by name.
pub(super) fn targets(step: &Node) -> Vec<String> {
    fn gather(node: &Node, found: &mut Vec<String>) {
        match &node.data {
            Data::Text(name) => found.push(name.clone()),
            Data::List(items) => items.iter().for_each(|item| gather(item, found)),
            Data::Map(entries) => {
                for (key, node) in entries {
                    if !matches!(text(key), "use" | "when") {
                        gather(node, found);
                    }
                }
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    for (key, node) in entries(step) {
        let key = text(key);
        if KEYS.contains(&key) || LISTS.contains(&key) || key == "decide" {
            gather(node, &mut found);
        }
    }
    found
}
