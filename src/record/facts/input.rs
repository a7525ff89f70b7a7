//! What a record is made from.

use crate::checklist::drain_fact::DrainFacts;
use crate::units::Span;
use crate::walk::story::Told;

/// How much later than seen an entry may be written before it is headed as a late entry.
///
/// Our own value: the sources ask for entries at the time or as soon as possible, and for a late
/// one to be marked (NMC Code 10.1), but give no number. A unit may hand in another.
pub const LATE_AFTER: Span = Span::minutes(15);

/// One walk as the journal tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct WalkStory {
    /// The walk's identifier.
    pub walk: String,
    /// The drain's identifier.
    pub drain: String,
    /// The story, in order.
    pub story: Vec<Told>,
    /// What the journal knows of each event of the walk, by the event's number.
    pub marks: Vec<EventMark>,
    /// The checklists that were used, as they were then.
    pub lists: Vec<ListUsed>,
    /// The safeguards that were waived for them.
    pub waivers: Vec<Waiver>,
    /// Whether it was made with a set clock or as practice.
    pub rehearsal: bool,
}

/// What the journal knows of one event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EventMark {
    /// Its place in the journal; records are ordered by it, never by clock.
    pub sequence: u64,
    /// Its identifier.
    pub id: String,
    /// Who wrote it: initials and role.
    pub by: String,
}

/// A checklist as it was when it was used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListUsed {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Its version.
    pub version: String,
    /// SHA-256 of its text, as hexadecimal digits.
    pub sha256: String,
    /// Whether it was approved, in words: "approved by … on …", "draft", "shipped, not approved here".
    pub approval: String,
}

/// A safeguard that was waived by name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiver {
    /// The safeguard.
    pub safeguard: String,
    /// Who waived it.
    pub who: String,
    /// Why.
    pub why: String,
    /// Until when.
    pub until: String,
}

/// What a record says besides its walks.
#[derive(Debug, Clone, PartialEq)]
pub struct Header {
    /// The name of the unit (ward or department); `None` when not filled in.
    pub unit: Option<String>,
    /// The IANA name of the unit's time zone, as shown; times keep the offset they were noted with.
    pub zone: String,
    /// What is known of the drain.
    pub drain_facts: DrainFacts,
    /// Whether the whole record is a rehearsal. A walk that is one makes the record one too.
    pub rehearsal: bool,
    /// Up to where the journal was read.
    pub journal: JournalMark,
    /// The cautions to print; see [`standard_cautions`](super::standard_cautions).
    pub cautions: Vec<String>,
    /// How much later than seen an entry may be written before it is late; see [`LATE_AFTER`].
    pub late_after: Span,
}

/// A place in the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JournalMark {
    /// The sequence number of the last event read.
    pub sequence: u64,
    /// Its hash, as hexadecimal digits.
    pub hash: String,
}
