//! The facts of a record: everything a template may show, in words.
//!
//! Facts are made by [`SetupFacts::new`], [`IncidentFacts::new`] and [`HandoverFacts::new`] from arguments alone. They
//! serialise to JSON and are read back by [`from_json`], so that a rendering can be repeated
//! without the journal it came from.

mod afterwards;
mod calls;
mod chart;
mod clock;
mod drain;
mod duties;
mod entries;
mod findings;
mod handover;
mod head;
mod incident;
mod input;
mod setup;
mod shape;
mod timeline;
mod words;

pub use chart::Charted;
pub use head::standard_cautions;
pub use input::{
    About, Acceptance, Afterwards, Amendment, DrainNote, DueItem, EventMark, Handing, Header,
    JournalMark, LATE_AFTER, ListUsed, Marking, Moved, Signature, TOLD_BY_CHART, Waiver, WalkStory,
};
pub use shape::{
    AcceptedFacts, AfterwardsFacts, AmendmentFacts, CallFacts, ChartCorrection, ChartFacts,
    ChartRow, ChartTotal, Day, DueFacts, DutyFacts, Entry, Finding, HandoverFacts, Head,
    IncidentFacts, Interval, LimitFacts, LimitInShort, ListFacts, NoteFacts, OrderFacts, Pair,
    Remark, SetupFacts, SignFacts, SignatureFacts, Stamp, StateRow, Undone, WaiverFacts, WalkFacts,
    Writer,
};

use super::specimen::Specimen;
use crate::names::ListName;

/// The version of the facts' shape, written into their JSON. A change that an older template or
/// program could not follow raises it.
pub const FORMAT: u64 = 5;

/// The records that can be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Getting ready, connecting and proving that it works.
    Setup,
    /// Something went wrong.
    Incident,
    /// Somebody else takes the drain over.
    Handover,
    /// The drain chart.
    Chart,
}

impl Kind {
    /// Every record there is.
    pub const ALL: &[Self] = &[Self::Setup, Self::Incident, Self::Handover, Self::Chart];

    /// The word on the command line and in file names.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Setup => "setup",
            Self::Incident => "incident",
            Self::Handover => "handover",
            Self::Chart => "chart",
        }
    }
}

/// The facts of one kind of record.
#[expect(private_bounds, reason = "only the facts of this module are records")]
pub trait RecordFacts: serde::Serialize + serde::de::DeserializeOwned + Specimen {
    /// Which record they make.
    const KIND: Kind;
    /// The head common to all records.
    fn head(&self) -> &Head;
}

impl RecordFacts for SetupFacts {
    const KIND: Kind = Kind::Setup;
    fn head(&self) -> &Head {
        &self.head
    }
}

impl RecordFacts for IncidentFacts {
    const KIND: Kind = Kind::Incident;
    fn head(&self) -> &Head {
        &self.head
    }
}

impl RecordFacts for HandoverFacts {
    const KIND: Kind = Kind::Handover;
    fn head(&self) -> &Head {
        &self.head
    }
}

impl RecordFacts for ChartFacts {
    const KIND: Kind = Kind::Chart;
    fn head(&self) -> &Head {
        &self.head
    }
}

/// Why a text is not the facts of a record.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadFacts {
    /// It is not JSON of the right shape.
    #[error("line {line}, column {column}: {message}")]
    Json {
        /// The line, counted from 1.
        line: usize,
        /// The column, counted from 1.
        column: usize,
        /// What is wrong.
        message: String,
    },
    /// It holds the facts of another record.
    #[error("these are the facts of a \"{found}\" record, not of a \"{wanted}\" record")]
    OtherRecord {
        /// The record it is for.
        found: String,
        /// The record that was asked for.
        wanted: &'static str,
    },
    /// It was made by a newer program.
    #[error("the facts have format {found}; this program reads format {FORMAT}: use a newer one")]
    OtherFormat {
        /// The format it says it has.
        found: u64,
    },
}

/// Reads facts back from the JSON that serialising them gave.
///
/// # Errors
/// [`BadFacts`] when it is not such JSON, or is that of another record or format.
pub fn from_json<F: RecordFacts>(text: &str) -> Result<F, BadFacts> {
    /// As much of any facts as says what they are.
    #[derive(serde::Deserialize)]
    struct Label {
        head: HeadLabel,
    }
    #[derive(serde::Deserialize)]
    struct HeadLabel {
        record: String,
        format: u64,
    }
    let label: Label = serde_json::from_str(text).map_err(|error| bad_json(&error))?;
    if label.head.format != FORMAT {
        let found = label.head.format;
        return Err(BadFacts::OtherFormat { found });
    }
    if label.head.record != F::KIND.word() {
        return Err(BadFacts::OtherRecord {
            found: label.head.record,
            wanted: F::KIND.word(),
        });
    }
    serde_json::from_str(text).map_err(|error| bad_json(&error))
}

fn bad_json(error: &serde_json::Error) -> BadFacts {
    BadFacts::Json {
        line: error.line(),
        column: error.column(),
        message: error.to_string(),
    }
}

/// How long calls took in one walk, in whole seconds.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Waits {
    /// From what was seen first to the first call for help; reckoned as in an incident record.
    pub to_call: Option<u32>,
    /// From the beginning of each urgent list to the next call for help, with the list; not where
    /// the list is what was seen first.
    pub urgent_to_call: Vec<(ListName, u32)>,
    /// From each call to its answer.
    pub to_answer: Vec<u32>,
}

/// How long calls took in one walk. A time that runs backwards is left out.
#[must_use]
pub fn waits(walk: &WalkStory) -> Waits {
    let walks = std::slice::from_ref(walk);
    let timeline = timeline::Timeline::new(walks, LATE_AFTER);
    let calls = calls::calls(&timeline);
    let seconds = |from: crate::moment::Moment, to: crate::moment::Moment| {
        u32::try_from(to.timestamp() - from.timestamp()).ok()
    };
    let first = findings::first_seen(&timeline);
    let to_call = |from| seconds(from, calls::first(&calls, Some(from))?);
    let standing = calls.iter().filter(|call| !call.facts.struck);
    Waits {
        to_call: first.and_then(|line| to_call(line.told.seen)),
        urgent_to_call: findings::urgent_begun(&timeline, first)
            .filter_map(|(list, _, from)| Some((list.clone(), to_call(from)?)))
            .collect(),
        to_answer: standing
            .filter_map(|call| seconds(call.made, call.answered?))
            .collect(),
    }
}

/// How many duties are still open and calls still without anybody.
fn still_open(calls: &[CallFacts], duties: &[DutyFacts]) -> u64 {
    let calls = calls.iter().filter(|call| call.open).count();
    let duties = duties.iter().filter(|duty| duty.still_open).count();
    (calls + duties) as u64
}
