//! The clock that the commands ask.

use std::sync::{Mutex, PoisonError};
use std::time::Instant;

use chrono::{DateTime, TimeDelta, Timelike, Utc};

use crate::units::Span;

use super::{Moment, Zone};

/// A clock that differs by more than this from the time that has passed is said to have jumped
/// (our judgement: less is the ordinary setting of a clock by the network).
const TOLERANCE: TimeDelta = TimeDelta::minutes(2);

/// The computer's clock, or one that was set for a rehearsal.
#[derive(Debug)]
pub struct Clock {
    zone: Zone,
    source: Source,
    watch: Mutex<Watch>,
}

#[derive(Debug)]
enum Source {
    Computer,
    Set,
    Standing,
}

/// What the clock showed, and when.
#[derive(Debug)]
struct Watch {
    shown: DateTime<Utc>,
    at: Instant,
    jump: Option<(DateTime<Utc>, DateTime<Utc>)>,
}

/// The computer's clock disagreed with the time that had passed: it was set, or the computer slept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClockJump {
    /// What it should have shown.
    pub from: Moment,
    /// What it showed.
    pub to: Moment,
}

impl Clock {
    /// The computer's clock, shown as in that zone.
    #[must_use]
    pub fn computer(zone: Zone) -> Self {
        Self::new(zone, Source::Computer, Utc::now())
    }

    /// A clock that shows `start` now and runs on, for rehearsals and tests. What it touches is
    /// marked as a rehearsal.
    #[must_use]
    pub fn set(start: Moment, zone: Zone) -> Self {
        Self::new(zone, Source::Set, start.to_utc())
    }

    /// A set clock that stands still until it is moved forward, so that a rehearsal comes out the
    /// same each time.
    #[must_use]
    pub fn standing(start: Moment, zone: Zone) -> Self {
        Self::new(zone, Source::Standing, start.to_utc())
    }

    fn new(zone: Zone, source: Source, shown: DateTime<Utc>) -> Self {
        let watch = Watch {
            shown,
            at: Instant::now(),
            jump: None,
        };
        Self {
            zone,
            source,
            watch: Mutex::new(watch),
        }
    }

    /// The moment now, to the millisecond, with the offset that holds in the clock's zone.
    pub fn now(&self) -> Moment {
        let mut watch = self.watch.lock().unwrap_or_else(PoisonError::into_inner);
        let at = Instant::now();
        let passed = TimeDelta::from_std(at - watch.at).unwrap_or(TimeDelta::MAX);
        let expected = watch
            .shown
            .checked_add_signed(passed)
            .unwrap_or(watch.shown);
        watch.at = at;
        watch.shown = match self.source {
            Source::Set => expected,
            Source::Standing => watch.shown,
            Source::Computer => Utc::now(),
        };
        if !matches!(self.source, Source::Standing) {
            watch.judge(expected);
        }
        self.zone.at(to_milliseconds(watch.shown))
    }

    /// A jump of the clock that [`Clock::now`] noticed and nobody has asked for yet. To be asked
    /// after each [`Clock::now`] and written to the journal.
    pub fn take_jump(&self) -> Option<ClockJump> {
        let mut watch = self.watch.lock().unwrap_or_else(PoisonError::into_inner);
        watch.jump.take().map(|(from, to)| ClockJump {
            from: self.zone.at(to_milliseconds(from)),
            to: self.zone.at(to_milliseconds(to)),
        })
    }

    /// Moves a set clock forward. Does nothing to the computer's own and says so with `false`.
    pub fn advance(&self, by: Span) -> bool {
        let mut watch = self.watch.lock().unwrap_or_else(PoisonError::into_inner);
        match (&self.source, watch.shown.checked_add_signed(by.to_delta())) {
            (Source::Set | Source::Standing, Some(shown)) => {
                watch.shown = shown;
                true
            }
            _ => false,
        }
    }

    /// Whether the clock was set, so that all it touches is a rehearsal.
    #[must_use]
    pub const fn is_rehearsal(&self) -> bool {
        matches!(self.source, Source::Set | Source::Standing)
    }

    /// The zone in which it shows the time.
    #[must_use]
    pub const fn zone(&self) -> Zone {
        self.zone
    }
}

impl Watch {
    /// Notes a jump when what is shown is not what was expected. Two jumps that nobody asked for
    /// become one, from what was first expected to what is shown now.
    fn judge(&mut self, expected: DateTime<Utc>) {
        if (self.shown - expected).abs() > TOLERANCE {
            let from = self.jump.map_or(expected, |(from, _)| from);
            self.jump = Some((from, self.shown));
        }
    }
}

fn to_milliseconds(moment: DateTime<Utc>) -> DateTime<Utc> {
    let nanos = moment.nanosecond();
    moment
        .with_nanosecond(nanos - nanos % 1_000_000)
        .unwrap_or(moment)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moment(text: &str) -> Moment {
        Moment::parse_from_rfc3339(text).unwrap()
    }

    fn london() -> Zone {
        Zone::named("Europe/London").unwrap()
    }

    #[test]
    fn a_set_clock_starts_where_it_is_set_and_runs_on() {
        let start = moment("2026-03-29T00:59:00+00:00");
        let clock = Clock::set(start, london());
        assert!(clock.is_rehearsal());
        let first = clock.now();
        assert!(first >= start && first - start < TimeDelta::seconds(30));
        std::thread::sleep(std::time::Duration::from_millis(5));
        assert!(clock.now() > first);
        assert!(clock.advance(Span::minutes(2)));
        let later = clock.now();
        assert!(later - first >= TimeDelta::minutes(2));
        assert_eq!(
            later.offset().local_minus_utc(),
            3_600,
            "summer time began at 01:00"
        );
        assert_eq!(clock.take_jump(), None, "moving it by hand is no jump");
    }

    #[test]
    fn the_computers_clock_shows_milliseconds_and_cannot_be_moved() {
        let clock = Clock::computer(london());
        assert!(!clock.is_rehearsal());
        assert!(!clock.advance(Span::minutes(5)));
        let before = Utc::now();
        let now = clock.now();
        assert!((now.to_utc() - before).abs() < TimeDelta::seconds(30));
        assert_eq!(now.nanosecond() % 1_000_000, 0);
        assert_eq!(clock.take_jump(), None);
    }

    #[test]
    fn a_jump_of_more_than_two_minutes_is_noticed_once() {
        let clock = Clock::computer(london());
        for (shift, noticed) in [(119, false), (-119, false), (121, true), (-3_600, true)] {
            let shown = {
                let mut watch = clock.watch.lock().unwrap();
                // As if the clock had shown something else before: then it jumps back to now.
                watch.shown = Utc::now() + TimeDelta::seconds(shift);
                watch.at = Instant::now();
                watch.shown
            };
            let now = clock.now();
            let jump = clock.take_jump();
            assert_eq!(jump.is_some(), noticed, "{shift} s");
            if let Some(jump) = jump {
                assert_eq!(jump.to, now);
                assert!((jump.from.to_utc() - shown).abs() < TimeDelta::seconds(30));
            }
            assert_eq!(clock.take_jump(), None);
        }
    }
}
