//! Joins a walk to the journal: begins it there, keeps its events, and brings it back.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::load::load_kept;
use crate::checklist::model::{Library, ListId};
use crate::checklist::shelf::{Shelf, SourceFile};
use crate::failure::Failure;
use crate::journal::{
    self, By, DrainId, Entry, Journal, NewEntry, SessionId, TextHash, WalkId, WalkState, What,
};
use crate::moment::{Clock, Moment};
use crate::walk::event::{Event, Happening};
use crate::walk::{OnPaper, Walk};

use super::drive::Keep;
use super::failures::journal_failure;

/// Keeps the events of one walk in the journal.
pub struct Logbook<'j> {
    /// The journal.
    pub journal: &'j mut Journal,
    /// The walk.
    pub walk: WalkId,
    /// This run of the program.
    pub session: SessionId,
    /// Who writes.
    pub by: By,
    /// The clock, whose jumps are written down.
    pub clock: &'j Clock,
    /// The place of the last event kept here; 0 before the first.
    pub kept: i64,
}

impl Logbook<'_> {
    /// A clock that jumped ahead of the time that passed is itself worth an entry. One that went
    /// back is noted by the journal, which also sees it from one run of the program to the next.
    fn note_jump(&mut self, after: &Walk, now: Moment) -> Result<(), Failure> {
        let ahead = self.clock.take_jump().filter(|jump| jump.to > jump.from);
        let Some(jump) = ahead else {
            return Ok(());
        };
        let entry = NewEntry {
            drain: None,
            walk: Some((self.walk, state(after))),
            session: self.session,
            seen: now,
            written: now,
            by: self.by.clone(),
            rehearsal: self.clock.is_rehearsal(),
            what: What::ClockJumped {
                from: jump.from,
                to: jump.to,
            },
        };
        let kept = self.journal.append(&entry);
        kept.map(drop).map_err(|why| journal_failure(&why))
    }
}

impl Keep for Logbook<'_> {
    fn keep(&mut self, event: &Event, after: &Walk) -> Result<(), Failure> {
        self.note_jump(after, event.written)?;
        let entry = NewEntry {
            drain: None,
            walk: Some((self.walk, state(after))),
            session: self.session,
            seen: event.seen,
            written: event.written,
            by: self.by.clone(),
            rehearsal: self.clock.is_rehearsal(),
            what: What::Walk(event.what.clone()),
        };
        let kept = self.journal.append(&entry);
        self.kept = kept.map_err(|why| journal_failure(&why))?.seq;
        Ok(())
    }
}

/// Where a walk stands, as the journal keeps it.
#[must_use]
pub fn state(walk: &Walk) -> WalkState {
    match (walk.outcome(), walk.is_paused()) {
        (Some(_), _) => WalkState::Over,
        (None, true) => WalkState::Paused,
        (None, false) => WalkState::Going,
    }
}

/// What a walk begins with.
pub struct Beginning<'a> {
    /// The checklists.
    pub library: &'a Arc<Library>,
    /// Their files, which are kept with the walk.
    pub shelf: &'a Shelf,
    /// Whether they are approved, in words.
    pub approval: String,
    /// The checklist.
    pub list: ListId,
    /// The drain, when it is known.
    pub drain: Option<DrainId>,
    /// What is known of the drain.
    pub facts: DrainFacts,
    /// This run of the program.
    pub session: SessionId,
    /// Who writes.
    pub by: By,
    /// Whether the clock was set.
    pub rehearsal: bool,
    /// The paper it was walked on, when it is entered afterwards.
    pub paper: Option<OnPaper>,
}

/// Begins a walk, here and in the journal.
///
/// # Errors
/// A failure when the journal could not keep it.
pub fn begin(
    journal: &mut Journal,
    beginning: Beginning<'_>,
    now: Moment,
) -> Result<(WalkId, Walk), Failure> {
    let library = beginning.library.clone();
    let (list, facts) = (beginning.list, beginning.facts);
    let begun = match beginning.paper {
        Some(paper) => Walk::begin_from_paper(library, list, facts, paper, now),
        None => Walk::begin(library, list, facts, now),
    };
    let (walk, event) = begun.map_err(|misfit| Failure::unusable(misfit.to_string()))?;
    let Happening::Begun { list, facts, paper } = event.what else {
        return Err(Failure::unusable(
            "a walk that does not begin with its beginning",
        ));
    };
    let shelf = journal::Shelf {
        approval: beginning.approval,
        files: keep_files(journal, beginning.shelf)?,
    };
    let id = WalkId::new(now);
    let entry = NewEntry {
        drain: beginning.drain,
        walk: Some((id, state(&walk))),
        session: beginning.session,
        seen: event.seen,
        written: event.written,
        by: beginning.by,
        rehearsal: beginning.rehearsal,
        what: What::Begun {
            list,
            facts,
            paper,
            shelf,
        },
    };
    journal
        .append(&entry)
        .map_err(|why| journal_failure(&why))?;
    Ok((id, walk))
}

/// Keeps the checklist files in the journal: their paths, and the hashes of their texts.
fn keep_files(journal: &mut Journal, shelf: &Shelf) -> Result<BTreeMap<String, TextHash>, Failure> {
    let (paths, bodies): (Vec<&str>, Vec<_>) = shelf
        .library_files()
        .map(|(path, bytes)| (path, String::from_utf8_lossy(bytes)))
        .unzip();
    let bodies: Vec<&str> = bodies.iter().map(AsRef::as_ref).collect();
    let hashes = journal
        .put_texts(&bodies)
        .map_err(|why| journal_failure(&why))?;
    Ok(paths
        .into_iter()
        .map(ToOwned::to_owned)
        .zip(hashes)
        .collect())
}

/// A walk brought back from the journal.
pub struct Brought {
    /// The walk.
    pub walk: Walk,
    /// Its entries.
    pub entries: Vec<Entry>,
    /// The checklist files it began with.
    pub shelf: journal::Shelf,
}

/// Brings walks back, with the checklists they began with. Walks of one unit mostly began with the
/// same files; then these are read once and shared.
pub struct Reader<'j> {
    journal: &'j Journal,
    last: Option<(BTreeMap<String, TextHash>, Arc<Library>)>,
}

impl<'j> Reader<'j> {
    /// A reader of that journal.
    pub const fn of(journal: &'j Journal) -> Self {
        Self {
            journal,
            last: None,
        }
    }

    /// Brings a walk back.
    ///
    /// # Errors
    /// A failure when an entry or a checklist text is missing, damaged, or from a newer version.
    pub fn bring(&mut self, id: WalkId) -> Result<Brought, Failure> {
        self.bring_until(id, i64::MAX)
    }

    /// Brings a walk back as it stood at that place of the journal.
    ///
    /// # Errors
    /// As [`Reader::bring`].
    pub fn bring_until(&mut self, id: WalkId, upto: i64) -> Result<Brought, Failure> {
        let mut entries = self
            .journal
            .walk_entries(&id)
            .map_err(|why| journal_failure(&why))?;
        entries.retain(|entry| entry.seq <= upto);
        let events = journal::events_of(&entries).map_err(|why| journal_failure(&why))?;
        let shelf = entries
            .iter()
            .find_map(|entry| match &entry.what {
                What::Begun { shelf, .. } => Some(shelf.clone()),
                _ => None,
            })
            .unwrap_or_default();
        let library = self.library(&shelf)?;
        let walk = Walk::replay(library, &events).map_err(|misfit| {
            Failure::unusable(format!("the walk cannot be replayed: {misfit}"))
                .hint("run: tubeside journal verify")
                .hint("begin the checklist again; what was answered stays in the journal")
        })?;
        Ok(Brought {
            walk,
            entries,
            shelf,
        })
    }

    fn library(&mut self, shelf: &journal::Shelf) -> Result<Arc<Library>, Failure> {
        match &self.last {
            Some((files, library)) if *files == shelf.files => Ok(library.clone()),
            _ => {
                let library = stored_library(self.journal, shelf)?;
                self.last = Some((shelf.files.clone(), library.clone()));
                Ok(library)
            }
        }
    }
}

/// The checklists as they were when a walk began.
fn stored_library(journal: &Journal, shelf: &journal::Shelf) -> Result<Arc<Library>, Failure> {
    let mut files = Vec::new();
    for (path, hash) in &shelf.files {
        let text = journal.text(hash).map_err(|why| journal_failure(&why))?;
        let Some(text) = text else {
            return Err(
                Failure::unusable(format!("the text of {path} is not in the journal"))
                    .hint("run: tubeside journal verify"),
            );
        };
        files.push(SourceFile {
            path: path.clone(),
            bytes: text.into_bytes(),
        });
    }
    match load_kept(&Shelf::from_files(files)).library {
        Some(library) => Ok(Arc::new(library)),
        None => Err(Failure::unusable(
            "the checklists this walk began with cannot be read by this version of the program",
        )
        .hint("use the version it was begun with, or begin the checklist again")),
    }
}
