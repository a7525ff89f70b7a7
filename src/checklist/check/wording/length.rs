//! Short sentences: at most 20 words where something is asked, 25 where something is told; in an
//! urgent list more than 12 are pointed out.
//!
//! ASD-STE100 Simplified Technical English: 20 words in procedures, 25 in descriptions (as
//! reported by several guides); 12 is a starting value of our own. A number and its unit count as
//! two words, a place to be filled as one.

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Part, Said};
use super::{Rules, told};

const IN_PROCEDURE: usize = 20;
const IN_DESCRIPTION: usize = 25;
const IN_URGENT: usize = 12;

pub(super) fn check(_: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    let most = if said.part.is_instruction() || matches!(said.part, Part::Ask | Part::Expect) {
        IN_PROCEDURE
    } else {
        IN_DESCRIPTION
    };
    if let Some(words) = said.sentences().map(<[_]>::len).find(|words| *words > most) {
        told(said.at, Prose::LongSentence { words, most }, out);
    }
}

/// The same for what an urgent list asks for.
pub(super) fn in_urgent(said: &Said<'_>, out: &mut Findings) {
    if !said.part.is_instruction() && said.part != Part::Ask {
        return;
    }
    let mut lengths = said.sentences().map(<[_]>::len);
    if let Some(words) = lengths.find(|words| (IN_URGENT + 1..=IN_PROCEDURE).contains(words)) {
        let most = IN_URGENT;
        told(said.at, Prose::LongInUrgent { words, most }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::{with, with_all};

    fn of(words: usize) -> String {
        format!("Open{}.", " it".repeat(words - 1))
    }

    #[test]
    fn a_sentence_that_asks_has_twenty_words() {
        assert_eq!(with("do", &of(20)), [""; 0]);
        assert_eq!(with("do", &of(21)), ["long-sentence"]);
        assert_eq!(with("ask", &of(21)), ["long-sentence"]);
        assert_eq!(with("caution", &format!("A{}.", " b".repeat(24))), [""; 0]);
        assert_eq!(
            with("caution", &format!("A{}.", " b".repeat(25))),
            ["long-sentence"]
        );
    }

    #[test]
    fn each_sentence_counts_by_itself() {
        let two = format!("Worse or unsure, call. {} {}", of(20), of(20));
        assert_eq!(with("end", &two), [""; 0]);
    }

    #[test]
    fn an_urgent_list_is_shorter_still() {
        let head = ("KIND", "urgent\nkey: D");
        let codes = with_all(&[head, ("do", &of(13))]);
        assert!(codes.contains(&"long-in-urgent"), "{codes:?}");
        let codes = with_all(&[head, ("do", &of(12))]);
        assert!(!codes.contains(&"long-in-urgent"), "{codes:?}");
    }
}
