//! What was written after the fact: corrections, addenda, signatures, walks moved to another drain.
//!
//! The entry that an amendment is about stays readable: marked wrong it is struck through, with who
//! said so, when, what is right and why, and each points to the other (AHIMA, documentation in
//! long-term care). What was entered in error leaves one line.

use std::collections::BTreeSet;

use super::clock::{self, Clock};
use super::input::{About, Afterwards, Amendment, DrainNote, Header, Marking, Moved, WalkStory};
use super::shape::{AfterwardsFacts, AmendmentFacts, NoteFacts, Remark, SignatureFacts};
use super::timeline::Timeline;
use super::words::{self, quoted};

/// What amendments in force say of one line.
#[derive(Debug, Clone, Default)]
pub(super) struct Bearing<'a> {
    /// The last that marks it as wrong.
    pub(super) wrong: Option<&'a Amendment>,
    /// The one that says it was entered in error.
    pub(super) in_error: Option<&'a Amendment>,
    /// Whether the whole walk was entered in error.
    pub(super) whole_walk: bool,
    /// All of them, in the order written.
    pub(super) remarks: Vec<&'a Amendment>,
}

/// The amendments of one walk or drain, without those that later ones took out of force.
#[derive(Debug)]
pub(super) struct Bearings<'a> {
    in_force: Vec<&'a Amendment>,
}

impl<'a> Bearings<'a> {
    /// Looks through the amendments; they come in the order written.
    pub(super) fn new(amendments: &'a [Amendment]) -> Self {
        let void = void(amendments);
        Self {
            in_force: amendments
                .iter()
                .filter(|one| !void.contains(one.number.as_str()))
                .collect(),
        }
    }

    /// What bears on the event of that number.
    pub(super) fn of_event(&self, event: usize) -> Bearing<'a> {
        let whole = self.last(|about| *about == About::Event(0), Marking::InError);
        let mut bearing = self.of(&About::Event(event));
        bearing.whole_walk = whole.is_some();
        bearing.in_error = whole.or(bearing.in_error);
        bearing
    }

    fn of(&self, wanted: &About) -> Bearing<'a> {
        let on = |about: &About| about == wanted;
        Bearing {
            wrong: self.last(on, Marking::Wrong),
            in_error: self.last(on, Marking::InError),
            whole_walk: false,
            remarks: self
                .in_force
                .iter()
                .copied()
                .filter(|one| one.about == *wanted)
                .collect(),
        }
    }

    fn last(&self, on: impl Fn(&About) -> bool, mark: Marking) -> Option<&'a Amendment> {
        self.in_force
            .iter()
            .copied()
            .rfind(|one| one.mark == mark && on(&one.about))
    }
}

/// The amendments that later ones, themselves in force, marked as wrong or entered in error.
fn void(amendments: &[Amendment]) -> BTreeSet<&str> {
    let mut void = BTreeSet::new();
    for one in amendments.iter().rev() {
        if let About::Amendment(other) = &one.about
            && one.mark != Marking::Addendum
            && !void.contains(one.number.as_str())
        {
            void.insert(other.as_str());
        }
    }
    void
}

/// An amendment as it stands beside what it is about.
pub(super) fn remark(amendment: &Amendment, clock: Clock) -> Remark {
    Remark {
        number: amendment.number.clone(),
        kind: kind(amendment.mark).to_owned(),
        text: said(amendment),
        by: amendment.by.clone(),
        at: clock.short(amendment.written),
    }
}

const fn kind(mark: Marking) -> &'static str {
    match mark {
        Marking::Wrong => "Marked wrong",
        Marking::InError => "Entered in error",
        Marking::Addendum => "Addendum",
    }
}

/// What is right or added; for what was entered in error, the reason.
fn said(amendment: &Amendment) -> String {
    let text = if amendment.text.trim().is_empty() {
        &amendment.why
    } else {
        &amendment.text
    };
    quoted(text)
}

/// The facts of everything written after the fact.
pub(super) fn facts(
    walks: &[WalkStory],
    header: &Header,
    timeline: &Timeline<'_>,
) -> AfterwardsFacts {
    let several = walks.len() > 1;
    let clock = timeline.clock;
    let mut amendments = Vec::new();
    for (index, walk) in walks.iter().enumerate() {
        let entry = |event: usize| match several {
            true => format!("{}.{}", index + 1, event + 1),
            false => (event + 1).to_string(),
        };
        let of_walk = |about: &About| was_in_walk(timeline, index, about);
        amendments.extend(amendment_facts(&walk.afterwards, clock, entry, of_walk));
    }
    let of_note = |about: &About| was_on_drain(&header.notes, &header.afterwards, about);
    let entry = |event: usize| (event + 1).to_string();
    amendments.extend(amendment_facts(&header.afterwards, clock, entry, of_note));
    let all = || {
        walks
            .iter()
            .map(|walk| &walk.afterwards)
            .chain([&header.afterwards])
    };
    AfterwardsFacts {
        amendments,
        notes: notes(header, clock),
        signatures: all()
            .flat_map(|one| &one.signatures)
            .map(|signature| SignatureFacts {
                of: signature.of.clone(),
                by: signature.by.clone(),
                at: clock.short(signature.at),
                sequence: signature.sequence,
                hash: signature.hash.clone(),
            })
            .collect(),
        moves: all()
            .flat_map(|one| &one.moves)
            .map(|moved| move_words(moved, clock))
            .collect(),
    }
}

fn amendment_facts(
    afterwards: &Afterwards,
    clock: Clock,
    entry: impl Fn(usize) -> String,
    was: impl Fn(&About) -> Option<String>,
) -> Vec<AmendmentFacts> {
    let void = void(&afterwards.amendments);
    afterwards
        .amendments
        .iter()
        .map(|one| AmendmentFacts {
            number: one.number.clone(),
            about: match &one.about {
                About::Event(event) => entry(*event),
                About::Note(number) | About::Amendment(number) => number.clone(),
            },
            was: was(&one.about),
            kind: kind(one.mark).to_owned(),
            text: if one.text.trim().is_empty() {
                String::new()
            } else {
                quoted(&one.text)
            },
            why: quoted(&one.why),
            by: one.by.clone(),
            at: clock.short(one.written),
            struck: void.contains(one.number.as_str()),
        })
        .collect()
}

/// What an entry of a walk, or an amendment on it, said; nothing once it was entered in error.
fn was_in_walk(timeline: &Timeline<'_>, walk: usize, about: &About) -> Option<String> {
    match about {
        About::Event(event) => {
            let line = timeline
                .lines
                .iter()
                .find(|line| line.walk == walk && line.told.event == *event)?;
            let (what, found) = words::words(&line.told.what, &std::collections::BTreeMap::new());
            Some(match found {
                Some(found) => format!("{}: {found}", what.trim_end_matches(['.', ':'])),
                None => what,
            })
        }
        About::Note(_) => None,
        About::Amendment(number) => Some(format!("the amendment {number}")),
    }
}

fn was_on_drain(notes: &[DrainNote], afterwards: &Afterwards, about: &About) -> Option<String> {
    match about {
        About::Event(_) => None,
        About::Amendment(number) => Some(format!("the amendment {number}")),
        About::Note(number) => {
            let gone = Bearings::new(&afterwards.amendments).of(about).in_error;
            notes
                .iter()
                .find(|note| note.number == *number && gone.is_none())
                .map(|note| quoted(&note.text))
        }
    }
}

fn notes(header: &Header, clock: Clock) -> Vec<NoteFacts> {
    let bearings = Bearings::new(&header.afterwards.amendments);
    header
        .notes
        .iter()
        .map(|note| {
            let bearing = bearings.of(&About::Note(note.number.clone()));
            let text = match bearing.in_error {
                Some(_) => "Entered in error. It is kept in the journal and not shown here.".into(),
                None => quoted(&note.text),
            };
            NoteFacts {
                number: note.number.clone(),
                text,
                by: note.by.clone(),
                at: clock.short(note.seen),
                written: (!clock::same_second(note.seen, note.written))
                    .then(|| clock.short(note.written)),
                late: note.written - note.seen > header.late_after.to_delta(),
                wrong: bearing.wrong.is_some(),
                remarks: bearing
                    .remarks
                    .iter()
                    .map(|one| remark(one, clock))
                    .collect(),
            }
        })
        .collect()
}

fn move_words(moved: &Moved, clock: Clock) -> String {
    let at = clock.short(moved.at);
    let (walk, to, by) = (&moved.walk, &moved.to, &moved.by);
    let why = if moved.why.trim().is_empty() {
        String::new()
    } else {
        format!(", because: {}", quoted(&moved.why))
    };
    match &moved.from {
        Some(from) => {
            format!(
                "The walk {walk} was first written to drain {from}; {by} moved it to {to} at {at}{why}"
            )
        }
        None => {
            format!("The walk {walk} was begun without a drain; {by} put it to {to} at {at}{why}")
        }
    }
}
