//! No word that cannot be measured: clear advice is followed about twice as often as vague advice.
//!
//! Grol and others, BMJ 1998;317:858: 67 % against 36 % of decisions (second-hand summary); US
//! Nuclear Regulatory Commission, 1982, NUREG-0899 (second-hand summary).

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Part, Said};
use super::{Rules, told};

const VAGUE: &[&[&str]] = &[
    &["adequate"],
    &["adequately"],
    &["appropriate"],
    &["appropriately"],
    &["regularly"],
    &["frequently"],
    &["slowly"],
    &["soon"],
    &["as", "needed"],
    &["as", "required"],
    &["if", "necessary"],
    &["consider"],
];

pub(super) fn check(_: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    let asks =
        said.part.is_instruction() || matches!(said.part, Part::Expect | Part::Ask | Part::End);
    if !asks {
        return;
    }
    if let Some(row) = VAGUE.iter().find(|row| said.find(row).is_some()) {
        let word = row.join(" ");
        told(said.at, Prose::VagueWord { word }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_vague_word_is_told() {
        assert_eq!(with("do", "Open the tap slowly."), ["vague-word"]);
        assert_eq!(with("expect", "Adequate swing."), ["vague-word"]);
        assert_eq!(with("do", "Open the tap as needed."), ["vague-word"]);
        assert_eq!(with("do", "Open the tap over one minute."), [""; 0]);
        assert_eq!(with("why", "It comes back slowly."), [""; 0]);
    }
}
