//! Tests of what a person types for a time. Changes of the clocks: the IANA time zone database;
//! the moments at them were worked out with Python's zoneinfo (tzdata 2025b), as
//! `tests/reference/zones.py` does for the whole table.

use super::*;

fn moment(text: &str) -> Moment {
    Moment::parse_from_rfc3339(text).unwrap()
}

fn london() -> Zone {
    Zone::named("Europe/London").unwrap()
}

fn read(text: &str, now: &str) -> Result<Typed, BadMoment> {
    read_typed(text, london(), moment(now))
}

fn reads_as(text: &str, now: &str, expected: &str, day_before: bool) {
    let typed = read(text, now);
    let moment = moment(expected);
    assert_eq!(
        typed,
        Ok(Typed::One { moment, day_before }),
        "{text} at {now}"
    );
    let Ok(Typed::One { moment: found, .. }) = typed else {
        return;
    };
    assert_eq!(found.to_rfc3339(), expected, "{text} at {now}");
}

#[test]
fn a_time_alone_is_the_last_one_that_can_be_meant() {
    let now = "2026-03-02T04:30:00+00:00";
    reads_as("04:10", now, "2026-03-02T04:10:00+00:00", false);
    reads_as("4:10", now, "2026-03-02T04:10:00+00:00", false);
    reads_as("0410", now, "2026-03-02T04:10:00+00:00", false);
    reads_as(" 04:10:30 ", now, "2026-03-02T04:10:30+00:00", false);
    reads_as("04:30", now, "2026-03-02T04:30:00+00:00", false);
    reads_as("23:50", now, "2026-03-01T23:50:00+00:00", true);
    reads_as(
        "23:50",
        "2026-03-01T00:20:00+00:00",
        "2026-02-28T23:50:00+00:00",
        true,
    );
}

#[test]
fn a_time_a_little_ahead_is_refused_rather_than_guessed() {
    for (text, now) in [
        ("04:31", "2026-03-02T04:30:00+00:00"),
        ("16:30", "2026-03-02T04:30:00+00:00"),
        ("today 23:50", "2026-03-02T04:30:00+00:00"),
        ("2026-03-02 23:50", "2026-03-02T04:30:00+00:00"),
        ("2027-01-01 00:00", "2026-03-02T04:30:00+00:00"),
        ("2026-03-02T04:30:01Z", "2026-03-02T04:30:00+00:00"),
    ] {
        let result = read(text, now);
        assert!(
            matches!(result, Err(BadMoment::StillToCome { .. })),
            "{text}: {result:?}"
        );
    }
    assert_eq!(
        read("04:31", "2026-03-02T04:30:00+00:00")
            .unwrap_err()
            .to_string(),
        "04:31 on 2026-03-02 is later than now (04:30 on 2026-03-02): a thing cannot be seen before \
         it happens. For the day before, write: yesterday 04:31"
    );
}

#[test]
fn days_dates_and_spans_are_read() {
    let now = "2026-03-02T04:30:00+00:00";
    for text in [
        "yesterday 23:50",
        "23:50 yesterday",
        "Yesterday 2350",
        "2026-03-01 23:50",
        "2026-03-01T23:50",
    ] {
        reads_as(text, now, "2026-03-01T23:50:00+00:00", false);
    }
    reads_as("today 04:10", now, "2026-03-02T04:10:00+00:00", false);
    reads_as("now", now, now, false);
    for text in ["20 min ago", "20min ago", "20 minutes ago"] {
        reads_as(text, now, "2026-03-02T04:10:00+00:00", false);
    }
    reads_as("5 h ago", now, "2026-03-01T23:30:00+00:00", false);
    reads_as(
        "2026-03-02T05:10:00+01:00",
        now,
        "2026-03-02T04:10:00+00:00",
        false,
    );
}

#[test]
fn what_is_no_time_is_told_apart() {
    let now = "2026-03-02T04:30:00+00:00";
    for text in [
        "",
        " ",
        "soon",
        "4",
        "410",
        "04.10",
        "04:1",
        "4:10:3",
        "04:10:00:00",
        "-4:10",
        "é4:0",
        "ééé",
        "tomorrow 04:10",
        "26-03-01 04:10",
        "2026-3-1 04:10",
        "+2026-03-01 04:10",
        "20 mL ago",
        "ago",
        "t",
        "9999999999999999 d ago",
        "20 min",
        "yesterday",
        "today today",
    ] {
        let result = read(text, now);
        assert!(
            matches!(result, Err(BadMoment::NotATime { .. })),
            "{text}: {result:?}"
        );
    }
    let midnight = read("24:00", now);
    assert!(matches!(midnight, Err(BadMoment::EndOfDay { .. })));
    for text in [
        "04:60",
        "0460",
        "2026-02-29 04:10",
        "2026-13-01 04:10",
        "yesterday 25:00",
    ] {
        let result = read(text, now);
        assert!(
            matches!(result, Err(BadMoment::NoSuchTime { .. })),
            "{text}: {result:?}"
        );
    }
    for text in ["4:10 pm", "4:10pm", "4am", "yesterday 4:10pm", "04:10 a.m."] {
        let result = read(text, now);
        assert!(
            matches!(result, Err(BadMoment::TwelveHours { .. })),
            "{text}: {result:?}"
        );
    }
}

#[test]
fn the_hour_that_comes_twice_is_asked_about() {
    // zoneinfo: fold=0 is 00:30Z, fold=1 is 01:30Z.
    let after = "2026-10-25T05:00:00+00:00";
    for text in ["01:30", "2026-10-25 01:30"] {
        let typed = read(text, after).unwrap();
        let (earlier, later) = (
            moment("2026-10-25T01:30:00+01:00"),
            moment("2026-10-25T01:30:00+00:00"),
        );
        assert_eq!(typed, Typed::Two { earlier, later });
        assert_eq!(typed.settled(Which::Earlier), earlier);
        assert_eq!(typed.settled(Which::Later), later);
    }
    reads_as("00:59", after, "2026-10-25T00:59:00+01:00", false);
    reads_as("02:00", after, "2026-10-25T02:00:00+00:00", false);
}

#[test]
fn before_the_hour_has_come_twice_only_its_first_pass_can_be_meant() {
    let first_pass = "2026-10-25T01:45:00+01:00";
    reads_as("01:30", first_pass, "2026-10-25T01:30:00+01:00", false);
    let second_pass = "2026-10-25T01:15:00+00:00";
    reads_as("01:30", second_pass, "2026-10-25T01:30:00+01:00", false);
    let result = read("01:10", second_pass).unwrap();
    assert!(matches!(result, Typed::Two { .. }), "{result:?}");
}

#[test]
fn the_hour_that_never_was_is_refused_with_the_reason() {
    let error = read("01:30", "2026-03-29T05:00:00+01:00").unwrap_err();
    assert_eq!(
        error.to_string(),
        "01:30 on 2026-03-29 did not exist: the clocks went forward from 01:00 to 02:00. \
         Look at the clock you read it from, and type the time again"
    );
    let error = read("2026-03-29 01:00", "2026-04-01T05:00:00+01:00").unwrap_err();
    assert!(matches!(error, BadMoment::SkippedHour { .. }));
    reads_as(
        "00:59",
        "2026-03-29T05:00:00+01:00",
        "2026-03-29T00:59:00+00:00",
        false,
    );
    reads_as(
        "02:00",
        "2026-03-29T05:00:00+01:00",
        "2026-03-29T02:00:00+01:00",
        false,
    );
}

#[test]
fn half_an_hour_counts_too() {
    // Lord Howe goes back by half an hour at 02:00 on 2026-04-05, forward at 02:00 on 2026-10-04.
    let zone = Zone::named("Australia/Lord_Howe").unwrap();
    let typed = read_typed("01:45", zone, moment("2026-04-05T06:00:00+10:30"));
    assert_eq!(
        typed,
        Ok(Typed::Two {
            earlier: moment("2026-04-05T01:45:00+11:00"),
            later: moment("2026-04-05T01:45:00+10:30"),
        })
    );
    let error = read_typed("02:15", zone, moment("2026-10-04T06:00:00+11:00")).unwrap_err();
    assert!(error.to_string().contains("from 02:00 to 02:30"), "{error}");
}

#[test]
fn ago_counts_hours_that_passed_not_hours_on_the_clock() {
    // 03:00 on the spring day is three hours after 23:00 the evening before, not four.
    reads_as(
        "3 h ago",
        "2026-03-29T03:00:00+01:00",
        "2026-03-28T23:00:00+00:00",
        false,
    );
    reads_as(
        "5 h ago",
        "2026-10-25T03:00:00+00:00",
        "2026-10-24T23:00:00+01:00",
        false,
    );
}

proptest::proptest! {
    #[test]
    fn nothing_typed_brings_it_down(text in "\\PC{0,24}|[0-9:T +-]{0,24}|(now|ago|today|yesterday|[0-9]{1,19} (min|h|d)| ){0,4}") {
        for now in ["2026-10-25T01:45:00+01:00", "0001-01-01T00:00:00+00:00"] {
            if let Ok(Typed::One { moment, .. }) = read(&text, now) {
                proptest::prop_assert!(moment <= super::Moment::parse_from_rfc3339(now).unwrap());
            }
        }
    }
}
