//! Times across both summer-time changes of two zones, through the whole program.
//!
//! The changes: Europe/London 2026-03-29 01:00 UTC and 2026-10-25 01:00 UTC; America/New_York
//! 2026-03-08 07:00 UTC and 2026-11-01 06:00 UTC (IANA time zone database; the offsets on either
//! side are compared with Python's zoneinfo in `tests/reference/zones.py`).

use crate::rig::Rig;

/// The zone, the clock five minutes before the change (UTC), and the offsets before and after it.
const CHANGES: &[(&str, &str, &str, &str)] = &[
    ("Europe/London", "2026-03-29T00:55:00Z", "+00:00", "+01:00"),
    ("Europe/London", "2026-10-25T00:55:00Z", "+01:00", "+00:00"),
    (
        "America/New_York",
        "2026-03-08T06:55:00Z",
        "-05:00",
        "-04:00",
    ),
    (
        "America/New_York",
        "2026-11-01T05:55:00Z",
        "-04:00",
        "-05:00",
    ),
];

fn in_zone(zone: &str, clock: &str) -> Rig {
    let mut rig = Rig::new();
    rig.clock(clock);
    rig.write("unit/local.yaml", format!("unit: A ward\nzone: {zone}\n"));
    rig
}

fn local(rig: &Rig) -> String {
    rig.path("unit").display().to_string()
}

#[test]
fn an_interval_across_the_change_is_as_long_as_it_was() {
    for (zone, clock, before, after) in CHANGES {
        let rig = in_zone(zone, clock);
        let folder = local(&rig);
        let answers = "none of these\n+15m\ny\np\n";
        rig.run_with(
            &["start", "no-swing", "--by", "AB, RN", "--local", &folder],
            answers,
        )
        .code(3);
        let kept = rig.run(&["journal", "export", "-"]).code(0).out;
        let seen: Vec<chrono::DateTime<chrono::FixedOffset>> = kept
            .lines()
            .map(|line| {
                let entry: serde_json::Value = serde_json::from_str(line).expect("JSON");
                let text = entry["seen_at"].as_str().expect("a moment").to_owned();
                chrono::DateTime::parse_from_rfc3339(&text).expect("RFC 3339")
            })
            .collect();
        let offsets: Vec<String> = seen.iter().map(|one| one.offset().to_string()).collect();
        assert_eq!(offsets[0], *before, "{zone} {clock}");
        assert_eq!(offsets.last().expect("one"), after, "{zone} {clock}");
        let minutes = (seen[2] - seen[1]).num_minutes();
        assert_eq!(minutes, 15, "{zone} {clock}");
        let record = rig
            .run(&[
                "record", "incident", "--walk", "w1", "--out", "-", "--local", &folder,
            ])
            .code(0)
            .out;
        assert!(
            record.contains(&format!("UTC{before}")) && record.contains(&format!("UTC{after}")),
            "{record}"
        );
    }
}

/// After the autumn change 01:30 has been twice: the person is asked which; in spring it never was.
#[test]
fn a_typed_time_in_the_doubled_hour_is_asked_and_in_the_missing_hour_refused() {
    let rig = in_zone("Europe/London", "2026-10-25T02:30:00Z");
    let folder = local(&rig);
    let start = ["start", "no-swing", "--by", "AB, RN", "--local", &folder];
    let said = rig.run_with(&start, "@01:30 none of these\np\n").code(3);
    let all = format!("{}{}", said.out, said.err);
    assert!(
        all.contains("came twice") && all.contains("2026-10-25T01:30:00+01:00"),
        "{all}"
    );
    let kept = rig.run(&["journal", "export", "-"]).code(0).out;
    assert!(!kept.contains("\"answered\""), "nothing is guessed: {kept}");

    let rig = in_zone("Europe/London", "2026-03-29T02:30:00Z");
    let folder = local(&rig);
    let start = ["start", "no-swing", "--by", "AB, RN", "--local", &folder];
    let said = rig.run_with(&start, "@01:30 none of these\np\n").code(3);
    let all = format!("{}{}", said.out, said.err);
    assert!(all.contains("forward"), "{all}");
    let kept = rig.run(&["journal", "export", "-"]).code(0).out;
    assert!(!kept.contains("\"answered\""), "{kept}");
}
