//! Values that are possible but so rarely right that they are typed twice, and values that cannot
//! be.
//!
//! The bounds are our own choice, no source: they judge the typing, never the patient.

use super::reading::Reading;
use crate::units::{Amount, Number};
use std::fmt;

/// The largest level that is taken at all, mL. No drainage unit holds as much.
pub const MOST_LEVEL: Number = Number::whole(20_000);
/// The largest level that is taken without a second typing where the capacity is not known, mL.
const LARGE_LEVEL: Number = Number::whole(3_000);
/// The same for the depth of the seal and the height of the swing, cm.
const DEEP: Number = Number::whole(15);
/// The same for suction, where the list of limits gives none, cmH2O.
const STRONG: Number = Number::whole(40);
/// The greatest suction that is taken at all, cmH2O: more than any wall supply gives to a chest.
const MOST_SUCTION: Number = Number::whole(200);

/// What a reading is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Bounds {
    /// What the drainage unit holds, mL.
    pub capacity: Option<Number>,
    /// Suction above this is typed twice.
    pub suction: Option<Amount>,
}

/// A value that was looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// What it is of, as the chart's columns are named.
    pub field: &'static str,
    /// What is odd about it.
    pub why: String,
    /// True when it cannot be right and is not taken.
    pub impossible: bool,
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.field, self.why)
    }
}

/// What is odd about a reading; empty when nothing is.
#[must_use]
pub fn doubts(reading: &Reading, bounds: Bounds) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    let mut add = |field, why: String, impossible| {
        doubts.push(Doubt {
            field,
            why,
            impossible,
        });
    };
    if let Some(level) = reading.level {
        let full = bounds.capacity.unwrap_or(LARGE_LEVEL);
        if level > MOST_LEVEL || level < Number::whole(0) {
            add("level", format!("{level} mL cannot be"), true);
        } else if level > full {
            let why = format!("{level} mL is more than the {full} mL that it holds");
            add("level", why, false);
        }
    }
    for (field, depth) in [
        ("seal-depth", reading.seal_depth),
        ("swing-height", reading.swing_cm),
    ] {
        if let Some(depth) = depth.filter(|depth| *depth > DEEP) {
            let impossible = depth > Number::whole(100);
            add(field, format!("{depth} cm is very much"), impossible);
        }
    }
    doubts.extend(suction(reading, bounds));
    doubts.extend(patient(reading));
    doubts
}

fn suction(reading: &Reading, bounds: Bounds) -> Vec<Doubt> {
    let most = bounds
        .suction
        .unwrap_or(Amount::new(STRONG, crate::units::Unit::CmH2O));
    let values = [
        ("suction-ordered", reading.suction_ordered),
        ("suction-set", reading.suction_set),
        ("suction-indicated", reading.suction_indicated),
    ];
    let strong = values.into_iter().filter_map(|(field, value)| {
        let value = value?;
        let impossible = value.cm_h2o().map_or(true, |cm| cm > MOST_SUCTION);
        let strong = impossible || value.is_stronger_than(most).unwrap_or(true);
        strong.then(|| Doubt {
            field,
            why: format!("{value} is more than {most}: is the unit right?"),
            impossible,
        })
    });
    strong.collect()
}

fn patient(reading: &Reading) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    let mut range = |field, value: Option<u16>, (low, high): (u16, u16), unit: &str| {
        if let Some(value) = value.filter(|value| !(low..=high).contains(value)) {
            doubts.push(Doubt {
                field,
                why: format!("{value}{unit} is outside {low} to {high}"),
                impossible: false,
            });
        }
    };
    range("breaths", reading.breaths, (6, 80), "/min");
    range("heart-rate", reading.heart_rate, (30, 230), "/min");
    let saturation = reading.saturation.map(|n| n.milli() / 1_000);
    let saturation = saturation.and_then(|n| u16::try_from(n).ok());
    range("saturation", saturation, (60, 100), "%");
    if let Some(both) = reading.blood_pressure {
        range(
            "blood-pressure",
            Some(both.systolic),
            (40, 260),
            " mmHg systolic",
        );
        if both.diastolic >= both.systolic {
            doubts.push(Doubt {
                field: "blood-pressure",
                why: format!(
                    "{} over {} mmHg: the second number must be the lower",
                    both.systolic, both.diastolic
                ),
                impossible: true,
            });
        }
    }
    doubts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::reading::BloodPressure;
    use crate::units::Suction;

    fn suction(text: &str) -> Option<Suction> {
        Some(Suction::from_entry(Amount::parse(text).unwrap()).unwrap())
    }

    fn of(reading: Reading) -> Vec<(&'static str, bool)> {
        let bounds = Bounds {
            capacity: Some(Number::whole(2_000)),
            suction: Some(Amount::parse("25 cmH2O").unwrap()),
        };
        let found = doubts(&reading, bounds).into_iter();
        found.map(|doubt| (doubt.field, doubt.impossible)).collect()
    }

    fn level(ml: i32) -> Reading {
        Reading {
            level: Some(Number::whole(ml)),
            ..Reading::default()
        }
    }

    #[test]
    fn levels_beyond_the_drainage_unit() {
        assert_eq!(of(level(2_000)), []);
        assert_eq!(of(level(2_001)), [("level", false)]);
        assert_eq!(of(level(20_001)), [("level", true)]);
        assert_eq!(of(level(-1)), [("level", true)]);
    }

    // A published sample note (Open RN, Nursing Advanced Skills, section 6.9) writes mmHg where
    // cmH2O is usual.
    #[test]
    fn suction_in_the_wrong_unit() {
        let set = |text| Reading {
            suction_set: suction(text),
            ..Reading::default()
        };
        assert_eq!(of(set("-20 cmH2O")), []);
        assert_eq!(of(set("-20 mmHg")), [("suction-set", false)]);
        assert_eq!(of(set("20 kPa")), [("suction-set", true)]);
    }

    #[test]
    fn the_patients_values() {
        let reading = Reading {
            breaths: Some(5),
            heart_rate: Some(231),
            saturation: Some(Number::whole(9)),
            blood_pressure: Some(BloodPressure {
                systolic: 80,
                diastolic: 120,
            }),
            ..Reading::default()
        };
        let fields: Vec<_> = of(reading).into_iter().map(|found| found.0).collect();
        assert_eq!(
            fields,
            ["breaths", "heart-rate", "saturation", "blood-pressure"]
        );
    }
}
