//! What the units of limits and bands have to do with one another.

use crate::units::{Amount, Number, Unit};

/// The number of the same amount in another unit, to the nearest thousandth; `None` when the units
/// measure different things.
pub(super) fn convert(amount: Amount, unit: Unit) -> Option<Number> {
    amount.to(unit).ok().map(|amount| amount.number)
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
pub(super) const fn is_time(unit: Unit) -> bool {
    matches!(unit, Unit::Second | Unit::Minute | Unit::Hour | Unit::Day)
}
