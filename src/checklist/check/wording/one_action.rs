//! One action in one step: a second one hung on is overlooked and cannot be ticked by itself.
//!
//! US Nuclear Regulatory Commission, 1982, NUREG-0899 (second-hand summary). A verb counts only
//! directly after "and", "&", "or", a comma, "then" or a semicolon, so that pairs of nouns
//! ("clamps and taps") pass.

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Part, Said, Word};
use super::{Rules, told};

pub(super) fn check(rules: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    if !matches!(said.part, Part::Do | Part::Check | Part::Measure) {
        return;
    }
    for (at, pair) in said.words.windows(2).enumerate() {
        let [before, word] = pair else { continue };
        let joint = if word.small == "then" {
            "then"
        } else if before.after.contains(';') {
            ";"
        } else if !rules.is_verb(&word.small) || is_thing(&said.words, at + 1) {
            continue;
        } else if matches!(before.small.as_str(), "and" | "or") {
            before.small.as_str()
        } else if before.after.contains('&') {
            "&"
        } else if before.after.contains(',') {
            ","
        } else if before.ends_sentence() {
            "."
        } else {
            continue;
        };
        let prose = Prose::SecondAction {
            joint: joint.to_owned(),
            word: word.word.to_owned(),
        };
        told(said.at, prose, out);
        return;
    }
}

/// Verbs that are also the names of things at the bedside.
const THINGS: &[&str] = &["cap", "chart", "clamp", "label", "stand", "tape"];
/// Words that follow a verb before what it acts on.
const OBJECT: &[&str] = &[
    "the", "a", "an", "all", "any", "each", "every", "both", "it", "this",
];

/// Whether a verb is here the name of a thing: "joint, port and cap again".
fn is_thing(words: &[Word<'_>], at: usize) -> bool {
    let next = words.get(at + 1).map_or("", |word| word.small.as_str());
    THINGS.contains(&words[at].small.as_str()) && !OBJECT.contains(&next)
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_step_has_one_action() {
        for bad in [
            "Open the tap and call the doctor.",
            "Open the tap, call the doctor.",
            "Open the tap; the clamp too.",
            "Open the tap then the clamp.",
            "Open the tap. Call the doctor.",
            "Open the tap & close the clamp.",
        ] {
            assert_eq!(with("do", bad), ["second-action"], "{bad}");
        }
    }

    #[test]
    fn pairs_of_things_are_one_action() {
        assert_eq!(with("do", "Open all taps and clamps."), [""; 0]);
        assert_eq!(with("do", "Open tap and clamp."), [""; 0]);
        assert_eq!(
            with("do", "Open the tap and clamp the drain."),
            ["second-action"]
        );
        assert_eq!(with("check", "Watch level, tube and patient."), [""; 0]);
        assert_eq!(with("end", "Look again. Unsure, call the doctor."), [""; 0]);
    }
}
