//! A number with its unit, and what can be wrong with one.

use super::{Number, Unit};
use std::fmt;

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
        // Without a number the whole text is told back.
        let number = Number::parse(if number.is_empty() { trimmed } else { number })?;
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
    #[error("\"{text}\" has no unit: write the unit after the number, like 20 mL or 20 cmH2O")]
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
    /// The number is larger than can be held.
    #[error("\"{text}\" is too large to be turned into {to}")]
    TooLarge {
        /// The amount as it was given.
        text: String,
        /// The unit wanted.
        to: Unit,
    },
}
