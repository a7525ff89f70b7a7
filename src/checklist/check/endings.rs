//! Every ending of a used list leads somewhere, and no way waits for an ending that it does not have.

use std::collections::BTreeSet;

use crate::checklist::model::Outcome;
use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawEndings, RawKind, RawList};

use super::One;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    for (list, endings) in one.list.steps.iter().flat_map(|step| step.uses()) {
        match one
            .all
            .by_name
            .get(list.is.as_str())
            .and_then(|index| one.all.lists.get(*index))
        {
            None => {
                let nearest = nearest(list.is.as_str(), one.all.by_name.keys().copied());
                out.add(
                    list.at,
                    Kind::UnknownList {
                        name: list.is.to_string(),
                        nearest,
                    },
                );
            }
            Some(used) => {
                if let (Some(endings), Some(has)) = (endings, outcomes(used)) {
                    covered(list.is.as_str(), endings, &has, out);
                }
            }
        }
    }
}

/// The outcomes of a list; `None` when one of its steps or outcomes could not be read.
fn outcomes(list: &RawList) -> Option<BTreeSet<Outcome>> {
    let mut outcomes = BTreeSet::new();
    for step in &list.steps {
        match &step.kind {
            RawKind::Hole | RawKind::End { outcome: None, .. } => return None,
            RawKind::End {
                outcome: Some(outcome),
                ..
            } => {
                outcomes.insert(outcome.is);
            }
            _ => {}
        }
    }
    Some(outcomes)
}

fn covered(list: &str, endings: &RawEndings, has: &BTreeSet<Outcome>, out: &mut Findings) {
    let named: BTreeSet<Outcome> = endings
        .by_outcome
        .iter()
        .map(|(outcome, _)| outcome.is)
        .collect();
    for (outcome, _) in &endings.by_outcome {
        if !has.contains(&outcome.is) {
            let (list, outcome_is) = (list.to_owned(), Some(outcome.is));
            out.add(
                outcome.at,
                Kind::EndingSuperfluous {
                    list,
                    outcome: outcome_is,
                },
            );
        }
    }
    let missing: Vec<Outcome> = has.difference(&named).copied().collect();
    match endings.any {
        None if endings.whole && !missing.is_empty() => {
            out.add(
                endings.at,
                Kind::EndingMissing {
                    list: list.to_owned(),
                    missing,
                },
            );
        }
        Some((at, _)) if missing.is_empty() && !has.is_empty() => {
            out.add(
                at,
                Kind::EndingSuperfluous {
                    list: list.to_owned(),
                    outcome: None,
                },
            );
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::with_use;

    #[test]
    fn every_ending_leads_somewhere() {
        for then in [
            "fine",
            "{any: fine}",
            "{escalated: call, any: fine}",
            "{escalated: call, resolved: fine}",
        ] {
            assert_eq!(with_use("other", then), [""; 0], "{then}");
        }
    }

    #[test]
    fn a_missing_ending_is_told() {
        assert_eq!(
            with_use("other", "{escalated: call}"),
            ["ending-missing 38:11"]
        );
    }

    #[test]
    fn an_ending_too_many_is_told() {
        assert_eq!(
            with_use("other", "{ready: fine, any: fine}"),
            ["ending-superfluous 38:12"]
        );
        let all = "{escalated: call, resolved: fine, any: fine}";
        assert_eq!(with_use("other", all), ["ending-superfluous 38:45"]);
        assert_eq!(
            with_use("other", "{finished: fine, any: fine}"),
            ["unknown-word 38:12"]
        );
    }

    #[test]
    fn an_unknown_list_is_told() {
        assert_eq!(with_use("othre", "fine"), ["unknown-list 37:10"]);
    }
}
