//! The page for a menu, and how a choice is found on it. Urgent keys stand first.

use super::look::{Look, Role};
use super::page::Page;
use super::{Menu, Picked, TextQuestion, labels, messages};

/// One thing that can be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    /// The key or number.
    pub key: String,
    /// The words that mean the same.
    pub words: String,
    /// What choosing it means.
    pub picked: Picked,
}

/// Everything that can be chosen, urgent checklists first.
pub(super) fn entries(menu: &Menu) -> Vec<Entry> {
    let urgent = menu.urgent.iter().map(|urgent| Entry {
        key: urgent.key.to_string(),
        words: urgent.title.clone(),
        picked: Picked::Urgent(urgent.list.clone()),
    });
    let mut number = 0;
    let items = menu.items.iter().enumerate().map(|(index, item)| {
        let key = match item.key {
            Some(key) => key.to_string(),
            None => {
                number += 1;
                number.to_string()
            }
        };
        Entry {
            key,
            words: item.text.clone(),
            picked: Picked::Item(index),
        }
    });
    let leave = menu.leave.iter().map(|words| Entry {
        key: "q".to_owned(),
        words: words.clone(),
        picked: Picked::Leave,
    });
    let mut all: Vec<Entry> = urgent.collect();
    all.extend(items);
    all.extend(leave);
    all
}

/// What the key or the words choose.
pub(super) fn find(entries: &[Entry], typed: &str) -> Option<Picked> {
    let typed = typed.trim();
    let by_key = entries.iter().find(|entry| entry.key == typed);
    let by_words = || {
        let typed = typed.to_lowercase();
        entries
            .iter()
            .find(|entry| entry.words.to_lowercase() == typed)
    };
    by_key.or_else(by_words).map(|entry| entry.picked.clone())
}

/// The page for the menu.
pub(super) fn page(menu: &Menu, look: Look) -> Page {
    let mut page = Page::new(look);
    page.rule();
    let entries = entries(menu);
    let pair = |entry: &Entry| (entry.key.clone(), entry.words.clone());
    let is_urgent = |entry: &&Entry| matches!(entry.picked, Picked::Urgent(_));
    page.keys(
        labels::URGENT_KEYS,
        entries.iter().filter(is_urgent).map(pair),
    );
    page.words(Role::Title, "", &menu.title);
    for (tone, line) in &menu.lines {
        let (role, lead) = messages::manner(*tone);
        page.words(role, lead, line);
    }
    page.gap();
    let items = entries.iter().filter_map(|entry| match entry.picked {
        Picked::Item(index) => {
            let detail = menu.items.get(index).and_then(|item| item.detail.as_ref());
            let words = match detail {
                Some(detail) => format!("{} ({detail})", entry.words),
                None => entry.words.clone(),
            };
            Some((entry.key.clone(), words))
        }
        _ => None,
    });
    page.answers(items);
    let leave = entries.iter().filter(|entry| entry.picked == Picked::Leave);
    page.keys(labels::KEYS_LEAD, leave.map(pair));
    page
}

/// A question for free text with its hint.
pub(super) fn question(question: &TextQuestion<'_>) -> String {
    let open = question.may_be_open.then_some(labels::LEAVE_OPEN);
    let hints: Vec<&str> = question.hint.into_iter().chain(open).collect();
    if hints.is_empty() {
        question.question.to_owned()
    } else {
        format!("{} ({})", question.question, hints.join("; "))
    }
}
