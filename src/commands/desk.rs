//! What every command works with: the clock, the checklists, the journal, the writer.

use std::path::PathBuf;
use std::sync::Arc;

use etcetera::BaseStrategy as _;

use crate::checklist::approval::Standing;
use crate::checklist::load::load;
use crate::checklist::model::Library;
use crate::checklist::problem::{Problem, Severity};
use crate::checklist::shelf::Shelf;
use crate::cli::Common;
use crate::failure::{Failure, Kind};
use crate::journal::{Access, By, DrainId, Journal, NewEntry, SessionId, What};
use crate::moment::{BadMoment, Clock, Moment, Typed, Zone, read_near, read_typed};

use super::failures::journal_failure;
use super::local_folder;

/// The version of this program, which goes into an approval.
pub const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// The desk. A copy shares the clock, the checklists and the session.
#[derive(Clone)]
pub struct Desk {
    /// What was said on the command line for every command.
    pub common: Common,
    /// The clock.
    pub clock: Arc<Clock>,
    /// This run of the program.
    pub session: SessionId,
    /// Whether a person is at a terminal and can be asked for what was left open.
    pub asks: bool,
    /// Who writes; empty until it is given.
    pub by: By,
    /// The checklist files.
    pub shelf: Arc<Shelf>,
    /// The checklists.
    pub library: Arc<Library>,
    /// Whether they are approved.
    pub standing: Arc<Standing>,
}

impl Desk {
    /// An entry for the journal, written now by whoever writes, of no walk.
    #[must_use]
    pub fn entry(&self, drain: Option<DrainId>, seen: Moment, what: What) -> NewEntry {
        NewEntry {
            drain,
            walk: None,
            session: self.session,
            seen,
            written: self.now(),
            by: self.by.clone(),
            rehearsal: self.clock.is_rehearsal(),
            what,
        }
    }

    /// Reads and checks the checklists and sets the clock.
    ///
    /// # Errors
    /// A failure when a file cannot be read, a checklist has an error, or the clock or the writer
    /// given on the command line cannot be read.
    pub fn open(common: &Common) -> Result<Self, Failure> {
        let shelf = local_folder::shelf(common)?;
        let loaded = load(&shelf);
        let Some(library) = loaded.library else {
            return Err(unfit(&loaded.problems));
        };
        let clock = clock(common, library.unit().map(|unit| unit.zone))?;
        let by = match &common.by {
            Some(text) => writer(text)?,
            None => By::default(),
        };
        let day = clock.now().date_naive();
        let standing = Standing::of(&shelf, &library, PROGRAM, day);
        Ok(Self {
            session: SessionId::new(clock.now()),
            standing: Arc::new(standing),
            common: common.clone(),
            asks: false,
            clock: Arc::new(clock),
            by,
            shelf: Arc::new(shelf),
            library: Arc::new(library),
        })
    }

    /// Reads a time in the past as a person writes it.
    ///
    /// # Errors
    /// Words that say what is wrong and how to write it.
    pub fn read_moment(&self, text: &str) -> Result<Moment, String> {
        settled(read_typed(text, self.clock.zone(), self.now()))
    }

    /// Reads a time that stands on the same sheet as `near`.
    ///
    /// # Errors
    /// As for [`Self::read_moment`].
    pub fn read_beside(&self, text: &str, near: Moment) -> Result<Moment, String> {
        settled(read_near(text, self.clock.zone(), near, self.now()))
    }

    /// The moment it is now.
    #[must_use]
    pub fn now(&self) -> Moment {
        self.clock.now()
    }

    /// The journal's file.
    ///
    /// # Errors
    /// A failure when there is no folder for the user's data.
    pub fn journal_path(&self) -> Result<PathBuf, Failure> {
        if let Some(path) = &self.common.journal {
            return Ok(path.clone());
        }
        let folders = etcetera::choose_base_strategy().map_err(|_| {
            Failure::unusable("this account has no folder for data")
                .hint("name a journal file with --journal FILE")
        })?;
        Ok(folders.data_dir().join("tubeside").join("journal.db"))
    }

    /// Opens the journal to write, making it when it is not there.
    ///
    /// # Errors
    /// A failure that says what is wrong with the journal and what to do.
    pub fn journal(&self) -> Result<Journal, Failure> {
        Journal::open(&self.journal_path()?, Access::Write).map_err(|why| journal_failure(&why))
    }

    /// Opens the journal only to read. At its own place one that is not there is empty; one that
    /// was named is missed, since "nothing is due" of the wrong file would be believed.
    ///
    /// # Errors
    /// A failure that says what is wrong with the journal and what to do.
    pub fn journal_to_read(&self) -> Result<Journal, Failure> {
        let path = self.journal_path()?;
        if self.common.journal.is_none() && !path.exists() {
            return Ok(Journal::in_memory());
        }
        Journal::open(&path, Access::Read).map_err(|why| journal_failure(&why))
    }

    /// The folder for records: the unit's own, or beside the journal.
    ///
    /// # Errors
    /// A failure when there is no folder for the user's data.
    pub fn reports_folder(&self) -> Result<PathBuf, Failure> {
        match &self.common.local {
            Some(folder) => Ok(folder.join("reports")),
            None => {
                let journal = self.journal_path()?;
                Ok(journal
                    .parent()
                    .map_or_else(PathBuf::new, ToOwned::to_owned)
                    .join("reports"))
            }
        }
    }
}

/// The one moment that typed words mean.
fn settled(typed: Result<Typed, BadMoment>) -> Result<Moment, String> {
    match typed {
        Ok(Typed::One { moment, .. }) => Ok(moment),
        Ok(Typed::Two { earlier, later }) => Err(format!(
            "the clocks went back and this time came twice: write {} or {}",
            earlier.to_rfc3339(),
            later.to_rfc3339()
        )),
        Err(bad) => Err(bad.to_string()),
    }
}

/// Reads a writer: initials and role.
///
/// # Errors
/// A usage failure when it holds no initials, or more than initials and a role.
pub fn writer(text: &str) -> Result<By, Failure> {
    let (initials, role) = text.split_once(',').unwrap_or((text, ""));
    let (initials, role) = (initials.trim(), role.trim());
    let bad = |what: &str| {
        Err(Failure::usage(format!("\"{text}\" {what}"))
            .hint("write initials and role, like \"AB, RN\""))
    };
    if initials.is_empty() {
        return bad("has no initials");
    }
    if initials.chars().count() > 5 || initials.contains(' ') {
        return bad("begins with more than initials; a name is not stored");
    }
    if role.chars().count() > 40 {
        return bad("has a role of more than 40 characters");
    }
    Ok(By::new(initials, role))
}

/// The clock: the real one, or a set one for a rehearsal; in the unit's zone.
///
/// # Errors
/// A usage failure when the set moment cannot be read.
pub fn clock(common: &Common, zone: Option<chrono_tz::Tz>) -> Result<Clock, Failure> {
    let zone = zone.map_or(Zone::System, Zone::Named);
    match &common.clock {
        None => Ok(Clock::computer(zone)),
        Some(text) => match Moment::parse_from_rfc3339(text) {
            Ok(start) if common.quiet => Ok(Clock::standing(start, zone)),
            Ok(start) => Ok(Clock::set(start, zone)),
            Err(_) => Err(
                Failure::usage(format!("--clock: \"{text}\" is not a moment"))
                    .hint("write it like 2026-03-29T00:30:00Z"),
            ),
        },
    }
}

/// The failure that tells everything wrong with the checklists.
#[must_use]
pub fn unfit(problems: &[Problem]) -> Failure {
    let is_error = |problem: &&Problem| problem.severity() == Severity::Error;
    let errors = problems.iter().filter(is_error).count();
    let shown: Vec<String> = problems.iter().map(Problem::drawn).collect();
    let noun = if errors == 1 { "error" } else { "errors" };
    Failure::new(
        Kind::Problems,
        format!(
            "the checklists have {errors} {noun} and cannot be used\n\n{}",
            shown.join("\n")
        ),
    )
    .hint("correct the files named above, and look again: tubeside local check")
    .hint("for care now, use the shipped checklists without --local, or the paper copy")
}
