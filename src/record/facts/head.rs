//! What every record says at its head and foot.

use super::clock;
use super::drain;
use super::input::{Header, WalkStory};
use super::shape::{Head, ListFacts, WaiverFacts, WalkFacts, Writer};
use super::timeline::Timeline;
use super::words;
use super::{FORMAT, Kind};
use crate::checklist::model::ListKind;
use crate::walk::story::{Telling, Told};

/// The cautions that every record carries unless the caller has more to say.
#[must_use]
pub fn standard_cautions() -> Vec<String> {
    [
        "In an emergency call for help first. No checklist and no record comes before the patient.",
        "This supports local policy, the drainage unit's instructions, training and the judgement of licensed staff. It never replaces them.",
        "A line says what somebody recorded and when. It does not prove that it was done or that it was so.",
        "Nothing here is a claim of compliance, validation or outcome.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// The line on a record that is not a record of care.
const REHEARSAL: &str =
    "Rehearsal. This was made for practice or with a set clock. It is not a record of care.";

/// Builds the head from the walks and the header.
pub(super) fn head(
    kind: Kind,
    walks: &[WalkStory],
    header: &Header,
    timeline: &Timeline<'_>,
) -> Head {
    let rehearsal = header.rehearsal || walks.iter().any(|walk| walk.rehearsal);
    let facts = &header.drain_facts;
    let lists = lists(walks);
    Head {
        record: kind.word().to_owned(),
        format: FORMAT,
        rehearsal,
        banner: if rehearsal { REHEARSAL } else { "" }.to_owned(),
        unit: header
            .unit
            .clone()
            .unwrap_or_else(|| "not named".to_owned()),
        zone: header.zone.clone(),
        place: drain::fact(facts, "place"),
        side: drain::fact(facts, "side"),
        drain: drains(walks),
        drain_facts: drain::known(facts),
        drain_unknown: drain::unknown(facts),
        began: timeline
            .lines
            .first()
            .map(|line| clock::stamp(line.told.seen)),
        last: timeline.last_written().map(clock::stamp),
        writers: writers(timeline),
        entries: (timeline.events().count() + timeline.gone_events()) as u64,
        list_warnings: list_warnings(&lists),
        lists,
        waivers: waivers(walks),
        clock_notes: timeline.clock_notes(),
        late_after: header.late_after.to_string(),
        cautions: header.cautions.clone(),
        journal_sequence: header.journal.sequence,
        journal_hash: header.journal.hash.clone(),
    }
}

fn drains(walks: &[WalkStory]) -> String {
    let mut drains: Vec<&str> = Vec::new();
    for walk in walks {
        if !drains.contains(&walk.drain.as_str()) {
            drains.push(&walk.drain);
        }
    }
    drains.join(", ")
}

fn writers(timeline: &Timeline<'_>) -> Vec<Writer> {
    let mut writers: Vec<Writer> = Vec::new();
    for line in timeline.events() {
        match writers.iter_mut().find(|writer| writer.by == line.by) {
            Some(writer) => writer.entries += 1,
            None => writers.push(Writer {
                by: line.by.to_owned(),
                entries: 1,
            }),
        }
    }
    writers
}

/// Each checklist once by name, version and fingerprint; one that the story speaks of and nobody
/// handed in is named all the same.
fn lists(walks: &[WalkStory]) -> Vec<ListFacts> {
    let mut lists: Vec<ListFacts> = Vec::new();
    for used in walks.iter().flat_map(|walk| &walk.lists) {
        let facts = ListFacts {
            name: used.name.clone(),
            title: used.title.clone(),
            version: used.version.clone(),
            fingerprint: used.sha256.clone(),
            approval: used.approval.clone(),
        };
        if !lists.contains(&facts) {
            lists.push(facts);
        }
    }
    for told in walks.iter().flat_map(|walk| &walk.story) {
        let Telling::ListBegun {
            list,
            title,
            version,
            ..
        } = &told.what
        else {
            continue;
        };
        if lists
            .iter()
            .any(|facts| facts.name == list.as_str() && facts.version == *version)
        {
            continue;
        }
        lists.push(ListFacts {
            name: list.to_string(),
            title: title.clone(),
            version: version.clone(),
            fingerprint: "not known".to_owned(),
            approval: "not known".to_owned(),
        });
    }
    lists
}

/// What must be said of a checklist at once: that it is a draft, or that its review is overdue.
fn list_warnings(lists: &[ListFacts]) -> Vec<String> {
    let warns = |list: &&ListFacts| {
        list.approval.starts_with("draft") || list.approval.starts_with("past review")
    };
    lists
        .iter()
        .filter(warns)
        .map(|list| format!("{} ({}): {}", list.title, list.name, list.approval))
        .collect()
}

fn waivers(walks: &[WalkStory]) -> Vec<WaiverFacts> {
    let mut waivers: Vec<WaiverFacts> = Vec::new();
    for waiver in walks.iter().flat_map(|walk| &walk.waivers) {
        let facts = WaiverFacts {
            safeguard: waiver.safeguard.clone(),
            who: waiver.who.clone(),
            why: waiver.why.clone(),
            until: waiver.until.clone(),
        };
        if !waivers.contains(&facts) {
            waivers.push(facts);
        }
    }
    waivers
}

/// Each walk with how it came out.
pub(super) fn walks(stories: &[WalkStory], timeline: &Timeline<'_>) -> Vec<WalkFacts> {
    stories
        .iter()
        .enumerate()
        .map(|(index, story)| walk(index, story, timeline))
        .collect()
}

fn walk(index: usize, story: &WalkStory, timeline: &Timeline<'_>) -> WalkFacts {
    let short = |moment| timeline.clock.short(moment);
    let title = story.story.iter().find_map(|told| match &told.what {
        Telling::ListBegun { title, .. } => Some(title.clone()),
        _ => None,
    });
    let (first, last) = (story.story.first(), story.story.last());
    let (outcome, closing) = match ending(story) {
        Some((outcome, closing)) => (outcome, Some(closing)),
        None => ("not ended at its last entry".to_owned(), None),
    };
    WalkFacts {
        number: (index + 1).to_string(),
        id: story.walk.clone(),
        title: title.unwrap_or_else(|| "not known".to_owned()),
        began: first.map_or_else(String::new, |told| short(told.seen)),
        last: last.map_or_else(String::new, |told| short(told.written)),
        outcome,
        ended: closing.is_some(),
        closing,
        urgent: urgent(story, timeline),
    }
}

/// The urgent checklists that were followed within a walk, apart from the one it began with. What
/// was jumped to is often what the record is about.
fn urgent(story: &WalkStory, timeline: &Timeline<'_>) -> Vec<String> {
    let lasting: Vec<&Told> = story.story.iter().filter(|told| !told.taken_back).collect();
    let begun = lasting.iter().enumerate().skip(1);
    begun
        .filter_map(|(index, told)| match &told.what {
            Telling::ListBegun {
                list, title, kind, ..
            } if *kind == ListKind::Urgent => {
                let ended = lasting
                    .iter()
                    .skip(index)
                    .find_map(|told| match &told.what {
                        Telling::ListEnded {
                            list: other,
                            outcome,
                            ..
                        } if other == list => Some(words::outcome(*outcome)),
                        _ => None,
                    });
                let outcome = ended.unwrap_or("not ended at the last entry");
                let began = timeline.clock.short(told.seen);
                Some(format!("{title}: began {began}, {outcome}"))
            }
            _ => None,
        })
        .collect()
}

/// How a walk came out and its closing words: the last end of the checklist it began with, or
/// that it was stopped for good.
fn ending(story: &WalkStory) -> Option<(String, String)> {
    let begun = story.story.iter().find_map(|told| match &told.what {
        Telling::ListBegun { list, .. } => Some(list),
        _ => None,
    });
    let lasting = story.story.iter().rev().filter(|told| !told.taken_back);
    lasting
        .map(|told| &told.what)
        .find_map(|telling| match telling {
            Telling::GaveUp { reason } => {
                Some(("stopped for good".to_owned(), words::quoted(reason)))
            }
            Telling::ListEnded {
                list,
                outcome,
                text,
                ..
            } if begun == Some(list) => Some((words::outcome(*outcome).to_owned(), text.clone())),
            _ => None,
        })
}
