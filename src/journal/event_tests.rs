//! Every value of the core comes back from its persisted form.

use proptest::collection::btree_map;
use proptest::option;
use proptest::prelude::{Just, Strategy, any, prop_oneof};
use proptest::sample::select;
use proptest::{prop_assert_eq, proptest};

use crate::moment::Moment;

use super::*;
use crate::journal::ids::{DrainId, WalkId};
use crate::journal::quantity::{number_text, read_number};
use crate::units::{Amount, Number, Unit};

fn name() -> impl Strategy<Value = String> {
    "[a-z]([a-z0-9]|-[a-z0-9]){0,12}"
}

fn amount() -> impl Strategy<Value = Amount> {
    (any::<i64>(), 0..Unit::ALL.len()).prop_map(|(milli, unit)| {
        // The smallest number has no opposite; parsing refuses it, and so does everything above.
        Amount::new(Number::from_milli(milli.max(-i64::MAX)), Unit::ALL[unit])
    })
}

/// Text of every sort: quotes, controls, other scripts, what looks like JSON.
fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[\"\\\\{}\\[\\]:,\\x00-\\x1f\u{7f}\u{2028}\u{202e}é🫁]{0,12}"
    ]
}

fn value() -> impl Strategy<Value = Value> {
    prop_oneof![
        text().prop_map(Value::Word),
        amount().prop_map(Value::Amount),
        any::<u32>().prop_map(|seconds| Value::Span(Span(seconds))),
        text().prop_map(Value::Words),
    ]
}

fn facts() -> impl Strategy<Value = DrainFacts> {
    btree_map(
        name().prop_map(|name| FactName::new(&name).unwrap()),
        value(),
        0..5,
    )
}

fn answer() -> impl Strategy<Value = Answer> {
    prop_oneof![
        Just(Answer::Done),
        text().prop_map(|reason| Answer::NotDone { reason }),
        Just(Answer::AsExpected),
        text().prop_map(|found| Answer::NotAsExpected { found }),
        text().prop_map(|reason| Answer::CouldNotCheck { reason }),
        text().prop_map(Answer::Choice),
        amount().prop_map(Answer::Value),
        text().prop_map(|reason| Answer::NotObtained { reason }),
        Just(Answer::Elapsed),
        text().prop_map(|reason| Answer::Missed { reason }),
        Just(Answer::Read),
        Just(Answer::StillSo),
        Just(Answer::NoLonger),
    ]
}

fn news() -> impl Strategy<Value = CallNews> {
    prop_oneof![
        text().prop_map(|who| CallNews::Answered { who }),
        text().prop_map(|who| CallNews::Arrived { who }),
        text().prop_map(|order| CallNews::Ordered { order }),
        Just(CallNews::NextCalled),
    ]
}

fn list() -> impl Strategy<Value = ListName> {
    name().prop_map(|name| ListName::new(&name).unwrap())
}

fn step() -> impl Strategy<Value = StepName> {
    name().prop_map(|name| StepName::new(&name).unwrap())
}

fn charts() -> impl Strategy<Value = Option<Charts>> {
    option::of(select(Charts::ALL))
}

fn happening() -> impl Strategy<Value = Happening> {
    prop_oneof![
        (list(), step(), text(), answer(), charts()).prop_map(
            |(list, step, asked, answer, charts)| Happening::Answered {
                list,
                step,
                asked,
                answer,
                charts,
            }
        ),
        (list(), step()).prop_map(|(list, step)| Happening::WentBack { list, step }),
        text().prop_map(|text| Happening::Noted { text }),
        Just(Happening::Paused),
        Just(Happening::Resumed),
        list().prop_map(|list| Happening::Jumped { list }),
        text().prop_map(|reason| Happening::GaveUp { reason }),
        (any::<usize>(), news()).prop_map(|(call, news)| Happening::Called { call, news }),
        (name(), text()).prop_map(|(duty, how)| Happening::DutyClosed {
            duty: DutyName::new(&duty).unwrap(),
            how,
        }),
    ]
}

fn moment() -> impl Strategy<Value = Moment> {
    // From 1900 to 2100, every nanosecond, every offset of whole minutes.
    (
        -2_208_988_800_i64..4_102_444_800,
        0..1_000_000_000_u32,
        -1_439..1_440_i32,
    )
        .prop_map(|(seconds, nanos, minutes)| {
            let offset = chrono::FixedOffset::east_opt(minutes * 60).unwrap();
            chrono::DateTime::from_timestamp(seconds, nanos)
                .unwrap()
                .with_timezone(&offset)
        })
}

fn shelf() -> impl Strategy<Value = Shelf> {
    let files = btree_map(
        text(),
        text().prop_map(|text| TextHash::of(text.as_bytes())),
        0..4,
    );
    (files, text()).prop_map(|(files, approval)| Shelf { files, approval })
}

fn mark() -> impl Strategy<Value = Mark> {
    prop_oneof![
        Just(Mark::Wrong),
        Just(Mark::EnteredInError),
        Just(Mark::Addendum)
    ]
}

fn about() -> impl Strategy<Value = RecordAbout> {
    let walks = proptest::collection::vec(moment().prop_map(WalkId::new), 0..3);
    (text(), text(), text(), walks, any::<i64>()).prop_map(|(kind, form, how, walks, upto)| {
        RecordAbout {
            kind,
            form,
            how,
            walks,
            upto,
        }
    })
}

/// Everything that can be written.
pub(in crate::journal) fn what() -> impl Strategy<Value = What> {
    prop_oneof![
        (list(), facts(), proptest::option::of(text()), shelf()).prop_map(
            |(list, facts, paper, shelf)| What::Begun {
                list,
                facts,
                paper,
                shelf
            }
        ),
        happening().prop_map(What::Walk),
        (moment(), any::<bool>()).prop_map(|(now, in_use)| What::TakenOver {
            from: SessionId::new(now),
            in_use
        }),
        text().prop_map(|why| What::Attached { why }),
        facts().prop_map(|facts| What::DrainOpened { facts }),
        (facts(), text()).prop_map(|(facts, why)| What::DrainChanged { facts, why }),
        text().prop_map(|how| What::DrainClosed { how }),
        text().prop_map(|text| What::DrainNote { text }),
        (moment(), mark(), text(), text()).prop_map(|(now, mark, text, why)| What::Amended {
            entry: EntryId::new(now),
            mark,
            text,
            why
        }),
        crate::journal::charted::tests::charted().prop_map(What::Charted),
        (moment(), moment()).prop_map(|(from, to)| What::ClockJumped { from, to }),
        (any::<i64>(), text()).prop_map(|(seq, body)| What::Signed {
            seq,
            hash: TextHash::of(body.as_bytes())
        }),
        (text(), text(), text()).prop_map(|(initials, role, read_back)| What::HandedOver {
            to: By { initials, role },
            read_back
        }),
        (text(), text(), about()).prop_map(|(path, body, about)| What::RecordWritten {
            path,
            sha256: TextHash::of(body.as_bytes()),
            about
        }),
    ]
}

proptest! {
    #[test]
    fn everything_comes_back_as_it_was(what in what()) {
        let (kind, body) = write(&what).unwrap();
        prop_assert_eq!(&kind, super::kind(&what));
        proptest::prop_assert!(!body.contains(['\n', '\r']), "{}", body);
        prop_assert_eq!(read(&kind, &body), what);
    }

    #[test]
    fn moments_come_back_with_their_offset(moment in moment()) {
        let back = moment_text::read(&moment_text::write(moment)).unwrap();
        prop_assert_eq!(back, moment);
        prop_assert_eq!(back.offset(), moment.offset());
    }

    #[test]
    fn no_body_brings_it_down(kind in option::of("[a-z-]{0,12}"), body in text(), known in what()) {
        let (known, _) = write(&known).unwrap();
        let what = read(kind.as_deref().unwrap_or(&known), &body);
        if !body.trim_start().starts_with(['{', '[']) {
            let unread = matches!(what, What::Unread { .. });
            proptest::prop_assert!(unread, "{:?}", what);
        }
    }

    #[test]
    fn a_line_is_json_and_says_what_was_written(what in what(), words in text()) {
        let (kind, body) = write(&what).unwrap();
        let row = crate::journal::row::Row {
            seq: 7,
            id: "i".to_owned(),
            drain: Some(DrainId::new(Moment::default()).to_string()),
            walk: Some(WalkId::new(Moment::default()).to_string()),
            session: words.clone(),
            kind,
            state: None,
            seen_at: words.clone(),
            written_at: words.clone(),
            initials: words.clone(),
            role: words.clone(),
            rehearsal: true,
            body: body.clone(),
            hash: String::new(),
        };
        let line = row.line("p");
        proptest::prop_assert!(!line.contains(['\n', '\r']), "{}", line);
        let json: serde_json::Value = serde_json::from_str(&line).unwrap();
        prop_assert_eq!(json["by"]["initials"].as_str(), Some(words.as_str()));
        prop_assert_eq!(&json["body"], &serde_json::from_str::<serde_json::Value>(&body).unwrap());
        prop_assert_eq!(json["prev"].as_str(), Some("p"));
    }
}

#[test]
fn bodies_stand_as_they_are_documented() {
    let answered = What::Walk(Happening::Answered {
        list: ListName::new("no-swing").unwrap(),
        step: StepName::new("tubing").unwrap(),
        asked: "How deep is the seal?".to_owned(),
        answer: Answer::Value(Amount::parse("−2.5 cm").unwrap()),
        charts: None,
    });
    let (kind, body) = write(&answered).unwrap();
    assert_eq!(kind, "answered");
    assert_eq!(
        body,
        r#"{"list":"no-swing","step":"tubing","asked":"How deep is the seal?","answer":{"value":{"number":"-2.5","unit":"cm"}}}"#
    );
    let done = r#"{"list":"a","step":"b","asked":"c","answer":"done"}"#;
    assert!(matches!(
        read("answered", done),
        What::Walk(Happening::Answered {
            answer: Answer::Done,
            ..
        })
    ));
}

#[test]
fn what_a_newer_version_wrote_is_kept_and_named() {
    for (kind, body) in [
        ("weighed", "{}"),
        (
            "answered",
            r#"{"list":"a","step":"b","asked":"c","answer":"guessed"}"#,
        ),
        (
            "answered",
            r#"{"list":"a","step":"b","asked":"c","answer":{"value":{"number":"1","unit":"furlong"}}}"#,
        ),
        ("drain-opened", r#"{"facts":{"side":{"colour":"left"}}}"#),
        ("noted", "{}"),
        ("noted", "[]"),
        ("noted", "not json"),
        ("called", r#"{"call":-1,"news":"next-called"}"#),
        (
            "begun",
            r#"{"list":"A B","facts":{},"shelf":{},"approval":""}"#,
        ),
    ] {
        match read(kind, body) {
            What::Unread { kind: kept, why } => {
                assert_eq!(kept, kind);
                assert!(!why.is_empty());
            }
            other => panic!("{kind} {body}: {other:?}"),
        }
    }
    let with_more = r#"{"text":"x","colour":"red"}"#;
    let noted = What::Walk(Happening::Noted {
        text: "x".to_owned(),
    });
    assert_eq!(
        read("noted", with_more),
        noted,
        "a new field is no obstacle"
    );
}

#[test]
fn the_beginning_of_a_walk_reads_the_same_with_and_without_its_files() {
    let happening = Happening::Begun {
        list: ListName::new("a").unwrap(),
        facts: DrainFacts::new(),
        paper: None,
    };
    let (kind, body) = write(&What::Walk(happening.clone())).unwrap();
    let back = read(&kind, &body);
    assert!(matches!(&back, What::Begun { shelf, .. } if *shelf == Shelf::default()));
    assert_eq!(back.happening(), Some(happening));
}

#[test]
fn the_smallest_number_is_no_trap() {
    let number = Number::from_milli(i64::MIN);
    assert_eq!(read_number(&number_text(number)), Ok(number));
    for bad in [
        "",
        "-",
        ".5",
        "1.",
        "1.2345",
        "--1",
        "+1",
        "1e3",
        "99999999999999999999",
        "-0.-1",
    ] {
        assert!(read_number(bad).is_err(), "{bad}");
    }
    assert_eq!(read_number("-0.5"), Ok(Number::from_milli(-500)));
}
