//! The proof as an approval needs it: what stands against the lists, and what was let through.

use std::fmt;

use crate::checklist::adapt::limits;
use crate::checklist::approval::waivers_on;
use crate::checklist::model::{Checklist, FactAbout, ListId, Waived};
use crate::checklist::proof::rule::{Rule, Verdict};
use crate::names::ListName;

use super::prove::{Result, Subject, with_progress};
use super::prove_words;

/// What came of proving every list.
#[derive(Debug, Default)]
pub struct Came {
    /// How many pairs of a list and a safeguard are kept.
    pub kept: usize,
    /// How many lists were proved.
    pub lists: usize,
    /// How many are as shipped and were proved with the program.
    pub as_shipped: usize,
    /// What is not kept, no longer bites, or is not decided, each once with all its lists.
    pub against: Vec<Lost>,
    /// What is not kept and waived.
    pub waived: Vec<Lost>,
}

/// A safeguard that does not hold, and where.
#[derive(Debug, PartialEq, Eq)]
pub struct Lost {
    /// The safeguard.
    pub safeguard: String,
    /// Its sentence.
    pub says: String,
    /// How it came out, in one word.
    pub came: &'static str,
    /// The lists; those that the unit adapted come first.
    pub lists: Vec<ListName>,
}

impl fmt::Display for Lost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lists: Vec<&str> = self.lists.iter().map(ListName::as_str).collect();
        let (name, came, lists) = (&self.safeguard, self.came, lists.join(", "));
        write!(f, "{name}: {came} on {lists}. {}", self.says)
    }
}

/// Notes one safeguard on one list.
fn note(lost: &mut Vec<Lost>, result: &Result, list: &Checklist) {
    let came = prove_words::came(&result.verdict);
    let same = |one: &&mut Lost| one.safeguard == result.name && one.came == came;
    let name = list.name.clone();
    match lost.iter_mut().find(same) {
        Some(one) if list.adapted.is_some() => one.lists.insert(0, name),
        Some(one) => one.lists.push(name),
        None => lost.push(Lost {
            safeguard: result.name.clone(),
            says: result.says.clone(),
            came,
            lists: vec![name],
        }),
    }
}

/// Proves every list that the unit has changed, or that rests on something that it has changed.
#[must_use]
pub fn of(subject: &Subject) -> Came {
    let mut came = Came::default();
    for (list, checklist) in subject.library.lists() {
        if subject.is_as_shipped(list) {
            came.as_shipped += 1;
            continue;
        }
        came.lists += 1;
        let proved = with_progress(subject, list, |budget| subject.prove(list, budget));
        for result in &proved.results {
            match &result.verdict {
                Verdict::Kept { .. } => came.kept += 1,
                Verdict::NotHere => {}
                _ if result.is_fine() => note(&mut came.waived, result, checklist),
                _ => note(&mut came.against, result, checklist),
            }
        }
    }
    came
}

/// Whether what breaks a rule on words or limits is let through piece by piece: every limit that
/// acts later has its waiver, and changed words were judged, each by its own, when the lists were
/// loaded.
#[must_use]
pub fn is_covered(subject: &Subject, list: ListId, safeguard: &str) -> bool {
    let rule = subject.safeguards.iter().find(|one| one.name == safeguard);
    match rule.map(|one| &one.rule) {
        Some(Rule::OnlyStricter(_)) => later(subject).all(|name| {
            acting(subject)
                .any(|waived| matches!(waived, Waived::Limit(limit) if limit.as_str() == name))
        }),
        Some(Rule::KeepWords(_)) => {
            let name = &subject.library.list(list).name;
            acting(subject).any(|waived| matches!(waived, Waived::Words(list, _) if list == name))
        }
        _ => false,
    }
}

/// What is waived on the day of the proof.
fn acting(subject: &Subject) -> impl Iterator<Item = &Waived> {
    waivers_on(&subject.library, subject.day)
        .into_iter()
        .map(|waiver| &waiver.what)
}

/// Every limit that acts later than the shipped one.
fn later(subject: &Subject) -> impl Iterator<Item = &str> {
    subject.library.facts().iter().filter_map(|(name, fact)| {
        let FactAbout::Limit { stricter, .. } = &fact.about else {
            return None;
        };
        let shipped = subject.base.facts().get(name.as_str())?.value.as_ref()?;
        let own = fact.value.as_ref()?;
        limits::acts_later(own, shipped, *stricter).then(|| name.as_str())
    })
}
