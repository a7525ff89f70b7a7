//! `chart add` at a terminal: wrong keys, wrong words, Ctrl-C; nothing is stored by half.

use crate::pty::Terminal;
use crate::rig::{Rig, binary};

/// A drain connected at 10:00; now it is 12:00.
fn rig() -> Rig {
    let mut rig = Rig::new().demo_unit();
    rig.clock("2026-03-02T10:00:00Z");
    let facts = [
        "place=bay 4",
        "population=adult",
        "reason=air",
        "suction=none",
    ];
    let args = [&["drain", "new", "--by", "AB, RN"], &facts[..]].concat();
    rig.run(&args).code(0);
    rig.clock("2026-03-02T12:00:00Z");
    rig
}

fn typing(rig: &Rig, columns: u16) -> Terminal {
    let environment = rig.environment();
    let pairs: Vec<(&str, &str)> = environment
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    let program = binary().to_str().expect("UTF-8");
    let args = ["chart", "add", "--by", "AB, RN"];
    Terminal::start(columns, 100, program, &args, &pairs)
}

fn levels(rig: &Rig) -> Vec<f64> {
    let said = rig.run(&["chart", "show", "--json"]).code(0);
    let shown: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
    let entries = shown["entries"].as_array().expect("entries").iter();
    entries.filter_map(|one| one["level_ml"].as_f64()).collect()
}

/// What stands on the screen, with every stretch of blanks as one.
fn words(screen: &str) -> String {
    screen.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn reads(terminal: &Terminal, text: &str) -> String {
    words(&terminal.wait_until(text, |screen| words(screen).contains(text)))
}

const REFUSED: [(&str, &str); 8] = [
    ("-5 mL", "Level cannot be below zero"),
    (
        "120",
        "\"120\" has no unit: write the unit after the number",
    ),
    (
        "120 cmH2O",
        "The unit cmH2O does not fit level; use mL or L",
    ),
    ("120 cups", "\"cups\" is not a unit known here"),
    ("25 L", "25000 mL cannot be"),
    ("999999999999 mL", "999999999999 mL"),
    ("abc", "\"abc\" is not a number"),
    ("24:00", "is not a unit known here"),
];

fn wrong_keys(columns: u16) {
    let rig = rig();
    let mut terminal = typing(&rig, columns);
    let asked = "Level on the drainage unit (with its unit, like 320 mL; - if not known)";
    reads(&terminal, asked);
    // Enter alone answers nothing.
    terminal.send("\r");
    for (typed, told) in REFUSED {
        terminal.send(&format!("{typed}\r"));
        reads(&terminal, told);
    }
    terminal.send("1,5 L\r");
    reads(&terminal, "How does the fluid look?");
    terminal.send("x");
    reads(
        &terminal,
        "Nothing was answered. Keys here: 1 2 3 4 5 6 7 o",
    );
    terminal.send("\r9");
    terminal.send("1");
    // What the key meant is shown.
    let screen = reads(&terminal, "= serous");
    // No question stands there by half and then again.
    let (asked, refused) = (screen.matches(asked).count(), REFUSED.len());
    assert!((1..=refused + 2).contains(&asked), "{asked}: {screen}");
    assert_eq!(
        screen.matches("Level on the drainage unit").count(),
        asked,
        "{screen}"
    );
    let lines = terminal.screen();
    let widest = lines.lines().map(|line| line.chars().count()).max();
    assert!(widest <= Some(columns.into()), "{lines}");
    reads(&terminal, "4 seen, its size cannot be said");
    terminal.send("4");
    reads(&terminal, "When does it bubble?");
    terminal.send("\u{3}");
    reads(&terminal, "nothing of this reading is stored");
    assert_eq!(terminal.exit_code(), 130);
    assert!(levels(&rig).is_empty());
}

#[test]
fn wrong_keys_at_eighty_columns() {
    wrong_keys(80);
}

#[test]
fn wrong_keys_at_forty_columns() {
    wrong_keys(40);
}

#[test]
fn a_time_that_cannot_be_is_refused_before_anything_is_asked() {
    let mut rig = rig();
    let at = |rig: &Rig, time: &str, told: &str| {
        let typed = ["chart", "add", "--by", "AB, RN", "--seen", time];
        let said = rig.run_with(&typed, "20 mL\n").code(2);
        assert!(!said.out.contains("Level on"), "{}", said.out);
        drop(said.says(told));
        let flags = [&typed[..], &["level=20 mL"]].concat();
        drop(rig.run(&flags).code(2).says(told));
        assert_eq!(levels(rig).len(), usize::from(time == "11:00"));
    };
    at(&rig, "12:01", "is later than now");
    at(&rig, "2026-03-02 12:01", "is later than now");
    at(
        &rig,
        "09:59",
        "lies before the drain was connected, on 02 Mar at 10:00",
    );
    at(&rig, "24:00", "midnight is 00:00 of the day that begins");
    rig.clock("2026-03-02T11:00:00Z");
    rig.run(&["chart", "add", "--by", "AB, RN", "level=20 mL"])
        .code(0);
    rig.clock("2026-03-02T12:00:00Z");
    at(
        &rig,
        "11:00",
        "there is already a reading at 02 Mar 11:00:00",
    );
}

#[test]
fn a_blood_pressure_has_two_numbers() {
    let rig = rig();
    for typed in ["blood-pressure=120", "blood-pressure=120/"] {
        rig.run(&["chart", "add", "--by", "AB, RN", typed])
            .code(2)
            .says("is not a blood pressure: write both numbers, like 120/80");
    }
    assert!(levels(&rig).is_empty());
}
