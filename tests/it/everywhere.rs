//! The same journal gives the same bytes in every zone and under every setting of the language.

use crate::afterwards::one_walk;
use crate::rig::{Rig, said};

/// Zones on both sides of the day, with half hours, and settings whose letters, commas and alphabets
/// differ from ours. None of them need be installed: a program that asked for one would show it.
const SETTINGS: &[(&str, &str, &str)] = &[
    ("UTC", "C", "C"),
    ("Pacific/Auckland", "de_DE.UTF-8", "de_DE.UTF-8"),
    ("America/St_Johns", "tr_TR.UTF-8", "C"),
    ("Asia/Kathmandu", "ar_EG.UTF-8", "th_TH.UTF-8"),
];

/// Everything that leaves a journal as a document.
const DOCUMENTS: &[&[&str]] = &[
    &["record", "setup", "--drain", "d1"],
    &["record", "setup", "--drain", "d1", "--format", "fhir"],
    &["record", "incident", "--walk", "w1"],
    &["record", "handover", "--drain", "d1", "--format", "html"],
    &["record", "chart", "--drain", "d1", "--format", "html"],
    &["record", "chart", "--drain", "d1", "--format", "json"],
    &["record", "chart", "--drain", "d1", "--format", "fhir"],
    &["review", "--json", "--rehearsals"],
];

/// A walk and a chart, written on the two sides of a midnight and of a change of the hour.
fn charted() -> Rig {
    let mut rig = one_walk();
    for (time, level) in [
        ("2026-03-28T23:40:00Z", "level=100 mL"),
        ("2026-03-29T00:40:00Z", "level=150 mL"),
        ("2026-03-29T01:10:00Z", "level=190 mL"),
        ("2026-03-29T07:10:00Z", "level=400 mL"),
    ] {
        rig.clock(time);
        rig.run(&[
            "chart",
            "add",
            "--drain",
            "d1",
            "--by",
            "AB, RN",
            "--sure",
            level,
            "swing=small",
        ])
        .code(0);
    }
    rig
}

fn documents(rig: &Rig, setting: &(&str, &str, &str)) -> Vec<String> {
    let (zone, all, lang) = *setting;
    let made = DOCUMENTS.iter().map(|args| {
        let args = match args[0] {
            "record" => [*args, &["--out", "-", "--by", "AB, RN"]].concat(),
            _ => args.to_vec(),
        };
        let mut command = rig.command(&args);
        command.env("TZ", zone).env("LC_ALL", all).env("LANG", lang);
        let said = said(&command.output().expect("it runs")).code(0);
        assert!(said.out.len() > 100, "{args:?}: {}", said.out);
        said.out
    });
    made.collect()
}

fn compare(rig: &Rig) {
    let first = documents(rig, &SETTINGS[0]);
    for setting in &SETTINGS[1..] {
        for ((args, ours), theirs) in DOCUMENTS.iter().zip(&first).zip(documents(rig, setting)) {
            let line = ours.lines().zip(theirs.lines()).find(|(a, b)| a != b);
            assert!(*ours == theirs, "{args:?} with {setting:?}: {line:?}");
        }
    }
}

#[test]
fn a_unit_that_names_its_zone() {
    compare(&charted());
}

#[test]
fn a_unit_that_has_filled_in_nothing() {
    let mut rig = charted();
    let empty = rig.path("empty");
    std::fs::create_dir(&empty).expect("a folder");
    rig.local_folder(&empty);
    compare(&rig);
}
