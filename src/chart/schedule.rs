//! When the drain is to be looked at next, as absolute moments.
//!
//! Due moments are worked out by adding lengths of time to moments with their offset from UTC, so
//! midnight and the changes to and from summer time need no rule of their own.

use super::limit::Population;
use super::series::{ChartEvent, Series, What};
use crate::moment::Moment;
use crate::units::Span;
use chrono::{TimeDelta, Timelike};
use std::collections::BTreeSet;

/// One phase: looks at even distances.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Phase {
    /// From one look to the next. A zero counts as one minute.
    pub every: Span,
    /// How long the phase lasts; `None` for the last one.
    pub lasting: Option<Span>,
}

/// A plan of looks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// Phases, one after another from the connection of the drain. After the last the distance
    /// of the last goes on.
    pub phases: Vec<Phase>,
    /// Looks after an event, from its moment.
    pub after_event: Vec<Span>,
    /// From one look to the next while a clamp is on.
    pub while_clamped: Span,
    /// A look this much too early still counts.
    pub early: Span,
}

/// The lengths of time that make a plan. They come from the list of limits, each with its source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LookTimes {
    /// From look to look, and for how long, in the three phases after the connection.
    pub phases: [(Span, Span); 3],
    /// From look to look after the phases, for an adult.
    pub stable_adult: Span,
    /// The same for a child.
    pub stable_child: Span,
    /// From an event to the looks after the one at its own moment.
    pub after_event: [Span; 3],
    /// From look to look while a clamp is on.
    pub while_clamped: Span,
    /// A look this much too early still counts.
    pub early: Span,
}

impl Plan {
    /// The plan for an adult or a child; the closer one when it is not known which.
    #[must_use]
    pub fn of(times: &LookTimes, population: Option<Population>) -> Self {
        let stable = match population {
            Some(Population::Adult) => times.stable_adult,
            Some(Population::Child) => times.stable_child,
            None => times.stable_adult.min(times.stable_child),
        };
        let mut phases: Vec<Phase> = times
            .phases
            .iter()
            .map(|(every, lasting)| Phase {
                every: *every,
                lasting: Some(*lasting),
            })
            .collect();
        phases.push(Phase {
            every: stable,
            lasting: None,
        });
        let mut after_event = vec![Span(0)];
        after_event.extend(times.after_event);
        Self {
            phases,
            after_event,
            while_clamped: times.while_clamped,
            early: times.early,
        }
    }

    /// The looks of the phases after `anchor`, up to and including `until`. At most 100,000.
    #[must_use]
    pub fn looks(&self, anchor: Moment, until: Moment) -> Vec<Moment> {
        let mut looks = Vec::new();
        let mut at = anchor;
        for (index, phase) in self.phases.iter().enumerate() {
            let last = index + 1 == self.phases.len();
            let end = phase.lasting.filter(|_| !last).map(|l| at + l.to_delta());
            let end = end.map_or(until, |end| end.min(until));
            self.fill(&mut looks, at, end, phase.every);
            match phase.lasting {
                Some(lasting) => at += lasting.to_delta(),
                None => break,
            }
        }
        looks
    }

    fn fill(&self, looks: &mut Vec<Moment>, from: Moment, end: Moment, every: Span) {
        let every = Span(if every.0 == 0 { 60 } else { every.0 }).to_delta();
        let mut at = from + every;
        while at <= end && looks.len() < 100_000 {
            looks.push(at);
            at += every;
        }
    }

    /// Every look that is due for a drain, up to and including `until`: those of the phases from
    /// its connection, those after each event and change of drainage unit, and those while a
    /// clamp is on. All of them hold; where two fall together they are one.
    #[must_use]
    pub fn due_for(&self, series: &Series, until: Moment) -> Vec<Moment> {
        let mut due: BTreeSet<Moment> = self
            .looks(whole(series.start().at), until)
            .into_iter()
            .collect();
        let mut clamped: Option<Moment> = None;
        for entry in series.entries() {
            let seen = whole(entry.at);
            let event = match entry.what {
                What::Event(event) => Some(event),
                What::NewUnit { .. } => None,
                _ => continue,
            };
            let after = self.after_event.iter().map(|span| seen + span.to_delta());
            due.extend(after.filter(|at| *at <= until));
            match event {
                Some(ChartEvent::ClampOn) => clamped = clamped.or(Some(seen)),
                Some(ChartEvent::ClampOff) => {
                    if let Some(on) = clamped.take() {
                        due.extend(self.clamped_looks(on, seen.min(until)));
                    }
                }
                _ => {}
            }
        }
        if let Some(on) = clamped {
            due.extend(self.clamped_looks(on, until));
        }
        due.into_iter().collect()
    }

    fn clamped_looks(&self, on: Moment, until: Moment) -> Vec<Moment> {
        let mut looks = Vec::new();
        self.fill(&mut looks, on, until, self.while_clamped);
        looks
    }

    /// How the drain stands at `now`: the next look, those missed since the last reading, and by
    /// how long the first of them is overdue. A reading settles every look up to its own moment,
    /// and those due within [`Plan::early`] after it.
    #[must_use]
    pub fn standing(&self, series: &Series, now: Moment) -> Standing {
        // The widest distance of any plan beyond now holds the next look.
        let widest = self.phases.iter().map(|p| p.every.0).max().unwrap_or(0);
        let horizon = now + Span(widest.saturating_add(self.early.0)).to_delta() * 2;
        let settled = series
            .readings()
            .rfind(|(entry, _)| entry.at.timestamp() <= now.timestamp())
            .map(|(entry, _)| entry.at + self.early.to_delta());
        let mut open = self.due_for(series, horizon);
        open.retain(|at| settled.is_none_or(|settled| *at > settled));
        let split = open.partition_point(|at| *at <= now);
        let coming = open.split_off(split);
        Standing {
            overdue: open.first().map(|first| now - *first),
            next: open.first().or(coming.first()).copied(),
            missed: open,
        }
    }

    /// The looks that were due and that no reading settled before the next look after them was
    /// due, up to `now`: gaps longer than the plan allows.
    #[must_use]
    pub fn missed(&self, series: &Series, now: Moment) -> Vec<Moment> {
        let due = self.due_for(series, now);
        let seen: Vec<Moment> = series
            .readings()
            .map(|(entry, _)| whole(entry.at))
            .collect();
        let mut missed = Vec::new();
        for (index, at) in due.iter().enumerate() {
            let from = *at - self.early.to_delta();
            let until = due.get(index + 1).copied().unwrap_or(now);
            // With looks closer together than the allowance, one reading settles both.
            let until = until.max(*at + self.early.to_delta());
            let next = seen.get(seen.partition_point(|s| *s < from));
            let looked = next.is_some_and(|s| *s <= until);
            if *at + self.early.to_delta() <= now && !looked {
                missed.push(*at);
            }
        }
        missed
    }
}

/// The moment in whole seconds, as a chart counts.
fn whole(at: Moment) -> Moment {
    at.with_nanosecond(0).unwrap_or(at)
}

/// What is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// The first look that is not settled: in the past when overdue.
    pub next: Option<Moment>,
    /// For how long the first open look has been due; zero at its very moment. `None` when nothing is due yet.
    pub overdue: Option<TimeDelta>,
    /// Every open look up to now, in order.
    pub missed: Vec<Moment>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::series::tests::{at, entry, level, new_unit, start};

    fn clock(looks: &[Moment]) -> Vec<String> {
        looks
            .iter()
            .map(|at| at.format("%H:%M").to_string())
            .collect()
    }

    // NSW Agency for Clinical Innovation, 2014, Pleural Drains in Adults, section 3 (30 min for 2 h,
    // hourly for 4 h, 4-hourly); Sydney Children's Hospitals Network, 2016, Chest drains (hourly for
    // a child); Royal Children's Hospital Melbourne (15 min for 1 h, from memory). After an event and
    // while clamped: common practice, no source.
    fn times() -> LookTimes {
        let minutes = Span::minutes;
        LookTimes {
            phases: [
                (minutes(15), minutes(60)),
                (minutes(30), minutes(120)),
                (minutes(60), minutes(240)),
            ],
            stable_adult: minutes(240),
            stable_child: minutes(60),
            after_event: [15, 30, 60].map(minutes),
            while_clamped: minutes(15),
            early: minutes(5),
        }
    }

    fn plan(population: Population) -> Plan {
        Plan::of(&times(), Some(population))
    }

    // Worked out from the plan above.
    #[test]
    fn a_drain_connected_at_ten() {
        let first = "10:15 10:30 10:45 11:00 11:30 12:00 12:30 13:00 14:00 15:00 16:00 17:00";
        let mut adult: Vec<_> = first.split(' ').collect();
        let mut child = adult.clone();
        adult.push("21:00");
        child.extend(["18:00", "19:00", "20:00", "21:00"]);
        let until = at(11 * 60);
        assert_eq!(clock(&plan(Population::Adult).looks(at(0), until)), adult);
        assert_eq!(clock(&plan(Population::Child).looks(at(0), until)), child);
        let unknown = Plan::of(&times(), None);
        assert_eq!(clock(&unknown.looks(at(0), until)), child);
    }

    #[test]
    fn an_event_brings_closer_looks_and_the_plan_goes_on() {
        let series = Series::new(
            start(),
            [
                entry(1, 8 * 60, level(10)),
                entry(2, 8 * 60, What::Event(ChartEvent::Disconnected)),
            ],
        );
        let due = plan(Population::Adult).due_for(&series, at(16 * 60));
        let after: Vec<_> = due.into_iter().filter(|d| *d > at(7 * 60)).collect();
        assert_eq!(
            clock(&after),
            ["18:00", "18:15", "18:30", "19:00", "21:00", "01:00"]
        );
    }

    #[test]
    fn a_clamp_is_watched_until_it_is_off() {
        let on = entry(1, 600, What::Event(ChartEvent::ClampOn));
        let off = entry(2, 640, What::Event(ChartEvent::ClampOff));
        let due = |entries: &[_]| {
            let series = Series::new(start(), entries.to_vec());
            let due = plan(Population::Adult).due_for(&series, at(720));
            clock(&due.into_iter().filter(|d| *d > at(665)).collect::<Vec<_>>())
        };
        assert_eq!(
            due(std::slice::from_ref(&on)),
            ["21:15", "21:30", "21:45", "22:00"]
        );
        // Off at 20:40: its own looks at 20:40, 20:55, 21:10 and 21:40.
        assert_eq!(due(&[on, off]), ["21:10", "21:40"]);
    }

    #[test]
    fn a_clamp_told_twice_is_watched_from_the_first() {
        let on = |id, minutes| entry(id, minutes, What::Event(ChartEvent::ClampOn));
        let series = Series::new(start(), [on(1, 600), on(2, 607)]);
        let due = plan(Population::Adult).due_for(&series, at(660));
        // Only the clamp of 20:00 makes a look due at 20:45.
        assert!(due.contains(&at(645)));
    }

    #[test]
    fn overdue_says_since_when() {
        let plan = plan(Population::Adult);
        let series = Series::new(start(), [entry(1, 12, level(10)), entry(2, 30, level(20))]);
        // The look of 10:15 was settled at 10:12, three minutes early.
        assert!(plan.missed(&series, at(31)).is_empty());
        let standing = plan.standing(&series, at(40));
        assert_eq!((standing.next, standing.overdue), (Some(at(45)), None));
        let standing = plan.standing(&series, at(70));
        assert_eq!(standing.next, Some(at(45)));
        assert_eq!(standing.overdue, Some(TimeDelta::minutes(25)));
        assert_eq!(standing.missed, [at(45), at(60)]);
        assert_eq!(plan.missed(&series, at(70)), [at(45), at(60)]);
        // Exactly on time is due and overdue by nothing.
        let standing = plan.standing(&series, at(45));
        assert_eq!(standing.overdue, Some(TimeDelta::zero()));
        // Ten minutes early is not the look that was due.
        let early = Series::new(start(), [entry(1, 5, level(10))]);
        assert_eq!(plan.standing(&early, at(16)).missed, [at(15)]);
        let none = Series::new(start(), []);
        assert_eq!(plan.standing(&none, at(0)).next, Some(at(15)));
    }

    #[test]
    fn a_change_of_drainage_unit_is_an_event() {
        let series = Series::new(start(), [entry(1, 600, new_unit(None))]);
        let due = plan(Population::Adult).due_for(&series, at(660));
        assert!([600, 615, 630, 660].iter().all(|m| due.contains(&at(*m))));
    }

    // Summer time in the United Kingdom ended on 26 October 2025 at 02:00 and began on 30 March
    // 2025 at 01:00 (IANA time zone database, Europe/London).
    #[test]
    fn looks_keep_their_distance_across_midnight_and_summer_time() {
        use chrono_tz::Europe::London;
        let local = |anchor: &str| {
            let anchor = chrono::DateTime::parse_from_rfc3339(anchor).unwrap();
            let looks = plan(Population::Child).looks(anchor, anchor + TimeDelta::hours(12));
            let shown = looks.iter().map(|at| at.with_timezone(&London));
            shown
                .filter(|at| at.minute() == 0)
                .map(|at| at.format("%H:%M").to_string())
                .collect::<Vec<_>>()
        };
        let autumn = local("2025-10-25T20:00:00+01:00");
        assert_eq!(
            autumn,
            [
                "21:00", "22:00", "23:00", "00:00", "01:00", "01:00", "02:00", "03:00", "04:00",
                "05:00", "06:00", "07:00"
            ]
        );
        let spring = local("2025-03-29T20:00:00+00:00");
        assert_eq!(
            spring,
            [
                "21:00", "22:00", "23:00", "00:00", "02:00", "03:00", "04:00", "05:00", "06:00",
                "07:00", "08:00", "09:00"
            ]
        );
    }
}
