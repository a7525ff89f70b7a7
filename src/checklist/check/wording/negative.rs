//! Questions ask for what is there: a negative in a question is answered the wrong way round.
//!
//! Common practice in writing surveys and procedures, no source. A prohibition is not a question:
//! it is said as what to keep ("Keep the drain open").

use crate::checklist::prose::Prose;
use crate::checklist::raw::Findings;

use super::said::{Part, Said};
use super::{Rules, told};

const NEGATIVE: &[&str] = &[
    "no", "not", "never", "unless", "except", "without", "none", "nobody", "nothing", "neither",
    "cannot",
];

pub(super) fn check(_: &Rules<'_>, said: &Said<'_>, out: &mut Findings) {
    if said.part != Part::Ask {
        return;
    }
    let found = said
        .words
        .iter()
        .find(|word| NEGATIVE.contains(&word.small.as_str()) || word.small.ends_with("n't"));
    if let Some(word) = found {
        let word = word.word.to_owned();
        told(said.at, Prose::Negative { word }, out);
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::wording::rig::with;

    #[test]
    fn a_negative_question_is_told() {
        assert_eq!(with("ask", "Is there no swing?"), ["negative-question"]);
        assert_eq!(with("ask", "Isn't it swinging?"), ["negative-question"]);
        assert_eq!(with("ask", "Is the seal free of bubbles?"), [""; 0]);
        assert_eq!(with("answer", "no swing"), [""; 0]);
    }
}
