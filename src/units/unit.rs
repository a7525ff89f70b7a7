//! The units of measurement, as they are written at the bedside.

use std::fmt;

macro_rules! units {
    ($($(#[$doc:meta])* $variant:ident = $symbol:literal $(| $other:literal)*;)*) => {
        /// A unit of measurement as it is written at the bedside.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Unit { $($(#[$doc])* $variant,)* }

        impl Unit {
            /// Every unit the tool knows.
            pub const ALL: &[Self] = &[$(Self::$variant,)*];

            /// The symbol shown to people.
            #[must_use]
            pub const fn symbol(self) -> &'static str {
                match self { $(Self::$variant => $symbol,)* }
            }

            /// Reads a symbol, in the spellings people use. `None` when unknown.
            #[must_use]
            pub fn parse(text: &str) -> Option<Self> {
                match text.trim() { $($symbol $(| $other)* => Some(Self::$variant),)* _ => None }
            }
        }
    };
}

units! {
    /// Centimetres.
    Cm = "cm";
    /// Millimetres.
    Mm = "mm";
    /// Millilitres.
    Ml = "mL" | "ml";
    /// Litres.
    L = "L" | "l";
    /// Centimetres of water, conventional: 98.0665 Pa.
    CmH2O = "cmH2O" | "cmH₂O" | "cmh2o";
    /// Kilopascals.
    KPa = "kPa" | "kpa";
    /// Millimetres of mercury, conventional: 133.322387415 Pa.
    MmHg = "mmHg" | "mmhg";
    /// Millibars.
    Mbar = "mbar";
    /// Per minute: breaths or heart beats.
    PerMin = "/min" | "per min";
    /// Per cent, such as oxygen saturation.
    Percent = "%";
    /// Kilograms of body weight.
    Kg = "kg";
    /// Millilitres for each kilogram of body weight.
    MlPerKg = "mL/kg" | "ml/kg";
    /// Millilitres an hour.
    MlPerH = "mL/h" | "ml/h";
    /// Millilitres for each kilogram of body weight, an hour.
    MlPerKgH = "mL/kg/h" | "ml/kg/h";
    /// French gauge: three times the outer diameter in millimetres.
    Fr = "Fr" | "fr";
    /// Seconds.
    Second = "s";
    /// Minutes.
    Minute = "min";
    /// Hours.
    Hour = "h";
    /// Days.
    Day = "d";
    /// Degrees Celsius.
    Celsius = "°C" | "C";
    /// A score such as pain from 0 to 10.
    Score = "of 10";
    /// Millilitres for each centimetre of depth.
    MlPerCm = "mL/cm" | "ml/cm";
    /// International normalised ratio, a clotting test; a ratio of times, so without a unit of
    /// its own.
    Inr = "INR";
    /// Litres a minute, as of oxygen.
    LPerMin = "L/min" | "l/min";
}

impl Unit {
    /// True for the four units of pressure, between which suction is easily confused.
    #[must_use]
    pub const fn is_pressure(self) -> bool {
        matches!(self, Self::CmH2O | Self::KPa | Self::MmHg | Self::Mbar)
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}
