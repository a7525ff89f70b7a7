//! Proving the safeguards of long lists, beside the time in which serde_yaml reads the same text.

use std::fmt::Write as _;
use std::hint::black_box;

use tubeside::checklist::proof::{Budget, Proof, STATES, prove, read};
use tubeside::checklist::shelf::{Shelf, SourceFile};

use crate::common::{Mark, Row, in_turn, row};
use crate::made;

const YARDSTICK: &str = "serde_yaml alone into its untyped Value, the same text";

/// Steps of one list; a longer procedure is several, used one after the other.
const A_LIST: usize = 10_000;

/// Answers that a list remembers, each asked for again later.
const REMEMBERED: usize = 8;

const SAFEGUARDS: &str = "safeguards:
  look-first: {says: A test., first: {do: tag look, before: tag touch}}
  help-after: {says: A test., afterwards: {when: tag touch, show: [call, any ending]}}
  not-when-worse: {says: A test., never_after: {not: tag touch, after: {at: tag look, answer: not-done}, until: call}}
  only-when-still: {says: A test., only_if: {show: tag touch, when: {r7: still}}}
  it-ends: {says: A test., always_finishes: {after_loops: [call, ending escalated]}}
";

/// From a hundred steps to a hundred thousand; two thousand, with eight remembered answers and
/// three circles, is the length that must be proved in seconds.
pub fn rows() -> Vec<Row> {
    [(100, 10), (1_000, 5), (2_000, 5), (10_000, 2), (100_000, 1)]
        .into_iter()
        .map(|(steps, rounds)| proved(steps, rounds))
        .collect()
}

fn proved(steps: usize, rounds: usize) -> Row {
    let texts = texts(steps);
    let shelf = shelf(&texts);
    let library = made::library(&shelf);
    let file = SourceFile {
        path: "safeguards.yaml".to_owned(),
        bytes: SAFEGUARDS.as_bytes().to_vec(),
    };
    let Ok(safeguards) = read::read(&file, &library) else {
        panic!("the safeguards can be read")
    };
    let list = library.find("long").expect("the list");
    let prove = || -> Proof {
        let budget = &mut Budget {
            states: STATES.max(steps * 100),
            progress: &mut |_| {},
        };
        prove(&library, list, &safeguards, &library, budget)
    };
    let proof = prove();
    assert!(proof.is_fine(), "{:?}", proof.verdicts);
    let (ours, theirs) = in_turn(
        rounds,
        || ((), ()),
        |()| drop(black_box(prove())),
        |()| {
            for text in &texts {
                let value: serde_yaml::Value = serde_yaml::from_str(text).expect("YAML");
                drop(black_box(value));
            }
        },
    );
    let mark = if steps == 2_000 {
        Mark::Millis(5_000.0)
    } else {
        Mark::None
    };
    let what = format!("prove five safeguards over {steps} steps");
    row(&what, &ours, YARDSTICK, &theirs, mark)
}

/// The lists: the first uses the others one after the other.
fn texts(steps: usize) -> Vec<String> {
    let parts = steps.div_ceil(A_LIST);
    let mut outer = head("long", "u0");
    for part in 0..parts {
        let next = match part + 1 == parts {
            true => "fine".to_owned(),
            false => format!("u{}", part + 1),
        };
        writeln!(
            outer,
            "  u{part}: {{use: part{part}, then: {{working: {next}, any: over}}}}"
        )
        .expect("memory");
    }
    outer.push_str(ENDS);
    let mut texts = vec![outer];
    texts.extend((0..parts).map(|part| one_part(part, steps / parts)));
    texts
}

const ENDS: &str = "  fine: {end: \"It works. Worse or unsure, call.\", outcome: working}\n  \
                    over: {end: The doctor takes over., outcome: escalated}\n";

fn head(name: &str, begin: &str) -> String {
    format!(
        "checklist: {name}\ntitle: A long list\nversion: 1.0.0\nkind: task\nmode: read-do\n\
         signs: [much to do]\nrecognise: There is much to do.\nowner: Nobody\n\
         sources:\n  t: Made for measuring, no source\nbegin: {begin}\nsteps:\n"
    )
}

/// A list with a look at its beginning and a touch at its end, with remembered answers on the way
/// that are asked for half a stretch later, and three circles.
fn one_part(part: usize, steps: usize) -> String {
    let mut text = head(&format!("part{part}"), "s0");
    let stretch = steps / (REMEMBERED + 1);
    for at in 0..steps - 2 {
        let (next, after) = (at + 1, at + 2);
        let (turn, place) = (at / stretch, at % stretch);
        let step = match place {
            _ if at == 0 => {
                format!("{{do: Look., source: t, tags: [look], then: s{next}, if_not_done: call}}")
            }
            _ if at + 3 == steps => {
                format!("{{decide: [{{when: {{r7: still}}, go: s{next}}}], otherwise: call}}")
            }
            2 if turn < REMEMBERED => format!(
                "{{ask: Which?, source: t, remember: r{turn}, answers: [{{still: s{next}}}, {{moves: s{next}}}, {{not sure: {{unsure: true, go: s{next}}}}}]}}"
            ),
            6 if turn < REMEMBERED => format!(
                "{{decide: [{{when: {{r{turn}: still}}, go: s{after}}}], otherwise: s{next}}}"
            ),
            9 if turn < 3 => format!(
                "{{check: Watch., expect: It moves., source: t, as_expected: s{next}, not_as_expected: {{go: s{}, at_most: 2, after_that: call}}, could_not_check: s{next}}}",
                at - 1
            ),
            _ => format!("{{do: Do it., source: t, then: s{next}, if_not_done: s{next}}}"),
        };
        writeln!(text, "  s{at}: {step}").expect("memory");
    }
    let touch = steps - 2;
    writeln!(text, "  s{touch}: {{do: Touch., source: t, tags: [touch], then: fine, if_not_done: fine}}\n  call: {{do: Call., source: t, call: doctor-now, then: over, if_not_done: over}}")
        .expect("memory");
    text.push_str(ENDS);
    text
}

fn shelf(texts: &[String]) -> Shelf {
    let shipped = Shelf::shipped();
    let beside = ["duties", "limits", "local-facts"].map(|name| {
        let path = format!("checklists/{name}.yaml");
        let bytes = shipped.file(&path).expect("a shipped file").to_vec();
        SourceFile { path, bytes }
    });
    let lists = texts.iter().enumerate().map(|(at, text)| SourceFile {
        path: match at {
            0 => "checklists/long.yaml".to_owned(),
            part => format!("checklists/part{}.yaml", part - 1),
        },
        bytes: text.as_bytes().to_vec(),
    });
    Shelf::from_files(beside.into_iter().chain(lists))
}
