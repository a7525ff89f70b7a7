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
    let files = shipped();
    files
        .iter()
        .map(|file| {
            (
                file.path.clone(),
                read(file).unwrap_or_else(|why| panic!("{why}")),
            )
        })
        .collect()
}

#[test]
fn every_trial_ends_as_its_source_says() {
    let said = Rig::new().run(&["local", "try"]).code(0);
    let passed: usize = said
        .out
        .split(' ')
        .next()
        .and_then(|count| count.parse().ok())
        .expect("a count");
    assert_eq!(passed, trials().len());
    assert!(passed > 200, "{passed}");
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
