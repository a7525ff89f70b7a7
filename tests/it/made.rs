//! Libraries made from checklists written in a test.

use std::sync::Arc;

use tubeside::checklist::load::load;
use tubeside::checklist::model::Library;
use tubeside::checklist::shelf::{Shelf, SourceFile};

const LIMITS: &str = "
limits:
  seal-low: {value: 2 cm, means: The least depth of the seal, population: all, stricter: higher, source: \"A test, no source\", evidence: C}
  first-stop: {value: 10 mL/kg, means: First pause in a child, population: child, stricter: lower, source: \"A test, no source\", evidence: C}
";
const DUTIES: &str = "
duties:
  end-under-water: {open: The tube end is under water, close: Join the tube again, within: 10 min}
";
const LOCAL_FACTS: &str = "
facts:
  fill-volume: {means: Water for the seal, kind: amount, unit: mL, plausible: 0 to 1000, while_unset: The line on the drainage unit is used.}
";
const LOCAL: &str = "
unit: Made ward
zone: Europe/London
facts: {fill-volume: 70 mL}
calls:
  emergency: [{who: Emergency team, how: '2222', wait: 2 min}]
  doctor-now: [{who: Ward doctor, how: bleep 100, wait: 5 min}, {who: Registrar, how: bleep 200, wait: 5 min}]
";

fn file(path: &str, text: &str) -> SourceFile {
    SourceFile {
        path: path.to_owned(),
        bytes: text.as_bytes().to_vec(),
    }
}

/// The shelf of these checklists, with a few limits, duties and local facts.
pub fn shelf(lists: &[(&str, &str)]) -> Shelf {
    let mut files = vec![
        file("checklists/limits.yaml", LIMITS),
        file("checklists/duties.yaml", DUTIES),
        file("checklists/local-facts.yaml", LOCAL_FACTS),
        file("local/local.yaml", LOCAL),
    ];
    files.extend(
        lists
            .iter()
            .map(|(name, text)| file(&format!("checklists/{name}.yaml"), text)),
    );
    Shelf::from_files(files)
}

/// The library of these checklists; fails the test with every problem when there is one.
pub fn library(lists: &[(&str, &str)]) -> Arc<Library> {
    let loaded = load(&shelf(lists));
    let Some(library) = loaded.library else {
        let told: Vec<String> = loaded
            .problems
            .iter()
            .map(|problem| problem.drawn())
            .collect();
        panic!("{}", told.join("\n"))
    };
    Arc::new(library)
}
