//! A caution names the hazard directly before its step and holds no action, which would be
//! overlooked there.
//!
//! US Nuclear Regulatory Commission, 1982, NUREG-0899 (second-hand summary).

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Part, Said};
use super::{Rules, told};

pub(super) fn check(rules: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    if said.part != Part::Caution {
        return;
    }
    let mut firsts = said.sentences().filter_map(<[_]>::first);
    if let Some(word) = firsts.find(|word| rules.is_verb(&word.small)) {
        let word = word.word.to_owned();
        told(said.at, Prose::CautionActs { word }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_caution_holds_no_action() {
        assert_eq!(with("caution", "Clamp nothing."), ["caution-acts"]);
        assert_eq!(
            with("caution", "Air is trapped. Open the tap."),
            ["caution-acts"]
        );
        assert_eq!(with("caution", "A clamp traps air."), [""; 0]);
    }
}
