//! Loading and checking checklists, beside serde_yaml alone on the same texts.

use std::hint::black_box;

use tubeside::checklist::load::load;
use tubeside::checklist::shelf::Shelf;

use crate::common::{Mark, Row, in_turn, row};
use crate::made;

const YARDSTICK: &str = "serde_yaml alone into its untyped Value, the same texts";

/// Every shipped list together, and a list of 10,000 steps.
pub fn rows() -> Vec<Row> {
    let shipped = Shelf::shipped();
    let long = made::shelf(&made::long_list(10_000));
    drop((made::library(&shipped), made::library(&long)));
    vec![
        measured(
            "load and check every shipped list",
            &shipped,
            100,
            Mark::Millis(20.0),
        ),
        measured(
            "load and check a list of 10,000 steps",
            &long,
            10,
            Mark::Times(4.0),
        ),
    ]
}

fn measured(what: &str, shelf: &Shelf, rounds: usize, mark: Mark) -> Row {
    let texts: Vec<&str> = shelf
        .library_files()
        .map(|(_, bytes)| std::str::from_utf8(bytes).expect("UTF-8"))
        .collect();
    let (ours, theirs) = in_turn(
        rounds,
        || ((), ()),
        |()| drop(black_box(load(black_box(shelf)))),
        |()| {
            for text in &texts {
                let value: serde_yaml::Value = serde_yaml::from_str(text).expect("YAML");
                drop(black_box(value));
            }
        },
    );
    row(what, &ours, YARDSTICK, &theirs, mark)
}
