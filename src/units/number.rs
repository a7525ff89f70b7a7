//! Exact decimals.

use super::BadAmount;
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
