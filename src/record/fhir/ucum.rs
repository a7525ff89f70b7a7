//! Units as UCUM writes them (The Unified Code for Units of Measure, essence of version 2.1).

use crate::units::Unit;

/// The UCUM code of a unit.
#[must_use]
pub const fn ucum(unit: Unit) -> &'static str {
    match unit {
        Unit::Cm => "cm",
        Unit::Mm => "mm",
        Unit::Ml => "mL",
        Unit::L => "L",
        Unit::CmH2O => "cm[H2O]",
        Unit::KPa => "kPa",
        Unit::MmHg => "mm[Hg]",
        Unit::Mbar => "mbar",
        Unit::PerMin => "/min",
        Unit::Percent => "%",
        Unit::Kg => "kg",
        Unit::MlPerKg => "mL/kg",
        Unit::MlPerH => "mL/h",
        Unit::MlPerKgH => "mL/kg/h",
        // French gauge and Charrière are the same: a third of a millimetre.
        Unit::Fr => "[Ch]",
        Unit::Second => "s",
        Unit::Minute => "min",
        Unit::Hour => "h",
        Unit::Day => "d",
        Unit::Celsius => "Cel",
        Unit::Score => "{score}",
        Unit::MlPerCm => "mL/cm",
        Unit::Inr => "{INR}",
        Unit::LPerMin => "L/min",
    }
}
