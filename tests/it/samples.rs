//! The rendered samples: made by the demonstration shift, compared to the byte, the same everywhere.
//!
//! `TUBESIDE_UPDATE=1 cargo test samples` writes them anew; the difference is then for review.

use std::fs;
use std::path::{Path, PathBuf};

use crate::rig::Rig;

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("reports/samples")
}

/// The demonstration in a fresh folder, with the records it wrote.
fn shift(rig: &Rig) -> Vec<PathBuf> {
    let into = rig.path("shift");
    rig.run(&["demo", "--into", &into.display().to_string()])
        .code(0)
        .says("Rehearsal. This was made for practice or with a set clock.");
    let mut records: Vec<PathBuf> = fs::read_dir(into.join("reports"))
        .expect("the records were written")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    records.sort();
    records
}

/// Identifiers and the hashes that hold them are new with each shift; everything else is not.
fn without_identifiers(text: &str) -> String {
    let is_hash = |word: &str| word.len() == 64 && word.chars().all(|c| c.is_ascii_hexdigit());
    let is_id = |word: &str| word.len() == 36 && word.matches('-').count() == 4;
    let lines = text.lines().map(|line| {
        // The fingerprint of a checklist stands in a table and is the same each time.
        let in_table = line.starts_with('|');
        let words = line.split(' ').map(|word| {
            let bare = word.trim_end_matches(',');
            if is_id(bare) {
                word.replace(bare, "IDENTIFIER")
            } else if is_hash(bare) && !in_table {
                word.replace(bare, "HASH")
            } else {
                word.to_owned()
            }
        });
        words.collect::<Vec<_>>().join(" ")
    });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

#[test]
fn the_samples_are_what_the_shift_gives() {
    let rig = Rig::new();
    let records = shift(&rig);
    for kind in ["setup", "incident", "handover"] {
        let record = records
            .iter()
            .find(|path| path.to_string_lossy().contains(kind));
        let text = fs::read_to_string(record.expect(kind)).expect("a record");
        let text = without_identifiers(&text);
        let sample = samples().join(format!("{kind}.md"));
        if std::env::var_os("TUBESIDE_UPDATE").is_some() {
            fs::create_dir_all(samples()).expect("a folder");
            fs::write(&sample, &text).expect("the sample");
        }
        let filed = fs::read_to_string(&sample).unwrap_or_default();
        assert!(
            filed == text,
            "{}: made anew it differs; see the head of this file",
            sample.display()
        );
    }
}

#[test]
fn a_record_is_the_same_to_the_byte_in_every_zone_and_locale() {
    let rig = Rig::new();
    shift(&rig);
    let journal = rig.path("shift/journal.db").display().to_string();
    let local = rig.path("shift").display().to_string();
    let args = [
        "record",
        "incident",
        "--drain",
        "d1",
        "--out",
        "-",
        "--journal",
        &journal,
        "--local",
        &local,
    ];
    let mut seen = Vec::new();
    for (zone, locale) in [
        ("UTC", "C"),
        ("Pacific/Auckland", "de_DE.UTF-8"),
        ("America/St_Johns", "tr_TR.UTF-8"),
    ] {
        let mut command = rig.command(&args);
        let output = command
            .env("TZ", zone)
            .env("LANG", locale)
            .env("LC_ALL", locale)
            .output();
        let output = output.expect("the program ends");
        assert!(output.status.success());
        seen.push(output.stdout);
    }
    assert!(!seen[0].is_empty());
    assert!(seen.iter().all(|one| *one == seen[0]));
}

#[test]
fn a_filed_record_is_recognised_and_a_changed_one_is_not() {
    let rig = Rig::new();
    let records = shift(&rig);
    let incident = records
        .iter()
        .find(|path| path.to_string_lossy().contains("incident"))
        .expect("one");
    let journal = rig.path("shift/journal.db").display().to_string();
    let local = rig.path("shift").display().to_string();
    let file = incident.display().to_string();
    let base = ["--journal", &journal, "--local", &local];
    let check = [
        &["record", "incident", "--drain", "d1", "--check", &file],
        &base[..],
    ]
    .concat();
    rig.run(&check).code(0).says("is what the journal says");
    let verify = [&["journal", "verify", &file], &base[..]].concat();
    rig.run(&verify).code(0).says("the chain is whole");

    let text = fs::read_to_string(incident).expect("a record");
    fs::write(incident, text.replace("Soiled or out of reach", "Clean")).expect("changed");
    rig.run(&check)
        .code(1)
        .says("is not what the journal says, from line");
    rig.run(&verify)
        .code(1)
        .says("not as it was written by EF, senior RN");
}
