//! Proves that every possible walk through a checklist keeps its safeguards.
//!
//! # What is followed
//!
//! The finite graph of one checklist with every list that it uses. A state is the step with the
//! lists that wait for it, remembered answers, counts of circles, and what is known of the drain.
//! Every answer is given: done and not done, as expected and not, could not check, every answer of
//! a question, every class of numbers that any band, condition or safeguard tells apart, not
//! obtained, waited and missed. Every drain fact may be anything, the weight included, and may be
//! not known; it stays the same in one run. A remembered answer that is only good for a time may
//! be too old whenever it is needed. A run may be interrupted anywhere: the last completed item is
//! repeated, and may be no longer so.
//!
//! Urgent lists can be begun at any step. They come back to the same state, so they add nothing
//! here but the interruption; each is proved by itself. A step back restores the state before, so
//! it adds nothing either. Local facts and limits are what the unit has filled in.
//!
//! # How
//!
//! A safeguard is watched by a small automaton while the graph is searched breadth first, so the
//! first failure is a shortest one. At first nothing is remembered, so that the graph is small and
//! holds more runs than there are. A failing run is followed again with everything remembered; if
//! it cannot really happen, the facts on which it fails are kept track of and the search begins
//! anew. Above the budget it is given up, and counts as broken.
//!
//! # What it does not say
//!
//! It speaks of runs of the model, not of what a nurse really did. A wait that is longer than a
//! remembered answer is good for is not told apart from a shorter one, so a failure may then be a
//! false alarm; a replay on the walk itself shows it.

pub mod point;
pub mod read;
pub mod rule;
pub mod run;

mod compile;
mod count;
mod decide;
mod doubt;
mod graph;
mod hash;
mod last;
mod live;
mod model;
mod moves;
mod number;
mod plan;
mod refine;
mod reply;
mod state;
mod table;
mod watch;

use crate::checklist::model::{Condition, Library, ListId};
use crate::names::ListName;

use compile::{Wishes, compile, weights};
use model::Weight;
use point::LeftOut;
use refine::Session;
use rule::{Context, Rule, Safeguard, Verdict};

pub use doubt::{Doubt, doubt};
pub use graph::Budget;

/// The budget of one question, in states. Above it, a safeguard is not decided.
pub const STATES: usize = 400_000;

/// What came of proving one list.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// How many different runs there are, without interruptions; `None` when there are too many
    /// states to count in. The greatest number stands for "so many or more".
    pub runs: Option<u128>,
    /// Each safeguard that holds for the list, in the order given, with what came of it.
    pub verdicts: Vec<(String, Verdict)>,
}

impl Proof {
    /// Whether every safeguard is kept.
    #[must_use]
    pub fn is_fine(&self) -> bool {
        self.verdicts.iter().all(|(_, verdict)| verdict.is_fine())
    }
}

/// Proves the safeguards of one checklist.
///
/// `base` holds the shipped lists and limits that were adapted; the library itself when nothing
/// was. Safeguards that do not hold for the list are left out.
#[must_use]
pub fn prove(
    library: &Library,
    list: ListId,
    safeguards: &[Safeguard],
    base: &Library,
    budget: &mut Budget<'_>,
) -> Proof {
    let concerned = concerned(library, list, safeguards);
    let mut prover = Prover::new(library, list, &concerned, base);
    let runs = count::runs(&mut prover.open, budget);
    let verdicts = concerned.iter().map(|safeguard| {
        let verdict = prover.check(&safeguard.rule, &[], budget);
        (
            safeguard.name.clone(),
            prover.still_bites(safeguard, verdict),
        )
    });
    let verdicts = verdicts.collect();
    Proof { runs, verdicts }
}

/// The safeguards that hold for the list.
fn concerned<'s>(
    library: &Library,
    list: ListId,
    safeguards: &'s [Safeguard],
) -> Vec<&'s Safeguard> {
    let list = library.list(list);
    safeguards
        .iter()
        .filter(|safeguard| safeguard.is_for(list))
        .collect()
}

/// Proves rules on one list: with every weight at once, and where that says too little, with each
/// weight that can be told apart.
struct Prover<'a> {
    library: &'a Library,
    list: ListId,
    base: &'a Library,
    told_apart: ToldApart<'a>,
    open: Session<'a>,
    by_weight: Option<Vec<Session<'a>>>,
}

impl<'a> Prover<'a> {
    fn new(
        library: &'a Library,
        list: ListId,
        safeguards: &[&'a Safeguard],
        base: &'a Library,
    ) -> Self {
        let told_apart = ToldApart(safeguards.to_vec());
        let open = told_apart.session(library, list, Weight::Open);
        Self {
            library,
            list,
            base,
            told_apart,
            open,
            by_weight: None,
        }
    }

    /// Checks a rule, if need be without some of what fulfils it.
    fn check(&mut self, rule: &'a Rule, without: &[LeftOut], budget: &mut Budget<'_>) -> Verdict {
        let base = self.base;
        let mut check = |session: &mut Session<'a>| {
            session.needs_weight = false;
            let mut context = Context {
                session,
                budget: &mut *budget,
                base,
                without,
            };
            rule.check(&mut context)
        };
        let verdict = check(&mut self.open);
        let undecided = matches!(verdict, Verdict::NotDecided { .. });
        if !(undecided && self.open.needs_weight) {
            return verdict;
        }
        let (told_apart, library, list) = (&self.told_apart, self.library, self.list);
        let sessions = self.by_weight.get_or_insert_with(|| {
            let weights = told_apart.with(|wishes| weights(library, list, wishes));
            let sessions = weights
                .into_iter()
                .map(|weight| told_apart.session(library, list, weight));
            sessions.collect()
        });
        let verdicts = sessions.iter_mut().map(|session| {
            let verdict = check(session);
            session.forget();
            verdict
        });
        verdicts.fold(Verdict::NotHere, Verdict::and)
    }
}

impl Prover<'_> {
    /// What guards against something in the shipped list, and has nothing to guard against in the
    /// unit's, no longer bites: to take a danger out must not pass unseen.
    fn still_bites(&self, safeguard: &Safeguard, verdict: Verdict) -> Verdict {
        let name = &self.library.list(self.list).name;
        let Some(list) = self.base.find(name.as_str()) else {
            return verdict;
        };
        if verdict != Verdict::NotHere
            || std::ptr::eq(self.base, self.library)
            || !safeguard.is_for(self.base.list(list))
        {
            return verdict;
        }
        let told_apart = ToldApart(vec![safeguard]);
        let session = told_apart.session(self.base, list, Weight::Open);
        let gone = |point: &&point::Point| {
            point.is_somewhere(&session.model) && !point.is_somewhere(&self.open.model)
        };
        match safeguard.rule.triggers().into_iter().find(gone) {
            Some(point) => Verdict::Vacuous {
                what: point.to_string(),
            },
            None => verdict,
        }
    }
}

/// Whether a list, with all that it uses and all that its bands and conditions rest on, is the same
/// in two libraries, so that what was proved in one holds in the other. A local fact that the other
/// leaves open is the same with any value, as a proof takes it; an amount in a band is not.
#[must_use]
pub fn same_as(library: &Library, list: ListId, other: &Library) -> bool {
    compile::reached(library, list).into_iter().all(|id| {
        let here = library.list(id);
        let there = other.find(here.name.as_str()).map(|id| other.list(id));
        there.is_some_and(|there| {
            here.fingerprint == there.fingerprint
                && compile::cuts_in(here).eq(compile::cuts_in(there))
        })
    })
}

/// What came of proving one list of a library.
#[derive(Debug, Clone, PartialEq)]
pub struct ListProof {
    /// The list.
    pub list: ListName,
    /// What came of it.
    pub proof: Proof,
}

/// Proves every list of a library.
///
/// `base` holds the shipped lists and limits; the library itself when nothing was adapted. The
/// lists may be used when every [`Proof::is_fine`].
#[must_use]
pub fn prove_library(
    library: &Library,
    safeguards: &[Safeguard],
    base: &Library,
    budget: &mut Budget<'_>,
) -> Vec<ListProof> {
    library
        .lists()
        .map(|(id, list)| ListProof {
            list: list.name.clone(),
            proof: prove(library, id, safeguards, base, budget),
        })
        .collect()
}

/// What a model has to tell apart for these safeguards.
struct ToldApart<'a>(Vec<&'a Safeguard>);

impl<'a> ToldApart<'a> {
    fn with<T>(&self, make: impl FnOnce(&Wishes<'_>) -> T) -> T {
        let conditions: Vec<Condition> = self
            .0
            .iter()
            .flat_map(|safeguard| safeguard.rule.conditions())
            .cloned()
            .collect();
        make(&Wishes {
            conditions: &conditions,
            readings: &|list, step| {
                self.0
                    .iter()
                    .flat_map(|safeguard| safeguard.rule.readings(list, step))
                    .collect()
            },
        })
    }

    fn session(&self, library: &'a Library, list: ListId, weight: Weight) -> Session<'a> {
        self.with(|wishes| Session::new(compile(library, list, wishes, weight)))
    }
}

#[cfg(test)]
mod tests;
