//! The shipped trials: every clinical row that a list covers, each with its published source.
//!
//! The source of what a trial must reach stands in the trial itself, and what is not known from a
//! published source says so.

use std::collections::BTreeMap;

use tubeside::checklist::load::load;
use tubeside::checklist::model::ListKind;
use tubeside::checklist::shelf::Shelf;
use tubeside::checklist::trial::{Trial, read, shipped};

use crate::rig::Rig;

fn trials() -> Vec<(String, Trial)> {
    let mut all = Vec::new();
    for file in shipped() {
        let trials = read(&file).unwrap_or_else(|why| panic!("{why}"));
        all.extend(trials.into_iter().map(|trial| (file.path.clone(), trial)));
    }
    all
}

fn played(args: &[&str]) -> serde_json::Value {
    let said = Rig::new().run(args).code(0);
    serde_json::from_str(&said.out).expect("JSON")
}

#[test]
fn every_trial_ends_as_its_source_says() {
    let played = played(&["local", "try", "--json"]);
    assert_eq!(played["passed"], trials().len());
    assert!(trials().len() > 200);
    assert_eq!(played["failed"], serde_json::json!([]));
}

#[test]
fn every_trial_names_its_source_and_how_well_it_is_known() {
    for (path, trial) in trials() {
        assert!(trial.source.len() >= 12, "{path}: {}", trial.source);
        let lower = trial.source.to_lowercase();
        let grounded = [
            "(uk)",
            "(us)",
            "(australia)",
            "(canada)",
            "read",
            "(s,",
            "s)",
            "s2)",
            "m)",
            "c)",
            "d)",
            "from memory",
            "no source",
            "reasoned",
            "second-hand",
        ];
        assert!(
            grounded.iter().any(|mark| lower.contains(mark)),
            "{path}: {}",
            trial.source
        );
    }
}

#[test]
fn every_list_has_a_trial_of_its_own() {
    let library = load(&Shelf::shipped()).library.expect("the shipped lists");
    let mut count: BTreeMap<String, usize> = BTreeMap::new();
    for (_, trial) in trials() {
        *count.entry(trial.list).or_default() += 1;
    }
    for (_, list) in library.lists() {
        let own = count.get(list.name.as_str()).copied().unwrap_or(0);
        let wanted = if matches!(list.kind, ListKind::Fault | ListKind::Urgent) {
            2
        } else {
            1
        };
        // Parts that only other lists use are tried through those.
        let is_part = [
            "time-out",
            "unit-fill",
            "suction-test",
            "secure",
            "pause-end",
        ];
        let wanted = if is_part.contains(&list.name.as_str()) {
            0
        } else {
            wanted
        };
        assert!(own >= wanted, "{}: {own} trials", list.name);
    }
}

/// The bad trial shows that a trial can fail: it claims another ending than the list reaches.
#[test]
fn a_trial_that_claims_another_ending_fails() {
    let rig = Rig::new();
    let text = "
trial: claims too much
source: common practice, no source
list: no-swing
facts: {breathing: own, suction: none, reason: fluid}
answers: [patient = none of these, open = y, trace = y, watch-own = y]
ends: escalated
";
    rig.write("unit/checklists/trials/bad.yaml", text);
    let unit = rig.path("unit").display().to_string();
    rig.run(&["local", "try", "--local", &unit, "bad"])
        .code(1)
        .says("it ended resolved, and must end escalated");
}

/// What no trial takes is told, and what one takes is not.
#[test]
fn a_way_out_that_no_trial_takes_is_told() {
    let rig = Rig::new();
    let list = r#"
checklist: own
title: A list of the unit's own
version: 1.0.0
kind: task
mode: read-do
signs: [how deep]
owner: Education lead
sources: {custom: "common practice, no source"}
begin: depth
steps:
  depth:
    measure: Read the seal depth.
    unit: cm
    plausible: 0 to 10
    where: Water seal
    source: custom
    bands:
      - below seal-low: {go: depth, at_most: 1, after_that: over}
      - at least seal-low: over
    not_obtained: over
  over:
    end: Worse or unsure, call.
    outcome: working
"#;
    let trial = |depth: &str| {
        format!(
            "- trial: the depth\n  source: common practice, no source\n  list: own\n  answers: [{depth}]\n  ends: working\n"
        )
    };
    rig.write("unit/checklists/own.yaml", list);
    rig.write(
        "unit/checklists/trials/own.yaml",
        trial("depth = 2 cm") + &trial("depth = 1.9 cm, depth = 1 cm"),
    );
    let unit = rig.path("unit").display().to_string();
    let said = rig
        .run(&["local", "try", "--local", &unit, "trials/own."])
        .code(0);
    let told: Vec<&str> = said.out.lines().collect();
    assert_eq!(
        told,
        [
            "no trial takes own/depth: not obtained",
            "no trial takes own/depth: just above seal-low",
            "2 trials passed, 0 failed; 6 of 8 ways out taken",
        ]
    );
}

/// The shipped trials take every way out of every shipped list between them: each answer, each
/// number just below, at and just above a cut, unsure, not obtained, not done, missed waits, used-up
/// counts, and each way back from another list.
#[test]
fn no_way_out_of_a_shipped_list_is_without_a_trial() {
    let played = played(&["local", "try", "--json"]);
    assert_eq!(played["untaken"], serde_json::json!([]));
    assert!(played["ways_out"].as_u64() > Some(3_000));
}
