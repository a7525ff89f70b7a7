//! Single keys, on a made device.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::rc::Rc;
use std::time::Duration;

use console::Key;

use super::made::{self, moment};
use crate::names::DutyName;
use crate::screen::device::{Device, Pressed};
use crate::screen::terminal::Terminal;
use crate::screen::{Item, Menu, Picked, Reply, Screen, Stopped, TextQuestion};
use crate::units::{Amount, Number, Unit};
use crate::walk::input::{Answer, CallNews, Input};
use crate::walk::view::{Show, View};

/// Gives the keys it was made with, and keeps what is drawn.
struct Made {
    keys: VecDeque<Key>,
    texts: VecDeque<String>,
    after: Duration,
    drawn: Rc<RefCell<String>>,
    waited: Rc<RefCell<Vec<Duration>>>,
}

impl Device for Made {
    fn width(&self) -> usize {
        80
    }

    fn put(&mut self, text: &str) {
        self.drawn.borrow_mut().push_str(text);
    }

    fn key_within(&mut self, within: Duration) -> Result<Option<Pressed>, Stopped> {
        let after = std::mem::replace(&mut self.after, Duration::from_secs(1));
        self.waited.borrow_mut().push(within);
        match self.keys.pop_front() {
            Some(Key::Unknown) => Ok(None),
            Some(key) => Ok(Some(Pressed { key, after })),
            None => Err(Stopped::EndOfInput),
        }
    }

    fn text(&mut self, prompt: &str) -> Result<String, Stopped> {
        self.put(&format!("{prompt}:\n"));
        self.texts.pop_front().ok_or(Stopped::EndOfInput)
    }

    fn confirm(&mut self, _: &str) -> Result<bool, Stopped> {
        let text = self.texts.pop_front().ok_or(Stopped::EndOfInput)?;
        Ok(text == "y")
    }
}

/// "." is no key in time, "\n" is Enter, "\u{1b}" is Escape, "\u{8}" is Backspace.
fn keys(text: &str) -> VecDeque<Key> {
    text.chars()
        .map(|c| match c {
            '.' => Key::Unknown,
            '\n' => Key::Enter,
            '\u{1b}' => Key::Escape,
            '\u{8}' => Key::Backspace,
            c => Key::Char(c),
        })
        .collect()
}

fn with<T>(device: Made, act: impl FnOnce(&mut dyn Screen) -> T) -> (T, String) {
    let drawn = Rc::clone(&device.drawn);
    let mut screen = Terminal::on(device, made::setup());
    let result = act(&mut screen);
    let drawn = drawn.borrow().clone();
    (result, drawn)
}

fn device(pressed: &str) -> Made {
    Made {
        keys: keys(pressed),
        texts: VecDeque::new(),
        after: Duration::from_secs(1),
        drawn: Rc::default(),
        waited: Rc::default(),
    }
}

fn press(view: &View, pressed: &str) -> (Result<Reply, Stopped>, String) {
    with(device(pressed), |screen| screen.step(view, moment(0)))
}

fn input(view: &View, pressed: &str) -> Input {
    match press(view, pressed).0 {
        Ok(Reply::Input(input)) => input,
        other => panic!("{pressed:?} gave {other:?}"),
    }
}

fn answer(view: &View, pressed: &str) -> Answer {
    match input(view, pressed) {
        Input::Answer { answer, .. } => answer,
        other => panic!("{pressed:?} gave {other:?}"),
    }
}

fn words(text: &str) -> String {
    text.to_owned()
}

#[test]
fn one_key_answers() {
    assert_eq!(answer(&made::doing(), "y"), Answer::Done);
    assert_eq!(answer(&made::checking(), "y"), Answer::AsExpected);
    assert_eq!(
        answer(&made::asking(), "2"),
        Answer::Choice(words("no worse"))
    );
    assert_eq!(
        answer(&made::asking(), "u"),
        Answer::Choice(words("not sure"))
    );
    assert_eq!(answer(&made::waiting(), "y"), Answer::Elapsed);
    assert_eq!(input(&made::doing(), "b"), Input::Back);
    assert_eq!(input(&made::doing(), "p"), Input::Pause);
    assert_eq!(input(&made::doing(), "!"), Input::Jump(made::list("worse")));
}

#[test]
fn what_is_no_answer_answers_nothing() {
    for pressed in ["\u{1b}", "z", "Y", "5", "\t", "\u{1b}\u{1b}z"] {
        let (reply, drawn) = press(&made::doing(), pressed);
        assert_eq!(reply, Err(Stopped::EndOfInput), "{pressed:?}");
        assert!(
            drawn.contains("Nothing was answered. Keys here: y n b t w l p x ? ! D"),
            "{drawn}"
        );
    }
    assert_eq!(press(&made::doing(), "\n").0, Ok(Reply::Again));
}

#[test]
fn an_answer_key_that_comes_at_once_is_not_taken() {
    for (pressed, taken) in [
        ("y", false),
        ("b", false),
        ("n", false),
        ("!", true),
        ("p", true),
    ] {
        let mut quick = device(pressed);
        quick.after = Duration::from_millis(5);
        let (reply, drawn) = with(quick, |screen| screen.step(&made::doing(), moment(0)));
        assert_eq!(reply.is_ok(), taken, "{pressed}");
        assert_eq!(!taken, drawn.contains("before the step could be read"));
    }
}

#[test]
fn a_reason_is_asked_for_and_can_be_left() {
    let not_done = |reason| Answer::NotDone {
        reason: words(reason),
    };
    let view = made::doing();
    assert_eq!(answer(&view, "nno wx\u{8}ater\n"), not_done("no water"));
    assert_eq!(answer(&view, "nDressing wet!\n"), not_done("Dressing wet!"));
    assert_eq!(press(&view, "nx\u{1b}").0, Ok(Reply::Again));
    assert_eq!(press(&view, "n\n").0, Ok(Reply::Again));
    assert_eq!(press(&view, "n  \n").0, Ok(Reply::Again));
    assert_eq!(
        answer(&made::checking(), "n\n"),
        Answer::NotAsExpected { found: words("") }
    );
    assert_eq!(press(&made::checking(), "n\u{1b}").0, Ok(Reply::Again));
}

#[test]
fn urgent_keys_work_while_words_are_written() {
    let view = made::doing();
    assert_eq!(input(&view, "n!"), Input::Jump(made::list("worse")));
    assert_eq!(input(&view, "nD\n"), Input::Jump(made::list("apart")));
    assert_eq!(input(&view, "nx\u{8}!"), Input::Jump(made::list("worse")));
    let (_, drawn) = press(&view, "nD");
    assert!(
        drawn.contains("> D  Enter starts: The tubing has come apart"),
        "{drawn}"
    );
    let measuring = made::measuring(Unit::Cm, 0, 30);
    assert_eq!(input(&measuring, "!"), Input::Jump(made::list("worse")));
    assert_eq!(
        input(&measuring, "2\u{8}!"),
        Input::Jump(made::list("worse"))
    );
    let crowded = made::crowded();
    assert_eq!(input(&crowded, "c!"), Input::Jump(made::list("worse")));
    assert_eq!(input(&crowded, "dD"), Input::Jump(made::list("apart")));
    assert_eq!(input(&view, "xmoved\n!"), Input::Jump(made::list("worse")));
}

#[test]
fn a_number_is_written_with_its_unit() {
    let view = made::measuring(Unit::CmH2O, 0, 60);
    let value = |milli, unit| Answer::Value(Amount::new(Number::from_milli(milli), unit));
    assert_eq!(answer(&view, "20 cmH2O\n"), value(20_000, Unit::CmH2O));
    let (reply, drawn) = press(&view, "20\n");
    assert_eq!(reply, Err(Stopped::EndOfInput));
    assert!(drawn.contains("has no unit"), "{drawn}");
    let (reply, drawn) = press(&view, "2 kPa\n");
    assert!(matches!(reply, Ok(Reply::Input(_))), "{reply:?}");
    assert!(drawn.contains("2 kPa is 20.394 cmH2O."), "{drawn}");
    let (reply, drawn) = press(&view, "200 cmH2O\n200 cmH2O\n");
    assert!(matches!(reply, Ok(Reply::Input(_))), "{reply:?}");
    assert!(drawn.contains("outside 0 to 60 cmH2O"), "{drawn}");
    assert_eq!(
        answer(&view, "ugauge fogged\n"),
        Answer::NotObtained {
            reason: words("gauge fogged")
        }
    );
}

#[test]
fn more_than_nine_answers_are_chosen_by_number_and_enter() {
    let mut view = made::asking();
    if let Show::Ask { answers, .. } = &mut view.show {
        let first = answers[0].clone();
        for number in 4..=12 {
            let mut choice = first.clone();
            choice.words = format!("answer {number}");
            answers.push(choice);
        }
    }
    assert_eq!(answer(&view, "12\n"), Answer::Choice(words("answer 12")));
    assert_eq!(answer(&view, "1\n"), Answer::Choice(words("worse")));
}

#[test]
fn an_earlier_time_is_asked_for_and_shown() {
    let mut later = device("l04:1x\n\u{8}0\ny");
    later.after = Duration::from_secs(1);
    let (reply, drawn) = with(later, |screen| screen.step(&made::doing(), moment(20)));
    assert_eq!(
        reply,
        Ok(Reply::Input(Input::Answer {
            answer: Answer::Done,
            seen: Some(moment(10))
        }))
    );
    assert!(drawn.contains("\"04:1x\" is not a time"), "{drawn}");
    assert!(
        drawn.contains("The next answer or note counts as seen at 04:10."),
        "{drawn}"
    );
}

#[test]
fn calls_and_duties_take_news() {
    let view = made::crowded();
    let call = |call, news| Input::Call { call, news };
    let who = words("Dr on call");
    assert_eq!(
        input(&view, "c2aDr on call\n"),
        call(2, CallNews::Answered { who: who.clone() })
    );
    assert_eq!(
        input(&view, "c1hDr on call\n"),
        call(1, CallNews::Arrived { who })
    );
    assert_eq!(input(&view, "c1n"), call(1, CallNews::NextCalled));
    let order = words("suction off");
    let mut one = view.clone();
    one.calls.truncate(1);
    assert_eq!(
        input(&one, "cosuction off\n"),
        call(1, CallNews::Ordered { order })
    );
    assert_eq!(
        input(&view, "d1taken off\n"),
        Input::CloseDuty {
            duty: DutyName::new("clamp-on").expect("a name"),
            how: words("taken off")
        }
    );
    assert_eq!(press(&view, "c\u{1b}").0, Ok(Reply::Again));
    assert_eq!(press(&view, "d\n").0, Ok(Reply::Again));
    assert!(
        press(&made::doing(), "c")
            .1
            .contains("No call for help is open.")
    );
}

#[test]
fn stopping_for_good_needs_a_yes_with_enter() {
    let view = made::doing();
    assert_eq!(
        input(&view, "xmoved\nn\u{8}y\n"),
        Input::GiveUp {
            reason: words("moved")
        }
    );
    assert_eq!(press(&view, "xmoved\nn\n").0, Ok(Reply::Again));
    assert_eq!(press(&view, "xmoved\n\u{1b}").0, Ok(Reply::Again));
    assert_eq!(press(&view, "xmoved\n\n").0, Err(Stopped::EndOfInput));
}

#[test]
fn words_that_may_name_somebody_can_be_written_anew() {
    let text = |pressed| match input(&made::doing(), pressed) {
        Input::Note { text, .. } => text,
        other => panic!("{other:?}"),
    };
    assert_eq!(text("tMrs X\ny\n"), "Mrs X");
    assert_eq!(text("tMrs\nn\n\u{15}patient\n"), "patient");
}

#[test]
fn nothing_is_called_saved_before_the_caller_says_so() {
    let (_, drawn) = press(&made::doing(), "y");
    assert!(drawn.ends_with("> y done\n"), "{drawn}");
    assert!(!drawn.contains("Saved"), "{drawn}");
    let ((), drawn) = with(device(""), |screen| screen.saved("done"));
    assert_eq!(drawn, "Saved: done\n");
}

#[test]
fn a_paused_walk_is_resumed_or_left() {
    assert_eq!(input(&made::paused(), "r"), Input::Resume);
    assert_eq!(press(&made::paused(), "q").0, Ok(Reply::Leave));
    assert_eq!(press(&made::over(), "q").0, Ok(Reply::Leave));
    assert_eq!(press(&made::over(), "y").0, Err(Stopped::EndOfInput));
}

#[test]
fn a_menu_takes_one_key() {
    let mut menu = Menu {
        title: words("Start"),
        items: vec![Item::keyed('f', "Find"), Item::numbered("Prepare")],
        urgent: made::urgent(),
        leave: Some(words("Leave")),
        ..Menu::default()
    };
    let choose = |menu: &Menu, pressed| with(device(pressed), |screen| screen.choose(menu)).0;
    assert_eq!(choose(&menu, "\n\u{1b}z1"), Ok(Picked::Item(1)));
    assert_eq!(choose(&menu, "f"), Ok(Picked::Item(0)));
    assert_eq!(choose(&menu, "D"), Ok(Picked::Urgent(made::list("apart"))));
    assert_eq!(choose(&menu, "q"), Ok(Picked::Leave));
    // At a menu that does not show them the urgent keys act all the same, quickly pressed or not.
    menu.urgent.clear();
    let urgent = Err(Stopped::Urgent(made::list("apart")));
    assert_eq!(choose(&menu, "D"), urgent);
    let mut quick = device("D");
    quick.after = Duration::from_millis(5);
    assert_eq!(with(quick, |screen| screen.choose(&menu)).0, urgent);
    for number in 2..=11 {
        menu.items.push(Item::numbered(&format!("item {number}")));
    }
    assert_eq!(choose(&menu, "11\n"), Ok(Picked::Item(11)));
    assert_eq!(choose(&menu, "1\u{1b}f"), Ok(Picked::Item(0)));
    assert_eq!(choose(&menu, "1\u{8}D\n"), urgent, "at a number's prompt");
    menu.leave = None;
    assert_eq!(choose(&menu, "q"), Err(Stopped::EndOfInput));
}

#[test]
fn texts_outside_a_walk_know_the_hyphen_the_urgent_keys_and_names() {
    let ask = |typed: &[&str]| {
        let mut device = device("");
        device.texts = typed.iter().map(|text| words(text)).collect();
        with(device, |screen| {
            screen.text(&TextQuestion {
                question: "Where?",
                hint: None,
                may_be_open: true,
                check: &|text| match text {
                    "bad" => Err(words("no")),
                    _ => Ok(()),
                },
            })
        })
        .0
    };
    assert_eq!(ask(&["bad", "bay 4"]), Ok(words("bay 4")));
    assert_eq!(ask(&["-"]), Ok(String::new()));
    assert_eq!(ask(&["!"]), Err(Stopped::Urgent(made::list("worse"))));
    assert_eq!(ask(&["Mrs X", "n", "bay 4"]), Ok(words("bay 4")));
    assert_eq!(ask(&["Mrs X", "y"]), Ok(words("Mrs X")));
}

#[test]
fn a_long_question_is_broken_between_words_and_leaves_room_for_the_answer() {
    let long = "Which words does the label on the tubing bear, and which the band at the wrist, letter \
                by letter as they stand there?";
    let mut device = device("");
    device.texts = VecDeque::from([words("bay 4")]);
    let (text, drawn) = with(device, |screen| {
        screen.text(&TextQuestion {
            question: long,
            hint: None,
            may_be_open: false,
            check: &|_| Ok(()),
        })
    });
    assert_eq!(text, Ok(words("bay 4")));
    assert_eq!(
        drawn.split_whitespace().collect::<Vec<_>>().join(" "),
        format!("{long}:")
    );
    let lines: Vec<&str> = drawn.lines().collect();
    assert!(lines.len() == 2, "{drawn}");
    assert!(lines.iter().all(|line| line.len() <= 69), "{drawn}");
}

#[test]
fn no_form_without_a_terminal() {
    use std::io::IsTerminal;
    if !std::io::stdout().is_terminal() {
        assert!(matches!(
            crate::screen::terminal(made::setup()).err(),
            Some(Stopped::Terminal { .. })
        ));
    }
}

#[test]
fn what_falls_due_shows_by_itself() {
    let mut view = made::doing();
    view.calls = vec![made::call(1, Some(moment(5)))];
    let waiting = device("..y");
    let waited = Rc::clone(&waiting.waited);
    let ((), drawn) = with(waiting, |screen| {
        assert_eq!(screen.step(&view, moment(0)), Ok(Reply::Again));
        assert_eq!(screen.step(&view, moment(4)), Ok(Reply::Again), "not yet");
        let reply = screen.step(&view, moment(6));
        assert!(matches!(reply, Ok(Reply::Input(_))), "{reply:?}");
    });
    assert_eq!(drawn.matches("no answer for").count(), 1, "{drawn}");
    assert_eq!(
        drawn.matches("no answer yet").count(),
        1,
        "drawn once: {drawn}"
    );
    let waited = waited.borrow();
    assert!(
        waited[..2].iter().all(|within| within.as_secs() <= 20),
        "{waited:?}"
    );
    assert!(
        waited[2].as_secs() > 24 * 3600,
        "nothing more falls due: {waited:?}"
    );
}

#[test]
fn a_menu_is_put_together_anew_and_drawn_again_only_when_it_says_something_else() {
    let menu = |line: &str| Menu {
        title: "tubeside".to_owned(),
        lines: vec![(crate::screen::Tone::Overdue, line.to_owned())],
        items: vec![Item::keyed('p', "Get ready")],
        look_again: Some(Duration::from_secs(30)),
        leave: Some("Leave".to_owned()),
        ..Menu::default()
    };
    let ((), drawn) = with(device("...p"), |screen| {
        assert_eq!(screen.choose(&menu("due 04:10")), Ok(Picked::Again));
        assert_eq!(screen.choose(&menu("due 04:10")), Ok(Picked::Again));
        assert_eq!(screen.choose(&menu("overdue")), Ok(Picked::Again));
        assert_eq!(screen.choose(&menu("overdue")), Ok(Picked::Item(0)));
    });
    assert_eq!(drawn.matches("Get ready").count(), 2, "{drawn}");
}
