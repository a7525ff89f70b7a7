//! The educator's way: a folder to start from, changes to a shipped list, what they change in words,
//! approval, and what is refused on the way.

use std::fs;
use std::path::Path;

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
    let told = "patient none of these, open not done, call-now = \
                unclamp, not done, call a doctor, now";
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
