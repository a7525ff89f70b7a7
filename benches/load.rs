//! How long loading takes, beside the YAML library alone on the same text.
//!
//! The marks: a made list of 10,000 steps in at most four times the library's own time, the
//! shipped lists together in less than 20 ms.

use std::fmt::Write as _;

use tubeside::checklist::load::load;
use tubeside::checklist::shelf::{Shelf, SourceFile};

fn main() {
    divan::main();
}

const HEAD: &str = "checklist: made\ntitle: Made\nversion: 1.0.0\nkind: task\nmode: read-do\nsigns: [made]\n\
                    owner: Nobody\nsources: {book: A book}\nbegin: step-0\nsteps:\n";

const TAIL: &str = "  call:\n    end: Call.\n    outcome: escalated\n  fine:\n    end: Fine.\n    outcome: working\n";

/// A list of four kinds of step in turn, 10,000 in all.
fn made() -> String {
    let mut text = HEAD.to_owned();
    for n in (0..10_000).step_by(4) {
        let (second, third, fourth) = (n + 1, n + 2, n + 3);
        let next = if fourth == 9_999 {
            "fine".to_owned()
        } else {
            format!("step-{}", n + 4)
        };
        let _never = write!(
            text,
            "  step-{n}:\n    do: Straighten the tubing from chest to drainage unit.\n    \
             why: A kink or a loop of fluid stops the swing.\n    source: book\n    then: step-{second}\n    \
             if_not_done: call\n  \
             step-{second}:\n    check: Watch the seal for five breaths.\n    expect: The level moves.\n    \
             source: book\n    as_expected: step-{third}\n    \
             not_as_expected: {{go: step-{n}, at_most: 3, after_that: call}}\n    could_not_check: call\n  \
             step-{third}:\n    ask: Is the patient getting worse?\n    where: Face, breathing\n    \
             tags: [patient-first]\n    critical: true\n    source: book\n    answers:\n      - worse: call\n      \
             - no worse: step-{fourth}\n      - not sure: {{unsure: true, go: call}}\n  \
             step-{fourth}:\n    measure: Depth of the seal\n    unit: cm\n    plausible: 0 to 30\n    \
             source: book\n    bands:\n      - below 2: {next}\n      - 2 to 5: {next}\n      - above 5: {next}\n    \
             not_obtained: call\n"
        );
    }
    text + TAIL
}

#[divan::bench]
fn yaml_library_alone(bencher: divan::Bencher<'_, '_>) {
    let text = made();
    bencher.bench_local(|| serde_yaml::from_str::<serde_yaml::Value>(divan::black_box(&text)));
}

#[divan::bench]
fn ten_thousand_steps(bencher: divan::Bencher<'_, '_>) {
    let file = SourceFile {
        path: "checklists/made.yaml".to_owned(),
        bytes: made().into_bytes(),
    };
    let shelf = Shelf::from_files([file]);
    assert!(load(&shelf).library.is_some());
    bencher.bench_local(|| load(divan::black_box(&shelf)));
}

#[divan::bench]
fn shipped_lists(bencher: divan::Bencher<'_, '_>) {
    let shelf = Shelf::shipped();
    bencher.bench_local(|| load(divan::black_box(&shelf)));
}
