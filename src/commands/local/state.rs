//! `local state`: whether the unit's checklists are approved and in date.

use std::path::Path;

use serde::Serialize;

use crate::checklist::approval::Standing;
use crate::checklist::model::{Library, LocalUnit, MayStart};
use crate::cli::Common;
use crate::commands::desk::Desk;
use crate::commands::{out, standing};
use crate::failure::{Failure, Kind};

use super::approve::waivers;
use super::new_folder::unit_folder;

/// What `local state --json` prints.
#[derive(Serialize)]
struct State {
    approved: bool,
    past_review: bool,
    state: String,
    /// What is other than when it was approved.
    changed: Vec<String>,
    waivers: Vec<String>,
    ended_waivers: Vec<String>,
    /// Lists whose own review date has passed.
    lists_past_review: Vec<String>,
    drafts: String,
    past_review_lists: String,
}

/// Tells how the unit's checklists stand.
///
/// # Errors
/// A failure when they are not approved, past their review, or have errors.
pub fn state(common: &Common, json: bool) -> Result<(), Failure> {
    let folder = unit_folder(common)?;
    let desk = Desk::open(common)?;
    let day = desk.now().date_naive();
    let state = State {
        approved: desk.standing.is_approved(),
        past_review: desk.standing.is_past_review(),
        state: standing::words(&desk),
        changed: match &*desk.standing {
            Standing::Changed { files, .. } => shown(folder, files),
            _ => Vec::new(),
        },
        waivers: waivers(&desk.library, day),
        ended_waivers: desk
            .library
            .waivers()
            .iter()
            .filter(|waiver| !waiver.acts_on(day))
            .map(|waiver| format!("{} ended on {}", waiver.what, waiver.until))
            .collect(),
        lists_past_review: desk
            .library
            .lists()
            .filter(|(_, list)| list.review_by.is_some_and(|by| day > by))
            .map(|(_, list)| list.name.to_string())
            .collect(),
        drafts: rule(&desk.library, |unit| unit.drafts),
        past_review_lists: rule(&desk.library, |unit| unit.past_review),
    };
    if json {
        out::json(&state)?;
    } else {
        out::wrapped(&state_words(&state))?;
    }
    let fine = state.approved && !state.past_review && state.lists_past_review.is_empty();
    if fine {
        return Ok(());
    }
    Err(Failure::new(
        Kind::Problems,
        "these checklists are not approved and in date",
    )
        .hint("have it approved: tubeside local approve --by \"EF, ward manager\" --because \"...\" --review-by 2027-06-30"))
}

/// Paths as people know them.
fn shown(folder: &Path, files: &[String]) -> Vec<String> {
    let own = |file: &String| match file.strip_prefix("local/") {
        Some(rest) => folder.join(rest).display().to_string(),
        None => format!("{file} (shipped)"),
    };
    files.iter().map(own).collect()
}

fn rule(library: &Library, of: impl Fn(&LocalUnit) -> MayStart) -> String {
    library
        .unit()
        .map_or("allow", |unit| of(unit).word())
        .to_owned()
}

fn state_words(state: &State) -> String {
    let mut words = vec![state.state.clone()];
    words.extend(
        state
            .changed
            .iter()
            .map(|file| format!("  changed: {file}")),
    );
    words.extend(
        state
            .waivers
            .iter()
            .map(|waiver| format!("  waived: {waiver}")),
    );
    words.extend(
        state
            .ended_waivers
            .iter()
            .map(|waiver| format!("  no longer waived: {waiver}")),
    );
    words.extend(
        state
            .lists_past_review
            .iter()
            .map(|list| format!("  past its own review date: {list}")),
    );
    words.push(format!(
        "drafts may be started: {}; lists past their review: {}; urgent lists: always",
        state.drafts, state.past_review_lists
    ));
    words.join("\n")
}
