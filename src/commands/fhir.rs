//! Exports in the form of HL7 FHIR R4.

use crate::chart::EntryId;
use crate::checklist::codes;
use crate::checklist::shelf::fingerprint;
use crate::clean;
use crate::cli::{Common, RecordKind};
use crate::failure::Failure;
use crate::journal::Journal;
use crate::record::fhir::{
    Code, Exported, Readings, bundle, observations, questionnaire, response, with_approval,
};

use super::chart;
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

/// The walks with each checklist that was followed in them, or the readings of the chart, or for a
/// handover both, as one collection; with the losses.
///
/// # Errors
/// A failure when the codes or the journal cannot be read, or there is nothing to export.
pub fn of_record(
    desk: &Desk,
    kind: RecordKind,
    journal: &Journal,
    gathered: &Gathered,
    chosen: &[NamedWalk],
) -> Result<(String, Vec<String>), Failure> {
    let codes = confirmed()?;
    let mut parts = match kind {
        RecordKind::Chart => Vec::new(),
        _ => of_walks(gathered, chosen, &codes),
    };
    if matches!(kind, RecordKind::Chart | RecordKind::Handover) {
        parts.extend(of_chart(desk, journal, gathered, &codes)?);
    }
    if parts.is_empty() {
        return Err(Failure::usage("nothing was charted for this drain")
            .hint("enter a reading: tubeside chart add"));
    }
    let exported = bundle(parts);
    let text = serde_json::to_string_pretty(&exported.resource)
        .map_err(|why| Failure::unusable(format!("it cannot be written as JSON: {why}")))?;
    Ok((format!("{}\n", clean::json(&text)), exported.losses))
}

fn of_walks(gathered: &Gathered, chosen: &[NamedWalk], codes: &[Code]) -> Vec<Exported> {
    let mut parts = Vec::new();
    let mut lists: Vec<Exported> = Vec::new();
    for ((named, story), brought) in chosen.iter().zip(&gathered.stories).zip(&gathered.brought) {
        parts.push(response(&named.summary.walk.to_string(), story));
        let library = brought.walk.library();
        for used in &story.lists {
            let Some(list) = library.find(&used.name) else {
                continue;
            };
            let exported = questionnaire(library, list, codes);
            let exported = with_approval(exported, &used.approval);
            if !lists.contains(&exported) {
                lists.push(exported);
            }
        }
    }
    parts.extend(lists);
    parts
}

/// The readings of the drain's chart as the journal stood when the rest was gathered.
fn of_chart(
    desk: &Desk,
    journal: &Journal,
    gathered: &Gathered,
    codes: &[Code],
) -> Result<Vec<Exported>, Failure> {
    let Some(chart) = chart::gathered(desk, journal, gathered)? else {
        return Ok(Vec::new());
    };
    let writer = |id: EntryId| {
        chart
            .writer(id)
            .map_or_else(String::new, ToString::to_string)
    };
    Ok(observations(&Readings {
        drain: &chart.drain.summary.drain.to_string(),
        side: chart.fact("side"),
        written: &chart.entries,
        writer: &writer,
        fingerprint: &|text| fingerprint(text.as_bytes()),
        codes,
    }))
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
