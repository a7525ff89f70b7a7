//! Made entries for every test of the chart, and how entries are put in order.

use std::sync::Arc;

use super::*;
use crate::chart::reading::Swing;

/// 10:00 on an invented day, plus minutes.
pub(in crate::chart) fn at(minutes: i64) -> Moment {
    let start = chrono::DateTime::parse_from_rfc3339("2031-03-04T10:00:00+00:00").unwrap();
    start + chrono::TimeDelta::minutes(minutes)
}

/// A drain connected at 10:00 with a graduation of 10 mL.
pub(in crate::chart) fn start() -> DrainStart {
    DrainStart {
        at: at(0),
        level: Number::whole(0),
        graduation: Some(Number::whole(10)),
    }
}

pub(in crate::chart) fn entry(id: u64, minutes: i64, what: What) -> Entry {
    Entry {
        id: EntryId(id),
        at: at(minutes),
        written_at: at(minutes),
        what,
    }
}

pub(in crate::chart) fn level(ml: i32) -> What {
    What::Reading(Arc::new(Reading {
        level: Some(Number::whole(ml)),
        swing: Some(Swing::Small),
        ..Reading::default()
    }))
}

pub(in crate::chart) fn new_unit(last_level: Option<i32>) -> What {
    What::NewUnit {
        last_level: last_level.map(Number::whole),
        start: Number::whole(0),
        graduation: Some(Number::whole(10)),
    }
}

/// Hourly levels from one hour after the start.
pub(in crate::chart) fn hourly(levels: &[i32]) -> Series {
    let entries = levels.iter().zip(1..);
    Series::new(
        start(),
        entries.map(|(ml, hour)| entry(hour, 60 * i64::try_from(hour).unwrap(), level(*ml))),
    )
}

fn total(series: &Series) -> i64 {
    series.total().volume.nominal.milli() / 1000
}

// Lower than before means tilt, spill or misread: The Trauma Professional's Blog, 2017-04-03.
#[test]
fn a_lower_level_asks_and_is_no_output() {
    let series = hourly(&[320, 300, 330]);
    let [Problem::Lower { before, level, .. }] = series.problems() else {
        panic!("{:?}", series.problems());
    };
    assert_eq!((*before, *level), (Number::whole(320), Number::whole(300)));
    let words = series.problems()[0].to_string();
    assert!(words.contains("tilted, spilled or changed"), "{words}");
    assert_eq!(total(&series), 350);
    let unknown = series.total().unknown;
    assert_eq!((unknown[0].from, unknown[0].to), (at(60), at(120)));
}

#[test]
fn a_correction_stands_in_the_place_of_its_reading() {
    let fix = |id, of, ml: Option<i32>| {
        let reading = ml.map(level).map(|what| match what {
            What::Reading(reading) => reading,
            _ => unreachable!(),
        });
        entry(
            id,
            60,
            What::Correction {
                of: EntryId(of),
                reading,
            },
        )
    };
    let base = [entry(1, 60, level(500)), entry(2, 120, level(80))];
    let with = |more: &[Entry]| Series::new(start(), base.iter().chain(more).cloned());
    assert_eq!(with(&[]).problems().len(), 1);
    let fixed = with(&[fix(3, 1, Some(50))]);
    assert!(fixed.problems().is_empty());
    assert_eq!(total(&fixed), 80);
    assert_eq!(fixed.entries()[0].id, EntryId(3));
    // A correction of the correction, and a strike.
    assert_eq!(
        total(&with(&[fix(3, 1, Some(50)), fix(4, 3, Some(60))])),
        80
    );
    assert_eq!(with(&[fix(3, 1, None)]).entries().len(), 1);
    assert_eq!(
        with(&[fix(3, 9, Some(50))]).problems()[0],
        Problem::CorrectsNothing { entry: EntryId(3) }
    );
}

#[test]
fn late_entries_go_to_their_right_place() {
    let mut late = entry(3, 90, level(70));
    late.written_at = at(200);
    let series = Series::new(
        start(),
        [entry(1, 60, level(50)), entry(2, 120, level(100)), late],
    );
    assert_eq!(
        series.entries().iter().map(|e| e.id.0).collect::<Vec<_>>(),
        [1, 3, 2]
    );
    assert_eq!(series.late(Span::minutes(60)), [EntryId(3)]);
}

#[test]
fn a_change_answered_afterwards_takes_the_reading_along() {
    // The new unit's zero was charted first, and the change told for the same moment after it.
    let told = [
        entry(1, 60, level(320)),
        entry(2, 120, level(0)),
        entry(3, 120, new_unit(Some(350))),
        entry(4, 180, level(90)),
    ];
    let series = Series::new(start(), told);
    assert!(series.problems().is_empty(), "{:?}", series.problems());
    assert_eq!(total(&series), 440);
}

#[test]
fn a_change_without_a_last_level_leaves_a_stretch_unknown() {
    let entries = [
        entry(1, 60, level(320)),
        entry(2, 90, new_unit(None)),
        entry(3, 120, level(40)),
    ];
    let series = Series::new(start(), entries);
    assert_eq!(total(&series), 360);
    let unknown = series.total().unknown;
    assert_eq!(unknown.len(), 1);
    assert_eq!((unknown[0].from, unknown[0].to), (at(60), at(90)));
}

#[test]
fn impossible_entries_are_named_and_not_counted() {
    let entries = [
        entry(1, -5, level(10)),
        entry(2, 60, level(-1)),
        entry(3, 60, level(2_000_000)),
        entry(4, 60, level(50)),
        entry(5, 60, level(60)),
    ];
    let series = Series::new(start(), entries);
    assert_eq!(
        series.problems(),
        [
            Problem::BeforeStart {
                entry: EntryId(1),
                at: at(-5)
            },
            Problem::OutOfRange { entry: EntryId(2) },
            Problem::OutOfRange { entry: EntryId(3) },
            Problem::SameMoment {
                entry: EntryId(5),
                at: at(60)
            },
        ]
    );
    assert_eq!(total(&series), 60);
}

#[test]
fn a_level_not_obtained_is_not_zero() {
    let blank = What::Reading(Arc::default());
    let series = Series::new(start(), [entry(1, 60, level(50)), entry(2, 120, blank)]);
    assert_eq!(total(&series), 50);
    assert_eq!(series.last_level().unwrap().1, Number::whole(50));
}
