//! Safeguards: rules that every run must keep.

pub mod afterwards;
pub mod always_finishes;
pub mod at_most;
pub mod danger_value;
pub mod first;
pub mod help_near;
pub mod keep_words;
pub mod never_after;
pub mod only_if;
pub mod only_stricter;
pub mod put_right;
mod told;
pub mod unsure_is_safe;

use crate::checklist::model::{Checklist, Condition, Library, ListKind, Range, Step};
use crate::names::ListName;

use super::graph::Budget;
use super::model::VarId;
use super::point::{LeftOut, Marks, Point};
use super::refine::{Answered, Session, Watching};
use super::run::Run;
use super::watch::Never;

/// A safeguard: a rule with a name and one sentence for people.
#[derive(Debug, Clone, PartialEq)]
pub struct Safeguard {
    /// Its name, by which it is waived and reported.
    pub name: String,
    /// The sentence that says what is kept.
    pub says: String,
    /// For which lists it holds; empty for all.
    pub lists: Vec<Which>,
    /// The rule.
    pub rule: Rule,
}

impl Safeguard {
    /// Whether it holds for the list when the list is started.
    #[must_use]
    pub fn is_for(&self, list: &Checklist) -> bool {
        self.lists.is_empty()
            || self.lists.iter().any(|which| match which {
                Which::Kind(kind) => list.kind == *kind,
                Which::List(name) => list.name == *name,
            })
    }
}

/// Which lists.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// Every list of that kind.
    Kind(ListKind),
    /// One list.
    List(ListName),
}

/// The rule of a safeguard.
#[derive(Debug, Clone, PartialEq)]
pub enum Rule {
    /// One thing comes before another.
    First(first::First),
    /// One thing comes after another.
    Afterwards(afterwards::Afterwards),
    /// Something is shown only when a fact is known and so.
    OnlyIf(only_if::OnlyIf),
    /// Something never comes after another.
    NeverAfter(never_after::NeverAfter),
    /// What was opened is closed or handed over.
    PutRight(put_right::PutRight),
    /// "Not sure" never leads to something risky before something safe.
    UnsureIsSafe(unsure_is_safe::UnsureIsSafe),
    /// A dangerous reading leads quickly to what must be done.
    DangerValue(danger_value::DangerValue),
    /// Help is never far.
    HelpNear(help_near::HelpNear),
    /// Every run comes to an end.
    AlwaysFinishes(always_finishes::AlwaysFinishes),
    /// Something is done at most so often.
    AtMost(at_most::AtMost),
    /// Words stay as they were approved.
    KeepWords(keep_words::KeepWords),
    /// A limit may act earlier, never later.
    OnlyStricter(only_stricter::OnlyStricter),
}

/// What came of checking a safeguard on one list.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// Every run keeps it.
    Kept {
        /// How many states were looked at; 0 when no run had to be followed.
        states: usize,
    },
    /// A run breaks it.
    Broken {
        /// How, in one line.
        why: String,
        /// The shortest run that does; `None` when it can be seen without one.
        run: Option<Box<Run>>,
        /// How many states were looked at.
        states: usize,
    },
    /// What it guards against is in the list, but no run can get there: it no longer bites.
    Vacuous {
        /// What cannot be reached.
        what: String,
    },
    /// It could not be decided within the budget. That counts as broken.
    NotDecided {
        /// How many states were looked at.
        states: usize,
    },
    /// The list has nothing that it speaks of.
    NotHere,
}

impl Verdict {
    /// What is said of both: the worst, and of two runs the shorter.
    pub(super) fn and(self, other: Self) -> Self {
        let rank = |verdict: &Self| match verdict {
            Self::Broken { .. } => 0,
            Self::NotDecided { .. } => 1,
            Self::Kept { .. } => 2,
            Self::Vacuous { .. } => 3,
            Self::NotHere => 4,
        };
        let length = |verdict: &Self| match verdict {
            Self::Broken { run, .. } => run.as_ref().map_or(0, |run| run.lines.len()),
            _ => 0,
        };
        match (self, other) {
            (Self::Kept { states }, Self::Kept { states: more }) => Self::Kept {
                states: states.saturating_add(more),
            },
            (one, other) => {
                if (rank(&one), length(&one)) <= (rank(&other), length(&other)) {
                    one
                } else {
                    other
                }
            }
        }
    }

    /// Whether the list may be used as far as this safeguard goes.
    #[must_use]
    pub const fn is_fine(&self) -> bool {
        matches!(self, Self::Kept { .. } | Self::NotHere)
    }
}

/// What the rules work with.
pub struct Context<'c, 'a, 'p> {
    pub(super) session: &'c mut Session<'a>,
    pub(super) budget: &'c mut Budget<'p>,
    /// The lists and limits that were adapted; the library itself when nothing was.
    pub(super) base: &'a Library,
    /// What is left out, to doubt the rule; nothing in earnest.
    pub(super) without: &'c [LeftOut],
}

/// How a rule is watched.
pub(super) struct Question<'q> {
    /// The points of the rule; each has the bit of its place.
    pub points: Vec<&'q Point>,
    /// The watcher.
    pub watch: Watching<'q>,
    /// Facts that the watcher asks for.
    pub asked: Vec<VarId>,
    /// Those of them that must not be too old.
    pub fresh: Vec<VarId>,
}

impl Context<'_, '_, '_> {
    /// Asks a question of all runs.
    pub(super) fn ask(&mut self, question: &Question<'_>) -> Answered {
        let marks = Marks::new(&self.session.model, &question.points, self.without);
        self.session.ask(
            &marks,
            question.watch,
            &question.asked,
            &question.fresh,
            self.budget,
        )
    }

    /// Asks whether all runs keep a rule, whose points must be reachable for it to bite.
    pub(super) fn judge(
        &mut self,
        question: &Question<'_>,
        triggers: &[&Point],
        why: &str,
    ) -> Verdict {
        if let Some(early) = self.bites(triggers) {
            return early;
        }
        match self.ask(question) {
            Answered::Holds { states } => Verdict::Kept { states },
            Answered::Fails { run, states } => Verdict::Broken {
                why: why.to_owned(),
                run: Some(run),
                states,
            },
            Answered::Open { states } => Verdict::NotDecided { states },
        }
    }

    /// The verdict when one of the points is not in the list or cannot be reached.
    pub(super) fn bites(&mut self, triggers: &[&Point]) -> Option<Verdict> {
        if !self.without.is_empty() {
            return None;
        }
        if !triggers
            .iter()
            .all(|point| point.is_somewhere(&self.session.model))
        {
            return Some(Verdict::NotHere);
        }
        for point in triggers {
            let reach = Question {
                points: vec![point],
                watch: Watching::ByList(&Never),
                asked: Vec::new(),
                fresh: Vec::new(),
            };
            match self.ask(&reach) {
                Answered::Fails { .. } => {}
                Answered::Holds { .. } => {
                    return Some(Verdict::Vacuous {
                        what: self.told(point),
                    });
                }
                Answered::Open { states } => return Some(Verdict::NotDecided { states }),
            }
        }
        None
    }
}

impl Rule {
    /// Checks the rule on the list of the context.
    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        match self {
            Self::First(rule) => rule.check(context),
            Self::Afterwards(rule) => rule.check(context),
            Self::OnlyIf(rule) => rule.check(context),
            Self::NeverAfter(rule) => rule.check(context),
            Self::PutRight(rule) => rule.check(context),
            Self::UnsureIsSafe(rule) => rule.check(context),
            Self::DangerValue(rule) => rule.check(context),
            Self::HelpNear(rule) => rule.check(context),
            Self::AlwaysFinishes(rule) => rule.check(context),
            Self::AtMost(rule) => rule.check(context),
            Self::KeepWords(rule) => rule.check(context),
            Self::OnlyStricter(rule) => rule.check(context),
        }
    }

    /// The questions of the rule: their points, and the bits of those that fulfil it. Leaving one
    /// of the latter out of a list must break the rule, or the checker does not see it.
    pub(super) fn fulfilling(&self) -> Vec<(Vec<&Point>, u8)> {
        match self {
            Self::First(rule) => vec![(rule.points(), 0b001)],
            Self::Afterwards(rule) => vec![(rule.points(), 0b010)],
            Self::NeverAfter(rule) => vec![(rule.points(), 0b100)],
            Self::UnsureIsSafe(rule) => vec![(rule.points(), 0b100)],
            Self::DangerValue(rule) => vec![(vec![&rule.of, &rule.must], 0b010)],
            Self::HelpNear(rule) => vec![(vec![&rule.must], 0b001)],
            Self::PutRight(rule) => rule
                .pairs
                .iter()
                .map(|(opened, closed)| {
                    let points = [opened, closed].into_iter().chain(&rule.handed_over);
                    (points.collect(), 0b110)
                })
                .collect(),
            Self::OnlyIf(_)
            | Self::AlwaysFinishes(_)
            | Self::AtMost(_)
            | Self::KeepWords(_)
            | Self::OnlyStricter(_) => Vec::new(),
        }
    }

    /// The conditions on facts that the rule asks for.
    pub(super) fn conditions(&self) -> &[Condition] {
        match self {
            Self::OnlyIf(rule) => &rule.when,
            _ => &[],
        }
    }

    /// The stretches of a measure that the rule tells apart.
    pub(super) fn readings(&self, list: &Checklist, step: &Step) -> Vec<Range> {
        self.points()
            .into_iter()
            .filter(|point| point.is_at(list, step))
            .flat_map(Point::ranges)
            .collect()
    }

    /// What must be there for the rule to bite.
    pub(super) fn triggers(&self) -> Vec<&Point> {
        match self {
            Self::First(rule) => vec![&rule.before],
            Self::Afterwards(rule) => vec![&rule.after],
            Self::OnlyIf(rule) => vec![&rule.show],
            Self::NeverAfter(rule) => vec![&rule.after],
            Self::PutRight(rule) => rule.pairs.iter().map(|(opened, _)| opened).collect(),
            Self::UnsureIsSafe(rule) => vec![&rule.unsure],
            Self::DangerValue(rule) => vec![&rule.of],
            Self::HelpNear(rule) => vec![&rule.must],
            Self::AtMost(rule) => vec![&rule.what],
            Self::AlwaysFinishes(_) | Self::KeepWords(_) | Self::OnlyStricter(_) => Vec::new(),
        }
    }

    /// Every point of the rule.
    #[must_use]
    pub fn points(&self) -> Vec<&Point> {
        match self {
            Self::First(rule) => rule.points(),
            Self::Afterwards(rule) => rule.points(),
            Self::OnlyIf(rule) => vec![&rule.show],
            Self::NeverAfter(rule) => rule.points(),
            Self::PutRight(rule) => rule.points(),
            Self::UnsureIsSafe(rule) => rule.points(),
            Self::DangerValue(rule) => vec![&rule.of, &rule.must],
            Self::HelpNear(rule) => vec![&rule.must],
            Self::AlwaysFinishes(rule) => rule.after_loops.iter().collect(),
            Self::AtMost(rule) => vec![&rule.what],
            Self::KeepWords(rule) => vec![&rule.items],
            Self::OnlyStricter(rule) => rule.points(),
        }
    }
}
