//! What is drawn, page by page, on wide, narrow, colourless and dumb terminals; and the ways out.

use crate::pty::Terminal;
use crate::rig::{Rig, binary};

/// A nurse at a terminal.
struct Nurse {
    terminal: Terminal,
    columns: u16,
    dumb: bool,
}

impl Nurse {
    fn at(rig: &Rig, columns: u16, args: &[&str], more: &[(&str, &str)]) -> Self {
        let environment = rig.environment();
        let mut pairs: Vec<(&str, &str)> = environment
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        pairs.extend(more);
        let program = binary().to_str().expect("UTF-8");
        let terminal = Terminal::start(columns, 60, program, args, &pairs);
        Self {
            terminal,
            columns,
            dumb: more.contains(&("TERM", "dumb")),
        }
    }

    /// Waits until the last page says this, however its lines are broken, and gives that page.
    /// The same, with no line wider than the terminal.
    #[track_caller]
    fn reads(&self, text: &str) -> String {
        let screen = self
            .terminal
            .wait_until(text, |screen| last_page(screen).contains(text));
        // Lines on a terminal that cannot move its cursor are for it to break.
        let lines = screen.lines().filter(|_| !self.dumb);
        for line in lines {
            let width = line.chars().count();
            assert!(width <= usize::from(self.columns), "{width}: {line}");
        }
        last_page(&screen)
    }

    #[track_caller]
    fn follows(&mut self, script: &[(&str, &str)]) {
        for (text, keys) in script {
            self.reads(text);
            self.terminal.send(keys);
        }
    }
}

/// What was drawn since the last answer, with every stretch of blanks as one.
fn last_page(screen: &str) -> String {
    let at = screen.rfind("Saved: ").unwrap_or(0);
    let words: Vec<&str> = screen[at..].split_whitespace().collect();
    words.join(" ")
}

fn with_drain(facts: &[&str]) -> Rig {
    let rig = Rig::new().demo_unit();
    let args = [&["drain", "new", "--by", "AB, RN", "place=bay 4"], facts].concat();
    rig.run(&args).code(0);
    rig
}

fn start(list: &str) -> Vec<&str> {
    vec!["start", list, "--drain", "d1", "--by", "AB, RN"]
}

const OWN: &[&str] = &[
    "population=adult",
    "breathing=own",
    "suction=none",
    "reason=fluid",
];

#[test]
fn no_swing_at_both_widths() {
    for columns in [80, 40] {
        let rig = with_drain(OWN);
        let mut nurse = Nurse::at(&rig, columns, &start("no-swing"), &[]);
        let first = nurse.reads("Is any of these new: severe breathlessness, chest pain");
        for words in [
            "1 none of these",
            "Where: Face, chest movement",
            "Urgent keys:",
            "Call for help first.",
        ] {
            assert!(first.contains(words), "{words}: {first}");
        }
        nurse.follows(&[
            ("high airway pressure?", "1"),
            (
                "Open all clamps and taps that no current order keeps closed.",
                "y",
            ),
            ("Trace the tubing by hand from chest to drainage unit.", "n"),
            ("What did you find?", "kinked under the patient\r"),
            (
                "Caution: Milking or stripping the tube makes a dangerous suction spike.",
                "y",
            ),
            (
                "The level rises on breathing in, falls on breathing out.",
                "y",
            ),
            ("The level swings again", "y"),
        ]);
        assert_eq!(nurse.terminal.exit_code(), 0);
        assert_eq!(rig.answered(), 6);
    }
}

#[test]
fn continuous_bubbling_at_both_widths() {
    for columns in [80, 40] {
        let rig = with_drain(OWN);
        let mut nurse = Nurse::at(&rig, columns, &start("bubbling"), &[]);
        nurse.follows(&[
            ("high airway pressure?", "1"),
            (
                "Open all clamps and taps, keeping the drain open throughout.",
                "y",
            ),
            ("Trace the tubing by hand from chest to drainage unit.", "y"),
            ("In which chamber do bubbles rise?", "1"),
            (
                "Suture and dressing whole, every side hole inside the chest.",
                "y",
            ),
            ("Push every joint together until it stops.", "y"),
            ("The bubbling has stopped.", "y"),
            (
                "Tape each joint lengthwise, leaving the connector in view.",
                "y",
            ),
            ("Put right", "y"),
        ]);
        assert_eq!(nurse.terminal.exit_code(), 0);
        assert_eq!(rig.answered(), 9);
    }
}

/// The tube comes off while no swing is looked into: one key, the actions first, and back to the
/// step with the last completed item repeated.
#[test]
fn disconnection_from_another_list_and_back_at_both_widths() {
    for columns in [80, 40] {
        let rig = with_drain(&[
            "population=adult",
            "breathing=ventilator",
            "reason=air",
            "suction=none",
        ]);
        let mut nurse = Nurse::at(&rig, columns, &start("no-swing"), &[]);
        nurse.follows(&[
            ("high airway pressure?", "1"),
            ("Open all clamps and taps", "D"),
        ]);
        let first = nurse.reads("Now > 1 Call the doctor now");
        for words in [
            "Right list? A joint has come apart",
            "ward doctor on duty: ring extension 21",
        ] {
            assert!(first.contains(words), "{words}: {first}");
        }
        assert!(
            !first.contains("1 clean"),
            "a question before the actions: {first}"
        );
        nurse.follows(&[
            ("Now > 1", "y"),
            ("Now > 2 Ask an awake patient to breathe out or cough.", "y"),
            ("Are both ends clean and within reach?", "1"),
            ("Wipe both ends with antiseptic.", "y"),
            ("Push the ends together until they stop.", "y"),
            ("Is the patient more breathless, or SpO2 falling?", "2"),
            ("Open all clamps and taps without a current order.", "y"),
            ("Ask the doctor about a new sterile drainage unit.", "y"),
            ("The level falls as air is pushed in.", "y"),
            ("How much does the seal bubble, against before?", "2"),
            (
                "Tape the joint lengthwise, leaving the connector in view.",
                "y",
            ),
            ("The list that led here goes on after this.", "y"),
        ]);
        let back = nurse.reads("After the interruption, is this still so? Is any of these new");
        assert!(back.contains("Last answer: none of these"), "{back}");
        assert!(
            back.contains("Unfinished: call 1 to ward doctor on duty"),
            "{back}"
        );
        nurse.terminal.send("y");
        nurse.reads("Open all clamps and taps that no current order keeps closed.");
        nurse.terminal.send("p");
        nurse.reads("Go on with: tubeside resume w1");
        assert_eq!(nurse.terminal.exit_code(), 3);
    }
}

/// The same while a note, a reason and a number are being written.
#[test]
fn the_urgent_key_works_while_words_are_written() {
    for (keys, question) in [
        ("t", "Note, without names:"),
        ("l", "When was it seen or done?"),
        ("x", "Why is the walk stopped for good?"),
    ] {
        let rig = with_drain(OWN);
        let mut nurse = Nurse::at(&rig, 80, &start("no-swing"), &[]);
        nurse.reads("high airway pressure?");
        nurse.terminal.send(keys);
        nurse.reads(question);
        nurse.terminal.send("D");
        nurse.reads("Enter starts: The tube has come off the drainage unit");
        nurse.terminal.send("\r");
        nurse.reads("Now > 1 Call the doctor now");
    }
}

#[test]
fn wrong_keys_enter_and_escape_answer_nothing() {
    let rig = with_drain(OWN);
    let mut nurse = Nurse::at(&rig, 80, &start("no-swing"), &[]);
    nurse.reads("high airway pressure?");
    for key in [
        "z", "9", "0", "y", "\r", "\r", "\u{1b}", "\u{1b}[A", "\t", " ", "\u{e9}",
    ] {
        nurse.terminal.send(key);
    }
    nurse.reads("Nothing was answered. Keys here: 1 2 3");
    assert_eq!(rig.answered(), 0);
    nurse.terminal.send("1");
    nurse.reads("Open all clamps");
    nurse.terminal.send("n");
    nurse.reads("Why was it not done?");
    nurse.terminal.send("\r");
    nurse.reads("Nothing was written, so nothing was answered.");
    nurse.terminal.send("n");
    nurse.terminal.send("half a reason\u{1b}");
    nurse.terminal.send("\r");
    assert_eq!(rig.answered(), 1);
}

#[test]
fn ctrl_c_pauses_and_gives_the_cursor_back() {
    for (before, last) in [("1", "Open all clamps"), ("1t", "Note, without names:")] {
        let rig = with_drain(OWN);
        let mut nurse = Nurse::at(&rig, 80, &start("no-swing"), &[]);
        nurse.reads("high airway pressure?");
        for key in before.chars() {
            nurse.terminal.send(&key.to_string());
        }
        nurse.reads(last);
        nurse.terminal.send("\u{3}");
        assert_eq!(nurse.terminal.exit_code(), 130);
        assert!(!nurse.terminal.cursor_is_hidden());
        nurse.reads("tubeside resume w1");
        let exported = rig.run(&["journal", "export", "-"]).code(0).out;
        // The export itself leaves an entry of its own.
        let mut lines = exported.lines().rev();
        let last = lines.find(|line| !line.contains("\"kind\":\"record-written\""));
        let last = last.expect("an entry");
        assert!(last.contains("\"kind\":\"paused\""), "{last}");
        assert_eq!(rig.answered(), 1);
    }
}

/// Nobody answers the call: the next person and the number stand on the screen, first of all.
#[test]
fn a_call_without_an_answer_shows_whom_to_call_next() {
    let mut rig = with_drain(OWN);
    let mut nurse = Nurse::at(&rig, 80, &start("disconnected"), &[]);
    nurse.follows(&[("Now > 1", "y"), ("Now > 2", "p")]);
    assert_eq!(nurse.terminal.exit_code(), 3);

    rig.clock("2026-03-02T04:06:00Z");
    let resume = ["resume", "w1", "--by", "CD, RN"];
    let mut nurse = Nurse::at(&rig, 80, &resume, &[]);
    let page = nurse.reads("Then call chest registrar: ring extension 22");
    let overdue = page
        .find("Overdue: call 1 to ward doctor on duty")
        .expect("overdue");
    let asked = page.find("is this still so?").expect("the question");
    assert!(overdue < asked, "{page}");
    nurse.terminal.send("c");
    nurse.reads("What happened?");
    nurse.terminal.send("n");
    let page = nurse.reads("call 1 to chest registrar");
    assert!(
        page.contains("Then call consultant on call: ring extension 23"),
        "{page}"
    );
    nurse.terminal.send("c");
    nurse.reads("What happened?");
    nurse.terminal.send("a");
    nurse.reads("Who answered? Role or initials:");
    nurse.terminal.send("chest registrar\r");
    nurse.reads("answered by chest registrar");
}

#[test]
fn without_colour_and_in_ascii_only() {
    let looks: &[&[(&str, &str)]] = &[
        &[("NO_COLOR", "1"), ("LANG", "C")],
        &[("NO_COLOR", ""), ("TUBESIDE_ASCII", "1")],
    ];
    for look in looks {
        let rig = with_drain(OWN);
        let mut nurse = Nurse::at(&rig, 80, &start("breathless"), look);
        nurse.follows(&[
            ("Now > 1", "y"),
            ("Now > 2", "t"),
            ("Note", "caf\u{e9} \u{2264} 90\r"),
            ("Now > 2", "w"),
        ]);
        nurse.reads("Source:");
        let raw = nurse.terminal.raw();
        let wide: Vec<u8> = raw.iter().copied().filter(|byte| *byte > 127).collect();
        assert!(wide.is_empty(), "{wide:?}");
        assert!(!nurse.terminal.is_coloured(), "colour with {look:?}");
    }
    let rig = with_drain(OWN);
    let nurse = Nurse::at(&rig, 80, &start("breathless"), &[]);
    nurse.reads("Now > 1");
    assert!(nurse.terminal.is_coloured(), "colour where it may be");
}

/// A terminal that cannot move its cursor gets plain lines.
#[test]
fn a_dumb_terminal_gets_lines() {
    let rig = with_drain(OWN);
    let mut nurse = Nurse::at(&rig, 80, &start("no-swing"), &[("TERM", "dumb")]);
    nurse.reads("Answers: 1 none of these; 2 new or worse; 3 not sure.");
    nurse.terminal.send("none of these\r");
    nurse.reads("Open all clamps");
    assert!(
        !nurse.terminal.raw().contains(&0x1b),
        "a control sequence was sent"
    );
    assert_eq!(rig.answered(), 1);
}

/// The home screen shows the urgent lists with their keys, and one key starts one.
#[test]
fn the_home_screen_starts_an_urgent_list_by_one_key() {
    for columns in [80, 40] {
        let rig = Rig::new().demo_unit();
        let mut nurse = Nurse::at(&rig, columns, &[], &[]);
        nurse.reads("Find a checklist by what you see");
        nurse.terminal.send("D");
        nurse.reads("Now > 1 Call the doctor now");
        nurse.terminal.send("y");
        nurse.reads("Now > 2");
    }
}
