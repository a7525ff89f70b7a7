//! Short names for drains and walks: d1, d2 … and w1, w2 … in the order in which the journal first
//! tells of them. The journal only grows, so a short name never comes to mean something else.

use crate::failure::Failure;
use crate::journal::{DrainId, DrainSummary, Journal, WalkId, WalkSummary};

use super::failures::journal_failure;

/// A drain with its short name.
#[derive(Debug, Clone)]
pub struct NamedDrain {
    /// The short name, like d1.
    pub name: String,
    /// What is known of it.
    pub summary: DrainSummary,
}

/// A walk with its short name.
#[derive(Debug, Clone)]
pub struct NamedWalk {
    /// The short name, like w3.
    pub name: String,
    /// What is known of it.
    pub summary: WalkSummary,
}

impl From<WalkSummary> for NamedWalk {
    fn from(summary: WalkSummary) -> Self {
        Self {
            name: format!("w{}", summary.number),
            summary,
        }
    }
}

/// Every drain, in the order in which they were opened.
///
/// # Errors
/// A failure when the journal cannot be read.
pub fn drains(journal: &Journal) -> Result<Vec<NamedDrain>, Failure> {
    // In the order of the journal: identifiers follow the clock, which may stand still or go back.
    let all = journal.drains().map_err(|why| journal_failure(&why))?;
    let named = all.into_iter().enumerate();
    Ok(named
        .map(|(index, summary)| NamedDrain {
            name: format!("d{}", index + 1),
            summary,
        })
        .collect())
}

/// The walks that are open.
///
/// # Errors
/// A failure when the journal cannot be read.
pub fn open_walks(journal: &Journal) -> Result<Vec<NamedWalk>, Failure> {
    let open = journal.open_walks().map_err(|why| journal_failure(&why))?;
    Ok(open.into_iter().map(NamedWalk::from).collect())
}

/// The walks that ever belonged to the drain; those that belong to another now too.
///
/// # Errors
/// A failure when the journal cannot be read.
pub fn walks_ever_on(journal: &Journal, drain: DrainId) -> Result<Vec<NamedWalk>, Failure> {
    let all = journal
        .walks_ever_on(&drain)
        .map_err(|why| journal_failure(&why))?;
    Ok(all.into_iter().map(NamedWalk::from).collect())
}

/// The walks that belong to the drain now.
///
/// # Errors
/// A failure when the journal cannot be read.
pub fn walks_on(journal: &Journal, drain: DrainId) -> Result<Vec<NamedWalk>, Failure> {
    let mut all = walks_ever_on(journal, drain)?;
    all.retain(|walk| walk.summary.drain == Some(drain));
    Ok(all)
}

/// The drain that is meant.
///
/// # Errors
/// A usage failure that lists the drains there are.
pub fn find_drain(journal: &Journal, text: &str) -> Result<NamedDrain, Failure> {
    let all = drains(journal)?;
    let id = DrainId::parse(text).ok();
    let found = all
        .iter()
        .find(|drain| drain.name == text || Some(drain.summary.drain) == id);
    found.cloned().ok_or_else(|| {
        let names: Vec<&str> = all.iter().map(|drain| drain.name.as_str()).collect();
        Failure::usage(format!("there is no drain \"{text}\"")).hint(if names.is_empty() {
            "open one first: tubeside drain new".to_owned()
        } else {
            format!("the drains are {} (tubeside drain list)", names.join(", "))
        })
    })
}

/// The walk that is meant.
///
/// # Errors
/// A usage failure that says how to find the walks there are.
pub fn find_walk(journal: &Journal, text: &str) -> Result<NamedWalk, Failure> {
    let failed = |why| journal_failure(&why);
    let found = match (WalkId::parse(text), number(text)) {
        (Ok(id), _) => journal.walk(&id).map_err(failed)?,
        (_, Some(number)) => journal.walk_numbered(number).map_err(failed)?,
        _ => None,
    };
    if let Some(found) = found {
        return Ok(found.into());
    }
    let all = journal.count_walks().map_err(failed)?;
    Err(
        Failure::usage(format!("there is no walk \"{text}\"")).hint(format!(
            "there are {all} walks; tubeside drain show lists those of a drain"
        )),
    )
}

/// The number in a short name like w3, which is written in one way only.
fn number(name: &str) -> Option<u64> {
    let number = name.strip_prefix('w')?.parse().ok()?;
    (format!("w{number}") == name).then_some(number)
}
