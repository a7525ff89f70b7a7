//! Running text is in small letters; words in capitals are read more slowly.
//!
//! Degani, 1992, NASA CR-177605, list items on case (contents read, items second-hand).

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Said, Word};
use super::{Rules, told};

pub(super) fn check(rules: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    let loud = |word: &Word<'_>| {
        let letters = word.word.chars().filter(|c| c.is_alphabetic());
        letters.clone().count() > 1
            && letters.clone().all(char::is_uppercase)
            && !rules.glossary.abbreviations.contains_key(word.word)
    };
    let mut pairs = said.words.windows(2);
    if let Some(pair) = pairs.find(|pair| pair.iter().all(loud)) {
        let words = format!("{} {}", pair[0].word, pair[1].word);
        told(said.at, Prose::Capitals { words }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn capitals_are_told() {
        let codes = with("caution", "A clamp is NOT ALLOWED here.");
        assert!(codes.contains(&"capitals"), "{codes:?}");
        assert_eq!(with("caution", "A clamp lowers SpO2."), [""; 0]);
    }
}
