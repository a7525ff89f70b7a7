//! The program on a terminal, and the first screens of the shipped urgent lists.

use std::path::Path;
use std::sync::Arc;

use tempfile::TempDir;
use tubeside::checklist::load::load;
use tubeside::checklist::model::{Library, ListKind};
use tubeside::checklist::shelf::Shelf;
use tubeside::moment::Moment;
use tubeside::screen::{Look, drawn};
use tubeside::walk::Walk;
use tubeside::walk::input::{Answer, Input};
use tubeside::walk::view::Show;

use crate::pty::Terminal;

fn start(home: &Path, args: &[&str]) -> Terminal {
    let journal = home.join("journal.db");
    let mut all = vec![
        "--journal",
        journal.to_str().expect("UTF-8"),
        "--by",
        "AB, RN",
    ];
    all.extend(args);
    let env = [
        ("HOME", home.to_str().expect("UTF-8")),
        ("LANG", "en_GB.UTF-8"),
        ("TUBESIDE_CLOCK", "2026-03-02T04:00:00Z"),
    ];
    Terminal::start(80, 40, env!("CARGO_BIN_EXE_tubeside"), &all, &env)
}

/// Nothing that was acknowledged is lost when the program dies, and the last item is repeated.
#[test]
fn a_killed_walk_comes_back_with_its_last_answer() {
    let home = TempDir::new().expect("a fresh folder");
    let mut first = start(home.path(), &["start", "disconnected"]);
    first.wait_for("Now > 1");
    first.send("y");
    let screen = first.wait_for("Done  1");
    assert!(screen.contains("Saved: "), "{screen}");
    first.kill();

    let mut second = start(home.path(), &["resume", "w1"]);
    second.wait_for("is this still so?");
    second.send("\u{3}");
    assert_eq!(second.exit_code(), 130);
    assert!(!second.cursor_is_hidden());
}

/// The clinical reason: what must be done first is seen at one glance, nothing else competes.
#[test]
fn the_first_screen_of_every_shipped_urgent_list_has_at_most_twelve_lines() {
    let library = Arc::new(load(&Shelf::shipped()).library.expect("the shipped lists"));
    let urgent: Vec<_> = library
        .lists()
        .filter(|(_, list)| list.kind == ListKind::Urgent)
        .map(|(id, list)| (id, list.name.clone()))
        .collect();
    assert!(!urgent.is_empty());
    for (id, name) in urgent {
        let mut now = Moment::parse_from_rfc3339("2026-03-02T04:00:00+00:00").expect("a moment");
        let library: Arc<Library> = Arc::clone(&library);
        let (mut walk, _) = Walk::begin(library, id, Default::default(), now).expect("it begins");
        let mut screens = 0;
        while let Show::Urgent { .. } = walk.view(now).show {
            let look = Look {
                width: 80,
                colour: false,
                ascii: true,
            };
            let lines = drawn(&walk.view(now), now, look);
            assert!(lines.len() <= 12, "{name}: {lines:#?}");
            screens += 1;
            now += chrono::TimeDelta::seconds(20);
            let input = Input::Answer {
                answer: Answer::Done,
                seen: None,
            };
            walk.input(input, now).expect("done");
        }
        assert!(screens > 0, "{name} begins with its first screen");
    }
}

/// From the home screen, in words that are not those of the list.
#[test]
fn a_list_is_found_from_the_home_screen_in_other_words() {
    let home = TempDir::new().expect("a fresh folder");
    let mut terminal = start(home.path(), &[]);
    terminal.wait_for("Find a checklist");
    terminal.send("f");
    terminal.wait_for("What do you see?");
    terminal.send("no tidaling\r");
    let screen = terminal.wait_for("Which of these?");
    assert!(
        screen.contains("1  The water level has stopped swinging"),
        "{screen}"
    );
    terminal.kill();
}

/// The weight that later limits rest on is kept with the drain when the nurse says so.
#[test]
fn a_weight_measured_in_a_walk_is_offered_to_the_drain() {
    let home = TempDir::new().expect("a fresh folder");
    let facts = ["drain", "new", "place=bay 4", "population=child"];
    assert_eq!(start(home.path(), &facts).exit_code(), 0);
    let mut terminal = start(home.path(), &["start", "prepare", "--drain", "d1"]);
    let mut before = String::new();
    loop {
        let screen = terminal.wait_until("the next step", |screen| screen != before);
        let asked = screen.lines().rev().take(14).collect::<Vec<_>>().join("\n");
        if screen.contains("Keep the weight, 14 kg, with drain d1?") {
            break;
        } else if asked.contains("a number in kg") {
            terminal.send("14 kg\r");
        } else if asked.contains("a number in cm") {
            terminal.send("2 cm\r");
        } else if asked.contains("  1  ") {
            terminal.send("1");
        } else {
            terminal.send("y");
        }
        before = screen;
    }
    terminal.send("y\r");
    assert_eq!(terminal.exit_code(), 0);
    let mut shown = start(home.path(), &["drain", "show", "d1"]);
    assert!(shown.wait_for("weight").contains("14 kg"));
    shown.kill();
}
