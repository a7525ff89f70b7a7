//! Lengths of time.

use super::{Amount, BadAmount, Unit};
use std::fmt;

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
