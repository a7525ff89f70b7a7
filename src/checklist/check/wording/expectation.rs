//! A check says the state or value that should be seen, not that it was checked.
//!
//! Degani and Wiener, Human Factors 1993;35(2):28, guideline 1 (passage read).

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Part, Said};
use super::{Rules, told};

/// Words that say that something was done, and nothing of what was seen.
pub(super) const EMPTY: &[&str] = &["ok", "okay", "done", "checked", "set", "yes", "no", "fine"];

pub(super) fn check(_: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    if said.part != Part::Expect {
        return;
    }
    if said
        .words
        .iter()
        .all(|word| EMPTY.contains(&word.small.as_str()))
    {
        let found = said.words.iter().map(|word| word.word).collect::<Vec<_>>();
        let found = found.join(" ");
        told(said.at, Prose::EmptyExpectation { found }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn an_expectation_names_a_state() {
        assert_eq!(with("expect", "Checked."), ["empty-expectation"]);
        assert_eq!(with("expect", "Done, ok."), ["empty-expectation"]);
        assert_eq!(with("expect", "Set to the order."), [""; 0]);
    }
}
