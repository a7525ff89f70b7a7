//! A time that belongs beside another one, as on a sheet that was written down its length.

use chrono::{Days, NaiveDateTime, TimeDelta};

use super::typed::{Parsed, parse, place};
use super::{BadMoment, Moment, Typed, Zone, read_typed};

/// Reads a time in the past that stands on the same sheet as `near`: a time alone is the one
/// nearest to `near`, so that 00:10 after 23:50 is on the next day and 23:40 on the same. With a
/// day, a date or in any other form it is read as by [`read_typed`].
///
/// # Errors
/// [`BadMoment`], each case with what to type instead.
pub fn read_near(text: &str, zone: Zone, near: Moment, now: Moment) -> Result<Typed, BadMoment> {
    let Parsed::Time(time) = parse(text, now)? else {
        return read_typed(text, zone, now);
    };
    let beside = zone.at(near.to_utc()).naive_local();
    let day = beside.date();
    let days = [
        day.checked_sub_days(Days::new(1)),
        Some(day),
        day.checked_add_days(Days::new(1)),
    ];
    let candidates = days.into_iter().flatten().map(|day| day.and_time(time));
    let apart = |local: &NaiveDateTime| -> TimeDelta { (*local - beside).abs() };
    match candidates.min_by_key(apart) {
        Some(local) => place(local, zone, now),
        None => read_typed(text, zone, now),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Moment {
        Moment::parse_from_rfc3339(text).unwrap()
    }

    fn london() -> Zone {
        Zone::named("Europe/London").unwrap()
    }

    fn read(text: &str, near: &str) -> Result<Typed, BadMoment> {
        read_near(text, london(), at(near), at("2026-03-02T16:00:00Z"))
    }

    fn one(text: &str, near: &str) -> String {
        match read(text, near).unwrap() {
            Typed::One { moment, .. } => moment.to_rfc3339(),
            two @ Typed::Two { .. } => panic!("{two:?}"),
        }
    }

    #[test]
    fn a_time_alone_is_the_one_beside_the_last() {
        for (text, near, wanted) in [
            ("00:10", "2026-03-01T23:50:00Z", "2026-03-02T00:10:00+00:00"),
            ("23:40", "2026-03-01T23:50:00Z", "2026-03-01T23:40:00+00:00"),
            ("23:55", "2026-03-02T00:05:00Z", "2026-03-01T23:55:00+00:00"),
            ("02:00", "2026-02-27T01:00:00Z", "2026-02-27T02:00:00+00:00"),
            (
                "yesterday 02:00",
                "2026-02-27T01:00:00Z",
                "2026-03-01T02:00:00+00:00",
            ),
            (
                "2026-02-28 02:00",
                "2026-02-27T01:00:00Z",
                "2026-02-28T02:00:00+00:00",
            ),
        ] {
            assert_eq!(one(text, near), wanted, "{text} beside {near}");
        }
    }

    #[test]
    fn what_is_still_to_come_is_refused_and_not_put_on_another_day() {
        assert!(matches!(
            read("16:30", "2026-03-02T15:50:00Z"),
            Err(BadMoment::StillToCome { .. })
        ));
    }

    /// The night the clocks went back in 2025 in London: 01:30 came twice.
    #[test]
    fn an_hour_that_came_twice_is_asked() {
        let read = read("01:30", "2025-10-26T00:10:00+01:00").unwrap();
        assert!(matches!(read, Typed::Two { .. }));
    }
}
