//! A critical step has one line of reason, at most 15 words, beside the instruction.
//!
//! Cao and others, Safety 2019;5:19: adherence 68 % with a reason, 44 % without (second-hand; 60
//! people in a laboratory). Fifteen words are a starting value of our own.

use crate::checklist::prose::Prose;
use crate::checklist::raw::{Findings, RawKind, RawList, RawStep};

use super::said::words;
use super::told;

const MOST: usize = 15;

pub(super) fn check(_: &RawList, step: &RawStep, out: &mut Findings) {
    match &step.why {
        Some(why) => {
            let words = words(&why.is).len();
            if words > MOST {
                told(why.at, Prose::LongReason { words, most: MOST }, out);
            }
        }
        None if step.critical && !matches!(step.kind, RawKind::End { .. } | RawKind::Hole) => {
            told(step.name.at, Prose::NoReason, out);
        }
        None => {}
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::{spoiled, with};

    #[test]
    fn a_critical_step_gives_its_reason() {
        assert_eq!(
            spoiled("    why: \"A closed drain traps air.\"\n", ""),
            ["no-reason"]
        );
    }

    #[test]
    fn a_reason_is_one_line() {
        let of = |words: usize| format!("Air{}.", " air".repeat(words - 1));
        assert_eq!(with("why", &of(15)), [""; 0]);
        assert_eq!(with("why", &of(16)), ["long-reason"]);
    }
}
