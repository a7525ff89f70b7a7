//! A test in `when` can come out true: the name is known, the word is one the fact can be, the
//! numbers are plausible, and a remembered answer can have been given before.

use std::collections::HashMap;

use crate::checklist::band;
use crate::checklist::facts::FactShape;
use crate::checklist::model::Cut;
use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{At, Findings, RawCondition, RawKind, RawTest};
use crate::names::FactName;
use crate::units::{Number, Unit};

use super::One;
use super::numbers::{Stretch, check_cuts};

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    let mut later: HashMap<&FactName, Vec<bool>> = HashMap::new();
    for (index, step) in one.list.steps.iter().enumerate() {
        let RawKind::Decide { rows, .. } = &step.kind else {
            continue;
        };
        for condition in rows.iter().flat_map(|row| &row.when) {
            match_of(one, condition, out);
            let name = &condition.name;
            let Some(&giver) = one.scope.remembered.get(&name.is) else {
                continue;
            };
            let reached = later
                .entry(&name.is)
                .or_insert_with(|| one.flow.steps_from(giver));
            let never = reached.get(index) == Some(&false);
            if never && condition.test.is != RawTest::Unknown && !one.flow.leads_anywhere() {
                let by = one.names(&[giver]).concat();
                out.add(
                    name.at,
                    Kind::NeverGiven {
                        name: name.is.to_string(),
                        by,
                    },
                );
            }
        }
    }
}

fn match_of(one: &One<'_>, condition: &RawCondition, out: &mut Findings) {
    let name = &condition.name;
    let Some(shape) = one.scope.shape(&name.is) else {
        one.unknown_fact(name.is.as_str(), name.at, out);
        return;
    };
    // A fact whose definition could not be read is told there.
    let (Some(shape), RawTest::Words(words)) = (shape, &condition.test.is) else {
        return;
    };
    let wrong = |can| Kind::WrongTest {
        name: name.is.to_string(),
        is: shape.words(),
        can,
    };
    match &shape {
        FactShape::Choice(choices) => words_match(&name.is, words, choices, out),
        FactShape::Amount { unit, plausible } => {
            let band = match words.as_slice() {
                [word] => band::parse(&word.is).map(|range| At {
                    is: range,
                    at: word.at,
                }),
                _ => None,
            };
            match band {
                Some(range) => {
                    check_cuts(one, &range, *unit, out);
                    numbers_match(one, &name.is, &range, *unit, *plausible, out);
                }
                None => out.add(
                    condition.test.at,
                    wrong("known, unknown or a band like \"below 2\""),
                ),
            }
        }
        FactShape::Span { .. } | FactShape::Words => {
            out.add(condition.test.at, wrong("known or unknown"));
        }
    }
}

fn words_match(name: &FactName, words: &[At<String>], choices: &[String], out: &mut Findings) {
    for word in words {
        if !choices.contains(&word.is) {
            let nearest = nearest(&word.is, choices.iter().map(String::as_str));
            let (name, choices, found) = (name.to_string(), choices.to_vec(), word.is.clone());
            out.add(
                word.at,
                Kind::NeverIs {
                    name,
                    word: found,
                    choices,
                    nearest,
                },
            );
        }
    }
}

fn numbers_match(
    one: &One<'_>,
    name: &FactName,
    range: &At<crate::checklist::raw::RawRange>,
    unit: Unit,
    plausible: Option<(Number, Number)>,
    out: &mut Findings,
) {
    let Some(resolved) = one.all.facts.range(&range.is, unit) else {
        return;
    };
    let value = |cut: &Cut| match cut {
        Cut::Fixed(number) | Cut::Fact(_, number) => Some(number.milli()),
        Cut::PerKg(..) | Cut::Unset(_) => None,
    };
    let Some(stretch) = Stretch::of(&resolved, &value) else {
        return;
    };
    if stretch.is_backwards() {
        out.add(range.at, Kind::BandBackwards);
    } else if let Some((low, high)) = plausible
        && stretch.within(low, high).is_none()
    {
        out.add(
            range.at,
            Kind::NeverWithin {
                name: name.to_string(),
                low,
                high,
                unit,
            },
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::with_when;

    #[test]
    fn tests_that_can_match_are_fine() {
        for when in [
            "side: left",
            "side: [left, right]",
            "lung-removed: no",
            "weight: below 10",
            "weight: known",
            "place: unknown",
            "asked: better",
            "asked: not sure",
            "spill: at least 50",
            "kind-of-seal: wet",
        ] {
            assert_eq!(with_when(when), [""; 0], "{when}");
        }
    }

    #[test]
    fn tests_that_cannot_match_are_told() {
        for (when, code) in [
            ("side: middle", "never-is 45:23"),
            ("side: [left, rihgt]", "never-is 45:30"),
            ("asked: worse", "never-is 45:24"),
            ("weight: above 200", "never-within 45:25"),
            ("weight: 5 to 3", "band-backwards 45:25"),
            ("weight: heavy", "never-within 45:25"),
            ("weight: [heavy, light]", "wrong-test 45:25"),
            ("place: bay", "wrong-test 45:24"),
            ("pause: below 5", "wrong-test 45:24"),
            ("seid: left", "unknown-fact 45:17"),
            ("weight: below seal-low", "wrong-quantity 45:25"),
            ("kind-of-seal: dri", "never-is 45:31"),
        ] {
            let code = if when == "weight: heavy" {
                "wrong-test 45:25"
            } else {
                code
            };
            assert_eq!(with_when(when), [code], "{when}");
        }
    }
}
