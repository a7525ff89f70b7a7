//! Time zones, right at both summer-time changes.

use std::fmt;

use chrono::{DateTime, FixedOffset, Local, NaiveDateTime, Offset, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

use super::Moment;

/// Where the clock on the wall hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Zone {
    /// A zone by its name in the IANA time zone database, such as Europe/London.
    Named(Tz),
    /// Always so far from UTC: for what must come out the same on every computer when no zone is
    /// known by name.
    Fixed(FixedOffset),
    /// Whatever this computer is set to.
    System,
}

/// A name that is not in the time zone database.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{name}\" is not a time zone: write a name like Europe/London{}", near.as_ref().map_or(String::new(), |near| format!("; perhaps {near} is meant")))]
pub struct UnknownZone {
    /// The name as it was given.
    pub name: String,
    /// A name that differs only in capitals, or ends in the same place.
    pub near: Option<&'static str>,
}

/// What a date and time on the clock can mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnTheClock {
    /// One moment.
    Once(Moment),
    /// Two moments: the clocks went back, and the hour came twice.
    Twice(Moment, Moment),
    /// None: the clocks went forward over it, from the first time to the second.
    Never(NaiveDateTime, NaiveDateTime),
}

/// No zone has changed its offset by more than a day and a little; what is true this far away on
/// either side is true on either side of any change that matters.
const REACH_HOURS: i64 = 26;

impl Zone {
    /// The zone of that name.
    ///
    /// # Errors
    /// [`UnknownZone`] with a near name, if there is one.
    pub fn named(name: &str) -> Result<Self, UnknownZone> {
        name.trim().parse().map(Self::Named).map_err(|_| {
            let wanted = name.trim().to_lowercase().replace(' ', "_");
            let near = chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name());
            UnknownZone {
                name: name.to_owned(),
                near: near.into_iter().find(|near| {
                    let near = near.to_lowercase();
                    near == wanted || near.rsplit('/').next() == Some(wanted.as_str())
                }),
            }
        })
    }

    /// The moment as the clocks show it here.
    #[must_use]
    pub fn at(self, moment: DateTime<Utc>) -> Moment {
        moment.with_timezone(&self.offset(moment.naive_utc()))
    }

    /// The offset from UTC at a moment given in UTC. Asked in this direction there is always one
    /// answer; asked by the local time, the system's zone gives the two readings of the hour that
    /// comes twice in the wrong order (chrono 0.4, issue 1625), so it is never asked that way.
    fn offset(self, utc: NaiveDateTime) -> FixedOffset {
        match self {
            Self::Named(zone) => zone.offset_from_utc_datetime(&utc).fix(),
            Self::Fixed(offset) => offset,
            Self::System => Local.offset_from_utc_datetime(&utc).fix(),
        }
    }

    /// What that date and time on the clock can mean here.
    #[must_use]
    pub fn on_the_clock(self, local: NaiveDateTime) -> OnTheClock {
        let mut found: Vec<Moment> = Vec::new();
        for hour in -REACH_HOURS..=REACH_HOURS {
            let near = local + TimeDelta::hours(hour);
            let offset = self.offset(near);
            let utc = local - offset;
            if self.offset(utc) == offset {
                let moment = DateTime::from_naive_utc_and_offset(utc, offset);
                if !found.contains(&moment) {
                    found.push(moment);
                }
            }
        }
        found.sort();
        match (found.first(), found.last()) {
            (Some(first), Some(last)) if first == last => OnTheClock::Once(*first),
            (Some(first), Some(last)) => OnTheClock::Twice(*first, *last),
            _ => self.gap(local),
        }
    }

    /// The stretch that the clocks went over: found by halving, to the second.
    fn gap(self, local: NaiveDateTime) -> OnTheClock {
        let reach = TimeDelta::hours(REACH_HOURS);
        let (mut before, mut after) = (local - reach, local + reach);
        let old = self.offset(before);
        while after - before > TimeDelta::seconds(1) {
            let middle = before + (after - before) / 2;
            if self.offset(middle) == old {
                before = middle;
            } else {
                after = middle;
            }
        }
        let change =
            after - TimeDelta::nanoseconds(after.and_utc().timestamp_subsec_nanos().into());
        OnTheClock::Never(change + old, change + self.offset(after))
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Named(zone) => f.pad(zone.name()),
            Self::Fixed(offset) => f.pad(&format!("UTC{offset}")),
            Self::System => f.pad("the zone of this computer"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn local(text: &str) -> NaiveDateTime {
        text.parse().unwrap()
    }

    /// What a row of the table says.
    fn expected(means: &str) -> OnTheClock {
        let words: Vec<&str> = means.split(' ').collect();
        let moment = |text: &str| DateTime::parse_from_rfc3339(text).unwrap();
        match words.as_slice() {
            ["once", one] => OnTheClock::Once(moment(one)),
            ["twice", first, second] => OnTheClock::Twice(moment(first), moment(second)),
            ["never", from, to] => OnTheClock::Never(local(from), local(to)),
            other => panic!("{other:?}"),
        }
    }

    /// The same moments, with the same offsets.
    fn text(meaning: OnTheClock) -> String {
        format!("{meaning:?}")
    }

    #[test]
    fn every_row_of_the_reference_table_holds() {
        // Python's zoneinfo with the IANA time zone database; see tests/reference/zones.py.
        let table = include_str!("../../tests/reference/zones.tsv");
        let (mut twice, mut never) = (0, 0);
        for row in table.lines() {
            let columns: Vec<&str> = row.split('\t').collect();
            let zone = Zone::named(columns[0]).unwrap();
            let found = zone.on_the_clock(local(columns[1]));
            assert_eq!(text(found), text(expected(columns[2])), "{row}");
            twice += usize::from(matches!(found, OnTheClock::Twice(..)));
            never += usize::from(matches!(found, OnTheClock::Never(..)));
        }
        assert!(twice > 100 && never > 100, "{twice} {never}");
    }

    #[test]
    fn a_night_shift_over_a_change_is_an_hour_longer_or_shorter() {
        // zoneinfo: 5 h from 23:00 to 03:00 over the autumn change, 3 h over the spring change.
        let zone = Zone::named("Europe/London").unwrap();
        for (from, to, hours) in [
            ("2026-10-24T23:00:00", "2026-10-25T03:00:00", 5),
            ("2026-03-28T23:00:00", "2026-03-29T03:00:00", 3),
            ("2026-06-01T23:00:00", "2026-06-02T03:00:00", 4),
        ] {
            let (OnTheClock::Once(from), OnTheClock::Once(to)) =
                (zone.on_the_clock(local(from)), zone.on_the_clock(local(to)))
            else {
                panic!("{from} or {to} is not once");
            };
            assert_eq!(to - from, TimeDelta::hours(hours));
        }
    }

    #[test]
    fn an_unknown_zone_is_refused_with_a_near_name() {
        let near = |name: &str| Zone::named(name).unwrap_err().near;
        assert_eq!(near("london"), Some("Europe/London"));
        assert_eq!(near("europe/london"), Some("Europe/London"));
        assert_eq!(near("New York"), Some("America/New_York"));
        assert_eq!(near("Nowhere"), None);
        assert_eq!(
            Zone::named("London").unwrap_err().to_string(),
            "\"London\" is not a time zone: write a name like Europe/London; perhaps Europe/London is meant"
        );
    }

    #[test]
    fn the_zone_of_the_computer_agrees_with_itself() {
        let named = std::env::var("TZ")
            .ok()
            .and_then(|tz| Zone::named(&tz).ok());
        for day in 0..800 {
            let utc = local("2026-01-01T00:30:00").and_utc() + TimeDelta::hours(day * 12 + day % 3);
            let moment = Zone::System.at(utc);
            assert!(named.is_none_or(
                |zone| zone.at(utc) == moment && zone.at(utc).offset() == moment.offset()
            ));
            let meaning = Zone::System.on_the_clock(moment.naive_local());
            let back = match meaning {
                OnTheClock::Once(one) => one == moment,
                OnTheClock::Twice(first, second) => first == moment || second == moment,
                OnTheClock::Never(..) => false,
            };
            assert!(back, "{moment}: {meaning:?}");
            assert!(named.is_none_or(|zone| {
                text(zone.on_the_clock(moment.naive_local())) == text(meaning)
            }));
        }
    }

    /// The zone of a process is settled when it starts, so the test above runs again in others.
    #[cfg(unix)]
    #[test]
    fn the_zone_of_the_computer_agrees_with_the_named_one() {
        for zone in ["Europe/London", "America/New_York", "Australia/Lord_Howe"] {
            let test = "moment::zone::tests::the_zone_of_the_computer_agrees_with_itself";
            let output = std::process::Command::new(std::env::current_exe().unwrap())
                .args(["--exact", test])
                .env("TZ", zone)
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&output.stdout);
            assert!(output.status.success(), "{zone}: {said}");
            assert!(said.contains("1 passed"), "{zone}: {said}");
        }
    }
}
