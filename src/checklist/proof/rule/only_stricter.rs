//! `only_stricter`: a limit may act earlier than the shipped one, never later.

use crate::checklist::model::{Checklist, FactAbout, FactBook, Stricter, Value};
use crate::checklist::proof::model::{Sort, Step as Made, Weight};
use crate::checklist::proof::point::{Point, list_at};
use crate::checklist::proof::run::Said;
use crate::names::FactName;

use super::{Context, Verdict};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnlyStricter {
    /// Which limits; empty for all.
    pub limits: Vec<FactName>,
    /// Measures whose bands must not move towards acting later, with which numbers are worse.
    pub measures: Option<(Point, Stricter)>,
}

impl OnlyStricter {
    pub(super) fn points(&self) -> Vec<&Point> {
        self.measures.iter().map(|(point, _)| point).collect()
    }

    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let now = context.session.model.library.facts();
        let before = context.base.facts();
        let mut any = false;
        for (name, _) in before.iter() {
            if !self.limits.is_empty() && !self.limits.contains(name) {
                continue;
            }
            match compare(name, before, now) {
                None => {}
                Some(Ok(())) => any = true,
                Some(Err(why)) => {
                    return Verdict::Broken {
                        why,
                        run: None,
                        states: 0,
                    };
                }
            }
        }
        if let Some((point, worse)) = &self.measures {
            match bands(context, point, *worse) {
                Ok(here) => any |= here,
                Err(why) => {
                    return Verdict::Broken {
                        why,
                        run: None,
                        states: 0,
                    };
                }
            }
        }
        if any {
            Verdict::Kept { states: 0 }
        } else {
            Verdict::NotHere
        }
    }
}

/// Compares one limit; `None` when it is none.
fn compare(name: &FactName, before: &FactBook, now: &FactBook) -> Option<Result<(), String>> {
    let old = before.get(name.as_str())?;
    let FactAbout::Limit { stricter, .. } = &old.about else {
        return None;
    };
    let Some(new) = now.get(name.as_str()) else {
        return Some(Err(format!("the limit {name} is no longer there")));
    };
    let order = match (&old.value, &new.value) {
        (Some(Value::Amount(old)), Some(Value::Amount(new))) => match new.to(old.unit) {
            Ok(new) => new.number.cmp(&old.number),
            Err(_) => return Some(Err(format!("the limit {name} is in another kind of unit"))),
        },
        (Some(Value::Span(old)), Some(Value::Span(new))) => new.0.cmp(&old.0),
        (old, new) if old == new => return Some(Ok(())),
        _ => return Some(Err(format!("the limit {name} is another kind of value"))),
    };
    let later = match stricter {
        Stricter::Higher => order.is_lt(),
        Stricter::Lower => order.is_gt(),
    };
    let shown =
        |value: &Option<Value>| value.as_ref().map_or_else(String::new, ToString::to_string);
    Some(if later {
        Err(format!(
            "{name} acts later: {} instead of {}",
            shown(&new.value),
            shown(&old.value)
        ))
    } else {
        Ok(())
    })
}

/// Compares the bands of measures of the same name, number by number: a number must fall in a band
/// that stands at least as far towards the worse end as before.
fn bands(context: &Context<'_, '_, '_>, point: &Point, worse: Stricter) -> Result<bool, String> {
    let model = &context.session.model;
    let list = list_at(model.library, model.root);
    let Some(base) = context.base.find(list.name.as_str()) else {
        return Ok(false);
    };
    let before = context.base.list(base);
    let mut any = false;
    for ((id, step), made) in list.steps().zip(&model.list(model.root).steps) {
        let Made::Asked { replies, .. } = made else {
            continue;
        };
        let numbers = replies.iter().filter(|reply| reply.sort == Sort::Value);
        let numbers: Vec<_> = numbers
            .filter_map(|reply| match &reply.said {
                Said::Value(amount) if !reply.weighed => Some(*amount),
                _ => None,
            })
            .collect();
        if numbers.is_empty() || !point.is_at(list, step) {
            continue;
        }
        any = true;
        let Some(old) = before.find(step.name.as_str()).map(|at| before.step(at)) else {
            return Err(format!(
                "the measure {} is new and has nothing to compare with",
                step.name
            ));
        };
        let rank = |list: &Checklist, at, number| rank(list.step(at), number, worse);
        for amount in numbers {
            let new = rank(list, id, amount.number);
            let old = before
                .find(old.name.as_str())
                .and_then(|at| rank(before, at, amount.number));
            match (new, old) {
                (Some(new), Some(old)) if new >= old => {}
                (_, None) => {}
                _ => {
                    return Err(format!(
                        "{}: {amount} is taken less seriously than before",
                        step.name
                    ));
                }
            }
        }
    }
    Ok(any)
}

/// How many bands lie on the safer side of the one that takes the number.
fn rank(
    step: &crate::checklist::model::Step,
    number: crate::units::Number,
    worse: Stricter,
) -> Option<usize> {
    use crate::checklist::proof::number::{Within, cut_at, within};
    let crate::checklist::model::StepKind::Measure { bands, .. } = &step.kind else {
        return None;
    };
    let mut sorted: Vec<_> = bands.iter().collect();
    sorted.sort_by_key(|band| {
        band.range
            .from
            .as_ref()
            .and_then(|(cut, closed)| Some((cut_at(cut, Weight::Open)?, !closed)))
    });
    if worse == Stricter::Lower {
        sorted.reverse();
    }
    sorted
        .iter()
        .position(|band| within(&band.range, number, Weight::Open) == Within::Yes)
}
