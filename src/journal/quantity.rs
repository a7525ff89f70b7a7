//! Numbers and amounts in the journal: decimal text, because JSON numbers are not exact.

use serde::{Deserialize, Serialize};

use crate::units::{Amount, Number, Unit};

/// Why a body cannot be read by this version.
pub(super) type Unreadable = String;

/// A number with its unit. The number is decimal text, because JSON numbers are not exact.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct AmountTwin {
    number: String,
    unit: String,
}

/// Thousandths as decimal text, exact over the whole range.
pub(super) fn number_text(number: Number) -> String {
    let milli = number.milli();
    let magnitude = milli.unsigned_abs();
    let sign = if milli < 0 { "-" } else { "" };
    let text = format!("{sign}{}.{:03}", magnitude / 1000, magnitude % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Reads what [`number_text`] writes.
pub(super) fn read_number(text: &str) -> Result<Number, Unreadable> {
    let bad = || format!("\"{text}\" is not a number with at most three places");
    let (whole, places) = match text.split_once('.') {
        Some((_, "")) => return Err(bad()),
        Some(parts) => parts,
        None => (text, ""),
    };
    let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    let unsigned = whole.strip_prefix('-').unwrap_or(whole);
    if unsigned.is_empty() || !digits(unsigned) || !digits(places) || places.len() > 3 {
        return Err(bad());
    }
    format!("{whole}{places:0<3}")
        .parse()
        .map(Number::from_milli)
        .map_err(|_| bad())
}

impl From<Amount> for AmountTwin {
    fn from(amount: Amount) -> Self {
        Self {
            number: number_text(amount.number),
            unit: amount.unit.symbol().to_owned(),
        }
    }
}

impl TryFrom<AmountTwin> for Amount {
    type Error = Unreadable;

    fn try_from(twin: AmountTwin) -> Result<Self, Unreadable> {
        let unit = Unit::parse(&twin.unit)
            .ok_or_else(|| format!("unit \"{}\" is not known", twin.unit))?;
        Ok(Self::new(read_number(&twin.number)?, unit))
    }
}
