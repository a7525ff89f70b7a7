//! Draws the first screen of each urgent list as it stands with the unit's own numbers to ring and
//! local facts, and tells where it is too tall to be seen at one glance.

use std::sync::Arc;

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::{Library, ListId, ListKind};
use crate::moment::Moment;
use crate::screen::{self, Look};
use crate::walk::Walk;
use crate::walk::input::{Answer, Input};
use crate::walk::view::Show;

/// Lines of the first screen of an urgent list.
const MOST_LINES: usize = 12;

/// The screen on which that holds.
const SCREEN: Look = Look {
    width: 80,
    colour: false,
    ascii: true,
};

/// A list whose first screen is too tall.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Tall {
    /// The checklist.
    pub list: String,
    /// How many lines the tallest of its first screens has.
    pub lines: usize,
}

impl Tall {
    /// What is wrong and what to do.
    #[must_use]
    pub fn words(&self) -> String {
        format!(
            "{}: with what the unit filled in, its first screen has {} lines of {} columns; at most \
             {MOST_LINES} can be seen at one glance\n  do: shorten its first steps, or the words of \
             the numbers to ring in local.yaml",
            self.list, self.lines, SCREEN.width
        )
    }
}

/// Every urgent list of the library whose first screen is too tall.
#[must_use]
pub fn tall(library: &Arc<Library>) -> Vec<Tall> {
    let urgent = library
        .lists()
        .filter(|(_, list)| list.kind == ListKind::Urgent);
    urgent
        .filter_map(|(id, list)| {
            let lines = tallest(library, id)?;
            (lines > MOST_LINES).then(|| Tall {
                list: list.name.to_string(),
                lines,
            })
        })
        .collect()
}

/// The lines of the tallest of the first screens, each step of them being done in turn.
fn tallest(library: &Arc<Library>, list: ListId) -> Option<usize> {
    let now = Moment::default();
    let (mut walk, _) = Walk::begin(library.clone(), list, DrainFacts::new(), now).ok()?;
    let mut most = None;
    while let Show::Urgent { .. } = walk.view(now).show {
        let lines = screen::drawn(&walk.view(now), now, SCREEN).len();
        most = most.max(Some(lines));
        let done = Input::Answer {
            answer: Answer::Done,
            seen: None,
        };
        walk.input(done, now).ok()?;
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checklist::load::load;
    use crate::checklist::shelf::{Shelf, SourceFile};

    fn unit(how: &str) -> Arc<Library> {
        let text = format!(
            "unit: W\nzone: UTC\ncalls:\n  emergency:\n    - {{who: emergency team, how: \"{how}\", wait: 1 min}}\n"
        );
        let file = SourceFile {
            path: "local.yaml".to_owned(),
            bytes: text.into_bytes(),
        };
        let shelf = Shelf::shipped().with_unit("w", [file]);
        Arc::new(load(&shelf).library.unwrap())
    }

    #[test]
    fn a_short_number_to_ring_fits_every_first_screen() {
        assert_eq!(tall(&unit("ring 00")), []);
    }

    #[test]
    fn a_long_way_to_ring_does_not() {
        let found = tall(&unit(
            &"ring the bell at the far door, and then ".repeat(12),
        ));
        assert!(!found.is_empty());
        assert!(found.iter().all(|one| one.lines > MOST_LINES));
        assert!(
            found.iter().any(|one| one.list == "breathless"),
            "{found:?}"
        );
        assert!(found[0].words().contains("local.yaml"));
    }
}
