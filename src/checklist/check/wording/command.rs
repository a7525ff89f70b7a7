//! An instruction is a command: it begins with a verb of the glossary, which a unit may extend.
//!
//! US Nuclear Regulatory Commission, 1982, NUREG-0899: action steps in concrete command words
//! (second-hand summary).

use crate::checklist::nearest::nearest;
use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::Said;
use super::{Rules, told};

pub(super) fn check(rules: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    if !said.part.is_instruction() {
        return;
    }
    let Some(first) = said.words.first() else {
        return;
    };
    if !rules.is_verb(&first.small) {
        let known = rules.glossary.verbs.iter().map(String::as_str);
        let prose = Prose::NotACommand {
            word: first.word.to_owned(),
            nearest: nearest(&first.small, known),
        };
        told(said.at, prose, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn an_instruction_begins_with_a_verb() {
        assert_eq!(with("do", "Close the tap."), [""; 0]);
        assert_eq!(with("do", "The tap is closed."), ["not-a-command"]);
        assert_eq!(with("do", "Monitor the patient."), ["not-a-command"]);
        assert_eq!(with("check", "Swing is seen."), ["not-a-command"]);
        assert_eq!(with("expect", "Swing is seen."), [""; 0]);
    }
}
