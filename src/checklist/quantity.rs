//! What units measure, and the same amount in another unit.

use crate::units::{Amount, Number, Unit};

/// What a unit measures, and its size in the smallest common measure as an exact fraction.
///
/// Pressures are in millipascals: the conventional centimetre of water is 98.0665 Pa and the
/// conventional millimetre of mercury 133.322387415 Pa (values given with [`Unit`]).
const fn size(unit: Unit) -> (Quantity, i128, i128) {
    match unit {
        Unit::Mm => (Quantity::Length, 1, 1),
        Unit::Cm => (Quantity::Length, 10, 1),
        Unit::Ml => (Quantity::Volume, 1, 1),
        Unit::L => (Quantity::Volume, 1_000, 1),
        Unit::CmH2O => (Quantity::Pressure, 980_665, 10_000),
        Unit::KPa => (Quantity::Pressure, 1_000, 1),
        Unit::MmHg => (Quantity::Pressure, 133_322_387_415, 1_000_000_000),
        Unit::Mbar => (Quantity::Pressure, 100, 1),
        Unit::Second => (Quantity::Time, 1, 1),
        Unit::Minute => (Quantity::Time, 60, 1),
        Unit::Hour => (Quantity::Time, 3_600, 1),
        Unit::Day => (Quantity::Time, 86_400, 1),
        Unit::PerMin => (Quantity::Frequency, 1, 1),
        Unit::Percent => (Quantity::Share, 1, 1),
        Unit::Kg => (Quantity::Mass, 1, 1),
        Unit::MlPerKg => (Quantity::VolumeByMass, 1, 1),
        Unit::MlPerH => (Quantity::VolumeFlow, 1, 1),
        Unit::MlPerKgH => (Quantity::FlowByMass, 1, 1),
        Unit::Fr => (Quantity::Gauge, 1, 1),
        Unit::Celsius => (Quantity::Temperature, 1, 1),
        Unit::Score => (Quantity::Score, 1, 1),
        Unit::MlPerCm => (Quantity::VolumeByLength, 1, 1),
        Unit::LPerMin => (Quantity::GasFlow, 1, 1),
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Quantity {
    Length,
    Volume,
    Pressure,
    Time,
    Frequency,
    Share,
    Mass,
    VolumeByMass,
    VolumeFlow,
    FlowByMass,
    Gauge,
    Temperature,
    Score,
    VolumeByLength,
    GasFlow,
}

/// The same amount in another unit, to the nearest thousandth; `None` when the units measure
/// different things.
pub(super) fn convert(amount: Amount, unit: Unit) -> Option<Number> {
    let (from, from_top, from_bottom) = size(amount.unit);
    let (to, to_top, to_bottom) = size(unit);
    if from != to {
        return None;
    }
    let top = i128::from(amount.number.milli()) * from_top * to_bottom;
    let bottom = from_bottom * to_top;
    let half = if top < 0 { -bottom / 2 } else { bottom / 2 };
    i64::try_from((top + half) / bottom)
        .ok()
        .map(Number::from_milli)
}

/// The unit that an amount for each kilogram has once it is multiplied by a weight.
pub(super) const fn times_weight(unit: Unit) -> Option<Unit> {
    match unit {
        Unit::MlPerKg => Some(Unit::Ml),
        Unit::MlPerKgH => Some(Unit::MlPerH),
        _ => None,
    }
}

/// True for the units of time, which are read as a length of time rather than an amount.
pub(super) fn is_time(unit: Unit) -> bool {
    size(unit).0 == Quantity::Time
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_change_their_unit_exactly_where_they_can() {
        // The pressures by hand from the conventional values of the centimetre of water
        // (98.0665 Pa) and the millimetre of mercury (133.322387415 Pa), NIST SP 811 (2008),
        // appendix B.8, as given with the units of this tool.
        let cases = [
            ("2 cm", Unit::Mm, Some(20_000)),
            ("25 mm", Unit::Cm, Some(2_500)),
            ("1.5 L", Unit::Ml, Some(1_500_000)),
            ("20 cmH2O", Unit::KPa, Some(1_961)),
            ("2 kPa", Unit::CmH2O, Some(20_394)),
            ("10 mmHg", Unit::CmH2O, Some(13_595)),
            ("\u{2212}20 cmH2O", Unit::Mbar, Some(-19_613)),
            ("2 cm", Unit::CmH2O, None),
            ("2 mL", Unit::MlPerKg, None),
        ];
        for (text, unit, wanted) in cases {
            let found = convert(Amount::parse(text).unwrap(), unit);
            assert_eq!(found, wanted.map(Number::from_milli), "{text} in {unit}");
        }
    }
}
