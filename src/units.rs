//! Quantities with their units: exact decimals, so that a limit at 2.0 cm is met by 2.0 cm.

use std::fmt;

/// An exact decimal number with three places, held in thousandths.
///
/// Range: about ±9 × 10^15; parsing refuses more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Number(i64);

impl Number {
    /// Makes a number from thousandths: `from_milli(2500)` is 2.5.
    #[must_use]
    pub const fn from_milli(milli: i64) -> Self {
        Self(milli)
    }

    /// Makes a whole number.
    #[must_use]
    pub const fn whole(value: i32) -> Self {
        Self(value as i64 * 1000)
    }

    /// The number in thousandths.
    #[must_use]
    pub const fn milli(self) -> i64 {
        self.0
    }

    /// The nearest binary number, for arithmetic that is not exact anyway.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "readings are far below 2^52")]
    pub fn to_f64(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// Reads "2", "2.5" or "2,5" (decimal comma), with an optional sign. A minus may be "-" or "−".
    ///
    /// # Errors
    /// [`BadAmount`] when it is not a decimal number, has more than three places or is out of range.
    pub fn parse(text: &str) -> Result<Self, BadAmount> {
        let bad = || BadAmount::NotANumber {
            text: text.to_owned(),
        };
        let trimmed = text.trim();
        let (negative, digits) = match trimmed.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (true, rest),
            None => (false, trimmed.strip_prefix('+').unwrap_or(trimmed)),
        };
        let (whole, fraction) = match digits.split_once(['.', ',']) {
            Some((_, "")) => return Err(bad()),
            Some(parts) => parts,
            None => (digits, ""),
        };
        let only_digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || whole.len() > 12 || fraction.len() > 3 {
            return Err(bad());
        }
        if !only_digits(whole) || !only_digits(fraction) {
            return Err(bad());
        }
        let milli = format!("{whole}{fraction:0<3}")
            .parse::<i64>()
            .map_err(|_| bad())?;
        Ok(Self(if negative { -milli } else { milli }))
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let magnitude = self.0.unsigned_abs();
        let (whole, fraction) = (magnitude / 1000, magnitude % 1000);
        let sign = if self.0 < 0 { "\u{2212}" } else { "" };
        if fraction == 0 {
            return f.pad(&format!("{sign}{whole}"));
        }
        let places = format!("{fraction:03}");
        f.pad(&format!("{sign}{whole}.{}", places.trim_end_matches('0')))
    }
}

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

/// A number with its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Amount {
    /// How many.
    pub number: Number,
    /// Of what.
    pub unit: Unit,
}

impl Amount {
    /// Joins a number and a unit.
    #[must_use]
    pub const fn new(number: Number, unit: Unit) -> Self {
        Self { number, unit }
    }

    /// Reads "2.5 cm" or "20cmH2O".
    ///
    /// # Errors
    /// [`BadAmount`] when the number or the unit cannot be read, or the unit is missing.
    pub fn parse(text: &str) -> Result<Self, BadAmount> {
        let trimmed = text.trim();
        let split = trimmed
            .find(|c: char| {
                !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '\u{2212}'))
            })
            .unwrap_or(trimmed.len());
        let (number, unit) = trimmed.split_at(split);
        let number = Number::parse(number)?;
        match unit.trim() {
            "" => Err(BadAmount::NoUnit {
                text: trimmed.to_owned(),
            }),
            unit => match Unit::parse(unit) {
                Some(unit) => Ok(Self { number, unit }),
                None => Err(BadAmount::UnknownUnit {
                    unit: unit.to_owned(),
                }),
            },
        }
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.unit {
            Unit::Percent => write!(f, "{}%", self.number),
            Unit::PerMin => write!(f, "{}/min", self.number),
            unit => write!(f, "{} {unit}", self.number),
        }
    }
}

/// Why a text is not an amount.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadAmount {
    /// The number cannot be read.
    #[error("\"{text}\" is not a number: write it like 2 or 2.5, with at most three decimals")]
    NotANumber {
        /// The text as it was given.
        text: String,
    },
    /// There is no unit.
    #[error("\"{text}\" has no unit: write the unit after the number, like 20 cmH2O")]
    NoUnit {
        /// The text as it was given.
        text: String,
    },
    /// The unit is not one the tool knows.
    #[error("\"{unit}\" is not a unit known here")]
    UnknownUnit {
        /// The unit as it was given.
        unit: String,
    },
    /// The unit measures something else.
    #[error("{from} cannot be turned into {to}: they measure different things")]
    OtherQuantity {
        /// The unit given.
        from: Unit,
        /// The unit wanted.
        to: Unit,
    },
}

/// A length of time in whole seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span(pub u32);

impl Span {
    /// Makes a span of minutes.
    #[must_use]
    pub const fn minutes(minutes: u32) -> Self {
        Self(minutes * 60)
    }

    /// The span as chrono counts it.
    #[must_use]
    pub fn to_delta(self) -> chrono::TimeDelta {
        chrono::TimeDelta::seconds(i64::from(self.0))
    }

    /// Reads "5 min", "30 s", "2 h", "1 d". At most 366 days.
    ///
    /// # Errors
    /// [`BadAmount`] when the number is not whole seconds or the unit is not one of time.
    pub fn parse(text: &str) -> Result<Self, BadAmount> {
        let amount = Amount::parse(text)?;
        let each = match amount.unit {
            Unit::Second => 1,
            Unit::Minute => 60,
            Unit::Hour => 3_600,
            Unit::Day => 86_400,
            other => {
                return Err(BadAmount::OtherQuantity {
                    from: other,
                    to: Unit::Minute,
                });
            }
        };
        let seconds = amount
            .number
            .milli()
            .checked_mul(each)
            .filter(|milli| milli % 1000 == 0);
        match seconds.and_then(|milli| u32::try_from(milli / 1000).ok()) {
            Some(seconds) if seconds <= 366 * 86_400 => Ok(Self(seconds)),
            _ => Err(BadAmount::NotANumber {
                text: text.to_owned(),
            }),
        }
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            s if s >= 3_600 && s % 3_600 == 0 => write!(f, "{} h", s / 3_600),
            s if s >= 3_600 => write!(f, "{} h {} min", s / 3_600, s % 3_600 / 60),
            s if s >= 60 && s % 60 == 0 => write!(f, "{} min", s / 60),
            s if s >= 120 => write!(f, "{} min {} s", s / 60, s % 60),
            s => write!(f, "{s} s"),
        }
    }
}
