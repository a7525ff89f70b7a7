//! Holds limits against a series, reading by reading.

use super::curve::Side;
use super::exact::Exact;
use super::limit::{
    Change, Concerns, Cut, Finding, Happening, Judgement, Limit, Patient, Refused, WhyRefused,
    Window,
};
use super::ranged::{NoWeight, Ranged};
use super::rate::Measured;
use super::reading::FluidLook;
use super::series::{ChartEvent, Series};
use crate::units::{Amount, Number, Unit};

/// Holds every limit that applies against the series.
pub(super) fn judge(series: &Series, limits: &[Limit], patient: &Patient) -> Judgement {
    let mut all = Judgement::default();
    for limit in limits.iter().filter(|l| applies(l, series, patient)) {
        match Watcher::new(series, limit, patient) {
            Ok(watcher) => all.happened.extend(watcher.run()),
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

/// One limit being held against a series, reading by reading.
struct Watcher<'a> {
    series: &'a Series,
    limit: &'a Limit,
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
            limit,
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

    fn run(&self) -> Vec<Happening> {
        let mut happened = Vec::new();
        let mut state = State::Quiet;
        let mut moments: Vec<i64> = self.series.curve.0.iter().map(|p| p.at).collect();
        moments.dedup();
        // A reading at the start has the start itself before it.
        let mut before = self.series.known_ends().0;
        for at in moments {
            if let Some((change, measured)) = self.judge(&mut state, (before, at)) {
                happened.push(Happening {
                    change,
                    at: self.series.moment(at),
                    finding: self.finding(&measured),
                });
            }
            before = at;
        }
        happened
    }

    /// What the reading that ends `since` changes.
    fn judge(&self, state: &mut State, since: (i64, i64)) -> Option<(Change, Measured)> {
        if matches!(state, State::Quiet) && self.cannot_be_met(since) {
            return None;
        }
        let peak = self.peak(since);
        if let Some(peak) = peak.filter(|peak| self.is_met(peak.exact().0)) {
            let (value, bounds) = peak.exact();
            let change = match state {
                State::Quiet | State::Doubt => Change::Met,
                // Beyond what the reading error could explain.
                State::Met(worst) if bounds.map_or(value, |b| b.0).compare(*worst).is_gt() => {
                    Change::Worse
                }
                State::Met(_) => return self.settle(state, since.1),
            };
            *state = State::Met(value);
            return Some((change, peak));
        }
        self.settle(state, since.1)
    }

    /// True when all that came in the longest window there is, and its range, lies below the limit.
    fn cannot_be_met(&self, (from, to): (i64, i64)) -> bool {
        let back = match self.limit.shape.window {
            Window::InAny(span) => from.saturating_sub(span.0.into()),
            Window::EachHour(hours) => from.saturating_sub(3_600 * i64::from(hours)),
            Window::InFirst(_) | Window::InOneGo => i64::MIN,
        };
        let most = self.series.curve.at_most(back, to);
        most.compare(self.threshold).is_lt()
    }

    /// How things stand at the reading itself, when nothing new was met since the last.
    fn settle(&self, state: &mut State, at: i64) -> Option<(Change, Measured)> {
        let present = self.peak((at, at));
        let met = present.as_ref().is_some_and(|m| self.is_met(m.exact().0));
        let may_be = |m: &Measured| m.exact().1.is_some_and(|(_, high)| self.is_met(high));
        let doubt = present.as_ref().is_some_and(may_be);
        let blank = || self.series.window_ending(0, at);
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
    fn peak(&self, (from, to): (i64, i64)) -> Option<Measured> {
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
                (from <= to).then(|| self.series.largest_ending(span, (from, to)))
            }
            Window::EachHour(hours) => self.best_hours(hours, (first_end(0), to), earliest),
            Window::InFirst(span) => {
                let end = start + i64::from(span.0);
                (from <= end).then(|| self.series.window_ending(to.min(end) - start, to.min(end)))
            }
            Window::InOneGo => {
                let opened = self.opened.partition_point(|at| *at <= to);
                let again = opened.checked_sub(1).and_then(|i| self.opened.get(i));
                Some(match again {
                    Some(at) => {
                        let (from, to) = (self.series.moment(*at), self.series.moment(to));
                        self.series.measure(from, to, Side::After)
                    }
                    None => self.series.window_ending(to - start, to),
                })
            }
        }
    }

    /// Among hours counted from or back from a reading: the least of so many hours one after
    /// another, where it is largest.
    fn best_hours(&self, hours: u8, ends: (i64, i64), earliest: i64) -> Option<Measured> {
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
            let moment = |at| self.series.moment(at);
            let mut measured = self.series.measure(moment(hour), moment(hour + HOUR), side);
            // The value is that of the least hour; the window and the entries are those of all.
            let all = self
                .series
                .measure(moment(begin), moment(end), Side::Before);
            measured.output.from = all.output.from;
            measured.output.to = all.output.to;
            measured
        })
    }

    fn finding(&self, measured: &Measured) -> Finding {
        let (volume, bounds) = measured.exact();
        let unit = match self.per_time {
            (1, 1) => Unit::Ml,
            _ => Unit::MlPerH,
        };
        let value = Ranged::from_exact(volume, measured.sum.margin, self.per_time, unit);
        let straddles = bounds.is_some_and(|(low, high)| self.is_met(low) != self.is_met(high));
        Finding {
            limit: self.limit.clone(),
            value: value.per_kg(self.weight).unwrap_or(value),
            from: measured.output.from,
            to: measured.output.to,
            straddles,
            partial: measured.output.is_partial(),
        }
    }
}

#[cfg(test)]
mod tests;
