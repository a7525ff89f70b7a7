//! `local try`: plays trials and tells which ways out of the lists none of them takes.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde::Serialize;

use crate::checklist::exit::{Exit, exits};
use crate::checklist::load::load;
use crate::checklist::model::Library;
use crate::checklist::shelf::{Shelf, SourceFile};
use crate::checklist::trial::{self, Trial};
use crate::cli::{Common, TryArgs};
use crate::failure::{Failure, Kind};
use crate::walk::{Passed, Walk};

use super::desk::unfit;
use super::local_folder;
use super::out;
use super::play::play;

/// What came of playing trials.
#[derive(Debug, Default, Serialize)]
pub struct Played {
    /// How many ended as they must.
    pub passed: usize,
    /// Each that did not, with what it came to instead.
    pub failed: Vec<String>,
    /// The names of shipped ones among them.
    pub failed_shipped: Vec<String>,
    /// The names of shipped ones that go another way with the unit's changes, as it says they do.
    pub changed: Vec<String>,
    /// How many that only follow from a shipped list go another way with the unit's lists.
    pub beside: usize,
    /// How many ways out there are in the lists that were looked at.
    pub ways_out: usize,
    /// Those that no trial takes.
    pub untaken: Vec<Untaken>,
}

/// A way out that no trial takes.
#[derive(Debug, Serialize, PartialEq, Eq)]
pub struct Untaken {
    /// The checklist.
    pub list: String,
    /// The step.
    pub step: String,
    /// The way out in words.
    pub way: String,
}

impl Played {
    /// In one line.
    #[must_use]
    pub fn summary(&self) -> String {
        let changed = match self.changed.len() {
            0 => String::new(),
            count => format!(
                ", {count} {} another way on purpose ({})",
                if count == 1 { "goes" } else { "go" },
                self.changed.join(", ")
            ),
        };
        let beside = match self.beside {
            0 => String::new(),
            1 => ", 1 of the shipped lists' own no longer fits".to_owned(),
            count => format!(", {count} of the shipped lists' own no longer fit"),
        };
        let trials = if self.passed == 1 { "trial" } else { "trials" };
        format!(
            "{} {trials} passed, {} failed{changed}{beside}; {} of {} ways out taken",
            self.passed,
            self.failed.len(),
            self.ways_out - self.untaken.len(),
            self.ways_out
        )
    }

    /// What to do about shipped trials that failed.
    #[must_use]
    pub fn advice(&self) -> Option<String> {
        if self.failed_shipped.is_empty() {
            return None;
        }
        Some(format!(
            "where that is not meant, correct your change; where it is, write into your adaptation, \
             above \"changes:\", the line\n      changes_trials: [{}]\n    (a whole list of your own \
             brings a trial of the same name in checklists/trials/ instead)",
            self.changed
                .iter()
                .chain(&self.failed_shipped)
                .cloned()
                .collect::<Vec<_>>()
                .join(", ")
        ))
    }
}

/// Plays every trial, or those whose name or list holds the name, and says which ways out of the
/// lists that were begun none of them takes.
///
/// # Errors
/// A failure that names each trial that did not end as it must.
pub fn run(common: &Common, args: &TryArgs) -> Result<(), Failure> {
    let played = play_all(common, args.name.as_deref())?;
    if args.json {
        out::json(&played)?;
    } else {
        for one in &played.untaken {
            let Untaken { list, step, way } = one;
            out::line(&format!("no trial takes {list}/{step}: {way}"))?;
        }
    }
    if played.failed.is_empty() {
        return if args.json {
            Ok(())
        } else {
            out::line(&played.summary())
        };
    }
    let failure = Failure::new(
        Kind::Problems,
        format!("{}\n  {}", played.summary(), played.failed.join("\n  ")),
    );
    Err(match played.advice() {
        Some(advice) => failure.hint(advice),
        None => failure,
    })
}

/// Plays every trial, or those whose name or list holds `name`. A unit's own trial takes the place
/// of a shipped one of its name.
///
/// # Errors
/// A failure when the checklists are unfit or a file cannot be read.
pub fn play_all(common: &Common, name: Option<&str>) -> Result<Played, Failure> {
    let shelf = local_folder::shelf(common)?;
    let loaded = load(&shelf);
    let Some(library) = &loaded.library else {
        return Err(unfit(&loaded.problems));
    };
    let adapted = library
        .lists()
        .filter_map(|(_, list)| list.adapted.as_ref());
    let meant: BTreeSet<String> = adapted.flat_map(|one| one.changes_trials.clone()).collect();
    let mut units = Units::over(shelf);
    let own = local_folder::trials(common.local.as_deref())?;
    let replaced: BTreeSet<String> = own.iter().map(|file| stem(&file.path)).collect();
    let shipped = trial::shipped().into_iter();
    let shipped = shipped.filter(|file| !replaced.contains(&stem(&file.path)));
    let all = shipped
        .map(|file| (true, file))
        .chain(own.into_iter().map(|file| (false, file)));
    let (mut played, mut begun, mut taken) = (Played::default(), BTreeSet::new(), BTreeSet::new());
    for (is_shipped, file) in all {
        let stem = stem(&file.path);
        let tried = match try_file(&mut units, &file, name) {
            Ok(tried) => tried,
            Err(why) => {
                played.failed.push(why);
                continue;
            }
        };
        begun.extend(tried.begun);
        taken.extend(tried.taken);
        played.passed += tried.passed;
        let (any, meant) = (
            !tried.failed.is_empty(),
            is_shipped && meant.contains(&stem),
        );
        if meant && !any && tried.passed > 0 {
            played.failed.push(format!(
                "{stem}: it ends as it must, so take it out of changes_trials"
            ));
        } else if meant && any {
            played.changed.push(stem);
        } else if is_shipped && stem.starts_with(FROM_A_LIST) && common.local.is_some() {
            // It follows from a shipped list, and the unit follows another.
            played.beside += tried.failed.len();
        } else {
            if is_shipped && any {
                played.failed_shipped.push(stem);
            }
            played.failed.extend(tried.failed);
        }
    }
    tell_untaken(
        &mut played,
        ways_out(library, |list| name.is_none() || begun.contains(list)),
        &taken,
    );
    Ok(played)
}

/// How the files begin that hold what follows from a shipped list alone.
const FROM_A_LIST: &str = "ways-";

fn tell_untaken(played: &mut Played, all: Vec<(Named, String)>, taken: &BTreeSet<Named>) {
    played.ways_out = all.len();
    let untaken = all.into_iter().filter(|(named, _)| !taken.contains(named));
    played.untaken = untaken
        .map(|((list, step, _), way)| Untaken { list, step, way })
        .collect();
}

/// What the trials of one file came to.
#[derive(Default)]
struct Tried {
    passed: usize,
    failed: Vec<String>,
    begun: Vec<String>,
    taken: Vec<Named>,
}

fn try_file(units: &mut Units, file: &SourceFile, name: Option<&str>) -> Result<Tried, String> {
    let mut tried = Tried::default();
    for trial in trial::read(file)? {
        let is_wanted = |name| file.path.contains(name) || trial.list.contains(name);
        if !name.is_none_or(is_wanted) {
            continue;
        }
        tried.begun.push(trial.list.clone());
        match units.of(&trial).and_then(|library| play(library, &trial)) {
            Ok(walk) => {
                tried.passed += 1;
                let passed = walk.passed().iter();
                tried
                    .taken
                    .extend(passed.map(|passed| named(&walk, passed)));
            }
            Err(why) => tried
                .failed
                .push(format!("{}, \"{}\": {why}", file.path, trial.trial)),
        }
    }
    Ok(tried)
}

/// The list, the step and the way out, by names that are the same in every library of the lists.
type Named = (String, String, Exit);

fn named(walk: &Walk, passed: &Passed) -> Named {
    let list = walk.library().list(passed.list);
    let step = list.step(passed.step).name.to_string();
    (list.name.to_string(), step, passed.exit.clone())
}

/// Every way out of the lists, with its words.
fn ways_out(library: &Library, wanted: impl Fn(&str) -> bool) -> Vec<(Named, String)> {
    let mut all = Vec::new();
    for (_, list) in library.lists() {
        if !wanted(list.name.as_str()) {
            continue;
        }
        for (_, step) in list.steps() {
            let exits = exits(library, step).into_iter();
            all.extend(exits.map(|exit| {
                let words = exit.words(step);
                ((list.name.to_string(), step.name.to_string(), exit), words)
            }));
        }
    }
    all
}

/// The name of a file without its folder and ending.
fn stem(path: &str) -> String {
    let name = path.rsplit(['/', '\\']).next().unwrap_or(path);
    name.trim_end_matches(".yaml").to_owned()
}

/// The checklists as each trial takes them: with the local facts it says, loaded once for all
/// trials that say the same.
struct Units {
    shelf: Shelf,
    loaded: BTreeMap<BTreeMap<String, String>, Arc<Library>>,
}

impl Units {
    const fn over(shelf: Shelf) -> Self {
        Self {
            shelf,
            loaded: BTreeMap::new(),
        }
    }

    fn of(&mut self, trial: &Trial) -> Result<Arc<Library>, String> {
        if let Some(library) = self.loaded.get(&trial.local) {
            return Ok(library.clone());
        }
        let shelf = self
            .shelf
            .clone()
            .with_unit("the trial", [trial.local_file()?])
            .for_trial();
        let loaded = load(&shelf);
        let Some(library) = loaded.library else {
            return Err(unfit(&loaded.problems).message);
        };
        let library = Arc::new(library);
        self.loaded.insert(trial.local.clone(), library.clone());
        Ok(library)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checklist::model::StepKind;
    use crate::walk::input::Answer;
    use crate::walk::story::Telling;

    /// Every trial played, with its walk.
    fn walks() -> Vec<(String, Walk)> {
        let mut units = Units::over(Shelf::shipped());
        let mut walks = Vec::new();
        for file in trial::shipped() {
            for trial in trial::read(&file).unwrap() {
                let library = units.of(&trial).unwrap();
                let name = format!("{}, {}", file.path, trial.trial);
                walks.push((name, play(library, &trial).unwrap()));
            }
        }
        walks
    }

    /// In every trial a red flag, or doubt about one, comes with a call or a step that asks for one,
    /// before it or after: first of the order of every fault in the sources (Royal College of Emergency
    /// Medicine, post-procedural care; Systematic Reviews, 2014;3:3, table 1).
    #[test]
    fn a_red_flag_always_comes_with_a_call() {
        let mut flags = 0;
        for (name, walk) in walks() {
            let (mut open, mut called) = (None, false);
            for told in walk.story() {
                let Telling::Answered {
                    list, step, answer, ..
                } = &told.what
                else {
                    continue;
                };
                let id = walk.library().find(list.as_str()).unwrap();
                let list = walk.library().list(id);
                let step = list.step(list.find(step.as_str()).unwrap());
                if step.call.is_some() {
                    (open, called) = (None, true);
                }
                let flagged = step.tags.iter().any(|tag| tag.as_str() == "red-flag");
                if let (true, StepKind::Ask { answers, .. }, Answer::Choice(words)) =
                    (flagged, &step.kind, answer)
                    && answers.first().is_some_and(|first| first.words != *words)
                {
                    flags += 1;
                    open = (!called).then(|| format!("{}/{}: {words}", list.name, step.name));
                }
            }
            assert_eq!(open, None, "{name}");
        }
        assert!(flags > 50, "{flags}");
    }

    /// A walk that ends by saying that somebody was called has called somebody.
    #[test]
    fn who_is_said_to_be_called_was_called() {
        for (name, walk) in walks() {
            let outcome = walk.outcome().map(|outcome| outcome.word());
            let called = walk
                .story()
                .iter()
                .any(|told| matches!(told.what, Telling::CallMade { .. }));
            assert!(called || outcome != Some("escalated"), "{name}");
        }
    }
}
