//! Reads the number for a `measure`: always with its unit, never across a silent conversion.

use crate::units::{Amount, BadAmount, Number, Unit};

/// What is wrong with a number that was typed for a `measure`.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AmountMisread {
    /// It cannot be read.
    #[error("{0}")]
    Bad(#[from] BadAmount),
    /// A pressure without its unit. Suction in kPa read as cmH2O is ten times too strong, so the
    /// unit is never taken for granted.
    #[error(
        "\"{text}\" has no unit, and pressures are easily confused: write {text} {unit}, or the unit that the gauge shows"
    )]
    PressureNeedsUnit {
        /// The number as it was typed.
        text: String,
        /// The unit in which the step is judged.
        unit: Unit,
    },
}

/// A number that was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Reading {
    /// As it was typed; without a unit, in the unit of the step.
    pub typed: Amount,
    /// In the unit of the step.
    pub judged: Amount,
}

/// Reads what was typed for a step that is judged in `unit`.
pub(super) fn read(text: &str, unit: Unit) -> Result<Reading, AmountMisread> {
    let typed = match Amount::parse(text) {
        Ok(amount) => amount,
        Err(BadAmount::NoUnit { text }) if unit.is_pressure() => {
            return Err(AmountMisread::PressureNeedsUnit { text, unit });
        }
        Err(BadAmount::NoUnit { text }) => Amount::new(Number::parse(&text)?, unit),
        Err(bad) => return Err(bad.into()),
    };
    let judged = typed.to(unit)?;
    Ok(Reading { typed, judged })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amount(milli: i64, unit: Unit) -> Amount {
        Amount::new(Number::from_milli(milli), unit)
    }

    #[test]
    fn a_number_without_unit_is_in_the_unit_of_the_step() {
        let reading = read("2.5", Unit::Cm).expect("reads");
        assert_eq!(reading.typed, amount(2500, Unit::Cm));
        assert_eq!(reading.judged, amount(2500, Unit::Cm));
        assert_eq!(read("2,5 cm", Unit::Cm).expect("reads"), reading);
    }

    #[test]
    fn a_pressure_needs_its_unit() {
        assert!(matches!(
            read("20", Unit::CmH2O),
            Err(AmountMisread::PressureNeedsUnit { .. })
        ));
        assert_eq!(
            read("20 cmH2O", Unit::CmH2O).expect("reads").judged,
            amount(20_000, Unit::CmH2O)
        );
    }

    #[test]
    fn a_pressure_in_another_unit_is_converted() {
        // 1 kPa = 10.1972 cmH2O (conventional, 98.0665 Pa): NIST SP 811, Appendix B.8, from memory.
        let reading = read("2 kPa", Unit::CmH2O).expect("reads");
        assert_eq!(reading.typed, amount(2000, Unit::KPa));
        assert_eq!(reading.judged, amount(20_394, Unit::CmH2O));
    }

    #[test]
    fn another_quantity_is_refused() {
        assert!(matches!(
            read("20 kg", Unit::Ml),
            Err(AmountMisread::Bad(BadAmount::OtherQuantity { .. }))
        ));
    }
}
