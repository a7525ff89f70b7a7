//! A list with one place for each part of a text, and what the rules about words tell of it.

use crate::checklist::load::load;
use crate::checklist::shelf::{Shelf, SourceFile};

const LIST: &str = "\
checklist: good
title: The level does not move
version: 1.0.0
kind: KIND
mode: MODE
signs: [no swing]
recognise: The level stays still.
owner: Education lead
sources: {book: A book}
begin: act
steps:
  act:
    do: \"<do>\"
    why: \"<why>\"
    caution: \"<caution>\"
    source: book
    critical: true
    then: look
    if_not_done: ask
  look:
    check: \"<check>\"
    expect: \"<expect>\"
    where: \"<where>\"
    source: book
    as_expected: ask
    not_as_expected: ask
    could_not_check: ask
  ask:
    ask: \"<ask>\"
    source: book
    remember: asked
    answers:
      - \"<answer>\": choose
      - still: choose
      - not sure: {unsure: true, go: choose}
  choose:
    decide:
      - when: <when>
        go: finish
    otherwise: finish
  finish:
    end: \"<end>\"
    outcome: watch
";

const GLOSSARY: &str = "\
words:
  drainage-unit: {use: drainage unit, means: the device, short: [old unit], uk: [drain bottle], us: [chest drainage unit], also: [box]}
  team: {use: team, means: who comes at once, au: [MET]}
  swing: {use: swing, means: the level moves, us: [tidaling], also: [oscillation]}
verbs: [open, close, watch, look, put, clamp, call, call-up]
abbreviations: {SpO2: oxygen saturation, mL: millilitre}
";

/// The parts, with words in which nothing is wrong.
const GOOD: &[(&str, &str)] = &[
    ("do", "Open all clamps on the drain."),
    ("why", "A closed drain traps air."),
    ("caution", "A clamp can trap air."),
    ("check", "Watch the water seal for five breaths."),
    ("expect", "The level moves with each breath."),
    ("where", "Water seal"),
    ("ask", "How does the patient breathe?"),
    ("answer", "easily"),
    ("when", "{breathing: own}"),
    ("end", "The drain works. Worse or unsure, call the doctor."),
    ("KIND", "task"),
    ("MODE", "read-do"),
];

/// What the rules tell when one part reads otherwise, as codes.
pub(super) fn with(part: &str, words: &str) -> Vec<&'static str> {
    with_all(&[(part, words)])
}

/// What the rules tell when some parts read otherwise, as codes.
pub(super) fn with_all(parts: &[(&str, &str)]) -> Vec<&'static str> {
    let mut list = LIST.to_owned();
    for (part, good) in GOOD {
        let words = parts
            .iter()
            .find(|(other, _)| other == part)
            .map_or(*good, |(_, words)| *words);
        let place = match *part {
            "KIND" | "MODE" => (*part).to_owned(),
            part => format!("<{part}>"),
        };
        assert!(list.contains(&place), "{place}");
        list = list.replace(&place, words);
    }
    loaded(&list)
}

/// The same list with one passage of its text changed.
pub(super) fn spoiled(old: &str, new: &str) -> Vec<&'static str> {
    let mut list = LIST.to_owned();
    for (part, good) in GOOD {
        let place = match *part {
            "KIND" | "MODE" => (*part).to_owned(),
            part => format!("<{part}>"),
        };
        list = list.replace(&place, good);
    }
    assert!(list.contains(old), "{old}");
    loaded(&list.replacen(old, new, 1))
}

fn loaded(list: &str) -> Vec<&'static str> {
    let file = |name: &str, text: &str| SourceFile {
        path: format!("checklists/{name}.yaml"),
        bytes: text.as_bytes().to_vec(),
    };
    let shelf = Shelf::from_files([file("good", list), file("glossary", GLOSSARY)]);
    let loaded = load(&shelf);
    loaded
        .problems
        .iter()
        .map(|problem| problem.kind.code())
        .collect()
}

#[test]
fn nothing_is_wrong_with_the_good_list() {
    assert_eq!(with_all(&[]), [""; 0]);
}
