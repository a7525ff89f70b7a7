//! What lines mean, as tables.

use proptest::prelude::*;

use super::made::{self, moment};
use crate::names::DutyName;
use crate::screen::amount::AmountMisread;
use crate::screen::line::{Dialogue, Doubt, Heard};
use crate::screen::stopped::Misread;
use crate::screen::ways::{CallWord, Need, Topic};
use crate::units::{Amount, Number, Unit};
use crate::walk::input::{Answer, CallNews, Input};
use crate::walk::view::{Show, View};

fn hear(view: &View, line: &str) -> Result<Heard, Misread> {
    let mut dialogue = Dialogue::default();
    dialogue.stand_at(view);
    dialogue.hear(view, line, &made::read_moment)
}

fn answer(answer: Answer) -> Heard {
    Heard::Input(Input::Answer { answer, seen: None })
}

fn note(text: &str) -> Heard {
    Heard::Input(Input::Note {
        text: text.to_owned(),
        seen: None,
    })
}

fn choice(words: &str) -> Heard {
    answer(Answer::Choice(words.to_owned()))
}

fn reason(text: &str) -> String {
    text.to_owned()
}

#[test]
fn answers_by_key_and_by_words() {
    let late = |line: &str| Heard::Input(Input::Jump(made::list(line)));
    let table: Vec<(View, &str, Heard)> = vec![
        (made::doing(), "y", answer(Answer::Done)),
        (made::doing(), " Done ", answer(Answer::Done)),
        (made::doing(), "n", Heard::Need(Need::NotDone)),
        (made::doing(), "not done", Heard::Need(Need::NotDone)),
        (
            made::doing(),
            "n: no sterile water: none at all",
            answer(Answer::NotDone {
                reason: reason("no sterile water: none at all"),
            }),
        ),
        (made::checking(), "as expected", answer(Answer::AsExpected)),
        (
            made::checking(),
            "not as expected: still",
            answer(Answer::NotAsExpected {
                found: reason("still"),
            }),
        ),
        (
            made::checking(),
            "u: dressing hides it",
            answer(Answer::CouldNotCheck {
                reason: reason("dressing hides it"),
            }),
        ),
        (made::asking(), "1", choice("worse")),
        (made::asking(), "No Worse", choice("no worse")),
        (made::asking(), "u", choice("not sure")),
        (made::waiting(), "y", answer(Answer::Elapsed)),
        (
            made::waiting(),
            "n: called away",
            answer(Answer::Missed {
                reason: reason("called away"),
            }),
        ),
        (made::ending(), "read", answer(Answer::Read)),
        (made::repeating(), "y", answer(Answer::StillSo)),
        (made::repeating(), "no longer so", answer(Answer::NoLonger)),
        (made::paused(), "r", Heard::Input(Input::Resume)),
        (made::paused(), "q", Heard::Leave),
        (made::over(), "q", Heard::Leave),
        (made::first_screen(), "y", answer(Answer::Done)),
        (made::doing(), "!", late("worse")),
        (made::doing(), "D", late("apart")),
        (made::paused(), "D", late("apart")),
    ];
    for (view, line, expected) in table {
        assert_eq!(hear(&view, line), Ok(expected), "{line:?}");
    }
}

#[test]
fn everything_else_that_a_line_can_mean() {
    let table: Vec<(&str, Heard)> = vec![
        ("", Heard::Nothing),
        ("   ", Heard::Nothing),
        ("b", Heard::Input(Input::Back)),
        ("p", Heard::Input(Input::Pause)),
        ("q", Heard::Input(Input::Pause)),
        ("t", Heard::Need(Need::Note)),
        ("t: level = 50 mL", note("level = 50 mL")),
        ("w", Heard::Tell(Topic::Why)),
        ("c", Heard::Tell(Topic::Calls)),
        ("d", Heard::Tell(Topic::Duties)),
        ("?", Heard::Tell(Topic::Keys)),
        ("l", Heard::Need(Need::When)),
        ("l: 04:10", Heard::Late(moment(10))),
        ("@04:10", Heard::Late(moment(10))),
        ("x", Heard::Need(Need::Stop)),
        (
            "x: patient moved",
            Heard::Input(Input::GiveUp {
                reason: reason("patient moved"),
            }),
        ),
        ("tubing = y", answer(Answer::Done)),
        ("no-swing/tubing=y", answer(Answer::Done)),
    ];
    for (line, expected) in table {
        assert_eq!(hear(&made::doing(), line), Ok(expected), "{line:?}");
    }
}

#[test]
fn news_of_calls_and_duties() {
    let view = made::crowded();
    let call = |news: CallNews| Heard::Input(Input::Call { call: 2, news });
    let who = || reason("Dr on call");
    let duty = DutyName::new("clamp-on").expect("a name");
    let closed = |how: &str| {
        Heard::Input(Input::CloseDuty {
            duty: duty.clone(),
            how: reason(how),
        })
    };
    let table: Vec<(&str, Heard)> = vec![
        (
            "c2 answered Dr on call",
            call(CallNews::Answered { who: who() }),
        ),
        (
            "c2 arrived: Dr on call",
            call(CallNews::Arrived { who: who() }),
        ),
        (
            "c2 ordered : suction off",
            call(CallNews::Ordered {
                order: reason("suction off"),
            }),
        ),
        ("c2 next", call(CallNews::NextCalled)),
        (
            "c2 answered",
            Heard::Need(Need::Call(2, CallWord::Answered)),
        ),
        ("close clamp-on: taken off", closed("taken off")),
        (
            "close 1: handed to day shift",
            closed("handed to day shift"),
        ),
        ("close clamp-on", Heard::Need(Need::Duty(duty.clone()))),
    ];
    for (line, expected) in table {
        assert_eq!(hear(&view, line), Ok(expected), "{line:?}");
    }
    assert!(matches!(
        hear(&view, "c3 next"),
        Err(Misread::NoSuchCall { .. })
    ));
    assert!(matches!(
        hear(&view, "close suction-off: x"),
        Err(Misread::NoSuchDuty { .. })
    ));
    assert!(matches!(
        hear(&view, "c2 shouted: x"),
        Err(Misread::Unknown { .. })
    ));
}

#[test]
fn what_cannot_stand_says_why() {
    let unknown =
        |view: &View, line: &str| matches!(hear(view, line), Err(Misread::Unknown { .. }));
    assert!(unknown(&made::doing(), "Y"));
    assert!(unknown(&made::doing(), "tubing ="));
    assert!(unknown(&made::doing(), "u"));
    assert!(unknown(&made::doing(), "2.5 cm"));
    assert!(unknown(&made::asking(), "4"));
    assert!(unknown(&made::asking(), "y"));
    assert!(unknown(&made::paused(), "y"));
    assert!(unknown(&made::over(), "y"));
    assert!(matches!(
        hear(&made::doing(), "look-again = y"),
        Err(Misread::OtherStep { .. })
    ));
    assert!(matches!(
        hear(&made::doing(), "other/tubing = y"),
        Err(Misread::OtherStep { .. })
    ));
    assert!(matches!(
        hear(&made::asking(), "2: words"),
        Err(Misread::TakesNoWords { .. })
    ));
    assert!(matches!(
        hear(&made::doing(), "@25:99 y"),
        Err(Misread::Time { .. })
    ));
    let mut first = made::doing();
    first.can_go_back = false;
    assert!(unknown(&first, "b"));
}

#[test]
fn an_earlier_time_goes_with_answers_and_notes_only() {
    let seen = Some(moment(10));
    let done = Input::Answer {
        answer: Answer::Done,
        seen,
    };
    for line in ["@04:10 y", "@2026-03-02 04:10 done", "tubing = @04:10 y"] {
        assert_eq!(
            hear(&made::doing(), line),
            Ok(Heard::Input(done.clone())),
            "{line}"
        );
    }
    assert_eq!(
        hear(&made::doing(), "@10 min ago  y"),
        Ok(Heard::Input(done.clone()))
    );
    let text = reason("felt crackling");
    assert_eq!(
        hear(&made::doing(), "@04:10 t: felt crackling"),
        Ok(Heard::Input(Input::Note { text, seen }))
    );
    for line in ["@04:10 p", "@04:10 b", "@04:10 w", "@04:10 x: moved"] {
        assert!(
            matches!(hear(&made::doing(), line), Err(Misread::Refused { .. })),
            "{line}"
        );
    }
    assert!(matches!(
        hear(&made::doing(), "@04:10 D"),
        Ok(Heard::Input(Input::Jump(_)))
    ));
}

#[test]
fn the_earlier_time_counts_once_and_for_this_step_only() {
    let view = made::doing();
    let mut dialogue = Dialogue::default();
    dialogue.stand_at(&view);
    let mut say = |line: &str| dialogue.hear(&view, line, &made::read_moment);
    assert_eq!(say("@04:10"), Ok(Heard::Late(moment(10))));
    assert!(matches!(
        say("t: x"),
        Ok(Heard::Input(Input::Note { seen: Some(_), .. }))
    ));
    assert!(matches!(
        say("t: x"),
        Ok(Heard::Input(Input::Note { seen: None, .. }))
    ));
    say("@04:10").expect("a time");
    let mut next = view.clone();
    next.number += 1;
    dialogue.stand_at(&next);
    assert_eq!(dialogue.late(), None);
}

#[test]
fn numbers_have_their_unit() {
    let cm = made::measuring(Unit::Cm, 0, 30);
    let value = |milli, unit| answer(Answer::Value(Amount::new(Number::from_milli(milli), unit)));
    assert_eq!(hear(&cm, "2.5 cm"), Ok(value(2500, Unit::Cm)));
    assert_eq!(hear(&cm, "2,5"), Ok(value(2500, Unit::Cm)));
    assert!(matches!(
        hear(&cm, "25 mm"),
        Ok(Heard::Converted(_, typed, judged))
            if typed.unit == Unit::Mm && judged == Amount::new(Number::from_milli(2500), Unit::Cm)
    ));
    assert_eq!(hear(&cm, "u"), Ok(Heard::Need(Need::NotObtained)));
    let pressure = made::measuring(Unit::CmH2O, 0, 60);
    assert!(matches!(
        hear(&pressure, "20"),
        Err(Misread::Amount(AmountMisread::PressureNeedsUnit { .. }))
    ));
    assert_eq!(hear(&pressure, "20 cmH2O"), Ok(value(20_000, Unit::CmH2O)));
    assert!(matches!(hear(&pressure, "2 kPa"), Ok(Heard::Converted(..))));
    assert!(matches!(hear(&pressure, "2 kg"), Err(Misread::Amount(_))));
}

#[test]
fn a_number_that_is_not_plausible_must_be_typed_twice_alike() {
    let view = made::measuring(Unit::Cm, 0, 30);
    let mut dialogue = Dialogue::default();
    dialogue.stand_at(&view);
    let mut say = |line: &str| dialogue.hear(&view, line, &made::read_moment);
    assert!(matches!(say("250 cm"), Ok(Heard::Doubt(Doubt { .. }))));
    assert!(matches!(say("25.0.0"), Err(Misread::Amount(_))));
    assert!(matches!(say("251 cm"), Ok(Heard::Doubt(_))));
    assert!(matches!(say("250 cm"), Ok(Heard::Doubt(_))));
    assert!(matches!(say("250 cm"), Ok(Heard::Input(_))));
    assert!(matches!(say("250 cm"), Ok(Heard::Doubt(_))), "asked anew");
}

#[test]
fn an_urgent_key_means_the_same_at_every_step() {
    for view in made::every_kind() {
        for urgent in &view.urgent {
            assert_eq!(
                hear(&view, &urgent.key.to_string()),
                Ok(Heard::Input(Input::Jump(urgent.list.clone())))
            );
        }
    }
}

#[test]
fn words_of_an_answer_come_before_words_of_other_keys() {
    let mut view = made::asking();
    if let Show::Ask { answers, .. } = &mut view.show {
        answers[0].words = "back".to_owned();
    }
    assert_eq!(hear(&view, "back"), Ok(choice("back")));
    assert_eq!(hear(&view, "b"), Ok(Heard::Input(Input::Back)));
}

proptest! {
    #[test]
    fn no_line_panics(lines in proptest::collection::vec(".{0,40}", 1..6)) {
        for view in made::every_kind() {
            let mut dialogue = Dialogue::default();
            dialogue.stand_at(&view);
            for line in &lines {
                if let Ok(Heard::Need(need)) = dialogue.hear(&view, line, &made::read_moment) {
                    dialogue.complete(need, line, &made::read_moment).ok();
                }
            }
        }
    }

    #[test]
    fn no_line_of_the_grammar_panics(
        head in "(@[0-9:]{0,6} ?|c[0-9]{0,30} (answered|next|)|close |[a-z-]{0,9} ?= ?|[ynutlx]: ?|)",
        rest in "[ -~é₂]{0,20}",
    ) {
        for view in made::every_kind() {
            let mut dialogue = Dialogue::default();
            dialogue.stand_at(&view);
            let heard = dialogue.hear(&view, &format!("{head}{rest}"), &made::read_moment);
            if rest.trim().is_empty() && head.is_empty() {
                prop_assert_eq!(heard, Ok(Heard::Nothing));
            }
        }
    }
}
