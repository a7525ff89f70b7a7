//! Gathers from the journal what a record is made from, as it stands or as it stood.

use std::collections::HashMap;

use crate::checklist::approval::waivers_on;
use crate::checklist::drain_fact::DrainFacts;
use crate::failure::Failure;
use crate::journal::{DrainId, Entry, Journal, Mark, WalkId, What};
use crate::record::facts::{
    Afterwards, Amendment, DrainNote, EventMark, Header, JournalMark, LATE_AFTER, ListUsed,
    Marking, Moved, Signature, Waiver, WalkStory, standard_cautions,
};
use crate::walk::story::Telling;

use super::aim::{Names, Whole};
use super::desk::Desk;
use super::failures::journal_failure;
use super::handle::{NamedDrain, NamedWalk, drains, walks_ever_on, walks_on};
use super::logbook::{Brought, Reader};

/// Everything a record is made from.
pub struct Gathered {
    /// The walks, in order.
    pub stories: Vec<WalkStory>,
    /// The rest.
    pub header: Header,
    /// The drain, when the walks have one.
    pub drain: Option<NamedDrain>,
    /// The walks as they were brought back.
    pub brought: Vec<Brought>,
}

/// Which notes on the drain belong in a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Notes {
    /// Those written from the first walk of the record until another walk begins after the last.
    About,
    /// All of them.
    All,
}

/// Gathers what a record of these walks is made from; nothing after `upto` is read. Without
/// `drain` it is that of the walks.
///
/// # Errors
/// A failure when a walk cannot be brought back or there is none.
pub fn gather(
    desk: &Desk,
    journal: &Journal,
    chosen: &[NamedWalk],
    drain: Option<&NamedDrain>,
    notes: Notes,
    upto: i64,
) -> Result<Gathered, Failure> {
    let every_drain = drains(journal)?;
    let mut last: Option<Entry> = None;
    let mut stories = Vec::new();
    let mut all = Vec::new();
    let mut reader = Reader::of(journal);
    for named in chosen {
        let brought = reader.bring_until(named.summary.walk, upto)?;
        later(&mut last, brought.entries.last());
        stories.push(story(named, &brought, &every_drain));
        all.push(brought);
    }
    let of_walks = all.iter().find_map(now_on);
    let drain = drain.cloned().or_else(|| {
        let mut drains = every_drain.iter();
        drains
            .find(|one| Some(one.summary.drain) == of_walks)
            .cloned()
    });
    let known_at = match notes {
        Notes::About => all.iter().filter_map(last_event).max(),
        Notes::All => Some(upto),
    };
    let span = span(journal, chosen, drain.as_ref(), notes)?;
    let beside = match &drain {
        Some(drain) => beside(journal, drain, &every_drain, span, upto)?,
        None => Beside::default(),
    };
    later(&mut last, beside.last.as_ref());
    let Some(last) = last else {
        return Err(Failure::usage("there is no walk to make a record of"));
    };
    let id = drain.as_ref().map(|drain| drain.summary.drain);
    let unit = desk.library.unit();
    let header = Header {
        unit: unit.map(|unit| unit.name.clone()),
        zone: unit
            .map_or("the computer's own zone", |unit| unit.zone.name())
            .to_owned(),
        drain_facts: facts_until(journal, id, known_at.unwrap_or(last.seq))?,
        rehearsal: last.rehearsal,
        journal: JournalMark {
            sequence: place(last.seq),
            hash: last.hash,
        },
        cautions: standard_cautions(),
        late_after: LATE_AFTER,
        notes: beside.notes,
        afterwards: beside.afterwards,
    };
    Ok(Gathered {
        stories,
        header,
        drain,
        brought: all,
    })
}

/// A place of the journal as records count it.
fn place(seq: i64) -> u64 {
    u64::try_from(seq).unwrap_or(0)
}

fn later(last: &mut Option<Entry>, entry: Option<&Entry>) {
    if entry.map(|entry| entry.seq) > last.as_ref().map(|last| last.seq) {
        *last = entry.cloned();
    }
}

/// The drain a walk belonged to at its last entry that was read.
fn now_on(brought: &Brought) -> Option<DrainId> {
    let mut moves = brought.entries.iter().filter(|entry| entry.state.is_some());
    moves.next_back().and_then(|entry| entry.drain)
}

fn last_event(brought: &Brought) -> Option<i64> {
    let events = brought.entries.iter();
    events
        .filter(|entry| entry.what.happening().is_some())
        .map(|entry| entry.seq)
        .max()
}

/// From which place to which notes on the drain belong in the record.
fn span(
    journal: &Journal,
    chosen: &[NamedWalk],
    drain: Option<&NamedDrain>,
    notes: Notes,
) -> Result<(i64, i64), Failure> {
    let (Notes::About, Some(drain)) = (notes, drain) else {
        return Ok((0, i64::MAX));
    };
    let begun = || chosen.iter().map(|walk| walk.summary.first_seq);
    let (first, last) = (begun().min().unwrap_or(0), begun().max().unwrap_or(0));
    let next = walks_on(journal, drain.summary.drain)?
        .into_iter()
        .map(|walk| walk.summary.first_seq)
        .filter(|seq| *seq > last)
        .min();
    Ok((first, next.unwrap_or(i64::MAX)))
}

/// What stands beside the walks of a drain.
#[derive(Default)]
struct Beside {
    notes: Vec<DrainNote>,
    afterwards: Afterwards,
    last: Option<Entry>,
}

fn beside(
    journal: &Journal,
    drain: &NamedDrain,
    every_drain: &[NamedDrain],
    span: (i64, i64),
    upto: i64,
) -> Result<Beside, Failure> {
    let whole = Whole::Drain(drain.clone());
    let entries = whole.entries(journal)?;
    let names = Names::of(&whole, &entries);
    let mut beside = Beside::default();
    let mut told = Vec::new();
    for entry in entries.iter().filter(|entry| entry.seq <= upto) {
        let name = names.name(&entry.id).unwrap_or_default();
        let used = match &entry.what {
            What::DrainNote { text } if entry.seq > span.0 && entry.seq < span.1 => {
                beside.notes.push(note(name, text, entry));
                true
            }
            What::Amended { entry: about, .. } if told.contains(about) => {
                beside
                    .afterwards
                    .amendments
                    .extend(amendment(entry, &names));
                true
            }
            What::DrainOpened { .. }
            | What::DrainChanged { .. }
            | What::DrainClosed { .. }
            | What::HandedOver { .. }
            | What::Charted(_) => span.0 == 0,
            What::Signed { .. } if entry.seq > span.0 => {
                beside
                    .afterwards
                    .signatures
                    .extend(signature(&whole, entry));
                true
            }
            _ => false,
        };
        if used {
            told.push(entry.id);
            later(&mut beside.last, Some(entry));
        }
    }
    for (moved, entry) in moved_away(journal, drain, every_drain, upto)? {
        beside.afterwards.moves.push(moved);
        later(&mut beside.last, Some(&entry));
    }
    Ok(beside)
}

fn note(name: &str, text: &str, entry: &Entry) -> DrainNote {
    DrainNote {
        number: name.to_owned(),
        text: text.to_owned(),
        by: entry.by.to_string(),
        seen: entry.seen,
        written: entry.written,
    }
}

fn amendment(entry: &Entry, names: &Names) -> Option<Amendment> {
    let What::Amended {
        entry: about,
        mark,
        text,
        why,
    } = &entry.what
    else {
        return None;
    };
    Some(Amendment {
        number: names.name(&entry.id)?.to_owned(),
        about: names.about(about)?.clone(),
        mark: match mark {
            Mark::Wrong => Marking::Wrong,
            Mark::EnteredInError => Marking::InError,
            Mark::Addendum => Marking::Addendum,
        },
        text: text.clone(),
        why: why.clone(),
        by: entry.by.to_string(),
        written: entry.written,
    })
}

fn signature(whole: &Whole, entry: &Entry) -> Option<Signature> {
    let What::Signed { seq, hash } = &entry.what else {
        return None;
    };
    Some(Signature {
        of: whole.name().to_owned(),
        by: entry.by.to_string(),
        at: entry.written,
        sequence: place(*seq),
        hash: hash.to_string(),
    })
}

/// Walks that were written to this drain and belong to another.
fn moved_away(
    journal: &Journal,
    drain: &NamedDrain,
    every_drain: &[NamedDrain],
    upto: i64,
) -> Result<Vec<(Moved, Entry)>, Failure> {
    let own = drain.summary.drain;
    // Of each walk only where its drain changes.
    let mut on: HashMap<WalkId, Option<DrainId>> = HashMap::new();
    let entries = journal
        .drain_entries_where(&own, &mut |entry| match entry.walk {
            Some(walk) if entry.state.is_some() && entry.seq <= upto => {
                let before = on.insert(walk, entry.drain);
                before != Some(entry.drain) || matches!(entry.what, What::Attached { .. })
            }
            _ => false,
        })
        .map_err(|why| journal_failure(&why))?;
    let mut away = Vec::new();
    for named in walks_ever_on(journal, own)? {
        let of_walk: Vec<Entry> = entries
            .iter()
            .filter(|entry| entry.walk == Some(named.summary.walk))
            .cloned()
            .collect();
        let gone = of_walk
            .iter()
            .rfind(|entry| entry.state.is_some())
            .is_some_and(|entry| entry.drain != Some(own));
        if gone {
            let last = moves(&named, &of_walk, every_drain).pop();
            away.extend(last);
        }
    }
    Ok(away)
}

/// Where a walk was moved from one drain to another.
fn moves(named: &NamedWalk, entries: &[Entry], drains: &[NamedDrain]) -> Vec<(Moved, Entry)> {
    let name = |id: DrainId| {
        let found = drains.iter().find(|drain| drain.summary.drain == id);
        found.map_or_else(|| id.to_string(), |drain| drain.name.clone())
    };
    let mut moves = Vec::new();
    let mut from: Option<DrainId> = None;
    for entry in entries.iter().filter(|entry| entry.state.is_some()) {
        if let (What::Attached { why }, Some(to)) = (&entry.what, entry.drain) {
            moves.push((
                Moved {
                    walk: named.name.clone(),
                    from: from.map(name),
                    to: name(to),
                    why: why.clone(),
                    by: entry.by.to_string(),
                    at: entry.written,
                },
                entry.clone(),
            ));
        }
        from = entry.drain;
    }
    moves
}

/// A walk as records tell it.
#[must_use]
pub fn story(named: &NamedWalk, brought: &Brought, drains: &[NamedDrain]) -> WalkStory {
    let paper = brought.entries.iter().find_map(|entry| match &entry.what {
        What::Begun { paper, .. } => paper.as_deref(),
        _ => None,
    });
    let events = brought
        .entries
        .iter()
        .filter_map(|entry| Some((entry, entry.what.happening()?)));
    let marks = events
        .map(|(entry, happening)| EventMark {
            sequence: place(entry.seq),
            id: entry.id.to_string(),
            by: match paper {
                Some(paper) if happening.stands_on_paper() => {
                    format!("{}, from paper written by {paper}", entry.by)
                }
                _ => entry.by.to_string(),
            },
        })
        .collect();
    WalkStory {
        walk: named.name.clone(),
        drain: now_on(brought).map_or_else(String::new, |drain| drain.to_string()),
        story: brought.walk.story().to_vec(),
        marks,
        lists: lists_used(brought),
        waivers: waivers(brought),
        rehearsal: named.summary.rehearsal,
        afterwards: of_walk(named, brought, drains),
    }
}

/// What was waived on the day on which the walk began.
fn waivers(brought: &Brought) -> Vec<Waiver> {
    let Some(begun) = brought.entries.first() else {
        return Vec::new();
    };
    let waivers = waivers_on(brought.walk.library(), begun.written.date_naive());
    waivers
        .into_iter()
        .map(|waiver| Waiver {
            safeguard: waiver.what.to_string(),
            who: waiver.who.clone(),
            why: waiver.because.clone(),
            until: waiver.until.to_string(),
        })
        .collect()
}

/// What was put right, added, signed and moved of a walk.
fn of_walk(named: &NamedWalk, brought: &Brought, drains: &[NamedDrain]) -> Afterwards {
    let whole = Whole::Walk(named.clone());
    let names = Names::of(&whole, &brought.entries);
    let entries = &brought.entries;
    Afterwards {
        amendments: entries
            .iter()
            .filter_map(|entry| amendment(entry, &names))
            .collect(),
        signatures: entries
            .iter()
            .filter_map(|entry| signature(&whole, entry))
            .collect(),
        moves: moves(named, entries, drains)
            .into_iter()
            .map(|(moved, _)| moved)
            .collect(),
    }
}

/// Every checklist that was followed in the walk, once.
fn lists_used(brought: &Brought) -> Vec<ListUsed> {
    let library = brought.walk.library();
    let mut used: Vec<ListUsed> = Vec::new();
    for told in brought.walk.story() {
        let Telling::ListBegun {
            list,
            title,
            version,
            ..
        } = &told.what
        else {
            continue;
        };
        if used.iter().any(|one| one.name == list.as_str()) {
            continue;
        }
        let fingerprint = library
            .find(list.as_str())
            .map(|id| library.list(id).fingerprint.clone());
        used.push(ListUsed {
            name: list.to_string(),
            title: title.clone(),
            version: version.clone(),
            sha256: fingerprint.unwrap_or_default(),
            approval: brought.shelf.approval.clone(),
        });
    }
    used
}

/// What was known of the drain at that place of the journal.
fn facts_until(journal: &Journal, drain: Option<DrainId>, seq: i64) -> Result<DrainFacts, Failure> {
    let Some(drain) = drain else {
        return Ok(DrainFacts::new());
    };
    let tells = |what: &What| matches!(what, What::DrainOpened { .. } | What::DrainChanged { .. });
    let entries = journal
        .drain_entries_where(&drain, &mut |entry| {
            entry.seq <= seq && entry.drain == Some(drain) && tells(&entry.what)
        })
        .map_err(|why| journal_failure(&why))?;
    let mut known = DrainFacts::new();
    for entry in &entries {
        if let What::DrainOpened { facts } | What::DrainChanged { facts, .. } = &entry.what {
            known.clone_from(facts);
        }
    }
    Ok(known)
}
