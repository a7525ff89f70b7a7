//! Conversions between units of one quantity, in whole-number arithmetic.
//!
//! Every unit is a whole multiple of a small common part, so a conversion is one multiplication
//! and one division of integers and never drifts.

use super::{Amount, BadAmount, Number, Suction, Unit};

/// What a unit measures, where more than one unit measures it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Quantity {
    Pressure,
    Volume,
    Length,
    Time,
}

impl Unit {
    /// The quantity, and the size of the unit in the smallest common part of that quantity.
    ///
    /// Pressure is counted in nanopascals: 1 cmH2O = 98.0665 Pa, 1 mmHg = 133.322387415 Pa,
    /// 1 kPa = 1000 Pa, 1 mbar = 100 Pa (NIST SP 811, Appendix B.8, and ISO 80000-4; from memory,
    /// checked against the definition file of the units library pint).
    /// Length is counted in thirds of a millimetre, which is 1 Fr (ISO 20697, from memory).
    const fn measure(self) -> Option<(Quantity, i128)> {
        Some(match self {
            Self::CmH2O => (Quantity::Pressure, 98_066_500_000),
            Self::MmHg => (Quantity::Pressure, 133_322_387_415),
            Self::KPa => (Quantity::Pressure, 1_000_000_000_000),
            Self::Mbar => (Quantity::Pressure, 100_000_000_000),
            Self::Ml => (Quantity::Volume, 1),
            Self::L => (Quantity::Volume, 1000),
            Self::Fr => (Quantity::Length, 1),
            Self::Mm => (Quantity::Length, 3),
            Self::Cm => (Quantity::Length, 30),
            Self::Second => (Quantity::Time, 1),
            Self::Minute => (Quantity::Time, 60),
            Self::Hour => (Quantity::Time, 3_600),
            Self::Day => (Quantity::Time, 86_400),
            _ => return None,
        })
    }

    /// How many of this unit, as a fraction, make one of the other.
    fn ratio(self, to: Self) -> Result<(i128, i128), BadAmount> {
        match (self.measure(), to.measure()) {
            _ if self == to => Ok((1, 1)),
            (Some((from, size)), Some((wanted, part))) if from == wanted => Ok((size, part)),
            _ => Err(BadAmount::OtherQuantity { from: self, to }),
        }
    }
}

/// The nearest whole number to `over / under`; a half goes away from zero. `under` is positive.
const fn nearest(over: i128, under: i128) -> i128 {
    let half = under / 2;
    if over < 0 {
        (over - half) / under
    } else {
        (over + half) / under
    }
}

impl Amount {
    /// The same amount in another unit, rounded to the nearest thousandth (a half goes away from
    /// zero). The sign is kept.
    ///
    /// # Errors
    /// [`BadAmount::OtherQuantity`] between units of different things, [`BadAmount::TooLarge`]
    /// when the result cannot be held.
    pub fn to(self, unit: Unit) -> Result<Self, BadAmount> {
        let (size, part) = self.unit.ratio(unit)?;
        // At most 2^63 × 10^12, far inside 128 bits.
        let milli = nearest(i128::from(self.number.milli()) * size, part);
        match i64::try_from(milli) {
            Ok(milli) => Ok(Self::new(Number::from_milli(milli), unit)),
            Err(_) => Err(BadAmount::TooLarge {
                text: self.to_string(),
                to: unit,
            }),
        }
    }

    /// The same amount in another unit without rounding to thousandths, as the nearest binary
    /// number: for display with more places and for tests, never for a decision.
    ///
    /// # Errors
    /// [`BadAmount::OtherQuantity`] between units of different things.
    #[expect(
        clippy::cast_precision_loss,
        reason = "one rounding to the nearest binary number is what is promised"
    )]
    pub fn precisely(self, unit: Unit) -> Result<f64, BadAmount> {
        let (size, part) = self.unit.ratio(unit)?;
        let over = i128::from(self.number.milli()) * size;
        Ok(over as f64 / (part * 1000) as f64)
    }

    /// True when [`Amount::to`] loses nothing.
    fn is_exact_in(self, unit: Unit) -> bool {
        self.unit
            .ratio(unit)
            .is_ok_and(|(size, part)| i128::from(self.number.milli()) * size % part == 0)
    }
}

/// What the `convert` command answers, a line of text each.
///
/// `from` is an amount with its unit ("20 cmH2O"), `to` a unit ("kPa"). For a pressure, every
/// other unit is shown too, because a suction ordered in one unit and set in another is the usual
/// mistake; above `look_twice_above`, the unit's own limit for suction, a warning follows.
///
/// # Errors
/// [`BadAmount`] when the number or a unit cannot be read, a unit is missing, or the two units
/// measure different things.
pub fn convert_lines(
    from: &str,
    to: &str,
    look_twice_above: Option<Amount>,
) -> Result<Vec<String>, BadAmount> {
    let amount = Amount::parse(from)?;
    let wanted = match to.trim() {
        "" => {
            return Err(BadAmount::NoUnit {
                text: to.to_owned(),
            });
        }
        text => Unit::parse(text).ok_or_else(|| BadAmount::UnknownUnit {
            unit: text.to_owned(),
        })?,
    };
    let mut lines = vec![line(amount, wanted)?];
    if !amount.unit.is_pressure() {
        return Ok(lines);
    }
    for unit in Unit::ALL.iter().filter(|unit| unit.is_pressure()) {
        if *unit != wanted && *unit != amount.unit {
            lines.push(line(amount, *unit)?);
        }
    }
    let suction = Suction::from_entry(amount)?;
    lines.push(format!(
        "As suction: {suction}. Say the unit aloud and read it back."
    ));
    if let Some(limit) = look_twice_above
        && suction.is_stronger_than(limit)?
    {
        lines.push(format!(
            "Stop and check: this is more suction than {limit}. Was {} really the unit meant?",
            amount.unit
        ));
    }
    Ok(lines)
}

/// "20 cmH2O = 1.961 kPa (rounded)".
fn line(amount: Amount, unit: Unit) -> Result<String, BadAmount> {
    let rounded = if amount.is_exact_in(unit) {
        ""
    } else {
        " (rounded)"
    };
    Ok(format!("{amount} = {}{rounded}", amount.to(unit)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn amount(text: &str) -> Amount {
        Amount::parse(text).unwrap()
    }

    /// The handbook value, with the number of places it is printed with.
    fn assert_handbook(from: &str, to: Unit, printed: &str) {
        let places = printed.split_once('.').map_or(0, |(_, p)| p.len());
        let got = amount(from).precisely(to).unwrap();
        assert_eq!(format!("{got:.places$}"), printed, "{from} in {to}");
        let rounded = amount(from).to(to).unwrap().number.to_f64();
        assert!((rounded - got).abs() <= 0.000_500_001, "{from} in {to}");
    }

    // Factors: NIST SP 811 Appendix B.8 and ISO 80000-4, from memory; the definition file of the
    // open units library pint gives the same.
    #[test]
    fn pressures_agree_with_the_handbook_factors() {
        for (from, to, printed) in [
            ("20 cmH2O", Unit::KPa, "1.96133"),
            ("20 cmH2O", Unit::MmHg, "14.7112"),
            ("20 cmH2O", Unit::Mbar, "19.6133"),
            ("10 cmH2O", Unit::KPa, "0.980665"),
            ("10 cmH2O", Unit::MmHg, "7.3556"),
            ("5 cmH2O", Unit::KPa, "0.49033"),
            ("2 cmH2O", Unit::KPa, "0.19613"),
            ("40 cmH2O", Unit::KPa, "3.92266"),
            ("1 kPa", Unit::CmH2O, "10.1972"),
            ("2 kPa", Unit::CmH2O, "20.3943"),
            ("3 kPa", Unit::CmH2O, "30.5915"),
            ("1 kPa", Unit::MmHg, "7.50062"),
            ("1 kPa", Unit::Mbar, "10"),
            ("1 mbar", Unit::CmH2O, "1.01972"),
            ("1 mmHg", Unit::CmH2O, "1.35951"),
            ("1 cmH2O", Unit::MmHg, "0.735559"),
            ("1 cmH2O", Unit::Mbar, "0.980665"),
            ("-20 mmHg", Unit::CmH2O, "-27.19"),
        ] {
            assert_handbook(from, to, printed);
        }
    }

    // A published page on tube thoracostomy (Medscape, 2016/2022, technique) prints
    // 10 to 20 cmH2O as 2 to 3 kPa.
    #[test]
    fn a_published_pair_of_suction_figures_is_three_times_too_strong_in_kilopascals() {
        assert_eq!(
            amount("10 cmH2O").to(Unit::KPa).unwrap(),
            amount("0.981 kPa")
        );
        assert_eq!(
            amount("20 cmH2O").to(Unit::KPa).unwrap(),
            amount("1.961 kPa")
        );
        assert_ne!(amount("2 kPa").to(Unit::CmH2O).unwrap(), amount("10 cmH2O"));
        assert!(amount("3 kPa").precisely(Unit::CmH2O).unwrap() > 30.0);
    }

    // A published sample note (Open RN, Nursing Advanced Skills, section 6.9) writes -20 mmHg
    // where -20 cmH2O is usual.
    #[test]
    fn a_published_sample_note_in_the_wrong_unit_is_flagged() {
        let limit = Some(amount("20 cmH2O"));
        let wrong = convert_lines("-20 mmHg", "cmH2O", limit).unwrap();
        assert_eq!(wrong[0], "\u{2212}20 mmHg = \u{2212}27.19 cmH2O (rounded)");
        assert!(wrong.last().unwrap().starts_with("Stop and check"));
        let usual = convert_lines("-20 cmH2O", "kPa", limit).unwrap();
        assert!(!usual.iter().any(|line| line.starts_with("Stop and check")));
    }

    // ISO 20697, from memory; several reference pages: outer diameter in mm = Fr / 3.
    #[test]
    fn french_gauge_is_three_times_the_outer_diameter() {
        for (fr, mm) in [
            ("28 Fr", "9.333"),
            ("32 Fr", "10.667"),
            ("24 Fr", "8.000"),
            ("14 Fr", "4.667"),
            ("9 Fr", "3.0"),
        ] {
            assert_handbook(fr, Unit::Mm, mm);
        }
        assert_eq!(amount("8 mm").to(Unit::Fr).unwrap(), amount("24 Fr"));
    }

    #[test]
    fn volumes_lengths_and_times_are_exact() {
        assert_eq!(amount("1.5 L").to(Unit::Ml).unwrap(), amount("1500 mL"));
        assert_eq!(amount("2 cm").to(Unit::Mm).unwrap(), amount("20 mm"));
        assert_eq!(amount("90 min").to(Unit::Hour).unwrap(), amount("1.5 h"));
        assert_eq!(amount("2 d").to(Unit::Hour).unwrap(), amount("48 h"));
    }

    #[test]
    fn a_half_goes_away_from_zero() {
        assert_eq!(amount("0.5 mL").to(Unit::L).unwrap(), amount("0.001 L"));
        assert_eq!(amount("-0.5 mL").to(Unit::L).unwrap(), amount("-0.001 L"));
        assert_eq!(amount("0.499 mL").to(Unit::L).unwrap(), amount("0 L"));
    }

    #[test]
    fn different_things_and_overflow_are_refused() {
        assert_eq!(
            amount("20 cmH2O").to(Unit::Cm),
            Err(BadAmount::OtherQuantity {
                from: Unit::CmH2O,
                to: Unit::Cm
            })
        );
        let huge = Amount::new(Number::from_milli(i64::MAX), Unit::L);
        assert!(matches!(huge.to(Unit::Ml), Err(BadAmount::TooLarge { .. })));
        assert_eq!(huge.to(Unit::L), Ok(huge));
    }

    #[test]
    fn convert_refuses_without_units() {
        assert!(matches!(
            convert_lines("20", "kPa", None),
            Err(BadAmount::NoUnit { .. })
        ));
        assert!(matches!(
            convert_lines("20 cmH2O", " ", None),
            Err(BadAmount::NoUnit { .. })
        ));
        assert!(matches!(
            convert_lines("20 cmH2O", "bar", None),
            Err(BadAmount::UnknownUnit { .. })
        ));
        assert!(convert_lines("20 cmH2O", "mL", None).is_err());
    }

    #[test]
    fn convert_shows_every_pressure_but_one_line_for_a_volume() {
        let lines = convert_lines("20 cmH2O", "kPa", None).unwrap();
        assert_eq!(
            lines,
            [
                "20 cmH2O = 1.961 kPa (rounded)",
                "20 cmH2O = 14.711 mmHg (rounded)",
                "20 cmH2O = 19.613 mbar (rounded)",
                "As suction: \u{2212}20 cmH2O (20 cmH2O below atmospheric). Say the unit aloud and read it back.",
            ]
        );
        assert_eq!(
            convert_lines("1,5 L", "mL", None).unwrap(),
            ["1.5 L = 1500 mL"]
        );
    }

    /// Every pair of different units that convert, on values of all sizes, for the check against
    /// another units library in tests/reference/units.py.
    #[test]
    fn writes_table_units() {
        let mut rows = Vec::new();
        for from in Unit::ALL {
            let others = |to: &&Unit| **to != *from && from.ratio(**to).is_ok();
            for to in Unit::ALL.iter().filter(others) {
                for step in 0..40_i64 {
                    let milli = step * step * step * 7_919 + step - 20_000;
                    let amount = Amount::new(Number::from_milli(milli), *from);
                    let out = amount.to(*to).unwrap().number.milli();
                    let precise = amount.precisely(*to).unwrap();
                    rows.push(format!("{milli},{from},{to},{out},{precise:e}"));
                }
            }
        }
        assert_eq!(rows.len(), 32 * 40);
        crate::tables::write("units", "milli,from,to,milli_out,precise", &rows);
    }

    proptest! {
        #[test]
        fn there_and_back_is_within_the_rounding(milli in -1_000_000_i64..1_000_000) {
            let start = Amount::new(Number::from_milli(milli), Unit::CmH2O);
            // mmHg is the coarser step: half a thousandth of it is 0.68 thousandths of cmH2O.
            for unit in [Unit::KPa, Unit::MmHg, Unit::Mbar] {
                let back = start.to(unit).unwrap().to(Unit::CmH2O).unwrap();
                let slack = if unit == Unit::KPa { 6 } else { 1 };
                prop_assert!((back.number.milli() - milli).abs() <= slack);
            }
        }

        #[test]
        fn conversion_keeps_order(a in any::<i32>(), b in any::<i32>()) {
            let to = |milli: i32| {
                Amount::new(Number::from_milli(milli.into()), Unit::MmHg)
                    .to(Unit::KPa).unwrap().number
            };
            if a <= b { prop_assert!(to(a) <= to(b)); }
        }
    }
}
