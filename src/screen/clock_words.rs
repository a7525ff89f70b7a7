//! Moments and stretches of time in words, as a screen shows them.

use crate::moment::Moment;
use crate::units::Span;

/// Stretches shorter than so many seconds are told with seconds.
const SHORT: i64 = 120;

/// A moment as seen from `now`: "04:10" on the same day, else with its date. The offset from UTC
/// is added when it is another one, so that the hour that comes twice in autumn is told apart.
pub(super) fn at(moment: Moment, now: Moment) -> String {
    let pattern = match (
        moment.date_naive() == now.date_naive(),
        moment.offset() == now.offset(),
    ) {
        (true, true) => "%H:%M",
        (true, false) => "%H:%M %:z",
        (false, true) => "%d %b %H:%M",
        (false, false) => "%d %b %H:%M %:z",
    };
    moment.format(pattern).to_string()
}

/// A moment of a stretch as seen from `now`, with its seconds where the stretch is so short that
/// minutes would tell nothing.
pub(super) fn at_in(moment: Moment, stretch: (Moment, Moment), now: Moment) -> String {
    let seconds = (stretch.1 - stretch.0).num_seconds();
    let words = at(moment, now);
    if (0..SHORT).contains(&seconds) {
        let minutes = moment.format("%H:%M").to_string();
        words.replacen(&minutes, &moment.format("%H:%M:%S").to_string(), 1)
    } else {
        words
    }
}

/// How long ago, or how long still: whole minutes once there are two, else seconds.
pub(super) fn long(from: Moment, to: Moment) -> String {
    let seconds = (to - from).num_seconds().clamp(0, i64::from(u32::MAX));
    let seconds = u32::try_from(seconds).unwrap_or(u32::MAX);
    let rounded = if seconds >= 120 {
        seconds - seconds % 60
    } else {
        seconds
    };
    Span(rounded).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moment(text: &str) -> Moment {
        Moment::parse_from_rfc3339(text).expect("reads")
    }

    #[test]
    fn the_hour_that_comes_twice_is_told_apart() {
        let summer = moment("2026-10-25T01:30:00+01:00");
        let winter = moment("2026-10-25T01:30:00+00:00");
        assert_eq!(at(summer, summer), "01:30");
        assert_eq!(at(summer, winter), "01:30 +01:00");
        assert_eq!(long(summer, winter), "1 h");
    }

    #[test]
    fn a_short_stretch_has_its_seconds() {
        let begin = moment("2026-03-01T04:00:10+00:00");
        let (soon, later) = (
            moment("2026-03-01T04:00:15+00:00"),
            moment("2026-03-01T04:05:10+00:00"),
        );
        assert_eq!(at_in(soon, (begin, soon), begin), "04:00:15");
        assert_eq!(at_in(later, (begin, later), begin), "04:05");
        let next_day = moment("2026-03-02T04:00:10+00:00");
        assert_eq!(at_in(soon, (begin, soon), next_day), "01 Mar 04:00:15");
    }

    #[test]
    fn another_day_has_its_date() {
        let before = moment("2026-03-01T23:50:00+00:00");
        let after = moment("2026-03-02T00:10:30+00:00");
        assert_eq!(at(before, after), "01 Mar 23:50");
        assert_eq!(long(before, after), "20 min");
        assert_eq!(long(after, before), "0 s");
    }
}
