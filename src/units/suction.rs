//! Suction, with one sign convention everywhere.

use super::{Amount, BadAmount, Number, Unit};
use std::fmt;

/// Suction as a magnitude below atmospheric pressure, in the unit in which it was given.
///
/// The magnitude is never negative; zero is gravity drainage. "−20 cmH2O" and "20 cmH2O" are the
/// same suction, because both ways of writing it are in use (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Suction(Amount);

impl Suction {
    /// Takes what a person entered; a minus sign is dropped.
    ///
    /// # Errors
    /// [`BadAmount::OtherQuantity`] when the unit is not one of pressure,
    /// [`BadAmount::TooLarge`] for the one number that has no magnitude.
    pub fn from_entry(amount: Amount) -> Result<Self, BadAmount> {
        if !amount.unit.is_pressure() {
            return Err(BadAmount::OtherQuantity {
                from: amount.unit,
                to: Unit::CmH2O,
            });
        }
        match amount.number.milli().checked_abs() {
            Some(milli) => Ok(Self(Amount::new(Number::from_milli(milli), amount.unit))),
            None => Err(BadAmount::TooLarge {
                text: amount.to_string(),
                to: amount.unit,
            }),
        }
    }

    /// The magnitude below atmospheric pressure, in the unit in which it was given.
    #[must_use]
    pub const fn magnitude(self) -> Amount {
        self.0
    }

    /// The magnitude in cmH2O, rounded to thousandths.
    ///
    /// # Errors
    /// [`BadAmount::TooLarge`] when it cannot be held.
    pub fn cm_h2o(self) -> Result<Number, BadAmount> {
        self.0.to(Unit::CmH2O).map(|amount| amount.number)
    }

    /// True when it lies further below atmospheric pressure than the magnitude of `limit`.
    /// Both are compared in cmH2O, in thousandths.
    ///
    /// # Errors
    /// [`BadAmount`] when the limit is not a pressure or cannot be held.
    pub fn is_stronger_than(self, limit: Amount) -> Result<bool, BadAmount> {
        Ok(self.cm_h2o()? > Self::from_entry(limit)?.cm_h2o()?)
    }
}

impl fmt::Display for Suction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0.number.milli() == 0 {
            return f.pad("no suction (gravity drainage)");
        }
        let signed = Amount::new(Number::from_milli(-self.0.number.milli()), self.0.unit);
        write!(f, "{signed} ({} below atmospheric)", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn suction(text: &str) -> Suction {
        Suction::from_entry(Amount::parse(text).unwrap()).unwrap()
    }

    #[test]
    fn both_signs_mean_the_same_suction() {
        assert_eq!(suction("-20 cmH2O"), suction("20 cmH2O"));
        assert_eq!(
            suction("\u{2212}2 kPa").magnitude(),
            Amount::parse("2 kPa").unwrap()
        );
        assert_eq!(
            suction("20 cmH2O").to_string(),
            "\u{2212}20 cmH2O (20 cmH2O below atmospheric)"
        );
        assert_eq!(
            suction("0 kPa").to_string(),
            "no suction (gravity drainage)"
        );
    }

    #[test]
    fn strength_is_compared_across_units() {
        let limit = Amount::parse("20 cmH2O").unwrap();
        assert!(!suction("20 cmH2O").is_stronger_than(limit).unwrap());
        assert!(suction("20 mmHg").is_stronger_than(limit).unwrap());
        assert!(suction("2 kPa").is_stronger_than(limit).unwrap());
        assert!(!suction("1.96 kPa").is_stronger_than(limit).unwrap());
    }

    #[test]
    fn suction_is_a_pressure() {
        assert!(Suction::from_entry(Amount::parse("20 cm").unwrap()).is_err());
        let worst = Amount::new(Number::from_milli(i64::MIN), Unit::CmH2O);
        assert!(Suction::from_entry(worst).is_err());
    }
}
