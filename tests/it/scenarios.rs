//! The nurse at the terminal: no swing, continuous bubbling, disconnection, at 80 and 40 columns,
//! with wrong keys, interrupted, without colour, in ASCII only, and with no terminal at all.

use std::process::Stdio;

use crate::pty::Terminal;
use crate::rig::{Rig, binary, said};

fn open(rig: &Rig, cols: u16, args: &[&str], more: &[(&str, &str)]) -> Terminal {
    let environment = rig.environment();
    let mut pairs: Vec<(&str, &str)> = environment
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    pairs.extend(more);
    Terminal::start(cols, 60, binary().to_str().expect("UTF-8"), args, &pairs)
}

fn with_drain(reason: &str) -> Rig {
    let rig = Rig::new().demo_unit();
    let reason = format!("reason={reason}");
    let facts = [
        "drain",
        "new",
        "--by",
        "AB, RN",
        "place=bay 4",
        "population=adult",
        "breathing=own",
        &reason,
        "suction=none",
        "lung-removed=no",
    ];
    rig.run(&facts).code(0);
    rig
}

fn start(list: &'static str) -> [&'static str; 6] {
    ["start", list, "--drain", "d1", "--by", "AB, RN"]
}

/// Waits for each text and types the keys after it.
#[track_caller]
fn follow(terminal: &mut Terminal, script: &[(&str, &str)]) {
    for (wait, keys) in script {
        terminal.wait_for(wait);
        terminal.send(keys);
    }
}

/// The journal without the lines that looking at it leaves.
fn exported(rig: &Rig) -> String {
    let all = rig.run(&["journal", "export", "-"]).code(0).out;
    let lines = all
        .lines()
        .filter(|line| !line.contains("\"record-written\""));
    lines.fold(String::new(), |all, line| all + line + "\n")
}

/// No swing (clinical row: kinked tubing is found and freed, the level moves again).
#[test]
fn no_swing_at_eighty_and_forty_columns() {
    for cols in [80, 40] {
        let rig = with_drain("fluid");
        let mut terminal = open(&rig, cols, &start("no-swing"), &[]);
        follow(
            &mut terminal,
            &[
                ("none of these", "1"),
                ("Open all clamps", "y"),
                ("Trace the tubing", "n"),
                ("did you find", "kink at the rail\r"),
                ("Straighten the tubing", "y"),
                ("deep", "y"),
                ("again", "y"),
            ],
        );
        assert_eq!(terminal.exit_code(), 0);
        let screen = terminal.screen();
        for line in screen.lines() {
            assert!(line.chars().count() <= usize::from(cols), "{cols}: {line}");
        }
        assert!(exported(&rig).contains("kink at the rail"));
    }
}

/// Continuous bubbling from a drain for fluid: the doctor is called now, and nothing is clamped.
#[test]
fn continuous_bubbling_leads_to_a_call_with_the_number_on_the_screen() {
    let rig = with_drain("fluid");
    let mut terminal = open(&rig, 80, &start("bubbling"), &[]);
    follow(
        &mut terminal,
        &[
            ("none of these", "1"),
            ("keeping the drain open", "y"),
            ("Trace the tubing", "y"),
            ("which chamber", "1"),
            ("leaves the skin", "y"),
            ("Push every joint", "y"),
            ("Watch the water seal", "n"),
            ("did you find", "\r"),
            ("for cracks", "y"),
            ("crackle", "1"),
        ],
    );
    let screen = terminal.wait_for("Call the doctor now");
    assert!(screen.contains("extension 21"), "{screen}");
    follow(&mut terminal, &[("Call the doctor now", "y")]);
    let screen = terminal.wait_for("until the doctor takes over");
    assert!(
        screen.contains("ward doctor on duty"),
        "the open call stays on the screen: {screen}"
    );
    terminal.send("y");
    assert_eq!(terminal.exit_code(), 0);
    assert!(!exported(&rig).contains("clamp-on"));
}

/// Disconnection, met in the middle of another list: one key, actions before any question, and
/// the list that was left is offered again with its last item repeated.
#[test]
fn a_disconnection_is_one_key_away_and_leads_back() {
    let rig = with_drain("air");
    let mut terminal = open(&rig, 80, &start("no-swing"), &[]);
    follow(
        &mut terminal,
        &[("none of these", "1"), ("Open all clamps", "D")],
    );
    let screen = terminal.wait_for("Right list?");
    let first = screen
        .find("Call the doctor now")
        .expect("the call is on the first screen");
    assert!(
        first < screen.find("breathe out").expect("the action too"),
        "{screen}"
    );
    follow(
        &mut terminal,
        &[
            ("Now > 1", "y"),
            ("Now > 2", "y"),
            ("both ends clean", "1"),
            ("Wipe both ends", "y"),
            ("Push the ends together", "y"),
            ("more breathless", "2"),
            ("Open all clamps", "y"),
            ("new sterile drainage unit", "y"),
            ("while the patient coughs", "y"),
            ("seal bubble", "1"),
            ("Tape the joint", "y"),
            ("The drain is joined", "y"),
        ],
    );
    let screen = terminal.wait_for("still so");
    assert!(screen.contains("none of these"), "{screen}");
    terminal.send("y");
    terminal.wait_for("Open all clamps");
    terminal.send("p");
    assert_eq!(terminal.exit_code(), 3);
}

/// The urgent key works at each kind of prompt, also in the middle of a text and a number.
#[test]
fn the_urgent_key_works_at_every_kind_of_prompt() {
    let to_prompt: &[(&str, &[(&str, &str)])] = &[
        ("ask", &[]),
        ("do", &[("none of these", "1")]),
        ("check", &[("none of these", "1"), ("Open all clamps", "y")]),
        ("text", &[("none of these", "1"), ("Open all clamps", "t")]),
        (
            "number",
            &[
                ("none of these", "1"),
                ("Open all clamps", "y"),
                ("Trace the tubing", "y"),
                ("five deep breaths", "n"),
                ("did you find", "\r"),
            ],
        ),
    ];
    let ready = [
        "none of these",
        "Open all clamps",
        "Trace the tubing",
        "Note",
        "Read the seal depth",
    ];
    for ((name, script), ready) in to_prompt.iter().zip(ready) {
        let rig = with_drain("fluid");
        let mut terminal = open(&rig, 80, &start("no-swing"), &[]);
        follow(&mut terminal, script);
        terminal.wait_for(ready);
        terminal.send("!");
        let screen = terminal.wait_for("Right list?");
        assert!(
            screen.contains("Call the emergency team"),
            "{name}: {screen}"
        );
        terminal.kill();
    }
}

#[test]
fn wrong_keys_enter_and_escape_answer_nothing() {
    let rig = with_drain("fluid");
    let mut terminal = open(&rig, 80, &start("no-swing"), &[]);
    terminal.wait_for("none of these");
    let before = exported(&rig).lines().count();
    for keys in ["9", "z", "\r", "\u{1b}", " ", "\u{1b}[A", "%"] {
        terminal.send(keys);
    }
    terminal.wait_for("none of these");
    assert_eq!(exported(&rig).lines().count(), before);
    terminal.send("\u{3}");
    assert_eq!(terminal.exit_code(), 130);
    assert!(!terminal.cursor_is_hidden());
    assert!(
        exported(&rig)
            .lines()
            .last()
            .expect("an entry")
            .contains("paused")
    );
}

#[test]
fn a_call_without_an_answer_names_the_next_person() {
    let rig = with_drain("fluid");
    let answers = "new or worse\ny\n+3m\np\n";
    let said = rig.run_with(&start("no-swing"), answers).code(3);
    assert!(said.out.contains("no answer for"), "{}", said.out);
    assert!(said.out.contains("ring extension 11"), "{}", said.out);
}

#[test]
fn without_colour_and_in_ascii_only() {
    let rig = with_drain("fluid");
    let mut terminal = open(&rig, 80, &start("no-swing"), &[("NO_COLOR", "")]);
    let plain = terminal.wait_for("Urgent keys");
    terminal.kill();
    let rig = with_drain("fluid");
    let mut terminal = open(&rig, 80, &start("no-swing"), &[]);
    let coloured = terminal.wait_for("Urgent keys");
    terminal.kill();
    assert_eq!(plain, coloured, "colour carries nothing");

    let rig = with_drain("fluid");
    let mut command = rig.command(&start("no-swing"));
    command.env("TUBESIDE_ASCII", "1").stdin(Stdio::null());
    let output = command.output().expect("it ends");
    assert!(
        output.stdout.is_ascii(),
        "{}",
        String::from_utf8_lossy(&output.stdout)
    );
    assert_eq!(said(&output).code, 3);
}

#[test]
fn without_a_terminal_the_home_screen_is_help() {
    let rig = Rig::new();
    rig.run(&[])
        .code(0)
        .says("Usage: tubeside")
        .says("Call for help first");
    let terminal = open(&Rig::new(), 80, &[], &[("TERM", "dumb")]);
    terminal.wait_for("Call for help first");
}

/// The nurse at 04:00: opens it, presses one key, and is told the first thing to do.
#[test]
fn from_the_home_screen_one_key_tells_the_first_thing_to_do() {
    let rig = Rig::new().demo_unit();
    let mut terminal = open(&rig, 80, &[], &[]);
    let home = terminal.wait_for("Keys:");
    assert!(
        home.find("Urgent keys").expect("first") < home.find("Find a checklist").expect("then"),
        "{home}"
    );
    terminal.send("!");
    let screen = terminal.wait_for("Now > 1");
    assert!(screen.contains("Call the emergency team"), "{screen}");
    assert!(screen.contains("pull the bedside alarm cord"), "{screen}");
    terminal.kill();
}
