//! Every way out of a step, with the number to go to.

use crate::checklist::model::{
    Condition, Endings, Jump, ListId, Outcome, Period, Row, Step, StepKind, Test, Value, Way,
};
use crate::units::Unit;

use super::fill::Filler;
use super::form::Out;

/// How many boxes are drawn to count a jump; above that there is a line to count on.
const MOST_BOXES: u32 = 6;

/// Where the parts of a form are: the letter and title of each list.
pub(super) trait Parts {
    /// The letter of the part and the title of the list; no letter when it is on a form of its own.
    fn part(&self, list: ListId) -> (Option<String>, String);
}

/// The ways out of a step.
pub(super) fn ways(filler: &Filler<'_>, parts: &dyn Parts, step: &Step) -> Vec<Out> {
    let way = |words: &str, way: &Way| Out {
        words: words.to_owned(),
        go: to(filler, parts, way),
    };
    match &step.kind {
        StepKind::Do {
            then, if_not_done, ..
        } => vec![
            way("done", then),
            way("not done, because: ________________", if_not_done),
        ],
        StepKind::Check {
            as_expected,
            not_as_expected,
            could_not_check,
            ..
        } => vec![
            way("as expected", as_expected),
            way("not as expected. Found: ________________", not_as_expected),
            way(
                "could not check, because: ________________",
                could_not_check,
            ),
        ],
        StepKind::Ask { answers, .. } => answers
            .iter()
            .map(|one| way(&one.words, &one.way))
            .collect(),
        StepKind::Measure {
            unit,
            bands,
            not_obtained,
            ..
        } => {
            let bands = bands
                .iter()
                .map(|band| way(&filler.range(&band.range, *unit), &band.way));
            bands
                .chain([way("not obtained, because: ________________", not_obtained)])
                .collect()
        }
        StepKind::Wait {
            elapsed, if_missed, ..
        } => vec![
            way("watched to the end", elapsed),
            way("broken off or late, because: ________________", if_missed),
        ],
        StepKind::Decide { rows, otherwise } => decided(filler, parts, rows, otherwise),
        StepKind::Use { list, endings } => used(filler, parts, *list, endings),
        StepKind::End { .. } => Vec::new(),
    }
}

fn to(filler: &Filler<'_>, parts: &dyn Parts, way: &Way) -> String {
    match way {
        Way::Jump(jump) => jump_words(filler, jump),
        Way::Use { list, endings } => {
            let outs = used(filler, parts, *list, endings);
            let mut words = begin_words(parts, *list);
            for out in outs.iter().skip(1) {
                words.push_str(&format!("; ends {}: {}", out.words, out.go));
            }
            words
        }
    }
}

fn begin_words(parts: &dyn Parts, list: ListId) -> String {
    match parts.part(list) {
        (Some(letter), title) => format!("do part {letter} (\"{title}\")"),
        (None, title) => format!("do the form \"{title}\""),
    }
}

fn jump_words(filler: &Filler<'_>, jump: &Jump) -> String {
    match jump {
        Jump::To(step) => format!("go to {}", filler.number(step.index())),
        Jump::Counted {
            go,
            at_most,
            after_that,
            ..
        } => {
            let count = if *at_most <= MOST_BOXES {
                let boxes = usize::try_from(*at_most).unwrap_or(1);
                format!("tick each time: {}", vec!["☐"; boxes].join(" "))
            } else {
                format!("at most {at_most} times; count here: ________")
            };
            format!(
                "go to {} ({count}; after that go to {})",
                filler.number(go.index()),
                filler.number(after_that.index())
            )
        }
    }
}

/// The list that is used, first; then each of its endings.
fn used(filler: &Filler<'_>, parts: &dyn Parts, list: ListId, endings: &Endings) -> Vec<Out> {
    let mut outs = vec![Out {
        words: "now".to_owned(),
        go: begin_words(parts, list),
    }];
    let named = endings.by_outcome.iter();
    outs.extend(named.map(|(outcome, jump): &(Outcome, Jump)| Out {
        words: outcome.word().to_owned(),
        go: jump_words(filler, jump),
    }));
    if let Some(jump) = &endings.any {
        let words = if endings.by_outcome.is_empty() {
            "in any way"
        } else {
            "in any other way"
        };
        outs.push(Out {
            words: words.to_owned(),
            go: jump_words(filler, jump),
        });
    }
    outs
}

/// The rows that can still be true with what is known when the form is printed.
fn decided(filler: &Filler<'_>, parts: &dyn Parts, rows: &[Row], otherwise: &Way) -> Vec<Out> {
    let mut outs = Vec::new();
    for row in rows {
        let Some(open) = still_open(filler, &row.when) else {
            continue;
        };
        let always = open.is_empty();
        let words = if always {
            "always here".to_owned()
        } else {
            open.join(", and ")
        };
        outs.push(Out {
            words,
            go: to(filler, parts, &row.way),
        });
        if always {
            return outs;
        }
    }
    let words = if outs.is_empty() {
        "always here"
    } else {
        "otherwise, or not known"
    };
    outs.push(Out {
        words: words.to_owned(),
        go: to(filler, parts, otherwise),
    });
    outs
}

/// The conditions in words that the nurse must look at; `None` when one is known not to hold.
fn still_open(filler: &Filler<'_>, when: &[Condition]) -> Option<Vec<String>> {
    let mut open = Vec::new();
    for condition in when {
        let at = filler.asked_at(&condition.name);
        let book = filler.library.facts().get(condition.name.as_str());
        match (at, book) {
            (Some(at), _) => open.push(format!("your answer at {at} {}", test(filler, condition))),
            (None, Some(fact)) => match holds(&condition.test, fact.value.as_ref()) {
                Some(true) => {}
                Some(false) => return None,
                None => open.push(format!("{} {}", fact.meaning, test(filler, condition))),
            },
            (None, None) => open.push(format!("{} {}", condition.name, test(filler, condition))),
        }
    }
    Some(open)
}

/// Whether a test of a local fact or limit holds; `None` when it must be looked at.
fn holds(test: &Test, value: Option<&Value>) -> Option<bool> {
    match (test, value) {
        (Test::Known, value) => Some(value.is_some()),
        (Test::Unknown, value) => Some(value.is_none()),
        (_, None) => Some(false),
        (Test::OneOf(words), Some(Value::Word(word) | Value::Words(word))) => {
            Some(words.contains(word))
        }
        _ => None,
    }
}

fn test(filler: &Filler<'_>, condition: &Condition) -> String {
    match &condition.test {
        Test::OneOf(words) => format!("is: {}", words.join(" or ")),
        Test::Within(range) => format!("is {}", filler.range(range, unit_of(filler, condition))),
        Test::Known => "is known".to_owned(),
        Test::Unknown => "is not known, or was not given".to_owned(),
    }
}

/// The unit in which a condition compares: that of the measure that is remembered, or the fact's.
fn unit_of(filler: &Filler<'_>, condition: &Condition) -> Unit {
    let measured = filler.list.steps().find_map(|(_, step)| {
        let remembers = step.remember.as_ref()?.name == condition.name;
        match &step.kind {
            StepKind::Measure { unit, .. } if remembers => Some(*unit),
            _ => None,
        }
    });
    let known = || {
        use crate::checklist::drain_fact::{FactKind, drain_fact};
        match drain_fact(condition.name.as_str())?.kind {
            FactKind::Amount(unit, ..) => Some(unit),
            _ => None,
        }
    };
    let book = || filler.library.facts().get(condition.name.as_str())?.unit;
    measured.or_else(known).or_else(book).unwrap_or(Unit::Ml)
}

/// How long a wait lasts, in words.
pub(super) fn period_words(filler: &Filler<'_>, period: &Period) -> String {
    match period {
        Period::Fixed(span) => span.to_string(),
        Period::Fact { name, unset } => match filler.library.facts().get(name.as_str()) {
            Some(fact) => fact
                .value
                .as_ref()
                .map_or_else(|| unset.to_string(), ToString::to_string),
            None => unset.to_string(),
        },
    }
}
