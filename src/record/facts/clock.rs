//! Moments and spans in words. Nothing here reads a clock.

use chrono::{Datelike, Offset, Timelike};

use super::shape::Stamp;
use crate::moment::Moment;
use crate::units::Span;

/// The day in words, such as "Sunday 25 October 2026".
pub(super) fn day(moment: Moment) -> String {
    moment.format("%A %-d %B %Y").to_string()
}

/// The clock's offset, such as "UTC+01:00".
pub(super) fn offset(moment: Moment) -> String {
    format!("UTC{}", moment.offset().fix())
}

/// Hours, minutes and seconds.
pub(super) fn time(moment: Moment) -> String {
    moment.format("%H:%M:%S").to_string()
}

/// The moment, written out in full.
pub(super) fn stamp(moment: Moment) -> Stamp {
    Stamp {
        day: day(moment),
        time: time(moment),
        offset: offset(moment),
        exact: moment.to_rfc3339_opts(chrono::SecondsFormat::Millis, false),
    }
}

/// Writes moments shortly, beside a day and an offset that the reader has already been given.
#[derive(Debug, Clone, Copy)]
pub(super) struct Clock {
    given: Option<Moment>,
}

impl Clock {
    /// A clock beside the day and the offset of `given`; without it everything is written.
    pub(super) const fn beside(given: Option<Moment>) -> Self {
        Self { given }
    }

    /// The time; with the day and the offset where they are not those already given.
    pub(super) fn short(self, moment: Moment) -> String {
        let mut text = time(moment);
        if self.given.is_none_or(|given| !same_day(given, moment)) {
            text = format!("{} {text}", moment.format("%-d %b %Y"));
        }
        if self
            .given
            .is_none_or(|given| given.offset() != moment.offset())
        {
            text = format!("{text} {}", offset(moment));
        }
        text
    }
}

/// Whether both moments carry the same calendar day, each by its own offset.
pub(super) fn same_day(one: Moment, other: Moment) -> bool {
    (one.year(), one.ordinal()) == (other.year(), other.ordinal())
}

/// Whether two moments are the same at the precision shown.
pub(super) fn same_second(one: Moment, other: Moment) -> bool {
    one.timestamp() == other.timestamp() && one.second() == other.second()
}

/// The time from one moment to another in words; `None` when the second is the earlier one.
pub(super) fn length(from: Moment, to: Moment) -> Option<String> {
    let seconds = to.timestamp() - from.timestamp();
    u32::try_from(seconds)
        .ok()
        .map(|seconds| Span(seconds).to_string())
}

/// The time between in words, or why it cannot be said.
pub(super) fn length_words(from: Moment, to: Moment) -> String {
    length(from, to)
        .unwrap_or_else(|| "cannot be said: the second time is before the first".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Moment {
        Moment::parse_from_rfc3339(text).expect("a moment")
    }

    #[test]
    fn the_day_and_the_offset_are_written_when_they_change() {
        let clock = Clock::beside(Some(at("2026-10-24T23:58:00+01:00")));
        for (moment, words) in [
            ("2026-10-24T23:59:59+01:00", "23:59:59"),
            ("2026-10-25T00:00:00+01:00", "25 Oct 2026 00:00:00"),
            (
                "2026-10-25T01:30:00+00:00",
                "25 Oct 2026 01:30:00 UTC+00:00",
            ),
            ("2026-10-24T20:00:00-05:00", "20:00:00 UTC-05:00"),
        ] {
            assert_eq!(clock.short(at(moment)), words);
        }
        assert_eq!(
            Clock::beside(None).short(at("2026-10-24T23:59:59+01:00")),
            "24 Oct 2026 23:59:59 UTC+01:00"
        );
    }

    #[test]
    fn the_hour_that_comes_twice_is_measured_by_instants() {
        let before = at("2026-10-25T01:50:00+01:00");
        let after = at("2026-10-25T01:10:00+00:00");
        assert_eq!(length(before, after), Some("20 min".to_owned()));
        assert_eq!(length(after, before), None);
        assert!(length_words(after, before).starts_with("cannot be said"));
    }
}
