//! The time that runs along the picture, and its marks.

use super::super::series::Series;
use super::{LEFT, RIGHT};
use plotters::coord::ranged1d::{KeyPointHint, NoDefaultFormatting, Ranged, ValueFormatter};
use std::ops::Range;

/// Distances between marks, seconds.
const STEPS: &[i64] = &[
    900,
    1_800,
    3_600,
    7_200,
    10_800,
    21_600,
    43_200,
    86_400,
    2 * 86_400,
    7 * 86_400,
    14 * 86_400,
    30 * 86_400,
    90 * 86_400,
    365 * 86_400,
];

/// The axis of time: seconds since 1970, with marks at whole local times.
#[derive(Debug, Clone)]
pub(super) struct Time {
    pub(super) first: i64,
    pub(super) last: i64,
    /// Columns of the picture itself.
    pub(super) columns: u32,
    marks: Vec<(i64, String)>,
}

impl Time {
    pub(super) fn of(series: &Series, width: u32) -> Self {
        let start = series.start().at.timestamp();
        let end = series.entries().last().map_or(start, |e| e.at.timestamp());
        let last = end.max(series.known_ends().1).max(start + 3_600);
        let columns = width.saturating_sub(LEFT + RIGHT).max(1);
        let mut time = Self {
            first: start,
            last,
            columns,
            marks: Vec::new(),
        };
        time.mark(series);
        time
    }

    /// Marks far enough apart for their words.
    fn mark(&mut self, series: &Series) {
        let most = i64::from(self.columns / 62).max(2);
        let long = self.last - self.first;
        let fits = |step: &&i64| long / **step < most;
        let step = STEPS.iter().find(fits).copied().unwrap_or(long.max(1));
        let offset = i64::from(series.start().at.offset().local_minus_utc());
        let mut at = (self.first + offset).div_euclid(step) * step - offset;
        let mut day = None;
        while at <= self.last {
            if at >= self.first {
                let local = series.moment(at);
                let new_day = day != Some(local.date_naive());
                day = Some(local.date_naive());
                let words = match (step < 86_400, new_day) {
                    (false, _) | (true, true) if step >= 86_400 => "%d %b",
                    (_, true) => "%d %b %H:%M",
                    _ => "%H:%M",
                };
                self.marks.push((at, local.format(words).to_string()));
            }
            at += step;
        }
    }

    /// The moments of the marks.
    pub(super) fn marks(&self) -> impl Iterator<Item = (i64, &str)> {
        self.marks.iter().map(|(at, words)| (*at, words.as_str()))
    }

    /// The pixel at which a moment lies.
    pub(super) fn pixel(&self, at: i64) -> i32 {
        let since = i128::from(at.clamp(self.first, self.last) - self.first);
        let x = since * i128::from(self.columns) / i128::from(self.last - self.first);
        i32::try_from(x).unwrap_or(0) + i32::try_from(LEFT).unwrap_or(0)
    }
}

impl Ranged for Time {
    type FormatOption = NoDefaultFormatting;
    type ValueType = i64;

    fn map(&self, value: &i64, limit: (i32, i32)) -> i32 {
        let since = i128::from(*value - self.first);
        let wide = i128::from(limit.1 - limit.0);
        let x = since * wide / i128::from((self.last - self.first).max(1));
        limit.0 + i32::try_from(x).unwrap_or(0)
    }

    fn key_points<Hint: KeyPointHint>(&self, _: Hint) -> Vec<i64> {
        self.marks.iter().map(|(at, _)| *at).collect()
    }

    fn range(&self) -> Range<i64> {
        self.first..self.last
    }
}

impl ValueFormatter<i64> for Time {
    fn format_ext(&self, value: &i64) -> String {
        let found = self.marks.iter().find(|(at, _)| at == value);
        found.map_or_else(String::new, |(_, words)| words.clone())
    }
}

/// From when to when, in words.
pub(super) fn span_words(series: &Series) -> String {
    let start = series.start().at;
    let last = series.entries().last().map_or(start, |entry| entry.at);
    let words = |at: crate::moment::Moment| at.format("%d %b %Y %H:%M").to_string();
    format!("{} to {}", words(start), words(last))
}
