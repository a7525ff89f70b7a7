//! Exports in the form of HL7 FHIR R4.

use crate::checklist::codes;
use crate::cli::Common;
use crate::failure::Failure;
use crate::record::fhir::{Code, Exported, bundle, questionnaire, response, with_approval};

use super::desk::Desk;
use super::gather::Gathered;
use super::handle::NamedWalk;
use super::out;
use super::personal::caution;
use super::start::known_list;

/// Prints a checklist as a Questionnaire, and beside it what found no place there.
///
/// # Errors
/// A failure when the checklists are unfit or there is none of that name.
pub fn list(common: &Common, name: &str) -> Result<(), Failure> {
    let desk = Desk::open(common)?;
    let list = known_list(&desk, name)?;
    let exported = questionnaire(&desk.library, list, &confirmed()?);
    let exported = with_approval(exported, &desk.standing.words());
    for loss in &exported.losses {
        caution(&format!("not in this format: {loss}"));
    }
    out::json(&exported.resource)
}

/// The walks, and each checklist that was followed in them, as one collection; with the losses.
///
/// # Errors
/// A failure when the codes cannot be read.
pub fn of_walks(
    gathered: &Gathered,
    chosen: &[NamedWalk],
) -> Result<(String, Vec<String>), Failure> {
    let codes = confirmed()?;
    let mut parts = Vec::new();
    let mut lists: Vec<Exported> = Vec::new();
    for ((named, story), brought) in chosen.iter().zip(&gathered.stories).zip(&gathered.brought) {
        parts.push(response(&named.summary.walk.to_string(), story));
        let library = brought.walk.library();
        for used in &story.lists {
            let Some(list) = library.find(&used.name) else {
                continue;
            };
            let exported = questionnaire(library, list, &codes);
            let exported = with_approval(exported, &used.approval);
            if !lists.contains(&exported) {
                lists.push(exported);
            }
        }
    }
    parts.extend(lists);
    let exported = bundle(parts);
    let text = serde_json::to_string_pretty(&exported.resource)
        .map_err(|why| Failure::unusable(format!("it cannot be written as JSON: {why}")))?;
    Ok((format!("{text}\n"), exported.losses))
}

/// The codes that may be written out.
fn confirmed() -> Result<Vec<Code>, Failure> {
    let read = codes::shipped().map_err(Failure::unusable)?;
    Ok(read
        .into_iter()
        .map(|code| Code {
            tag: code.tag.to_string(),
            system: code.system,
            code: code.code,
            display: code.display,
        })
        .collect())
}
