//! The walk as its users meet it, on small made checklists: no file, no clock, no terminal.

use std::sync::Arc;

use chrono::TimeDelta;
use tubeside::checklist::drain_fact::DrainFacts;
use tubeside::checklist::model::{CallLevel, Library, Outcome, Value};
use tubeside::moment::Moment;
use tubeside::names::{DutyName, FactName, ListName};
use tubeside::units::Amount;
use tubeside::walk::Walk;
use tubeside::walk::event::Event;
use tubeside::walk::input::{Answer, CallNews, Input};
use tubeside::walk::refused::Refused;
use tubeside::walk::story::Telling;
use tubeside::walk::view::{DueWhat, Show};

use crate::made;

const FAULT: &str = "
checklist: fault
title: A made fault
version: 1.0.0
kind: fault
mode: read-do
signs: [something is wrong]
recognise: Something is wrong.
owner: Tests
sources: {t: \"A test, no source\"}
begin: patient
steps:
  patient:
    ask: Is the patient worse?
    source: t
    remember: state
    good_for: 10 min
    answers:
      - worse: {use: urgent, then: {any: over}}
      - same: look
      - not sure: {unsure: true, go: call}
  look:
    check: Look at the level.
    expect: It moves.
    source: t
    as_expected: fine
    not_as_expected: mend
    could_not_check: call
  mend:
    do: Straighten the tubing.
    source: t
    then: {go: look, at_most: 2, after_that: still}
    if_not_done: call
  still:
    decide:
      - {when: {state: same}, go: watch}
    otherwise: call
  watch:
    wait: Watch for five minutes.
    for: 5 min
    late_after: 2 min
    source: t
    elapsed: over
    if_missed: call
  call:
    do: Call the doctor.
    call: doctor-now
    source: t
    then: over
    if_not_done: over
  fine:
    end: It works.
    outcome: resolved
    recheck: 15 min
  over:
    end: Stay with the patient.
    outcome: escalated
";

const URGENT: &str = "
checklist: urgent
title: The patient is worse
version: 1.0.0
kind: urgent
mode: read-do
key: \"!\"
signs: [worse]
recognise: The patient is breathless.
owner: Tests
sources: {t: \"A test, no source\"}
begin: help
steps:
  help:
    do: Call the emergency team.
    call: emergency
    from_memory: true
    source: t
    then: clamp
    if_not_done: clamp
  clamp:
    do: Put the end under water.
    from_memory: true
    opens: end-under-water
    source: t
    then: seal
    if_not_done: seal
  seal:
    measure: Read the seal depth.
    unit: cm
    plausible: 0 to 20
    source: t
    bands:
      - below seal-low: low
      - at least seal-low: done
    not_obtained: done
  low:
    do: Take the end out of the water.
    closes: end-under-water
    source: t
    then: done
    if_not_done: done
  done:
    end: Stay until the team is here.
    outcome: escalated
";

fn library() -> Arc<Library> {
    made::library(&[("fault", FAULT), ("urgent", URGENT)])
}

fn start() -> Moment {
    Moment::parse_from_rfc3339("2026-03-02T04:00:00+00:00").expect("a moment")
}

/// A walk with a clock that moves only when told to, and with its events kept.
struct Bedside {
    walk: Walk,
    now: Moment,
    events: Vec<Event>,
}

impl Bedside {
    fn begin(list: &str) -> Self {
        Self::with(library(), list, DrainFacts::new())
    }

    fn with(library: Arc<Library>, list: &str, facts: DrainFacts) -> Self {
        let id = library.find(list).expect("the list is there");
        let (walk, event) = Walk::begin(library, id, facts, start()).expect("it begins");
        Self {
            walk,
            now: start(),
            events: vec![event],
        }
    }

    fn later(&mut self, minutes: i64) -> &mut Self {
        self.now += TimeDelta::minutes(minutes);
        self
    }

    fn try_input(&mut self, input: Input) -> Result<(), Refused> {
        self.now += TimeDelta::seconds(5);
        let event = self.walk.input(input, self.now)?;
        self.events.push(event);
        Ok(())
    }

    fn input(&mut self, input: Input) -> &mut Self {
        self.try_input(input).expect("the input is taken");
        self
    }

    fn answer(&mut self, answer: Answer) -> &mut Self {
        self.input(Input::Answer { answer, seen: None })
    }

    fn choose(&mut self, words: &str) -> &mut Self {
        self.answer(Answer::Choice(words.to_owned()))
    }

    fn at(&self) -> String {
        let view = self.walk.view(self.now);
        format!("{}/{}", view.list, view.step)
    }

    fn show(&self) -> Show {
        self.walk.view(self.now).show
    }

    /// The walk made anew from its events shows and tells the same.
    fn replays(&self) {
        let again = Walk::replay(self.walk.library().clone(), &self.events).expect("it replays");
        assert_eq!(again.view(self.now), self.walk.view(self.now));
        assert_eq!(again.story(), self.walk.story());
        assert_eq!(again.due(), self.walk.due());
    }
}

fn unmoved() -> Answer {
    Answer::NotAsExpected {
        found: "level still".to_owned(),
    }
}

#[test]
fn a_counted_jump_is_taken_so_often_and_then_leads_on() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same");
    for _ in 0..2 {
        bed.answer(unmoved()).answer(Answer::Done);
        assert_eq!(bed.at(), "fault/look");
    }
    bed.answer(unmoved()).answer(Answer::Done);
    assert_eq!(bed.at(), "fault/watch");
    bed.replays();
}

#[test]
fn back_restores_what_was_before_and_strikes_the_answer_in_the_story() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same").answer(unmoved());
    bed.input(Input::Back);
    assert_eq!(bed.at(), "fault/look");
    bed.answer(Answer::AsExpected);
    assert!(matches!(
        bed.show(),
        Show::End {
            outcome: Outcome::Resolved,
            last: true,
            ..
        }
    ));
    let struck: Vec<bool> = bed
        .walk
        .story()
        .iter()
        .filter(|told| matches!(told.what, Telling::Answered { .. }))
        .map(|told| told.taken_back)
        .collect();
    assert_eq!(struck, [false, true, false]);
    bed.answer(Answer::Read);
    assert_eq!(bed.walk.outcome(), Some(Outcome::Resolved));
    assert_eq!(bed.walk.due()[0].what, DueWhat::Recheck);
    bed.replays();
}

#[test]
fn nothing_before_the_first_answer() {
    let mut bed = Bedside::begin("fault");
    assert_eq!(bed.try_input(Input::Back), Err(Refused::NothingBefore));
}

#[test]
fn an_urgent_list_is_one_jump_away_and_what_it_interrupted_is_offered_again() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same");
    bed.input(Input::Jump(ListName::new("urgent").expect("a name")));
    let view = bed.walk.view(bed.now);
    let Show::Urgent {
        actions,
        current,
        recognise,
    } = &view.show
    else {
        panic!("actions come first: {:?}", view.show)
    };
    assert_eq!((actions.len(), *current), (2, 0));
    assert!(recognise.is_some());
    assert!(view.held[0].interrupted);
    let call = actions[0]
        .call
        .as_ref()
        .expect("the first action is a call");
    assert_eq!(call.level, CallLevel::Emergency);
    assert_eq!(call.how.as_deref(), Some("2222"));

    bed.answer(Answer::Done).answer(Answer::Done);
    bed.answer(Answer::Value(Amount::parse("2 cm").expect("an amount")));
    bed.answer(Answer::Read);
    // The last completed item of the held list is repeated before it goes on.
    let Show::Repeat {
        asked, answered, ..
    } = bed.show()
    else {
        panic!("{:?}", bed.show())
    };
    assert_eq!(
        (asked.as_str(), answered.as_str()),
        ("Is the patient worse?", "same")
    );
    bed.replays();
    bed.answer(Answer::StillSo);
    assert_eq!(bed.at(), "fault/look");
    bed.replays();
}

#[test]
fn what_no_longer_holds_is_asked_again_and_nothing_is_struck() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same")
        .input(Input::Pause)
        .later(3)
        .input(Input::Resume);
    bed.answer(Answer::NoLonger);
    assert_eq!(bed.at(), "fault/patient");
    assert!(bed.walk.story().iter().all(|told| !told.taken_back));
    bed.choose("worse");
    assert_eq!(bed.at(), "urgent/help");
    bed.replays();
}

#[test]
fn a_paused_walk_answers_nothing_until_it_is_resumed_but_takes_a_note() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same").input(Input::Pause);
    assert_eq!(
        bed.try_input(Input::Answer {
            answer: Answer::AsExpected,
            seen: None
        }),
        Err(Refused::Paused)
    );
    bed.input(Input::Note {
        text: "gone for water".to_owned(),
        seen: None,
    });
    bed.input(Input::Resume)
        .answer(Answer::StillSo)
        .answer(Answer::AsExpected);
    bed.replays();
}

#[test]
fn an_answer_that_became_too_old_is_asked_again_after_an_interruption() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same").answer(unmoved());
    bed.later(30).input(Input::Resume).answer(Answer::StillSo);
    // Ten minutes are over: the patient first, then on from where the walk stood.
    assert_eq!(bed.at(), "fault/patient");
    bed.choose("same");
    assert_eq!(bed.at(), "fault/mend");
    bed.replays();
}

#[test]
fn a_decision_asks_again_for_an_answer_that_became_too_old() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same");
    for _ in 0..2 {
        bed.answer(unmoved()).answer(Answer::Done);
    }
    bed.answer(unmoved()).later(20).answer(Answer::Done);
    assert_eq!(bed.at(), "fault/patient");
    // Another answer than before takes its own way out.
    bed.choose("not sure");
    assert_eq!(bed.at(), "fault/call");
    bed.replays();
}

#[test]
fn an_answer_entered_late_keeps_both_times_and_counts_from_when_it_was_seen() {
    let mut bed = Bedside::begin("fault");
    let seen = bed.now;
    bed.later(12);
    bed.input(Input::Answer {
        answer: Answer::Choice("same".to_owned()),
        seen: Some(seen),
    });
    let last = bed.events.last().expect("an event");
    assert_eq!((last.seen, last.written), (seen, bed.now));
    bed.later(1).input(Input::Resume).answer(Answer::StillSo);
    bed.replays();
    let ahead = bed.now + TimeDelta::minutes(5);
    let early = Input::Note {
        text: "x".to_owned(),
        seen: Some(ahead),
    };
    assert_eq!(
        bed.try_input(early),
        Err(Refused::NotSeenYet { seen: ahead })
    );
}

#[test]
fn a_wait_never_advances_by_itself() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same");
    for _ in 0..3 {
        bed.answer(unmoved()).answer(Answer::Done);
    }
    let Show::Wait { due, .. } = bed.show() else {
        panic!("{:?}", bed.show())
    };
    let early = Input::Answer {
        answer: Answer::Elapsed,
        seen: None,
    };
    assert_eq!(bed.try_input(early.clone()), Err(Refused::NotYet { due }));
    assert_eq!(bed.walk.due()[0].at, due);
    bed.later(60);
    assert!(
        matches!(bed.show(), Show::Wait { .. }),
        "time alone changes nothing"
    );
    // Looked at far too late: that is missed, not waited.
    bed.input(early);
    assert_eq!(bed.at(), "fault/call");
    bed.replays();
}

#[test]
fn a_call_stays_open_until_an_order_is_read_back_and_climbs_the_ladder() {
    let mut bed = Bedside::begin("fault");
    bed.choose("not sure").answer(Answer::Done);
    let view = bed.walk.view(bed.now);
    assert_eq!(view.calls.len(), 1);
    assert_eq!(view.calls[0].who, "Ward doctor");
    let next = view.calls[0].next.as_ref().expect("a next rung");
    assert_eq!(next.who.as_deref(), Some("Registrar"));
    assert_eq!(
        view.calls[0].due,
        Some(view.calls[0].called + TimeDelta::minutes(5))
    );
    bed.input(Input::Call {
        call: 1,
        news: CallNews::NextCalled,
    });
    assert_eq!(bed.walk.view(bed.now).calls[0].who, "Registrar");
    bed.answer(Answer::Read);
    // Also after the end: help that was called is still awaited.
    bed.input(Input::Call {
        call: 1,
        news: CallNews::Answered {
            who: "Reg".to_owned(),
        },
    });
    assert_eq!(bed.walk.view(bed.now).calls[0].due, None);
    bed.input(Input::Call {
        call: 1,
        news: CallNews::Arrived {
            who: "Reg".to_owned(),
        },
    });
    assert!(bed.walk.view(bed.now).calls[0].arrived.is_some());
    let order = CallNews::Ordered {
        order: "X-ray now".to_owned(),
    };
    bed.input(Input::Call {
        call: 1,
        news: order,
    });
    assert!(bed.walk.view(bed.now).calls.is_empty());
    let unknown = Input::Call {
        call: 2,
        news: CallNews::NextCalled,
    };
    assert_eq!(bed.try_input(unknown), Err(Refused::NoSuchCall { call: 2 }));
    bed.replays();
}

#[test]
fn a_call_and_an_open_duty_survive_a_step_back() {
    let mut bed = Bedside::begin("urgent");
    bed.answer(Answer::Done).answer(Answer::Done);
    assert_eq!(bed.walk.view(bed.now).duties.len(), 1);
    bed.input(Input::Back);
    let view = bed.walk.view(bed.now);
    assert!(view.duties[0].doubtful, "it may be open at the bedside");
    assert_eq!(view.calls.len(), 1);
    let duty = DutyName::new("end-under-water").expect("a name");
    bed.input(Input::CloseDuty {
        duty: duty.clone(),
        how: "was never in water".to_owned(),
    });
    bed.input(Input::Back);
    assert!(
        bed.walk.view(bed.now).duties.is_empty(),
        "closed by hand stays closed"
    );
    assert_eq!(
        bed.try_input(Input::CloseDuty {
            duty: duty.clone(),
            how: "x".to_owned()
        }),
        Err(Refused::NoSuchDuty { duty })
    );
    bed.replays();
}

#[test]
fn a_number_is_judged_in_the_unit_of_the_step() {
    for (given, at) in [
        ("1.999 cm", "urgent/low"),
        ("2 cm", "urgent/done"),
        ("19.9 mm", "urgent/low"),
    ] {
        let mut bed = Bedside::begin("urgent");
        bed.answer(Answer::Done).answer(Answer::Done);
        bed.answer(Answer::Value(Amount::parse(given).expect("an amount")));
        assert_eq!(bed.at(), at, "{given}");
        bed.replays();
    }
    let mut bed = Bedside::begin("urgent");
    bed.answer(Answer::Done).answer(Answer::Done);
    let wrong = Answer::Value(Amount::parse("2 kPa").expect("an amount"));
    assert!(matches!(
        bed.try_input(Input::Answer {
            answer: wrong,
            seen: None
        }),
        Err(Refused::Amount(_))
    ));
}

#[test]
fn what_is_left_undone_needs_a_reason_and_stands_at_the_end() {
    let mut bed = Bedside::begin("urgent");
    let silent = Answer::NotDone {
        reason: "  ".to_owned(),
    };
    assert_eq!(
        bed.try_input(Input::Answer {
            answer: silent,
            seen: None
        }),
        Err(Refused::NoReason)
    );
    bed.answer(Answer::NotDone {
        reason: "line engaged".to_owned(),
    });
    bed.answer(Answer::Done);
    bed.answer(Answer::NotObtained {
        reason: "no light".to_owned(),
    });
    let Show::End { undone, .. } = bed.show() else {
        panic!("{:?}", bed.show())
    };
    let reasons: Vec<&str> = undone.iter().map(|one| one.reason.as_str()).collect();
    assert_eq!(reasons, ["line engaged", "no light"]);
    bed.replays();
}

#[test]
fn an_answer_of_another_kind_is_refused_and_changes_nothing() {
    let mut bed = Bedside::begin("fault");
    for answer in [
        Answer::Done,
        Answer::AsExpected,
        Answer::Read,
        Answer::StillSo,
        Answer::Elapsed,
    ] {
        let input = Input::Answer { answer, seen: None };
        assert!(matches!(
            bed.try_input(input),
            Err(Refused::WrongKind { .. })
        ));
    }
    let input = Input::Answer {
        answer: Answer::Choice("maybe".to_owned()),
        seen: None,
    };
    let Err(refused) = bed.try_input(input) else {
        panic!("taken")
    };
    assert!(refused.to_string().contains("\"not sure\""), "{refused}");
    assert_eq!(bed.at(), "fault/patient");
    assert_eq!(bed.events.len(), 1);
}

#[test]
fn giving_up_keeps_everything_and_says_why() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same").input(Input::GiveUp {
        reason: "moved to theatre".to_owned(),
    });
    assert_eq!(bed.walk.outcome(), Some(Outcome::Stopped));
    assert_eq!(
        bed.try_input(Input::Answer {
            answer: Answer::AsExpected,
            seen: None
        }),
        Err(Refused::Over)
    );
    bed.replays();
}

#[test]
fn events_that_do_not_follow_are_refused_with_their_place() {
    let mut bed = Bedside::begin("fault");
    bed.choose("same").answer(unmoved());
    let mut events = bed.events.clone();
    events.swap(1, 2);
    let misfit = Walk::replay(library(), &events).expect_err("it cannot fit");
    assert_eq!(misfit.event, 1);
    assert!(misfit.to_string().contains("fault/patient"), "{misfit}");
}

#[test]
fn a_limit_for_each_kilogram_needs_the_weight() {
    const CHILD: &str = "
checklist: child
title: First drainage of a child
version: 1.0.0
kind: task
mode: read-do
signs: [first drainage]
owner: Tests
sources: {t: \"A test, no source\"}
begin: volume
steps:
  volume:
    measure: Read the volume. Pause at {first-stop}.
    unit: mL
    plausible: 0 to 3000
    source: t
    bands:
      - below first-stop: go-on
      - at least first-stop: pause
    not_obtained: call
  go-on: {end: Go on., outcome: working}
  pause: {end: Pause., outcome: watch}
  call:
    do: Call the doctor.
    source: t
    call: doctor-now
    then: called
    if_not_done: called
  called: {end: Called., outcome: escalated}
";
    // 14 kg at 10 mL/kg: first pause at 140 mL (BTS 2005 children, from memory).
    for (weight, volume, at) in [
        (Some("14 kg"), "139 mL", "child/go-on"),
        (Some("14 kg"), "140 mL", "child/pause"),
        (None, "139 mL", "child/call"),
    ] {
        let library = made::library(&[("child", CHILD), ("urgent", URGENT)]);
        let mut facts = DrainFacts::new();
        if let Some(weight) = weight {
            let amount = Amount::parse(weight).expect("an amount");
            facts.insert(
                FactName::new("weight").expect("a name"),
                Value::Amount(amount),
            );
        }
        let mut bed = Bedside::with(library, "child", facts);
        if weight.is_some() {
            let Show::Measure { text, .. } = bed.show() else {
                panic!("{:?}", bed.show())
            };
            assert_eq!(text, "Read the volume. Pause at 10 mL/kg (140 mL).");
        }
        bed.answer(Answer::Value(Amount::parse(volume).expect("an amount")));
        assert_eq!(bed.at(), at, "{weight:?} {volume}");
        bed.replays();
    }
}
