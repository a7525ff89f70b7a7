//! Whole records from made stories, compared with the files in `tests/record/`.
//!
//! After a wanted change run the tests once with `TUBESIDE_UPDATE=1` and look at the difference.

use std::path::PathBuf;
use std::sync::Arc;

use super::facts::{IncidentFacts, Kind, RecordFacts, SetupFacts, WalkStory, from_json};
use super::made;
use super::template::Template;

fn render<F: RecordFacts>(facts: &F) -> String {
    let template = Template::shipped(F::KIND).unwrap_or_else(|problems| {
        let lines: Vec<_> = problems.iter().map(ToString::to_string).collect();
        panic!("{}", lines.join("\n\n"))
    });
    template.render(facts).expect("renders")
}

fn compare(name: &str, text: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/record")
        .join(name);
    if std::env::var_os("TUBESIDE_UPDATE").is_some() {
        std::fs::write(&path, text).expect("writes");
        return;
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    let at = kept.lines().zip(text.lines()).position(|(a, b)| a != b);
    assert!(
        kept == text,
        "{} differs, first at line {:?}; run with TUBESIDE_UPDATE=1 if the change is wanted",
        path.display(),
        at.map(|line| line + 1)
    );
}

fn setup(walks: &[WalkStory]) -> SetupFacts {
    SetupFacts::new(walks, &made::header())
}

fn incident(walks: &[WalkStory]) -> IncidentFacts {
    IncidentFacts::new(walks, &made::header())
}

#[test]
fn a_setup_reads_as_kept() {
    compare("setup.md", &render(&setup(&made::setup())));
}

#[test]
fn an_incident_reads_as_kept() {
    compare("incident.md", &render(&incident(&made::incident())));
}

#[test]
fn hostile_texts_read_as_kept() {
    compare("hostile-setup.md", &render(&setup(&made::hostile())));
    compare("hostile-incident.md", &render(&incident(&made::hostile())));
}

#[test]
fn nothing_recorded_still_gives_a_record() {
    compare("empty-setup.md", &render(&setup(&[])));
    compare("empty-incident.md", &render(&incident(&[])));
}

#[test]
fn a_rehearsal_says_so_at_every_heading() {
    let mut walks = made::setup();
    walks[1].rehearsal = true;
    let text = render(&setup(&walks));
    compare("rehearsal-setup.md", &text);
    for line in text.lines().filter(|line| line.starts_with('#')) {
        assert!(line.ends_with("(rehearsal)"), "{line}");
    }
    assert_eq!(text.matches("**Rehearsal.").count(), 2);
    assert!(!render(&setup(&made::setup())).contains("ehearsal"));
}

#[test]
fn rendering_from_json_gives_the_same_bytes() {
    let facts = incident(&made::incident());
    let json = serde_json::to_string_pretty(&facts).expect("serialises");
    let back: IncidentFacts = from_json(&json).expect("reads back");
    assert_eq!(back, facts);
    assert_eq!(render(&back), render(&facts));
    let other = from_json::<SetupFacts>(&json).expect_err("another record");
    assert!(other.to_string().contains("\"incident\" record"), "{other}");
    let misspelt = json.replacen("\"banner\"", "\"baner\"", 1);
    let error = from_json::<IncidentFacts>(&misspelt).expect_err("a misspelt key");
    assert!(error.to_string().contains("baner"), "{error}");
}

#[test]
fn intervals_run_over_the_change_of_the_clock() {
    let facts = incident(&made::incident());
    let lengths: Vec<_> = facts
        .intervals
        .iter()
        .map(|row| (row.what.as_str(), row.length.as_str()))
        .collect();
    // First seen is the late note: 01:46:00+01:00. Worked out by hand.
    for expected in [
        ("First seen, until the first call for help", "4 min 20 s"),
        (
            "First seen, until the first action other than a call",
            "3 min 50 s",
        ),
        (
            "Call 1.1 to emergency team made, until answered",
            "2 min 40 s",
        ),
        (
            "Call 1.1 to emergency team made, until somebody came",
            "6 min 50 s",
        ),
        (
            "Call 2.1 to doctor on the ward made, until answered",
            "end not recorded",
        ),
        ("A clamp is on the drain, from start to end", "2 min 15 s"),
        (
            "Suction is off, from start to end",
            "still open at the last entry",
        ),
    ] {
        assert!(lengths.contains(&expected), "{expected:?} in {lengths:?}");
    }
    assert_eq!(
        facts.still_open, 2,
        "suction off, and a call nobody answered"
    );
}

#[test]
fn corrections_point_both_ways_and_do_not_count() {
    let facts = setup(&made::setup());
    let entries: Vec<_> = facts.days.iter().flat_map(|day| &day.entries).collect();
    let by_number = |number: &str| {
        entries
            .iter()
            .find(|entry| entry.number == number)
            .expect("there")
    };
    let wrong = by_number("1.5");
    assert!(wrong.struck);
    assert_eq!(wrong.found.as_deref(), Some("1.5 cm"), "stays readable");
    assert_eq!(wrong.taken_back_by.as_deref(), Some("1.6"));
    assert_eq!(wrong.replaced_by.as_deref(), Some("1.7"));
    assert_eq!(by_number("1.7").replaces.as_deref(), Some("1.5"));
    let depth = facts
        .findings
        .iter()
        .find(|row| row.what == "Seal depth")
        .expect("there");
    assert!(depth.found.ends_with(": 2 cm"), "{}", depth.found);
    assert_eq!(depth.earlier, 0, "what was taken back does not count");
}

#[test]
fn an_open_clamp_taken_back_is_not_open_and_an_unclosed_one_is() {
    let mut walks = made::incident();
    for told in &mut walks[0].story {
        if matches!(told.what, crate::walk::story::Telling::DutyClosed { .. }) {
            told.taken_back = true;
        }
    }
    let facts = incident(&walks);
    let clamp = facts
        .duties
        .iter()
        .find(|duty| duty.open.contains("clamp"))
        .expect("there");
    assert!(clamp.still_open);
    assert_eq!(facts.still_open, 3);
}

#[test]
fn order_is_by_journal_and_a_clock_that_went_back_is_named() {
    let mut walks = made::setup();
    for told in &mut walks[1].story {
        if told.event >= 3 {
            told.seen -= chrono::TimeDelta::minutes(40);
            told.written -= chrono::TimeDelta::minutes(40);
        }
    }
    let facts = setup(&walks);
    let numbers: Vec<_> = facts
        .days
        .iter()
        .flat_map(|day| &day.entries)
        .map(|entry| entry.number.clone())
        .collect();
    assert!(
        numbers
            .windows(2)
            .all(|pair| pair[0] != "2.4" || pair[1] == "2.5")
    );
    assert_eq!(
        facts.head.clock_notes.len(),
        1,
        "{:?}",
        facts.head.clock_notes
    );
    assert!(facts.head.clock_notes[0].contains("2.3 and 2.4"));
    // The change of the clock in autumn is no jump: the instants run on.
    assert!(incident(&made::incident()).head.clock_notes.is_empty());
}

#[test]
fn the_limit_for_a_late_entry_is_the_one_handed_in() {
    let walks = made::setup();
    assert_eq!(setup(&walks).late.len(), 1);
    let mut header = made::header();
    header.late_after = crate::units::Span::minutes(29);
    assert_eq!(
        SetupFacts::new(&walks, &header).late.len(),
        0,
        "29 min is not more than 29 min"
    );
    header.late_after = crate::units::Span(29 * 60 - 1);
    assert_eq!(SetupFacts::new(&walks, &header).late.len(), 1);
}

#[test]
fn a_template_refuses_the_facts_of_another_record() {
    let template = Template::shipped(Kind::Setup).expect("fit");
    let error = template.render(&incident(&[])).expect_err("refused");
    assert!(
        error.to_string().contains("reports/templates/setup.md"),
        "{error}"
    );
}

#[test]
fn what_a_routine_walk_did_before_is_no_answer_to_what_was_seen() {
    let mut walks = made::setup();
    let troubled = made::incident().swap_remove(0);
    let wanted = incident(std::slice::from_ref(&troubled));
    walks.push(troubled);
    let facts = incident(&walks);
    assert_eq!(
        facts.intervals[..2]
            .iter()
            .map(|row| &row.length)
            .collect::<Vec<_>>(),
        wanted.intervals[..2]
            .iter()
            .map(|row| &row.length)
            .collect::<Vec<_>>(),
    );
    let first = facts.first_seen.expect("something was seen");
    assert_eq!(first.entry.as_deref(), Some("3.14"));
}

#[test]
fn a_step_tagged_so_is_what_was_seen_first() {
    let mut made = made::Made::new("walk-tagged", 1);
    let began = made.begin(
        "x",
        "X",
        crate::checklist::model::ListKind::Fault,
        crate::walk::story::Entered::Start,
    );
    made.now("2026-03-01T10:00:00+00:00", vec![began]);
    let answer = crate::walk::input::Answer::Choice("the level is still".into());
    let step = made.step("see", "What was seen first?", &["first-seen"], answer, "");
    made.event(
        "2026-03-01T09:50:00+00:00",
        "2026-03-01T10:01:00+00:00",
        vec![step],
    );
    let first = incident(&[made.story()]).first_seen.expect("tagged");
    assert_eq!(first.found, "the level is still");
    assert_eq!(first.at.as_deref(), Some("09:50:00"));
    assert!(!first.late, "11 minutes are within the limit");
}

#[test]
fn an_action_does_not_hide_what_was_read() {
    use crate::walk::input::Answer;
    let mut made = made::Made::new("walk-volume", 1);
    let began = made.begin(
        "connect",
        "X",
        crate::checklist::model::ListKind::Connect,
        crate::walk::story::Entered::Start,
    );
    made.now("2026-03-01T10:00:00+00:00", vec![began]);
    let volume = Answer::Value(crate::units::Amount::parse("180 mL").expect("an amount"));
    let step = made.step(
        "read",
        "Read the volume.",
        &["first-volume"],
        volume,
        "180 mL",
    );
    made.now("2026-03-01T10:01:00+00:00", vec![step]);
    let step = made.step(
        "mark",
        "Mark the level.",
        &["first-volume"],
        Answer::Done,
        "done",
    );
    made.now("2026-03-01T10:02:00+00:00", vec![step]);
    let look = |facts: SetupFacts| -> Vec<String> {
        let rows = facts.findings.into_iter();
        rows.filter(|row| row.what == "First volume")
            .map(|row| row.found)
            .collect()
    };
    assert_eq!(look(setup(&[made.story()])), ["Read the volume: 180 mL"]);
}

#[test]
fn a_call_that_was_passed_on_is_not_open_and_the_next_one_is() {
    use crate::walk::story::Telling;
    let mut made = made::Made::new("walk-calls", 1);
    let call = |who: &str| Telling::CallMade {
        call: 1,
        level: crate::checklist::model::CallLevel::DoctorNow,
        who: who.into(),
        how: String::new(),
    };
    made.now("2026-03-01T10:00:00+00:00", vec![call("first")]);
    made.now("2026-03-01T10:02:00+00:00", vec![call("second")]);
    let facts = incident(&[made.story()]);
    assert_eq!(
        facts.calls[0].answered.as_deref(),
        Some("nobody; next called 10:02:00")
    );
    assert!(!facts.calls[0].open && facts.calls[1].open);
    assert_eq!(facts.still_open, 1);
    let order = Telling::CallOrdered {
        call: 1,
        order: "X-ray".into(),
    };
    made.now("2026-03-01T10:03:00+00:00", vec![order]);
    let facts = incident(&[made.story()]);
    assert_eq!((facts.still_open, facts.calls[1].orders.len()), (0, 1));
}

mod afterwards {
    use super::*;
    use crate::record::facts::{About, Amendment, DrainNote, Marking, Moved, Signature};

    fn amendment(number: &str, about: About, mark: Marking, text: &str) -> Amendment {
        Amendment {
            number: number.into(),
            about,
            mark,
            text: text.into(),
            why: "misread in poor light".into(),
            by: "EF, senior RN".into(),
            written: made::at("2026-10-26T09:00:00+00:00"),
        }
    }

    fn wrong(number: &str, event: usize, text: &str) -> Amendment {
        amendment(number, About::Event(event), Marking::Wrong, text)
    }

    /// The setup story with its last answer about the seal depth marked wrong and more.
    fn put_right() -> Vec<WalkStory> {
        let mut walks = made::setup();
        walks[0].afterwards.amendments = vec![
            wrong("w1.a1", 6, "2.5 cm"),
            amendment(
                "w1.a2",
                About::Event(1),
                Marking::Addendum,
                "The second trolley.",
            ),
            wrong("w1.a3", 2, "never so"),
            amendment(
                "w1.a4",
                About::Amendment("w1.a3".into()),
                Marking::InError,
                "",
            ),
        ];
        walks[1].afterwards.amendments =
            vec![amendment("w2.a1", About::Event(1), Marking::InError, "")];
        walks[1].afterwards.signatures = vec![Signature {
            of: "w2".into(),
            by: "KL, nurse".into(),
            at: made::at("2026-10-26T10:00:00+00:00"),
            sequence: 60,
            hash: "ab".repeat(32),
        }];
        walks[1].afterwards.moves = vec![Moved {
            walk: "w2".into(),
            from: Some("d1".into()),
            to: "d2".into(),
            why: "the other side".into(),
            by: "EF, senior RN".into(),
            at: made::at("2026-10-26T09:30:00+00:00"),
        }];
        walks
    }

    fn facts() -> SetupFacts {
        let mut header = made::header();
        header.notes = vec![DrainNote {
            number: "d2.1".into(),
            text: "Seen by the thoracic registrar.".into(),
            by: "KL, nurse".into(),
            seen: made::at("2026-10-25T08:00:00+00:00"),
            written: made::at("2026-10-25T08:00:00+00:00"),
        }];
        header.afterwards.amendments = vec![amendment(
            "d2.a1",
            About::Note("d2.1".into()),
            Marking::Wrong,
            "by the medical registrar",
        )];
        SetupFacts::new(&put_right(), &header)
    }

    #[test]
    fn it_reads_as_kept() {
        compare("afterwards-setup.md", &render(&facts()));
    }

    #[test]
    fn what_was_wrong_stays_readable_and_both_point_to_each_other() {
        let facts = facts();
        let entries: Vec<_> = facts.days.iter().flat_map(|day| &day.entries).collect();
        let of = |number: &str| {
            entries
                .iter()
                .find(|one| one.number == number)
                .expect("there")
        };
        let entry = of("1.7");
        assert!(entry.wrong && !entry.struck);
        assert_eq!(entry.found.as_deref(), Some("2 cm"), "stays readable");
        assert_eq!(entry.remarks[0].number, "w1.a1");
        assert_eq!(facts.afterwards.amendments[0].about, "1.7");
        assert!(
            facts.afterwards.amendments[0]
                .was
                .as_ref()
                .is_some_and(|was| was.contains("2 cm"))
        );
        let depth = facts
            .findings
            .iter()
            .find(|row| row.what == "Seal depth")
            .expect("there");
        assert!(
            depth.found.contains("corrected to \u{201c}2.5 cm\u{201d}"),
            "{}",
            depth.found
        );
        assert!(
            depth.found.ends_with("was recorded as: 2 cm"),
            "{}",
            depth.found
        );
        assert!(
            !of("1.2").wrong && of("1.2").remarks.len() == 1,
            "an addendum strikes nothing"
        );
        assert!(
            !of("1.3").wrong,
            "an amendment taken out of force marks nothing"
        );
        assert!(facts.afterwards.amendments[2].struck);
        assert!(facts.afterwards.notes[0].wrong);
    }

    #[test]
    fn what_was_entered_in_error_leaves_one_line() {
        let before = setup(&made::setup());
        let facts = facts();
        let lines = |facts: &SetupFacts| -> Vec<_> {
            let entries = facts.days.iter().flat_map(|day| day.entries.clone());
            entries.filter(|entry| entry.number == "2.2").collect()
        };
        let said = lines(&before)[0].clone();
        let left = lines(&facts);
        assert_eq!(left.len(), 1);
        assert!(left[0].in_error && left[0].found.is_none());
        let text = render(&facts);
        assert!(!text.contains(&said.what), "{}", said.what);
        assert!(render(&before).contains(&said.what));
        assert_eq!(
            facts.head.entries, before.head.entries,
            "it still counts as an entry"
        );
    }

    #[test]
    fn a_walk_entered_in_error_leaves_one_line_and_no_open_duty() {
        let mut walks = made::incident();
        walks.truncate(1);
        let open = incident(&walks);
        walks[0].afterwards.amendments =
            vec![amendment("w1.a1", About::Event(0), Marking::InError, "")];
        let facts = incident(&walks);
        let entries: Vec<_> = facts.days.iter().flat_map(|day| &day.entries).collect();
        assert_eq!(entries.len(), 1);
        assert_eq!(entries[0].number, "1");
        assert!(!open.duties.is_empty() && facts.duties.is_empty());
        assert!(facts.calls.is_empty() && facts.actions.is_empty());
        assert_eq!(facts.head.entries, open.head.entries);
    }
}

mod chart {
    use super::*;
    use crate::chart::limit::{Judgement, Limit, LimitValue, Patient};
    use crate::chart::picture::{Picture, notes, svg};
    use crate::chart::plot::LimitLine;
    use crate::chart::reading::{FluidLook, Reading};
    use crate::chart::{BaselineReason, ChartEvent, DrainStart, Entry, EntryId, Series, What};
    use crate::names::FactName;
    use crate::record::facts::{ChartFacts, Charted, Handing, HandoverFacts, LimitFacts};
    use crate::record::html::{Figure, page};
    use crate::units::{Amount, Number, Span};

    fn level(ml: i32, action: &str) -> Option<Arc<Reading>> {
        Some(Arc::new(Reading {
            level: Some(Number::whole(ml)),
            fluid: Some(FluidLook::Bloody),
            action: (!action.is_empty()).then(|| action.to_owned()),
            ..Reading::default()
        }))
    }

    fn entry(id: u64, seen: &str, written: &str, what: What) -> Entry {
        Entry {
            id: EntryId(id),
            at: made::at(seen),
            written_at: made::at(written),
            what,
        }
    }

    /// A night in which the clocks go back, with a late entry, a correction, a new drainage unit.
    fn entries(action: &str) -> Vec<Entry> {
        let read = |ml| What::Reading(level(ml, action).expect("a reading"));
        let at = |minute: &str| format!("2026-10-25T{minute}");
        let on_time = |id, minute: &str, what| entry(id, &at(minute), &at(minute), what);
        vec![
            on_time(11, "00:30:00+01:00", read(40)),
            on_time(12, "01:30:00+01:00", read(190)),
            on_time(13, "01:30:00+01:00", What::Event(ChartEvent::LimitReached)),
            entry(14, &at("01:10:00+00:00"), &at("02:40:00+00:00"), read(240)),
            on_time(
                15,
                "02:00:00+00:00",
                What::NewUnit {
                    last_level: None,
                    start: Number::whole(0),
                    graduation: Some(Number::whole(10)),
                },
            ),
            on_time(16, "03:00:00+00:00", read(60)),
            entry(
                17,
                &at("03:00:00+00:00"),
                &at("03:05:00+00:00"),
                What::Correction {
                    of: EntryId(16),
                    reading: level(50, action),
                },
            ),
            on_time(
                18,
                "04:00:00+00:00",
                What::Baseline {
                    level: Number::whole(20),
                    why: BaselineReason::Spill,
                },
            ),
        ]
    }

    const START: &str = "2026-10-24T23:30:00+01:00";

    fn series(action: &str) -> Series {
        let start = DrainStart {
            at: made::at(START),
            level: Number::whole(0),
            graduation: Some(Number::whole(10)),
        };
        Series::new(start, entries(action))
    }

    /// The record with its picture, as a page: for a browser.
    pub(super) fn as_pages(action: &str) -> [String; 2] {
        let picture = Picture {
            title: "left, adult, drains air".to_owned(),
            width: 520,
            limits: vec![LimitLine {
                at: Number::whole(200),
                label: "200 mL/h: a limit".to_owned(),
            }],
            with_notes: false,
        };
        let figure = Figure {
            svg: svg(&series(action), &picture).expect("drawn"),
            notes: notes(&picture),
        };
        let page_of = |text: &str| page(text, Some(&figure));
        [
            page_of(&render(&facts(action))),
            page_of(&render(&handover(action))),
        ]
    }

    fn facts(action: &str) -> ChartFacts {
        charted(action, |charted| {
            ChartFacts::new(&[], &made::header(), charted)
        })
    }

    /// A handover of the drain with this chart.
    fn handover(action: &str) -> HandoverFacts {
        charted(action, |charted| {
            let handing = Handing::default();
            HandoverFacts::new(&made::incident(), &made::header(), &handing, Some(charted))
        })
    }

    fn charted<T>(action: &str, make: impl FnOnce(&Charted<'_>) -> T) -> T {
        let entries = entries(action);
        let series = series(action);
        let limit = Limit::watched(LimitValue {
            name: FactName::new("blood-adult-call").expect("a name"),
            value: Amount::parse("100 mL").expect("an amount"),
            population: None,
            means: "blood above this within any 2 h".into(),
            source: "a made-up source".into(),
            window: Some(Span::minutes(120)),
            hours: None,
        });
        let judged = Judgement::of(&series, &[limit.expect("watched")], &Patient::default());
        let charted = Charted {
            drain: "made-drain".into(),
            series: &series,
            written: &entries,
            writer: &|_| "KL, nurse".to_owned(),
            totals: vec![("Since it was connected".into(), series.total())],
            limits: &judged.happened,
            not_watched: vec![],
            signs: vec![],
            missed: vec![made::at("2026-10-25T02:30:00+00:00")],
            next: Some(made::at("2026-10-25T04:30:00+00:00")),
        };
        make(&charted)
    }

    #[test]
    fn who_takes_over_reads_the_chart_in_short() {
        let facts = handover("");
        let chart = self::facts("");
        let last = chart.rows.last().expect("a row");
        let told = |what: &str| {
            let found = facts.chart.iter().find(|pair| pair.what == what);
            found.map(|pair| pair.value.clone()).unwrap_or_default()
        };
        assert!(
            told("Last entry of the chart").contains(&last.seen),
            "{facts:?}"
        );
        let total = chart.totals.last().expect("a total");
        assert_eq!(told("Output: Since it was connected"), total.volume);
        let due: Vec<_> = facts.due.iter().map(|due| due.walk.as_str()).collect();
        assert!(due.contains(&"chart"), "{due:?}");
        // Met at 190 mL in an hour, and no longer after; the nurse must hear of it all the same.
        let [limit] = facts.limits.as_slice() else {
            panic!("one limit: {:?}", facts.limits);
        };
        let met = chart.limits.iter().rfind(|row| row.state != "cleared");
        let value = |row: &LimitFacts| (row.state.clone(), row.value.clone());
        assert_eq!(Some(value(&limit.told)), met.map(value));
        let cleared = chart.limits.last().filter(|row| row.state == "cleared");
        assert_eq!(limit.over.is_some(), cleared.is_some());
        let text = render(&facts);
        assert!(text.contains("| The chart in short | Recorded |"), "{text}");
    }

    #[test]
    fn it_reads_as_kept() {
        compare("chart.md", &render(&facts("turned on the side")));
        compare(
            "hostile-chart.md",
            &render(&facts("a | b\n# c [d](e) <f> ~~g~~")),
        );
    }

    #[test]
    fn what_was_wrong_stays_readable_and_what_is_late_says_so() {
        let facts = facts("");
        let late: Vec<_> = facts.rows.iter().filter(|row| row.late).collect();
        assert_eq!((late.len(), facts.late), (1, 1));
        assert_eq!(late[0].entry, "14");
        assert_eq!(facts.corrections.len(), 1);
        assert_eq!(facts.corrections[0].was, "level 60 mL; fluid bloody");
        assert_eq!(facts.corrections[0].now, "level 50 mL; fluid bloody");
        // 190 and 50 and 50; what came before the change of drainage unit was not read.
        let last = facts.rows.iter().rfind(|row| !row.total.is_empty());
        assert_eq!(last.expect("a row").total, "at least 290 mL (280 to 300)");
        assert_eq!(facts.limits[0].state, "met");
    }

    #[test]
    fn it_comes_back_from_json() {
        let facts = facts("turned");
        let json = serde_json::to_string(&facts).expect("serialises");
        assert_eq!(from_json::<ChartFacts>(&json).expect("reads back"), facts);
    }
}

mod handover {
    use super::*;
    use crate::record::facts::{Acceptance, DueItem, Handing, HandoverFacts};

    fn handing() -> Handing {
        Handing {
            opened: Some(made::at("2026-10-24T20:00:00+01:00")),
            due: vec![
                DueItem {
                    walk: 1,
                    at: made::at("2026-10-25T02:30:00+00:00"),
                    what: "look again".into(),
                    duty: None,
                },
                DueItem {
                    walk: 0,
                    at: made::at("2026-10-25T02:10:00+00:00"),
                    what: "A clamp is on the drain: take it off".into(),
                    duty: Some("clamp".into()),
                },
            ],
            accepted: vec![Acceptance {
                from: "KL, nurse".into(),
                to: "PQ, nurse".into(),
                at: made::at("2026-10-25T07:02:00+00:00"),
                read_back: "suction off, call not answered".into(),
            }],
            written_since: 1,
            ..Handing::default()
        }
    }

    fn facts() -> HandoverFacts {
        HandoverFacts::new(&made::incident(), &made::header(), &handing(), None)
    }

    #[test]
    fn it_reads_as_kept() {
        compare("handover.md", &render(&facts()));
        let nothing = HandoverFacts::new(&[], &made::header(), &Handing::default(), None);
        compare("empty-handover.md", &render(&nothing));
        let hostile = HandoverFacts::new(&made::hostile(), &made::header(), &handing(), None);
        compare("hostile-handover.md", &render(&hostile));
    }

    #[test]
    fn the_order_is_the_one_of_the_trade() {
        let text = render(&facts());
        let headings: Vec<&str> = text
            .lines()
            .filter_map(|line| line.strip_prefix("## "))
            .collect();
        let wanted = [
            "Situation",
            "Background",
            "Assessment",
            "Recommendation",
            "Due",
            "Open duties",
            "Left undone, and why",
            "Calls nobody has answered",
        ];
        assert_eq!(headings[..wanted.len()], wanted);
        assert!(headings.contains(&"Accepted"));
    }

    #[test]
    fn what_is_open_is_what_the_incident_says_is_open() {
        let (facts, all) = (facts(), incident(&made::incident()));
        assert_eq!(facts.still_open, all.still_open);
        assert_eq!(
            facts.duties.len(),
            1,
            "suction off; the clamp was taken off"
        );
        assert_eq!(facts.calls.len(), 1);
        let due: Vec<_> = facts.due.iter().map(|due| due.what.as_str()).collect();
        assert_eq!(due, ["look again"], "a duty that was closed is not due");
    }

    #[test]
    fn it_comes_back_from_json() {
        let facts = facts();
        let json = serde_json::to_string(&facts).expect("serialises");
        assert_eq!(
            from_json::<HandoverFacts>(&json).expect("reads back"),
            facts
        );
    }

    #[test]
    fn a_walk_entered_in_error_has_nothing_due_and_nothing_open() {
        let mut walks = made::incident();
        for walk in &mut walks {
            walk.afterwards.amendments = vec![crate::record::facts::Amendment {
                number: "w1.a1".into(),
                about: crate::record::facts::About::Event(0),
                mark: crate::record::facts::Marking::InError,
                text: String::new(),
                why: "a trial".into(),
                by: "KL, nurse".into(),
                written: made::at("2026-10-26T09:00:00+00:00"),
            }];
        }
        let facts = HandoverFacts::new(&walks, &made::header(), &handing(), None);
        assert_eq!(
            (facts.still_open, facts.due.len(), facts.patient.len()),
            (0, 0, 0)
        );
    }
}

/// What is asked again after an interruption.
mod asked_again {
    use super::*;
    use crate::checklist::model::ListKind;
    use crate::record::facts::{Handing, HandoverFacts, WalkStory};
    use crate::walk::input::Answer;
    use crate::walk::story::Entered;

    /// A look at the patient, a check that was not as expected and a step not done; then all three
    /// are asked again and stand.
    fn walk() -> WalkStory {
        let mut made = made::Made::new("w1", 10);
        let begun = made.begin("no-swing", "No swing", ListKind::Fault, Entered::Start);
        made.now("2026-03-03T04:00:00Z", vec![begun]);
        let better = Answer::Choice("better".into());
        let wet = Answer::NotAsExpected {
            found: "wet".into(),
        };
        let why = Answer::NotDone {
            reason: "no tape".into(),
        };
        let steps = [
            (
                "worse",
                "Is the patient worse?",
                "patient-state",
                better,
                "Better",
            ),
            (
                "dressing",
                "The dressing is dry.",
                "drain-state",
                wet,
                "not as expected",
            ),
            ("tape", "Tape the joint.", "joints", why, "not done"),
        ];
        for (step, asked, tag, answer, words) in &steps {
            let told = made.step(step, asked, &[*tag], answer.clone(), words);
            made.now("2026-03-03T04:01:00Z", vec![told]);
        }
        made.by("MT, nurse");
        for (step, asked, tag, _, words) in &steps {
            let words = format!("still so: {words}");
            let told = made.step(step, asked, &[*tag], Answer::StillSo, &words);
            made.now("2026-03-03T04:20:00Z", vec![told]);
        }
        made.story()
    }

    #[test]
    fn that_it_is_still_so_never_reads_as_a_yes_to_the_question() {
        let text = render(&incident(&[walk()]));
        let said = "sked again, the answer before still stands: Better";
        assert!(
            text.contains(&format!("| Is the patient worse? | A{said}. |")),
            "{text}"
        );
        assert!(!text.contains("Still so"), "{text}");
        let patient = &incident(&[walk()]).patient;
        assert_eq!(
            patient[0].last.as_deref(),
            Some(format!("a{said}").as_str())
        );
    }

    #[test]
    fn what_is_still_undone_or_not_as_expected_is_handed_over() {
        let handing = Handing::default();
        let facts = HandoverFacts::new(&[walk()], &made::header(), &handing, None);
        assert_eq!(facts.unexpected.len(), 1, "{:?}", facts.unexpected);
        assert_eq!(facts.undone.len(), 1, "{:?}", facts.undone);
        let patient = &facts.patient[0];
        assert!(
            patient.found.ends_with("still stands: Better"),
            "{patient:?}"
        );
        assert_eq!(patient.by.as_deref(), Some("MT, nurse"));
    }
}

mod outside {
    use super::*;
    use crate::record::facts::{Handing, HandoverFacts};
    use crate::record::fhir;
    use crate::record::html::page;
    use crate::tables::write_file;

    fn pages() -> Vec<(&'static str, String)> {
        let handing = Handing::default();
        let handover = HandoverFacts::new(&made::incident(), &made::header(), &handing, None);
        let markdown = [
            ("setup.html", render(&setup(&made::setup()))),
            ("incident.html", render(&incident(&made::incident()))),
            ("handover.html", render(&handover)),
            ("hostile-setup.html", render(&setup(&made::hostile()))),
            ("hostile-incident.html", render(&incident(&made::hostile()))),
            ("empty-incident.html", render(&incident(&[]))),
        ];
        let mut pages = markdown
            .map(|(name, text)| (name, page(&text, None)))
            .to_vec();
        for (names, action) in [
            (["chart.html", "handover-chart.html"], "turned on her side"),
            (
                ["hostile-chart.html", "hostile-handover-chart.html"],
                "a | b <b>c</b> [d](e) `f` <script>g</script>",
            ),
        ] {
            pages.extend(names.into_iter().zip(super::chart::as_pages(action)));
        }
        pages
    }

    /// For axe-core in a browser: `tests/reference/pages.mjs`.
    #[test]
    fn writes_table_of_pages() {
        for (name, page) in pages() {
            assert!(!page.contains("<script") && !page.contains("<b>"), "{name}");
            write_file("pages", name, &page);
        }
    }

    /// For the R4 schema and `fhir.resources`: `tests/reference/exports.mjs` and `exports.py`.
    #[test]
    fn writes_table_of_fhir() {
        let json = |resource: &serde_json::Value| format!("{resource:#}\n");
        let stories = [made::setup(), made::incident(), made::hostile()].concat();
        for (index, story) in stories.iter().enumerate() {
            let id = format!("018f2b6c-0000-7000-8000-{index:012}");
            let made = fhir::response(&id, story);
            write_file("fhir", &format!("walk-{index}.json"), &json(&made.resource));
        }
        let shelf = crate::checklist::shelf::Shelf::shipped();
        let library = crate::checklist::load::load(&shelf).library.expect("fit");
        let parts: Vec<_> = library
            .lists()
            .map(|(list, _)| fhir::questionnaire(&library, list, &[]))
            .collect();
        assert!(parts.len() > 10);
        let bundle = fhir::bundle(parts);
        write_file("fhir", "lists.json", &json(&bundle.resource));
        let readings = fhir::bundle(fhir::tests::observed(&[]));
        write_file("fhir", "readings.json", &json(&readings.resource));
        let units: Vec<&str> = crate::units::Unit::ALL
            .iter()
            .map(|unit| fhir::ucum(*unit))
            .collect();
        write_file("ucum", "units.txt", &(units.join("\n") + "\n"));
    }
}
