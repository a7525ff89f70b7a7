//! `find`: from a sign, and from a word of the trade in any country's words, to the right list.
//!
//! What the trade says where: names used by the sources named in the lists (NSW Agency for Clinical
//! Innovation and Sydney Children's Hospitals Network for Australia, The Royal Marsden and NES for
//! the United Kingdom, Medscape, `MedSurg` Notes and Taylor's skill checklists for the United
//! States); which list a nurse then means: common practice, no source.

use std::collections::BTreeSet;

use crate::checklist::load::load;
use crate::checklist::model::{Library, ListKind};
use crate::checklist::shelf::{Shelf, SourceFile};

use super::Index;

fn library() -> Library {
    load(&Shelf::shipped()).library.expect("the shipped lists")
}

/// For each thing of the glossary, the lists of which one must come first, whatever it is called.
const SENSIBLE: &[(&str, &[&str])] = &[
    ("air-leak", &["bubbling", "find-leak"]),
    ("bubbling", &["bubbling"]),
    ("cannula", &["bleeding"]),
    ("chest-drain", &["trouble", "prepare", "connect"]),
    ("clamp", &["pause-end"]),
    ("collection-chamber", &["nearly-full", "change-unit"]),
    ("disconnection", &["disconnected"]),
    ("doctor", &["trouble"]),
    (
        "drainage-unit",
        &[
            "trouble",
            "nearly-full",
            "change-unit",
            "knocked-over",
            "cracked",
        ],
    ),
    ("duty", &["handing-over"]),
    ("emergency-team", &["breathless"]),
    ("gravity-drainage", &["suction-lost"]),
    ("haemothorax", &["bleeding"]),
    (
        "indicator",
        &["suction-low", "suction-high", "suction-lost"],
    ),
    ("large-effusion", &["large-volume"]),
    ("milking", &["blocked"]),
    ("occlusive-dressing", &["tube-out"]),
    ("oedema", &["re-expansion"]),
    ("operator", &["time-out", "prepare"]),
    ("round", &["round"]),
    ("seal-depth", &["seal-low", "seal-high"]),
    ("skin-crackle", &["skin-crackle"]),
    ("stripping", &["blocked"]),
    (
        "suction",
        &[
            "suction-lost",
            "suction-low",
            "suction-high",
            "suction-start",
        ],
    ),
    (
        "suction-chamber",
        &["suction-lost", "suction-low", "suction-high"],
    ),
    ("swing", &["no-swing", "swing-no-drainage"]),
    ("tap", &["sample"]),
    ("tube-out", &["tube-out"]),
    ("unit", &["trouble"]),
    (
        "water-seal",
        &[
            "no-swing",
            "bubbling",
            "seal-low",
            "seal-high",
            "seal-emptied",
        ],
    ),
];

/// The names of the lists that are found, best first.
fn found(index: &Index<'_>, words: &str) -> Vec<String> {
    index
        .matches(words)
        .into_iter()
        .map(|one| one.name)
        .collect()
}

/// Two things of the glossary may share a word, such as a bottle; then either will do.
#[test]
fn every_word_of_the_glossary_leads_to_a_sensible_list() {
    let library = library();
    let index = Index::of(&library);
    let terms = &library.glossary().terms;
    let named: BTreeSet<&str> = SENSIBLE.iter().map(|(name, _)| *name).collect();
    let there: BTreeSet<&str> = terms.keys().map(String::as_str).collect();
    assert_eq!(named, there, "the table has every thing of the glossary");
    let (mut walked, mut wrong) = (0, Vec::new());
    for term in terms.values() {
        for saying in term.sayings() {
            let sensible: BTreeSet<&str> = SENSIBLE
                .iter()
                .filter(|(name, _)| terms[*name].sayings().any(|one| one == saying))
                .flat_map(|(_, lists)| lists.iter().copied())
                .collect();
            let found = found(&index, saying);
            let first = found.first().map(String::as_str);
            if !first.is_some_and(|one| sensible.contains(one)) {
                wrong.push(format!("{saying}: {first:?}, not one of {sensible:?}"));
            }
            walked += 1;
        }
    }
    assert!(walked > 120, "{walked}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Whole complaints, as they are said in each country.
#[test]
fn a_complaint_finds_its_list_in_any_countrys_words() {
    let library = library();
    let index = Index::of(&library);
    for (words, list) in [
        ("no swinging", "no-swing"),
        ("no oscillation", "no-swing"),
        ("no tidaling", "no-swing"),
        ("tidaling but no output", "swing-no-drainage"),
        ("chest drain fallen out", "tube-out"),
        ("intercostal drain pulled out", "tube-out"),
        ("ICC falls out", "tube-out"),
        ("chest tube dislodged", "tube-out"),
        ("UWSD bottle full", "nearly-full"),
        ("chest drain bottle nearly full", "nearly-full"),
        ("chest drainage system nearly full", "nearly-full"),
        ("UWSD knocked over", "knocked-over"),
        ("bottle cracked", "cracked"),
        ("chest drainage unit cracked", "cracked"),
        ("surgical emphysema", "skin-crackle"),
        ("subcutaneous emphysema", "skin-crackle"),
        ("crepitus", "skin-crackle"),
        ("underwater seal empty", "seal-emptied"),
        ("under water seal dry", "seal-emptied"),
        ("water level too low", "seal-low"),
        ("low wall suction lost", "suction-lost"),
        ("thoracic suction failed", "suction-lost"),
        ("negative pressure too high", "suction-high"),
        ("hemothorax", "bleeding"),
        ("haemothorax", "bleeding"),
        ("chest tube disconnected", "disconnected"),
        ("crash team", "breathless"),
        ("rapid response", "breathless"),
        ("prolonged air leak", "bubbling"),
        ("change the UWSD bottle", "change-unit"),
        ("replace the chest drainage unit", "change-unit"),
        ("obs", "round"),
        ("re-expansion edema", "re-expansion"),
    ] {
        let found = found(&index, words);
        assert_eq!(
            found.first().map(String::as_str),
            Some(list),
            "{words}: {found:?}"
        );
    }
}

/// A sign as it stands in a list finds that list before every other that is not urgent and does not
/// have the same sign.
#[test]
fn every_sign_finds_its_own_list() {
    let library = library();
    let index = Index::of(&library);
    for (_, list) in library.lists() {
        for sign in &list.signs {
            let found = found(&index, sign);
            let first = found.iter().find(|one| {
                let other = library.list(library.find(one).expect("a list"));
                other.name == list.name
                    || (other.kind != ListKind::Urgent && !other.signs.contains(sign))
            });
            let own = Some(list.name.as_str());
            assert_eq!(first.map(String::as_str), own, "{sign}: {found:?}");
        }
    }
}

/// A unit's own word leads where the unit says; a list that is not there is an error.
#[test]
fn a_unit_adds_its_own_words() {
    let with = |list: &str| {
        let text = format!(
            "words:\n  hose:\n    use: hose\n    means: what we say for tubing\n    also: [snake]\n    lists: [{list}]\n"
        );
        let file = SourceFile {
            path: "checklists/glossary.yaml".to_owned(),
            bytes: text.into_bytes(),
        };
        load(&Shelf::shipped().with_unit("ours", [file]))
    };
    let library = with("blocked").library.expect("it loads");
    assert_eq!(found(&Index::of(&library), "snake"), ["blocked"]);
    let told = with("blockd").problems;
    assert!(
        told.iter().any(|one| one.drawn().contains("blockd")),
        "{told:?}"
    );
}
