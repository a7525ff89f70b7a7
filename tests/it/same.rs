//! The same answers leave the same events, however they were given.

use crate::pty::Terminal;
use crate::rig::{Rig, binary};

const ANSWERS: &str = "patient = none of these
open = y
trace = n: kink at the rail
straighten = y
t: patient turned on her side
watch-own = y
swings = y
";

/// What the journal holds of the walks, without what differs from run to run.
fn events(rig: &Rig) -> Vec<String> {
    let said = rig.run(&["journal", "export", "-"]).code(0);
    let lines = said.out.lines().map(|line| {
        let entry: serde_json::Value = serde_json::from_str(line).expect("a line of JSON");
        format!(
            "{} {} {} {}",
            entry["kind"], entry["by"], entry["state"], entry["body"]
        )
    });
    let kept: Vec<String> = lines
        .filter(|line| !line.contains("drain-opened"))
        .collect();
    assert!(kept.len() >= 8, "{kept:#?}");
    kept
}

fn with_drain() -> Rig {
    let rig = Rig::new();
    let facts = [
        "drain",
        "new",
        "--by",
        "AB, RN",
        "place=bay 4",
        "population=adult",
        "breathing=own",
        "reason=fluid",
        "suction=none",
        "lung-removed=no",
    ];
    rig.run(&facts).code(0).says("opened d1");
    rig
}

const START: &[&str] = &["start", "no-swing", "--by", "AB, RN", "--drain", "d1"];

fn scripted() -> Vec<String> {
    let rig = with_drain();
    let file = rig.write("answers.txt", ANSWERS).display().to_string();
    rig.run(&[START, &["--answers", &file]].concat()).code(0);
    events(&rig)
}

#[test]
fn a_file_and_a_pipe_leave_the_same_events() {
    let rig = with_drain();
    rig.run_with(START, ANSWERS).code(0);
    assert_eq!(scripted(), events(&rig));
}

#[test]
fn a_file_and_typed_keys_leave_the_same_events() {
    let rig = with_drain();
    let environment = rig.environment();
    let pairs: Vec<(&str, &str)> = environment
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    let program = binary().to_str().expect("UTF-8");
    let mut terminal = Terminal::start(80, 40, program, START, &pairs);
    for (wait, keys) in [
        ("none of these", "1"),
        ("Open all clamps", "y"),
        ("Trace the tubing", "n"),
        ("What did you find?", "kink at the rail\r"),
        ("Straighten the tubing", "y"),
        ("five deep breaths", "t"),
        ("Note", "patient turned on her side\r"),
        ("five deep breaths", "y"),
        ("The level swings again", "y"),
    ] {
        terminal.wait_for(wait);
        terminal.send(keys);
    }
    assert_eq!(terminal.exit_code(), 0);
    assert_eq!(scripted(), events(&rig));
}
