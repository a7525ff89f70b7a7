//! Whatever the bytes are: no panic, no hang, a clear problem.

use std::time::{Duration, Instant};

use proptest::prelude::*;
use tubeside::checklist::load::Loaded;

use super::{folder, load_with, read, yaml_files};

/// Far more than any of these takes, far less than a person waits for.
const LONGEST: Duration = Duration::from_secs(60);

/// Loads a list of this text and looks at everything that is told.
fn told(text: &[u8]) -> Vec<String> {
    let begun = Instant::now();
    let loaded = load_with("checklists/good.yaml", text);
    let codes = examined(&loaded);
    assert!(begun.elapsed() < LONGEST, "{:?}", begun.elapsed());
    codes
}

fn examined(loaded: &Loaded) -> Vec<String> {
    assert_eq!(loaded.library.is_none(), loaded.errors().count() > 0);
    // All are drawn the same way; drawing hundreds on one very long line takes its time.
    let last = loaded.problems.last();
    for problem in loaded.problems.iter().take(5).chain(last) {
        let shown = problem.drawn();
        assert!(
            shown.chars().all(|c| c == '\n' || !c.is_control()),
            "{shown:?}"
        );
    }
    loaded
        .problems
        .iter()
        .map(|problem| {
            assert!(problem.place.line >= 1 && problem.place.column >= 1);
            assert!(!problem.message().is_empty());
            problem.kind.code().to_owned()
        })
        .collect()
}

#[test]
fn a_file_of_fifty_megabytes_is_refused_unread() {
    assert_eq!(told(&vec![b'a'; 50 * 1024 * 1024]), ["too-big"]);
}

#[test]
fn text_that_is_not_utf8_is_refused() {
    assert_eq!(told(b"checklist: good\ntitle: caf\xe9\n"), ["not-utf8"]);
    let loaded = load_with("checklists/good.yaml", b"checklist: good\ntitle: caf\xe9\n");
    assert_eq!(
        (
            loaded.problems[0].place.line,
            loaded.problems[0].place.column
        ),
        (2, 11)
    );
}

#[test]
fn a_file_with_nothing_in_it_is_told() {
    for text in ["", "\n\n", "# only a comment\n", "\u{feff}", "---\n", "..."] {
        let codes = told(text.as_bytes());
        assert_eq!(codes.len(), 1, "{text:?} {codes:?}");
    }
}

#[test]
fn a_yml_file_is_told() {
    let loaded = load_with("checklists/good.yml", b"checklist: good\n");
    assert_eq!(examined(&loaded), ["not-yaml-name"]);
}

#[test]
fn twenty_thousand_brackets_are_told() {
    for open in ["[", "{a: ", "- ", "? ", "[{a: "] {
        let codes = told(open.repeat(20_000).as_bytes());
        assert!(!codes.is_empty() && codes.len() < 40, "{open} {codes:?}");
    }
    let deep: String = (0..2_000)
        .map(|depth| format!("{}a:\n", " ".repeat(depth)))
        .collect();
    assert!(told(deep.as_bytes()).contains(&"too-deep".to_owned()));
}

#[test]
fn an_alias_bomb_is_told_and_not_unfolded() {
    let mut text = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n".to_owned();
    for level in 1..12 {
        let inner = format!("*a{}, ", level - 1).repeat(9);
        text.push_str(&format!(
            "a{level}: &a{level} [{}]\n",
            inner.trim_end_matches(", ")
        ));
    }
    let codes = told(text.as_bytes());
    assert!(codes.iter().all(|code| code == "not-plain"), "{codes:?}");
}

#[test]
fn very_many_problems_are_cut_short_with_their_number() {
    let keys: String = (0..200_000).map(|n| format!("k{n}: 1\n")).collect();
    let codes = told(keys.as_bytes());
    assert_eq!(codes.last().map(String::as_str), Some("too-many"));
    assert!(codes.len() < 500, "{}", codes.len());
    let one_line: String = (0..100_000).map(|n| format!("é{n}: 1, ")).collect();
    assert_eq!(
        told(format!("{{{one_line}}}").as_bytes())
            .last()
            .map(String::as_str),
        Some("too-many")
    );
}

#[test]
fn very_many_steps_that_lead_nowhere_take_no_longer() {
    let head = "checklist: good\ntitle: T\nversion: 1.0.0\nkind: task\nmode: read-do\nsigns: [a]\n\
                owner: O\nsources: {book: B}\nbegin: step-0\nsteps:\n";
    let steps: String = (0..20_000)
        .map(|n| {
            format!(
                "  step-{n}: {{do: Look, source: book, then: stop-{n}, if_not_done: step-{}}}\n",
                n + 1
            )
        })
        .collect();
    assert!(told(format!("{head}{steps}").as_bytes()).contains(&"unknown-step".to_owned()));
}

#[test]
fn very_many_answers_and_rows_take_no_longer() {
    let head = "checklist: good\ntitle: T\nversion: 1.0.0\nkind: task\nmode: read-do\nsigns: [a]\n\
                owner: O\nsources: {book: B}\nbegin: ask\nsteps:\n  ask:\n    ask: Which?\n    source: book\n    \
                remember: asked\n    answers:\n";
    let answers: String = (0..20_000)
        .map(|n| format!("      - answer {n}: rows\n"))
        .collect();
    let rows: String = (0..20_000)
        .map(|n| format!("      - {{when: {{asked: answer {n}, side: left}}, go: fine}}\n"))
        .collect();
    let text = format!(
        "{head}{answers}  rows:\n    decide:\n{rows}    otherwise: fine\n  fine:\n    end: Done.\n    outcome: ready\n"
    );
    assert!(told(text.as_bytes()).contains(&"too-many-answers".to_owned()));
}

/// Pieces that YAML and the language care about.
const PIECES: &[&str] = &[
    ": ",
    "- ",
    "\n",
    "  ",
    "\t",
    "[",
    "]",
    "{",
    "}",
    "&a ",
    "*a",
    "!t ",
    "<<: ",
    "---\n",
    "? ",
    "| ",
    "> ",
    "\"",
    "'",
    "#",
    "%",
    "@",
    "~",
    "null",
    "true",
    "0",
    "1e9",
    ".inf",
    "below 2",
    "known",
    "unsure: true",
    "go: ",
    "at_most: 3",
    "\u{1b}",
    "\u{85}",
    "\u{2028}",
    "\u{feff}",
    "é",
    "cmH₂O",
    "\\",
    "\r",
    "{seal-low}",
    "{{",
];

fn good_texts() -> Vec<String> {
    let files = yaml_files(&folder().join("good"));
    files
        .iter()
        .map(|path| String::from_utf8(read(path)).expect("UTF-8"))
        .collect()
}

/// The byte at a share of the text, moved to the next beginning of a character.
fn byte_at(text: &str, share: u16) -> usize {
    let mut at = text.len() * usize::from(share) / usize::from(u16::MAX);
    while !text.is_char_boundary(at) {
        at += 1;
    }
    at
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_taken_without_harm(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        told(&bytes);
    }

    #[test]
    fn any_words_are_taken_without_harm(words in "[ -~\n\té€]{0,300}") {
        told(words.as_bytes());
    }

    #[test]
    fn a_good_file_can_be_spoiled_in_any_way(
        which in 0_usize..6,
        slips in proptest::collection::vec((any::<u16>(), 0_usize..30, 0..PIECES.len()), 1..4),
    ) {
        let texts = good_texts();
        let mut text = texts[which % texts.len()].clone();
        for (share, cut, piece) in slips {
            let begin = byte_at(&text, share);
            let end = text[begin..].char_indices().nth(cut).map_or(text.len(), |(at, _)| begin + at);
            text.replace_range(begin..end, PIECES[piece]);
        }
        told(text.as_bytes());
    }
}
