//! Outputs and rates over stretches of time.

use super::curve::Side;
use super::ranged::Ranged;
use super::series::{EntryId, Series};
use crate::moment::Moment;
use crate::units::{Span, Unit};
use chrono::TimeDelta;

/// Why the output over a stretch is not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unmeasured {
    /// The drain was not yet connected.
    BeforeStart,
    /// The drainage unit was changed or its level no longer continued the one before.
    Broken,
    /// There is no reading yet.
    NotYet,
}

/// A stretch of time without known output.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Its beginning.
    pub from: Moment,
    /// Its end.
    pub to: Moment,
    /// Why.
    pub why: Unmeasured,
}

/// A rate over less than this many seconds says more about the reading than about the drain. Our
/// own value: the time after which a doubtful reading is taken again.
const LEAST_FOR_A_RATE: i64 = super::limit::REREAD.0 as i64;

/// What came in a window.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Output {
    /// Beginning of the window.
    pub from: Moment,
    /// End of the window.
    pub to: Moment,
    /// How much came, as far as it is known, mL.
    pub volume: Ranged,
    /// The parts of the window about which nothing is known, in order.
    pub unknown: Vec<Stretch>,
    per_hour: Option<Ranged>,
}

impl Output {
    /// True when a part of the window is not known, so that the volume is "at least".
    #[must_use]
    pub const fn is_partial(&self) -> bool {
        !self.unknown.is_empty()
    }

    /// How long the window is known, of its whole length.
    #[must_use]
    pub fn known(&self) -> TimeDelta {
        let lost: TimeDelta = self.unknown.iter().map(|gap| gap.to - gap.from).sum();
        self.to - self.from - lost
    }

    /// Millilitres an hour over the part of the window that is known. `None` when that is less than
    /// a quarter of an hour.
    #[must_use]
    pub const fn per_hour(&self) -> Option<Ranged> {
        self.per_hour
    }
}

impl Series {
    /// The output after `from`, up to and including `to`. With `to` before `from` the window is
    /// empty.
    #[must_use]
    pub fn output(&self, from: Moment, to: Moment) -> Output {
        let (from_at, to_at) = (from.timestamp(), to.timestamp());
        // What stood in the drainage unit at the start belongs to the first interval.
        let begins = self.start().at.timestamp() == from_at && to_at > from_at;
        let side = if begins { Side::Before } else { Side::After };
        self.measure(from, to.max(from), side)
    }

    /// The entries on which an output from one moment to another rests, in order: those inside,
    /// and the neighbours from which its ends are worked out.
    #[must_use]
    pub fn rests_on(&self, from: Moment, to: Moment) -> Vec<EntryId> {
        self.curve.used(from.timestamp(), to.timestamp())
    }

    /// Everything from the start to the last known moment.
    #[must_use]
    pub fn total(&self) -> Output {
        let (from, to) = self.known_ends();
        self.measure(self.moment(from), self.moment(to), Side::Before)
    }

    /// The output of the last `window` before `at`.
    #[must_use]
    pub fn last(&self, window: Span, at: Moment) -> Output {
        self.output(at - window.to_delta(), at)
    }

    /// The outputs of intervals of this length, one after another from `from`, until one holds
    /// `until`. The last one may reach past the last reading; it is then partial.
    /// At most ten thousand. None when `every` is zero.
    #[must_use]
    pub fn intervals(&self, from: Moment, every: Span, until: Moment) -> Vec<Output> {
        let mut outputs = Vec::new();
        let mut begin = from;
        while begin < until && every.0 > 0 && outputs.len() < 10_000 {
            let end = begin + every.to_delta();
            outputs.push(self.output(begin, end));
            begin = end;
        }
        outputs
    }

    /// The hours since the start, up to the last reading.
    #[must_use]
    pub fn hours(&self) -> Vec<Output> {
        let end = self.moment(self.known_ends().1);
        self.intervals(self.start().at, Span::minutes(60), end)
    }

    /// The outputs between boundaries that follow each other, such as changes of shift.
    #[must_use]
    pub fn between(&self, boundaries: &[Moment]) -> Vec<Output> {
        let pairs = boundaries.windows(2);
        pairs.map(|pair| self.output(pair[0], pair[1])).collect()
    }

    /// The window of this length with the largest output, among those that end within the known
    /// time, found exactly. The earliest, where several are equal. A window that reaches back
    /// before the start begins at the start.
    #[must_use]
    pub fn largest(&self, window: Span) -> Output {
        let length = i64::from(window.0);
        let (end, _) = self.curve.largest(length, self.known_ends());
        let (from, to) = self.window(length, end);
        let side = Side::Before;
        self.measure(self.moment(from), self.moment(to), side)
    }

    /// The stretches between two levels that follow each other by more than `allowed`.
    #[must_use]
    pub fn gaps_over(&self, allowed: Span) -> Vec<(Moment, Moment)> {
        let pairs = self.curve.0.windows(2);
        pairs
            .filter(|pair| pair[1].at - pair[0].at > i64::from(allowed.0))
            .map(|pair| (self.moment(pair[0].at), self.moment(pair[1].at)))
            .collect()
    }

    /// First and last known second.
    pub(super) fn known_ends(&self) -> (i64, i64) {
        let start = self.start().at.timestamp();
        self.curve.ends().unwrap_or((start, start))
    }

    /// The window of so many seconds with that end, begun no earlier than the drain.
    pub(super) fn window(&self, length: i64, end: i64) -> (i64, i64) {
        ((end - length).max(self.known_ends().0).min(end), end)
    }

    pub(super) fn measure(&self, from: Moment, to: Moment, begin: Side) -> Output {
        let (from_at, to_at) = (from.timestamp(), to.timestamp());
        let sum = self.curve.sum(from_at, to_at, begin);
        let (first, last) = self.known_ends();
        let stretch = |&(a, b): &(i64, i64)| Stretch {
            from: self.moment(a),
            to: self.moment(b),
            why: match () {
                () if b <= first => Unmeasured::BeforeStart,
                () if a >= last => Unmeasured::NotYet,
                () => Unmeasured::Broken,
            },
        };
        let lost: i64 = sum.unknown.iter().map(|(a, b)| b - a).sum();
        let known = to_at - from_at - lost;
        let ranged = |ratio, unit| Ranged::from_exact(sum.volume, sum.margin, ratio, unit);
        Output {
            from,
            to,
            volume: ranged((1, 1), Unit::Ml),
            unknown: sum.unknown.iter().map(stretch).collect(),
            per_hour: (known >= LEAST_FOR_A_RATE)
                .then(|| ranged((3_600, known.into()), Unit::MlPerH)),
        }
    }
}

#[cfg(test)]
mod tests;
