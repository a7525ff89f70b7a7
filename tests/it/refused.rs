//! Commands that are not understood, and lists that are no lists, by the dozen.

use crate::complaint::{complains, fine, with_by};
use crate::rig::Rig;

const TASK: &str = "checklist: own-task
title: A made task
version: 1.0.0
kind: task
mode: read-do
signs: [a made task]
recognise: A made task is wanted.
owner: Tests
sources: {t: \"common practice, no source\"}
begin: look
steps:
  look:
    ask: Is it so?
    source: t
    answers:
      - it is so: done
      - it is not so: done
      - not sure: {unsure: true, go: done}
  done:
    end: Look again when it changes. Worse or unsure, call.
    outcome: resolved
";

#[test]
fn commands_that_cannot_be_understood() {
    let rig = Rig::new();
    let cases: &[(&[&str], &[&str])] = &[
        (
            &["start", "no-such-list"],
            &["no-such-list", "tubeside find"],
        ),
        (
            &["start", "no-swing", "--drain", "d9"],
            &["d9", "drain new"],
        ),
        (&["start"], &["LIST"]),
        (&["begin"], &["begin"]),
        (&["resume", "w9"], &["no walk \"w9\""]),
        (&["resume"], &["nothing is paused", "tubeside start"]),
        (&["record", "setup"], &["which drain or walk", "--drain d1"]),
        (&["record", "setup", "--drain", "d9"], &["d9"]),
        (
            &["record", "letter", "--drain", "d1"],
            &["letter", "incident"],
        ),
        (
            &["drain", "new", "colour=red"],
            &["colour", "the facts are"],
        ),
        (&["drain", "new", "side"], &["side", "FACT=VALUE"]),
        (&["drain", "new", "side=up"], &["up", "left, right"]),
        (
            &["drain", "new", "population=child", "weight=20"],
            &["weight", "unit"],
        ),
        (&["drain", "new", "weight=9000 kg"], &["weight", "150"]),
        (&["drain", "show", "d9"], &["d9"]),
        (&["note", "--drain", "d1", " "], &["note is empty"]),
        (&["convert", "20"], &["unit", "convert 20 cmH2O kPa"]),
        (&["convert", "twenty cmH2O", "kPa"], &["twenty"]),
        (&["convert", "20 cmH2O", "mL"], &["cmH2O", "mL"]),
        (&["convert", "20 ells", "cm"], &["ells", "units"]),
    ];
    for (args, words) in cases {
        // `convert` writes nothing, and takes every word for itself.
        let args = match args {
            ["convert", ..] => args.to_vec(),
            _ => with_by(args),
        };
        complains(rig.run(&args), 2, words);
    }
    complains(
        rig.run(&with_by(&["find", "xyzzy"])),
        1,
        &["xyzzy", "tubeside start breathless"],
    );
}

#[test]
fn who_writes_and_when() {
    let mut rig = Rig::new();
    complains(
        rig.run(&["start", "no-swing"]),
        2,
        &["who writes", "--by \"AB, RN\""],
    );
    complains(
        rig.run(&["drain", "new", "side=left"]),
        2,
        &["who writes", "--by"],
    );
    for name in ["Anna Brown", "Annabel", "Anna Brown, RN"] {
        let said = rig.run(&["start", "no-swing", "--by", name]);
        complains(said, 2, &[name, "initials and role"]);
    }
    complains(
        rig.run(&["start", "no-swing", "--by", ", RN"]),
        2,
        &["no initials"],
    );
    for clock in ["soon", "2026-02-30T00:00:00Z", "04:10"] {
        rig.clock(clock);
        complains(
            rig.run(&with_by(&["drain", "list"])),
            2,
            &["--clock", clock, "write it like"],
        );
    }
}

#[test]
fn lists_that_are_no_lists() {
    let swap = |from: &str, to: &str| TASK.replacen(from, to, 1).into_bytes();
    let bomb = {
        let mut text = TASK.replace("about", "").into_bytes();
        text.extend(b"about:\n  a: &a [x, x, x, x, x, x, x, x, x, x]\n");
        for (from, to) in ["ab", "bc", "cd", "de", "ef", "fg", "gh"]
            .iter()
            .map(|two| two.split_at(1))
        {
            let many = vec![format!("*{from}"); 10].join(", ");
            text.extend(format!("  {to}: &{to} [{many}]\n").into_bytes());
        }
        text
    };
    let cases: Vec<(&str, Vec<u8>, &[&str])> = vec![
        ("empty", Vec::new(), &["own-task.yaml", "empty"]),
        (
            "not UTF-8",
            [TASK.as_bytes(), b"about: \xff\xfe\n"].concat(),
            &["UTF-8"],
        ),
        ("bomb", bomb, &["own-task.yaml:"]),
        (
            "duplicate",
            swap("owner: Tests\n", "owner: Tests\nowner: Others\n"),
            &["owner", "own-task.yaml:"],
        ),
        (
            "unknown key",
            swap("owner: Tests\n", "owner: Tests\nownr: x\n"),
            &["ownr"],
        ),
        (
            "wrong type",
            swap("steps:\n", "steps: [1]\nsteps2:\n"),
            &["steps"],
        ),
        (
            "unknown target",
            swap("it is so: done", "it is so: dome"),
            &["dome", "done"],
        ),
        (
            "nobody comes there",
            swap(
                "  done:\n",
                "  lonely:\n    do: Wait for nobody.\n    source: t\n    then: done\n    if_not_done: done\n  done:\n",
            ),
            &["lonely"],
        ),
        (
            "dead end",
            swap("it is so: done", "it is so: look"),
            &["own-task.yaml:"],
        ),
        ("tab", swap("    ask:", "\task:"), &["own-task.yaml:"]),
        (
            "another name",
            swap("checklist: own-task", "checklist: other"),
            &["other"],
        ),
        (
            "no unsure",
            swap("      - not sure: {unsure: true, go: done}\n", ""),
            &["unsure"],
        ),
    ];
    for (name, bytes, words) in cases {
        let mut rig = Rig::new();
        rig.write("ward/checklists/own-task.yaml", bytes);
        let folder = rig.path("ward");
        rig.local_folder(&folder);
        let check = fine(rig.run(&["local", "check"]));
        assert_eq!(check.code, 1, "{name}: {} {}", check.out, check.err);
        let told = format!("{}{}", check.out, check.err);
        for words in words {
            assert!(
                told.contains(words),
                "{name}: \"{words}\" is not in\n{told}"
            );
        }
        // For care now the way out is named.
        let start = rig.run(&with_by(&["start", "no-swing"]));
        complains(
            start,
            1,
            &["own-task.yaml", "tubeside local check", "without --local"],
        );
        let dead = rig.run(&["local", "check", "--json"]);
        serde_json::from_str::<serde_json::Value>(&dead.out).expect("JSON");
    }
}

#[test]
fn marks_and_line_ends_of_other_systems_do_not_matter() {
    for text in [
        format!("\u{feff}{TASK}"),
        TASK.replace('\n', "\r\n"),
        format!("\u{feff}{}", TASK.replace('\n', "\r\n")),
    ] {
        let mut rig = Rig::new();
        rig.write("ward/checklists/own-task.yaml", &text);
        let folder = rig.path("ward");
        rig.local_folder(&folder);
        fine(rig.run(&["local", "check"]).code(0));
        let answers = rig.write("answers", "\u{feff}it is so\r\n\r\n# read\r\ny\r\n");
        let answers = answers.display().to_string();
        let args = with_by(&["start", "own-task", "--answers", &answers]);
        fine(rig.run(&args).code(0)).says("w1 is over");
        assert_eq!(rig.answered(), 2);
    }
}

#[test]
fn a_journal_that_was_named_and_is_not_there_is_missed() {
    let rig = Rig::new();
    for command in [&["chart", "due"][..], &["review"], &["journal", "verify"]] {
        rig.run(&[command, &["--journal", "nowhere.db"]].concat())
            .code(4)
            .says("there is no journal at nowhere.db")
            .says("check --journal or TUBESIDE_JOURNAL, or begin a walk to make one");
    }
    assert!(!rig.path("nowhere.db").exists());
}
