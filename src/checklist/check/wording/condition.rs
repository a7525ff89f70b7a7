//! Conditions come first and can be seen: one inside an instruction becomes a question.
//!
//! US Nuclear Regulatory Commission, 1982, NUREG-0899 (second-hand summary).

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Part, Said};
use super::{Rules, told};

const CONDITIONS: &[&str] = &["if", "when", "whenever", "unless"];

pub(super) fn check(_: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    if !matches!(said.part, Part::Do | Part::Check | Part::Measure) {
        return;
    }
    let found = said
        .words
        .iter()
        .find(|word| CONDITIONS.contains(&word.small.as_str()));
    if let Some(word) = found {
        let word = word.word.to_owned();
        told(said.at, Prose::HiddenCondition { word }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_condition_inside_an_instruction_is_told() {
        assert_eq!(
            with("do", "Open the tap if it is closed."),
            ["hidden-condition"]
        );
        assert_eq!(
            with("check", "Watch the seal unless it is dry."),
            ["hidden-condition"]
        );
        assert_eq!(
            with("caution", "A tap traps air when it is closed."),
            [""; 0]
        );
        assert_eq!(
            with("do", "Open the tap until the doctor orders otherwise."),
            [""; 0]
        );
    }
}
