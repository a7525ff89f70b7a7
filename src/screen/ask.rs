//! What can be asked outside a step: menus and free text.

use std::time::Duration;

use crate::names::ListName;
use crate::walk::view::UrgentKey;

use super::Tone;

/// A choice among items, with what must be known before choosing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Menu {
    /// What is chosen.
    pub title: String,
    /// What stands above the items: cautions, what is open, what is due.
    pub lines: Vec<(Tone, String)>,
    /// The items, in the order shown. The urgent keys are shown before them.
    pub items: Vec<Item>,
    /// Urgent checklists with the key that starts each.
    pub urgent: Vec<UrgentKey>,
    /// After how long without a key it must be put together anew, because what stands above the
    /// items may no longer be so; `None` when it stays as it is.
    pub look_again: Option<Duration>,
    /// What leaving the menu with `q` means, such as "Leave"; `None` when it cannot be left.
    pub leave: Option<String>,
}

/// One item of a [`Menu`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// A small letter other than `q`; without one the item is numbered.
    pub key: Option<char>,
    /// The item in words.
    pub text: String,
    /// More about it, shown after the words.
    pub detail: Option<String>,
}

impl Item {
    /// An item that is numbered.
    #[must_use]
    pub fn numbered(text: &str) -> Self {
        Self {
            key: None,
            text: text.to_owned(),
            detail: None,
        }
    }

    /// An item with its own key.
    #[must_use]
    pub fn keyed(key: char, text: &str) -> Self {
        Self {
            key: Some(key),
            text: text.to_owned(),
            detail: None,
        }
    }

    /// The same item with more about it.
    #[must_use]
    pub fn detail(mut self, detail: &str) -> Self {
        self.detail = Some(detail.to_owned());
        self
    }
}

/// What was chosen from a [`Menu`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Picked {
    /// The item at this place, counted from 0.
    Item(usize),
    /// An urgent checklist.
    Urgent(ListName),
    /// Nothing: no key came in time, and the menu is to be put together anew.
    Again,
    /// The menu was left.
    Leave,
}

/// A question for free text.
pub struct TextQuestion<'a> {
    /// The question.
    pub question: &'a str,
    /// How to write the answer; shown with the question.
    pub hint: Option<&'a str>,
    /// Whether a single hyphen leaves it open, because the answer is not known.
    pub may_be_open: bool,
    /// Says what is wrong with a text and what to write instead.
    pub check: &'a dyn Fn(&str) -> Result<(), String>,
}
