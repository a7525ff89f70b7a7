//! Nothing is carried in the head from one screen to the next: under stress working memory shrinks.
//!
//! Burian, Barshi and Dismukes, 2005, NASA/TM-2005-213462 (second-hand summary).

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::Said;
use super::{Rules, told};

const BACK: &[&[&str]] = &[
    &["as", "above"],
    &["see", "above"],
    &["previous", "step"],
    &["step", "before"],
    &["earlier", "step"],
    &["value", "you", "noted"],
    &["you", "noted"],
    &["noted", "before"],
    &["noted", "earlier"],
    &["remember", "that"],
];

pub(super) fn check(_: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    if let Some(row) = BACK.iter().find(|row| said.find(row).is_some()) {
        let words = row.join(" ");
        told(said.at, Prose::LooksBack { words }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_text_stands_by_itself() {
        assert_eq!(with("do", "Open the tap as above."), ["looks-back"]);
        assert_eq!(with("expect", "The level you noted."), ["looks-back"]);
        assert_eq!(with("expect", "The level is above the line."), [""; 0]);
    }
}
