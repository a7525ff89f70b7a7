//! What every record says at its head and foot.

use super::clock;
use super::entries;
use super::input::{Header, WalkStory};
use super::shape::{Head, ListFacts, Pair, WaiverFacts, WalkFacts, Writer};
use super::timeline::Timeline;
use super::{FORMAT, Kind};
use crate::checklist::drain_fact::{DRAIN_FACTS, DrainFacts};
use crate::walk::story::Telling;

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
        place: fact(facts, "place"),
        side: fact(facts, "side"),
        drain: drains(walks),
        drain_facts: known(facts),
        drain_unknown: unknown(facts),
        began: timeline
            .lines
            .first()
            .map(|line| clock::stamp(line.told.seen)),
        last: timeline.last_written().map(clock::stamp),
        writers: writers(timeline),
        entries: timeline.events().count() as u64,
        lists: lists(walks),
        waivers: waivers(walks),
        clock_notes: timeline.clock_notes(),
        late_after: header.late_after.to_string(),
        cautions: header.cautions.clone(),
        journal_sequence: header.journal.sequence,
        journal_hash: header.journal.hash.clone(),
    }
}

/// How a drain fact is headed in a record.
fn label(name: &str) -> String {
    match name {
        "weight" => "Weight".to_owned(),
        "population" => "Adult or child".to_owned(),
        "reason" => "Drain is for".to_owned(),
        "suction" => "Suction".to_owned(),
        "suction-order" => "Suction ordered, below atmospheric pressure".to_owned(),
        "suction-control" => "Suction is set".to_owned(),
        "lung-removed" => "Lung on this side removed".to_owned(),
        "size" => "Size of the tube".to_owned(),
        other => {
            let spaced = entries::spaced(other);
            let mut letters = spaced.chars();
            letters.next().map_or_else(String::new, |first| {
                first.to_uppercase().chain(letters).collect()
            })
        }
    }
}

/// A word of the vocabulary as a person would read it.
fn in_words(name: &str, value: &str) -> String {
    match (name, value) {
        ("breathing", "own") => "on their own",
        ("breathing", "mask-pressure") => "with pressure by mask",
        ("breathing", "ventilator") => "on a ventilator",
        ("reason", "air-and-fluid") => "air and fluid",
        ("suction", "none") => "none ordered",
        ("suction-control", "wet") => "by a water column (wet)",
        ("suction-control", "dry") => "by a dial (dry)",
        _ => value,
    }
    .to_owned()
}

fn fact(facts: &DrainFacts, name: &str) -> String {
    facts
        .get(name)
        .map_or_else(|| "not recorded".to_owned(), ToString::to_string)
}

/// What is known, in the order of the vocabulary; names outside it follow.
fn known(facts: &DrainFacts) -> Vec<Pair> {
    let mut names: Vec<&str> = DRAIN_FACTS.iter().map(|fact| fact.name).collect();
    names.extend(facts.keys().map(crate::names::FactName::as_str));
    let mut met = std::collections::BTreeSet::new();
    names
        .into_iter()
        .filter(|name| met.insert(*name))
        .filter_map(|name| facts.get(name).map(|value| (name, value)))
        .map(|(name, value)| Pair {
            what: label(name),
            value: in_words(name, &value.to_string()),
        })
        .collect()
}

/// What is not known and would be expected to be, in words; empty when nothing is missing.
fn unknown(facts: &DrainFacts) -> String {
    let is = |name: &str, word: &str| {
        facts
            .get(name)
            .is_some_and(|value| value.to_string() == word)
    };
    let needless = |name: &str| match name {
        "weight" => is("population", "adult"),
        "suction-order" | "suction-control" => is("suction", "none"),
        _ => false,
    };
    DRAIN_FACTS
        .iter()
        .filter(|fact| !facts.contains_key(fact.name) && !needless(fact.name))
        .map(|fact| label(fact.name).to_lowercase())
        .collect::<Vec<_>>()
        .join(", ")
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
    let begun = story.story.iter().find_map(|told| match &told.what {
        Telling::ListBegun { list, title, .. } => Some((list, title)),
        _ => None,
    });
    let end = story
        .story
        .iter()
        .rev()
        .filter(|told| !told.taken_back)
        .find_map(|told| match &told.what {
            Telling::GaveUp { reason } => {
                Some(("stopped for good".to_owned(), entries::quoted(reason)))
            }
            Telling::ListEnded {
                list,
                outcome,
                text,
                ..
            } if begun.is_some_and(|(first, _)| first == list) => {
                Some((entries::outcome(*outcome).to_owned(), text.clone()))
            }
            _ => None,
        });
    let short = |moment| timeline.clock.short(moment);
    let (outcome, closing) = end.map_or_else(
        || ("not ended at its last entry".to_owned(), None),
        |(outcome, closing)| (outcome, Some(closing)),
    );
    WalkFacts {
        number: (index + 1).to_string(),
        id: story.walk.clone(),
        title: begun.map_or_else(|| "not known".to_owned(), |(_, title)| title.clone()),
        began: story
            .story
            .first()
            .map_or_else(String::new, |told| short(told.seen)),
        last: story
            .story
            .last()
            .map_or_else(String::new, |told| short(told.written)),
        outcome,
        ended: closing.is_some(),
        closing,
    }
}
