//! `local prove`: whether every possible way through the checklists keeps every safeguard.

use std::path::Path;
use std::sync::Arc;

use serde::Serialize;

use crate::checklist::load::load;
use crate::checklist::model::{Library, ListId, Waived};
use crate::checklist::proof::read::{Unfit, gather};
use crate::checklist::proof::rule::{Safeguard, Verdict};
use crate::checklist::proof::run::Run;
use crate::checklist::proof::{Budget, Doubt, Proof, STATES, doubt, prove, same_as};
use crate::checklist::shelf::Shelf;
use crate::cli::{Common, ProveArgs};
use crate::commands::desk::unfit;
use crate::commands::replay::replay;
use crate::commands::{local_folder, out};
use crate::failure::{Failure, Kind};
use crate::files::{Present, Readers, write_whole};
use crate::screen;

use super::proof;
use super::prove_trial;
use super::prove_words::{self, Page};

/// What came of one safeguard on one list.
#[derive(Debug, Clone)]
pub struct Result {
    /// Its name.
    pub name: String,
    /// Its sentence.
    pub says: String,
    /// What came of it.
    pub verdict: Verdict,
    /// Whether the unit has waived it, so that it does not count.
    pub waived: bool,
}

impl Result {
    /// Whether the list may be used as far as this goes.
    #[must_use]
    pub const fn is_fine(&self) -> bool {
        self.verdict.is_fine() || self.waived
    }
}

/// What came of one list.
#[derive(Debug, Clone)]
pub struct Proved {
    /// The list.
    pub list: ListId,
    /// How many ways through it there are; `None` when they are too many to count.
    pub runs: Option<u128>,
    /// Each safeguard that holds for it.
    pub results: Vec<Result>,
}

/// The lists of a unit with everything that a proof needs.
pub struct Subject {
    /// The unit's lists.
    pub library: Arc<Library>,
    /// The shipped ones; the same when the unit has none of its own.
    pub base: Arc<Library>,
    /// Every safeguard, the shipped ones first.
    pub safeguards: Vec<Safeguard>,
    /// Names of safeguards that the unit has waived.
    pub waived: Vec<String>,
    /// How many of them are shipped.
    pub shipped_safeguards: usize,
    /// The day on which waivers are judged.
    pub day: chrono::NaiveDate,
}

impl Subject {
    /// Reads them from a shelf.
    ///
    /// # Errors
    /// A failure that tells everything wrong with the lists or with the safeguards.
    pub fn read(common: &Common, shelf: &Shelf) -> std::result::Result<Self, Failure> {
        let loaded = load(shelf);
        let Some(library) = loaded.library else {
            return Err(unfit(&loaded.problems));
        };
        let library = Arc::new(library);
        let base = if *shelf == Shelf::shipped() {
            library.clone()
        } else {
            let shipped = load(&Shelf::shipped());
            Arc::new(shipped.library.ok_or_else(|| unfit(&shipped.problems))?)
        };
        let safeguards = gather(shelf, &library).map_err(|wrong| unreadable(&wrong))?;
        let day = local_folder::today(common);
        let waived = library
            .waivers()
            .iter()
            .filter(|waiver| waiver.acts_on(day));
        let waived = waived.filter_map(|waiver| match &waiver.what {
            Waived::Safeguard(name) => Some(name.clone()),
            _ => None,
        });
        Ok(Self {
            waived: waived.collect(),
            shipped_safeguards: gather(&Shelf::shipped(), &base).map_or(0, |found| found.len()),
            day,
            library,
            base,
            safeguards,
        })
    }

    /// Whether nothing the unit has written can change what was proved of the shipped list: the
    /// list and all that it uses are as shipped, so are the limits, and no safeguard was added.
    /// Local facts are open in the proof of the shipped lists, so they change nothing, unless an
    /// amount stands in a band.
    #[must_use]
    pub fn is_as_shipped(&self, list: ListId) -> bool {
        let here = self.library.list(list);
        let added = self.safeguards.iter().skip(self.shipped_safeguards);
        added.into_iter().all(|one| !one.is_for(here)) && same_as(&self.library, list, &self.base)
    }

    /// Proves one list. A run that the walk cannot follow counts as not decided.
    #[must_use]
    pub fn prove(&self, list: ListId, budget: &mut Budget<'_>) -> Proved {
        let Proof { runs, verdicts } =
            prove(&self.library, list, &self.safeguards, &self.base, budget);
        let results = verdicts.into_iter().map(|(name, verdict)| {
            let one = self.safeguards.iter().find(|one| one.name == name);
            Result {
                says: one.map_or_else(String::new, |one| one.says.clone()),
                waived: self.waived.contains(&name)
                    || (!verdict.is_fine() && proof::is_covered(self, list, &name)),
                verdict: self.replayed(verdict),
                name,
            }
        });
        Proved {
            list,
            runs,
            results: results.collect(),
        }
    }

    fn replayed(&self, verdict: Verdict) -> Verdict {
        match verdict {
            Verdict::Broken {
                run: Some(run),
                states,
                ..
            } if replay(&self.library, &run).is_err() => Verdict::NotDecided { states },
            verdict => verdict,
        }
    }
}

fn unreadable(wrong: &[Unfit]) -> Failure {
    let told: Vec<String> = wrong.iter().map(ToString::to_string).collect();
    Failure::new(
        Kind::Problems,
        format!("the safeguards cannot be read\n  {}", told.join("\n  ")),
    )
    .hint("correct the file, or put back the tag, step or answer that the safeguard names")
}

/// Proves one list or all, and prints what came of it.
///
/// # Errors
/// A failure when a safeguard is broken, no longer bites or is not decided; when the lists or the
/// safeguards cannot be read.
pub fn run(common: &Common, args: &ProveArgs) -> std::result::Result<(), Failure> {
    let subject = Subject::read(common, &local_folder::shelf(common)?)?;
    let lists: Vec<ListId> = match &args.list {
        None => subject.library.lists().map(|(id, _)| id).collect(),
        Some(name) => vec![subject.library.find(name).ok_or_else(|| {
            Failure::usage(format!("there is no checklist \"{name}\""))
                .hint("find one by what you see: tubeside find WORDS")
        })?],
    };
    if args.doubt {
        return doubted(&subject, &lists, args);
    }
    let proved: Vec<Proved> = lists
        .iter()
        .map(|list| with_progress(&subject, *list, |budget| subject.prove(*list, budget)))
        .collect();
    if let Some(file) = &args.trial {
        write_trial(&subject, &proved, file)?;
    }
    if args.json {
        let rows: Vec<Row> = proved.iter().map(|one| row(&subject, one)).collect();
        out::json(&rows)?;
    } else {
        let page = Page::of_width(screen::columns().unwrap_or(80));
        out::line(&prove_words::told(
            &subject,
            &proved,
            args.list.is_some(),
            page,
        ))?;
    }
    let bad = proved.iter().flat_map(|one| &one.results);
    match bad.filter(|result| !result.is_fine()).count() {
        0 => Ok(()),
        1 => Err(Failure::new(Kind::Problems, "one safeguard does not hold")),
        many => Err(Failure::new(
            Kind::Problems,
            format!("{many} safeguards do not hold, each list counted"),
        )),
    }
}

/// Does something that may take long, and says on a terminal how far it is.
pub fn with_progress<T>(
    subject: &Subject,
    list: ListId,
    does: impl FnOnce(&mut Budget<'_>) -> T,
) -> T {
    let name = &subject.library.list(list).name;
    out::progress(&format!("proving {name}"));
    let found = does(&mut Budget {
        states: STATES,
        progress: &mut |states| out::progress(&format!("proving {name}: {states} situations")),
    });
    out::progress("");
    found
}

fn write_trial(
    subject: &Subject,
    proved: &[Proved],
    file: &Path,
) -> std::result::Result<(), Failure> {
    let results = proved.iter().flat_map(|one| &one.results);
    let broken = results
        .filter_map(|result| match &result.verdict {
            Verdict::Broken { run: Some(run), .. } => Some((result, run.as_ref())),
            _ => None,
        })
        .next();
    let Some((result, run)) = broken else {
        return Err(Failure::usage(
            "no safeguard is broken by a run, so there is nothing to write as a trial",
        ));
    };
    let text = prove_trial::trial(&subject.library, &result.name, &result.says, run)
        .map_err(Failure::unusable)?;
    write_whole(file, text.as_bytes(), Readers::Owner, Present::Keep)
        .map_err(|why| Failure::unusable(why.to_string()).hint("name a file that is not there yet"))
}

/// One list for `--json`.
#[derive(Serialize)]
struct Row {
    list: String,
    /// As text, since it may be larger than any number of JSON readers.
    runs: Option<String>,
    fine: bool,
    safeguards: Vec<SafeguardRow>,
}

/// One safeguard for `--json`.
#[derive(Serialize)]
struct SafeguardRow {
    name: String,
    says: String,
    /// kept, broken, vacuous, not-decided or not-here.
    came: &'static str,
    waived: bool,
    states: Option<usize>,
    why: Option<String>,
    run: Option<Vec<String>>,
}

fn row(subject: &Subject, proved: &Proved) -> Row {
    let safeguards = proved.results.iter().map(|result| {
        let (states, why, run): (_, _, Option<&Run>) = match &result.verdict {
            Verdict::Kept { states } | Verdict::NotDecided { states } => {
                (Some(*states), None, None)
            }
            Verdict::Broken { why, run, states } => {
                (Some(*states), Some(why.clone()), run.as_deref())
            }
            Verdict::Vacuous { what } => (None, Some(what.clone()), None),
            Verdict::NotHere => (None, None, None),
        };
        SafeguardRow {
            name: result.name.clone(),
            says: result.says.clone(),
            came: prove_words::came(&result.verdict),
            waived: result.waived,
            states,
            why,
            run: run.map(|run| run.script().lines().map(str::to_owned).collect()),
        }
    });
    Row {
        list: subject.library.list(proved.list).name.to_string(),
        runs: proved.runs.map(|runs| runs.to_string()),
        fine: proved.results.iter().all(Result::is_fine),
        safeguards: safeguards.collect(),
    }
}

/// Takes out each step that fulfils a safeguard, one at a time, and tells whether it was noticed.
fn doubted(
    subject: &Subject,
    lists: &[ListId],
    args: &ProveArgs,
) -> std::result::Result<(), Failure> {
    let mut doubts: Vec<Doubt> = Vec::new();
    for list in lists {
        let here = subject.library.list(*list);
        for safeguard in subject.safeguards.iter().filter(|one| one.is_for(here)) {
            doubts.push(with_progress(subject, *list, |budget| {
                doubt(&subject.library, *list, safeguard, &subject.base, budget)
            }));
        }
    }
    let unseen: Vec<String> = doubts
        .iter()
        .filter(|doubt| doubt.all_left_out == Some(false))
        .map(|doubt| format!("{} in {}", doubt.name, doubt.list))
        .collect();
    if args.json {
        out::json(&doubts)?;
    } else {
        let page = Page::of_width(screen::columns().unwrap_or(80));
        out::line(&prove_words::doubts(&doubts, page))?;
    }
    if unseen.is_empty() {
        return Ok(());
    }
    Err(Failure::new(
        Kind::Problems,
        format!("nothing was noticed for: {}", unseen.join(", ")),
    ))
}
