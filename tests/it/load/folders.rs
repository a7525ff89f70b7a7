//! Every good file loads without a word; every bad file tells exactly what its comments say.
//!
//! A bad file says at its end, in lines `# problem: CODE LINE:COLUMN`, what must be told, in order.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use super::{base, drawn, folder, load_with, name, read, yaml_files};

/// Codes that no file in the folder can show, each with the test that shows it.
const SHOWN_ELSEWHERE: &[&str] = &[
    "not-utf8",      // hostile.rs
    "too-big",       // hostile.rs
    "too-many",      // hostile.rs
    "not-yaml-name", // hostile.rs
    "our-fault",     // no file can cause it
];

/// Where a bad file stands on the shelf, by its folder.
fn place(path: &Path) -> String {
    let parent = name(path.parent().expect("a folder"));
    match parent.as_str() {
        "bad" | "good" => format!("checklists/{}", name(path)),
        "local" => "local/local.yaml".to_owned(),
        kind => format!("checklists/{kind}.yaml"),
    }
}

fn bad_files() -> Vec<std::path::PathBuf> {
    [
        "bad",
        "bad/limits",
        "bad/duties",
        "bad/local-facts",
        "bad/local",
    ]
    .iter()
    .flat_map(|inner| yaml_files(&folder().join(inner)))
    .collect()
}

fn told(path: &Path) -> Vec<String> {
    let loaded = load_with(&place(path), &read(path));
    let errors = loaded.errors().count();
    assert_eq!(loaded.library.is_none(), errors > 0, "{}", path.display());
    loaded
        .problems
        .iter()
        .map(|problem| {
            assert_eq!(problem.file, place(path), "{}", problem.line());
            format!(
                "{} {}:{}",
                problem.kind.code(),
                problem.place.line,
                problem.place.column
            )
        })
        .collect()
}

#[test]
fn good_files_load_without_a_word() {
    assert_eq!(drawn(&load_with("checklists/none.md", b"")), "");
    for path in yaml_files(&folder().join("good")) {
        let loaded = load_with(&place(&path), &read(&path));
        assert_eq!(drawn(&loaded), "", "{}", path.display());
        let library = loaded.library.expect("a library");
        let stem = name(&path).replace(".yaml", "");
        assert!(library.find(&stem).is_some(), "{stem}");
    }
}

#[test]
fn bad_files_tell_what_their_comments_say() {
    for path in bad_files() {
        let text = String::from_utf8(read(&path)).expect("UTF-8");
        let wanted: Vec<&str> = text
            .lines()
            .filter_map(|line| line.strip_prefix("# problem: "))
            .collect();
        assert!(!wanted.is_empty(), "{} says nothing", path.display());
        assert_eq!(told(&path), wanted, "{}", path.display());
    }
}

#[test]
fn every_kind_of_problem_has_a_bad_file() {
    let source = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src/checklist/problem.rs"));
    let source = String::from_utf8(source).expect("UTF-8");
    let codes: BTreeSet<&str> = source
        .lines()
        .filter_map(|line| line.split_once("=> \"")?.1.strip_suffix("\","))
        .collect();
    assert!(codes.len() > 80, "{}", codes.len());
    let mut shown: BTreeSet<String> = SHOWN_ELSEWHERE
        .iter()
        .map(|code| (*code).to_owned())
        .collect();
    for path in bad_files() {
        shown.extend(
            told(&path)
                .iter()
                .filter_map(|line| line.split(' ').next().map(str::to_owned)),
        );
    }
    let missing: Vec<&&str> = codes
        .iter()
        .filter(|code| !shown.contains(**code))
        .collect();
    assert!(missing.is_empty(), "without a bad file: {missing:?}");
}

/// The words of all problems in one file, so that a change of wording is seen as a difference.
/// Set `TUBESIDE_WRITE_TOLD` to write it anew.
#[test]
fn the_words_of_every_problem_are_as_agreed() {
    let mut words = String::new();
    for path in bad_files() {
        let loaded = load_with(&place(&path), &read(&path));
        let _never = write!(words, "{}\n\n", drawn(&loaded));
    }
    let agreed = folder().join("told.txt");
    if std::env::var_os("TUBESIDE_WRITE_TOLD").is_some() {
        std::fs::write(&agreed, &words).expect("written");
    }
    let wanted = String::from_utf8(read(&agreed)).expect("UTF-8");
    for (line, (found, wanted)) in words.lines().zip(wanted.lines()).enumerate() {
        assert_eq!(found, wanted, "told.txt, line {}", line + 1);
    }
    assert_eq!(words.len(), wanted.len());
}

#[test]
fn all_problems_of_all_files_come_at_once_and_in_order() {
    use tubeside::checklist::load::load;
    use tubeside::checklist::shelf::{Shelf, SourceFile};
    let bad = |file: &str| SourceFile {
        path: format!("checklists/{file}.yaml"),
        bytes: read(&folder().join(format!("bad/{file}.yaml"))),
    };
    let mut files = base();
    files.extend([
        bad("unknown-step"),
        bad("band-gap"),
        bad("open-quote"),
        bad("many-at-once"),
    ]);
    let loaded = load(&Shelf::from_files(files));
    let places: Vec<_> = loaded
        .problems
        .iter()
        .map(|problem| {
            (
                problem.file.clone(),
                problem.place.line,
                problem.place.column,
            )
        })
        .collect();
    let mut sorted = places.clone();
    sorted.sort();
    assert_eq!(places, sorted);
    let files: BTreeSet<_> = places.iter().map(|(file, ..)| file.as_str()).collect();
    assert_eq!(files.len(), 4, "{files:?}");
}
