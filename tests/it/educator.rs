//! The educator's way: a folder to start from, changes to a shipped list, what they change in words,
//! approval, and what is refused on the way.

use std::fs;
use std::path::Path;

use tubeside::checklist::approval::{Approval, Approvals};
use tubeside::checklist::compare::runs::{Events, new_runs};
use tubeside::checklist::load::load;
use tubeside::checklist::shelf::{Shelf, SourceFile};

use crate::rig::Rig;

fn write(rig: &Rig, path: &str, text: &str) {
    let path = rig.path(path);
    fs::create_dir_all(path.parent().expect("a folder")).expect("made");
    fs::write(path, text).expect("written");
}

fn edit(rig: &Rig, path: &str, change: impl Fn(&str) -> String) {
    let path = rig.path(path);
    let text = fs::read_to_string(&path).expect("read");
    let new = change(&text);
    assert_ne!(text, new, "nothing was changed in {}", path.display());
    fs::write(path, new).expect("written");
}

/// Takes the remarks' marks away from the examples of changes.
fn uncomment(rig: &Rig) {
    edit(rig, "unit/adaptations/no-swing.yaml", |text| {
        text.replace("\n#  ", "\n  ")
            .replace("XX, role", "AB, practice educator")
    });
}

fn made() -> Rig {
    let rig = Rig::new();
    rig.run(&["local", "new", "unit"])
        .code(0)
        .says("written: local.yaml");
    rig
}

#[test]
fn a_new_folder_is_fit_as_it_is_and_nothing_in_it_is_overwritten() {
    let rig = made();
    rig.run(&["local", "check", "--local", "unit"]).code(0);
    rig.run(&["local", "compare", "--local", "unit"])
        .code(0)
        .says("adapted (1.0.0, adapted 1.0.0)");
    edit(&rig, "unit/local.yaml", |text| {
        text.replace("author:", "author: AB, practice educator")
    });
    let kept = fs::read_to_string(rig.path("unit/local.yaml")).expect("read");
    fs::remove_file(rig.path("unit/waivers.yaml")).expect("removed");
    let said = rig
        .run(&["local", "new", "unit"])
        .code(0)
        .says("written: waivers.yaml");
    assert!(
        said.out.contains("was there, left as it is: local.yaml"),
        "{}",
        said.out
    );
    assert_eq!(
        fs::read_to_string(rig.path("unit/local.yaml")).expect("read"),
        kept
    );
    let said = rig.run(&["local", "new", "unit", "--json"]).code(0);
    let told: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
    assert_eq!(told["written"].as_array().map(Vec::len), Some(0), "{told}");
    write(&rig, "a-file", "");
    rig.run(&["local", "new", "a-file"]).code(4);
}

#[test]
fn the_examples_in_the_new_folder_are_compared_in_words() {
    let rig = made();
    uncomment(&rig);
    rig.run(&["local", "check", "--local", "unit"]).code(0);
    let said = rig
        .run(&["local", "compare", "no-swing", "--local", "unit"])
        .code(0);
    for words in [
        "known: Does the doctor already know of the still level?",
        "because: Nobody writes it down where it could be looked up.",
        "holder: Lay the tubing in the holder.",
        "was: to watch\n        now: to holder",
        "seal-low (least depth of the water seal): 2.5 cm instead of 2 cm: acts earlier",
        "What can happen now and could not before",
    ] {
        assert!(said.out.contains(words), "{words} is not in\n{}", said.out);
    }
    let said = rig
        .run(&["local", "compare", "--local", "unit", "--json"])
        .code(0);
    let told: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
    assert_eq!(told["lists"][0]["how"], "adapted");
    assert_eq!(told["limits"][0]["acts_earlier"], true);
    assert_eq!(told["runs"][0]["list"], "no-swing");
    rig.run(&["local", "compare"])
        .code(2)
        .says("tubeside local new DIR");
    rig.run(&["local", "compare", "no-swig", "--local", "unit"])
        .code(2)
        .says("find");
}

#[test]
fn an_adaptation_of_another_list_is_started_and_set_on_a_newer_one() {
    let rig = made();
    rig.run(&["local", "adapt", "prepare", "--local", "unit"])
        .code(0);
    rig.run(&["local", "check", "--local", "unit"]).code(0);
    rig.run(&["local", "adapt", "no-swimg", "--local", "unit"])
        .code(2)
        .says("tubeside find");
    rig.run(&["local", "adapt", "prepare", "--local", "unit"])
        .code(0)
        .says("nothing is to be done");
    // As if it had been written over an older list, which said one thing otherwise.
    let base = "unit/adaptations/base/no-swing.yaml";
    edit(&rig, base, |text| {
        text.replace("version: 1.0.0", "version: 0.9.0")
            .replace("any loop", "every loop")
    });
    let hash = tubeside::checklist::shelf::fingerprint(&fs::read(rig.path(base)).expect("read"));
    uncomment(&rig);
    edit(&rig, "unit/adaptations/no-swing.yaml", |text| {
        let lines = text.lines().map(|line| match line.split_once(": ") {
            Some(("base", _)) => "base: 0.9.0".to_owned(),
            Some(("base_hash", _)) => format!("base_hash: {hash}"),
            _ => line.to_owned(),
        });
        lines.collect::<Vec<_>>().join("\n") + "\n"
    });
    let said = rig.run(&["local", "check", "--local", "unit"]).code(1);
    assert!(
        said.out
            .contains("moved on from 0.9.0 to 1.0.0: 2 of 3 changes still fit"),
        "{}",
        said.out
    );
    assert!(said.out.contains("no-longer-fits"), "{}", said.out);
    // It is not set on the new list while a change does not fit.
    rig.run(&["local", "adapt", "no-swing", "--local", "unit"])
        .code(1)
        .says("decide again");
    edit(&rig, "unit/adaptations/no-swing.yaml", |text| {
        text.replace(
            "      record: Tubing straightened and laid in its holder",
            "      why: A holder keeps it straight.",
        )
    });
    let said = rig.run(&["local", "check", "--local", "unit"]).code(0);
    assert!(
        said.out.contains("3 of 3 changes still fit"),
        "{}",
        said.out
    );
    rig.run(&["local", "adapt", "no-swing", "--local", "unit"])
        .code(0)
        .says("stands on no-swing 1.0.0");
    let said = rig.run(&["local", "check", "--local", "unit"]).code(0);
    assert!(!said.out.contains("base-moved"), "{}", said.out);
}

/// The shipped `no-swing` with one text in the place of another, as a list of the unit's own.
fn runs_with(from: &str, to: &str) -> (Vec<String>, Vec<String>) {
    let shelf = Shelf::shipped();
    let text = String::from_utf8_lossy(shelf.file("checklists/no-swing.yaml").expect("the list"))
        .replace(from, to);
    let file = SourceFile {
        path: "checklists/no-swing.yaml".to_owned(),
        bytes: text.into_bytes(),
    };
    let own = load(&Shelf::shipped().with_unit("unit", [file]))
        .library
        .expect("a library");
    let base = load(&Shelf::shipped()).library.expect("a library");
    let events = Events {
        tags: ["equipment", "unclamp", "suction-off"]
            .into_iter()
            .map(str::to_owned)
            .collect(),
    };
    let list =
        |library: &tubeside::checklist::model::Library| library.find("no-swing").expect("the list");
    let (own, base) = (
        (&own, own.list(list(&own))),
        (&base, base.list(list(&base))),
    );
    let words = |runs: tubeside::checklist::compare::runs::NewRuns| {
        assert!(!runs.given_up);
        runs.orders
            .iter()
            .map(|order| {
                let run: Vec<String> = order
                    .run
                    .iter()
                    .map(|(step, answer)| format!("{step} {answer}"))
                    .collect();
                format!("{} = {}", run.join(", ").trim(), order.events.join(", "))
            })
            .collect()
    };
    (
        words(new_runs(own, base, &events)),
        words(new_runs(base, own, &events)),
    )
}

#[test]
fn new_and_lost_orders_are_found_with_the_shortest_run_that_shows_them() {
    // Nothing but words.
    let (new, gone) = runs_with("Straighten the tubing,", "Straighten the whole tubing,");
    assert_eq!((new.len(), gone.len()), (0, 0), "{new:?} {gone:?}");
    // The tube is touched before any clamp was opened.
    let (new, _) = runs_with("- none of these: open", "- none of these: trace");
    assert_eq!(
        new[0],
        "patient none of these, trace not as expected, straighten = equipment"
    );
    // Nobody is called any more when the opening was not done; the tubing is touched instead.
    let (new, gone) = runs_with(
        "then: trace\n    if_not_done: call-now",
        "then: trace\n    if_not_done: trace",
    );
    let told = "patient none of these, open not done, trace not as expected, straighten = \
                unclamp, not done, equipment";
    assert!(new.iter().any(|order| order == told), "{new:?}");
    assert!(
        gone.is_empty(),
        "a call may still come in that order: {gone:?}"
    );
    // The last call of the list calls nobody any more.
    let (_, gone) = runs_with(
        "call: doctor-now\n    record: Doctor called for a drain that may be blocked",
        "record: Doctor called for a drain that may be blocked",
    );
    let told = "patient none of these, open done, trace could not check, call-now = \
                unclamp, call a doctor, now";
    assert!(gone.iter().any(|order| order == told), "{gone:?}");
}

#[test]
fn a_folder_that_is_not_there_is_named() {
    let rig = Rig::new();
    rig.run(&["local", "check", "--local", "nowhere"])
        .code(4)
        .says("nowhere is not a folder");
    assert!(!Path::new("nowhere").exists());
}

/// A folder in which everything that must be filled in is filled in.
fn filled_in() -> Rig {
    let rig = Rig::new().real_clock();
    rig.run(&["local", "new", "unit"]).code(0);
    edit(&rig, "unit/local.yaml", |text| {
        text.replace("unit: Our ward (write its name here)", "unit: Ward Nine")
            .replace("author:\n", "author: AB, practice educator\n")
    });
    edit(&rig, "unit/adaptations/no-swing.yaml", |text| {
        text.replace("XX, role", "AB, practice educator")
    });
    rig
}

const APPROVE: [&str; 10] = [
    "local",
    "approve",
    "--local",
    "unit",
    "--by",
    "EF, ward manager",
    "--because",
    "first version",
    "--review-by",
    "2039-06-30",
];

/// Approves a folder by writing what `local approve` writes, without the trials and the proof, which
/// take their time and are looked at where the README's way is walked.
fn approve(rig: &Rig) {
    let mut files: Vec<SourceFile> = Vec::new();
    for inner in ["", "checklists", "adaptations", "adaptations/base"] {
        let Ok(entries) = fs::read_dir(rig.path("unit").join(inner)) else {
            continue;
        };
        for entry in entries.map(|entry| entry.expect("an entry").path()) {
            if entry.extension().is_some_and(|end| end == "yaml") {
                let name = entry.file_name().expect("a name").to_string_lossy();
                files.push(SourceFile {
                    path: format!("{inner}/{name}").trim_start_matches('/').to_owned(),
                    bytes: fs::read(&entry).expect("read"),
                });
            }
        }
    }
    let shelf = Shelf::shipped().with_unit("unit", files);
    let mut all = Approvals::default();
    all.add(Approval {
        by: "EF, ward manager".to_owned(),
        at: "2026-03-02T04:00:00+00:00".to_owned(),
        because: "first version".to_owned(),
        review_by: "2039-06-30".parse().expect("a day"),
        authors: vec!["AB, practice educator".to_owned()],
        waivers: Vec::new(),
        checks: Vec::new(),
        program: env!("CARGO_PKG_VERSION").to_owned(),
        files: tubeside::checklist::approval::files(&shelf),
        seal: String::new(),
    });
    write(rig, "unit/approvals.json", &all.text().expect("text"));
}

fn approved() -> Rig {
    let rig = filled_in();
    approve(&rig);
    rig
}

#[test]
fn what_stands_against_an_approval_is_told_at_once_and_nothing_is_written() {
    let rig = Rig::new().real_clock();
    rig.run(&["local", "new", "unit"]).code(0);
    let said = rig.run(&APPROVE).code(1);
    for words in [
        "local.yaml does not say who wrote it",
        "the author in adaptations/no-swing.yaml, \"XX, role\", is not initials and a role",
        "the name of the unit in local.yaml is still the one to be written over",
        "do: write there, without quotes, like \"author: AB, practice educator\"",
    ] {
        assert!(said.err.contains(words), "{words} is not in\n{}", said.err);
    }
    assert!(!rig.path("unit/approvals.json").exists());
    let rig = filled_in();
    let with = |by: &str, review: &str, because: &str| {
        rig.run(&[
            "local",
            "approve",
            "--local",
            "unit",
            "--by",
            by,
            "--because",
            because,
            "--review-by",
            review,
            "--json",
        ])
    };
    let against = |said: &crate::rig::Said| -> Vec<String> {
        let told: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
        assert_eq!(told["approved"], false);
        let all = told["against"].as_array().expect("a list");
        all.iter()
            .map(|one| one["what"].as_str().expect("words").to_owned())
            .collect()
    };
    // Nobody approves what they wrote.
    let said = with("ab, ward manager", "2039-06-30", "mine").code(1);
    let told = against(&said);
    assert_eq!(told.len(), 3, "{told:?}");
    assert!(
        told[0].contains("wrote local.yaml, and nobody approves what they wrote"),
        "{told:?}"
    );
    assert_eq!(
        against(&with("EF, ward manager", "2020-06-30", "old").code(1)).len(),
        2
    );
    assert_eq!(
        against(&with("EF, ward manager", "soon", " ").code(1)).len(),
        3
    );
    with("EF", "2039-06-30", "no role")
        .code(2)
        .says("has no role");
    rig.run(&[
        "local",
        "approve",
        "--local",
        "unit",
        "--because",
        "x",
        "--review-by",
        "2039-06-30",
    ])
    .code(2)
    .says("who approves is not given");
    rig.run(&[
        "local",
        "approve",
        "--local",
        "unit",
        "--by",
        "EF, ward manager",
        "--because",
        "x",
        "--review-by",
        "2039-06-30",
        "--clock",
        "2026-03-02T04:00:00Z",
    ])
    .code(2)
    .says("nothing is approved with a clock that was set");
    // A list with an error cannot be approved.
    write(&rig, "unit/checklists/broken.yaml", "checklist: broken\n");
    rig.run(&APPROVE)
        .code(1)
        .says("what has errors cannot be approved");
    assert!(!rig.path("unit/approvals.json").exists());
}

#[test]
fn a_lost_safeguard_stands_against_an_approval_with_the_way_to_look_at_it() {
    let rig = filled_in();
    fs::remove_file(rig.path("unit/adaptations/no-swing.yaml")).expect("the example");
    rig.run(&["local", "adapt", "sample", "--local", "unit"])
        .code(0);
    edit(&rig, "unit/adaptations/sample.yaml", |text| {
        let text = text.replace("XX, role", "AB, practice educator");
        let lost = "changes:\n  - remove: call-unsure\n    because: The doctor comes anyway.\n    \
                    instead: which-drain\n";
        text.replacen("changes:\n", lost, 1)
    });
    let said = rig.run(&APPROVE).code(1);
    for words in [
        "red-flag-unsure-is-safe: broken on sample. Not sure about a red flag brings up a call",
        "do: see what breaks it: tubeside local prove sample --local unit; then correct the list",
    ] {
        assert!(said.err.contains(words), "{words} is not in\n{}", said.err);
    }
    assert!(!rig.path("unit/approvals.json").exists());
}

#[test]
fn a_trial_that_goes_another_way_is_accepted_on_purpose_or_stands_against_it() {
    let rig = filled_in();
    uncomment_only_words_and_step(&rig);
    let said = rig
        .run(&["local", "try", "no-swing", "--local", "unit"])
        .code(1);
    let line = "changes_trials: [no-swing-kink]";
    assert!(said.err.contains(line), "{}", said.err);
    rig.run(&APPROVE).code(1).says(line);
    edit(&rig, "unit/adaptations/no-swing.yaml", |text| {
        text.replace("\nchanges:", &format!("\n{line}\nchanges:"))
    });
    rig.run(&["local", "try", "no-swing", "--local", "unit"])
        .code(0)
        .says("1 goes another way on purpose (no-swing-kink)");
    // What is named there and still goes as before is told.
    edit(&rig, "unit/adaptations/no-swing.yaml", |text| {
        text.replace("[no-swing-kink]", "[no-swing-kink, no-swing-known]")
    });
    rig.run(&["local", "try", "no-swing", "--local", "unit"])
        .code(1)
        .says("no-swing-known: it ends as it must, so take it out of changes_trials");
}

/// Takes the remarks' marks away from the first two examples.
fn uncomment_only_words_and_step(rig: &Rig) {
    edit(rig, "unit/adaptations/no-swing.yaml", |text| {
        let (first, rest) = text
            .split_once("# A step less.")
            .expect("the third example");
        format!("{}# A step less.{rest}", first.replace("\n#  ", "\n  "))
    });
}

#[test]
fn an_approval_holds_until_anything_changes_and_says_what() {
    let rig = approved();
    rig.run(&["local", "state", "--local", "unit"])
        .code(0)
        .says("approved by EF, ward manager");
    // Anything that went in.
    for (path, change) in [
        ("unit/local.yaml", "\n# another remark\n"),
        ("unit/adaptations/no-swing.yaml", "\n# another remark\n"),
        ("unit/waivers.yaml", "\n# another remark\n"),
    ] {
        let before = rig.read(path);
        edit(&rig, path, |text| format!("{text}{change}"));
        let said = rig
            .run(&["local", "state", "--local", "unit", "--json"])
            .code(1);
        let told: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
        assert_eq!(told["approved"], false);
        assert_eq!(told["changed"][0], path);
        fs::write(rig.path(path), before).expect("written");
        rig.run(&["local", "state", "--local", "unit"]).code(0);
    }
    // A file more.
    write(&rig, "unit/checklists/glossary.yaml", "verbs: [lay]\n");
    rig.run(&["local", "state", "--local", "unit"])
        .code(1)
        .says("unit/checklists/glossary.yaml (new)");
    fs::remove_file(rig.path("unit/checklists/glossary.yaml")).expect("removed");
    // An approval that was written over.
    edit(&rig, "unit/approvals.json", |text| {
        text.replace("2039-06-30", "2049-06-30")
    });
    rig.run(&["local", "state", "--local", "unit"])
        .code(1)
        .says("entry 1 is not as it was written");
    rig.run(&APPROVE)
        .code(4)
        .says("put back the file as it was");
}

#[test]
fn drafts_and_lists_past_review_say_so_on_every_screen_and_record() {
    let mut rig = filled_in();
    let answers = "patient = none of these\nopen = y\ntrace = y\nwatch-own = y\nswings = y\n";
    rig.write("a.answers", answers);
    let start = |rig: &Rig, list: &str| {
        rig.run(&[
            "start",
            list,
            "--local",
            "unit",
            "--by",
            "CD, RN",
            "--drain",
            "d1",
            "--answers",
            "a.answers",
        ])
    };
    rig.run(&[
        "drain",
        "new",
        "place=bay 1",
        "side=left",
        "breathing=own",
        "--by",
        "CD, RN",
    ])
    .code(0);
    let said = start(&rig, "no-swing").code(0);
    assert_eq!(
        said.out.matches("Draft, not approved").count(),
        5,
        "{}",
        said.out
    );
    let record = |rig: &Rig, walk: &str| {
        rig.run(&[
            "record", "incident", "--walk", walk, "--local", "unit", "--by", "CD, RN", "--out", "-",
        ])
        .code(0)
        .out
    };
    let text = record(&rig, "w1");
    assert!(text.contains("(no-swing): draft, not approved**"), "{text}");
    rig.run(&["local", "print", "no-swing", "--local", "unit"])
        .code(0)
        .says("draft, not approved");
    let fhir = |rig: &Rig| {
        let out = rig
            .run(&["local", "fhir", "no-swing", "--local", "unit"])
            .code(0)
            .out;
        let told: serde_json::Value = serde_json::from_str(&out).expect("JSON");
        told["status"].as_str().expect("a status").to_owned()
    };
    // The statuses are those of HL7 FHIR R4, PublicationStatus (4.0.1; from memory).
    assert_eq!(fhir(&rig), "draft");
    // Approved: nothing to warn of, and the record says by whom.
    approve(&rig);
    assert_eq!(fhir(&rig), "active");
    let said = start(&rig, "no-swing").code(0);
    assert!(
        !said.out.contains("Draft") && !said.out.contains("Past review"),
        "{}",
        said.out
    );
    let text = record(&rig, "w2");
    assert!(
        text.contains("| approved by EF, ward manager on "),
        "{text}"
    );
    assert!(!text.contains("draft"), "{text}");
    // Years later.
    rig.clock("2040-01-01T04:00:00Z");
    let said = start(&rig, "no-swing").code(0);
    assert!(
        said.out.contains("Past review since 2039-06-30"),
        "{}",
        said.out
    );
    assert!(record(&rig, "w3").contains("(no-swing): past review since 2039-06-30"));
    // The record of the walk that began as a draft still says so.
    assert!(record(&rig, "w1").contains("(no-swing): draft, not approved**"));
}

#[test]
fn the_unit_chooses_what_may_start_and_urgent_lists_always_may() {
    let mut rig = filled_in();
    edit(&rig, "unit/local.yaml", |text| {
        text.replace("drafts: allow", "drafts: refuse")
            .replace("past_review: allow", "past_review: refuse")
    });
    rig.write("none.answers", "");
    let start = |rig: &Rig, list: &str| {
        rig.run(&[
            "start",
            list,
            "--local",
            "unit",
            "--by",
            "CD, RN",
            "--answers",
            "none.answers",
        ])
    };
    start(&rig, "no-swing")
        .code(1)
        .says("no-swing may not be started here: draft, not approved")
        .says("do: for care now: use the unit's approved paper form, or an urgent list");
    // An urgent list begins, and stops only because there are no answers.
    start(&rig, "breathless").code(3).says("(Draft)");
    approve(&rig);
    start(&rig, "no-swing").code(3);
    rig.clock("2040-01-01T04:00:00Z");
    start(&rig, "no-swing").code(1).says("past review since 20");
    start(&rig, "disconnected").code(3).says("Past review");
    // Without the unit's folder nobody has approved anything, and nothing is refused.
    rig.run(&[
        "start",
        "no-swing",
        "--by",
        "CD, RN",
        "--answers",
        "none.answers",
    ])
    .code(3);
}

#[test]
fn an_urgent_list_starts_even_when_the_units_folder_cannot_be_used() {
    let rig = filled_in();
    write(&rig, "unit/checklists/broken.yaml", "checklist: broken\n");
    rig.write("none.answers", "");
    for folder in ["unit", "nowhere"] {
        let start = |list: &str| {
            rig.run(&[
                "start",
                list,
                "--local",
                folder,
                "--by",
                "CD, RN",
                "--answers",
                "none.answers",
            ])
        };
        start("breathless")
            .code(3)
            .says("the unit's own checklists cannot be used");
        let said = start("no-swing");
        assert!([1, 4].contains(&said.code), "{said:?}");
    }
}

#[test]
fn a_waiver_is_shown_wherever_it_acts_and_ends_on_its_day() {
    let mut rig = filled_in();
    write(
        &rig,
        "unit/waivers.yaml",
        "waivers:\n  - limit: seal-low\n    because: The scale of our drainage unit begins there.\n    \
         who: EF, ward manager\n    until: 2039-01-31\n",
    );
    edit(&rig, "unit/adaptations/no-swing.yaml", |text| {
        text.replace(
            "\nchanges:",
            "\nchanges:\n  - limit: seal-low\n    was: 2 cm\n    to: 1.9 cm\n    because: The scale begins there.",
        )
    });
    rig.run(&["local", "check", "--local", "unit"])
        .code(0)
        .says("let through by a waiver: the limit seal-low, by EF, ward manager, to the end of 2039-01-31");
    rig.run(&["local", "compare", "--local", "unit"])
        .code(0)
        .says("ACTS LATER");
    rig.write(
        "a.answers",
        "patient = none of these\nopen = y\ntrace = y\nwatch-any = y\nswings = y\n",
    );
    let start = |rig: &Rig| {
        rig.run(&[
            "start",
            "no-swing",
            "--local",
            "unit",
            "--by",
            "CD, RN",
            "--answers",
            "a.answers",
        ])
        .code(0)
        .out
    };
    let out = start(&rig);
    assert!(
        out.contains("Waived: the limit seal-low until 2039-01-31"),
        "{out}"
    );
    let said = rig.run(&[
        "record", "incident", "--walk", "w1", "--local", "unit", "--by", "CD, RN", "--out", "-",
    ]);
    let text = said.code(0).out;
    assert!(
        text.contains("| the limit seal-low | EF, ward manager | The scale of our drainage unit begins there. | 2039-01-31 |"),
        "{text}"
    );
    // The day after it acts no longer: lists are a draft, and a check fails.
    rig.clock("2039-02-01T04:00:00Z");
    let out = start(&rig);
    assert!(!out.contains("Waived:"), "{out}");
    rig.run(&["local", "check", "--local", "unit"])
        .code(1)
        .says("ended on 2039-01-31 and acts no longer");
}

/// A part of the README's way from nothing to an approved list.
#[derive(Debug)]
enum Part {
    /// A command.
    Run(String),
    /// What is written into a file.
    Write(String, Vec<String>),
}

/// The commands and texts of the README's section for educators, in order.
fn readme_parts() -> Vec<Part> {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let text = fs::read_to_string(readme).expect("the README");
    let mut parts = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let Some(what) = line.strip_prefix("```").filter(|what| !what.is_empty()) else {
            continue;
        };
        let body: Vec<String> = lines
            .by_ref()
            .take_while(|line| *line != "```")
            .map(str::to_owned)
            .collect();
        if what == "console educator" {
            let commands = body
                .iter()
                .filter_map(|line| line.strip_prefix("$ tubeside "));
            parts.extend(commands.map(|command| Part::Run(command.to_owned())));
        } else if let Some(file) = what.strip_prefix("yaml ") {
            parts.push(Part::Write(file.to_owned(), body));
        }
    }
    parts
}

/// Writes lines into a file as somebody would: over the line of the same key, `changes` over
/// everything to the end, and a new key above `changes`.
fn write_into(rig: &Rig, file: &str, body: &[String]) {
    edit(rig, file, |text| {
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let at = |lines: &[String], key: &str| lines.iter().position(|line| line.starts_with(key));
        for line in body.iter().filter(|line| !line.starts_with(' ')) {
            let key = format!("{}:", line.split_once(':').expect("a key").0);
            if key == "changes:" {
                lines.truncate(at(&lines, &key).expect("changes"));
                let from = body
                    .iter()
                    .position(|line| line.starts_with(&key))
                    .expect("changes");
                lines.extend(body[from..].iter().cloned());
            } else if let Some(place) = at(&lines, &key) {
                lines[place].clone_from(line);
            } else {
                let place = at(&lines, "changes:").expect("changes");
                lines.insert(place, line.clone());
            }
        }
        lines.join("\n") + "\n"
    });
}

/// Splits a command at its blanks, keeping what stands in double quotes together.
fn words(command: &str) -> Vec<String> {
    let parts = command.split('"').enumerate();
    parts
        .flat_map(|(index, part)| match index % 2 {
            1 => vec![part.to_owned()],
            _ => part.split_whitespace().map(str::to_owned).collect(),
        })
        .collect()
}

#[test]
fn the_readme_leads_from_nothing_to_an_approved_list() {
    let rig = Rig::new().real_clock();
    let (mut ran, mut wrote) = (0, 0);
    for part in readme_parts() {
        match part {
            Part::Write(file, body) => {
                // The line about trials is the one that the program itself writes out.
                if body.iter().any(|line| line.starts_with("changes_trials")) {
                    let said = rig.run(&["local", "try", "--local", "my-unit"]).code(1);
                    assert!(said.err.contains(&body[0]), "{}", said.err);
                }
                write_into(&rig, &file, &body);
                wrote += 1;
            }
            Part::Run(command) => {
                let words = words(&command);
                let args: Vec<&str> = words.iter().map(String::as_str).collect();
                // A walk without answers is paused; everything else must succeed.
                let wanted = if args[0] == "start" { 3 } else { 0 };
                rig.run(&args).code(wanted);
                ran += 1;
            }
        }
    }
    assert!(ran >= 8 && wrote >= 3, "{ran} commands, {wrote} texts");
    rig.run(&["local", "state", "--local", "my-unit"])
        .code(0)
        .says("approved by EF, ward manager");
    let said = rig
        .run(&["local", "compare", "no-swing", "--local", "my-unit"])
        .code(0);
    assert!(
        said.out.contains("holder: Lay the tubing in the holder."),
        "{}",
        said.out
    );
}
