//! The strips under the output: bubbling, swing, suction, events.

use super::super::leak::is_leak;
use super::super::reading::{Bubbling, Reading, Swing};
use super::super::series::{ChartEvent, Series, What};
use super::time::Time;
use super::{Area, BAR, Drawn, GRID, INK, LEFT, PALE, RIGHT, write};
use crate::units::Number;
use plotters::prelude::*;

/// Heights of the strips from the top of the part, pixels.
const ROWS: [(&str, i32); 4] = [
    ("Bubbling", 6),
    ("Swing", 46),
    ("Suction", 84),
    ("Events", 116),
];
/// The height of a strip, pixels.
const TALL: i32 = 28;
/// A mark is no narrower than this, so that neighbours stay apart.
const WIDE: i32 = 11;

/// Draws them.
pub(super) fn strips(area: &Area<'_>, series: &Series, time: &Time) -> Drawn {
    let (width, _) = area.dim_in_pixel();
    let right = i32::try_from(width.saturating_sub(RIGHT)).unwrap_or(0);
    let left = i32::try_from(LEFT).unwrap_or(0);
    for (at, _) in time.marks() {
        let x = time.pixel(at);
        area.draw(&PathElement::new(
            vec![(x, 0), (x, 142)],
            GRID.stroke_width(1),
        ))?;
    }
    for (name, y) in ROWS {
        write(area, name, (10, y + TALL - 16), 13, INK)?;
        let floor = vec![(left, y + TALL), (right, y + TALL)];
        area.draw(&PathElement::new(floor, PALE.stroke_width(1)))?;
    }
    let bubbling = |reading: &Reading| {
        let grade = reading.bubbling?.grade();
        let leak = is_leak(reading)?;
        Some(if leak { grade } else { Bubbling::None.grade() })
    };
    let bubbling = Strip {
        y: ROWS[0].1,
        most: 4,
        grade: &bubbling,
        words: &|grade| grade.to_string(),
        letters: &["0", "1", "2", "3", "4"],
        worst: u8::max,
    };
    bars(area, series, time, &bubbling)?;
    let swing = |reading: &Reading| {
        reading.swing.map(|swing| match swing {
            Swing::None => 0,
            Swing::Small => 1,
            Swing::Seen => 2,
            Swing::Large => 3,
        })
    };
    let word = |grade: u8| {
        ["none", "small", "seen", "large"]
            .get(usize::from(grade))
            .map_or("", |w| w)
            .to_owned()
    };
    let swing = Strip {
        y: ROWS[1].1,
        most: 3,
        grade: &swing,
        words: &word,
        letters: &["-", "s", "x", "L"],
        worst: u8::min,
    };
    bars(area, series, time, &swing)?;
    suction(area, series, time, ROWS[2].1)?;
    events(area, series, time, ROWS[3].1)
}

/// A strip of grades.
struct Strip<'a> {
    y: i32,
    most: u8,
    grade: &'a dyn Fn(&Reading) -> Option<u8>,
    words: &'a dyn Fn(u8) -> String,
    /// What stands for the words where there is no room, by the grade.
    letters: &'a [&'static str],
    /// Which of several in one place is shown: the one that must not be missed.
    worst: fn(u8, u8) -> u8,
}

/// A bar for each reading, as high as its grade, with its grade above it.
fn bars(area: &Area<'_>, series: &Series, time: &Time, strip: &Strip<'_>) -> Drawn {
    let Strip {
        y,
        most,
        grade,
        words,
        letters,
        worst,
    } = *strip;
    let mut marks: Vec<(i32, u8)> = Vec::new();
    for (entry, reading) in series.readings() {
        let Some(grade) = grade(reading) else {
            continue;
        };
        let x = time.pixel(entry.at.timestamp());
        match marks.last_mut() {
            Some((last, shown)) if x - *last < WIDE => *shown = worst(grade, *shown),
            _ => marks.push((x, grade)),
        }
    }
    let crowded = marks.windows(2).any(|pair| pair[1].0 - pair[0].0 < 42);
    for (x, grade) in marks {
        let tall = 2 + i32::from(grade) * (TALL - 16) / i32::from(most);
        let floor = y + TALL;
        // Nothing is a flat mark: it was looked at.
        let corners = [(x - 4, floor - tall), (x + 4, floor)];
        area.draw(&Rectangle::new(corners, BAR.filled()))?;
        let said = match letters.get(usize::from(grade)) {
            Some(letter) if crowded => (*letter).to_owned(),
            _ => words(grade),
        };
        write(area, &said, (x - 4, floor - tall - 14), 12, INK)?;
    }
    Ok(())
}

/// The suction set, or else indicated, as words where it changes and a thick line while it is on.
fn suction(area: &Area<'_>, series: &Series, time: &Time, y: i32) -> Drawn {
    let values = series.readings().filter_map(|(entry, reading)| {
        let suction = reading.suction_set.or(reading.suction_indicated)?;
        Some((time.pixel(entry.at.timestamp()), suction.magnitude()))
    });
    let mut values: Vec<_> = values.collect();
    values.dedup_by_key(|(_, amount)| *amount);
    let mut free = 0;
    for (index, (x, amount)) in values.iter().enumerate() {
        let until = values.get(index + 1).map_or_else(
            || {
                let last = series.readings().rfind(|(_, r)| r.suction_set.is_some());
                last.map_or(*x, |(entry, _)| time.pixel(entry.at.timestamp()))
            },
            |(x, _)| *x,
        );
        let off = amount.number == Number::whole(0);
        let words = if off {
            "off".to_owned()
        } else {
            format!("\u{2212}{amount}")
        };
        if !off {
            let line = [(*x, y + TALL - 4), (until.max(*x + 6), y + TALL)];
            area.draw(&Rectangle::new(line, BAR.filled()))?;
        }
        // What is set now must be read; what was set before stands where there is room.
        let is_last = index + 1 == values.len();
        if *x >= free || is_last {
            write(area, &words, (free.max(*x), y + TALL - 20), 12, INK)?;
            free = *x + 8 * i32::try_from(words.chars().count()).unwrap_or(0);
        }
    }
    Ok(())
}

/// A letter for each event, and one sign for different ones that lie too close together.
fn events(area: &Area<'_>, series: &Series, time: &Time, y: i32) -> Drawn {
    let mut marks: Vec<(i32, char)> = Vec::new();
    for entry in series.entries() {
        let letter = match &entry.what {
            What::NewUnit { .. } => 'N',
            What::Baseline { .. } => 'B',
            What::Event(event) => letter(*event),
            What::Reading(_) | What::Correction { .. } => continue,
        };
        let x = time.pixel(entry.at.timestamp());
        match marks.last_mut() {
            Some((last, held)) if x - *last < WIDE => {
                // None hides another.
                if *held != letter {
                    *held = '+';
                }
            }
            _ => marks.push((x, letter)),
        }
    }
    for (x, letter) in marks {
        let tick = vec![(x, y + TALL), (x, y + TALL - 6)];
        area.draw(&PathElement::new(tick, INK.stroke_width(1)))?;
        write(area, &letter.to_string(), (x - 4, y + TALL - 22), 14, INK)?;
    }
    Ok(())
}

const fn letter(event: ChartEvent) -> char {
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
