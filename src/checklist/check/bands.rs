//! The bands of a `measure` have every plausible number exactly once.
//!
//! Checked exactly, on the whole line of numbers and not on samples. A limit for each kilogram is
//! tried at the lowest and the highest weight: in between, its cuts stand in the same order. A
//! local fact that is not filled in is tried at the ends and the middle of what is plausible and
//! between the other cuts: the bands must be right for some value, and loading them again with the
//! unit's own value checks that one.

use crate::checklist::drain_fact::{FactKind, drain_fact};
use crate::checklist::facts::FactShape;
use crate::checklist::model::{Cut, Range};
use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawKind, RawMeasure, RawStep, Spot};
use crate::names::FactName;
use crate::units::{Amount, Number, Unit};

use super::One;
use super::numbers::{Point, Stretch, begin_edge, check_cuts, end_edge};

/// Values to try for one local fact that is not filled in.
type Trial = (FactName, Vec<i64>);

/// So many such facts in one step are tried together; with more, only the loaded values count.
const MOST_UNSET: usize = 3;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for step in &one.list.steps {
        let RawKind::Measure(measure) = &step.kind else {
            continue;
        };
        let Some(unit) = measure.unit else { continue };
        check_chart(step, unit, out);
        for band in &measure.bands {
            check_cuts(one, &band.range, unit, out);
        }
        if measure.whole
            && let Some(plausible) = measure.plausible
            && let Some(ranges) = resolved(one, measure, unit)
        {
            let bands = Bands {
                measure,
                ranges,
                plausible,
                unit,
            };
            for (at, kind) in bands.faults(one) {
                out.add(at, kind);
            }
        }
    }
}

/// What goes into the chart must be in a unit that the chart can keep.
fn check_chart(step: &RawStep, unit: Unit, out: &mut Findings) {
    let Some(charts) = &step.charts else { return };
    let Some(wanted) = charts.is.unit() else {
        return;
    };
    let nought = Amount::new(Number::whole(0), wanted);
    if crate::checklist::quantity::convert(nought, unit).is_none() {
        let kind = Kind::WrongQuantity {
            name: charts.is.to_string(),
            has: wanted.to_string(),
            wanted: unit.to_string(),
        };
        out.add(charts.at, kind);
    }
}

/// The ranges with their numbers; `None` when one has a wrong name, which is told already.
fn resolved(one: &One<'_>, measure: &RawMeasure, unit: Unit) -> Option<Vec<Range>> {
    measure
        .bands
        .iter()
        .map(|band| one.all.facts.range(&band.range.is, unit))
        .collect()
}

struct Bands<'a> {
    measure: &'a RawMeasure,
    ranges: Vec<Range>,
    plausible: (Number, Number),
    unit: Unit,
}

impl Bands<'_> {
    fn faults(&self, one: &One<'_>) -> Vec<(Spot, Kind)> {
        let trials = self.trials(one);
        if trials.len() > MOST_UNSET {
            return Vec::new();
        }
        for weight in self.weights() {
            let faults = combinations(&trials)
                .map(|values| self.faults_at(weight, &values))
                .min_by_key(Vec::len)
                .unwrap_or_default();
            if !faults.is_empty() {
                return faults;
            }
        }
        Vec::new()
    }

    fn cuts(&self) -> impl Iterator<Item = &Cut> {
        self.ranges
            .iter()
            .flat_map(|range| range.from.iter().chain(&range.to))
            .map(|(cut, _)| cut)
    }

    /// The weights to try, in thousandths of a kilogram.
    fn weights(&self) -> Vec<i64> {
        if !self.cuts().any(|cut| matches!(cut, Cut::PerKg(..))) {
            return vec![1000];
        }
        match drain_fact("weight").map(|fact| fact.kind) {
            Some(FactKind::Amount(_, low, high)) => vec![low.milli(), high.milli()],
            _ => vec![1000],
        }
    }

    /// The local facts that are not filled in, with the values to try for each.
    fn trials(&self, one: &One<'_>) -> Vec<Trial> {
        let mut trials: Vec<Trial> = Vec::new();
        for cut in self.cuts() {
            let Cut::Unset(name) = cut else { continue };
            if trials.iter().any(|(known, _)| known == name) {
                continue;
            }
            let mut ends = vec![self.plausible.0.milli(), self.plausible.1.milli()];
            if let Some(FactShape::Amount {
                unit,
                plausible: Some((low, high)),
            }) = one.all.facts.get(name.as_str()).map(|fact| &fact.shape)
            {
                let here = |number| {
                    crate::checklist::quantity::convert(Amount::new(number, *unit), self.unit)
                        .map(Number::milli)
                };
                ends.extend(here(*low));
                ends.extend(here(*high));
            }
            ends.extend(self.cuts().filter_map(|cut| match cut {
                Cut::Fixed(number) | Cut::Fact(_, number) => Some(number.milli()),
                Cut::PerKg(..) | Cut::Unset(_) => None,
            }));
            ends.retain(|end| (self.plausible.0.milli()..=self.plausible.1.milli()).contains(end));
            ends.sort_unstable();
            ends.dedup();
            let between = ends.windows(2).flat_map(|pair| {
                let step = (pair[1] - pair[0]) / 4;
                [pair[0] + step, pair[0] + 2 * step, pair[0] + 3 * step]
            });
            let values = between.take(24).collect();
            trials.push((name.clone(), values));
        }
        trials
    }

    /// What is wrong with given values.
    fn faults_at(&self, weight: i64, values: &[(&FactName, i64)]) -> Vec<(Spot, Kind)> {
        let value = |cut: &Cut| match cut {
            Cut::Fixed(number) | Cut::Fact(_, number) => Some(number.milli()),
            Cut::PerKg(_, number) => {
                i64::try_from(i128::from(number.milli()) * i128::from(weight) / 1000).ok()
            }
            Cut::Unset(name) => values
                .iter()
                .find(|(known, _)| *known == name)
                .map(|(_, value)| *value),
        };
        let mut faults = Vec::new();
        let mut pieces: Vec<(Point, Point, Spot)> = Vec::new();
        for (band, range) in self.measure.bands.iter().zip(&self.ranges) {
            let Some(stretch) = Stretch::of(range, &value) else {
                continue;
            };
            let fixed = range
                .from
                .iter()
                .chain(&range.to)
                .all(|(cut, _)| matches!(cut, Cut::Fixed(_)));
            if stretch.is_backwards() {
                faults.push((band.range.at, Kind::BandBackwards));
            } else if let Some((from, to)) = stretch.within(self.plausible.0, self.plausible.1) {
                pieces.push((from, to, band.range.at));
            } else if fixed {
                faults.push((band.range.at, Kind::BandOutside));
            }
        }
        self.sweep(pieces, &mut faults);
        faults
    }

    /// Goes along the line from the lowest to the highest plausible number.
    fn sweep(&self, mut pieces: Vec<(Point, Point, Spot)>, faults: &mut Vec<(Spot, Kind)>) {
        pieces.sort_unstable();
        let mut reach: Point = (self.plausible.0.milli(), false);
        for (from, to, at) in pieces {
            if from > reach {
                faults.push((self.measure.at, self.gap(reach, from)));
            } else if from < reach {
                let (from, to, unit) = (begin_edge(from), end_edge(to.min(reach)), self.unit);
                faults.push((at, Kind::BandOverlap { from, to, unit }));
            }
            reach = reach.max(to);
        }
        let end = (self.plausible.1.milli(), true);
        if reach < end {
            faults.push((self.measure.at, self.gap(reach, end)));
        }
    }

    const fn gap(&self, from: Point, to: Point) -> Kind {
        Kind::BandGap {
            from: begin_edge(from),
            to: end_edge(to),
            unit: self.unit,
        }
    }
}

/// Every way to give each fact one of its values.
fn combinations(trials: &[Trial]) -> impl Iterator<Item = Vec<(&FactName, i64)>> {
    let total: usize = trials.iter().map(|(_, values)| values.len()).product();
    (0..total).map(|number| {
        let mut rest = number;
        trials
            .iter()
            .map(|(name, values)| {
                let value = values[rest % values.len()];
                rest /= values.len();
                (name, value)
            })
            .collect()
    })
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::with_bands;

    #[test]
    fn bands_that_meet_are_fine() {
        for bands in [
            vec!["below 2", "2 to 5", "above 5"],
            vec!["0 to 2", "above 2 to below 5", "5 to 30"],
            vec!["at most 30"],
            vec!["below seal-low", "at least seal-low"],
            vec!["below 3", "3 to below spill", "at least spill"],
            vec!["below by-weight", "at least by-weight"],
        ] {
            assert_eq!(with_bands(&bands), [""; 0], "{bands:?}");
        }
    }

    #[test]
    fn a_gap_is_told_at_the_bands() {
        for bands in [
            vec!["below 2", "above 2"],
            vec!["below 2", "3 to 30"],
            vec!["1 to 30"],
            vec!["0 to below 30"],
            vec!["below seal-low", "above seal-low"],
            vec!["below by-weight", "above by-weight"],
            vec!["below spill", "above spill"],
        ] {
            assert_eq!(with_bands(&bands), ["band-gap 41:5"], "{bands:?}");
        }
    }

    #[test]
    fn an_overlap_is_told_at_the_later_band() {
        for bands in [
            vec!["at most 2", "at least 2"],
            vec!["below 5", "2 to 30"],
            vec!["at most seal-low", "at least seal-low"],
            vec!["at most by-weight", "at least by-weight"],
            vec!["at most spill", "at least spill"],
        ] {
            assert_eq!(with_bands(&bands), ["band-overlap 43:9"], "{bands:?}");
        }
    }

    #[test]
    fn a_limit_by_weight_must_stay_in_order_at_every_weight() {
        // 3 mL/kg passes 20 mL at about 7 kg.
        let bands = ["below by-weight", "by-weight to 20", "above 20"];
        assert!(!with_bands(&bands).is_empty());
    }

    #[test]
    fn a_band_of_nothing_is_told() {
        assert_eq!(
            with_bands(&["at most 30", "above 40"]),
            ["band-outside 43:9"]
        );
        assert_eq!(
            with_bands(&["at most 30", "5 to 2"]),
            ["band-backwards 43:9"]
        );
    }

    #[test]
    fn names_must_be_numbers_of_the_quantity() {
        assert_eq!(
            with_bands(&["below pause", "at least pause"]),
            ["not-a-number-fact 42:9", "not-a-number-fact 43:9"]
        );
        assert_eq!(
            with_bands(&["below pressure", "at least 2"]),
            ["wrong-quantity 42:9"]
        );
        assert_eq!(
            with_bands(&["below sealow", "at least 2"]),
            ["unknown-fact 42:9"]
        );
        assert_eq!(
            with_bands(&["below weight", "at least 2"]),
            ["not-a-number-fact 42:9"]
        );
    }
}
