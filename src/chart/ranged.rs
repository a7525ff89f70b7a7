//! A value with the range in which it may truly lie.

use super::exact::Exact;
use crate::units::{Number, Unit};
use std::fmt;

/// A value worked out from readings, with its range.
///
/// `{}` writes tenths, the range outwards; `{:#}` writes all three places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ranged {
    /// The value as the readings give it, to the nearest thousandth. This one decides.
    pub nominal: Number,
    /// The least and the most it may be, rounded outwards; never below zero. `None` when the
    /// graduation of the drainage unit is not known.
    pub bounds: Option<(Number, Number)>,
    /// Its unit.
    pub unit: Unit,
}

/// A weight is needed and is not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a value for each kilogram needs the weight: enter it in kg")]
pub struct NoWeight;

impl Ranged {
    /// From an exact volume and how far it may be off, both in thousandths of a millilitre,
    /// multiplied by `times / by`.
    pub(super) fn from_exact(
        value: Exact,
        margin: Option<i64>,
        (times, by): (i128, i128),
        unit: Unit,
    ) -> Self {
        // Held at the end of the range when it does not fit; readings never come near.
        let scale = |e: Exact| e.scaled(times, by).unwrap_or(Exact::whole(i64::MAX));
        let bounds = margin.map(|margin| {
            let low = scale(value.minus(Exact::whole(margin))).floor().max(0);
            let high = scale(value.minus(Exact::whole(-margin))).ceil();
            (Number::from_milli(low), Number::from_milli(high))
        });
        Self {
            nominal: Number::from_milli(scale(value).nearest()),
            bounds,
            unit,
        }
    }

    /// The same for each kilogram of body weight: mL becomes mL/kg, mL/h becomes mL/kg/h.
    ///
    /// # Errors
    /// [`NoWeight`] without a weight above zero.
    pub fn per_kg(self, weight: Option<Number>) -> Result<Self, NoWeight> {
        let grams = weight.map(Number::milli).filter(|grams| *grams > 0);
        let grams = i128::from(grams.ok_or(NoWeight)?);
        let share = |number: Number| Exact::new(i128::from(number.milli()) * 1000, grams);
        let bounds = self.bounds.map(|(low, high)| {
            let (low, high) = (share(low).floor(), share(high).ceil());
            (Number::from_milli(low), Number::from_milli(high))
        });
        Ok(Self {
            nominal: Number::from_milli(share(self.nominal).nearest()),
            bounds,
            unit: match self.unit {
                Unit::MlPerH => Unit::MlPerKgH,
                Unit::Ml => Unit::MlPerKg,
                other => other,
            },
        })
    }
}

impl fmt::Display for Ranged {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = if f.alternate() { 1 } else { 100 };
        let to = |e: i64| Number::from_milli(e.saturating_mul(place));
        let part = |number: Number| Exact::new(number.milli().into(), place.into());
        write!(f, "{} {}", to(part(self.nominal).nearest()), self.unit)?;
        match self.bounds {
            Some((low, high)) if low != high => {
                let (low, high) = (to(part(low).floor()), to(part(high).ceil()));
                write!(f, " ({low} to {high})")
            }
            Some(_) => Ok(()),
            None => f.write_str(" (graduation not set, range unknown)"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_open_outwards_and_stop_at_nothing() {
        let value = Ranged::from_exact(Exact::new(100_000, 3), Some(40_000), (1, 1), Unit::Ml);
        assert_eq!(value.nominal.milli(), 33_333);
        let (low, high) = value.bounds.unwrap();
        assert_eq!((low.milli(), high.milli()), (0, 73_334));
        assert_eq!(value.to_string(), "33.3 mL (0 to 73.4)");
        assert_eq!(format!("{value:#}"), "33.333 mL (0 to 73.334)");
    }

    #[test]
    fn per_kilogram_needs_a_weight() {
        let value = Ranged::from_exact(Exact::whole(62_000), Some(5_000), (1, 1), Unit::Ml);
        let each = value.per_kg(Some(Number::whole(20))).unwrap();
        assert_eq!(each.to_string(), "3.1 mL/kg (2.8 to 3.4)");
        assert_eq!(value.per_kg(None), Err(NoWeight));
        assert_eq!(value.per_kg(Some(Number::whole(0))), Err(NoWeight));
    }
}
