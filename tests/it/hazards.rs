//! The hazard log: every hazard has controls that exist and trials that show them at work.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;
use tubeside::checklist::load::load;
use tubeside::checklist::model::Library;
use tubeside::checklist::proof::read::gather;
use tubeside::checklist::shelf::Shelf;
use tubeside::checklist::trial;

/// One entry of `checklists/hazards.yaml`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Hazard {
    hazard: String,
    cause: String,
    effect: String,
    source: String,
    evidence: String,
    controls: Vec<String>,
    trials: Vec<String>,
    local_duty: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Log {
    hazards: BTreeMap<String, Hazard>,
}

fn log() -> BTreeMap<String, Hazard> {
    let text = include_str!("../../checklists/hazards.yaml");
    let log: Log = serde_yaml::from_str(text).expect("the hazard log can be read");
    log.hazards
}

/// The names of the shipped safeguards.
fn safeguards(library: &Library) -> Vec<String> {
    let found = gather(&Shelf::shipped(), library).expect("the shipped safeguards can be read");
    found.into_iter().map(|one| one.name).collect()
}

/// Hazards that no rule over the order of steps and answers can cover, each with what it rests on
/// instead: the hands of the nurse, or what stands at the bedside.
const NO_RULE: &[&str] = &[
    "loop-or-kink",
    "tube-pulled",
    "site-sealed-over-leak",
    "drainage-unit-falls",
    "end-contaminated",
    "no-drainage-unit-left",
    "full-drainage-unit",
    "lung-removed",
    "chamber-mixed-up",
    "drain-does-not-cope",
    "swing-left-out",
];

#[test]
fn every_safeguard_controls_a_hazard_and_every_other_hazard_is_known_to_have_none() {
    let library = load(&Shelf::shipped())
        .library
        .expect("the shipped lists load");
    let log = log();
    let controls = |name: &str| {
        let wanted = format!("safeguard {name}");
        log.values().any(|hazard| hazard.controls.contains(&wanted))
    };
    let idle: Vec<String> = safeguards(&library)
        .into_iter()
        .filter(|name| !controls(name))
        .collect();
    assert!(idle.is_empty(), "these control no hazard: {idle:?}");
    let bare: Vec<&str> = log
        .iter()
        .filter(|(_, hazard)| {
            !hazard
                .controls
                .iter()
                .any(|one| one.starts_with("safeguard "))
        })
        .map(|(name, _)| name.as_str())
        .collect();
    let mut known = NO_RULE.to_vec();
    known.sort_unstable();
    assert_eq!(bare, known);
}

#[test]
fn every_control_of_a_hazard_is_a_step_of_a_shipped_list_or_a_safeguard() {
    let library = load(&Shelf::shipped())
        .library
        .expect("the shipped lists load");
    let safeguards: BTreeSet<String> = safeguards(&library).into_iter().collect();
    let mut missing = Vec::new();
    for (name, hazard) in log() {
        assert!(!hazard.controls.is_empty(), "{name} has no control");
        for control in &hazard.controls {
            if let Some(name) = control.strip_prefix("safeguard ") {
                if !safeguards.contains(name) {
                    missing.push(format!("{name} is no safeguard"));
                }
                continue;
            }
            let found = control.split_once('/').is_some_and(|(list, step)| {
                library
                    .find(list)
                    .is_some_and(|id| library.list(id).find(step).is_some())
            });
            if !found {
                missing.push(format!("{name}: {control}"));
            }
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

#[test]
fn every_hazard_has_a_trial_in_a_list_that_holds_one_of_its_controls() {
    let trials: BTreeMap<String, trial::Trial> = trial::shipped()
        .iter()
        .filter_map(|file| {
            let name = file
                .path
                .trim_start_matches("trials/")
                .trim_end_matches(".yaml");
            let trials = trial::read(file).expect("a shipped trial");
            // A file of several holds what follows from a list, not what shows a hazard.
            let [trial] = trials.as_slice() else {
                return None;
            };
            Some((name.to_owned(), trial.clone()))
        })
        .collect();
    for (name, hazard) in log() {
        let mut lists = BTreeSet::new();
        for wanted in &hazard.trials {
            let trial = trials
                .get(wanted)
                .unwrap_or_else(|| panic!("{name}: no trial {wanted}"));
            lists.insert(trial.list.clone());
            for step in &trial.passes {
                lists.extend(step.split_once('/').map(|(list, _)| list.to_owned()));
            }
        }
        let shown = hazard.controls.iter().any(|control| {
            control
                .split_once('/')
                .is_some_and(|(list, _)| lists.contains(list))
        });
        assert!(
            shown,
            "{name}: no trial walks a list that holds one of its controls"
        );
    }
}

#[test]
fn every_hazard_says_all_it_must() {
    for (name, hazard) in log() {
        for words in [
            &hazard.hazard,
            &hazard.cause,
            &hazard.effect,
            &hazard.source,
            &hazard.local_duty,
        ] {
            assert!(!words.trim().is_empty(), "{name} leaves something out");
        }
        assert!(
            ["S", "s2", "M", "C", "D"].contains(&hazard.evidence.as_str()),
            "{name}: evidence {}",
            hazard.evidence
        );
    }
}
