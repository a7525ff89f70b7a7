//! What is open beside the step: calls, duties, lists that are held. Overdue things stand first.

use crate::moment::Moment;
use crate::walk::view::{CallTo, OpenCall, OpenDuty, View};

use super::clock_words::{at, at_in, long};
use super::labels;
use super::look::Role;
use super::page::Page;

/// Whom to call and how, in words: "site registrar: 4321".
pub(super) fn call_to(call: &CallTo) -> String {
    let who = call
        .who
        .as_deref()
        .unwrap_or_else(|| labels::level(call.level));
    match &call.how {
        Some(how) => format!("{who}: {how}"),
        None if call.level == crate::checklist::model::CallLevel::Emergency => {
            format!("{who}: {}", labels::OWN_NUMBER)
        }
        None => format!("{who}: {}", labels::OWN_CONTACT),
    }
}

/// True when nobody has answered in time.
fn call_overdue(call: &OpenCall, now: Moment) -> bool {
    call.answered.is_none() && call.due.is_some_and(|due| due <= now)
}

/// True when the duty has been open too long, or may not be open at all.
fn duty_overdue(duty: &OpenDuty, now: Moment) -> bool {
    duty.doubtful || duty.due.is_some_and(|due| due <= now)
}

/// An open call in words.
pub(super) fn call_words(call: &OpenCall, now: Moment) -> String {
    // A unit that has not filled in its ladder has no roles to name.
    let who = match call.who.as_str() {
        who if who.is_empty() || who.starts_with('[') => labels::level(call.level),
        who => who,
    };
    let called = format!("call {} to {who}, made {}", call.call, at(call.called, now));
    if let Some((who, when)) = &call.arrived {
        return format!("{called}, {who} here {}.", at(*when, now));
    }
    if let Some((who, when)) = &call.answered {
        return format!("{called}, answered by {who} {}.", at(*when, now));
    }
    let waiting = long(call.called, now);
    let next = match &call.next {
        Some(next) => format!("Then call {}", call_to(next)),
        None => "Nobody further is named here: call again".to_owned(),
    };
    match call.due {
        Some(due) if due <= now => format!("{called}, no answer for {waiting}. {next}."),
        Some(due) => format!("{called}, no answer yet, due {}. {next}.", at(due, now)),
        None => format!("{called}, no answer yet ({waiting})."),
    }
}

/// An open duty in words.
pub(super) fn duty_words(duty: &OpenDuty, now: Moment) -> String {
    let due = match duty.due {
        Some(due) if due <= now => {
            format!(", overdue since {}", at_in(due, (duty.since, due), now))
        }
        Some(due) => format!(", due {}", at_in(due, (duty.since, due), now)),
        None => String::new(),
    };
    let since = match duty.due {
        Some(due) => at_in(duty.since, (duty.since, due), now),
        None => at(duty.since, now),
    };
    let doubt = if duty.doubtful {
        format!(" ({})", labels::DOUBTFUL)
    } else {
        String::new()
    };
    format!(
        "{} since {since}{due}{doubt}. Still to do: {}",
        duty.open, duty.close
    )
}

/// What is overdue, above everything else.
pub(super) fn overdue(page: &mut Page, view: &View, now: Moment) {
    for call in view.calls.iter().filter(|call| call_overdue(call, now)) {
        let words = format!("{} [c]", call_words(call, now));
        page.words(Role::Alarm, labels::OVERDUE, &words);
    }
    for duty in view.duties.iter().filter(|duty| duty_overdue(duty, now)) {
        let words = format!("{} [d]", duty_words(duty, now));
        page.words(Role::Alarm, labels::OVERDUE, &words);
    }
}

/// What is open but not overdue, and the lists that are held.
pub(super) fn open(page: &mut Page, view: &View, now: Moment) {
    for call in view.calls.iter().filter(|call| !call_overdue(call, now)) {
        page.words(Role::Plain, labels::UNFINISHED, &call_words(call, now));
    }
    for duty in view.duties.iter().filter(|duty| !duty_overdue(duty, now)) {
        page.words(Role::Plain, labels::UNFINISHED, &duty_words(duty, now));
    }
    for held in &view.held {
        let how = if held.interrupted {
            " (interrupted)"
        } else {
            ""
        };
        let words = format!("{}{how}, at: {}", held.title, held.at);
        page.words(Role::Quiet, labels::HELD, &words);
    }
}

/// Everything open in one line each, for a page that must stay short.
pub(super) fn in_short(page: &mut Page, view: &View, now: Moment) {
    let calls: Vec<&OpenCall> = view
        .calls
        .iter()
        .filter(|call| call_overdue(call, now))
        .collect();
    if let Some(call) = calls.first() {
        page.words(Role::Alarm, labels::OVERDUE, &call_words(call, now));
    }
    let duties = view
        .duties
        .iter()
        .filter(|duty| duty_overdue(duty, now))
        .count();
    if duties > 0 {
        page.words(
            Role::Alarm,
            labels::OVERDUE,
            &format!("duties: {duties}, shown by d"),
        );
    }
}
