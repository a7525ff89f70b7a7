//! Every step that says what to do names its source, and every source is named by a step.

use std::collections::HashSet;

use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawKind, RawStep};

use super::One;

/// The tag of steps that a unit answers for itself and that need no source.
const HOUSE: &str = "house";

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    let mut used = HashSet::new();
    let mut whole = one.list.whole;
    for step in &one.list.steps {
        // A source that could not be read may be any of them.
        let unread = step.has_source && step.source.is_empty();
        whole &= !unread && !matches!(step.kind, RawKind::Hole);
        if let Some(key) = needs_source(step)
            && !step.has_source
        {
            out.add(step.name.at, Kind::MissingSource { key });
        }
        for source in &step.source {
            used.insert(&source.is);
            if !one.list.sources.contains_key(&source.is) {
                let known = one.list.sources.keys().map(|name| name.as_str());
                let nearest = nearest(source.is.as_str(), known);
                out.add(
                    source.at,
                    Kind::UnknownSource {
                        name: source.is.to_string(),
                        nearest,
                    },
                );
            }
        }
    }
    for (name, words) in one
        .list
        .sources
        .iter()
        .filter(|(name, _)| whole && !used.contains(name))
    {
        out.add(
            words.at,
            Kind::UnusedSource {
                name: name.to_string(),
            },
        );
    }
}

/// The key of a step that needs a source.
fn needs_source(step: &RawStep) -> Option<&'static str> {
    let key = match step.kind {
        RawKind::Do { .. } => "do",
        RawKind::Check { .. } => "check",
        RawKind::Ask { .. } => "ask",
        RawKind::Measure(_) => "measure",
        RawKind::Wait { .. } => "wait",
        RawKind::Hole | RawKind::Decide { .. } | RawKind::Use { .. } | RawKind::End { .. } => {
            return None;
        }
    };
    (!step.tags.iter().any(|tag| tag.as_str() == HOUSE)).then_some(key)
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::{GOOD, problems, spoiled};

    #[test]
    fn a_step_without_a_source_is_told() {
        let found = spoiled("    source: book\n    then: look", "    then: look");
        assert_eq!(found, ["missing-source 12:3"]);
    }

    #[test]
    fn a_step_of_the_house_needs_none() {
        let found = spoiled(
            "    source: book\n    then: look",
            "    tags: [house]\n    then: look",
        );
        assert_eq!(found, [""; 0]);
    }

    #[test]
    fn an_unknown_source_is_told() {
        let found = spoiled(
            "    source: book\n    then: look",
            "    source: [book, bok]\n    then: look",
        );
        assert_eq!(found, ["unknown-source 14:20"]);
    }

    #[test]
    fn a_source_that_no_step_names_is_a_warning() {
        let list = GOOD.replace(
            "sources: {book: A book}",
            "sources: {book: A book, other: Another}",
        );
        assert_eq!(problems(&list), ["unused-source 9:25"]);
    }
}
