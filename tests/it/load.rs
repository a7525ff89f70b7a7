//! Loading checklists: folders of good and bad files, the shipped lists, hostile input.

use tubeside::checklist::load::load;
use tubeside::checklist::shelf::Shelf;

#[test]
fn the_shipped_lists_are_without_errors() {
    let loaded = load(&Shelf::shipped());
    let told: Vec<String> = loaded
        .problems
        .iter()
        .map(|problem| problem.drawn())
        .collect();
    assert!(loaded.library.is_some(), "{}", told.join("\n\n"));
    assert!(told.is_empty(), "{}", told.join("\n\n"));
}
