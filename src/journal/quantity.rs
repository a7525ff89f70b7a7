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
    let most = i128::from(i64::MAX) * 10;
    // What is longer than any number stays above them all.
    let read = |value: i128, byte: u8| (value * 10 + i128::from(byte - b'0')).min(most);
    let zeros = b"000".iter().skip(places.len());
    let all = unsigned.bytes().chain(places.bytes()).chain(zeros.copied());
    let magnitude = all.fold(0, read);
    let signed = if unsigned.len() < whole.len() {
        -magnitude
    } else {
        magnitude
    };
    i64::try_from(signed)
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
