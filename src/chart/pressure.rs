//! Suction ordered, set and indicated, and what a loop full of liquid takes away.

use crate::units::{Amount, BadAmount, Number, Suction, Unit};
use std::fmt;

/// Density of blood relative to water (from memory).
pub const BLOOD: Number = Number::from_milli(1_060);
/// Density of a pleural effusion relative to water (from memory).
pub const EFFUSION: Number = Number::from_milli(1_020);

/// The three values of suction on one reading. `None` is "not obtained".
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SuctionValues {
    /// As ordered.
    pub ordered: Option<Suction>,
    /// As set.
    pub set: Option<Suction>,
    /// As the drainage unit's own indicator shows it.
    pub indicated: Option<Suction>,
}

/// Something that does not agree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Disagreement {
    /// Set otherwise than ordered.
    SetOtherwise {
        /// As ordered.
        ordered: Suction,
        /// As set.
        set: Suction,
    },
    /// Suction is set, or shown, and no order is known.
    NoOrder {
        /// As set or shown.
        found: Suction,
    },
    /// The indicator shows less than is set, by more than is allowed for.
    Short {
        /// As set.
        set: Suction,
        /// As shown.
        indicated: Suction,
        /// How much is missing, per cent of what is set.
        percent: Number,
    },
    /// The indicator shows more than is set.
    Over {
        /// As set.
        set: Suction,
        /// As shown.
        indicated: Suction,
    },
}

impl fmt::Display for Disagreement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SetOtherwise { ordered, set } => {
                write!(f, "Suction is set at {set}, but {ordered} is ordered.")
            }
            Self::NoOrder { found } => {
                write!(
                    f,
                    "There is {found} of suction, and no order for it is known."
                )
            }
            Self::Short {
                set,
                indicated,
                percent,
            } => write!(
                f,
                "The indicator shows {indicated}, {percent}% short of the {set} that is set."
            ),
            Self::Over { set, indicated } => write!(
                f,
                "The indicator shows {indicated}, more than the {set} that is set."
            ),
        }
    }
}

impl SuctionValues {
    /// Compares order, setting and indicator in cmH2O, to a tenth: other units than the ordered
    /// one are read off dials, not to thousandths. `allowed_short` is the shortfall of the
    /// indicator, in per cent, that is not yet remarked on.
    ///
    /// # Errors
    /// [`BadAmount`] when a value is too large to be compared.
    pub fn disagreements(self, allowed_short: Number) -> Result<Vec<Disagreement>, BadAmount> {
        let mut found = Vec::new();
        match (self.ordered, self.set.or(self.indicated)) {
            (None, Some(seen)) if tenths(seen)? > 0 => {
                found.push(Disagreement::NoOrder { found: seen });
            }
            _ => {}
        }
        if let (Some(ordered), Some(set)) = (self.ordered, self.set)
            && tenths(ordered)? != tenths(set)?
        {
            found.push(Disagreement::SetOtherwise { ordered, set });
        }
        if let (Some(set), Some(indicated)) = (self.set, self.indicated) {
            let percent = shortfall(set, indicated)?;
            if tenths(indicated)? > tenths(set)? {
                found.push(Disagreement::Over { set, indicated });
            } else if percent > allowed_short {
                found.push(Disagreement::Short {
                    set,
                    indicated,
                    percent,
                });
            }
        }
        Ok(found)
    }
}

/// Tenths of a cmH2O, to the nearest.
fn tenths(suction: Suction) -> Result<i64, BadAmount> {
    Ok((suction.cm_h2o()?.milli().saturating_add(50)) / 100)
}

/// By how many per cent the indicated suction falls short of what is set, to the nearest tenth;
/// below zero when more is shown than set, and zero when nothing is set.
///
/// # Errors
/// [`BadAmount`] when a value is too large.
pub fn shortfall(set: Suction, indicated: Suction) -> Result<Number, BadAmount> {
    let set = i128::from(set.cm_h2o()?.milli());
    let missing = set - i128::from(indicated.cm_h2o()?.milli());
    if set == 0 {
        return Ok(Number::whole(0));
    }
    let tenths = (missing * 2_000 + missing.signum() * set) / (2 * set);
    Ok(held(tenths * 100))
}

/// What arrives when the drainage unit falls short by so many per cent of what is set, in the
/// unit of the setting. More than 100% is no suction.
///
/// # Errors
/// [`BadAmount`] when the value is too large.
pub fn delivered(set: Suction, short_by_percent: Number) -> Result<Suction, BadAmount> {
    let share = (100_000 - i128::from(short_by_percent.milli())).max(0);
    let magnitude = set.magnitude();
    let milli = (i128::from(magnitude.number.milli()) * share + 50_000) / 100_000;
    Suction::from_entry(Amount::new(held(milli), magnitude.unit))
}

/// Pressure that a column of liquid adds in the tubing: its rise (cm) times its relative density,
/// in cmH2O, to the nearest thousandth.
#[must_use]
pub fn column(rise_cm: Number, density: Number) -> Amount {
    let product = i128::from(rise_cm.milli()) * i128::from(density.milli());
    Amount::new(held(divided(product, 1000)), Unit::CmH2O)
}

/// The rise of liquid, in cm, that takes away this much pressure. `None` for a density of zero or
/// less.
///
/// # Errors
/// [`BadAmount`] when the amount is not a pressure.
pub fn rise_for(pressure: Amount, density: Number) -> Result<Option<Amount>, BadAmount> {
    let milli = i128::from(pressure.to(Unit::CmH2O)?.number.milli());
    let density = i128::from(density.milli());
    Ok((density > 0).then(|| Amount::new(held(divided(milli * 1000, density)), Unit::Cm)))
}

/// Pressure on the chest side of a loop that holds a rise of liquid, in cmH2O relative to
/// atmospheric: below zero while suction is left, above zero when the loop pushes back.
///
/// # Errors
/// [`BadAmount`] when a value is too large.
pub fn beyond_loop(
    suction: Suction,
    rise_cm: Number,
    density: Number,
) -> Result<Amount, BadAmount> {
    let column = i128::from(column(rise_cm, density).number.milli());
    let milli = column - i128::from(suction.cm_h2o()?.milli());
    Ok(Amount::new(held(milli), Unit::CmH2O))
}

/// True when a breath in reaches so far below atmospheric pressure that a small seal may have
/// emptied backwards and will then bubble like a leak. `emptied_at` is the pressure at which that
/// was seen.
///
/// # Errors
/// [`BadAmount`] when a value is too large.
pub fn seal_may_have_emptied(breath: Suction, emptied_at: Suction) -> Result<bool, BadAmount> {
    Ok(breath.cm_h2o()? >= emptied_at.cm_h2o()?)
}

/// The nearest whole number to `over / under`; a half goes away from zero. `under` is above zero.
const fn divided(over: i128, under: i128) -> i128 {
    (2 * over + over.signum() * under) / (2 * under)
}

/// Held at the ends of the range; no pressure comes near.
fn held(milli: i128) -> Number {
    let end = if milli < 0 { i64::MIN } else { i64::MAX };
    Number::from_milli(i64::try_from(milli).unwrap_or(end))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn suction(text: &str) -> Suction {
        Suction::from_entry(Amount::parse(text).unwrap()).unwrap()
    }

    fn number(text: &str) -> Number {
        Number::parse(text).unwrap()
    }

    // Chest 2003;123:1878, Baumann et al., bench comparison: -16.9 arrived of -20 set.
    #[test]
    fn what_arrives_of_what_is_set() {
        let arrived = delivered(suction("-20 cmH2O"), number("15.5")).unwrap();
        assert_eq!(arrived, suction("-16.9 cmH2O"));
        let short = shortfall(suction("-20 cmH2O"), suction("-16.9 cmH2O")).unwrap();
        assert_eq!(short, number("15.5"));
        assert_eq!(
            delivered(suction("2 kPa"), number("120")).unwrap(),
            suction("0 kPa")
        );
    }

    // Gordon and others, Positioning of chest tubes (abstract; Am J Crit Care 1997;6 from memory):
    // a dependent loop took the pressure on the chest side from -18 to +8 cmH2O.
    #[test]
    fn a_loop_of_blood_explains_a_published_experiment() {
        let change = Amount::parse("26 cmH2O").unwrap();
        let rise = rise_for(change, BLOOD).unwrap().unwrap();
        assert_eq!(rise.to_string(), "24.528 cm");
        let beyond = beyond_loop(suction("-18 cmH2O"), rise.number, BLOOD).unwrap();
        assert_eq!(beyond, Amount::parse("8 cmH2O").unwrap());
    }

    // Worked out here from the densities above.
    #[test]
    fn columns_of_blood_and_effusion() {
        for (rise, density, printed) in [
            ("20", BLOOD, "21.2 cmH2O"),
            ("25", BLOOD, "26.5 cmH2O"),
            ("20", EFFUSION, "20.4 cmH2O"),
        ] {
            assert_eq!(column(number(rise), density).to_string(), printed);
        }
        let twenty = Amount::parse("20 cmH2O").unwrap();
        let rise = rise_for(twenty, BLOOD).unwrap().unwrap().number;
        assert!((rise.to_f64() - 18.9).abs() < 0.05);
        assert_eq!(rise_for(twenty, Number::whole(0)), Ok(None));
        assert!(rise_for(Amount::parse("20 mL").unwrap(), BLOOD).is_err());
    }

    // Abstract "Reverse airflow in certain chest drains may be misinterpreted as prolonged air
    // leakage": below about -30.4 cmH2O a small seal emptied backwards.
    #[test]
    fn a_very_deep_breath_may_have_emptied_the_seal() {
        let seen = suction("-30.4 cmH2O");
        assert!(seal_may_have_emptied(suction("-30.4 cmH2O"), seen).unwrap());
        assert!(seal_may_have_emptied(suction("-3 kPa"), seen).unwrap());
        assert!(!seal_may_have_emptied(suction("-7 cmH2O"), seen).unwrap());
    }

    #[test]
    fn order_setting_and_indicator_are_compared() {
        let compare = |ordered: &str, set: &str, indicated: &str| {
            let value = |text: &str| (!text.is_empty()).then(|| suction(text));
            SuctionValues {
                ordered: value(ordered),
                set: value(set),
                indicated: value(indicated),
            }
            .disagreements(Number::whole(10))
            .unwrap()
        };
        assert_eq!(compare("20 cmH2O", "20 cmH2O", "18 cmH2O"), []);
        // The same suction in another unit.
        assert_eq!(compare("20 cmH2O", "1.96 kPa", ""), []);
        assert!(matches!(
            compare("20 cmH2O", "20 mmHg", "")[..],
            [Disagreement::SetOtherwise { .. }]
        ));
        assert!(matches!(
            compare("", "20 cmH2O", "")[..],
            [Disagreement::NoOrder { .. }]
        ));
        assert_eq!(compare("", "0 cmH2O", ""), []);
        assert!(matches!(
            compare("20 cmH2O", "20 cmH2O", "25 cmH2O")[..],
            [Disagreement::Over { .. }]
        ));
        let short = compare("20 cmH2O", "20 cmH2O", "16.9 cmH2O");
        assert_eq!(
            short[0].to_string(),
            "The indicator shows \u{2212}16.9 cmH2O (16.9 cmH2O below atmospheric), 15.5% short \
             of the \u{2212}20 cmH2O (20 cmH2O below atmospheric) that is set."
        );
        // Not obtained is not zero.
        assert_eq!(compare("20 cmH2O", "", ""), []);
    }
}
