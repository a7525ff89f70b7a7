//! From the start of the program to its first prompt, beside an empty Rust program that starts and
//! ends.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use tubeside::checklist::model::StepKind;
use tubeside::checklist::shelf::Shelf;

use crate::common::{Mark, Row, folder, in_turn, row};
use crate::made;

const PROGRAM: &str = env!("CARGO_BIN_EXE_tubeside");
const YARDSTICK: &str = "an empty Rust program from start to end";
const ROUNDS: usize = 40;

/// A checklist on a fresh journal and on one that holds much, and what needs no journal.
pub fn rows() -> Vec<Row> {
    let folder = folder();
    let empty = empty_program(folder.path());
    let question = first_words();
    let used = folder.path().join("used.db");
    journal_in_use(&used);
    let mut fresh = 0;
    let starts = |what: &str, next: &mut dyn FnMut() -> PathBuf| {
        let (ours, theirs) = in_turn(
            ROUNDS,
            || (next(), ()),
            |journal| until_asked(&journal, &question),
            |()| to_its_end(&mut Command::new(&empty)),
        );
        row(
            what,
            &ours.of_others(),
            YARDSTICK,
            &theirs.of_others(),
            Mark::Times(3.0),
        )
    };
    let says = |what: &str, words: &[&str]| {
        let (ours, theirs) = in_turn(
            ROUNDS,
            || ((), ()),
            |()| to_its_end(Command::new(PROGRAM).args(words)),
            |()| to_its_end(&mut Command::new(&empty)),
        );
        row(
            what,
            &ours.of_others(),
            YARDSTICK,
            &theirs.of_others(),
            Mark::Times(3.0),
        )
    };
    vec![
        starts(
            "start no-swing to its first question, fresh journal",
            &mut || {
                fresh += 1;
                folder.path().join(format!("fresh-{fresh}/journal.db"))
            },
        ),
        starts(
            "start no-swing to its first question, journal in use",
            &mut || used.clone(),
        ),
        says("tubeside --help", &["--help"]),
        says("tubeside on a pipe, which prints the help", &[]),
    ]
}

/// An empty program, built the way this one is.
fn empty_program(folder: &Path) -> PathBuf {
    let (source, program) = (folder.join("empty.rs"), folder.join("empty"));
    std::fs::write(&source, "fn main() {}\n").expect("its source");
    let compiler = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let built = Command::new(compiler)
        .args(["--edition", "2024", "-C", "opt-level=3", "-C", "lto=thin"])
        .args(["-C", "codegen-units=4", "-C", "strip=symbols", "-o"])
        .args([&program, &source])
        .status()
        .expect("the compiler");
    assert!(built.success(), "the empty program is built");
    program
}

/// The words with which the first step of the list asks.
fn first_words() -> String {
    let library = made::library(&Shelf::shipped());
    let list = library.list(library.find("no-swing").expect("the list"));
    let StepKind::Ask { text, .. } = &list.step(list.begin).kind else {
        panic!("the list begins with a question");
    };
    let text = text.filled(|_| String::new());
    let words: Vec<&str> = text.split_whitespace().take(4).collect();
    words.join(" ")
}

/// A journal with a hundred walks of a hundred events.
fn journal_in_use(path: &Path) {
    let library = made::library(&made::shelf(&made::long_list(200)));
    let (events, _) = made::long_walk(&library, 100);
    let mut memory = tubeside::journal::Journal::in_memory();
    for _ in 0..100 {
        made::keep(&mut memory, &events, None);
    }
    made::write(path, &memory.entries_after(0).expect("entries"));
}

/// A program that waits for an answer. When dropped, its input ends: it pauses the walk, closes the
/// journal and ends.
struct Asking(Child);

impl Drop for Asking {
    fn drop(&mut self) {
        drop(self.0.stdin.take());
        let ended = self.0.wait().expect("it ends");
        assert_eq!(ended.code(), Some(3), "it is paused");
    }
}

/// Starts a checklist and reads until its first question.
fn until_asked(journal: &Path, question: &str) -> Asking {
    let mut child = Command::new(PROGRAM)
        .args([
            "start",
            "no-swing",
            "--plain",
            "--by",
            "AB, RN",
            "--journal",
        ])
        .arg(journal)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program");
    let out = child.stdout.as_mut().expect("its output");
    let (mut seen, mut part) = (Vec::new(), [0; 4096]);
    while !contains(&seen, question.as_bytes()) {
        match out.read(&mut part).expect("its words") {
            0 => panic!("it ended with: {}", String::from_utf8_lossy(&seen)),
            read => seen.extend_from_slice(&part[..read]),
        }
    }
    Asking(child)
}

fn contains(text: &[u8], words: &[u8]) -> bool {
    text.windows(words.len()).any(|window| window == words)
}

fn to_its_end(command: &mut Command) {
    let done = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .status()
        .expect("the program");
    assert!(done.success(), "it ends well");
}
