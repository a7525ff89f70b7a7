//! Texts that mean harm, in every place of the journal that takes words, and everything that the
//! program prints of them. The texts, and how they are to be read, stand in
//! `tests/reference/hostile.json`, for other libraries too: `tests/reference/hostile.py`.

use std::path::Path;

use serde_json::Value;
use tubeside::chart::What as Charted;
use tubeside::chart::reading::Reading;
use tubeside::checklist::model::Value as Fact;
use tubeside::journal::{Access, By, DrainId, EntryId, Journal, Mark, NewEntry, SessionId, What};
use tubeside::moment::Moment;
use tubeside::names::FactName;
use tubeside::units::Number;

use crate::afterwards::one_walk;
use crate::pty::Terminal;
use crate::rig::{Rig, binary};

/// A text of ten thousand letters, which every format must carry whole.
pub fn long() -> String {
    "The level swings | ".repeat(526) + "end."
}

fn texts() -> Vec<String> {
    let all: Vec<Value> =
        serde_json::from_str(include_str!("../reference/hostile.json")).expect("JSON");
    let text = |one: &Value| one["text"].as_str().expect("a text").to_owned();
    all.iter().map(text).chain([long()]).collect()
}

/// A journal with each text in a note, an amendment, a handover, a chart, a fact and a writer, put
/// there past everything that looks at what is typed.
fn journal_of_harm() -> Rig {
    let mut rig = one_walk();
    let mut journal = Journal::open(&rig.journal(), Access::Write).expect("the journal");
    let drain = journal.drains().expect("drains")[0].drain;
    let walk = journal.walks().expect("walks")[0].walk;
    let first = journal.walk_entries(&walk).expect("entries")[0].id;
    let at = Moment::parse_from_rfc3339("2026-03-02T06:00:00Z").expect("a moment");
    for (index, text) in texts().into_iter().enumerate() {
        let at = at + chrono::TimeDelta::minutes(i64::try_from(index).expect("few"));
        for what in with(&text, first, index) {
            let by = match what {
                What::DrainNote { .. } => By::new(&text, &text),
                _ => By::new("AB", "RN"),
            };
            journal.append(&entry(drain, at, by, what)).expect("kept");
        }
        let facts = [(FactName::new("place").expect("a name"), Fact::Words(text))];
        let what = What::DrainChanged {
            facts: facts.into(),
            why: "made".to_owned(),
        };
        journal
            .append(&entry(drain, at, By::new("AB", "RN"), what))
            .expect("kept");
    }
    drop(journal);
    rig.clock("2026-03-02T08:00:00Z");
    rig
}

fn with(text: &str, about: EntryId, index: usize) -> Vec<What> {
    let text = || text.to_owned();
    let level = Number::whole(i32::try_from(10 * index).expect("few"));
    let reading = Reading {
        level: Some(level),
        action: Some(text()),
        ..Reading::default()
    };
    let amended = |mark| What::Amended {
        entry: about,
        mark,
        text: text(),
        why: text(),
    };
    vec![
        What::DrainNote { text: text() },
        What::Charted(Charted::Reading(std::sync::Arc::new(reading))),
        amended(Mark::Addendum),
        amended(Mark::Wrong),
        What::HandedOver {
            to: By::new(&text(), "RN"),
            read_back: text(),
        },
    ]
}

fn entry(drain: DrainId, at: Moment, by: By, what: What) -> NewEntry {
    NewEntry {
        drain: Some(drain),
        walk: None,
        session: SessionId::new(at),
        seen: at,
        written: at,
        by,
        rehearsal: true,
        what,
    }
}

/// Characters that act on a terminal: C0 but line ends, delete, C1 (ECMA-48), and the embeddings,
/// overrides and marks of direction (Unicode Standard Annex 9). A pair of U+2068 and U+2069 round a
/// text that runs from right to left is the program's own, and keeps it from turning its neighbours.
fn acts(c: char) -> bool {
    matches!(
        c,
        '\0'..='\u{9}' | '\u{b}'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}'
            | '\u{202a}'..='\u{202e}' | '\u{2066}' | '\u{2067}' | '\u{feff}'
    )
}

#[track_caller]
fn is_harmless(what: &str, text: &str) {
    let text = text.replace("\r\n", "\n");
    for line in text.lines() {
        if let Some(c) = line.chars().find(|c| acts(*c)) {
            let around: String = line.chars().take(300).collect();
            panic!("{what} lets {c:?} out: {around:?}");
        }
    }
    let (opened, closed) = (
        text.matches('\u{2068}').count(),
        text.matches('\u{2069}').count(),
    );
    assert_eq!(opened, closed, "{what}: isolates that are not closed");
}

/// Every command that prints what is stored.
const PRINTS: &[&[&str]] = &[
    &["drain", "list"],
    &["drain", "list", "--all", "--json"],
    &["drain", "show", "d1"],
    &["chart", "show", "--drain", "d1"],
    &["chart", "show", "--drain", "d1", "--json"],
    &["chart", "show", "--drain", "d1", "--csv"],
    &["chart", "due"],
    &["chart", "due", "--json"],
    &["chart", "plot", "--drain", "d1"],
    &["chart", "plot", "--drain", "d1", "--svg", "-"],
    &["record", "setup", "--drain", "d1", "--out", "-"],
    &["record", "setup", "--drain", "d1", "--facts"],
    &[
        "record", "setup", "--drain", "d1", "--format", "html", "--out", "-",
    ],
    &[
        "record", "setup", "--drain", "d1", "--format", "json", "--out", "-",
    ],
    &[
        "record", "setup", "--drain", "d1", "--format", "fhir", "--out", "-",
    ],
    &["record", "handover", "--drain", "d1", "--out", "-"],
    &["record", "handover", "--drain", "d1", "--facts"],
    &[
        "record", "handover", "--drain", "d1", "--format", "html", "--out", "-",
    ],
    &[
        "record", "handover", "--drain", "d1", "--format", "fhir", "--out", "-",
    ],
    &["record", "incident", "--walk", "w1", "--out", "-"],
    &["record", "chart", "--drain", "d1", "--out", "-"],
    &["record", "chart", "--drain", "d1", "--facts"],
    &[
        "record", "chart", "--drain", "d1", "--format", "html", "--out", "-",
    ],
    &[
        "record", "chart", "--drain", "d1", "--format", "fhir", "--out", "-",
    ],
    &["review", "--rehearsals"],
    &["review", "--rehearsals", "--json"],
    &["review", "--rehearsals", "--csv"],
    &["journal", "verify"],
    &["handover", "d1", "--to", "CD, RN", "--by", "AB, RN"],
];

#[test]
fn nothing_stored_acts_on_a_terminal() {
    let rig = journal_of_harm();
    for args in PRINTS {
        let said = rig.run(&[args, &["--by", "AB, RN"][..]].concat());
        let said = match said.code {
            2 => rig.run(args),
            _ => said,
        };
        let what = args.join(" ");
        assert_eq!(said.code, 0, "{what}: {}", said.err);
        assert!(said.out.len() > 20, "{what} prints nothing: {}", said.out);
        is_harmless(&what, &said.out);
        is_harmless(&what, &said.err);
    }
    // A record that was changed is shown where it differs.
    let file = rig.path("h.md");
    let name = file.display().to_string();
    let filed = [
        "record", "handover", "--drain", "d1", "--by", "AB, RN", "--out", &name,
    ];
    is_harmless("filing", &rig.run(&filed).code(0).out);
    let text = rig.read("h.md");
    rig.write(
        "h.md",
        text.replacen("# Handover", "# \u{1b}[31m\u{202e}Handover\u{9b}1m", 1),
    );
    for args in [
        &["journal", "verify", &name][..],
        &["record", "handover", "--drain", "d1", "--check", &name],
    ] {
        let said = rig.run(args);
        assert_ne!(said.code, 0);
        is_harmless("comparing", &(said.out + &said.err));
    }
}

/// An export goes to a pipe to the byte, or its chain could not be checked; not to a terminal.
#[test]
fn an_export_on_a_terminal_acts_on_nothing() {
    let rig = journal_of_harm();
    let environment = rig.environment();
    let environment: Vec<(&str, &str)> = environment
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    let piped = rig
        .run(&["journal", "export", "-", "--by", "AB, RN"])
        .code(0)
        .out;
    assert!(
        piped.lines().any(|line| line.contains(acts)),
        "the texts mean harm"
    );
    let mut terminal = Terminal::start(
        200,
        50,
        &binary().display().to_string(),
        &["journal", "export", "-", "--by", "AB, RN"],
        &environment,
    );
    assert_eq!(terminal.exit_code(), 0);
    let raw = String::from_utf8_lossy(&terminal.raw()).into_owned();
    assert!(raw.contains("drain-note"), "{raw}");
    is_harmless("export", &raw.replace("\r\n", "\n"));
}

/// For the readers of other libraries: `tests/reference/hostile.py`.
#[test]
fn writes_table_of_hostile_texts() {
    let Some(tables) = std::env::var_os("TUBESIDE_TABLES") else {
        return;
    };
    let rig = journal_of_harm();
    let folder = Path::new(&tables).join("hostile");
    std::fs::create_dir_all(&folder).expect("a folder");
    let write = |name: &str, args: &[&str]| {
        let said = rig.run(args).code(0);
        std::fs::write(folder.join(name), said.out).expect("written");
    };
    write("chart.csv", &["chart", "show", "--drain", "d1", "--csv"]);
    for format in ["markdown", "html"] {
        for kind in ["handover", "chart"] {
            let args = [
                "record", kind, "--drain", "d1", "--format", format, "--out", "-",
            ];
            write(&format!("{kind}.{format}"), &args);
        }
    }
    std::fs::write(folder.join("long.txt"), long()).expect("written");
}
