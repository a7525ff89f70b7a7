//! Moments as RFC 3339 text with the offset from UTC, exact to the nanosecond.

use chrono::{FixedOffset, Offset, SecondsFormat};

use crate::moment::Moment;

/// Writes a moment. An offset that is not whole minutes, which RFC 3339 cannot hold, is written as
/// the nearest one below; the moment itself stays the same.
pub(super) fn write(moment: Moment) -> String {
    let seconds = moment.offset().fix().local_minus_utc();
    let whole = FixedOffset::east_opt(seconds - seconds.rem_euclid(60));
    let moment = whole.map_or(moment, |offset| moment.with_timezone(&offset));
    moment.to_rfc3339_opts(SecondsFormat::AutoSi, false)
}

/// Reads a moment.
pub(super) fn read(text: &str) -> Result<Moment, String> {
    Moment::parse_from_rfc3339(text)
        .map_err(|_| format!("\"{text}\" is not a date and time with an offset (RFC 3339)"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_comes_back_with_its_offset() {
        for text in [
            "2026-10-25T01:30:00+01:00",
            "2026-10-25T01:30:00.250+00:00",
            "2026-04-05T01:45:00.000000001+10:30",
            "1999-12-31T23:59:59-05:00",
        ] {
            assert_eq!(write(read(text).unwrap()), text);
        }
        assert!(read("2026-10-25T01:30:00").is_err());
        assert!(read("01:30").is_err());
    }

    #[test]
    fn an_offset_with_seconds_keeps_the_moment() {
        let offset = FixedOffset::east_opt(-75).unwrap();
        let moment = read("2026-01-01T00:00:00+00:00")
            .unwrap()
            .with_timezone(&offset);
        assert_eq!(read(&write(moment)).unwrap(), moment);
    }
}
