//! What is asked to be written, and what was written.

use std::collections::BTreeMap;
use std::fmt;

use crate::checklist::drain_fact::DrainFacts;
use crate::moment::Moment;
use crate::names::ListName;
use crate::walk::event::{Event, Happening};

use super::ids::{DrainId, EntryId, SessionId, WalkId};
use super::text_hash::TextHash;

/// Who wrote an entry: initials and role, never a name. Both may be empty until they are given.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct By {
    /// The initials.
    pub initials: String,
    /// The role, such as RN.
    pub role: String,
}

impl By {
    /// Joins initials and role.
    #[must_use]
    pub fn new(initials: &str, role: &str) -> Self {
        Self {
            initials: initials.trim().to_owned(),
            role: role.trim().to_owned(),
        }
    }

    /// True when neither is given yet.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.initials.is_empty() && self.role.is_empty()
    }
}

impl fmt::Display for By {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.initials.as_str(), self.role.as_str()) {
            ("", "") => f.pad("not given"),
            (one, "") | ("", one) => f.pad(one),
            (initials, role) => f.pad(&format!("{initials}, {role}")),
        }
    }
}

/// Where a walk stands after an entry. The caller says it, so that open walks are found without
/// replaying anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WalkState {
    /// It waits for an answer.
    Going,
    /// It is paused.
    Paused,
    /// It is ended or given up.
    Over,
}

impl WalkState {
    /// The word in the journal.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Going => "going",
            Self::Paused => "paused",
            Self::Over => "over",
        }
    }

    /// Reads the word in the journal.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        [Self::Going, Self::Paused, Self::Over]
            .into_iter()
            .find(|state| state.word() == word)
    }
}

/// The checklist files that a walk began with, and what was known of their approval.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Shelf {
    /// Every file used: its path within the shelf, and the hash of its text, which is kept too.
    pub files: BTreeMap<String, TextHash>,
    /// The state of approval in words, as it was at that moment.
    pub approval: String,
}

/// How an earlier entry is marked by a later one. The earlier one stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// It was wrong; the text says what is right.
    Wrong,
    /// It does not belong here at all: another patient, or a trial.
    EnteredInError,
    /// It stands, and something is added.
    Addendum,
}

impl Mark {
    /// The word in the journal.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Wrong => "wrong",
            Self::EnteredInError => "entered-in-error",
            Self::Addendum => "addendum",
        }
    }

    /// Reads the word in the journal.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        [Self::Wrong, Self::EnteredInError, Self::Addendum]
            .into_iter()
            .find(|mark| mark.word() == word)
    }
}

/// What a record was made from, enough to make it again, and how it left the journal.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RecordAbout {
    /// Which record, such as "setup"; empty in entries of the first version.
    pub kind: String,
    /// In which form, such as "markdown".
    pub form: String,
    /// "filed", "printed" or "exported".
    pub how: String,
    /// The walks it was made from, in order.
    pub walks: Vec<WalkId>,
    /// The last place of the journal that was read for it.
    pub upto: i64,
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// A walk began: [`Happening::Begun`] with the files it goes by.
    Begun {
        /// The checklist.
        list: ListName,
        /// What was known of the drain.
        facts: DrainFacts,
        /// Who wrote it on paper, when it was walked there and is entered afterwards.
        paper: Option<String>,
        /// The files.
        shelf: Shelf,
    },
    /// Anything else that happened in a walk. [`Happening::Begun`] is written as [`What::Begun`]
    /// with an empty shelf.
    Walk(Happening),
    /// Another session took the walk up.
    TakenOver {
        /// The session that held it before.
        from: SessionId,
        /// Whether that session was still at work, rather than ended.
        in_use: bool,
    },
    /// The walk was found to belong to the drain of this entry.
    Attached {
        /// Why, when it belonged to another before; empty when it had none.
        why: String,
    },
    /// A drain was opened.
    DrainOpened {
        /// What is known of it.
        facts: DrainFacts,
    },
    /// What is known of a drain changed.
    DrainChanged {
        /// All that is known of it now.
        facts: DrainFacts,
        /// Why it changed; may be empty.
        why: String,
    },
    /// A drain was closed.
    DrainClosed {
        /// How, such as "tube removed".
        how: String,
    },
    /// A note on a drain, outside a walk.
    DrainNote {
        /// Its words.
        text: String,
    },
    /// Something for the chart of a drain. A correction in it names the place (`seq`) of the entry
    /// that it corrects.
    Charted(crate::chart::What),
    /// An earlier entry was corrected or added to.
    Amended {
        /// The earlier entry.
        entry: EntryId,
        /// How it is marked.
        mark: Mark,
        /// What is right, or what is added.
        text: String,
        /// Why.
        why: String,
    },
    /// The clock of the computer disagreed with the time that had passed.
    ClockJumped {
        /// The moment that was expected.
        from: Moment,
        /// The moment that the clock showed.
        to: Moment,
    },
    /// The walk or the drain of this entry was signed by its writer, as it stood at that place of
    /// the journal. After it only addenda are taken for what stands before.
    Signed {
        /// The last entry that was there when it was signed.
        seq: i64,
        /// The hash of that entry.
        hash: TextHash,
    },
    /// The drain was handed over: the writer gives, the other accepts.
    HandedOver {
        /// Who accepts.
        to: By,
        /// What was read back, in words; empty when that was not recorded.
        read_back: String,
    },
    /// A record was written to a file, printed or exported.
    RecordWritten {
        /// The file; a single hyphen for the standard output.
        path: String,
        /// SHA-256 of its bytes.
        sha256: TextHash,
        /// What it was made from and how it left.
        about: RecordAbout,
    },
    /// Written by a newer version, or in a form this version cannot read. Kept as it is.
    Unread {
        /// Its kind.
        kind: String,
        /// Why it cannot be read.
        why: String,
    },
}

impl What {
    /// The happening for replaying a walk, if this is one.
    #[must_use]
    pub fn happening(&self) -> Option<Happening> {
        match self {
            Self::Begun {
                list, facts, paper, ..
            } => Some(Happening::Begun {
                list: list.clone(),
                facts: facts.clone(),
                paper: paper.clone(),
            }),
            Self::Walk(happening) => Some(happening.clone()),
            _ => None,
        }
    }

    /// True for what only the session that holds the walk may write.
    pub(super) const fn moves_walk(&self) -> bool {
        matches!(
            self,
            Self::Begun { .. } | Self::Walk(_) | Self::TakenOver { .. } | Self::Attached { .. }
        )
    }

    /// True for what needs a drain that is already there.
    pub(super) const fn needs_drain(&self) -> bool {
        matches!(
            self,
            Self::DrainChanged { .. }
                | Self::DrainClosed { .. }
                | Self::DrainNote { .. }
                | Self::Charted(_)
                | Self::HandedOver { .. }
        )
    }
}

/// An entry as the caller hands it over.
#[derive(Debug, Clone, PartialEq)]
pub struct NewEntry {
    /// The drain it belongs to. A walk's entries take the walk's drain when this is `None`.
    pub drain: Option<DrainId>,
    /// The walk it belongs to, and where the walk stands after it. The state is ignored for what
    /// does not move the walk.
    pub walk: Option<(WalkId, WalkState)>,
    /// The session that writes.
    pub session: SessionId,
    /// When it was seen or done.
    pub seen: Moment,
    /// When it is written.
    pub written: Moment,
    /// By whom.
    pub by: By,
    /// Whether it belongs to a rehearsal. Entries of a walk begun in a rehearsal always do.
    pub rehearsal: bool,
    /// What it says.
    pub what: What,
}

/// An entry as it stands in the journal.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its place: 1, 2, 3 and so on without gaps. The order of the journal.
    pub seq: i64,
    /// Its identifier.
    pub id: EntryId,
    /// The drain it belongs to.
    pub drain: Option<DrainId>,
    /// The walk it belongs to.
    pub walk: Option<WalkId>,
    /// Where the walk stands after it; `None` when it does not move the walk.
    pub state: Option<WalkState>,
    /// The session that wrote it.
    pub session: SessionId,
    /// When it was seen or done.
    pub seen: Moment,
    /// When it was written.
    pub written: Moment,
    /// By whom.
    pub by: By,
    /// Whether it belongs to a rehearsal.
    pub rehearsal: bool,
    /// What it says.
    pub what: What,
    /// What it says, as JSON, exactly as it is kept; fields of newer versions included.
    pub body: String,
    /// The hash of its line in the export.
    pub hash: String,
}

impl Entry {
    /// The event for replaying a walk, if it is one.
    #[must_use]
    pub fn event(&self) -> Option<Event> {
        Some(Event {
            seen: self.seen,
            written: self.written,
            what: self.what.happening()?,
        })
    }
}

/// What is known of a walk without replaying it.
#[derive(Debug, Clone, PartialEq)]
pub struct WalkSummary {
    /// Its number: 1 for the walk that was begun first in this journal.
    pub number: u64,
    /// The walk.
    pub walk: WalkId,
    /// The drain it belongs to now.
    pub drain: Option<DrainId>,
    /// The checklist it began with; `None` when its first entry cannot be read by this version.
    pub list: Option<ListName>,
    /// When it began (seen).
    pub begun: Moment,
    /// Who began it.
    pub begun_by: By,
    /// Where it stands.
    pub state: WalkState,
    /// The session that holds it, or held it last.
    pub session: SessionId,
    /// When its last entry was written.
    pub last_written: Moment,
    /// Who wrote its last entry.
    pub last_by: By,
    /// Whether it is a rehearsal.
    pub rehearsal: bool,
    /// The place of its first entry.
    pub first_seq: i64,
    /// The place of its last entry.
    pub last_seq: i64,
}

/// What is known of a drain now.
#[derive(Debug, Clone, PartialEq)]
pub struct DrainSummary {
    /// The drain.
    pub drain: DrainId,
    /// What is known of it.
    pub facts: DrainFacts,
    /// When it was opened (seen).
    pub opened: Moment,
    /// When it was closed (seen), and how.
    pub closed: Option<(Moment, String)>,
    /// Whether an entry about it cannot be read by this version, so that the facts may be out of date.
    pub unread: bool,
    /// Whether it belongs to a rehearsal.
    pub rehearsal: bool,
    /// The place of the last entry that opened, changed or closed it.
    pub last_seq: i64,
}
