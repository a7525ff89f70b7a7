//! What the seal tells between one reading and the next: bubbling that comes back or rises, swing
//! that goes, a drain that stops, a leak that lasts.

use super::leak::{Leak, is_leak};
use super::reading::{Bubbling, Swing};
use super::series::{EntryId, Series};
use super::stop::sudden_stops;
use crate::moment::Moment;
use crate::units::{Number, Span};
use std::fmt;

/// The lengths of time by which signs are judged. They come from the list of limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SignTimes {
    /// A leak that lasts longer is prolonged.
    pub prolonged: Option<Span>,
    /// How far back output counts when a drain stops.
    pub look_back: Option<Span>,
    /// After so long from the start, hard bubbling is no longer what is expected.
    pub settles: Option<Span>,
}

/// What was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// The seal bubbles after a reading without bubbling.
    BubblingBack(Bubbling),
    /// It bubbles more than at the reading before.
    BubblingMore {
        /// Before.
        from: Bubbling,
        /// Now.
        to: Bubbling,
    },
    /// It has bubbled all the time for longer than is expected after the start.
    BubblingHard(Span),
    /// The swing that was there is gone.
    SwingGone,
    /// Neither output nor swing, after output; so many mL had come.
    Stopped(Number),
    /// The leak has lasted longer than this.
    LeakProlonged(Span),
}

/// A sign, with the reading at which it was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Signed {
    /// The reading.
    pub reading: EntryId,
    /// Its moment.
    pub at: Moment,
    /// What it shows.
    pub sign: Sign,
}

impl Sign {
    /// The checklist that looks for the cause.
    #[must_use]
    pub const fn checklist(self) -> &'static str {
        match self {
            Self::BubblingBack(_) | Self::BubblingMore { .. } | Self::BubblingHard(_) => "bubbling",
            Self::LeakProlonged(_) => "find-leak",
            Self::SwingGone => "no-swing",
            Self::Stopped(_) => "blocked",
        }
    }
}

impl fmt::Display for Sign {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BubblingBack(now) => write!(f, "Bubbling is back: {now}"),
            Self::BubblingMore { from, to } => write!(f, "More bubbling: {to}, before {from}"),
            Self::BubblingHard(span) => write!(
                f,
                "Bubbling all the time, more than {span} after the drain was connected"
            ),
            Self::SwingGone => f.write_str("The swing is gone"),
            Self::Stopped(before) => write!(
                f,
                "No output and no swing, after {before} mL before: it may be blocked"
            ),
            Self::LeakProlonged(span) => {
                write!(f, "The air leak has lasted more than {} d", span.0 / 86_400)
            }
        }
    }
}

/// Every sign, in order of time; one that goes on is named once.
#[must_use]
pub fn signs(series: &Series, times: SignTimes) -> Vec<Signed> {
    let mut found = Vec::new();
    let mut bubbling: Option<Bubbling> = None;
    let mut swing: Option<Swing> = None;
    let (mut hard, mut long) = (false, false);
    let start = series.start().at;
    for (entry, reading) in series.readings() {
        let mut add = |sign| {
            found.push(Signed {
                reading: entry.id,
                at: entry.at,
                sign,
            });
        };
        if let (Some(leak), Some(now)) = (is_leak(reading), reading.bubbling) {
            let now = if leak { now } else { Bubbling::None };
            match bubbling {
                Some(Bubbling::None) if leak => add(Sign::BubblingBack(now)),
                Some(from) if now > from => add(Sign::BubblingMore { from, to: now }),
                _ => {}
            }
            bubbling = Some(now);
            let since = entry.at - start;
            let late = |span: &Span| since > span.to_delta();
            let is_hard = now == Bubbling::AllTheTime;
            if let Some(span) = times.settles.filter(late).filter(|_| is_hard && !hard) {
                add(Sign::BubblingHard(span));
                hard = true;
            }
            hard &= is_hard;
            if let Some(span) = times.prolonged.filter(late).filter(|_| leak && !long) {
                add(Sign::LeakProlonged(span));
                long = true;
            }
        }
        if reading.swing == Some(Swing::None) && swing.is_some_and(|before| before != Swing::None) {
            add(Sign::SwingGone);
        }
        swing = reading.swing.or(swing);
    }
    let stops = times.look_back.map(|span| sudden_stops(series, span));
    found.extend(stops.unwrap_or_default().into_iter().map(|stop| Signed {
        reading: stop.reading,
        at: stop.at,
        sign: Sign::Stopped(stop.before),
    }));
    found.sort_by_key(|signed| signed.at);
    found
}

/// For how long there has been a leak, when one is there now.
#[must_use]
pub fn leak_now(series: &Series) -> Option<chrono::TimeDelta> {
    let leak = Leak::of(series);
    match leak.gone_by {
        None => leak.lasted(series.start().at),
        Some(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::chart::reading::{Chamber, Reading};
    use crate::chart::series::tests::{entry, start};
    use crate::chart::{Entry, What};

    fn look(id: u64, minutes: i64, bubbling: Bubbling, swing: Swing) -> Entry {
        let reading = Reading {
            bubbling: Some(bubbling),
            swing: Some(swing),
            chamber: Some(Chamber::Seal),
            ..Reading::default()
        };
        entry(id, minutes, What::Reading(Arc::new(reading)))
    }

    fn of(entries: Vec<Entry>) -> Vec<Sign> {
        let times = SignTimes {
            prolonged: Some(Span::minutes(5 * 1440)),
            look_back: Some(Span::minutes(120)),
            settles: Some(Span::minutes(5)),
        };
        let found = signs(&Series::new(start(), entries), times);
        found.into_iter().map(|signed| signed.sign).collect()
    }

    #[test]
    fn what_changes_is_named_once() {
        use Bubbling::{AllTheTime, None, OnCough};
        let seen = of(vec![
            look(1, 1, AllTheTime, Swing::Large),
            look(2, 4, OnCough, Swing::Small),
            look(3, 60, None, Swing::None),
            look(4, 120, OnCough, Swing::None),
            look(5, 180, AllTheTime, Swing::Small),
            look(6, 240, AllTheTime, Swing::Small),
        ]);
        let expected = [
            Sign::SwingGone,
            Sign::BubblingBack(OnCough),
            Sign::BubblingMore {
                from: OnCough,
                to: AllTheTime,
            },
            Sign::BubblingHard(Span::minutes(5)),
        ];
        assert_eq!(seen, expected);
    }

    // Society of Thoracic Surgeons database, quoted in J Cardiothorac Surg 2019;14:13: more than
    // five days.
    #[test]
    fn a_leak_is_prolonged_after_five_days_and_not_at_five() {
        let days = |minutes| of(vec![look(1, minutes, Bubbling::OnCough, Swing::Small)]);
        assert_eq!(days(5 * 1440), []);
        let five = Span::minutes(5 * 1440);
        assert_eq!(days(5 * 1440 + 1), [Sign::LeakProlonged(five)]);
        assert_eq!(
            Sign::LeakProlonged(five).to_string(),
            "The air leak has lasted more than 5 d"
        );
    }

    #[test]
    fn a_suction_chamber_that_bubbles_is_no_leak() {
        let mut back = look(2, 60, Bubbling::AllTheTime, Swing::Small);
        if let What::Reading(reading) = &mut back.what {
            Arc::make_mut(reading).chamber = Some(Chamber::Suction);
        }
        assert_eq!(of(vec![look(1, 1, Bubbling::None, Swing::Small), back]), []);
    }
}
