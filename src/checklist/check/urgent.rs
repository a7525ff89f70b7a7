//! An urgent list acts before it asks: its first screen is one to three steps from memory, with a
//! call for help among the first two, in at most twelve lines.

use crate::checklist::facts::Scope;
use crate::checklist::model::{CallLevel, ListKind, Text};
use crate::checklist::problem::Kind;
use crate::checklist::raw::{Findings, RawKind, RawStep, RawWay};

use super::One;

/// Steps on the first screen.
const MOST_STEPS: usize = 3;
/// Lines on the first screen.
const MOST_LINES: usize = 12;
/// Columns of the narrowest screen on which that holds.
const COLUMNS: usize = 80;
/// Columns before the words of a step: a digit, a mark and spaces.
const INDENT: usize = 6;

pub(super) fn check(one: &One<'_>, out: &mut Findings) {
    match one.list.kind.as_ref().map(|kind| kind.is) {
        Some(ListKind::Urgent) => urgent(one, out),
        Some(_) => {
            for at in one.list.steps.iter().filter_map(|step| step.from_memory) {
                let kind = Kind::KeyNotHere {
                    key: "from_memory",
                    only: "a list of kind urgent",
                };
                out.add(at, kind);
            }
        }
        None => {}
    }
}

fn urgent(one: &One<'_>, out: &mut Findings) {
    let Some(first) = first_screen(one) else {
        return;
    };
    let on_screen: Vec<&RawStep> = first
        .iter()
        .filter_map(|step| one.list.steps.get(*step))
        .collect();
    for (index, step) in one.list.steps.iter().enumerate() {
        let Some(at) = step.from_memory else { continue };
        if !matches!(step.kind, RawKind::Do { .. } | RawKind::Hole) {
            out.add(at, Kind::FromMemoryNotDo);
        } else if !first.contains(&index) {
            out.add(at, Kind::FromMemoryNotFirst);
        }
    }
    if on_screen.is_empty() {
        out.add(one.list.at, Kind::NoFirstScreen);
        return;
    }
    if let Some(fourth) = on_screen.get(MOST_STEPS) {
        let kind = Kind::LongFirstScreen {
            steps: on_screen.len(),
            most: MOST_STEPS,
        };
        out.add(fourth.name.at, kind);
    }
    let calls = |step: &&&RawStep| {
        matches!(
            step.call.as_ref().map(|call| call.is),
            Some(CallLevel::Emergency | CallLevel::DoctorNow)
        )
    };
    if !on_screen.iter().take(2).any(|step| calls(&step)) {
        out.add(one.list.at, Kind::NoEarlyCall);
    }
    let lines = lines(one, &on_screen);
    if lines > MOST_LINES {
        out.add(
            one.list.at,
            Kind::TallFirstScreen {
                lines,
                most: MOST_LINES,
            },
        );
    }
}

/// The steps from memory that follow one another from the first step, by the way of what is done.
/// `None` when the first step is not there or could not be read, which is told already.
fn first_screen(one: &One<'_>) -> Option<Vec<usize>> {
    let mut at = one.list.first()?;
    let mut chain = Vec::new();
    loop {
        let step = one.list.steps.get(at)?;
        let RawKind::Do { then, .. } = &step.kind else {
            return match step.kind {
                RawKind::Hole => None,
                _ => Some(chain),
            };
        };
        if step.from_memory.is_none() || chain.contains(&at) || chain.len() > MOST_STEPS {
            return Some(chain);
        }
        chain.push(at);
        let Some(RawWay::Jump(jump)) = then else {
            return Some(chain);
        };
        let Some(next) = jump
            .go
            .as_ref()
            .and_then(|go| one.list.find(go.is.as_str()))
        else {
            return Some(chain);
        };
        at = next;
    }
}

/// How many lines the first screen takes: the recognise line, and each step with its caution.
fn lines(one: &One<'_>, on_screen: &[&RawStep]) -> usize {
    let recognise = one
        .list
        .recognise
        .as_ref()
        .map_or(0, |text| wrapped(&one.scope, &text.is, COLUMNS));
    let steps = on_screen.iter().map(|step| {
        let RawKind::Do { text, .. } = &step.kind else {
            return 0;
        };
        let texts = text.iter().chain(&step.caution);
        texts
            .map(|text| wrapped(&one.scope, &text.is, COLUMNS - INDENT))
            .sum()
    });
    recognise + steps.sum::<usize>()
}

/// How many lines a text takes, with its places filled as they are known now.
fn wrapped(scope: &Scope<'_>, text: &Text, columns: usize) -> usize {
    let words = text.filled(|name| match scope.facts.get(name.as_str()) {
        Some(fact) => match &fact.value {
            Some(value) => fact.about.shown(value),
            None => format!("[not set here: {}]", fact.meaning.is),
        },
        None => name.to_string(),
    });
    let mut lines = 1;
    let mut column = 0;
    for word in words.split_whitespace() {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > columns {
            lines += 1;
            column = 0;
        }
        column += length + usize::from(column > 0);
        lines += column.saturating_sub(1) / columns;
        column = column.min(columns);
    }
    lines
}

#[cfg(test)]
mod tests {
    use crate::checklist::check::rig::{URGENT, problems};

    fn spoiled(old: &str, new: &str) -> Vec<String> {
        assert!(URGENT.contains(old), "{old}");
        problems(&URGENT.replace(old, new))
    }

    #[test]
    fn a_list_that_acts_first_is_fine() {
        assert_eq!(problems(URGENT), [""; 0]);
    }

    #[test]
    fn the_key_is_one_sign() {
        assert_eq!(spoiled("key: \"!\"\n", ""), ["missing-key 1:1"]);
        assert_eq!(spoiled("key: \"!\"", "key: d"), ["not-a-key 6:6"]);
        assert_eq!(spoiled("key: \"!\"", "key: DD"), ["not-a-key 6:6"]);
        assert_eq!(spoiled("kind: urgent", "kind: task")[0], "key-not-here 6:1");
    }

    #[test]
    fn it_begins_with_steps_from_memory() {
        let found = spoiled("begin: seal", "begin: ask-first");
        assert!(
            found.contains(&"no-first-screen 1:1".to_owned()),
            "{found:?}"
        );
        assert!(
            found.contains(&"from-memory-not-first 17:18".to_owned()),
            "{found:?}"
        );
    }

    #[test]
    fn a_call_is_among_the_first_two() {
        assert_eq!(spoiled("    call: emergency\n", ""), ["no-early-call 1:1"]);
        assert_eq!(
            spoiled("call: emergency", "call: doctor-soon"),
            ["no-early-call 1:1"]
        );
    }

    #[test]
    fn a_step_from_memory_is_a_do() {
        let found = spoiled(
            "    ask: Is it better?\n",
            "    ask: Is it better?\n    from_memory: true\n",
        );
        assert_eq!(found, ["from-memory-not-do 29:18"]);
    }

    #[test]
    fn the_first_screen_has_twelve_lines() {
        let long = format!(
            "do: Close the open end {}.",
            "and hold it there ".repeat(60)
        );
        let found = spoiled("do: Close the open end.", &long);
        assert_eq!(found, ["tall-first-screen 1:1"]);
    }
}
