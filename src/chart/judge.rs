//! Holds limits against a series, reading by reading.

use super::curve::{Point, Side};
use super::exact::Exact;
use super::limit::{
    Change, Concerns, Cut, Finding, Happening, Judgement, Limit, Patient, Refused, WhyRefused,
    Window,
};
use super::ranged::{NoWeight, Ranged};
use super::reading::FluidLook;
use super::series::{ChartEvent, Series};
use crate::units::{Amount, Number, Unit};
use std::rc::Rc;

/// Holds every limit that applies against the series.
pub(super) fn judge(series: &Series, limits: &[Limit], patient: &Patient) -> Judgement {
    each(series, limits, patient, |watcher, happened| {
        watcher.run(|change, at, peak| happened.push(watcher.happening(change, at, peak)));
    })
}

/// The same, but of each limit only what happened last.
pub(super) fn latest(series: &Series, limits: &[Limit], patient: &Patient) -> Judgement {
    each(series, limits, patient, |watcher, happened| {
        let mut last = None;
        watcher.run(|change, at, peak| last = Some((change, at, peak)));
        let last = last.map(|(change, at, peak)| watcher.happening(change, at, peak));
        happened.extend(last);
    })
}

fn each(
    series: &Series,
    limits: &[Limit],
    patient: &Patient,
    watch: impl Fn(&Watcher<'_>, &mut Vec<Happening>),
) -> Judgement {
    let mut all = Judgement::default();
    for limit in limits.iter().filter(|l| applies(l, series, patient)) {
        match Watcher::new(series, limit, patient) {
            Ok(watcher) => watch(&watcher, &mut all.happened),
            Err(why) => all.refused.push(Refused {
                limit: limit.value.name.clone(),
                why,
            }),
        }
    }
    // Stable: at one moment, in the order of the limits.
    all.happened.sort_by_key(|happening| happening.at);
    all
}

pub(super) fn applies(limit: &Limit, series: &Series, patient: &Patient) -> bool {
    let fits = match (limit.value.population, patient.population) {
        (Some(wanted), Some(is)) => wanted == is,
        _ => true,
    };
    let bloody = |look| matches!(look, FluidLook::Bloody | FluidLook::BloodStained);
    let concerned = match (limit.shape.concerns, patient.drains) {
        (Some(wanted), Some(is)) if wanted != is => {
            wanted == Concerns::Blood && series.readings().any(|(_, r)| r.fluid.is_some_and(bloody))
        }
        _ => true,
    };
    fits && concerned
}

/// How things stand with a limit between two readings.
enum State {
    Quiet,
    Doubt,
    /// Met, with the largest value announced.
    Met(Exact),
}

/// A window, and what came in the part of it that is compared with the limit.
#[derive(Debug, Clone, Copy)]
struct Peak {
    /// The window, seconds since 1970.
    window: (i64, i64),
    /// The part: the window itself, or the least of its hours.
    part: (i64, i64),
    volume: Exact,
    margin: Option<i64>,
}

impl Peak {
    /// The least and the most that it may be.
    fn bounds(&self) -> Option<(Exact, Exact)> {
        let by = |margin| self.volume.minus(Exact::whole(margin));
        self.margin.map(|margin| (by(margin), by(-margin)))
    }
}

/// One limit being held against a series, reading by reading.
struct Watcher<'a> {
    series: &'a Series,
    limit: Rc<Limit>,
    weight: Option<Number>,
    /// The limit as a volume over its window, thousandths of a millilitre.
    threshold: Exact,
    /// From a volume to the limit's unit, before the weight.
    per_time: (i128, i128),
    /// When a clamp came off, in order, seconds since 1970.
    opened: Vec<i64>,
}

impl<'a> Watcher<'a> {
    fn new(series: &'a Series, limit: &'a Limit, patient: &Patient) -> Result<Self, WhyRefused> {
        let Amount { number, unit } = limit.value.value;
        let seconds = i128::from(match limit.shape.window {
            Window::InAny(span) | Window::InFirst(span) => span.0.max(1),
            Window::EachHour(_) => 3_600,
            Window::InOneGo => 0,
        });
        let by_time = matches!(unit, Unit::MlPerH | Unit::MlPerKgH);
        let by_weight = matches!(unit, Unit::MlPerKg | Unit::MlPerKgH);
        if !(by_time || by_weight || unit == Unit::Ml) || by_time && seconds == 0 {
            return Err(WhyRefused::WrongUnit(unit));
        }
        let weight = patient.weight.filter(|weight| weight.milli() > 0);
        let grams = match (by_weight, weight) {
            (false, _) => 1000,
            (true, Some(weight)) => weight.milli().into(),
            (true, None) => return Err(NoWeight.into()),
        };
        let per_time = if by_time { (3_600, seconds) } else { (1, 1) };
        let threshold = Exact::whole(number.milli())
            .scaled(grams, 1000)
            .and_then(|volume| volume.scaled(per_time.1, per_time.0))
            .ok_or(WhyRefused::TooLarge)?;
        Ok(Self {
            series,
            limit: Rc::new(limit.clone()),
            weight: if by_weight { weight } else { None },
            threshold,
            per_time,
            opened: series
                .events()
                .filter(|(_, event)| *event == ChartEvent::ClampOff)
                .map(|(entry, _)| entry.at.timestamp())
                .collect(),
        })
    }

    /// Goes along the readings and gives what each of them changes: what, when, on what.
    fn run(&self, mut tell: impl FnMut(Change, i64, Peak)) {
        let points = &self.series.curve.0;
        let enough = self.threshold.ceil();
        let enough = enough.saturating_sub(self.series.curve.widest_margin());
        let mut state = State::Quiet;
        // A reading at the start has the start itself before it.
        let mut before = self.series.known_ends().0;
        let mut behind = Passed::default();
        for moment in points.chunk_by(|a, b| a.at == b.at) {
            let Some(last) = moment.last() else { continue };
            let since = (before, last.at);
            // All that came in the longest window there is, and more.
            let most = last.total - behind.total(points, self.longest_back(before));
            if (most >= enough || !matches!(state, State::Quiet))
                && let Some((change, peak)) = self.judge(&mut state, since)
            {
                tell(change, last.at, peak);
            }
            before = last.at;
        }
    }

    /// What the reading that ends `since` changes.
    fn judge(&self, state: &mut State, since: (i64, i64)) -> Option<(Change, Peak)> {
        let peak = self.peak(since);
        if let Some(peak) = peak.filter(|peak| self.is_met(peak.volume)) {
            let sure = peak.bounds().map_or(peak.volume, |bounds| bounds.0);
            let change = match state {
                State::Quiet | State::Doubt => Change::Met,
                // Beyond what the reading error could explain.
                State::Met(worst) if sure.compare(*worst).is_gt() => Change::Worse,
                State::Met(_) => return self.settle(state, since.1),
            };
            *state = State::Met(peak.volume);
            return Some((change, peak));
        }
        self.settle(state, since.1)
    }

    /// Where the longest window that ends after this moment can begin.
    fn longest_back(&self, from: i64) -> i64 {
        match self.limit.shape.window {
            Window::InAny(span) => from.saturating_sub(span.0.into()),
            Window::EachHour(hours) => from.saturating_sub(3_600 * i64::from(hours)),
            Window::InFirst(_) | Window::InOneGo => i64::MIN,
        }
    }

    /// How things stand at the reading itself, when nothing new was met since the last.
    fn settle(&self, state: &mut State, at: i64) -> Option<(Change, Peak)> {
        let present = self.peak((at, at));
        let met = present.is_some_and(|peak| self.is_met(peak.volume));
        let may_be = |peak: Peak| peak.bounds().is_some_and(|(_, high)| self.is_met(high));
        let doubt = present.is_some_and(may_be);
        let blank = || self.ending(0, at);
        match state {
            State::Met(_) if met => None,
            State::Met(_) if doubt => None,
            State::Quiet if doubt => {
                *state = State::Doubt;
                Some((Change::Doubtful, present.unwrap_or_else(blank)))
            }
            State::Met(_) | State::Doubt if !doubt => {
                *state = State::Quiet;
                Some((Change::Cleared, present.unwrap_or_else(blank)))
            }
            _ => None,
        }
    }

    fn is_met(&self, volume: Exact) -> bool {
        let order = volume.compare(self.threshold);
        match self.limit.shape.cut {
            Cut::Above => order.is_gt(),
            Cut::AtLeast => order.is_ge(),
        }
    }

    /// The window that counts most, among those that end in this time.
    fn peak(&self, (from, to): (i64, i64)) -> Option<Peak> {
        let start = self.series.known_ends().0;
        let shape = &self.limit.shape;
        let earliest = start + i64::from(shape.not_before.0);
        let first_end = |length: i64| match shape.not_before.0 {
            0 => from,
            _ => from.max(earliest + length),
        };
        match shape.window {
            Window::InAny(span) => {
                let from = first_end(span.0.into());
                let length = span.0.into();
                let end = || self.series.curve.largest(length, (from, to)).0;
                (from <= to).then(|| self.ending(length, end()))
            }
            Window::EachHour(hours) => self.best_hours(hours, (first_end(0), to), earliest),
            Window::InFirst(span) => {
                let end = start + i64::from(span.0);
                (from <= end).then(|| self.ending(to.min(end) - start, to.min(end)))
            }
            Window::InOneGo => {
                let opened = self.opened.partition_point(|at| *at <= to);
                let again = opened.checked_sub(1).and_then(|i| self.opened.get(i));
                Some(match again {
                    Some(at) => self.weigh((*at, to), (*at, to), Side::After),
                    None => self.ending(to - start, to),
                })
            }
        }
    }

    /// The window of so many seconds with that end, begun no earlier than the drain.
    fn ending(&self, length: i64, end: i64) -> Peak {
        let window = self.series.window(length, end);
        self.weigh(window, window, Side::Before)
    }

    fn weigh(&self, window: (i64, i64), part: (i64, i64), begin: Side) -> Peak {
        let curve = &self.series.curve;
        Peak {
            window,
            part,
            volume: curve.between(part.0, part.1, begin),
            margin: curve.margin(part.0, part.1, begin),
        }
    }

    /// Among hours counted from or back from a reading: the least of so many hours one after
    /// another, where it is largest.
    fn best_hours(&self, hours: u8, ends: (i64, i64), earliest: i64) -> Option<Peak> {
        const HOUR: i64 = 3_600;
        let met = |k: i64| self.series.curve.met(k * HOUR, ends);
        let mut candidates: Vec<i64> = (0..=i64::from(hours)).flat_map(met).collect();
        candidates.sort_unstable();
        candidates.dedup();
        let least = |end: i64| {
            let begin = end - HOUR * i64::from(hours);
            let side = |at| {
                if at == begin {
                    Side::Before
                } else {
                    Side::After
                }
            };
            (0..i64::from(hours))
                .map(|k| begin + k * HOUR)
                .map(|at| (at, self.series.curve.between(at, at + HOUR, side(at))))
                .min_by(|a, b| a.1.compare(b.1))
                .filter(|_| begin >= earliest)
        };
        let best = candidates
            .into_iter()
            .filter_map(|end| Some((end, least(end)?)))
            .reduce(|best, next| match next.1.1.compare(best.1.1).is_gt() {
                true => next,
                false => best,
            });
        best.map(|(end, (hour, _))| {
            let begin = end - HOUR * i64::from(hours);
            let side = if hour == begin {
                Side::Before
            } else {
                Side::After
            };
            // The value is that of the least hour; the window and the entries are those of all.
            self.weigh((begin, end), (hour, hour + HOUR), side)
        })
    }

    fn happening(&self, change: Change, at: i64, peak: Peak) -> Happening {
        Happening {
            change,
            at: self.series.moment(at),
            finding: self.finding(&peak),
        }
    }

    fn finding(&self, peak: &Peak) -> Finding {
        let unit = match self.per_time {
            (1, 1) => Unit::Ml,
            _ => Unit::MlPerH,
        };
        let value = Ranged::from_exact(peak.volume, peak.margin, self.per_time, unit);
        let straddles = |(low, high)| self.is_met(low) != self.is_met(high);
        let moment = |at| self.series.moment(at);
        Finding {
            limit: Rc::clone(&self.limit),
            value: value.per_kg(self.weight).unwrap_or(value),
            from: moment(peak.window.0),
            to: moment(peak.window.1),
            straddles: peak.bounds().is_some_and(straddles),
            partial: !self
                .series
                .curve
                .unknown(peak.part.0, peak.part.1)
                .is_empty(),
        }
    }
}

/// How many points lie before a moment that only moves forward.
#[derive(Debug, Default)]
struct Passed(usize);

impl Passed {
    /// The height of the last point before that moment; nothing when there is none.
    fn total(&mut self, points: &[Point], at: i64) -> i64 {
        let further = points.get(self.0..).unwrap_or_default();
        self.0 += further.iter().take_while(|p| p.at < at).count();
        let last = self.0.checked_sub(1).and_then(|i| points.get(i));
        last.map_or(0, |point| point.total)
    }
}

#[cfg(test)]
mod tests;
