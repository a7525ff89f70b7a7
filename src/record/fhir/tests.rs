use std::collections::BTreeSet;
use std::sync::Arc;

use serde_json::{Value, json};

use super::super::facts::{About, Amendment, Marking};
use super::super::made;
use super::*;
use crate::chart::reading::{BloodPressure, Reading, Swing};
use crate::chart::{ChartEvent, Entry, EntryId, What};
use crate::units::{Amount, Number, Suction, Unit};

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

/// A chart of an adult: a full reading, one corrected, one struck out, a level not obtained, another
/// drainage unit and an event.
fn charted() -> Vec<Entry> {
    let entry = |id: u64, minutes: i64, late: i64, what: What| {
        let at = made::at("2026-10-26T02:00:00+00:00") + chrono::TimeDelta::minutes(minutes);
        Entry {
            id: EntryId(id),
            at,
            written_at: at + chrono::TimeDelta::minutes(late),
            what,
        }
    };
    let level = |level: i32| Reading {
        level: Some(Number::whole(level)),
        ..Reading::default()
    };
    let full = Reading {
        swing: Some(Swing::Small),
        suction_set: Suction::from_entry(Amount::parse("-20 cmH2O").unwrap()).ok(),
        breaths: Some(18),
        saturation: Some(Number::whole(96)),
        blood_pressure: Some(BloodPressure {
            systolic: 120,
            diastolic: 80,
        }),
        pain: Some(2),
        action: Some("turned | \u{1b}[31mred\u{7}".into()),
        ..level(40)
    };
    let reading = |reading: Reading| What::Reading(Arc::new(reading));
    vec![
        entry(11, 0, 1, reading(full)),
        entry(12, 60, 40, reading(level(900))),
        entry(
            13,
            60,
            70,
            What::Correction {
                of: EntryId(12),
                reading: Some(Arc::new(level(90))),
            },
        ),
        entry(14, 90, 1, reading(level(95))),
        entry(
            15,
            90,
            5,
            What::Correction {
                of: EntryId(14),
                reading: None,
            },
        ),
        entry(16, 120, 1, reading(Reading::default())),
        entry(
            17,
            130,
            1,
            What::NewUnit {
                last_level: Some(Number::whole(110)),
                start: Number::whole(0),
                graduation: None,
            },
        ),
        entry(18, 140, 1, What::Event(ChartEvent::ALL[0])),
    ]
}

/// Their observations, with these codes.
pub(in crate::record) fn observed(codes: &[Code]) -> Vec<Exported> {
    let written = charted();
    observations(&Readings {
        drain: "018f2b6c-0000-7000-8000-0000000000d1",
        side: Some("left".into()),
        written: &written,
        writer: &|_| "AB, RN".to_owned(),
        // Stands in for the real one: any 64 digits that differ.
        fingerprint: &|text| {
            let sum = text.bytes().fold(7_u128, |sum, byte| {
                sum.wrapping_mul(1_099_511_628_211)
                    .wrapping_add(byte.into())
            });
            format!("{sum:032x}{sum:032x}")
        },
        codes,
    })
}

fn of_entry<'o>(all: &'o [Exported], entry: u64, means: &str) -> &'o Value {
    let note = format!("entry {entry}");
    let found = all.iter().map(|one| &one.resource).find(|one| {
        let says = one["note"][0]["text"].as_str().unwrap_or_default();
        let of = says.split([',', ';']).next() == Some(note.as_str());
        of && one["code"]["text"] == means
    });
    found.unwrap_or_else(|| panic!("no {means} of entry {entry}"))
}

#[test]
fn each_value_of_a_reading_is_an_observation_with_its_unit_and_both_times() {
    let all = observed(&[]);
    let first = of_entry(&all, 11, "level on the drainage unit");
    assert_eq!(first["status"], "final");
    assert_eq!(first["effectiveDateTime"], "2026-10-26T02:00:00.000+00:00");
    assert_eq!(first["issued"], "2026-10-26T02:01:00.000+00:00");
    assert_eq!(first["performer"][0]["display"], "AB, RN");
    assert_eq!(first["valueQuantity"]["code"], "mL");
    assert_eq!(first["valueQuantity"]["value"], 40.0);
    let suction = of_entry(&all, 11, "suction set, below atmospheric pressure");
    assert_eq!(
        (
            &suction["valueQuantity"]["value"],
            &suction["valueQuantity"]["code"]
        ),
        (&json!(20.0), &json!("cm[H2O]"))
    );
    let pressure = of_entry(&all, 11, "blood pressure");
    assert_eq!(pressure["component"][1]["valueQuantity"]["value"], 80.0);
    assert!(pressure["valueQuantity"].is_null());
    let done = of_entry(&all, 11, "what was done");
    assert_eq!(done["valueString"], "turned |  [31mred");
    let names: BTreeSet<String> = all
        .iter()
        .map(|one| one.resource["identifier"][0]["value"].to_string())
        .collect();
    assert_eq!(names.len(), all.len());
}

#[test]
fn what_was_corrected_stays_and_what_was_not_obtained_has_no_value() {
    let all = observed(&[]);
    let level = "level on the drainage unit";
    let wrong = of_entry(&all, 12, level);
    assert_eq!(wrong["status"], "entered-in-error");
    assert_eq!(wrong["valueQuantity"]["value"], 900.0);
    assert_eq!(wrong["note"][0]["text"], "entry 12; replaced by entry 13");
    let right = of_entry(&all, 13, level);
    assert_eq!(
        (&right["status"], &right["valueQuantity"]["value"]),
        (&json!("corrected"), &json!(90.0))
    );
    let struck = of_entry(&all, 14, level);
    assert_eq!(struck["status"], "entered-in-error");
    assert_eq!(
        struck["note"][0]["text"],
        "entry 14; struck out by entry 15"
    );
    let none = of_entry(&all, 16, level);
    assert!(none["valueQuantity"].is_null());
    assert_eq!(none["dataAbsentReason"]["coding"][0]["code"], "unknown");
    let losses = bundle(all).losses.join("\n");
    for wanted in [
        "1 events",
        "1 corrections that struck",
        "codes: none is confirmed",
        "outputs, totals",
    ] {
        assert!(losses.contains(wanted), "{wanted}: {losses}");
    }
}

#[test]
fn an_observation_has_a_code_only_when_it_is_confirmed() {
    let without = observed(&[]);
    assert!(
        without
            .iter()
            .all(|one| one.resource["code"]["coding"].is_null())
    );
    let code = Code {
        tag: "spo2".into(),
        system: "http://loinc.org".into(),
        code: "0-0".into(),
        display: "made up for this test".into(),
    };
    let with = observed(&[code]);
    let coded = with
        .iter()
        .filter(|one| one.resource["code"]["coding"][0]["code"] == "0-0");
    let coded: Vec<_> = coded.collect();
    assert_eq!(coded.len(), 1);
    assert_eq!(coded[0].resource["code"]["text"], "oxygen saturation");
}
