//! The cumulative output as a line of straight pieces, and sums over it.

use super::exact::Exact;
use super::series::EntryId;

/// One known moment on the line. Points are in order of time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    /// Seconds since 1970.
    pub(super) at: i64,
    /// Output up to here, thousandths of a millilitre, without unknown stretches.
    pub(super) total: i64,
    /// How far this level may be off, thousandths of a millilitre. `None` when not known.
    pub(super) margin: Option<i64>,
    /// Points of one run are joined by straight lines; between runs the output is not known.
    pub(super) run: u32,
    /// Who says so; `None` for the start of the drain.
    pub(super) by: Option<EntryId>,
}

/// Which side of a jump: some output may lie at one moment, as when a drain empties on insertion.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    /// Before what came at that moment.
    Before,
    /// With what came at that moment.
    After,
}

/// The output over one window.
#[derive(Debug, Clone)]
pub(super) struct Sum {
    /// Thousandths of a millilitre.
    pub(super) volume: Exact,
    /// How far it may be off, rounded up.
    pub(super) margin: Option<i64>,
    /// Stretches within the window that lie on no run, in order.
    pub(super) unknown: Vec<(i64, i64)>,
}

/// The whole line.
#[derive(Debug, Clone, Default)]
pub(super) struct Curve(pub(super) Vec<Point>, Known);

/// What is worked out of the points once.
#[derive(Debug, Clone, Default)]
struct Known {
    /// The largest known margin of any point, thousandths of a millilitre.
    widest: i64,
    /// Where each run begins and ends among the points, in order of time.
    runs: Vec<Run>,
}

#[derive(Debug, Clone, Copy)]
struct Run {
    begin: usize,
    end: usize,
    first: i64,
    last: i64,
}

impl Curve {
    /// The line through these points, which are in order of time.
    pub(super) fn through(points: Vec<Point>) -> Self {
        let widest = points.iter().filter_map(|p| p.margin).max();
        let mut begin = 0;
        let runs = points.chunk_by(|a, b| a.run == b.run);
        let runs = runs.filter_map(|run| {
            let (first, last) = (run.first()?.at, run.last()?.at);
            let end = begin + run.len();
            let found = Run {
                begin,
                end,
                first,
                last,
            };
            begin = end;
            Some(found)
        });
        let runs = runs.collect();
        let widest = widest.unwrap_or(0);
        Self(points, Known { widest, runs })
    }

    /// First and last known moment.
    pub(super) fn ends(&self) -> Option<(i64, i64)> {
        Some((self.0.first()?.at, self.0.last()?.at))
    }

    /// Output up to a moment.
    pub(super) fn total_at(&self, at: i64, side: Side) -> Exact {
        let next = first_past(&self.0, at, side);
        match (next.checked_sub(1).map(|i| self.0[i]), self.0.get(next)) {
            (None, _) => Exact::ZERO,
            (Some(last), None) => Exact::whole(last.total),
            // At a point itself the line is as high as the point.
            (Some(a), Some(_)) if a.at == at => Exact::whole(a.total),
            (Some(_), Some(b)) if b.at == at => Exact::whole(b.total),
            (Some(a), Some(b)) => line((a.at, a.total), (b.at, b.total), at),
        }
    }

    /// The output from one moment to another; `begin` says whether a jump at the very beginning
    /// counts. `from` must not lie after `to`.
    pub(super) fn sum(&self, from: i64, to: i64, begin: Side) -> Sum {
        Sum {
            volume: self.between(from, to, begin),
            margin: self.margin(from, to, begin),
            unknown: self.unknown(from, to),
        }
    }

    pub(super) fn between(&self, from: i64, to: i64, begin: Side) -> Exact {
        let end = self.total_at(to, Side::After);
        end.minus(self.total_at(from, begin))
    }

    /// The runs that touch the window, each with its first and last moment. A search, so that a
    /// short window in a long drain costs little.
    fn runs(&self, from: i64, to: i64) -> impl Iterator<Item = (&[Point], i64, i64)> {
        let runs = &self.1.runs;
        let begin = runs.partition_point(|run| run.last < from);
        let end = runs.partition_point(|run| run.first <= to).max(begin);
        let within = runs.get(begin..end).unwrap_or_default();
        within.iter().filter_map(|run| {
            let points = self.0.get(run.begin..run.end)?;
            Some((points, run.first, run.last))
        })
    }

    /// More than the range of any window can add to its output; for passing over what cannot
    /// matter.
    pub(super) fn widest_margin(&self) -> i64 {
        let runs = i64::try_from(self.1.runs.len()).unwrap_or(i64::MAX);
        self.1.widest.saturating_mul(2).saturating_mul(runs)
    }

    /// Each run may be off where the window enters it and where it leaves it.
    pub(super) fn margin(&self, from: i64, to: i64, begin: Side) -> Option<i64> {
        let mut off = 0_i64;
        for (run, first, last) in self.runs(from, to) {
            let (enter, leave) = (from.max(first), to.min(last));
            // A run that begins inside the window counts from before its first point.
            let side = if first > from { Side::Before } else { begin };
            let jumps = || {
                self.between(enter, leave, side)
                    .compare(Exact::ZERO)
                    .is_gt()
            };
            if enter < leave || (enter == leave && jumps()) {
                off += margin_at(run, enter, side)? + margin_at(run, leave, Side::After)?;
            }
        }
        Some(off)
    }

    pub(super) fn unknown(&self, from: i64, to: i64) -> Vec<(i64, i64)> {
        let mut stretches = Vec::new();
        let mut known_to = from;
        for (_, first, last) in self.runs(from, to) {
            let until = first.min(to);
            if until > known_to {
                stretches.push((known_to, until));
            }
            known_to = known_to.max(last);
        }
        if to > known_to {
            stretches.push((known_to, to));
        }
        stretches
    }

    /// The entries inside the window, and the neighbours from which its ends are worked out.
    pub(super) fn used(&self, from: i64, to: i64) -> Vec<EntryId> {
        let mut first = first_past(&self.0, from, Side::Before);
        let mut past = first_past(&self.0, to, Side::After);
        if self.0.get(first).is_none_or(|p| p.at > from) {
            first = first.saturating_sub(1);
        }
        if past.checked_sub(1).is_none_or(|i| self.0[i].at < to) {
            past = (past + 1).min(self.0.len());
        }
        let used = self.0.get(first..past).unwrap_or_default();
        let mut by: Vec<_> = used.iter().filter_map(|p| p.by).collect();
        by.dedup();
        by
    }

    /// The moments of the points, so many seconds later, that lie within `ends`.
    pub(super) fn met(&self, later: i64, ends: (i64, i64)) -> impl Iterator<Item = i64> {
        let first = first_past(&self.0, ends.0.saturating_sub(later), Side::Before);
        let past = first_past(&self.0, ends.1.saturating_sub(later), Side::After);
        let within = self.0.get(first..past).unwrap_or_default();
        within.iter().map(move |p| p.at.saturating_add(later))
    }

    /// The end of the window of this many seconds with the largest output, among windows that
    /// end within `ends`; the earliest, where several are equal. Both ends of a window count.
    pub(super) fn largest(&self, window: i64, ends: (i64, i64)) -> (i64, Exact) {
        // Between two breakpoints the output changes in a straight line, so its greatest value
        // stands where one end of the window meets a point.
        let mut candidates: Vec<i64> = [0, window]
            .iter()
            .flat_map(|later| self.met(*later, ends))
            .collect();
        candidates.extend([ends.0, ends.1]);
        candidates.sort_unstable();
        candidates.dedup();
        let volume = |end: i64| self.between(end.saturating_sub(window), end, Side::Before);
        let mut best = (ends.0, volume(ends.0));
        for end in candidates {
            let next = volume(end);
            if next.compare(best.1).is_gt() {
                best = (end, next);
            }
        }
        best
    }
}

/// The index of the first point beyond that side of the moment.
fn first_past(points: &[Point], at: i64, side: Side) -> usize {
    let lies_before = |p: &Point| match side {
        Side::Before => p.at < at,
        Side::After => p.at <= at,
    };
    // Mostly one end of the line is asked for.
    match (points.first(), points.last()) {
        (Some(first), _) if !lies_before(first) => 0,
        (_, Some(last)) if lies_before(last) => points.len(),
        _ => points.partition_point(lies_before),
    }
}

/// The height at `at` of the straight line between two points.
fn line((x0, y0): (i64, i64), (x1, y1): (i64, i64), at: i64) -> Exact {
    let (width, part) = (i128::from(x1 - x0), i128::from(at - x0));
    if width <= 0 {
        return Exact::whole(y0);
    }
    Exact::new(i128::from(y0) * width + i128::from(y1 - y0) * part, width)
}

/// How far the level may be off at a moment within a run, rounded up.
fn margin_at(run: &[Point], at: i64, side: Side) -> Option<i64> {
    let next = first_past(run, at, side);
    match (next.checked_sub(1).map(|i| run[i]), run.get(next)) {
        (None, None) => Some(0),
        (Some(only), None) => only.margin,
        (None, Some(only)) => only.margin,
        (Some(a), Some(b)) => Some(line((a.at, a.margin?), (b.at, b.margin?), at).ceil()),
    }
}
