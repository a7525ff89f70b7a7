//! Both summer-time changes of two zones, through the whole program: what falls due, what was
//! seen earlier, how long it took.
//!
//! The clock times on each side of a change are those of the IANA time zone database, read with
//! Python's `zoneinfo`; the program reads them from the `chrono-tz` package.

use chrono::{DateTime, FixedOffset, TimeDelta};
use serde_json::Value;

use crate::rig::Rig;

/// Fifteen minutes before a change, and what the clocks on the wall show then and half an hour
/// later.
struct Change {
    zone: &'static str,
    utc: &'static str,
    begins: &'static str,
    due: &'static str,
}

const CHANGES: &[Change] = &[
    Change {
        zone: "Europe/London",
        utc: "2026-03-29T00:45:00Z",
        begins: "2026-03-29T00:45:00+00:00",
        due: "2026-03-29T02:15:00+01:00",
    },
    Change {
        zone: "Europe/London",
        utc: "2026-10-25T00:45:00Z",
        begins: "2026-10-25T01:45:00+01:00",
        due: "2026-10-25T01:15:00+00:00",
    },
    Change {
        zone: "America/New_York",
        utc: "2026-03-08T06:45:00Z",
        begins: "2026-03-08T01:45:00-05:00",
        due: "2026-03-08T03:15:00-04:00",
    },
    Change {
        zone: "America/New_York",
        utc: "2026-11-01T05:45:00Z",
        begins: "2026-11-01T01:45:00-04:00",
        due: "2026-11-01T01:15:00-05:00",
    },
];

const FAULT: &str = "checklist: level-watch
title: The level is watched
version: 1.0.0
kind: fault
mode: read-do
signs: [the level is to be watched]
recognise: The level is to be watched for half an hour.
owner: Tests
sources: {t: \"common practice, no source\"}
begin: patient
steps:
  patient:
    ask: Is the patient worse?
    source: t
    tags: [patient-first]
    answers:
      - no worse: watch
      - worse: call
      - not sure: {unsure: true, go: call}
  watch:
    wait: Watch the level in the water seal.
    for: 30 min
    late_after: 10 min
    source: t
    elapsed: done
    if_missed: call
  call:
    do: Call the doctor now.
    call: doctor-now
    source: t
    tags: [help, escalate]
    then: handed-over
    if_not_done: handed-over
  done:
    end: The level was watched. Worse or unsure, call.
    outcome: resolved
  handed-over:
    end: Stay with the patient. Worse or unsure, call again.
    outcome: escalated
";

fn ward(zone: &str, clock: &str) -> Rig {
    let mut rig = Rig::new();
    rig.write(
        "ward/local.yaml",
        format!("unit: Made ward\nzone: {zone}\n"),
    );
    rig.write("ward/checklists/level-watch.yaml", FAULT);
    let folder = rig.path("ward");
    rig.local_folder(&folder).clock(clock);
    rig.run(&["drain", "new", "place=bay 4", "--by", "AB, RN"])
        .code(0);
    rig
}

const START: &[&str] = &[
    "start",
    "level-watch",
    "--drain",
    "d1",
    "--plain",
    "--by",
    "AB, RN",
];

/// When each answer was seen, as the journal holds it.
fn seen(rig: &Rig) -> Vec<DateTime<FixedOffset>> {
    let exported = rig.run(&["journal", "export", "-"]).code(0);
    let entries = exported.out.lines().map(|line| {
        let entry: Value = serde_json::from_str(line).expect("a line of JSON");
        entry
    });
    let answers = entries.filter(|entry| entry["kind"] == "answered");
    answers
        .map(|entry| moment(entry["seen_at"].as_str().expect("a moment")))
        .collect()
}

fn moment(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).expect("a moment")
}

/// Half an hour stays half an hour, whatever the clock on the wall does meanwhile.
#[test]
fn a_wait_across_each_change() {
    for change in CHANGES {
        let rig = ward(change.zone, change.utc);
        let (begins, due) = (moment(change.begins), moment(change.due));
        assert_eq!(begins, moment(change.utc), "the table itself");
        assert_eq!(due - begins, TimeDelta::minutes(30), "the table itself");

        let said = rig
            .run_with(START, "no worse\ny\n+29m\ny\n+1m\ny\ny\n")
            .code(0);
        let until = format!("Watch until {}", due.format("%H:%M"));
        assert!(said.out.contains(&until), "{until}: {}", said.out);
        let not_yet = format!("Not yet: watch until {}", due.format("%H:%M"));
        assert_eq!(
            said.out.matches(&not_yet).count(),
            2,
            "{not_yet}: {}",
            said.out
        );

        let seen = seen(&rig);
        assert_eq!(seen.len(), 3);
        assert_eq!(seen[0].offset(), begins.offset(), "{}", change.begins);
        assert_eq!(seen[1].offset(), due.offset(), "{}", change.due);
        let took = seen[1] - seen[0];
        assert!(took >= TimeDelta::minutes(30), "{took}");
        assert!(took < TimeDelta::minutes(32), "{took}");
    }
}

/// The record gives each moment by the clock on the wall, and the true length between them.
#[test]
fn lengths_in_the_record_across_each_change() {
    for change in CHANGES {
        let rig = ward(change.zone, change.utc);
        rig.run_with(START, "no worse\n+30m\nn: called away\ny\ny\n")
            .code(0);
        let record = rig
            .run(&["record", "incident", "--drain", "d1", "--out", "-"])
            .code(0)
            .out;
        let (begins, due) = (moment(change.begins), moment(change.due));
        let rows: Vec<&str> = record
            .lines()
            .filter(|line| line.starts_with('|'))
            .collect();
        let whole = rows.iter().find(|row| {
            row.contains(&begins.format("%H:%M").to_string())
                && row.contains(&due.format("%H:%M").to_string())
                && row.contains("first call for help")
                && row.contains("30 min")
        });
        assert!(whole.is_some(), "{}: {record}", change.zone);
        for offset in [begins, due] {
            let offset = offset.format("UTC%:z").to_string();
            assert!(record.contains(&offset), "{offset} is not in {record}");
        }
        // An underscore would be emphasis in Markdown.
        let zone = change.zone.replace('_', "\\_");
        assert!(record.contains(&zone), "{record}");
    }
}

/// An hour that came twice is asked about; an hour that never was is refused. Nothing is answered
/// by a time that may be the wrong one.
#[test]
fn times_that_came_twice_or_never() {
    let cases = [
        (
            "Europe/London",
            "2026-10-25T02:30:00Z",
            "01:30",
            Ok(["2026-10-25T01:30:00+01:00", "2026-10-25T01:30:00+00:00"]),
        ),
        (
            "America/New_York",
            "2026-11-01T07:30:00Z",
            "01:30",
            Ok(["2026-11-01T01:30:00-04:00", "2026-11-01T01:30:00-05:00"]),
        ),
        (
            "Europe/London",
            "2026-03-29T02:30:00Z",
            "01:30",
            Err("did not exist: the clocks went forward from 01:00 to 02:00"),
        ),
        (
            "America/New_York",
            "2026-03-08T08:00:00Z",
            "02:30",
            Err("did not exist: the clocks went forward from 02:00 to 03:00"),
        ),
    ];
    for (zone, clock, typed, wanted) in cases {
        let rig = ward(zone, clock);
        let said = rig.run_with(START, &format!("@{typed} no worse\n")).code(3);
        assert_eq!(seen(&rig).len(), 0, "{}", said.out);
        let note = rig
            .run(&[
                "note", "--drain", "d1", "--seen", typed, "quiet", "--by", "AB, RN",
            ])
            .code(2);
        let words = match &wanted {
            Ok(both) => both.to_vec(),
            Err(why) => vec![*why],
        };
        for words in words {
            assert!(said.out.contains(words), "{zone} {typed}: {}", said.out);
            assert!(note.err.contains(words), "{zone} {typed}: {}", note.err);
        }
        for exact in wanted.into_iter().flatten() {
            let rig = ward(zone, clock);
            rig.run_with(START, &format!("@{exact} no worse\n")).code(3);
            let seen = seen(&rig);
            assert_eq!(seen.len(), 1);
            assert_eq!(seen[0].to_rfc3339(), exact);
        }
    }
}
