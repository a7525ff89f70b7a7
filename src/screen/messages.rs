//! Lines that are said between pages, for every form.

use crate::clean;

use super::look::{Look, Role};
use super::page::Page;
use super::{Tone, labels};

/// Something said in a tone: a page of its own. Each line of the text is a paragraph.
pub(super) fn said(look: Look, tone: Tone, text: &str) -> Page {
    let (role, lead) = manner(tone);
    let mut page = Page::new(look);
    for (index, line) in text.lines().enumerate() {
        page.words(role, if index == 0 { lead } else { "" }, line);
    }
    page
}

/// The role of the text and what stands before it, so that the tone is told without colour.
pub(super) const fn manner(tone: Tone) -> (Role, &'static str) {
    match tone {
        Tone::Plain => (Role::Plain, ""),
        Tone::Title => (Role::Title, ""),
        Tone::Caution => (Role::Caution, labels::CAUTION),
        Tone::Overdue => (Role::Alarm, labels::OVERDUE),
        Tone::Problem => (Role::Alarm, labels::PROBLEM),
        Tone::Quiet => (Role::Quiet, ""),
    }
}

/// Text that is laid out already, line by line without control characters.
pub(super) fn laid_out(look: Look, rendered: &str) -> Vec<String> {
    clean::lines(rendered)
        .lines()
        .map(|line| look.text(line))
        .collect()
}
