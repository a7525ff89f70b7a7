//! What may be shown of what was counted.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Serialize, Serializer};

use super::{InMonth, Left, Month, OfLimit, Review, SMALL, Tally};
use crate::units::Span;

/// The most months in a row that are shown although nothing happened in them: a clock that was
/// wrong once must not fill a report (our own choice, no source).
const GAP: usize = 24;

/// A count as it may be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Count {
    /// There are some, but fewer than [`SMALL`].
    Few,
    /// So many: none, or at least [`SMALL`].
    Of(u64),
}

impl Count {
    /// Hides a small number.
    #[must_use]
    pub const fn of(number: u64) -> Self {
        match number {
            1..SMALL => Self::Few,
            number => Self::Of(number),
        }
    }

    /// The number, when it is not hidden.
    #[must_use]
    pub const fn shown(self) -> Option<u64> {
        match self {
            Self::Few => None,
            Self::Of(number) => Some(number),
        }
    }
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Few => write!(f, "<{SMALL}"),
            Self::Of(number) => write!(f, "{number}"),
        }
    }
}

impl Serialize for Count {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.collect_str(self)
    }
}

/// What may be shown of many walks and drains.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReviewFacts {
    /// How many walks were looked at.
    pub walks: Count,
    /// How many were entered in error, and not looked at.
    pub in_error: Count,
    /// How many charts of drains were looked at.
    pub drains: Count,
    /// A row for each month, from the first in which something happened to the last.
    pub months: Vec<MonthRow>,
    /// A row for each checklist.
    pub lists: Vec<ListRow>,
    /// A row for each limit of which something became at a reading.
    pub limits: Vec<LimitRow>,
    /// Steps that were left undone often enough to be shown.
    pub left: Vec<LeftRow>,
    /// Counts below this are hidden.
    pub small: u64,
}

/// What may be shown of one month.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MonthRow {
    /// The month.
    pub month: Month,
    /// How many walks began in it.
    pub walks: Count,
    /// How many of them were stopped for good.
    pub stopped: Count,
    /// How many of them were paused at least once.
    pub paused: Count,
    /// How many answers were taken back in them.
    pub taken_back: Count,
    /// How many corrections and addenda came afterwards.
    pub put_right: Count,
    /// How often a limit on the output was met.
    pub limits_met: Count,
    /// How often one was no longer met.
    pub limits_cleared: Count,
    /// How many readings of charts were corrected.
    pub readings_corrected: Count,
    /// From what was seen first to the first call for help.
    pub seen_to_call: Spread,
    /// From a call to its answer.
    pub call_to_answer: Spread,
}

/// What may be shown of one checklist.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ListRow {
    /// Its name.
    pub list: String,
    /// Its title.
    pub title: String,
    /// How often a walk began with it.
    pub begun: Count,
    /// How often another checklist used it.
    pub used: Count,
    /// How often it was jumped to as an urgent one.
    pub jumped: Count,
    /// How it came out, each with its count.
    pub outcomes: String,
    /// How often a walk that began with it was stopped for good.
    pub stopped: Count,
    /// How often one was paused.
    pub paused: Count,
    /// How often an answer was taken back.
    pub taken_back: Count,
    /// How many corrections and addenda came afterwards.
    pub put_right: Count,
    /// From what was seen first to the first call for help.
    pub seen_to_call: Spread,
    /// From a call to its answer.
    pub call_to_answer: Spread,
}

/// What may be shown of one limit on the output.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LimitRow {
    /// Its name.
    pub limit: String,
    /// Its value with the unit.
    pub value: String,
    /// What it means.
    pub means: String,
    /// On how many drains it was met.
    pub drains: Count,
    /// How often it was met.
    pub met: Count,
    /// How often it was exceeded by more after that.
    pub worse: Count,
    /// How often it may have been met: the value lay below, its range did not.
    pub doubtful: Count,
    /// How often it was no longer met, or no longer in doubt.
    pub cleared: Count,
}

/// A step that was left undone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftRow {
    /// The checklist.
    pub list: String,
    /// The step.
    pub step: String,
    /// As it was asked, or as it reads in a record.
    pub asked: String,
    /// How often.
    pub times: Count,
    /// Reasons given often enough to be shown, most often first.
    pub reasons: Vec<String>,
}

/// Intervals in seconds: how many, the middle one, the shortest and the longest. The last three are
/// absent when there are few.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Spread {
    /// How many.
    pub count: Count,
    /// The middle one, s.
    pub median_s: Option<u32>,
    /// The shortest, s.
    pub least_s: Option<u32>,
    /// The longest, s.
    pub most_s: Option<u32>,
}

impl Spread {
    /// Of these seconds. The lower of the two in the middle counts as the middle one, so that it is
    /// one that happened.
    #[must_use]
    pub fn of(mut seconds: Vec<u32>) -> Self {
        seconds.sort_unstable();
        let count = Count::of(seconds.len() as u64);
        let shown = |at: usize| seconds.get(at).copied().filter(|_| count != Count::Few);
        Self {
            count,
            median_s: shown(seconds.len().saturating_sub(1) / 2),
            least_s: shown(0),
            most_s: shown(seconds.len().saturating_sub(1)),
        }
    }
}

impl fmt::Display for Spread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.median_s, self.least_s, self.most_s) {
            (Some(median), Some(least), Some(most)) => write!(
                f,
                "{} ({} to {}, n={})",
                Span(median),
                Span(least),
                Span(most),
                self.count
            ),
            _ => write!(f, "n={}", self.count),
        }
    }
}

impl Review {
    /// What may be shown of it.
    #[must_use]
    pub fn facts(self) -> ReviewFacts {
        let lists = self
            .lists
            .into_iter()
            .map(|(name, tally)| list(name, tally));
        let limits = self.limits.into_iter().map(|(name, of)| limit(name, of));
        let left = self
            .left
            .into_iter()
            .filter(|(_, left)| left.times >= SMALL)
            .map(|((list, step), one)| left_row(list, step, one));
        ReviewFacts {
            walks: Count::of(self.walks),
            in_error: Count::of(self.in_error),
            drains: Count::of(self.drains),
            months: months(self.months),
            lists: lists.collect(),
            limits: limits.collect(),
            left: left.collect(),
            small: SMALL,
        }
    }
}

/// A row for each month in order; months in which nothing happened stand between the others.
fn months(counted: BTreeMap<Month, InMonth>) -> Vec<MonthRow> {
    let mut rows: Vec<MonthRow> = Vec::new();
    for (at, of) in counted {
        let after = rows.last().map_or(at, |row| row.month.next());
        let empty = std::iter::successors(Some(after), |month| Some(month.next()));
        let empty: Vec<Month> = empty
            .take(GAP + 1)
            .take_while(|month| *month < at)
            .collect();
        if empty.len() <= GAP {
            rows.extend(
                empty
                    .into_iter()
                    .map(|month| row(month, InMonth::default())),
            );
        }
        rows.push(row(at, of));
    }
    rows
}

fn row(month: Month, of: InMonth) -> MonthRow {
    MonthRow {
        month,
        walks: Count::of(of.walks),
        stopped: Count::of(of.stopped),
        paused: Count::of(of.paused),
        taken_back: Count::of(of.taken_back),
        put_right: Count::of(of.put_right),
        limits_met: Count::of(of.met),
        limits_cleared: Count::of(of.cleared),
        readings_corrected: Count::of(of.corrected),
        seen_to_call: Spread::of(of.to_call),
        call_to_answer: Spread::of(of.to_answer),
    }
}

fn list(list: String, tally: Tally) -> ListRow {
    let outcomes = tally.outcomes.iter();
    let outcomes: Vec<String> = outcomes
        .map(|(outcome, times)| format!("{outcome} {}", Count::of(*times)))
        .collect();
    ListRow {
        list,
        title: tally.title,
        begun: Count::of(tally.begun),
        used: Count::of(tally.used),
        jumped: Count::of(tally.jumped),
        outcomes: outcomes.join(", "),
        stopped: Count::of(tally.stopped),
        paused: Count::of(tally.paused),
        taken_back: Count::of(tally.taken_back),
        put_right: Count::of(tally.put_right),
        seen_to_call: Spread::of(tally.to_call),
        call_to_answer: Spread::of(tally.to_answer),
    }
}

fn limit(limit: String, of: OfLimit) -> LimitRow {
    LimitRow {
        limit,
        value: of.value,
        means: of.means,
        drains: Count::of(of.drains),
        met: Count::of(of.met),
        worse: Count::of(of.worse),
        doubtful: Count::of(of.doubtful),
        cleared: Count::of(of.cleared),
    }
}

fn left_row(list: String, step: String, left: Left) -> LeftRow {
    let mut reasons: Vec<(String, u64)> = left.reasons.into_iter().collect();
    reasons.retain(|(_, times)| *times >= SMALL);
    reasons.sort_by_key(|(_, times)| std::cmp::Reverse(*times));
    LeftRow {
        list,
        step,
        asked: left.asked,
        times: Count::of(left.times),
        reasons: reasons
            .into_iter()
            .map(|(reason, times)| format!("{reason} ({times})"))
            .collect(),
    }
}
