//! The shipped lists.

use tubeside::checklist::load::load_as_written;
use tubeside::checklist::shelf::{Shelf, SourceFile};

use super::drawn;

#[test]
fn the_shipped_lists_are_without_problems() {
    let loaded = load_as_written(&Shelf::shipped());
    assert_eq!(drawn(&loaded), "");
    assert!(loaded.library.is_some());
}

#[test]
fn a_shelf_is_the_same_when_it_is_made_again_from_its_files() {
    let shelf = Shelf::shipped();
    let again = Shelf::from_files(shelf.files().map(|(path, bytes)| SourceFile {
        path: path.to_owned(),
        bytes: bytes.to_vec(),
    }));
    assert_eq!(again.fingerprints(), shelf.fingerprints());
}
