//! Putting things right and signing, with the real program.

use crate::rig::Rig;

/// A rig with one drain, d1, and one finished walk on it, w1.
pub fn one_walk() -> Rig {
    let mut rig = Rig::new().demo_unit();
    rig.run(&[
        "drain",
        "new",
        "--by",
        "AB, RN",
        "place=bay 4",
        "side=left",
        "population=adult",
        "breathing=own",
        "reason=air",
        "suction=none",
        "lung-removed=no",
    ])
    .code(0);
    let answers = include_str!("../../checklists/demo/prepare.answers");
    let file = rig.write("prepare.answers", answers);
    rig.clock("2026-03-02T04:10:00Z");
    rig.run(&[
        "start",
        "prepare",
        "--drain",
        "d1",
        "--by",
        "AB, RN",
        "--answers",
        &file.display().to_string(),
    ])
    .code(0);
    rig.clock("2026-03-02T05:00:00Z");
    rig
}

fn record(rig: &Rig) -> String {
    rig.run(&["record", "setup", "--drain", "d1", "--out", "-"])
        .code(0)
        .out
}

#[test]
fn a_correction_an_addendum_and_an_entry_in_error_are_shown_and_keep_the_original() {
    let rig = one_walk();
    let before = record(&rig);
    rig.run(&[
        "amend",
        "w1.3",
        "--wrong",
        "the spare one",
        "--why",
        "mixed up",
        "--by",
        "CD, RN",
    ])
    .code(0)
    .says("w1.3 is marked wrong")
    .says("(w1.a1)");
    rig.run(&[
        "amend",
        "w1.4",
        "--addendum",
        "seen twice",
        "--why",
        "asked",
        "--by",
        "CD, RN",
    ])
    .code(0);
    rig.run(&[
        "amend",
        "w1.5",
        "--in-error",
        "--why",
        "a slip",
        "--by",
        "CD, RN",
    ])
    .code(0);
    let after = record(&rig);
    assert!(after.contains("**Marked wrong** by CD, RN"), "{after}");
    assert!(after.contains("**Addendum** by CD, RN"), "{after}");
    assert!(after.contains("**Entered in error** by CD, RN"), "{after}");
    let line = |text: &str, number: &str| {
        let mut found = text
            .lines()
            .filter(|line| line.starts_with(&format!("| {number} | ")));
        found.next_back().expect("an entry").to_owned()
    };
    let said = line(&before, "3");
    let what = said.split(" | ").nth(3).expect("what").to_owned();
    assert!(
        line(&after, "3").contains(&format!("~~{what}~~")),
        "{}",
        line(&after, "3")
    );
    assert!(!after.contains(&line(&before, "5")));
    rig.run(&["journal", "verify"]).code(0);
}

#[test]
fn after_signing_only_addenda_are_taken() {
    let rig = one_walk();
    rig.run(&["sign", "w1"])
        .code(2)
        .says("types initials and role again");
    rig.run(&["sign", "w1", "--by", "AB"]).code(2);
    rig.run(&["sign", "w1", "--by", "AB, RN"])
        .code(0)
        .says("w1 is signed by AB, RN");
    rig.run(&[
        "amend", "w1.3", "--wrong", "x", "--why", "y", "--by", "CD, RN",
    ])
    .code(1)
    .says("was signed by AB, RN")
    .says("addendum");
    rig.run(&[
        "amend",
        "w1.3",
        "--addendum",
        "x",
        "--why",
        "y",
        "--by",
        "CD, RN",
    ])
    .code(0);
    let text = record(&rig);
    assert!(text.contains("| w1 | AB, RN | "), "{text}");
    assert!(!text.contains("Not signed."), "{text}");
}

#[test]
fn a_signature_from_the_environment_is_not_one() {
    let rig = one_walk();
    let said = rig
        .command(&["sign", "w1"])
        .env("TUBESIDE_BY", "AB, RN")
        .output()
        .expect("it runs");
    assert_eq!(said.status.code(), Some(2));
}

#[test]
fn a_walk_on_the_wrong_drain_is_moved_and_both_records_say_so() {
    let rig = one_walk();
    rig.run(&[
        "drain",
        "new",
        "--by",
        "AB, RN",
        "place=bay 4",
        "side=right",
    ])
    .code(0);
    rig.run(&[
        "amend", "w1", "--drain", "d1", "--why", "x", "--by", "CD, RN",
    ])
    .code(2)
    .says("belongs to d1 already");
    rig.run(&[
        "amend",
        "w1",
        "--drain",
        "d2",
        "--why",
        "the other side",
        "--by",
        "CD, RN",
    ])
    .code(0)
    .says("w1 belongs to d2 now");
    let said = rig
        .run(&["record", "setup", "--drain", "d2", "--out", "-"])
        .code(0)
        .out;
    assert!(
        said.contains("was first written to drain d1; CD, RN moved it to d2"),
        "{said}"
    );
    assert!(said.contains("the other side"), "{said}");
    rig.run(&["record", "setup", "--drain", "d1", "--out", "-"])
        .code(2);
    rig.run(&["journal", "verify"]).code(0);
}

#[test]
fn notes_on_a_drain_have_names_and_can_be_put_right() {
    let rig = one_walk();
    rig.run(&[
        "note",
        "--drain",
        "d1",
        "--by",
        "AB, RN",
        "Seen by the registrar.",
    ])
    .code(0)
    .says("noted on d1 as d1.1");
    rig.run(&[
        "amend",
        "d1.1",
        "--wrong",
        "the consultant",
        "--why",
        "asked",
        "--by",
        "AB, RN",
    ])
    .code(0);
    rig.run(&["drain", "show", "d1"])
        .code(0)
        .says("d1.1 marked wrong by AB, RN");
    let text = record(&rig);
    assert!(
        text.contains("~~“Seen by the registrar.”~~ **Marked wrong**"),
        "{text}"
    );
}

#[test]
fn what_cannot_be_aimed_at_is_told_with_a_way_on() {
    let rig = one_walk();
    for (entry, words) in [
        ("w1.999", "there is no entry"),
        ("w9.1", "there is no walk"),
        ("d7.1", "there is no drain"),
        ("x", "neither a walk nor a drain"),
    ] {
        rig.run(&[
            "amend",
            entry,
            "--addendum",
            "x",
            "--why",
            "y",
            "--by",
            "AB, RN",
        ])
        .code(2)
        .says(words)
        .says("do:");
    }
    rig.run(&["amend", "w1.2", "--why", "y", "--by", "AB, RN"])
        .code(2);
    rig.run(&[
        "amend", "w1.2", "--wrong", " ", "--why", "y", "--by", "AB, RN",
    ])
    .code(2);
    rig.run(&[
        "amend", "w1.2", "--wrong", "x", "--why", " ", "--by", "AB, RN",
    ])
    .code(2);
    rig.run(&["amend", "w1.2", "--wrong", "x", "--why", "y"])
        .code(2)
        .says("--by");
}
