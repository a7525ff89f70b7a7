//! Each rule on a list that keeps it, on one that breaks it in a way known beforehand, and on the
//! first with one thing made wrong. Every run that is told is walked.

use std::sync::Arc;

use crate::checklist::model::Library;
use crate::checklist::proof::graph::Budget;
use crate::checklist::proof::rule::Verdict;
use crate::checklist::proof::{STATES, doubt, prove};
use crate::commands::replay::replay;

use super::made;

/// A rule and its lists; [`ended`] ends them.
struct Case {
    /// The rule as it is written.
    rule: &'static str,
    /// The step with which each list begins.
    begin: &'static str,
    /// Steps that keep it.
    keeps: &'static str,
    /// Steps that break it.
    breaks: &'static str,
    /// The shortest way in which they do, worked out by hand.
    shortest: &'static str,
    /// What is made wrong in the steps that keep it.
    mutant: (&'static str, &'static str),
}

/// Steps with which a list ends; it has those to which something leads.
const ENDS: &[(&str, &str)] = &[
    (
        "call",
        "{do: Call the doctor now., source: t, call: doctor-now, tags: [help], then: over, if_not_done: over}",
    ),
    (
        "fine",
        "{end: \"It works. Worse or unsure, call.\", outcome: working}",
    ),
    ("over", "{end: The doctor takes over., outcome: escalated}"),
    ("quit", "{end: Stop here., outcome: stopped}"),
];

/// The steps with those ends to which one of them leads.
fn ended(steps: &str) -> String {
    let mut all = steps.to_owned();
    for (name, step) in ENDS {
        let leads = [",", "}", "\n"]
            .iter()
            .any(|after| all.contains(&format!(": {name}{after}")));
        if leads {
            all.push_str(&format!("  {name}: {step}\n"));
        }
    }
    all
}

const LOOK_AND_TOUCH: &str = "
  look: {do: Look at the patient., source: t, tags: [look], then: touch, if_not_done: call}
  touch: {do: Touch the tubing., source: t, tags: [touch], then: fine, if_not_done: fine}
";

const WORSE: &str = "
  look:
    ask: How is the patient?
    where: Face
    source: t
    tags: [look]
    answers:
      - as before: touch
      - worse: call
      - not sure: {unsure: true, go: call}
  touch: {do: Touch the tubing., source: t, tags: [touch], then: fine, if_not_done: fine}
";

const FIRST: Case = Case {
    rule: "first: {do: tag look, before: tag touch}",
    begin: "look",
    keeps: LOOK_AND_TOUCH,
    // Only one answer of a question goes round the look.
    breaks: "
  look:
    ask: Is there time?
    where: Clock
    source: t
    answers:
      - time: really-look
      - none: touch
      - not sure: {unsure: true, go: really-look}
  really-look: {do: Look at the patient., source: t, tags: [look], then: touch, if_not_done: call}
  touch: {do: Touch the tubing., source: t, tags: [touch], then: fine, if_not_done: fine}
",
    shortest: "look = none\n# reaches made/touch\n",
    mutant: (
        "then: touch, if_not_done: call",
        "then: touch, if_not_done: touch",
    ),
};

const AFTERWARDS: Case = Case {
    rule: "afterwards: {when: tag touch, show: tag look, within: 1}",
    begin: "touch",
    keeps: "
  touch: {do: Touch the tubing., source: t, tags: [touch], then: look, if_not_done: look}
  look: {do: Look at the patient., source: t, tags: [look], then: fine, if_not_done: over}
",
    // It comes, but a screen too late.
    breaks: "
  touch: {do: Touch the tubing., source: t, tags: [touch], then: tidy, if_not_done: call}
  tidy: {do: Clear the bed., source: t, then: look, if_not_done: look}
  look: {do: Look at the patient., source: t, tags: [look], then: fine, if_not_done: over}
",
    shortest: "touch = done\ntidy = done\n# reaches made/look\n",
    mutant: (
        "then: look, if_not_done: look",
        "then: fine, if_not_done: look",
    ),
};

const ONLY_IF: Case = Case {
    rule: "only_if: {show: tag touch, when: {population: adult}}",
    begin: "look",
    keeps: "
  look: {decide: [{when: {population: adult}, go: touch}], otherwise: call}
  touch: {do: Touch the tubing., source: t, tags: [touch], then: fine, if_not_done: fine}
",
    // A child is kept from it, and one of whom nothing is known is not.
    breaks: "
  look: {decide: [{when: {population: child}, go: call}], otherwise: touch}
  touch: {do: Touch the tubing., source: t, tags: [touch], then: fine, if_not_done: fine}
",
    shortest: "# reaches made/touch\n",
    mutant: ("{population: adult}, go", "{breathing: own}, go"),
};

const NEVER_AFTER: Case = Case {
    rule: "never_after: {not: tag touch, after: {at: tag look, answer: worse}, until: call}",
    begin: "look",
    keeps: "
  look:
    ask: How is the patient?
    where: Face
    source: t
    tags: [look]
    answers:
      - as before: touch
      - worse: ring
      - not sure: {unsure: true, go: ring}
  ring: {do: Call the doctor now., source: t, call: doctor-now, then: touch, if_not_done: over}
  touch: {do: Touch the tubing., source: t, tags: [touch], then: fine, if_not_done: fine}
",
    // The call that could not be made is none.
    breaks: "
  look:
    ask: How is the patient?
    where: Face
    source: t
    tags: [look]
    answers:
      - as before: touch
      - worse: ring
      - not sure: {unsure: true, go: ring}
  ring: {do: Call the doctor now., source: t, call: doctor-now, then: over, if_not_done: touch}
  touch: {do: Touch the tubing., source: t, tags: [touch], then: fine, if_not_done: fine}
",
    shortest: "look = worse\nring = not done: could not do it\n# reaches made/touch\n",
    mutant: ("worse: ring", "worse: touch"),
};

const PUT_RIGHT: Case = Case {
    rule: "put_right: {duty: any, handed_over: ending escalated}",
    begin: "clamp",
    keeps: "
  clamp: {do: Put the clamp on., source: t, opens: clamp-on, then: free, if_not_done: call}
  free: {do: Take the clamp off., source: t, closes: clamp-on, then: fine, if_not_done: call}
",
    breaks: "
  clamp: {do: Put the clamp on., source: t, opens: clamp-on, then: look, if_not_done: call}
  look: {check: Watch the level., expect: The level moves., where: Seal, source: t, as_expected: free, not_as_expected: free, could_not_check: fine}
  free: {do: Take the clamp off., source: t, closes: clamp-on, then: fine, if_not_done: call}
",
    shortest: "clamp = done\nlook = could not check: could not see it\nfine = read\n# over\n",
    mutant: ("then: fine, if_not_done: call", "then: fine, if_not_done: fine"),
};

const UNSURE: Case = Case {
    rule: "unsure_is_safe: {ask: tag look, safe: {shown: call}, risky: tag touch}",
    begin: "look",
    keeps: WORSE,
    breaks: "
  look:
    ask: How is the patient?
    where: Face
    source: t
    tags: [look]
    answers:
      - as before: touch
      - worse: call
      - not sure: {unsure: true, go: tidy}
  tidy: {do: Clear the bed., source: t, then: touch, if_not_done: call}
  touch: {do: Touch the tubing., source: t, tags: [touch], then: call, if_not_done: call}
",
    shortest: "look = not sure\ntidy = done\n# reaches made/touch\n",
    mutant: ("unsure: true, go: call", "unsure: true, go: fine"),
};

const DANGER: Case = Case {
    rule: "danger_value: {of: tag depth, when: below 0.5, show: call, within: 1}",
    begin: "look",
    keeps: "
  look:
    measure: Read the depth of the seal.
    where: Seal
    source: t
    tags: [depth]
    unit: cm
    plausible: 0 to 30
    bands:
      - below 1: call
      - at least 1: fine
    not_obtained: call
",
    // Between the two cuts nobody is called; 0 cm, 0.1 cm and the stretch between are no danger to it.
    breaks: "
  look:
    measure: Read the depth of the seal.
    where: Seal
    source: t
    tags: [depth]
    unit: cm
    plausible: 0 to 30
    bands:
      - below 0.2: call
      - at least 0.2: fine
    not_obtained: call
",
    shortest: "look = 0.2 cm\nfine = read\n# over\n",
    mutant: ("below 1: call", "below 1: fine"),
};

const HELP_NEAR: Case = Case {
    rule: "help_near: {show: tag help, within: 2}",
    begin: "look",
    keeps: "
  look: {do: Look at the patient., source: t, then: touch, if_not_done: touch}
  touch: {do: Touch the tubing., source: t, then: call, if_not_done: call}
",
    breaks: "
  look: {do: Look at the patient., source: t, then: touch, if_not_done: touch}
  touch: {do: Touch the tubing., source: t, then: tidy, if_not_done: tidy}
  tidy: {do: Clear the bed., source: t, then: call, if_not_done: call}
",
    shortest: "# reaches made/look\n",
    mutant: (
        "then: touch, if_not_done: touch",
        "then: wash, if_not_done: wash}
  wash: {do: Wash your hands., source: t, then: touch, if_not_done: touch",
    ),
};

const FINISHES: Case = Case {
    rule: "always_finishes: {after_loops: [call, ending escalated]}",
    begin: "look",
    keeps: "
  look: {check: Watch the level., expect: The level moves., where: Seal, source: t, as_expected: fine, not_as_expected: {go: touch, at_most: 2, after_that: call}, could_not_check: call}
  touch: {do: Touch the tubing., source: t, then: look, if_not_done: look}
",
    breaks: "
  look: {check: Watch the level., expect: The level moves., where: Seal, source: t, as_expected: fine, not_as_expected: {go: touch, at_most: 2, after_that: fine}, could_not_check: call}
  touch: {do: Touch the tubing., source: t, then: look, if_not_done: look}
",
    shortest: "# reaches made/look\n",
    mutant: ("after_that: call", "after_that: quit"),
};

const AT_MOST: Case = Case {
    rule: "at_most: {do: tag touch, times: 2}",
    begin: "touch",
    keeps: "
  touch: {do: Touch the tubing., source: t, tags: [touch], then: look, if_not_done: look}
  look: {check: Watch the level., expect: The level moves., where: Seal, source: t, as_expected: fine, not_as_expected: {go: touch, at_most: 1, after_that: call}, could_not_check: call}
",
    // Twice round and once behind the circle.
    breaks: "
  touch: {do: Touch the tubing., source: t, tags: [touch], then: look, if_not_done: look}
  look: {check: Watch the level., expect: The level moves., where: Seal, source: t, as_expected: again, not_as_expected: {go: touch, at_most: 1, after_that: call}, could_not_check: call}
  again: {do: Touch the tubing again., source: t, tags: [touch], then: fine, if_not_done: fine}
",
    shortest: "touch = done\nlook = not as expected\ntouch = done\nlook = as expected\nagain = done\n# reaches made/fine\n",
    mutant: ("at_most: 1", "at_most: 2"),
};

const CASES: &[Case] = &[
    FIRST,
    AFTERWARDS,
    ONLY_IF,
    NEVER_AFTER,
    PUT_RIGHT,
    UNSURE,
    DANGER,
    HELP_NEAR,
    FINISHES,
    AT_MOST,
];

fn library(begin: &str, steps: &str) -> Arc<Library> {
    let text = made::list("made", "fault", begin, &ended(steps));
    made::library(&[("made", &text)])
}

/// The run that breaks it, once it was walked; empty when it can be seen without one.
fn broken(library: &Arc<Library>, rule: &str) -> String {
    let Verdict::Broken { run, why, .. } = made::verdict(library, "made", rule) else {
        panic!(
            "{rule} is not broken: {:?}",
            made::verdict(library, "made", rule)
        );
    };
    let Some(run) = run else {
        assert!(!why.is_empty());
        return String::new();
    };
    if let Err(wrong) = replay(library, &run) {
        panic!("{rule}: {wrong}\n{}", run.script());
    }
    run.script()
}

#[track_caller]
fn is_kept(library: &Arc<Library>, rule: &str) {
    let verdict = made::verdict(library, "made", rule);
    assert!(
        matches!(verdict, Verdict::Kept { .. }),
        "{rule}: {verdict:?}"
    );
}

#[test]
fn each_rule_is_kept_and_broken_where_it_must_be() {
    for case in CASES {
        is_kept(&library(case.begin, case.keeps), case.rule);
        let run = broken(&library(case.begin, case.breaks), case.rule);
        assert_eq!(run, case.shortest, "{}", case.rule);
    }
}

#[test]
fn one_thing_made_wrong_is_noticed_by_each_rule() {
    for case in CASES {
        let (right, wrong) = case.mutant;
        assert_eq!(case.keeps.matches(right).count(), 1, "{}", case.rule);
        let mutant = library(case.begin, &case.keeps.replace(right, wrong));
        broken(&mutant, case.rule);
    }
}

#[test]
fn a_step_that_fulfils_a_rule_is_missed_when_it_is_left_out() {
    let mut doubted = 0;
    for case in CASES {
        let library = library(case.begin, case.keeps);
        let safeguards = made::safeguard(case.rule, &library);
        let budget = &mut Budget {
            states: STATES,
            progress: &mut |_| {},
        };
        let list = library.find("made").unwrap();
        let doubt = doubt(&library, list, &safeguards[0], &library, budget);
        let (found, of) = doubt.score();
        assert!(of == 0 || found > 0, "{}: {doubt:?}", case.rule);
        assert_ne!(doubt.all_left_out, Some(false), "{}", case.rule);
        doubted += usize::from(of > 0);
    }
    assert_eq!(doubted, 7, "rules that something in a list fulfils");
}

/// What comes of a rule when the unit's list or limits differ from the shipped.
fn over(base: &Library, library: &Library, rule: &str) -> Verdict {
    let safeguards = made::safeguard(rule, library);
    let list = library.find("made").unwrap();
    let budget = &mut Budget {
        states: STATES,
        progress: &mut |_| {},
    };
    let found = prove(library, list, &safeguards, base, budget);
    found.verdicts.into_iter().next().unwrap().1
}

#[test]
fn words_that_must_stay_are_held_against_the_shipped_ones() {
    let rule = "keep_words: {items: tag look}";
    let base = library("look", LOOK_AND_TOUCH);
    let told = |steps: &str| over(&base, &library("look", steps), rule);
    assert!(told(LOOK_AND_TOUCH).is_fine());
    let other_elsewhere = LOOK_AND_TOUCH.replace("Touch the tubing.", "Feel the tubing.");
    assert!(matches!(told(&other_elsewhere), Verdict::Kept { .. }));
    let changed = LOOK_AND_TOUCH.replace("at the patient", "at the bed");
    assert!(matches!(told(&changed), Verdict::Broken { run: None, .. }));
}

#[test]
fn a_measure_may_act_earlier_than_shipped_and_never_later() {
    let rule = "only_stricter: {of: tag depth, worse: lower}";
    let base = library("look", DANGER.keeps);
    let told = |cut: &str| {
        let steps = DANGER.keeps.replace(" 1: ", &format!(" {cut}: "));
        over(&base, &library("look", &steps), rule)
    };
    assert!(matches!(told("1"), Verdict::Kept { .. }));
    assert!(matches!(told("1.5"), Verdict::Kept { .. }));
    assert!(
        matches!(told("0.9"), Verdict::Broken { .. }),
        "{:?}",
        told("0.9")
    );
}

#[test]
fn what_no_way_reaches_any_more_has_no_bite() {
    // The danger was taken out of the list; another still knows the word.
    let other = made::list("other", "task", "look", &ended(LOOK_AND_TOUCH));
    let of = |steps: &str| {
        let list = made::list("made", "fault", "look", &ended(steps));
        made::library(&[("made", &list), ("other", &other)])
    };
    let gone = LOOK_AND_TOUCH.replace("tags: [touch], ", "");
    let verdict = over(&of(LOOK_AND_TOUCH), &of(&gone), FIRST.rule);
    assert!(matches!(verdict, Verdict::Vacuous { .. }), "{verdict:?}");
    assert!(over(&of(LOOK_AND_TOUCH), &of(LOOK_AND_TOUCH), FIRST.rule).is_fine());
}

#[test]
fn broken_only_by_what_could_not_be_done() {
    let steps = |not_done: &str| LOOK_AND_TOUCH.replace("if_not_done: call", not_done);
    is_kept(&library("look", &steps("if_not_done: call")), FIRST.rule);
    let run = broken(&library("look", &steps("if_not_done: touch")), FIRST.rule);
    assert_eq!(
        run,
        "look = not done: could not do it\n# reaches made/touch\n"
    );
}

#[test]
fn broken_only_by_not_sure() {
    let rule = "first: {do: {at: tag look, answer: as before}, before: tag touch}";
    is_kept(&library("look", WORSE), rule);
    let unsafe_doubt = WORSE.replace("unsure: true, go: call", "unsure: true, go: touch");
    let run = broken(&library("look", &unsafe_doubt), rule);
    assert_eq!(run, "look = not sure\n# reaches made/touch\n");
}

#[test]
fn broken_only_by_an_answer_that_became_too_old() {
    let steps = |good_for: &str| {
        format!(
            "
  look:
    ask: Does the seal bubble?
    where: Seal
    source: t
    remember: seal
{good_for}
    answers:
      - still: bring
      - bubbles: call
      - not sure: {{unsure: true, go: call}}
  bring: {{do: Bring a clamp., source: t, then: touch, if_not_done: call}}
  touch: {{do: Put the clamp on., source: t, tags: [touch], then: fine, if_not_done: fine}}
"
        )
    };
    let rule = "only_if: {show: tag touch, when: {seal: still}}";
    is_kept(&library("look", &steps("")), rule);
    let run = broken(&library("look", &steps("    good_for: 10 min")), rule);
    assert_eq!(run, "look = still\nbring = done\n# reaches made/touch\n");
}

#[test]
fn broken_only_in_a_child() {
    let steps = |child: &str| {
        format!(
            "
  who: {{decide: [{{when: {{population: child}}, go: {child}}}], otherwise: look}}
{LOOK_AND_TOUCH}"
        )
    };
    is_kept(&library("who", &steps("look")), FIRST.rule);
    let run = broken(&library("who", &steps("touch")), FIRST.rule);
    assert_eq!(run, "# drain: population = child\n# reaches made/touch\n");
}

#[test]
fn broken_only_the_second_time_round() {
    let steps = |back: &str| {
        format!(
            "
  look: {{do: Look at the patient., source: t, tags: [look], then: touch, if_not_done: call}}
  touch: {{do: Touch the tubing., source: t, tags: [touch], then: part, if_not_done: call}}
  part: {{do: Part the joint., source: t, tags: [part], then: watch, if_not_done: call}}
  watch: {{check: Watch the level., expect: The level moves., where: Seal, source: t, as_expected: fine, not_as_expected: {{go: {back}, at_most: 2, after_that: call}}, could_not_check: call}}
"
        )
    };
    let rule = "first: {do: tag look, before: tag touch, since: tag part}";
    is_kept(&library("look", &steps("look")), rule);
    let run = broken(&library("look", &steps("touch")), rule);
    assert_eq!(
        run,
        "look = done\ntouch = done\npart = done\nwatch = not as expected\n# reaches made/touch\n"
    );
}

#[test]
fn broken_only_inside_a_list_that_is_used() {
    let both = |could_not: &str| {
        let outer = made::list(
            "made",
            "fault",
            "who",
            &ended(
                "
  who: {decide: [{when: {population: adult}, go: other}], otherwise: call}
  other: {use: inner, then: fine}
",
            ),
        );
        let inner = made::list(
            "inner",
            "task",
            "look",
            &ended(&format!(
                "
  look: {{check: Watch the level., expect: The level moves., where: Seal, source: t, tags: [look], as_expected: touch, not_as_expected: touch, could_not_check: {could_not}}}
  touch: {{do: Touch the tubing., source: t, tags: [touch], then: fine, if_not_done: fine}}
"
            )),
        );
        made::library(&[("made", &outer), ("inner", &inner)])
    };
    is_kept(&both("call"), FIRST.rule);
    assert_eq!(
        broken(&both("touch"), FIRST.rule),
        "# drain: population = adult\ninner/look = could not check: could not see it\n# reaches inner/touch\n"
    );
}
