//! What a person types for a time in the past.

use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};

use crate::units::Span;

use super::{Moment, OnTheClock, Zone};

/// What the typed words mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Typed {
    /// One moment, not later than now.
    One {
        /// The moment.
        moment: Moment,
        /// Whether it is on the day before, though no day was typed: to be shown and confirmed.
        day_before: bool,
    },
    /// The clocks went back and the time came twice; the person must say which. Neither is later
    /// than now.
    Two {
        /// Before the clocks went back.
        earlier: Moment,
        /// After the clocks went back.
        later: Moment,
    },
}

/// Which of two readings of the hour that comes twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// Before the clocks went back.
    Earlier,
    /// After the clocks went back.
    Later,
}

impl Typed {
    /// The moment, once the person has said which.
    #[must_use]
    pub const fn settled(self, which: Which) -> Moment {
        match (self, which) {
            (Self::One { moment, .. }, _) => moment,
            (Self::Two { earlier, .. }, Which::Earlier) => earlier,
            (Self::Two { later, .. }, Which::Later) => later,
        }
    }
}

/// Why typed words are not a time in the past.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadMoment {
    /// They are no time.
    #[error(
        "\"{text}\" is not a time: write 04:10, or yesterday 23:50, or 2026-10-25 01:30, or 20 min ago, by the 24-hour clock"
    )]
    NotATime {
        /// What was typed.
        text: String,
    },
    /// The time is by the 12-hour clock.
    #[error(
        "\"{text}\": write the time by the 24-hour clock, such as 16:10 for ten past four in the afternoon"
    )]
    TwelveHours {
        /// What was typed.
        text: String,
    },
    /// There is no such time on any day, or no such day.
    #[error("\"{text}\" does not exist: check the day and the time")]
    NoSuchTime {
        /// What was typed.
        text: String,
    },
    /// The end of a day, which is no time on a clock.
    #[error("\"{text}\" is on no clock: midnight is 00:00 of the day that begins")]
    EndOfDay {
        /// What was typed.
        text: String,
    },
    /// The clocks went forward over it.
    #[error("{} on {} did not exist: the clocks went forward from {} to {}. Look at the clock you read it from, and type the time again", local.format("%H:%M"), local.format("%Y-%m-%d"), from.format("%H:%M"), to.format("%H:%M"))]
    SkippedHour {
        /// The date and time that was typed.
        local: NaiveDateTime,
        /// What the clocks showed when they went forward.
        from: NaiveDateTime,
        /// What they showed right after.
        to: NaiveDateTime,
    },
    /// It is still to come.
    #[error("{} is later than now ({}): a thing cannot be seen before it happens. For the day before, write: yesterday {}", moment.format("%H:%M on %Y-%m-%d"), now.format("%H:%M on %Y-%m-%d"), moment.format("%H:%M"))]
    StillToCome {
        /// The moment that was typed.
        moment: Moment,
        /// The moment now.
        now: Moment,
    },
}

/// What was typed, before it is given a place in time.
pub(super) enum Parsed {
    /// A time alone.
    Time(NaiveTime),
    /// A time some days back.
    DaysBack(u64, NaiveTime),
    /// A date and a time.
    At(NaiveDateTime),
    /// A moment with its offset.
    Exact(Moment),
    /// So long ago.
    Ago(Span),
}

/// Reads a time in the past: `04:10`, `0410`, `today 04:10`, `yesterday 23:50`, `23:50 yesterday`,
/// `2026-10-25 01:30`, `20 min ago`, `now`, or a moment as RFC 3339 writes it.
///
/// A time alone is that of today. When that is still to come by more than 12 hours, it is that of
/// the day before, and the answer says so; a little past midnight people mean the evening before.
/// When it is still to come by less, it is refused rather than guessed.
///
/// # Errors
/// [`BadMoment`], each case with what to type instead.
pub fn read_typed(text: &str, zone: Zone, now: Moment) -> Result<Typed, BadMoment> {
    let today = zone.at(now.to_utc()).date_naive();
    match parse(text, now)? {
        Parsed::Exact(moment) => one(zone.at(moment.to_utc()), now),
        Parsed::Ago(span) => one(zone.at(now.to_utc() - span.to_delta()), now),
        Parsed::At(local) => place(local, zone, now),
        Parsed::DaysBack(days, time) => place(on_day(today, days, time, text)?, zone, now),
        Parsed::Time(time) => {
            let typed = place(today.and_time(time), zone, now);
            let far_ahead = |moment: &Moment| *moment - now > TimeDelta::hours(12);
            match typed {
                Err(BadMoment::StillToCome { moment, .. }) if far_ahead(&moment) => {
                    let typed = place(on_day(today, 1, time, text)?, zone, now)?;
                    Ok(on_day_before(typed))
                }
                typed => typed,
            }
        }
    }
}

fn on_day_before(typed: Typed) -> Typed {
    match typed {
        Typed::One { moment, .. } => Typed::One {
            moment,
            day_before: true,
        },
        two @ Typed::Two { .. } => two,
    }
}

fn on_day(
    today: NaiveDate,
    days_back: u64,
    time: NaiveTime,
    text: &str,
) -> Result<NaiveDateTime, BadMoment> {
    let day = today.checked_sub_days(Days::new(days_back));
    day.map(|day| day.and_time(time))
        .ok_or_else(|| BadMoment::NoSuchTime {
            text: text.to_owned(),
        })
}

pub(super) fn one(moment: Moment, now: Moment) -> Result<Typed, BadMoment> {
    if moment > now {
        return Err(BadMoment::StillToCome { moment, now });
    }
    Ok(Typed::One {
        moment,
        day_before: false,
    })
}

/// Finds the moment, or the two, for what the clock showed.
pub(super) fn place(local: NaiveDateTime, zone: Zone, now: Moment) -> Result<Typed, BadMoment> {
    match zone.on_the_clock(local) {
        OnTheClock::Once(moment) => one(moment, now),
        // The second time has not come yet, so only the first can be meant.
        OnTheClock::Twice(earlier, later) if later > now => one(earlier, now),
        OnTheClock::Twice(earlier, later) => Ok(Typed::Two { earlier, later }),
        OnTheClock::Never(from, to) => Err(BadMoment::SkippedHour { local, from, to }),
    }
}

pub(super) fn parse(text: &str, now: Moment) -> Result<Parsed, BadMoment> {
    let trimmed = text.trim().to_lowercase();
    let words: Vec<&str> = trimmed.split_whitespace().collect();
    let not_a_time = || BadMoment::NotATime {
        text: text.trim().to_owned(),
    };
    match words.as_slice() {
        ["now"] => Ok(Parsed::Ago(Span(0))),
        [time] if time.contains('t') => Moment::parse_from_rfc3339(&time.to_uppercase())
            .map(Parsed::Exact)
            .or_else(|_| date_and_time(text, time.split_once('t'))),
        [time] => time_of_day(time, text).map(Parsed::Time),
        ["today", time] | [time, "today"] => {
            time_of_day(time, text).map(|time| Parsed::DaysBack(0, time))
        }
        ["yesterday", time] | [time, "yesterday"] => {
            time_of_day(time, text).map(|time| Parsed::DaysBack(1, time))
        }
        [.., "ago"] => {
            let span = trimmed.trim_end_matches("ago");
            let span = Span::parse(&short_units(span)).map_err(|_| not_a_time())?;
            // Nothing before the first moment that can be held.
            now.checked_sub_signed(span.to_delta())
                .map(|_| Parsed::Ago(span))
                .ok_or_else(not_a_time)
        }
        [time, half] if matches!(*half, "am" | "pm" | "a.m." | "p.m.") => time_of_day(time, text)
            .and(Err(BadMoment::TwelveHours {
                text: text.trim().to_owned(),
            })),
        [date, time] => date_and_time(text, Some((date, time))),
        _ => Err(not_a_time()),
    }
}

/// "20 minutes" as "20 min".
fn short_units(span: &str) -> String {
    span.replace("minutes", "min")
        .replace("minute", "min")
        .replace("mins", "min")
        .replace("hours", "h")
        .replace("hour", "h")
        .replace("seconds", "s")
        .replace("days", "d")
        .replace("day", "d")
}

fn date_and_time(text: &str, parts: Option<(&str, &str)>) -> Result<Parsed, BadMoment> {
    let not_a_time = || BadMoment::NotATime {
        text: text.trim().to_owned(),
    };
    let (date, time) = parts.ok_or_else(not_a_time)?;
    let digits: Vec<&str> = date.split('-').collect();
    let shape = digits.iter().map(|part| part.len()).eq([4, 2, 2]);
    if !shape
        || !date
            .bytes()
            .all(|byte| byte.is_ascii_digit() || byte == b'-')
    {
        return Err(not_a_time());
    }
    let time = time_of_day(time, text)?;
    NaiveDate::parse_from_str(date, "%Y-%m-%d")
        .map(|date| Parsed::At(date.and_time(time)))
        .map_err(|_| BadMoment::NoSuchTime {
            text: text.trim().to_owned(),
        })
}

/// Reads `4:10`, `04:10`, `04:10:30` or `0410`.
fn time_of_day(time: &str, text: &str) -> Result<NaiveTime, BadMoment> {
    let given = || text.trim().to_owned();
    if time.ends_with("am") || time.ends_with("pm") {
        return Err(BadMoment::TwelveHours { text: given() });
    }
    let not_a_time = || BadMoment::NotATime { text: given() };
    let parts: Vec<&str> = match time.split(':').collect::<Vec<_>>().as_slice() {
        [four] if four.len() == 4 && four.is_ascii() => vec![&four[..2], &four[2..]],
        [hour, rest @ ..] if !rest.is_empty() && rest.len() <= 2 => [&[*hour], rest].concat(),
        _ => return Err(not_a_time()),
    };
    let mut numbers = [0_u32; 3];
    for (index, (part, number)) in parts.iter().zip(&mut numbers).enumerate() {
        let long_enough = part.len() == 2 || (index == 0 && part.len() == 1);
        if !long_enough || !part.bytes().all(|byte| byte.is_ascii_digit()) {
            return Err(not_a_time());
        }
        *number = part.parse().map_err(|_| not_a_time())?;
    }
    let [hour, minute, second] = numbers;
    if (hour, minute, second) == (24, 0, 0) {
        return Err(BadMoment::EndOfDay { text: given() });
    }
    NaiveTime::from_hms_opt(hour, minute, second)
        .ok_or_else(|| BadMoment::NoSuchTime { text: given() })
}

#[cfg(test)]
#[path = "typed_tests.rs"]
mod tests;
