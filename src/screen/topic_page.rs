//! What is told on demand: the reason and sources of a step, what is open, what each key does.

use crate::moment::Moment;
use crate::walk::view::View;

use super::labels;
use super::look::{Look, Role};
use super::open_things::{call_words, duty_words};
use super::page::Page;
use super::step_page::Typing;
use super::ways::{Topic, Way, Ways};

/// The page for the topic.
pub(super) fn page(view: &View, topic: Topic, now: Moment, look: Look, typing: Typing) -> Page {
    let mut page = Page::new(look);
    match topic {
        Topic::Why => why(&mut page, view),
        Topic::Calls => calls(&mut page, view, now, typing),
        Topic::Duties => duties(&mut page, view, now, typing),
        Topic::Keys => keys(&mut page, &Ways::at(view)),
    }
    page
}

fn why(page: &mut Page, view: &View) {
    let why = view.why.as_deref().unwrap_or(labels::NO_WHY);
    page.words(Role::Plain, labels::WHY_LEAD, why);
    for source in &view.sources {
        page.words(Role::Plain, labels::SOURCE, source);
    }
    if view.sources.is_empty() {
        page.words(Role::Plain, labels::SOURCE, labels::NO_SOURCE);
    }
}

fn calls(page: &mut Page, view: &View, now: Moment, typing: Typing) {
    for call in &view.calls {
        let words = labels::sentence(&call_words(call, now));
        page.words(Role::Plain, "", &words);
    }
    match view.calls.first() {
        None => page.words(Role::Plain, "", labels::NO_CALLS),
        Some(first) if typing == Typing::Lines => page.words(
            Role::Quiet,
            "Write: ",
            &format!(
                "c{n} answered: who; c{n} arrived: who; c{n} ordered: what, as read back; c{n} next",
                n = first.call
            ),
        ),
        Some(_) => {}
    }
}

fn duties(page: &mut Page, view: &View, now: Moment, typing: Typing) {
    for (index, duty) in view.duties.iter().enumerate() {
        let lead = format!("Duty {} ({}): ", index + 1, duty.duty);
        page.words(Role::Plain, &lead, &duty_words(duty, now));
    }
    match view.duties.first() {
        None => page.words(Role::Plain, "", labels::NO_DUTIES),
        Some(first) if typing == Typing::Lines => page.words(
            Role::Quiet,
            "Write: ",
            &format!("close {}: how, or to whom it was handed over", first.duty),
        ),
        Some(_) => {}
    }
}

fn keys(page: &mut Page, ways: &Ways) {
    for way in &ways.urgent {
        let words = format!("starts \"{}\" at once; this list is held", way.words);
        page.words(Role::Plain, &lead(way), &words);
    }
    for way in &ways.answers {
        page.words(Role::Plain, &lead(way), &way.words);
    }
    for way in &ways.others {
        page.words(Role::Plain, &lead(way), labels::explain(&way.words));
    }
    page.words(Role::Plain, "Enter ", labels::ENTER_MEANS);
}

fn lead(way: &Way) -> String {
    format!("{:5} ", way.key)
}
