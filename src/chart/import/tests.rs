//! Good texts, and every kind of bad one.

use super::*;
use crate::chart::reading::{Bubbling, Swing};
use crate::units::{Amount, Number};
use chrono::TimeZone;
use proptest::prelude::*;

fn moment_of(text: &str) -> Moment {
    Moment::parse_from_rfc3339(text).unwrap()
}

/// A drain connected on 25 October 2025, the day before the clocks went back in the United
/// Kingdom (IANA time zone database, Europe/London).
fn read(text: &str) -> Result<Vec<Imported>, Vec<ImportProblem>> {
    let charted = [moment_of("2025-10-25T12:00:00+01:00")];
    import(
        text,
        &Surroundings {
            now: moment_of("2025-10-27T08:00:00+00:00"),
            start: moment_of("2025-10-25T10:00:00+01:00"),
            charted: &charted,
            local: &|local| {
                let found = chrono_tz::Europe::London.from_local_datetime(&local);
                found.map(|at| at.fixed_offset())
            },
        },
    )
}

/// The only problem, as (line, column, reason).
fn problem(text: &str) -> (usize, usize, Why) {
    let mut problems = read(text).unwrap_err();
    assert_eq!(problems.len(), 1, "{problems:?}");
    let ImportProblem { line, column, why } = problems.remove(0);
    (line, column, why)
}

#[test]
fn a_good_text_gives_its_readings() {
    let text = "seen-at,level (mL),swing,bubbling,suction-set,seal-depth (cm),saturation,blood-pressure,action\r\n\
                2025-10-25 11:00,150,small,2,-20 cmH2O,2,96,120/80,\"turned, \"\"no\"\" pain\"\r\n\
                \r\n\
                2025-10-25T24:00,\"152,5\",-,,2 kPa,,,,\r\n";
    let readings = read(text).unwrap();
    let [first, second] = &readings[..] else {
        panic!("{readings:?}");
    };
    assert_eq!((first.line, second.line), (2, 4));
    assert_eq!(first.at, moment_of("2025-10-25T11:00:00+01:00"));
    assert_eq!(first.reading.level, Some(Number::whole(150)));
    assert_eq!(first.reading.swing, Some(Swing::Small));
    assert_eq!(first.reading.bubbling, Some(Bubbling::OnBreathOut));
    assert_eq!(first.reading.action.as_deref(), Some("turned, \"no\" pain"));
    assert_eq!(second.at, moment_of("2025-10-26T00:00:00+01:00"));
    assert_eq!(second.reading.level, Some(Number::from_milli(152_500)));
    assert_eq!(second.reading.swing, None);
    let suction = second.reading.suction_set.unwrap();
    assert_eq!(suction.magnitude(), Amount::parse("2 kPa").unwrap());
}

#[test]
fn semicolons_leave_room_for_decimal_commas() {
    let readings = read("seen-at;level\n2025-10-25 11:00;0,15 L\n").unwrap();
    assert_eq!(readings[0].reading.level, Some(Number::whole(150)));
    let (line, _, why) = problem("seen-at,level\n2025-10-25 11:00,0,15 L\n");
    assert_eq!(
        (line, why),
        (
            2,
            Why::CellCount {
                found: 3,
                expected: 2
            }
        )
    );
}

#[test]
fn amounts_need_units_that_fit() {
    let cell = |cell: &str| problem(&format!("seen-at,level\n2025-10-25 11:00,{cell}\n"));
    assert!(matches!(
        cell("150"),
        (2, 18, Why::Amount(BadAmount::NoUnit { .. }))
    ));
    assert!(matches!(
        cell("150 cc"),
        (2, 18, Why::Amount(BadAmount::UnknownUnit { .. }))
    ));
    assert!(matches!(cell("150 kPa"), (2, 18, Why::WrongUnit { .. })));
    assert!(matches!(
        cell("-5 mL"),
        (2, 18, Why::Negative(Column::Level))
    ));
    assert!(matches!(cell("15o mL"), (2, 18, _)));
    assert!(matches!(
        problem("seen-at,level (cm)\n"),
        (1, 9, Why::WrongUnit { .. })
    ));
}

#[test]
fn times_are_held_against_the_drain() {
    let time = |time: &str| problem(&format!("seen-at,level\n{time},1 mL\n")).2;
    assert_eq!(time("2025-10-27 09:00"), Why::Future);
    assert_eq!(time("2025-10-25 09:59"), Why::BeforeStart);
    assert_eq!(time("2025-10-25 12:00"), Why::AlreadyCharted);
    assert_eq!(
        time("2025-10-26 01:30"),
        Why::Twice("2025-10-26 01:30".to_owned())
    );
    assert_eq!(
        time("25/10/2025 11:00"),
        Why::NotAMoment("25/10/2025 11:00".to_owned())
    );
    assert_eq!(
        time("2025-10-25 24:01"),
        Why::NotAMoment("2025-10-25 24:01".to_owned())
    );
    assert_eq!(time(""), Why::MomentMissing);
    let both = "seen-at,level\n2025-10-26T01:30+01:00,1 mL\n2025-10-26T01:30Z,2 mL\n";
    assert_eq!(read(both).unwrap().len(), 2);
    let twice = "seen-at,level\n2025-10-25 11:00,1 mL\n2025-10-25T10:00Z,2 mL\n";
    assert_eq!(problem(twice), (3, 1, Why::Duplicate(2)));
}

#[test]
fn the_first_line_is_checked() {
    assert_eq!(problem("").2, Why::Empty);
    assert_eq!(problem("level (mL)\n").2, Why::NoMoments);
    assert_eq!(
        problem("\"seen-at,level\n2025-10-25 11:00,1 mL\n").2,
        Why::Quotes
    );
    let unknown = problem("seen-at,volume\n");
    assert_eq!((unknown.0, unknown.1), (1, 9));
    assert!(
        unknown
            .2
            .to_string()
            .contains("known are seen-at, level, fluid")
    );
    assert!(matches!(
        problem("seen-at,level,level\n").2,
        Why::TwiceColumn(_)
    ));
}

#[test]
fn every_problem_is_told_and_nothing_is_imported() {
    let text = "seen-at,level,swing,pain\n\
                2025-10-25 11:00,1 mL,wild,11\n\
                2025-10-25 13:00,2 mL,small,3\n\
                2025-10-25 14:00,\"3 mL,small,3\n\
                2025-10-25 15:00,-,,\n";
    let problems = read(text).unwrap_err();
    let places: Vec<_> = problems.iter().map(|p| (p.line, p.column)).collect();
    assert_eq!(places, [(2, 23), (2, 28), (4, 18), (5, 1)]);
    assert_eq!(
        problems[0].to_string(),
        "line 2, column 23: \"wild\" is not a word for swing; use none, small, large, seen"
    );
    assert_eq!(problems[3].why, Why::NothingObtained);
}

proptest! {
    #[test]
    fn no_text_makes_it_fall_over(text in "(seen-at,level\n)?[\"0-9,;:T Z.+\n\rmL-]{0,80}") {
        if let Err(problems) = read(&text) {
            prop_assert!(!problems.is_empty());
        }
    }
}
