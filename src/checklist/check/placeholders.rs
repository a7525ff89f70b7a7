//! What texts are filled from is known. An answer is filled from limits alone: it is also the name
//! under which it is found again, so that it must always be known.

use crate::checklist::model::{Origin, Piece};
use crate::checklist::raw::{Findings, RawAnswer, RawKind};
use crate::checklist::text;

use super::One;
use super::periods::not_a_limit;

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
    for step in &one.list.steps {
        if let RawKind::Ask { answers, .. } = &step.kind {
            for answer in answers {
                limits_alone(one, answer, out);
            }
        }
    }
}

fn limits_alone(one: &One<'_>, answer: &RawAnswer, out: &mut Findings) {
    let at = answer.words.at;
    let pieces = match text::parse(&answer.words.is) {
        Ok(text) => text.0,
        Err(kind) => return out.add(at, kind),
    };
    for piece in pieces {
        let Piece::Fill(name) = piece else { continue };
        let known = one.all.facts.get(name.as_str());
        if known.is_none_or(|fact| fact.origin != Origin::Limit) {
            out.add(at, not_a_limit(one.all, name.as_str()));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::{spoiled, with_ask};

    #[test]
    fn an_unknown_name_in_a_text_is_told() {
        assert_eq!(
            spoiled("Straighten the tubing.", "Fill to {sealow}."),
            ["unknown-fact 13:9"]
        );
    }

    #[test]
    fn an_answer_is_filled_from_limits_alone() {
        let with = |answer: &str| {
            let first = format!("- \"{answer}\": fine");
            with_ask(&[&first, "- not sure: {unsure: true, go: call}"])
        };
        assert_eq!(with("below {seal-low}"), [""; 0]);
        for other in ["spill", "weight", "asked", "seal-lo"] {
            let answer = format!("below {{{other}}}");
            assert_eq!(with(&answer), ["not-a-limit 41:9"], "{other}");
        }
        assert_eq!(with("below {seal-low"), ["loose-brace 41:9"]);
    }

    #[test]
    fn limits_local_facts_and_drain_facts_are_known() {
        for name in ["seal-low", "spill", "weight"] {
            let found = spoiled("Straighten the tubing.", &format!("Look at {{{name}}}."));
            assert_eq!(found, [""; 0], "{name}");
        }
    }
}
