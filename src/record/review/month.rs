//! Months as they are counted.

use std::fmt;

use chrono::Datelike as _;
use serde::{Serialize, Serializer};

use crate::moment::Moment;

/// A month of a year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Month {
    year: i32,
    /// 1 to 12.
    month: u32,
}

impl Month {
    /// The month that the moment shows, in its own distance from UTC.
    #[must_use]
    pub fn of(moment: Moment) -> Self {
        let day = moment.date_naive();
        Self {
            year: day.year(),
            month: day.month(),
        }
    }

    /// The one after it.
    #[must_use]
    pub const fn next(self) -> Self {
        match self.month {
            12 => Self {
                year: self.year.saturating_add(1),
                month: 1,
            },
            month => Self {
                month: month + 1,
                ..self
            },
        }
    }
}

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}", self.year, self.month)
    }
}

impl Serialize for Month {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_is_that_of_the_wall_clock_and_december_ends_the_year() {
        let moment = |text| Moment::parse_from_rfc3339(text).expect("a moment");
        let month = Month::of(moment("2026-12-31T23:30:00-05:00"));
        assert_eq!(month.to_string(), "2026-12");
        assert_eq!(month.next().to_string(), "2027-01");
        assert_eq!(month.next().next().to_string(), "2027-02");
        assert!(month < month.next());
    }
}
