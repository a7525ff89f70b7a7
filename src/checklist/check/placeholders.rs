//! What texts are filled from is known.

use crate::checklist::model::Piece;
use crate::checklist::raw::Findings;

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    let steps = one.list.steps.iter().flat_map(|step| step.texts());
    for text in one.list.recognise.iter().chain(steps) {
        for piece in &text.is.0 {
            if let Piece::Fill(name) = piece
                && !one.scope.knows(name)
            {
                one.unknown_fact(name.as_str(), text.at, out);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::spoiled;

    #[test]
    fn an_unknown_name_in_a_text_is_told() {
        assert_eq!(
            spoiled("Straighten the tubing.", "Fill to {sealow}."),
            ["unknown-fact 13:9"]
        );
    }

    #[test]
    fn limits_local_facts_and_drain_facts_are_known() {
        for name in ["seal-low", "spill", "weight"] {
            let found = spoiled("Straighten the tubing.", &format!("Look at {{{name}}}."));
            assert_eq!(found, [""; 0], "{name}");
        }
    }
}
