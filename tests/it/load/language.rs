//! Every example in the language's documentation loads, and every key is in it.
//!
//! The word after `yaml` says what an example is: a whole `list`, some `steps` of one, or one of
//! the other files.

use std::collections::BTreeMap;
use std::path::Path;

use tubeside::checklist::load::load;
use tubeside::checklist::shelf::{Shelf, SourceFile};

use super::{drawn, folder, read};

/// Around examples of steps: three steps to lead to, and a first one that leads to all.
const AROUND: &str = "\
checklist: example
title: An example of the documentation
version: 1.0.0
kind: task
mode: read-do
signs: [example]
owner: Education lead
sources: {handbook: An invented handbook}
begin: first-of-all
steps:
  call: {end: Call., outcome: escalated}
  fine: {end: Fine., outcome: working}
  next: {end: Next., outcome: watch}
  first-of-all:
    ask: Where to?
    source: handbook
    answers:
      - call: call
      - fine: fine
";

fn documentation() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("checklists/LANGUAGE.md");
    String::from_utf8(read(&path)).expect("UTF-8")
}

/// What each example is, and its text.
fn examples(text: &str) -> Vec<(String, String)> {
    let mut examples = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let Some(what) = line.strip_prefix("```") else {
            continue;
        };
        let what = what
            .strip_prefix("yaml ")
            .unwrap_or_else(|| panic!("says not what it is: {line}"));
        let body: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
        examples.push((what.to_owned(), body.join("\n") + "\n"));
    }
    examples
}

/// The example of a file beside the lists.
fn beside(examples: &[(String, String)], what: &str) -> SourceFile {
    let (_, text) = examples
        .iter()
        .find(|(kind, _)| kind == what)
        .unwrap_or_else(|| panic!("no {what}"));
    let path = match what {
        "local" | "waivers" => format!("local/{what}.yaml"),
        _ => format!("checklists/{what}.yaml"),
    };
    SourceFile {
        path,
        bytes: text.clone().into_bytes(),
    }
}

/// A whole list around some steps: each is led to by the first.
fn around(steps: &str) -> String {
    let mut list = AROUND.to_owned();
    let names = steps
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase()));
    for name in names.map(|line| line.trim_end_matches(':')) {
        list.push_str(&format!("      - {name}: {name}\n"));
    }
    list.push_str("      - not sure: {unsure: true, go: next}\n");
    for line in steps.lines() {
        list.push_str(&format!("  {line}\n"));
    }
    list
}

#[test]
fn every_example_loads() {
    let examples = examples(&documentation());
    let files: Vec<SourceFile> = ["limits", "duties", "local-facts", "local", "waivers"]
        .iter()
        .map(|what| beside(&examples, what))
        .collect();
    let helper = SourceFile {
        path: "checklists/helper.yaml".to_owned(),
        bytes: read(&folder().join("shelf/helper.yaml")),
    };
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (what, text) in &examples {
        *seen.entry(what).or_default() += 1;
        let (name, list) = match what.as_str() {
            "list" => {
                let name = text
                    .lines()
                    .find_map(|line| line.strip_prefix("checklist: "));
                (name.expect("a name"), text.clone())
            }
            "steps" => ("example", around(text)),
            "limits" | "duties" | "local-facts" | "local" | "waivers" | "adaptation"
            | "safeguards" => continue,
            other => panic!("an example of an unknown kind: {other}"),
        };
        let file = SourceFile {
            path: format!("checklists/{name}.yaml"),
            bytes: list.into_bytes(),
        };
        let loaded = load(&Shelf::from_files(
            files.iter().cloned().chain([helper.clone(), file]),
        ));
        assert_eq!(drawn(&loaded), "", "{text}");
        assert!(
            loaded
                .library
                .is_some_and(|library| library.find(name).is_some()),
            "{text}"
        );
    }
    assert!(seen["steps"] >= 12 && seen["list"] >= 2, "{seen:?}");
}

/// The example of an adaptation, over the whole list that the documentation begins with.
#[test]
fn the_example_of_an_adaptation_loads_over_the_first_list() {
    let examples = examples(&documentation());
    let find = |what: &str| {
        &examples
            .iter()
            .find(|(kind, _)| kind == what)
            .expect(what)
            .1
    };
    let list = find("list");
    let hash = tubeside::checklist::shelf::fingerprint(list.as_bytes());
    let adaptation = find("adaptation").replace("written by the program", &hash);
    // What the example of `local.yaml` fills in cannot be filled in by the adaptation as well.
    let files = ["limits", "duties", "local-facts", "waivers"]
        .iter()
        .map(|what| beside(&examples, what))
        .chain([
            SourceFile {
                path: "checklists/level-still.yaml".to_owned(),
                bytes: list.clone().into_bytes(),
            },
            SourceFile {
                path: "local/adaptations/level-still.yaml".to_owned(),
                bytes: adaptation.into_bytes(),
            },
        ]);
    let loaded = load(&Shelf::from_files(files.collect::<Vec<_>>()));
    assert_eq!(drawn(&loaded), "");
    let library = loaded.library.expect("a library");
    let list = library.list(library.find("level-still").expect("the list"));
    assert!(list.find("second-look").is_some() && list.find("swings-again").is_none());
}

#[test]
fn every_key_is_documented() {
    let documentation = documentation();
    let keys = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/checklist/read/keys.rs");
    let keys = String::from_utf8(read(&keys)).expect("UTF-8");
    let lists = keys
        .split("/// The kinds of step that have a key")
        .next()
        .expect("the keys");
    let code: Vec<&str> = lists
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect();
    let code = code.join("\n");
    let words: Vec<&str> = code.split('"').skip(1).step_by(2).collect();
    assert!(words.len() > 50, "{}", words.len());
    for key in words {
        assert!(
            documentation.contains(&format!("`{key}`")),
            "`{key}` is not documented"
        );
    }
}

/// The example of safeguards: every rule is in it once, and a list keeps them all.
#[test]
fn the_example_of_safeguards_is_kept_by_a_list() {
    use tubeside::checklist::proof::read as safeguards_of;
    use tubeside::checklist::proof::{Budget, STATES, prove};

    let examples = examples(&documentation());
    let text = examples.iter().find(|(kind, _)| kind == "safeguards");
    let text = &text.expect("an example of safeguards").1;
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checklists/safeguarded.yaml");
    let list = SourceFile {
        path: "checklists/safeguarded.yaml".to_owned(),
        bytes: read(&path),
    };
    let files = ["limits", "duties", "local-facts"].map(|what| beside(&examples, what));
    let loaded = load(&Shelf::from_files(files.into_iter().chain([list])));
    assert_eq!(drawn(&loaded), "");
    let library = loaded.library.expect("a library");
    let file = SourceFile {
        path: "safeguards.yaml".to_owned(),
        bytes: text.clone().into_bytes(),
    };
    let safeguards = safeguards_of::read(&file, &library).expect("the safeguards can be read");
    let rules: std::collections::BTreeSet<_> = safeguards
        .iter()
        .map(|one| std::mem::discriminant(&one.rule))
        .map(|kind| format!("{kind:?}"))
        .collect();
    assert_eq!((safeguards.len(), rules.len()), (12, 12));
    let id = library.find("safeguarded").expect("the list");
    let budget = &mut Budget {
        states: STATES,
        progress: &mut |_| {},
    };
    for (name, verdict) in prove(&library, id, &safeguards, &library, budget).verdicts {
        assert!(verdict.is_fine(), "{name}: {verdict:?}");
    }
}
