//! Words that stay as they were approved: what a list says must never be done.
//!
//! Steps with one of the tags below keep their words and their tags, in an adaptation and in a whole
//! list of the unit's own that takes the place of a shipped one. Where their ways lead may change;
//! that is for the safeguards to judge.

use crate::checklist::tree::{Data, Node};

use super::{entries, said, step, steps, text, value};

/// The tags whose steps keep their words.
const TAGS: &[&str] = &["never-do", "no-clamp", "keep-open"];

/// The keys that hold the words of a step.
const WORDS: &[&str] = &[
    "do", "check", "ask", "measure", "wait", "end", "expect", "caution",
];

/// A step whose words were changed.
#[derive(Debug)]
pub(in crate::checklist) struct Touched {
    /// The step.
    pub(in crate::checklist) step: String,
    /// The tag that locks it.
    pub(in crate::checklist) tag: String,
    /// Which words.
    pub(in crate::checklist) key: String,
    /// As they are shipped.
    pub(in crate::checklist) was: String,
    /// As they are now; `None` when the step is gone.
    pub(in crate::checklist) now: Option<String>,
}

/// Every locked step of the shipped list whose words are other in the unit's, or that is gone.
pub(in crate::checklist) fn touched(shipped: &Node, own: &Node) -> Vec<Touched> {
    let mut found = Vec::new();
    for (name, before) in steps(shipped) {
        let Some(tag) = tags(before)
            .into_iter()
            .find(|tag| TAGS.contains(&tag.as_str()))
        else {
            continue;
        };
        let told = |key: &str, was: String, now: Option<String>| Touched {
            step: text(name).to_owned(),
            tag: tag.clone(),
            key: key.to_owned(),
            was,
            now,
        };
        let Some((_, after)) = step(own, text(name)) else {
            found.push(told("step", text(name).to_owned(), None));
            continue;
        };
        found.extend(
            differences(before, after)
                .into_iter()
                .map(|(key, was, now)| told(&key, was, Some(now))),
        );
    }
    found
}

/// The words that differ: key, then, now.
fn differences(before: &Node, after: &Node) -> Vec<(String, String, String)> {
    let words = |step: &Node, key: &str| value(step, key).map_or_else(String::new, said);
    let mut found = Vec::new();
    for key in WORDS {
        let (was, now) = (words(before, key), words(after, key));
        if was != now {
            found.push(((*key).to_owned(), was, now));
        }
    }
    let (was, now) = (answers(before), answers(after));
    if was != now {
        found.push(("answers".to_owned(), was.join(" · "), now.join(" · ")));
    }
    let now = tags(after);
    let was: Vec<String> = tags(before)
        .into_iter()
        .filter(|tag| TAGS.contains(&tag.as_str()))
        .collect();
    if was.iter().any(|tag| !now.contains(tag)) {
        found.push(("tags".to_owned(), was.join(" · "), now.join(" · ")));
    }
    found
}

fn answers(step: &Node) -> Vec<String> {
    match value(step, "answers").map(|node| &node.data) {
        Some(Data::List(items)) => items
            .iter()
            .filter_map(|item| entries(item).first())
            .map(|(words, _)| said(words))
            .collect(),
        _ => Vec::new(),
    }
}

fn tags(step: &Node) -> Vec<String> {
    match value(step, "tags") {
        Some(node) => match &node.data {
            Data::List(items) => items.iter().map(said).collect(),
            _ => vec![said(node)],
        },
        None => Vec::new(),
    }
}
