//! Libraries and safeguards written in a test.

use std::sync::Arc;

use crate::checklist::load::load;
use crate::checklist::model::Library;
use crate::checklist::proof::graph::Budget;
use crate::checklist::proof::rule::{Safeguard, Verdict};
use crate::checklist::proof::{Proof, STATES, prove, read};
use crate::checklist::shelf::{Shelf, SourceFile};

pub fn file(path: &str, text: &str) -> SourceFile {
    SourceFile {
        path: path.to_owned(),
        bytes: text.as_bytes().to_vec(),
    }
}

const LIMITS: &str = "
limits:
  seal-low: {value: 2 cm, means: The least depth of the seal, population: all, stricter: higher, source: \"A test, no source\", evidence: C}
  first-stop: {value: 10 mL/kg, means: First pause in a child, population: child, stricter: lower, source: \"A test, no source\", evidence: C}
";
const DUTIES: &str = "
duties:
  clamp-on: {open: A clamp is on the drain, close: Take the clamp off, within: 10 min}
  suction-off: {open: Suction is off, close: Turn suction on again}
";
const LOCAL_FACTS: &str = "
facts:
  fill-volume: {means: Water for the seal, kind: amount, unit: mL, plausible: 0 to 1000, while_unset: The line on the drainage unit is used.}
";

/// A library of these lists; every problem fails the test.
pub fn library(lists: &[(&str, &str)]) -> Arc<Library> {
    let mut files = vec![
        file("checklists/limits.yaml", LIMITS),
        file("checklists/duties.yaml", DUTIES),
        file("checklists/local-facts.yaml", LOCAL_FACTS),
    ];
    files.extend(
        lists
            .iter()
            .map(|(name, text)| file(&format!("checklists/{name}.yaml"), text)),
    );
    let loaded = load(&Shelf::from_files(files));
    let Some(library) = loaded.library else {
        let told: Vec<String> = loaded
            .problems
            .iter()
            .map(crate::checklist::problem::Problem::drawn)
            .collect();
        panic!("{}", told.join("\n"))
    };
    Arc::new(library)
}

/// A list of that name with these steps, of which the first is `begin`.
pub fn list(name: &str, kind: &str, begin: &str, steps: &str) -> String {
    let key = if kind == "urgent" { "key: \"!\"\n" } else { "" };
    format!(
        "checklist: {name}\ntitle: A made list\nversion: 1.0.0\nkind: {kind}\nmode: read-do\n{key}\
         signs: [something]\nrecognise: Something is so.\nowner: Tests\n\
         sources: {{t: \"A test, no source\"}}\nbegin: {begin}\nsteps:\n{steps}"
    )
}

/// The safeguards of a file; every fault fails the test.
pub fn safeguards(text: &str, library: &Library) -> Vec<Safeguard> {
    match read::read(&file("safeguards.yaml", text), library) {
        Ok(found) => found,
        Err(faults) => {
            let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
            panic!("{}", told.join("\n"))
        }
    }
}

/// One safeguard with that rule.
pub fn safeguard(rule: &str, library: &Library) -> Vec<Safeguard> {
    safeguards(
        &format!("safeguards:\n  it:\n    says: A test.\n    {rule}\n"),
        library,
    )
}

/// Proves one list.
pub fn proof(library: &Library, list: &str, safeguards: &[Safeguard]) -> Proof {
    let id = library.find(list).expect("the list is there");
    prove(
        library,
        id,
        safeguards,
        library,
        &mut Budget {
            states: STATES,
            progress: &mut |_| {},
        },
    )
}

/// What comes of one rule on one list.
pub fn verdict(library: &Library, list: &str, rule: &str) -> Verdict {
    let found = proof(library, list, &safeguard(rule, library));
    found.verdicts.into_iter().next().expect("one verdict").1
}
