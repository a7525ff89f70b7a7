//! Single keys on a real terminal: this test program starts itself on one.

#[path = "../../../tests/it/pty.rs"]
#[allow(dead_code, reason = "the whole-program tests use more of it")]
mod rig;

use rig::Terminal;

use super::made::{self, moment};
use crate::screen::{
    Item, Menu, Picked, Reply, Screen, Stopped, TextQuestion, Tone, plain, take_over_ctrl_c,
    terminal,
};
use crate::walk::input::Input;

/// Says to the child what to show.
const PART: &str = "SCREEN_TEST_PART";

fn start(part: &str, cols: u16, env: &[(&str, &str)]) -> Terminal {
    let program = std::env::current_exe().expect("this program");
    let mut all = vec![(PART, part)];
    all.extend(env);
    Terminal::start(
        cols,
        40,
        program.to_str().expect("a path in UTF-8"),
        &["--exact", "screen::tests::pty::child", "--nocapture"],
        &all,
    )
}

/// Not a test of its own: what the other tests start on a terminal.
#[test]
fn child() {
    let Ok(part) = std::env::var(PART) else {
        return;
    };
    take_over_ctrl_c().expect("Ctrl-C is taken over");
    let mut setup = made::setup();
    setup.look = crate::screen::Look::from_env(|name| std::env::var(name).ok(), Some(80));
    let mut screen = if part == "lines" {
        plain(setup, std::io::stdin(), std::io::stdout(), None)
    } else {
        terminal(setup).expect("a terminal")
    };
    let end = match part.as_str() {
        "step" | "lines" => steps(screen.as_mut()),
        "menu" => menu(screen.as_mut()),
        _ => questions(screen.as_mut()),
    };
    screen.say(Tone::Plain, &format!("END {end:?}"));
}

/// Shows one step until it is paused, and says what was taken.
fn steps(screen: &mut dyn Screen) -> Result<(), Stopped> {
    loop {
        match screen.step(&made::doing(), moment(0))? {
            Reply::Input(Input::Pause) => return Ok(()),
            Reply::Input(input) => screen.saved(&format!("{input:?}")),
            other => screen.say(Tone::Quiet, &format!("{other:?}")),
        }
    }
}

fn menu(screen: &mut dyn Screen) -> Result<(), Stopped> {
    let menu = Menu {
        title: "Start".to_owned(),
        items: vec![Item::numbered("Prepare")],
        urgent: made::urgent(),
        leave: None,
        ..Menu::default()
    };
    loop {
        match screen.choose(&menu)? {
            Picked::Urgent(_) => return Ok(()),
            picked => screen.say(Tone::Plain, &format!("{picked:?}")),
        }
    }
}

fn questions(screen: &mut dyn Screen) -> Result<(), Stopped> {
    let text = screen.text(&TextQuestion {
        question: "Where?",
        hint: Some("a place label"),
        may_be_open: false,
        check: &|text| match text {
            "bad" => Err("write a place".to_owned()),
            _ => Ok(()),
        },
    })?;
    screen.say(Tone::Plain, &format!("TEXT {text}"));
    let yes = screen.confirm("Close the drain?")?;
    screen.say(Tone::Plain, &format!("CONFIRM {yes}"));
    Ok(())
}

#[test]
fn one_key_answers_and_a_reason_is_written() {
    let mut terminal = start("step", 80, &[]);
    terminal.wait_for("Urgent keys: ! The patient");
    terminal.send("y");
    terminal.wait_for("Saved: Answer { answer: Done, seen: None }");
    terminal.send("n");
    terminal.wait_for("Why was it not done?");
    terminal.send("no wat\u{7f}ter\r");
    terminal.wait_for("NotDone { reason: \"no water\" }");
    terminal.send("p");
    terminal.wait_for("END Ok(())");
    assert_eq!(terminal.exit_code(), 0);
}

#[test]
fn enter_and_escape_answer_nothing() {
    let mut terminal = start("step", 80, &[]);
    terminal.wait_for("Urgent keys: ! The patient");
    terminal.send("\u{1b}");
    terminal.wait_for("Nothing was answered. Keys here: y n");
    terminal.send("\r");
    let screen = terminal.wait_for("Again");
    assert!(!screen.contains("Saved"), "{screen}");
}

#[test]
fn a_key_held_down_ticks_nothing_ahead() {
    let mut terminal = start("step", 80, &[]);
    terminal.wait_for("Urgent keys: ! The patient");
    terminal.send("zyyyyyyyyyyyyyyyyyyyyyyyyyyyyyy");
    let screen = terminal.wait_for("before the step could be read");
    assert!(!screen.contains("Saved"), "{screen}");
    terminal.send("y");
    terminal.wait_for("Saved:");
    terminal.send("p");
    let screen = terminal.wait_for("END Ok(())");
    assert_eq!(screen.matches("Saved:").count(), 1, "{screen}");
    assert_eq!(screen.matches("before the step").count(), 1, "{screen}");
}

#[test]
fn an_urgent_letter_alone_says_what_enter_does() {
    let mut terminal = start("step", 80, &[]);
    terminal.wait_for("Urgent keys: ! The patient");
    terminal.send("t");
    terminal.wait_for("Note, without names:");
    terminal.send("D");
    terminal.wait_for("> D  Enter starts: The tubing has come apart");
    terminal.send("r on call\r");
    terminal.wait_for("text: \"Dr on call\"");
    terminal.send("t");
    terminal.wait_until("a second note", |screen| {
        screen.matches("Note, without names:").count() == 2
    });
    terminal.send("!");
    terminal.wait_for("Jump(ListName(worse))");
}

#[test]
fn ctrl_c_pauses_with_the_cursor_shown() {
    for (part, shown) in [
        ("step", "Urgent keys: !"),
        ("lines", "Urgent keys: !"),
        ("menu", "Urgent keys: !"),
        ("text", "Where?"),
    ] {
        let mut terminal = start(part, 80, &[]);
        terminal.wait_for(shown);
        terminal.send("\u{3}");
        terminal.wait_for("END Err(Interrupted)");
        assert!(!terminal.cursor_is_hidden());
        assert_eq!(terminal.exit_code(), 0);
    }
}

#[test]
fn text_and_confirmation_outside_a_walk() {
    let mut terminal = start("text", 80, &[]);
    terminal.wait_for("Where? (a place label)");
    terminal.send("bad\r");
    terminal.wait_for("Problem: Write a place.");
    terminal.send("bay 4\r");
    terminal.wait_for("TEXT bay 4");
    terminal.wait_for("Close the drain?");
    terminal.send("\u{1b}");
    terminal.send("\r");
    terminal.send("n");
    terminal.send("y");
    let screen = terminal.wait_for("Close the drain? [Y/n]");
    assert!(!screen.contains("CONFIRM"), "{screen}");
    terminal.send("\r");
    terminal.wait_for("CONFIRM true");
}

#[test]
fn the_end_of_the_input_is_no_answer() {
    let mut terminal = start("step", 80, &[]);
    terminal.wait_for("Urgent keys: !");
    terminal.send("\u{4}");
    terminal.wait_for("END Err(EndOfInput)");
}

#[test]
fn a_page_follows_the_width_of_the_terminal() {
    let mut terminal = start("step", 40, &[]);
    let screen = terminal.wait_for("D The tubing has come apart");
    assert!(screen.contains(&"-".repeat(40)), "{screen}");
    assert!(!screen.contains(&"-".repeat(41)), "{screen}");
    terminal.resize(100, 40);
    terminal.send("\r");
    terminal.wait_for(&"-".repeat(100));
}
