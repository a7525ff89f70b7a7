//! The layers of the source tree: who may import whom, read from the `use` lines and paths.

use std::fs;
use std::path::{Path, PathBuf};

/// Each module, what it may import of ours, and which outside packages stay inside it.
///
/// A module that is not listed fails the test, so that a new one is placed on purpose.
const LAYERS: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("moment", &["units"]),
    ("names", &[]),
    ("clean", &[]),
    ("privacy", &[]),
    ("files", &[]),
    ("chart", &["units", "names", "moment", "clean", "chart"]),
    ("checklist::model", &["units", "names", "moment"]),
    (
        "checklist::drain_fact",
        &["units", "names", "checklist::model"],
    ),
    ("checklist::exit", &["units", "checklist::model"]),
    (
        "checklist",
        &["units", "names", "moment", "clean", "chart", "checklist"],
    ),
    (
        "walk",
        &[
            "units",
            "names",
            "moment",
            "chart",
            "walk",
            "checklist::model",
            "checklist::drain_fact",
            "checklist::exit",
        ],
    ),
    (
        "journal",
        &[
            "units",
            "names",
            "moment",
            "clean",
            "files",
            "chart",
            "journal",
            "walk",
            "checklist::drain_fact",
            "checklist::model",
        ],
    ),
    (
        "record",
        &[
            "units",
            "names",
            "moment",
            "clean",
            "files",
            "chart",
            "record",
            "walk::story",
            "walk::input",
            "checklist::drain_fact",
            "checklist::model",
        ],
    ),
    (
        "screen",
        &[
            "units",
            "names",
            "moment",
            "clean",
            "screen",
            "walk::view",
            "walk::input",
            "checklist::problem",
            "checklist::model",
        ],
    ),
    (
        "paper",
        &[
            "units",
            "names",
            "clean",
            "paper",
            "checklist::drain_fact",
            "checklist::model",
        ],
    ),
    ("map", &["clean", "map", "checklist::model"]),
    ("failure", &["*"]),
    ("commands", &["*"]),
    ("cli", &["*"]),
    ("lib", &["*"]),
    ("main", &["lib"]),
];

/// Outside packages that only these modules may name.
const OUTSIDE: &[(&str, &[&str])] = &[
    ("serde_yaml", &["checklist"]),
    ("saphyr_parser", &["checklist"]),
    ("annotate_snippets", &["checklist"]),
    ("petgraph", &["checklist"]),
    ("plotters", &["chart"]),
    ("layout", &["map"]),
    ("rusqlite", &["journal"]),
    ("tera", &["record"]),
    ("pulldown_cmark", &["record"]),
    ("dialoguer", &["screen"]),
    ("console", &["screen"]),
    ("clap", &["cli"]),
    ("ctrlc", &["screen", "commands", "lib"]),
];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("the source folder is there") {
        let path = entry.expect("the entry can be read").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ext| ext == "rs") {
            found.push(path);
        }
    }
}

/// `src/checklist/check/circle.rs` is `checklist::check::circle`.
fn module_of(path: &Path) -> String {
    let text = path.with_extension("").to_string_lossy().replace('\\', "/");
    let inside = text.split_once("src/").expect("below src").1;
    inside.trim_end_matches("/mod").replace('/', "::")
}

fn entry_of(module: &str) -> Option<&'static (&'static str, &'static [&'static str])> {
    LAYERS
        .iter()
        .filter(|(name, _)| module == *name || module.starts_with(&format!("{name}::")))
        .max_by_key(|(name, _)| name.len())
}

/// Whole files that only tests compile.
fn is_only_for_tests(module: &str) -> bool {
    let last = module.rsplit("::").next().unwrap_or(module);
    let tests = last == "tests" || last.ends_with("_tests") || module.contains("::tests::");
    tests || matches!(module, "tables" | "record::made")
}

/// The product part of a file, without comments and without its tests, which may reach further.
fn product(text: &str) -> String {
    let product = text.split("#[cfg(test)]\nmod ").next().unwrap_or(text);
    let lines = product
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"));
    lines.collect::<Vec<_>>().join("\n")
}

/// Every `crate::a::b` named in the text, cut to its first two parts; braces are opened one level.
fn imports(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices("crate::") {
        let before = &text[..at];
        if before.ends_with("(in ") || before.ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = &text[at + "crate::".len()..];
        let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_' || c == ':'));
        let path = &rest[..end.unwrap_or(rest.len())];
        let after = &rest[path.len()..];
        let path = path.trim_end_matches(':');
        let base: Vec<&str> = path.split("::").filter(|part| !part.is_empty()).collect();
        if after.starts_with('{') && base.len() < 2 {
            let inner = &after[1..after.find('}').unwrap_or(after.len())];
            for part in inner
                .split(',')
                .map(str::trim)
                .filter(|part| !part.is_empty())
            {
                let name = part.split([':', ' ']).next().unwrap_or(part);
                found.push([base.clone(), vec![name]].concat().join("::"));
            }
        } else {
            found.push(base.iter().take(2).copied().collect::<Vec<_>>().join("::"));
        }
    }
    found
}

/// Whether the text names the package as the start of a path.
fn names_package(text: &str, package: &str) -> bool {
    text.match_indices(&format!("{package}::"))
        .any(|(at, _)| !text[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':'))
}

fn allowed(own: &str, wanted: &str, may: &[&str]) -> bool {
    let wanted = format!("{wanted}::");
    wanted.starts_with(&format!("{own}::"))
        || may
            .iter()
            .any(|name| *name == "*" || wanted.starts_with(&format!("{name}::")))
}

#[test]
fn a_module_imports_only_what_its_layer_may() {
    let mut files = Vec::new();
    sources(
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/src")),
        &mut files,
    );
    assert!(files.len() > 10, "the sources were found");
    let mut faults = Vec::new();
    for path in files {
        let module = module_of(&path);
        if is_only_for_tests(&module) {
            continue;
        }
        let Some((name, may)) = entry_of(&module) else {
            faults.push(format!(
                "{module} is in no layer: add it to LAYERS on purpose"
            ));
            continue;
        };
        let text = product(&fs::read_to_string(&path).expect("a source file is text"));
        for wanted in imports(&text) {
            if !allowed(name, &wanted, may) {
                faults.push(format!(
                    "{module} imports {wanted}, which lies above or beside it"
                ));
            }
        }
        for (package, homes) in OUTSIDE {
            let root = module.split("::").next().unwrap_or(&module);
            if names_package(&text, package) && !homes.contains(&root) {
                faults.push(format!(
                    "{module} names {package}, which belongs to {homes:?}"
                ));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_system_clock_is_read_in_one_place() {
    let mut files = Vec::new();
    sources(
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/src")),
        &mut files,
    );
    for path in files {
        let text = product(&fs::read_to_string(&path).expect("a source file is text"));
        let reads = ["Utc::now", "Local::now", "SystemTime::now"]
            .iter()
            .any(|call| text.contains(call));
        assert!(
            !reads || module_of(&path).starts_with("moment"),
            "{} reads the clock",
            path.display()
        );
    }
}

#[test]
fn imports_are_found_in_every_spelling() {
    let found = imports(
        "use crate::walk::view::View; use crate::{units, names::Tag}; crate::journal::open();",
    );
    assert_eq!(found, ["walk::view", "units", "names", "journal::open"]);
}
