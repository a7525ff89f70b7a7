//! Loading checklists: folders of good and bad files, the shipped lists, hostile input.

mod agreement;
mod folders;
mod hostile;
mod language;
mod model;
mod shipped;

use std::path::{Path, PathBuf};

use tubeside::checklist::load::{Loaded, load};
use tubeside::checklist::shelf::{Shelf, SourceFile};

/// The folder of checklists for tests.
fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checklists")
}

/// Every YAML file in a folder, by name; at least one.
fn yaml_files(folder: &Path) -> Vec<PathBuf> {
    let entries =
        std::fs::read_dir(folder).unwrap_or_else(|why| panic!("{}: {why}", folder.display()));
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "yaml"))
        .collect();
    files.sort();
    assert!(!files.is_empty(), "{} is empty", folder.display());
    files
}

fn read(path: &Path) -> Vec<u8> {
    std::fs::read(path).unwrap_or_else(|why| panic!("{}: {why}", path.display()))
}

fn name(path: &Path) -> String {
    path.file_name()
        .expect("a file name")
        .to_string_lossy()
        .into_owned()
}

/// The files that every list for tests may speak of.
fn base() -> Vec<SourceFile> {
    yaml_files(&folder().join("shelf"))
        .iter()
        .map(|path| SourceFile {
            path: format!("checklists/{}", name(path)),
            bytes: read(path),
        })
        .collect()
}

/// Loads the base with one more file, which takes the place of one of its path.
fn load_with(path: &str, bytes: &[u8]) -> Loaded {
    let file = SourceFile {
        path: path.to_owned(),
        bytes: bytes.to_vec(),
    };
    load(&Shelf::from_files(base().into_iter().chain([file])))
}

/// Every problem, drawn, for a message.
fn drawn(loaded: &Loaded) -> String {
    loaded
        .problems
        .iter()
        .map(|problem| problem.drawn())
        .collect::<Vec<_>>()
        .join("\n\n")
}
