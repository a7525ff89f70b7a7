//! Records and the journal against each other, with the real program and the real `sha256sum`.

use std::io::Write as _;
use std::process::{Command, Stdio};

use crate::afterwards::one_walk;
use crate::rig::Rig;

fn filed(rig: &Rig) -> String {
    let file = rig.path("setup.md").display().to_string();
    rig.run(&[
        "record", "setup", "--drain", "d1", "--by", "AB, RN", "--out", &file,
    ])
    .code(0);
    file
}

#[test]
fn a_filed_record_is_recognised_and_a_change_is_placed() {
    let rig = one_walk();
    let file = filed(&rig);
    rig.run(&["journal", "verify", &file])
        .code(0)
        .says("as it was written by AB, RN")
        .says("the journal gives the same text");
    // What is added to the walk later does not change what was filed.
    rig.run(&[
        "amend", "w1.2", "--wrong", "x", "--why", "y", "--by", "CD, RN",
    ])
    .code(0);
    rig.run(&["journal", "verify", &file])
        .code(0)
        .says("gives the same text");
    let text = rig.read("setup.md");
    let place = text
        .lines()
        .position(|line| line.starts_with("| 2 |"))
        .expect("an entry")
        + 1;
    let changed: Vec<String> = text
        .lines()
        .enumerate()
        .map(|(index, line)| match index + 1 == place {
            true => line.replacen("| 2 |", "| 2a |", 1),
            false => line.to_owned(),
        })
        .collect();
    rig.write("setup.md", changed.join("\n") + "\n");
    rig.run(&["journal", "verify", &file])
        .code(1)
        .says("not as it was written by AB, RN")
        .says(&format!("line {place}\n"))
        .says("filed:   | 2a |")
        .says("journal: | 2 |");
}

#[test]
fn a_record_from_another_journal_is_told_apart() {
    let (rig, other) = (one_walk(), one_walk());
    let file = filed(&other);
    rig.run(&["journal", "verify", &file])
        .code(1)
        .says("is not in this journal");
    let nothing = rig.write("x.md", "nothing\n").display().to_string();
    rig.run(&["journal", "verify", &nothing])
        .code(1)
        .says("names no place of a journal");
}

#[test]
fn printing_and_exporting_leave_a_line() {
    let rig = one_walk();
    rig.run(&[
        "record", "setup", "--drain", "d1", "--out", "-", "--by", "AB, RN",
    ])
    .code(0);
    rig.run(&[
        "record", "setup", "--drain", "d1", "--facts", "--by", "AB, RN",
    ])
    .code(0);
    rig.run(&["journal", "export", "a.jsonl", "--by", "AB, RN"])
        .code(0);
    let text = rig
        .run(&["journal", "export", "-", "--by", "AB, RN"])
        .code(0)
        .out;
    let left: Vec<serde_json::Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .filter(|row: &serde_json::Value| row["kind"] == "record-written")
        .collect();
    let how: Vec<_> = left
        .iter()
        .map(|row| (row["body"]["record"].as_str(), row["body"]["how"].as_str()))
        .collect();
    assert_eq!(
        how,
        [
            (Some("setup"), Some("printed")),
            (Some("setup"), Some("exported")),
            (Some("journal"), Some("exported")),
        ]
    );
    assert!(left.iter().all(|row| row["by"]["initials"] == "AB"));
}

#[test]
fn a_record_can_be_printed_from_a_journal_that_can_only_be_read() {
    let rig = one_walk();
    let file = rig.journal();
    let set = |mode: bool| {
        let mut permissions = std::fs::metadata(&file).expect("there").permissions();
        permissions.set_readonly(mode);
        std::fs::set_permissions(&file, permissions).expect("set");
    };
    set(true);
    let said = rig
        .run(&["record", "setup", "--drain", "d1", "--out", "-"])
        .code(0);
    set(false);
    // A superuser may write to it all the same.
    assert!(said.out.starts_with("# Setup record"));
}

#[test]
fn a_backup_is_restored_into_an_empty_place_only() {
    let mut rig = one_walk();
    let file = filed(&rig);
    rig.run(&["journal", "backup", "kept.db"]).code(0);
    rig.run(&["journal", "restore", "kept.db"])
        .code(4)
        .says("there is a journal at");
    std::fs::remove_dir_all(rig.journal().parent().expect("a folder")).expect("removed");
    rig.run(&["journal", "restore", "kept.db"])
        .code(0)
        .says("restored and checked");
    rig.run(&["journal", "verify", &file])
        .code(0)
        .says("gives the same text");
    rig.clock("2026-03-02T06:00:00Z");
    rig.run(&["note", "--drain", "d1", "--by", "AB, RN", "after it"])
        .code(0);
    rig.run(&["journal", "verify"]).code(0);
    rig.write("bad.db", "not a database");
    std::fs::remove_dir_all(rig.journal().parent().expect("a folder")).expect("removed");
    rig.run(&["journal", "restore", "bad.db"]).code(4);
    assert!(!rig.journal().exists(), "nothing is left of it");
}

#[test]
fn a_damaged_backup_is_refused() {
    let rig = one_walk();
    rig.run(&["journal", "backup", "kept.db"]).code(0);
    let mut bytes = std::fs::read(rig.path("kept.db")).expect("read");
    let place = b"\"words\":\"bay 4";
    // A database file may hold an old copy of a page: every one is changed.
    let found: Vec<usize> = bytes
        .windows(place.len())
        .enumerate()
        .filter(|(_, window)| *window == place)
        .map(|(at, _)| at)
        .collect();
    assert!(!found.is_empty(), "the place is in it");
    for at in found {
        bytes[at + place.len() - 1] = b'5';
    }
    std::fs::write(rig.path("kept.db"), bytes).expect("written");
    std::fs::remove_dir_all(rig.journal().parent().expect("a folder")).expect("removed");
    rig.run(&["journal", "restore", "kept.db"])
        .code(1)
        .says("is damaged")
        .says("entry ");
    assert!(!rig.journal().exists());
}

/// The chain of an export by the standard tool, as a person would check it by hand.
#[test]
fn the_standard_tool_confirms_the_chain_of_an_export() {
    let rig = one_walk();
    let text = rig.run(&["journal", "export", "-"]).code(0).out;
    let sum = |line: &str| -> Option<String> {
        let mut tool = Command::new("sha256sum")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .ok()?;
        tool.stdin
            .take()?
            .write_all(format!("{line}\n").as_bytes())
            .ok()?;
        let out = tool.wait_with_output().ok()?;
        Some(
            String::from_utf8_lossy(&out.stdout)
                .split(' ')
                .next()?
                .to_owned(),
        )
    };
    let mut prev = "0".repeat(64);
    for line in text.lines() {
        let row: serde_json::Value = serde_json::from_str(line).expect("JSON");
        assert_eq!(row["prev"], prev.as_str());
        let Some(hash) = sum(line) else {
            // Nothing to compare with on a machine without sha256sum.
            return;
        };
        prev = hash;
    }
    let said = rig.run(&["journal", "verify"]).code(0).out;
    assert!(text.lines().count() > 10, "{said}");
}

#[test]
fn facts_give_the_same_record_without_the_journal() {
    let rig = one_walk();
    let facts = rig
        .run(&["record", "setup", "--drain", "d1", "--facts"])
        .code(0)
        .out;
    let record = rig
        .run(&["record", "setup", "--drain", "d1", "--out", "-"])
        .code(0)
        .out;
    rig.write("facts.json", &facts);
    rig.write("record.md", &record);
    let again = rig
        .run(&["record", "setup", "--from-facts", "facts.json"])
        .code(0)
        .out;
    assert_eq!(again, record);
    rig.run(&[
        "record",
        "setup",
        "--from-facts",
        "facts.json",
        "--check",
        "record.md",
    ])
    .code(0);
    rig.run(&["record", "incident", "--from-facts", "facts.json"])
        .code(1)
        .says("facts of a \"setup\" record");
    rig.write("facts.json", facts.replacen("\"unit\"", "\"unti\"", 1));
    rig.run(&["record", "setup", "--from-facts", "facts.json"])
        .code(1)
        .says("unti");
    let zones = rig
        .command(&["record", "setup", "--drain", "d1", "--out", "-"])
        .env("TZ", "Pacific/Auckland")
        .env("LANG", "de_DE.UTF-8")
        .output()
        .expect("it runs");
    assert_eq!(
        String::from_utf8_lossy(&zones.stdout),
        record,
        "the same in every zone"
    );
}

#[test]
fn a_handover_is_recorded_and_shown() {
    let rig = one_walk();
    rig.run(&["handover", "d1", "--to", "CD, RN"])
        .code(2)
        .says("--by");
    rig.run(&["handover", "d1", "--to", "AB, RN", "--by", "AB, RN"])
        .code(2)
        .says("the same");
    rig.run(&["handover", "d1", "--to", "Carla Doe", "--by", "AB, RN"])
        .code(2);
    let before = rig
        .run(&["record", "handover", "--drain", "d1", "--out", "-"])
        .code(0)
        .out;
    assert!(
        before.contains("Nobody is recorded as having accepted."),
        "{before}"
    );
    let args = [
        "handover",
        "d1",
        "--to",
        "CD, RN",
        "--by",
        "AB, RN",
        "--read-back",
        "ready, capped",
    ];
    rig.run(&args)
        .code(0)
        .says("d1 is handed over by AB, RN to CD, RN");
    let after = rig
        .run(&["record", "handover", "--drain", "d1", "--out", "-"])
        .code(0)
        .out;
    assert!(after.contains("| CD, RN | AB, RN | "), "{after}");
    assert!(after.contains("“ready, capped”"), "{after}");
    let file = rig.path("h.md").display().to_string();
    rig.run(&["record", "handover", "--drain", "d1", "--out", &file])
        .code(0);
    rig.run(&["note", "--drain", "d1", "--by", "CD, RN", "All well."])
        .code(0);
    rig.run(&["journal", "verify", &file])
        .code(0)
        .says("gives the same text");
    let later = rig
        .run(&["record", "handover", "--drain", "d1", "--out", "-"])
        .code(0)
        .out;
    assert!(later.contains("After that 1 entry was written."), "{later}");
    assert!(later.contains("“All well.”"), "{later}");
}

#[test]
fn a_drain_without_a_walk_can_be_handed_over() {
    let rig = Rig::new().demo_unit();
    rig.run(&["drain", "new", "--by", "AB, RN", "place=bay 4", "side=left"])
        .code(0);
    let text = rig
        .run(&["record", "handover", "--drain", "d1", "--out", "-"])
        .code(0)
        .out;
    assert!(
        text.contains("No checklist was followed on this drain."),
        "{text}"
    );
    assert!(text.contains("| Side of the drain | left |"), "{text}");
}

#[test]
fn a_page_and_an_export_are_made_and_recognised() {
    let rig = one_walk();
    let page = rig.path("setup.html").display().to_string();
    rig.run(&[
        "record", "setup", "--drain", "d1", "--format", "html", "--out", &page,
    ])
    .code(0);
    let text = rig.read("setup.html");
    assert!(
        text.starts_with("<!DOCTYPE html>\n<html lang=\"en-GB\">"),
        "{text}"
    );
    assert!(
        text.contains("<title>Setup record (rehearsal)</title>"),
        "{text}"
    );
    rig.run(&["journal", "verify", &page])
        .code(0)
        .says("the journal gives the same text");
    let said = rig
        .run(&[
            "record", "setup", "--drain", "d1", "--format", "fhir", "--out", "-",
        ])
        .code(0);
    let bundle: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
    let types: Vec<_> = bundle["entry"]
        .as_array()
        .expect("entries")
        .iter()
        .map(|entry| entry["resource"]["resourceType"].as_str().expect("a type"))
        .collect();
    assert_eq!(types[0], "QuestionnaireResponse");
    assert!(types[1..].iter().all(|one| *one == "Questionnaire") && types.len() > 1);
    assert!(
        said.err.contains("not in this format: w1: when each of"),
        "{}",
        said.err
    );
    let asked = bundle["entry"][0]["resource"]["questionnaire"]
        .as_str()
        .expect("asked");
    let url = bundle["entry"][1]["resource"]["url"]
        .as_str()
        .expect("a name");
    assert!(asked.starts_with(url), "{asked} {url}");
    rig.run(&["local", "fhir", "no-swing"])
        .code(0)
        .says("\"resourceType\": \"Questionnaire\"")
        .says("not in this format:");
    rig.run(&["local", "fhir", "no-swnig"]).code(2);
}
