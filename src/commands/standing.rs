//! Whether the checklists are approved: what screens and records say of it, and what may be started.

use crate::checklist::approval::{Standing, waivers_on};
use crate::checklist::model::{ListId, ListKind, MayStart, Waived};
use crate::failure::{Failure, Kind};
use crate::names::ListName;

use super::desk::Desk;

/// How the checklists stand, for records and printouts, with what is waived.
#[must_use]
pub fn words(desk: &Desk) -> String {
    let mut words = desk.standing.words();
    let waivers = waivers_on(&desk.library, desk.now().date_naive());
    for waiver in waivers {
        words.push_str(&format!("; waived: {} until {}", waiver.what, waiver.until));
    }
    words
}

/// What every screen says of a list, in few words each.
pub fn notices(desk: &Desk) -> impl Fn(&ListName) -> Vec<String> + use<> {
    let (standing, library) = (desk.standing.clone(), desk.library.clone());
    let day = desk.now().date_naive();
    move |name: &ListName| {
        let mut notices: Vec<String> = standing.notice().into_iter().collect();
        let list = library.find(name.as_str()).map(|id| library.list(id));
        if let Some(day_of_list) = list.and_then(|list| list.review_by).filter(|by| day > *by)
            && !standing.is_past_review()
        {
            notices.push(format!("Past review since {day_of_list}"));
        }
        let waivers = waivers_on(&library, day)
            .into_iter()
            .filter(|waiver| match &waiver.what {
                Waived::Words(list, _) => list == name,
                Waived::Safeguard(_) | Waived::Limit(_) => true,
            });
        notices.extend(
            waivers.map(|waiver| format!("Waived: {} until {}", waiver.what, waiver.until)),
        );
        notices
    }
}

/// What the home screen says.
#[must_use]
pub fn home_lines(desk: &Desk) -> Vec<String> {
    let mut lines: Vec<String> = match &*desk.standing {
        Standing::Shipped => vec!["These checklists are not approved here.".to_owned()],
        standing => standing.notice().into_iter().collect(),
    };
    let waivers = waivers_on(&desk.library, desk.now().date_naive());
    lines.extend(waivers.iter().map(|waiver| {
        format!(
            "Waived: {} until {}, by {}",
            waiver.what, waiver.until, waiver.who
        )
    }));
    lines
}

/// Whether a list may be started as it stands. Urgent lists always may: whatever is wrong with
/// their approval, the patient is better off with them than without.
///
/// # Errors
/// A failure that says why not and what to do, when the unit has chosen to refuse.
pub fn may_start(desk: &Desk, list: ListId) -> Result<(), Failure> {
    let checklist = desk.library.list(list);
    let Some(unit) = desk
        .library
        .unit()
        .filter(|_| checklist.kind != ListKind::Urgent)
    else {
        return Ok(());
    };
    let day = desk.now().date_naive();
    let past = desk.standing.is_past_review() || checklist.review_by.is_some_and(|by| day > by);
    let (refused, key, why) = if !desk.standing.is_approved() {
        (unit.drafts, "drafts", desk.standing.words())
    } else if past {
        let since = checklist.review_by.filter(|by| day > *by);
        let words = since.map_or_else(
            || desk.standing.words(),
            |by| format!("past review since {by}"),
        );
        (unit.past_review, "past_review", words)
    } else {
        return Ok(());
    };
    if refused == MayStart::Allow {
        return Ok(());
    }
    Err(Failure::new(
        Kind::Problems,
        format!(
            "{} may not be started here: {why}, and local.yaml of {} says \"{key}: refuse\"",
            checklist.name, unit.name
        ),
    )
    .hint("for care now: use the unit's approved paper form, or an urgent list, which can always be started")
    .hint("see what is missing: tubeside local state; then have it approved: tubeside local approve")
    .hint(format!("or let the lead of the unit write \"{key}: allow\" into local.yaml")))
}
