//! Lines on a pipe.

use std::io::Cursor;

use super::made::{self, moment};
use crate::names::ListName;
use crate::screen::{
    Item, Menu, MoveClock, Picked, Reply, Screen, Stopped, TextQuestion, Tone, plain,
};
use crate::walk::input::{Answer, Input};

/// Speaks with the form on these lines, and gives what was said too.
fn with<T>(
    lines: &str,
    clock: Option<&MoveClock<'_>>,
    act: impl FnOnce(&mut dyn Screen) -> T,
) -> (T, String) {
    let mut output = Vec::new();
    let input = Cursor::new(lines.to_owned().into_bytes());
    let mut screen = plain(made::setup(), input, &mut output, clock);
    let result = act(screen.as_mut());
    drop(screen);
    (result, String::from_utf8(output).expect("text"))
}

fn done() -> Reply {
    Reply::Input(Input::Answer {
        answer: Answer::Done,
        seen: None,
    })
}

#[test]
fn a_step_is_told_in_lines_and_answered_by_one() {
    let (reply, said) = with("y\n", None, |screen| screen.step(&made::doing(), moment(0)));
    assert_eq!(reply, Ok(done()));
    let expected = "\
The water level has stopped swinging (step 3, no-swing 1.0.0)
Straighten the tubing from chest to drainage unit.
Answers: y done; n not done (write n: words).
Keys: b back; t note (write t: words); w why; l seen earlier (write l: words); p pause; x stop for good (write x: words); ? help.
Urgent keys: ! The patient is getting worse; D The tubing has come apart.
";
    assert_eq!(said, expected);
}

#[test]
fn the_end_of_the_input_answers_nothing() {
    for lines in ["", "n\n"] {
        let (reply, _) = with(lines, None, |screen| screen.step(&made::doing(), moment(0)));
        assert_eq!(reply, Err(Stopped::EndOfInput));
    }
    let (answer, _) = with("", None, |screen| screen.confirm("Really?"));
    assert_eq!(answer, Err(Stopped::EndOfInput));
    let (picked, _) = with("", None, |screen| screen.choose(&Menu::default()));
    assert_eq!(picked, Err(Stopped::EndOfInput));
}

#[test]
fn an_empty_line_answers_nothing() {
    let (reply, _) = with("\ny\n", None, |screen| {
        screen.step(&made::doing(), moment(0))
    });
    assert_eq!(reply, Ok(Reply::Again));
}

#[test]
fn a_line_that_means_nothing_is_told_and_asked_again() {
    let (reply, said) = with("maybe\ny\n", None, |screen| {
        screen.step(&made::doing(), moment(0))
    });
    assert_eq!(reply, Ok(done()));
    assert!(
        said.contains("Problem: Not an answer here. Answers: y (done), n: words (not done)"),
        "{said}"
    );
}

#[test]
fn a_missing_reason_is_asked_for() {
    let not_done = |reason: &str| {
        Ok(Reply::Input(Input::Answer {
            answer: Answer::NotDone {
                reason: reason.to_owned(),
            },
            seen: None,
        }))
    };
    let step = |lines| with(lines, None, |screen| screen.step(&made::doing(), moment(0)));
    let (reply, said) = step("n\nno water\n");
    assert_eq!(reply, not_done("no water"));
    assert!(said.contains("Why was it not done?\n"), "{said}");
    assert_eq!(step("n\n\n").0, Ok(Reply::Again));
    let jump = Input::Jump(ListName::new("apart").expect("a name"));
    assert_eq!(step("n\nD\n").0, Ok(Reply::Input(jump)));
    assert_eq!(step("n\nDr took it away\n").0, not_done("Dr took it away"));
}

#[test]
fn words_that_may_name_somebody_are_pointed_out_and_can_be_kept() {
    let step = |lines| with(lines, None, |screen| screen.step(&made::doing(), moment(0)));
    let (reply, said) = step("t: Mrs X is in pain\ny\n");
    assert!(
        matches!(reply, Ok(Reply::Input(Input::Note { .. }))),
        "{reply:?}"
    );
    assert!(said.contains("Caution: this may name somebody"), "{said}");
    assert_eq!(step("t: Mrs X is in pain\nn\n").0, Ok(Reply::Again));
}

#[test]
fn stopping_for_good_is_asked_twice() {
    let step = |lines| with(lines, None, |screen| screen.step(&made::doing(), moment(0)));
    assert!(matches!(
        step("x: moved\nyes\n").0,
        Ok(Reply::Input(Input::GiveUp { .. }))
    ));
    assert_eq!(step("x: moved\nno\n").0, Ok(Reply::Again));
    assert_eq!(step("x: moved\n").0, Err(Stopped::EndOfInput));
}

#[test]
fn the_clock_moves_in_a_rehearsal_only() {
    let moved = std::cell::Cell::new(0);
    let clock = |step: crate::units::Span| moved.set(moved.get() + step.0);
    for (line, seconds) in [("+5m", 300), ("+90 s", 90), ("+2h", 7200)] {
        moved.set(0);
        let (reply, _) = with(&format!("{line}\ny\n"), Some(&clock), |screen| {
            screen.step(&made::waiting(), moment(0))
        });
        assert_eq!((reply, moved.get()), (Ok(Reply::Again), seconds), "{line}");
    }
    let (reply, said) = with("+5m\ny\n", None, |screen| {
        screen.step(&made::doing(), moment(0))
    });
    assert_eq!(reply, Ok(done()));
    assert!(
        said.contains("The clock can be moved in a rehearsal only."),
        "{said}"
    );
}

#[test]
fn a_menu_is_chosen_from_by_key_number_words_and_urgent_key() {
    let menu = Menu {
        title: "Start".to_owned(),
        items: vec![Item::keyed('f', "Find"), Item::numbered("Prepare")],
        urgent: made::urgent(),
        leave: Some("Leave".to_owned()),
        ..Menu::default()
    };
    let choose = |lines: &str| with(lines, None, |screen| screen.choose(&menu)).0;
    assert_eq!(choose("f\n"), Ok(Picked::Item(0)));
    assert_eq!(choose("1\n"), Ok(Picked::Item(1)));
    assert_eq!(choose("prepare\n"), Ok(Picked::Item(1)));
    assert_eq!(choose("zz\n\nq\n"), Ok(Picked::Leave));
    assert_eq!(choose("!\n"), Ok(Picked::Urgent(made::list("worse"))));
}

#[test]
fn a_text_passes_its_check_or_stays_open_by_a_hyphen() {
    let check = |text: &str| match text {
        "bay 4" => Ok(()),
        _ => Err("write a place".to_owned()),
    };
    let ask = |lines: &str, may_be_open| {
        with(lines, None, |screen| {
            screen.text(&TextQuestion {
                question: "Where?",
                hint: Some("a place label"),
                may_be_open,
                check: &check,
            })
        })
    };
    let (text, said) = ask("\nward\n bay 4 \n", false);
    assert_eq!(text.as_deref(), Ok("bay 4"));
    assert!(said.contains("Where? (a place label)\n"), "{said}");
    assert!(said.contains("Problem: Write a place."), "{said}");
    assert_eq!(ask("-\n", true).0.as_deref(), Ok(""));
    assert_eq!(ask("-\n", false).0, Err(Stopped::EndOfInput));
    assert_eq!(
        ask("!\n", true).0,
        Err(Stopped::Urgent(made::list("worse")))
    );
}

#[test]
fn yes_and_no_are_asked_until_they_are_there() {
    let confirm = |lines: &str| with(lines, None, |screen| screen.confirm("Close it?")).0;
    assert_eq!(confirm("\nmaybe\nyes\n"), Ok(true));
    assert_eq!(confirm("N\n"), Ok(false));
}

#[test]
fn tones_have_words_and_layout_is_kept() {
    let ((), said) = with("", None, |screen| {
        screen.say(Tone::Caution, "two\nlines");
        screen.saved("done");
        screen.excerpt("error\u{1b}[31m\n  | x: y\n  |    ^");
        screen.refused("not yet").expect("only told");
    });
    assert_eq!(
        said,
        "Caution: two\nlines\nSaved: done\nerror\n  | x: y\n  |    ^\nProblem: Not yet.\n"
    );
}

#[test]
fn bytes_that_are_no_text_and_a_mark_at_the_start_do_no_harm() {
    let mut output = Vec::new();
    let input = Cursor::new(b"\xef\xbb\xbf\xff\xfe\r\ny\r\n".to_vec());
    let mut screen = plain(made::setup(), input, &mut output, None);
    assert_eq!(screen.step(&made::doing(), moment(0)), Ok(done()));
}
