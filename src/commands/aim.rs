//! What an amendment or a signature is aimed at, by the short name a person types: w3, w3.7, w3.a1,
//! d1.2, d1.a1.

use std::collections::BTreeMap;

use crate::failure::Failure;
use crate::journal::{Entry, EntryId, Journal, What};
use crate::record::facts::About;

use super::failures::journal_failure;
use super::handle::{NamedDrain, NamedWalk, find_drain, find_walk};

/// A walk or a drain.
#[derive(Debug, Clone)]
pub enum Whole {
    /// A walk.
    Walk(NamedWalk),
    /// A drain.
    Drain(NamedDrain),
}

impl Whole {
    /// The short name.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Walk(walk) => &walk.name,
            Self::Drain(drain) => &drain.name,
        }
    }

    /// Its entries: of a drain only those outside walks.
    ///
    /// # Errors
    /// A failure when the journal cannot be read.
    pub fn entries(&self, journal: &Journal) -> Result<Vec<Entry>, Failure> {
        let found = match self {
            Self::Walk(walk) => journal.walk_entries(&walk.summary.walk),
            Self::Drain(drain) => {
                let own = drain.summary.drain;
                journal.drain_entries_where(&own, &mut |entry| {
                    entry.walk.is_none() && entry.drain == Some(own)
                })
            }
        };
        found.map_err(|why| journal_failure(&why))
    }
}

/// One entry that can be put right.
#[derive(Debug, Clone)]
pub struct Aim {
    /// Its short name.
    pub name: String,
    /// The walk or the drain it belongs to.
    pub whole: Whole,
    /// The entry.
    pub entry: EntryId,
}

/// The walk or the drain of that short name.
///
/// # Errors
/// A usage failure when there is none.
pub fn find_whole(journal: &Journal, text: &str) -> Result<Whole, Failure> {
    if text.starts_with('w') {
        find_walk(journal, text).map(Whole::Walk)
    } else if text.starts_with('d') {
        find_drain(journal, text).map(Whole::Drain)
    } else {
        Err(
            Failure::usage(format!("\"{text}\" is neither a walk nor a drain"))
                .hint("write it like w3 or d1"),
        )
    }
}

/// The entry of that short name. A walk alone means its first entry, which stands for all of it.
///
/// # Errors
/// A usage failure that says how entries are named.
pub fn find(journal: &Journal, text: &str) -> Result<Aim, Failure> {
    let (front, number) = text.split_once('.').unwrap_or((text, ""));
    let whole = find_whole(journal, front)?;
    let number = match (&whole, number) {
        (Whole::Walk(_), "") => "1",
        (_, number) => number,
    };
    let entries = whole.entries(journal)?;
    let names = Names::of(&whole, &entries);
    let wanted = format!("{front}.{number}");
    let found = names.by_name.iter().find(|(name, _)| *name == wanted);
    match found {
        Some((_, entry)) => Ok(Aim {
            name: text.to_owned(),
            entry: *entry,
            whole,
        }),
        None => Err(Failure::usage(format!("there is no entry \"{text}\""))
            .hint("an entry of a walk is named like w3.7: the walk, and the number in its record")
            .hint("a note on a drain like d1.2 (tubeside drain show), an amendment like w3.a1")),
    }
}

/// The short names of the entries of a walk or a drain.
#[derive(Debug, Default)]
pub struct Names {
    by_name: Vec<(String, EntryId)>,
    about: BTreeMap<EntryId, About>,
}

impl Names {
    /// Names the entries in the order written.
    #[must_use]
    pub fn of(whole: &Whole, entries: &[Entry]) -> Self {
        let front = whole.name();
        let mut names = Self::default();
        let (mut events, mut notes, mut amendments) = (0, 0, 0);
        for entry in entries {
            let (name, about) = match &entry.what {
                What::Amended { .. } => {
                    amendments += 1;
                    let name = format!("{front}.a{amendments}");
                    (name.clone(), About::Amendment(name))
                }
                What::DrainNote { .. } => {
                    notes += 1;
                    let name = format!("{front}.{notes}");
                    (name.clone(), About::Note(name))
                }
                what if what.happening().is_some() => {
                    events += 1;
                    (format!("{front}.{events}"), About::Event(events - 1))
                }
                _ => continue,
            };
            names.by_name.push((name, entry.id));
            names.about.insert(entry.id, about);
        }
        names
    }

    /// The short name of an entry.
    #[must_use]
    pub fn name(&self, entry: &EntryId) -> Option<&str> {
        let found = self.by_name.iter().find(|(_, id)| id == entry);
        found.map(|(name, _)| name.as_str())
    }

    /// What an amendment of that entry is about.
    #[must_use]
    pub fn about(&self, entry: &EntryId) -> Option<&About> {
        self.about.get(entry)
    }
}
