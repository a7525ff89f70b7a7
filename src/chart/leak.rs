//! How long an air leak has lasted.

use super::reading::{Bubbling, Chamber, Reading};
use super::series::Series;
use crate::moment::Moment;
use crate::units::Span;
use chrono::TimeDelta;

/// What the readings say about an air leak.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Leak {
    /// The last reading with bubbling in the seal. `None` when there was none.
    pub last_seen: Option<Moment>,
    /// The first reading without bubbling after it. `None` while the leak goes on, or when
    /// nobody has looked since.
    pub gone_by: Option<Moment>,
}

/// True for bubbling in the seal: an air leak. Bubbling in a suction chamber is none. Bubbling
/// without a chamber named counts as a leak, the safe way.
#[must_use]
pub fn is_leak(reading: &Reading) -> Option<bool> {
    let bubbling = reading.bubbling?;
    Some(bubbling != Bubbling::None && reading.chamber != Some(Chamber::Suction))
}

impl Leak {
    /// From the readings of a series.
    #[must_use]
    pub fn of(series: &Series) -> Self {
        let mut leak = Self {
            last_seen: None,
            gone_by: None,
        };
        for (entry, reading) in series.readings() {
            match is_leak(reading) {
                Some(true) => {
                    leak.last_seen = Some(entry.at);
                    leak.gone_by = None;
                }
                Some(false) if leak.last_seen.is_some() => {
                    leak.gone_by = leak.gone_by.or(Some(entry.at));
                }
                _ => {}
            }
        }
        leak
    }

    /// From the operation, or the start of the drain, to the last bubbling seen.
    #[must_use]
    pub fn lasted(&self, since: Moment) -> Option<TimeDelta> {
        // Parts of a second do not count in a chart.
        self.last_seen
            .map(|seen| TimeDelta::seconds(seen.timestamp() - since.timestamp()))
    }

    /// True when it lasted longer than `limit`; exactly as long is not longer.
    #[must_use]
    pub fn is_prolonged(&self, since: Moment, limit: Span) -> bool {
        self.lasted(since)
            .is_some_and(|lasted| lasted > limit.to_delta())
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::chart::What;
    use crate::chart::series::tests::{at, entry, start};

    fn bubbling(
        id: u64,
        minutes: i64,
        bubbling: Bubbling,
        chamber: Option<Chamber>,
    ) -> crate::chart::Entry {
        let reading = Reading {
            bubbling: Some(bubbling),
            chamber,
            ..Reading::default()
        };
        entry(id, minutes, What::Reading(Arc::new(reading)))
    }

    // Society of Thoracic Surgeons database, quoted in J Cardiothorac Surg 2019;14:13: more than
    // five days after the operation.
    #[test]
    fn five_days_exactly_are_not_prolonged() {
        let five = Span::parse("5 d").unwrap();
        let lasting = |minutes| {
            let entries = [bubbling(1, minutes, Bubbling::OnCough, Some(Chamber::Seal))];
            Leak::of(&Series::new(start(), entries)).is_prolonged(at(0), five)
        };
        assert!(!lasting(5 * 1440));
        assert!(lasting(5 * 1440 + 1));
    }

    #[test]
    fn a_leak_ends_with_the_first_look_without_it() {
        let entries = [
            bubbling(1, 60, Bubbling::AllTheTime, Some(Chamber::Seal)),
            bubbling(2, 120, Bubbling::None, Some(Chamber::Seal)),
            // A wet suction chamber bubbles because suction works.
            bubbling(3, 180, Bubbling::AllTheTime, Some(Chamber::Suction)),
            entry(4, 240, What::Reading(Arc::default())),
        ];
        let leak = Leak::of(&Series::new(start(), entries.clone()));
        assert_eq!(
            (leak.last_seen, leak.gone_by),
            (Some(at(60)), Some(at(120)))
        );
        let mut unnamed = entries;
        unnamed[2] = bubbling(3, 180, Bubbling::AllTheTime, None);
        let leak = Leak::of(&Series::new(start(), unnamed));
        assert_eq!((leak.last_seen, leak.gone_by), (Some(at(180)), None));
        let never = Leak::of(&Series::new(start(), []));
        assert!(never.lasted(at(0)).is_none());
    }
}
