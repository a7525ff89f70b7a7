//! A drain that suddenly stops may be blocked, by a clot above all.

use super::reading::Swing;
use super::series::{EntryId, Series};
use crate::moment::Moment;
use crate::units::{Number, Span};

/// A reading at which a drain that had drained shows neither output nor swing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SuddenStop {
    /// The reading.
    pub reading: EntryId,
    /// Its moment.
    pub at: Moment,
    /// What had come in the time looked back over, mL.
    pub before: Number,
}

/// The readings at which nothing came since the last level, the seal does not swing, and something
/// had come within `look_back` before. The first of a row of such readings is named.
///
/// Sources: the look-back is the caller's; the rule is common practice, and from memory Royal
/// Children's Hospital Melbourne, nursing guideline Chest drain management.
#[must_use]
pub fn sudden_stops(series: &Series, look_back: Span) -> Vec<SuddenStop> {
    let mut stops = Vec::new();
    let mut before = series.start().at;
    let mut stopped = false;
    for (entry, reading) in series.readings().filter(|(_, r)| r.level.is_some()) {
        if reading.swing != Some(Swing::None) {
            (stopped, before) = (false, entry.at);
            continue;
        }
        let since = series.output(before, entry.at);
        let earlier = series.last(look_back, entry.at).volume.nominal;
        let nothing = since.volume.nominal == Number::whole(0) && !since.is_partial();
        let still = nothing && entry.at > before;
        if still && !stopped && earlier > Number::whole(0) {
            stops.push(SuddenStop {
                reading: entry.id,
                at: entry.at,
                before: earlier,
            });
        }
        stopped = still;
        before = entry.at;
    }
    stops
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::chart::reading::Reading;
    use crate::chart::series::tests::{at, entry, start};
    use crate::chart::{Entry, What};

    fn look(id: u64, minutes: i64, ml: i32, swing: Swing) -> Entry {
        let reading = Reading {
            level: Some(Number::whole(ml)),
            swing: Some(swing),
            ..Reading::default()
        };
        entry(id, minutes, What::Reading(Arc::new(reading)))
    }

    #[test]
    fn no_output_and_no_swing_after_output_is_a_sudden_stop() {
        let stops = |looks: Vec<Entry>| {
            let series = Series::new(start(), looks);
            let found = sudden_stops(&series, Span::minutes(120)).into_iter();
            found.map(|stop| stop.at).collect::<Vec<_>>()
        };
        let drained = look(1, 60, 150, Swing::Small);
        let stopped = look(2, 120, 150, Swing::None);
        assert_eq!(stops(vec![drained.clone(), stopped.clone()]), [at(120)]);
        // Named once.
        let again = look(3, 150, 150, Swing::None);
        assert_eq!(stops(vec![drained.clone(), stopped, again]), [at(120)]);
        // It swings, or it still drains, or it drained long ago.
        assert!(stops(vec![drained.clone(), look(2, 120, 150, Swing::Small)]).is_empty());
        assert!(stops(vec![drained.clone(), look(2, 120, 151, Swing::None)]).is_empty());
        let long_ago = vec![
            drained,
            look(2, 120, 150, Swing::Small),
            look(3, 180, 150, Swing::Small),
            look(4, 240, 150, Swing::None),
        ];
        assert!(stops(long_ago).is_empty());
    }
}
