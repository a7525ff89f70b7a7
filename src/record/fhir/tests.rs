use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::super::facts::{About, Amendment, Marking};
use super::super::made;
use super::*;
use crate::units::Unit;

fn links(item: &Value, found: &mut Vec<String>) {
    found.extend(item["linkId"].as_str().map(str::to_owned));
    for child in item["item"].as_array().into_iter().flatten() {
        links(child, found);
    }
}

fn questions(item: &Value, found: &mut Vec<(String, String)>) {
    let own = item["linkId"].as_str().unwrap_or_default();
    for row in item["enableWhen"].as_array().into_iter().flatten() {
        found.push((
            own.to_owned(),
            row["question"].as_str().unwrap_or_default().to_owned(),
        ));
    }
    for child in item["item"].as_array().into_iter().flatten() {
        questions(child, found);
    }
}

/// Every shipped checklist; read from the program's own files.
fn shipped() -> Vec<(String, Exported)> {
    let loaded = crate::checklist::load::load(&crate::checklist::shelf::Shelf::shipped());
    let library = loaded.library.expect("the shipped checklists are fit");
    let lists: Vec<_> = library
        .lists()
        .map(|(id, list)| (id, list.name.to_string()))
        .collect();
    lists
        .into_iter()
        .map(|(id, name)| (name, questionnaire(&library, id, &[])))
        .collect()
}

#[test]
fn link_ids_are_unique_and_every_condition_names_another_item() {
    let all = shipped();
    assert!(all.len() > 10);
    let mut rows = 0;
    for (name, exported) in all {
        let (mut ids, mut asked) = (Vec::new(), Vec::new());
        for item in exported.resource["item"].as_array().expect("items") {
            links(item, &mut ids);
            questions(item, &mut asked);
        }
        let unique: BTreeSet<&String> = ids.iter().collect();
        assert_eq!(unique.len(), ids.len(), "{name}");
        for (item, question) in &asked {
            assert!(unique.contains(question), "{name}: {item} asks {question}");
            assert_ne!(item, question, "{name}");
        }
        rows += asked.len();
        assert_eq!(
            exported.resource["status"], "draft",
            "nobody approved {name}"
        );
        assert!(!exported.losses.is_empty(), "{name}");
    }
    assert!(rows > 100, "{rows}");
}

#[test]
fn several_conditions_say_how_they_hang_together() {
    fn look(item: &Value) {
        let rows = item["enableWhen"].as_array().map_or(0, Vec::len);
        assert_eq!(rows > 1, item["enableBehavior"].is_string(), "{item}");
        item["item"].as_array().into_iter().flatten().for_each(look);
    }
    for (_, exported) in shipped() {
        exported.resource["item"]
            .as_array()
            .into_iter()
            .flatten()
            .for_each(look);
    }
}

#[test]
fn a_walk_answers_item_by_item_and_names_its_losses() {
    let story = made::setup().swap_remove(0);
    let exported = response("018f2b6c-0000-7000-8000-000000000001", &story);
    let resource = &exported.resource;
    assert_eq!(resource["resourceType"], "QuestionnaireResponse");
    assert_eq!(resource["status"], "completed");
    assert_eq!(
        resource["identifier"]["value"],
        "urn:uuid:018f2b6c-0000-7000-8000-000000000001"
    );
    let items = resource["item"][0]["item"].as_array().expect("items");
    let depth = items
        .iter()
        .find(|item| item["text"] == "Read the depth of the water seal.")
        .expect("there");
    let answers = depth["answer"].as_array().expect("answers");
    assert_eq!(answers.len(), 1, "what was taken back is not in it");
    assert_eq!(
        answers[0]["valueQuantity"],
        json!({"value": 2.0, "unit": "cm", "system": "http://unitsofmeasure.org", "code": "cm"})
    );
    let losses = exported.losses.join("\n");
    assert!(
        losses.contains("1 answers that were taken back"),
        "{losses}"
    );
    assert!(losses.contains("when each of"), "{losses}");
}

#[test]
fn the_status_says_how_the_walk_stands() {
    let mut walks = made::incident();
    assert_eq!(response("x", &walks[0]).resource["status"], "stopped");
    assert_eq!(response("x", &walks[1]).resource["status"], "in-progress");
    let mut amendment = Amendment {
        number: "w1.a1".into(),
        about: About::Event(1),
        mark: Marking::Wrong,
        text: "x".into(),
        why: "y".into(),
        by: "KL, nurse".into(),
        written: made::at("2026-10-26T09:00:00+00:00"),
    };
    let mut setup = made::setup();
    setup[0].afterwards.amendments = vec![amendment.clone()];
    assert_eq!(response("x", &setup[0]).resource["status"], "amended");
    amendment.about = About::Event(0);
    amendment.mark = Marking::InError;
    walks[0].afterwards.amendments = vec![amendment];
    let gone = response("x", &walks[0]).resource;
    assert_eq!(gone["status"], "entered-in-error");
    assert!(gone["item"].is_null(), "{gone}");
}

#[test]
fn a_confirmed_code_is_written_and_no_other() {
    let loaded = crate::checklist::load::load(&crate::checklist::shelf::Shelf::shipped());
    let library = loaded.library.expect("fit");
    let list = library.find("no-swing").expect("shipped");
    let without = questionnaire(&library, list, &[]).resource.to_string();
    assert!(!without.contains("loinc"));
    let code = Code {
        tag: "seal-depth".into(),
        system: "http://loinc.org".into(),
        code: "0-0".into(),
        display: "made up for this test".into(),
    };
    let with = questionnaire(&library, list, &[code]).resource.to_string();
    assert!(with.contains("\"code\":\"0-0\""));
}

#[test]
fn names_are_well_formed_and_every_unit_has_a_code() {
    assert_eq!(
        name_of("9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"),
        "urn:uuid:9f86d081-884c-8d65-8a2f-eaa0c55ad015"
    );
    let codes: BTreeSet<&str> = Unit::ALL.iter().map(|unit| ucum(*unit)).collect();
    assert_eq!(codes.len(), Unit::ALL.len());
    assert_eq!(code_of("  Same, or better! "), "same-or-better");
    assert_eq!(code_of("¿?"), "other");
}
