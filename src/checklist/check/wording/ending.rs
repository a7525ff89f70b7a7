//! Every ending says when to get help: it names a call, or somebody who has been called.
//!
//! Common practice, no source. A written last item closes a list: Degani and Wiener, 1990, NASA
//! CR-177549 (second-hand).

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Part, Said};
use super::{Rules, told};

/// A call, or a call that was made.
const HELP: &[&str] = &["call", "called", "shout"];
/// When, or that it has come to it.
const WHEN: &[&str] = &["unsure", "worse", "stay", "until"];

pub(super) fn check(_: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    if said.part != Part::End {
        return;
    }
    let says = |any: &[&str]| {
        said.words
            .iter()
            .any(|word| any.contains(&word.small.as_str()))
    };
    if !says(HELP) || !says(WHEN) {
        told(said.at, Prose::EndWithoutHelp, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn an_ending_says_when_to_get_help() {
        assert_eq!(with("end", "The drain works."), ["end-without-help"]);
        assert_eq!(
            with("end", "The drain works. Call me Monday."),
            ["end-without-help"]
        );
        assert_eq!(
            with("end", "The team is called. Stay with the patient."),
            [""; 0]
        );
        assert_eq!(with("end", "Worse or unsure, call."), [""; 0]);
    }
}
