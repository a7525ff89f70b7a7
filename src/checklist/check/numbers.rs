//! Stretches of numbers, shared by the rules on bands and on tests.

use crate::checklist::facts::FactShape;
use crate::checklist::model::{Cut, Range};
use crate::checklist::problem::{Edge, Kind};
use crate::checklist::quantity::{convert, times_weight};
use crate::checklist::raw::{At, Findings, RawCut, RawRange};
use crate::units::{Amount, Number, Unit};

use super::One;

/// A place on the line of numbers between two neighbours: just below a number, or just above it.
pub(super) type Point = (i64, bool);

/// A stretch between two points; `None` is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stretch {
    pub(super) from: Option<Point>,
    pub(super) to: Option<Point>,
}

impl Stretch {
    /// The stretch of a range, when the value of every cut is given.
    pub(super) fn of(range: &Range, value: &impl Fn(&Cut) -> Option<i64>) -> Option<Self> {
        let from = match &range.from {
            None => None,
            Some((cut, with)) => Some((value(cut)?, !with)),
        };
        let to = match &range.to {
            None => None,
            Some((cut, with)) => Some((value(cut)?, *with)),
        };
        Some(Self { from, to })
    }

    /// The part of it between the lowest and the highest number; `None` when there is none.
    pub(super) fn within(self, low: Number, high: Number) -> Option<(Point, Point)> {
        let (low, high) = ((low.milli(), false), (high.milli(), true));
        let from = self.from.map_or(low, |from| from.max(low));
        let to = self.to.map_or(high, |to| to.min(high));
        (from < to).then_some((from, to))
    }

    /// Whether it ends before it begins.
    pub(super) fn is_backwards(self) -> bool {
        matches!((self.from, self.to), (Some(from), Some(to)) if from >= to)
    }
}

/// The number at which a stretch begins, and whether it belongs to it.
pub(super) const fn begin_edge(point: Point) -> Edge {
    (Number::from_milli(point.0), !point.1)
}

/// The number at which a stretch ends, and whether it belongs to it.
pub(super) const fn end_edge(point: Point) -> Edge {
    (Number::from_milli(point.0), point.1)
}

/// Looks at the names in a range: each must be a limit or local fact of the wanted quantity.
pub(super) fn check_cuts(one: &One<'_>, range: &At<RawRange>, unit: Unit, out: &mut Findings) {
    for (cut, _) in range.is.from.iter().chain(&range.is.to) {
        let RawCut::Fact(name) = cut else { continue };
        let Some(fact) = one.all.facts.get(name.as_str()) else {
            if one.scope.knows(name) {
                let is = "not a limit or local fact";
                out.add(
                    range.at,
                    Kind::NotANumberFact {
                        name: name.to_string(),
                        is,
                    },
                );
            } else {
                one.unknown_fact(name.as_str(), range.at, out);
            }
            continue;
        };
        let FactShape::Amount { unit: has, .. } = fact.shape else {
            let is = fact.shape.words();
            out.add(
                range.at,
                Kind::NotANumberFact {
                    name: name.to_string(),
                    is,
                },
            );
            continue;
        };
        let fits = |has| convert(Amount::new(Number::whole(0), has), unit).is_some();
        if !fits(has) && !times_weight(has).is_some_and(fits) {
            let (has, wanted) = (has.to_string(), unit.to_string());
            out.add(
                range.at,
                Kind::WrongQuantity {
                    name: name.to_string(),
                    has,
                    wanted,
                },
            );
        }
    }
}
