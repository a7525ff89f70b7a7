//! What a record is made from.

use crate::checklist::drain_fact::DrainFacts;
use crate::moment::Moment;
use crate::units::Span;
use crate::walk::story::Told;

/// How a note begins that the chart wrote of itself, on a limit that was met or cleared.
pub const TOLD_BY_CHART: &str = "Told by the chart: ";

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
    /// What was put right, added and signed afterwards.
    pub afterwards: Afterwards,
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
    /// Notes on the drain outside walks that belong in this record, in the order written.
    pub notes: Vec<DrainNote>,
    /// What was signed of the drain as a whole, and walks that turned out to belong elsewhere.
    pub afterwards: Afterwards,
}

/// What was written after the fact about a walk or a drain.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Afterwards {
    /// Corrections and addenda, in the order written.
    pub amendments: Vec<Amendment>,
    /// Signatures, in the order written.
    pub signatures: Vec<Signature>,
    /// Walks that were moved from one drain to another, in the order written.
    pub moves: Vec<Moved>,
}

/// How an amendment marks what it is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marking {
    /// It was wrong; the text says what is right.
    Wrong,
    /// It does not belong here at all.
    InError,
    /// It stands, and something is added.
    Addendum,
}

/// What an amendment is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum About {
    /// The event of that number in its walk, counted from 0. The first stands for the whole walk.
    Event(usize),
    /// The note on the drain of that number.
    Note(String),
    /// The amendment of that number.
    Amendment(String),
}

/// A later entry about an earlier one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amendment {
    /// Its number within its walk or drain, such as w3.a1 or d1.a2.
    pub number: String,
    /// What it is about.
    pub about: About,
    /// How it marks it.
    pub mark: Marking,
    /// What is right, or what is added; may be empty when it was entered in error.
    pub text: String,
    /// Why.
    pub why: String,
    /// Who wrote it.
    pub by: String,
    /// When it was written.
    pub written: Moment,
}

/// A note on the drain, written outside any walk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrainNote {
    /// Its number within the drain, such as d1.2.
    pub number: String,
    /// Its words.
    pub text: String,
    /// Who wrote it.
    pub by: String,
    /// When it was seen.
    pub seen: Moment,
    /// When it was written.
    pub written: Moment,
}

/// A signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// What was signed, such as w3 or d1.
    pub of: String,
    /// Who signed: initials and role, typed by that person.
    pub by: String,
    /// When.
    pub at: Moment,
    /// The place of the journal up to which it goes.
    pub sequence: u64,
    /// The hash at that place.
    pub hash: String,
}

/// What a handover record says besides the walks and the header.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Handing {
    /// When the drain was opened (seen).
    pub opened: Option<Moment>,
    /// When the drain was closed, and how.
    pub closed: Option<(Moment, String)>,
    /// What falls due.
    pub due: Vec<DueItem>,
    /// Who took the drain over, in the order written.
    pub accepted: Vec<Acceptance>,
    /// How many entries about the drain were written after the last of them.
    pub written_since: u64,
}

/// Something that falls due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueItem {
    /// The walk it comes from, counted from 0 as the walks are handed in.
    pub walk: usize,
    /// When.
    pub at: Moment,
    /// What, in words.
    pub what: String,
    /// The duty, when it is one that is open too long.
    pub duty: Option<String>,
}

/// That somebody took a drain over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Acceptance {
    /// Who gave it: initials and role.
    pub from: String,
    /// Who accepted: initials and role.
    pub to: String,
    /// When.
    pub at: Moment,
    /// What was read back; empty when that was not recorded.
    pub read_back: String,
}

/// A walk that was found to belong to another drain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moved {
    /// The walk.
    pub walk: String,
    /// The drain it was written to; `None` when it was begun without one.
    pub from: Option<String>,
    /// The drain it belongs to.
    pub to: String,
    /// Why.
    pub why: String,
    /// Who said so.
    pub by: String,
    /// When.
    pub at: Moment,
}

/// A place in the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JournalMark {
    /// The sequence number of the last event read.
    pub sequence: u64,
    /// Its hash, as hexadecimal digits.
    pub hash: String,
}
