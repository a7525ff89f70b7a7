//! The chart as a picture of text lines: cumulative output, output by the hour with a limit, and
//! strips for bubbling, swing, suction and events.
//!
//! Every mark differs by its shape, none by colour. A picture never stands alone: the totals
//! beside it say the same in numbers.

use super::reading::{Bubbling, Reading, Swing};
use super::series::{ChartEvent, Series, What};
use crate::moment::Moment;
use crate::units::{Number, Span, Unit};

/// A line across the hourly output.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LimitLine {
    /// Where it lies, mL/h.
    pub at: Number,
    /// What it is called, with its unit.
    pub label: String,
}

/// How the picture is to look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// Columns; fewer than 40 count as 40, more than 200 as 200.
    pub width: u16,
    /// Only ASCII characters.
    pub ascii: bool,
    /// A line across the hourly output.
    pub limit: Option<LimitLine>,
}

/// Rows of each of the two upper pictures.
const HEIGHT: u16 = 8;
/// Columns to the left of a picture, for its scale.
const MARGIN: usize = 8;

/// The marks in use.
struct Marks {
    dot: char,
    bar: char,
    limit: char,
    side: char,
    floor: char,
    unknown: char,
}

const ASCII: Marks = Marks {
    dot: '*',
    bar: '#',
    limit: '=',
    side: '|',
    floor: '-',
    unknown: '?',
};

const UNICODE: Marks = Marks {
    dot: '●',
    bar: '█',
    limit: '═',
    side: '│',
    floor: '─',
    unknown: '?',
};

/// Draws the drain from its start to its last reading. Every line fits the width.
#[must_use]
pub fn plot(series: &Series, look: &Look) -> Vec<String> {
    let plot = Plot::new(series, look);
    let total = series.total();
    let mut lines = plot.wrapped(&format!("Total: {}", total.volume));
    if total.is_partial() {
        lines.push("Unknown where ? stands: at least this.".to_owned());
    }
    lines.push("Output since the start, mL".to_owned());
    lines.extend(plot.cumulative());
    lines.push("Output by the hour, mL/h".to_owned());
    lines.extend(plot.hourly());
    lines.extend(plot.strips());
    lines.push(plot.axis());
    lines.extend(LEGEND.iter().map(|line| (*line).to_owned()));
    if let Some(limit) = &look.limit {
        lines.extend(plot.wrapped(&format!("{} limit: {}", plot.marks.limit, limit.label)));
    }
    lines
}

/// What the letters of the strips mean; each line within 40 columns.
const LEGEND: &[&str] = &[
    "bubbles: 0 none, 1 cough, 2 out, 3 in,",
    "  4 always. swing: - none, s small,",
    "  L large, x seen. suction: S on, - off.",
    "events: N new drainage unit, C clamp on,",
    "  c clamp off, D disconnected,",
    "  T transfer, ! limit, S/- suction,",
    "  + several. Of several readings in a",
    "  column: most bubbling, least swing.",
];

/// What two marks in one column are shown as.
type Meet = fn(char, char) -> char;

/// A time on the axis between the ends, and the space after it.
const MARK_ROOM: usize = 8;

/// Up to so many seconds (36 h) the axis counts hours, beyond it days.
const MOST_HOURS: i64 = 36 * 3_600;

struct Plot<'a> {
    series: &'a Series,
    look: &'a Look,
    marks: &'static Marks,
    /// Columns of the picture itself.
    columns: usize,
    first: i64,
    last: i64,
}

impl<'a> Plot<'a> {
    fn new(series: &'a Series, look: &'a Look) -> Self {
        let (first, last) = series.known_ends();
        Self {
            series,
            look,
            marks: if look.ascii { &ASCII } else { &UNICODE },
            columns: usize::from(look.width.clamp(40, 200)) - MARGIN,
            first,
            last: last.max(first + 60),
        }
    }

    /// The moments at which a column begins and ends.
    fn column(&self, index: usize) -> (Moment, Moment) {
        let edge = |index: usize| {
            let part = i128::from(self.last - self.first) * index as i128 / self.columns as i128;
            let second = self.first + i64::try_from(part).unwrap_or(0);
            self.series.moment(second)
        };
        (edge(index), edge(index + 1))
    }

    /// The column in which a moment lies.
    fn column_of(&self, at: Moment) -> Option<usize> {
        let since = i128::from(at.timestamp() - self.first);
        let index = since * self.columns as i128 / i128::from(self.last - self.first);
        let index = usize::try_from(index).ok()?;
        (index <= self.columns).then(|| index.min(self.columns - 1))
    }

    fn is_unknown(&self, index: usize) -> bool {
        let (from, to) = self.column(index);
        self.series.output(from, to).is_partial()
    }

    fn cumulative(&self) -> Vec<String> {
        let start = self.series.start().at;
        let value = |index| {
            let upto = self.column(index).1;
            self.series.output(start, upto).volume.nominal.milli()
        };
        let values: Vec<i64> = (0..self.columns).map(value).collect();
        self.picture(&values, None, |height, row| {
            (height == row).then_some(self.marks.dot)
        })
    }

    fn hourly(&self) -> Vec<String> {
        let hour = Span::minutes(60);
        let start = self.series.start().at;
        // The hour, counted from the start, that holds the middle of the column.
        let value = |index| {
            let (from, to) = self.column(index);
            let middle = from + (to - from) / 2;
            let hours = (middle - start).num_hours();
            let begin = start + chrono::TimeDelta::hours(hours);
            let output = self.series.output(begin, begin + hour.to_delta());
            // Where the time is too short for a rate, the volume itself: at least that much came.
            output.per_hour().unwrap_or(output.volume).nominal.milli()
        };
        let values: Vec<i64> = (0..self.columns).map(value).collect();
        let limit = self.look.limit.as_ref().map(|limit| limit.at.milli());
        self.picture(&values, limit, |height, row| {
            (height >= row).then_some(self.marks.bar)
        })
    }

    /// Rows from the top, with a scale at the top and the bottom row.
    fn picture(
        &self,
        values: &[i64],
        limit: Option<i64>,
        mark: impl Fn(i64, i64) -> Option<char>,
    ) -> Vec<String> {
        let rows = i64::from(HEIGHT);
        let top = values
            .iter()
            .copied()
            .chain(limit)
            .max()
            .unwrap_or(0)
            .max(1_000);
        // Something above zero is never drawn as nothing.
        let height = |value: i64| (value.max(0).saturating_mul(rows) + top - 1) / top;
        let unknown: Vec<bool> = (0..values.len()).map(|i| self.is_unknown(i)).collect();
        let mut lines = Vec::new();
        for row in (1..=rows).rev() {
            let label = match row {
                row if row == rows => scale(top),
                row if limit.is_some_and(|limit| height(limit) == row) => scale(limit.unwrap_or(0)),
                _ => String::new(),
            };
            let mut line = format!("{label:>width$}{}", self.marks.side, width = MARGIN - 1);
            for (value, unknown) in values.iter().zip(&unknown) {
                let at_limit = limit.is_some_and(|limit| height(limit) == row);
                let drawn = mark(height(*value), row).filter(|_| *value > 0 || row == 1);
                line.push(match drawn {
                    _ if *unknown && row == 1 => self.marks.unknown,
                    Some(mark) => mark,
                    None if at_limit => self.marks.limit,
                    None => ' ',
                });
            }
            lines.push(line.trim_end().to_owned());
        }
        let floor: String = std::iter::repeat_n(self.marks.floor, self.columns).collect();
        lines.push(format!(
            "{:>width$}{}{floor}",
            "0",
            self.marks.side,
            width = MARGIN - 1
        ));
        lines
    }

    fn strips(&self) -> Vec<String> {
        let strip = |name: &str, mark: &dyn Fn(&Reading) -> Option<char>, both: Meet| {
            let readings = self.series.readings();
            let marks = readings.filter_map(|(e, r)| Some((e.at, mark(r)?)));
            self.strip(name, marks, both)
        };
        let events = self.series.entries().iter().filter_map(|entry| {
            let mark = match &entry.what {
                What::NewUnit { .. } => 'N',
                What::Event(event) => event_mark(*event),
                _ => return None,
            };
            Some((entry.at, mark))
        });
        vec![
            // The digits of the grades are in their order.
            strip("bubbles", &|r| r.bubbling.map(bubbling_mark), char::max),
            strip("swing", &|r| r.swing.map(swing_mark), least_swing),
            strip("suction", &suction_mark, |_, later| later),
            self.strip("events", events, several),
        ]
    }

    /// One row of marks; `both` says what two in one column are shown as.
    fn strip(&self, name: &str, marks: impl Iterator<Item = (Moment, char)>, both: Meet) -> String {
        let mut row = vec![' '; self.columns];
        for (at, mark) in marks {
            if let Some(place) = self.column_of(at).and_then(|index| row.get_mut(index)) {
                *place = match *place {
                    ' ' => mark,
                    before => both(before, mark),
                };
            }
        }
        let row: String = row.into_iter().collect();
        // A name of eight letters leaves no room for the side.
        let line = match name.len() {
            MARGIN.. => format!("{name}{row}"),
            _ => format!("{name:>width$}{}{row}", self.marks.side, width = MARGIN - 1),
        };
        line.trim_end().to_owned()
    }

    /// The first and the last moment, under the picture, and between them hours or days as far as
    /// there is room; each begins under its column.
    fn axis(&self) -> String {
        let label = |second| self.series.moment(second).format("%d %b %H:%M").to_string();
        let (first, last) = (label(self.first), label(self.last));
        let mut row = vec![' '; self.columns];
        let mut write = |from: usize, text: &str| {
            for (place, letter) in row.iter_mut().skip(from).zip(text.chars()) {
                *place = letter;
            }
        };
        write(0, &first);
        let end = self.columns.saturating_sub(last.len());
        write(end, &last);
        // Full hours by the clock on the wall, or days where there are many.
        let (step, form) = match self.last - self.first {
            ..=MOST_HOURS => (3_600, "%H:%M"),
            _ => (86_400, "%d %b"),
        };
        let full = |at: Moment| {
            let local = at.timestamp() + i64::from(at.offset().local_minus_utc());
            at - chrono::TimeDelta::seconds(local.rem_euclid(step))
        };
        let mut free = first.len() + 2;
        for index in 0..self.columns {
            let (from, to) = self.column(index);
            let last_full = full(to - chrono::TimeDelta::seconds(1));
            if last_full >= from && index >= free && index + MARK_ROOM <= end {
                write(index, &last_full.format(form).to_string());
                free = index + MARK_ROOM;
            }
        }
        let row: String = row.into_iter().collect();
        format!("{:MARGIN$}{}", "", row.trim_end())
    }

    /// Broken between words to the width; a longer word is cut.
    fn wrapped(&self, text: &str) -> Vec<String> {
        let width = self.columns + MARGIN;
        let mut lines = vec![String::new()];
        for word in text.split(' ') {
            let word: String = word.chars().take(width).collect();
            match lines.last_mut() {
                Some(line) if line.is_empty() => *line = word,
                Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                    *line = format!("{line} {word}");
                }
                _ => lines.push(word),
            }
        }
        lines
    }
}

/// A number for the scale, in whole mL, or L where it is long.
fn scale(milli: i64) -> String {
    let ml = milli / 1_000;
    if ml < 100_000 {
        ml.to_string()
    } else {
        format!("{} {}", ml / 1_000, Unit::L)
    }
}

fn bubbling_mark(bubbling: Bubbling) -> char {
    char::from(b'0' + bubbling.grade())
}

const fn swing_mark(swing: Swing) -> char {
    match swing {
        Swing::None => '-',
        Swing::Small => 's',
        Swing::Seen => 'x',
        Swing::Large => 'L',
    }
}

/// The smaller swing of two: what has gone must not be hidden by what was there.
fn least_swing(one: char, other: char) -> char {
    let small = [Swing::None, Swing::Small, Swing::Seen].map(swing_mark);
    let known = small.into_iter().find(|mark| [one, other].contains(mark));
    known.unwrap_or(other)
}

/// Different events in one column are named as several, so that none hides another.
const fn several(one: char, other: char) -> char {
    if one == other { one } else { '+' }
}

/// What is set, or else what the indicator shows.
fn suction_mark(reading: &Reading) -> Option<char> {
    let suction = reading.suction_set.or(reading.suction_indicated)?;
    let off = suction.magnitude().number == Number::whole(0);
    Some(if off { '-' } else { 'S' })
}

const fn event_mark(event: ChartEvent) -> char {
    match event {
        ChartEvent::ClampOn => 'C',
        ChartEvent::ClampOff => 'c',
        ChartEvent::Disconnected => 'D',
        ChartEvent::Transfer => 'T',
        ChartEvent::SuctionOn => 'S',
        ChartEvent::SuctionOff => '-',
        ChartEvent::LimitReached => '!',
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::chart::DrainStart;
    use crate::chart::series::tests::{entry, hourly, level, new_unit, start};
    use proptest::prelude::*;

    fn look(width: u16) -> Look {
        Look {
            width,
            ascii: true,
            limit: Some(LimitLine {
                at: Number::whole(100),
                label: "100 mL/h".to_owned(),
            }),
        }
    }

    fn told() -> Series {
        let mut first = level(150);
        if let What::Reading(reading) = &mut first {
            Arc::make_mut(reading).bubbling = Some(Bubbling::AllTheTime);
        }
        Series::new(
            start(),
            [
                entry(1, 60, first),
                entry(2, 120, level(200)),
                entry(3, 150, new_unit(None)),
                entry(4, 240, level(90)),
                entry(5, 240, What::Event(ChartEvent::Transfer)),
            ],
        )
    }

    #[test]
    fn a_drain_is_drawn() {
        let lines = plot(&told(), &look(40));
        let picture = [
            "Total: 290 mL (280 to 300)",
            "Unknown where ? stands: at least this.",
            "Output since the start, mL",
            "    290|                           *****",
            "       |                      *****",
            "       |             *********",
            "       |       ******",
            "       |     **",
            "       |   **",
            "       | **",
            "       |*               ????",
            "      0|--------------------------------",
            "Output by the hour, mL/h",
            "    150|########",
            "       |########",
            "    100|########========================",
            "       |########",
            "       |########        ################",
            "       |################################",
            "       |################################",
            "       |################????############",
            "      0|--------------------------------",
            "bubbles|        4",
            "  swing|        s       s              s",
            "suction|",
            " events|                    N          T",
            "        04 Mar 10:00        04 Mar 14:00",
        ];
        assert_eq!(lines[..picture.len()], picture, "{}", lines.join("\n"));
        assert_eq!(lines.last().unwrap(), "= limit: 100 mL/h");
        assert!(lines.iter().all(|line| line.is_ascii()));
    }

    fn line<'a>(lines: &'a [String], name: &str) -> &'a str {
        let found = lines
            .iter()
            .find(|line| line.trim_start().starts_with(name));
        found.map_or("", |line| line.trim_start())
    }

    #[test]
    fn what_falls_into_one_column_hides_nothing() {
        let seen = |bubbling, swing| {
            What::Reading(Arc::new(Reading {
                bubbling: Some(bubbling),
                swing: Some(swing),
                ..Reading::default()
            }))
        };
        let series = Series::new(
            start(),
            [
                entry(1, 300, seen(Bubbling::AllTheTime, Swing::None)),
                entry(2, 301, seen(Bubbling::None, Swing::Large)),
                entry(3, 400, What::Event(ChartEvent::LimitReached)),
                entry(4, 401, What::Event(ChartEvent::ClampOn)),
                entry(5, 600, level(100)),
            ],
        );
        let lines = plot(&series, &look(40));
        assert_eq!(
            line(&lines, "events|").trim_start_matches("events|").trim(),
            "+"
        );
        assert!(line(&lines, "bubbles").contains('4'), "{lines:?}");
        assert!(line(&lines, "swing|").contains('-'), "{lines:?}");
    }

    #[test]
    fn full_hours_stand_on_a_wide_axis() {
        let lines = plot(&told(), &look(100));
        let axis = line(&lines, "04 Mar 10:00");
        assert_eq!(axis.matches(":00").count(), 5, "{axis}");
        // The drain lasts from 10:00 to 14:00: noon stands in the middle.
        assert_eq!(axis.find("12:00"), Some((100 - MARGIN) / 2), "{axis}");
    }

    #[test]
    fn an_empty_drain_is_drawn_too() {
        let lines = plot(&Series::new(start(), []), &look(10));
        assert_eq!(lines[0], "Total: 0 mL");
        assert!(lines.iter().any(|line| line.ends_with("04 Mar 10:01")));
    }

    #[test]
    fn other_letters_may_be_used() {
        let mut look = look(60);
        look.ascii = false;
        let text = plot(&hourly(&[50, 150]), &look).join("\n");
        assert!(text.contains('█') && text.contains('═'), "{text}");
    }

    proptest! {
        #[test]
        fn every_line_fits(width in 40_u16..=200, steps in prop::collection::vec(0..5_000, 0..20)) {
            let mut look = look(width);
            look.limit = Some(LimitLine {
                at: Number::whole(100),
                label: "a name that is longer than any line of forty columns can hold".to_owned(),
            });
            let unread = DrainStart { graduation: None, ..start() };
            let entries = steps.iter().zip(1..).map(|(ml, id)| {
                entry(id, i64::try_from(id).unwrap() * 47, level(*ml))
            });
            for line in plot(&Series::new(unread, entries), &look) {
                prop_assert!(line.chars().count() <= usize::from(width), "{line}");
            }
        }
    }
}
