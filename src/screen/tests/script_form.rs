//! Lines from a file of answers.

use super::made::{self, moment};
use crate::screen::{BadLine, Misread, Reply, Screen, Stopped, TextQuestion, scripted};
use crate::units::Unit;
use crate::walk::input::{Answer, Input};
use crate::walk::view::View;

fn with<T>(answers: &str, act: impl FnOnce(&mut dyn Screen) -> T) -> (T, String) {
    let mut output = Vec::new();
    let mut screen = scripted(made::setup(), "night.txt", answers, &mut output, None);
    let result = act(screen.as_mut());
    drop(screen);
    (result, String::from_utf8(output).expect("text"))
}

fn step(answers: &str, view: &View) -> Result<Reply, Stopped> {
    with(answers, |screen| screen.step(view, moment(0))).0
}

fn bad_line(stopped: Stopped) -> BadLine {
    match stopped {
        Stopped::BadLine(bad) => bad,
        other => panic!("not a bad line: {other:?}"),
    }
}

#[test]
fn comments_and_empty_lines_hold_no_answer() {
    let (reply, said) = with("\u{feff}# first\r\n\r\n  tubing = y  \r\n", |screen| {
        let reply = screen.step(&made::doing(), moment(0));
        screen.finish().expect("all used");
        reply
    });
    assert!(matches!(reply, Ok(Reply::Input(_))), "{reply:?}");
    assert!(said.contains("\n> tubing = y\n"), "{said}");
}

#[test]
fn answers_that_run_out_are_no_answer() {
    let stopped = step("# nothing\n", &made::doing()).expect_err("no answers");
    let words = stopped.to_string();
    assert!(
        matches!(stopped, Stopped::OutOfAnswers { lines: 1, .. }),
        "{words}"
    );
    assert!(words.contains("night.txt"), "{words}");
    assert!(
        words.contains("no-swing/tubing: Straighten the tubing"),
        "{words}"
    );
}

#[test]
fn an_answer_too_many_is_an_error() {
    let (end, _) = with("y\n\ny\n", |screen| {
        screen.step(&made::doing(), moment(0)).expect("the first");
        screen.finish()
    });
    let bad = bad_line(end.expect_err("one too many"));
    assert_eq!((bad.line, bad.problem), (3, Misread::Surplus));
}

#[test]
fn a_line_that_cannot_stand_names_its_number_and_what_is_allowed() {
    let table = [
        (
            "\nmaybe",
            "night.txt, line 2: \"maybe\": not an answer here. Answers: y (done), n: words (not done)",
        ),
        (
            "look = y",
            "night.txt, line 1: \"look = y\": it is meant for the step look, but the step shown is no-swing/tubing",
        ),
        (
            "n",
            "night.txt, line 1: \"n\": it needs words after it, like \"n: your words\"",
        ),
        (
            "l",
            "night.txt, line 1: \"l\": it needs words after it, like \"@04:10 y\"",
        ),
        (
            "+5m",
            "night.txt, line 1: \"+5m\": the clock can be moved in a rehearsal only",
        ),
        (
            "c1 next",
            "night.txt, line 1: \"c1 next\": there is no open call 1",
        ),
        (
            "close x: y",
            "night.txt, line 1: \"close x: y\": \"x\" is not open. Open: nothing",
        ),
    ];
    for (answers, expected) in table {
        let words = step(answers, &made::doing())
            .expect_err("cannot stand")
            .to_string();
        assert!(words.starts_with(expected), "{words}");
    }
}

#[test]
fn what_the_walk_refuses_is_a_bad_line() {
    let (refused, _) = with("# late\ny\n", |screen| {
        screen.step(&made::waiting(), moment(0)).expect("a reply");
        screen.refused("not yet: watch until 04:05")
    });
    let bad = bad_line(refused.expect_err("refused"));
    assert_eq!((bad.line, bad.text.as_str()), (2, "y"));
}

#[test]
fn a_number_that_is_not_plausible_stands_twice_in_the_file() {
    let view = made::measuring(Unit::Cm, 0, 30);
    assert!(matches!(
        step("250 cm\n250 cm\n", &view),
        Ok(Reply::Input(_))
    ));
    assert!(matches!(
        step("250 cm\n", &view),
        Err(Stopped::OutOfAnswers { .. })
    ));
    assert!(matches!(
        step("250 cm\nn\n", &view),
        Err(Stopped::BadLine(_))
    ));
}

#[test]
fn words_that_may_name_somebody_are_told_but_not_asked_about() {
    let (reply, said) = with("n: Mrs X has it\n", |screen| {
        screen.step(&made::doing(), moment(0))
    });
    assert!(
        matches!(
            reply,
            Ok(Reply::Input(Input::Answer {
                answer: Answer::NotDone { .. },
                ..
            }))
        ),
        "{reply:?}"
    );
    assert!(said.contains("Caution: this may name somebody"), "{said}");
}

#[test]
fn questions_outside_a_walk_are_answered_by_lines_too() {
    let ((text, yes), _) = with("bay 4\nmaybe\n", |screen| {
        let text = screen.text(&TextQuestion {
            question: "Where?",
            hint: None,
            may_be_open: true,
            check: &|_| Ok(()),
        });
        (text, screen.confirm("Sure?"))
    });
    assert_eq!(text.as_deref(), Ok("bay 4"));
    assert_eq!(bad_line(yes.expect_err("no yes")).line, 2);
}
