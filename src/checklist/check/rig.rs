//! Lists for the rules' own tests, and what loading them tells.

use crate::checklist::load::load;
use crate::checklist::shelf::{Shelf, SourceFile};

/// A list without problems, to spoil.
pub(super) const GOOD: &str = "\
checklist: good
title: The level does not move
version: 1.0.0
kind: task
mode: read-do
signs: [no swing]
owner: Education lead
change: [First version.]
sources: {book: A book}
begin: tubing
steps:
  tubing:
    do: Straighten the tubing.
    source: book
    then: look
    if_not_done: call
  look:
    check: Watch the seal for five breaths.
    expect: The level moves.
    source: book
    as_expected: fine
    not_as_expected: {go: tubing, at_most: 3, after_that: call}
    could_not_check: call
  call:
    do: Call the doctor.
    tags: [house]
    call: doctor-now
    then: called
    if_not_done: called
  called:
    end: The doctor takes over.
    outcome: escalated
  fine:
    end: The level moves again.
    outcome: resolved
";

/// An urgent list without problems, to spoil.
pub(super) const URGENT: &str = "\
checklist: good
title: The tube is open to the air
version: 1.0.0
kind: urgent
mode: read-do
key: \"!\"
signs: [tube off]
recognise: The tube has come off the drainage unit.
owner: Education lead
sources: {book: A book}
begin: seal
steps:
  seal:
    do: Close the open end.
    source: book
    critical: true
    from_memory: true
    then: call
    if_not_done: call
  call:
    do: Call for help.
    source: book
    from_memory: true
    call: emergency
    then: ask-first
    if_not_done: ask-first
  ask-first:
    ask: Is it better?
    source: book
    answers:
      - better: fine
      - not sure: {unsure: true, go: called}
  called:
    end: The team takes over.
    outcome: escalated
  fine:
    end: The tube is on again.
    outcome: resolved
";

const LIMITS: &str = "\
limits:
  seal-low: {value: 2 cm, means: Lowest seal, population: all, stricter: higher, source: A book, evidence: C}
  by-weight: {value: 3 mL/kg, means: Much for a child, population: child, stricter: lower, source: A book, evidence: C}
  pressure: {value: 20 cmH2O, means: Strongest suction, population: adult, stricter: lower, source: A book, evidence: C}
  two-hours: {value: 2 h, means: A long time, population: all, stricter: lower, source: A book, evidence: C}
";

const DUTIES: &str = "\
duties:
  clamp: {open: A clamp is on the drain, close: Take the clamp off, within: 10 min}
";

const LOCAL_FACTS: &str = "\
facts:
  spill: {means: Loss that is told, kind: amount, unit: mL, plausible: 0 to 1000, while_unset: The step asks for help.}
  pause: {means: Time between looks, kind: span, plausible: 1 min to 2 h, while_unset: Sixty minutes.}
  kind-of-seal: {means: Wet or dry, kind: choice, choices: [wet, dry], while_unset: Both are asked.}
";

/// What loading some lists tells, as \"code line:column\", in file order.
fn told(lists: &[(&str, &str)]) -> Vec<String> {
    let file = |name: &str, text: &str| SourceFile {
        path: format!("checklists/{name}.yaml"),
        bytes: text.as_bytes().to_vec(),
    };
    let mut files = vec![
        file("limits", LIMITS),
        file("duties", DUTIES),
        file("local-facts", LOCAL_FACTS),
    ];
    files.extend(lists.iter().map(|(name, text)| file(name, text)));
    let loaded = load(&Shelf::from_files(files));
    loaded
        .problems
        .iter()
        .map(|problem| {
            format!(
                "{} {}:{}",
                problem.kind.code(),
                problem.place.line,
                problem.place.column
            )
        })
        .collect()
}

/// What a list called `good` tells.
pub(super) fn problems(list: &str) -> Vec<String> {
    told(&[("good", list)])
}

/// What two lists called `good` and `later` tell together.
pub(super) fn two_lists(good: &str, later: &str) -> Vec<String> {
    told(&[("good", good), ("later", later)])
}

/// What the good list tells when one passage is changed.
pub(super) fn spoiled(old: &str, new: &str) -> Vec<String> {
    assert!(GOOD.contains(old), "{old}");
    problems(&GOOD.replacen(old, new, 1))
}

/// What the good list tells with more steps at its end.
pub(super) fn with_steps(steps: &str) -> Vec<String> {
    problems(&format!("{GOOD}{steps}"))
}

/// The good list with one more step, `extra` on line 36, that its first step leads to.
fn with_extra(step: &str) -> String {
    let list = GOOD.replacen("if_not_done: call", "if_not_done: extra", 1);
    format!("{list}  extra:\n{step}")
}

/// What a question with these answers tells; the first answer is on line 40.
pub(super) fn with_ask(answers: &[&str]) -> Vec<String> {
    let answers: String = answers
        .iter()
        .map(|answer| format!("      {answer}\n"))
        .collect();
    let step =
        format!("    ask: Which?\n    source: book\n    remember: asked\n    answers:\n{answers}");
    problems(&with_extra(&step))
}

/// What a measure from 0 to 30 with these bands tells; the first band is on line 42.
pub(super) fn with_bands(bands: &[&str]) -> Vec<String> {
    let by_volume = bands
        .iter()
        .any(|band| band.contains("by-weight") || band.contains("spill"));
    let unit = if by_volume { "mL" } else { "cm" };
    let bands: String = bands
        .iter()
        .map(|band| format!("      - {band}: fine\n"))
        .collect();
    let step = format!(
        "    measure: How much?\n    source: book\n    unit: {unit}\n    plausible: 0 to 30\n    bands:\n{bands}    not_obtained: call\n"
    );
    problems(&with_extra(&step))
}

/// What a wait with these keys tells; they begin on line 39.
pub(super) fn with_wait(keys: &str) -> Vec<String> {
    let step = format!(
        "    wait: Wait.\n    source: book\n    {keys}\n    elapsed: fine\n    if_missed: call\n"
    );
    problems(&with_extra(&step))
}

/// What a decision with these conditions tells; they are on line 45.
pub(super) fn with_when(when: &str) -> Vec<String> {
    problems(&with_extra(&format!(
        "{ASKED}      - {{when: {{{when}}}, go: fine}}\n    otherwise: call\n"
    )))
}

/// What a decision with two rows tells; they are on lines 45 and 46.
pub(super) fn with_rows(first: &str, second: &str) -> Vec<String> {
    let row = |when: &str| format!("      - {{when: {{{when}}}, go: fine}}\n");
    problems(&with_extra(&format!(
        "{ASKED}{}{}    otherwise: call\n",
        row(first),
        row(second)
    )))
}

const ASKED: &str = "    ask: Which?
    source: book
    remember: asked
    answers:
      - better: row
      - not sure: {unsure: true, go: call}
  row:
    decide:
";

/// What using another list tells, with these endings; the list is on line 37.
pub(super) fn with_use(list: &str, then: &str) -> Vec<String> {
    let other = GOOD.replacen("checklist: good", "checklist: other", 1);
    told(&[
        (
            "good",
            &with_extra(&format!("    use: {list}\n    then: {then}\n")),
        ),
        ("other", &other),
    ])
}

/// A list whose first step uses another when it was not done.
pub(super) fn using(list: &str, other: &str) -> String {
    list.replacen(
        "if_not_done: call",
        &format!("if_not_done: {{use: {other}, then: {{any: call}}}}"),
        1,
    )
}
