//! What every store must do: written once, run against each.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::TimeDelta;

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::Value;
use crate::moment::Moment;
use crate::names::{FactName, ListName, StepName};
use crate::walk::event::Happening;
use crate::walk::input::Answer;

use super::{
    By, DrainId, Entry, FaultKind, Journal, JournalError, NewEntry, SessionId, Shelf, WalkId,
    WalkState, What,
};

/// One o'clock at night, and some minutes.
pub(super) fn at(minutes: i64) -> Moment {
    let night = Moment::parse_from_rfc3339("2026-03-01T01:00:00+00:00").unwrap();
    night + TimeDelta::minutes(minutes)
}

/// One window with a person at it.
pub(super) struct Window {
    pub session: SessionId,
    pub by: By,
}

impl Window {
    pub(super) fn of(initials: &str) -> Self {
        Self {
            session: SessionId::new(at(0)),
            by: By::new(initials, "RN"),
        }
    }

    pub(super) fn entry(&self, minute: i64, what: What) -> NewEntry {
        NewEntry {
            drain: None,
            walk: None,
            session: self.session,
            seen: at(minute),
            written: at(minute),
            by: self.by.clone(),
            rehearsal: false,
            what,
        }
    }

    pub(super) fn on(&self, minute: i64, walk: WalkId, what: What) -> NewEntry {
        NewEntry {
            walk: Some((walk, WalkState::Going)),
            ..self.entry(minute, what)
        }
    }
}

pub(super) fn begun() -> What {
    What::Begun {
        list: ListName::new("no-swing").unwrap(),
        facts: DrainFacts::new(),
        paper: None,
        shelf: Shelf::default(),
    }
}

pub(super) fn note(text: &str) -> What {
    What::Walk(Happening::Noted {
        text: text.to_owned(),
    })
}

pub(super) fn answered(step: &str) -> What {
    What::Walk(Happening::Answered {
        list: ListName::new("no-swing").unwrap(),
        step: StepName::new(step).unwrap(),
        asked: "Straighten the tubing".to_owned(),
        answer: Answer::Done,
        charts: None,
    })
}

pub(super) fn side(word: &str) -> DrainFacts {
    let side = FactName::new("side").unwrap();
    BTreeMap::from([(side, Value::Word(word.to_owned()))])
}

fn append(journal: &mut Journal, new: &NewEntry) -> Entry {
    journal.append(new).unwrap()
}

fn kinds(entries: &[Entry]) -> Vec<&str> {
    entries
        .iter()
        .map(|entry| super::kind(&entry.what))
        .collect()
}

/// Runs all of it on a journal from each call.
pub(super) fn all(fresh: &dyn Fn() -> Journal) {
    for check in [
        starts_empty,
        keeps_what_it_is_given,
        numbers_without_gaps_and_chains,
        lists_open_walks,
        needs_a_beginning,
        needs_a_drain,
        gives_a_walk_its_drain,
        attaches_a_walk_to_another_drain,
        knows_the_drains,
        refuses_the_session_before,
        leaves_notes_on_drains_to_everybody,
        adds_several_or_none,
        notes_a_clock_that_went_back,
        keeps_a_rehearsal_a_rehearsal,
        keeps_a_drain_of_a_rehearsal_one,
        gives_back_the_chart,
        changes_nothing_that_was_signed,
        keeps_texts,
        misses_a_text,
        exports_a_chain,
        adds_nothing_on_an_error,
    ] {
        check(&mut fresh());
    }
}

fn starts_empty(journal: &mut Journal) {
    assert_eq!(journal.entries_after(0).unwrap(), []);
    assert_eq!(journal.last_hash().unwrap(), None);
    assert_eq!(journal.walks().unwrap(), []);
    assert_eq!(journal.drains().unwrap(), []);
    assert_eq!(journal.walk(&WalkId::new(at(0))).unwrap(), None);
    assert_eq!(journal.drain(&DrainId::new(at(0))).unwrap(), None);
    assert_eq!(journal.doubt(), None);
    let verified = journal.verify().unwrap();
    assert_eq!((verified.entries, verified.faults), (0, vec![]));
}

fn keeps_what_it_is_given(journal: &mut Journal) {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    append(journal, &window.on(0, walk, begun()));
    let mut new = window.on(5, walk, answered("tubing"));
    new.seen = at(2);
    new.by = By::new("Å\"\u{1b}[31m\n\u{202e}", "{\"x\":1}");
    let entry = append(journal, &new);
    assert_eq!(
        (entry.seq, entry.seen, entry.written, entry.session),
        (2, at(2), at(5), window.session)
    );
    assert_eq!((&entry.what, &entry.by), (&new.what, &new.by));
    assert_eq!(entry.walk, Some(walk));
    assert_eq!(journal.entry(&entry.id).unwrap(), Some(entry.clone()));
    assert_eq!(
        journal.entry_with_hash(&entry.hash).unwrap(),
        Some(entry.clone())
    );
    assert_eq!(
        journal.entries_after(1).unwrap(),
        std::slice::from_ref(&entry)
    );
    let events = journal.walk_events(&walk).unwrap();
    assert_eq!(events.len(), 2);
    assert_eq!(events.last().cloned(), entry.event());
}

fn numbers_without_gaps_and_chains(journal: &mut Journal) {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    append(journal, &window.on(0, walk, begun()));
    for minute in 1..20 {
        append(journal, &window.on(minute, walk, note("x")));
    }
    let entries = journal.walk_entries(&walk).unwrap();
    let places: Vec<i64> = entries.iter().map(|entry| entry.seq).collect();
    assert_eq!(places, (1..=20).collect::<Vec<_>>());
    let verified = journal.verify().unwrap();
    assert_eq!((verified.entries, verified.faults), (20, vec![]));
    assert_eq!(verified.last_hash, journal.last_hash().unwrap());
    assert_eq!(
        verified.last_hash.as_ref(),
        entries.last().map(|entry| &entry.hash)
    );
}

fn lists_open_walks(journal: &mut Journal) {
    let window = Window::of("AB");
    let [going, paused, over] = [0, 1, 2].map(|minute| {
        let walk = WalkId::new(at(minute));
        append(journal, &window.on(minute, walk, begun()));
        walk
    });
    let pause = NewEntry {
        walk: Some((paused, WalkState::Paused)),
        ..window.entry(3, What::Walk(Happening::Paused))
    };
    append(journal, &pause);
    let end = NewEntry {
        walk: Some((over, WalkState::Over)),
        ..window.on(4, over, answered("end"))
    };
    append(journal, &end);
    // What does not move a walk leaves its state, whatever is handed over.
    let record = What::RecordWritten {
        path: "a.md".to_owned(),
        sha256: super::TextHash::of(b"a"),
        about: super::RecordAbout::default(),
    };
    let entry = append(journal, &window.on(5, over, record));
    assert_eq!(entry.state, None);
    let open: Vec<_> = journal
        .open_walks()
        .unwrap()
        .into_iter()
        .map(|walk| (walk.walk, walk.state))
        .collect();
    assert_eq!(
        open,
        [(going, WalkState::Going), (paused, WalkState::Paused)]
    );
    let numbers: Vec<u64> = journal
        .open_walks()
        .unwrap()
        .iter()
        .map(|walk| walk.number)
        .collect();
    assert_eq!(numbers, [1, 2]);
    let all = journal.walks().unwrap();
    assert_eq!(journal.count_walks().unwrap(), 3);
    for (walk, number) in all.iter().zip(1..) {
        assert_eq!(walk.number, number);
        assert_eq!(journal.walk(&walk.walk).unwrap().as_ref(), Some(walk));
        assert_eq!(journal.walk_numbered(number).unwrap().as_ref(), Some(walk));
    }
    for none in [0, 4, u64::MAX] {
        assert_eq!(journal.walk_numbered(none).unwrap(), None);
    }
    let summary = journal.walk(&over).unwrap().unwrap();
    assert_eq!(summary.state, WalkState::Over);
    assert_eq!((summary.first_seq, summary.last_seq), (3, 5));
    assert_eq!(summary.list.unwrap().as_str(), "no-swing");
    assert_eq!((summary.begun, summary.last_written), (at(2), at(4)));
    assert_eq!(
        (&summary.begun_by, &summary.last_by),
        (&window.by, &window.by)
    );
}

fn needs_a_beginning(journal: &mut Journal) {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    let error = journal.append(&window.on(0, walk, note("x"))).unwrap_err();
    assert_eq!(error, JournalError::NotBegun { walk });
    let error = journal.take_over(walk, window.session, &window.by, at(0), false);
    assert_eq!(error.unwrap_err(), JournalError::NotBegun { walk });
    append(journal, &window.on(0, walk, begun()));
    let error = journal.append(&window.on(1, walk, begun())).unwrap_err();
    assert_eq!(error, JournalError::BegunTwice { walk });
    let error = journal.append(&window.entry(1, note("x"))).unwrap_err();
    assert!(
        matches!(error, JournalError::Incomplete { .. }),
        "{error:?}"
    );
    let unread = What::Unread {
        kind: "later".to_owned(),
        why: String::new(),
    };
    let error = journal.append(&window.entry(1, unread)).unwrap_err();
    assert!(
        matches!(error, JournalError::Incomplete { .. }),
        "{error:?}"
    );
    assert_eq!(journal.entries_after(0).unwrap().len(), 1);
}

fn open_drain(journal: &mut Journal, window: &Window, minute: i64) -> DrainId {
    let drain = DrainId::new(at(minute));
    let new = NewEntry {
        drain: Some(drain),
        ..window.entry(
            minute,
            What::DrainOpened {
                facts: side("left"),
            },
        )
    };
    append(journal, &new);
    drain
}

fn needs_a_drain(journal: &mut Journal) {
    let window = Window::of("AB");
    let drain = DrainId::new(at(0));
    let on = |what| NewEntry {
        drain: Some(drain),
        ..window.entry(0, what)
    };
    let text = "x".to_owned();
    let what = What::DrainNote { text: text.clone() };
    let error = journal.append(&on(what.clone())).unwrap_err();
    assert_eq!(error, JournalError::UnknownDrain { drain });
    let error = journal.append(&window.entry(0, what)).unwrap_err();
    assert!(
        matches!(error, JournalError::Incomplete { .. }),
        "{error:?}"
    );
    let opened = What::DrainOpened {
        facts: side("left"),
    };
    append(journal, &on(opened.clone()));
    let error = journal.append(&on(opened)).unwrap_err();
    assert_eq!(error, JournalError::OpenedTwice { drain });
    append(journal, &on(What::DrainNote { text }));
}

fn gives_a_walk_its_drain(journal: &mut Journal) {
    let window = Window::of("AB");
    let drain = open_drain(journal, &window, 0);
    let other = open_drain(journal, &window, 1);
    let walk = WalkId::new(at(2));
    let begin = NewEntry {
        drain: Some(drain),
        ..window.on(2, walk, begun())
    };
    append(journal, &begin);
    let entry = append(journal, &window.on(3, walk, note("x")));
    assert_eq!(entry.drain, Some(drain), "taken from the walk");
    let wrong = NewEntry {
        drain: Some(other),
        ..window.on(4, walk, note("x"))
    };
    let error = journal.append(&wrong).unwrap_err();
    assert_eq!(error, JournalError::OtherDrain { walk, drain });
    assert_eq!(
        kinds(&journal.drain_entries(&drain).unwrap()),
        ["drain-opened", "begun", "noted"]
    );
    assert_eq!(
        kinds(&journal.drain_entries(&other).unwrap()),
        ["drain-opened"]
    );
}

fn attaches_a_walk_to_another_drain(journal: &mut Journal) {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    append(journal, &window.on(0, walk, begun()));
    let pause = NewEntry {
        walk: Some((walk, WalkState::Paused)),
        ..window.entry(1, What::Walk(Happening::Paused))
    };
    append(journal, &pause);
    let drain = open_drain(journal, &window, 2);
    let attach = NewEntry {
        drain: Some(drain),
        ..window.on(3, walk, What::Attached { why: String::new() })
    };
    let entry = append(journal, &attach);
    assert_eq!(
        entry.state,
        Some(WalkState::Paused),
        "the walk stands where it stood"
    );
    let entry = append(journal, &window.on(4, walk, What::Walk(Happening::Resumed)));
    assert_eq!(entry.drain, Some(drain));
    assert_eq!(journal.walk(&walk).unwrap().unwrap().drain, Some(drain));
    let of_drain = journal.drain_entries(&drain).unwrap();
    let expected = ["begun", "paused", "drain-opened", "attached", "resumed"];
    assert_eq!(
        kinds(&of_drain),
        expected,
        "what came before belongs to it too"
    );
    let error = journal
        .append(&window.on(5, walk, What::Attached { why: String::new() }))
        .unwrap_err();
    assert!(
        matches!(error, JournalError::Incomplete { .. }),
        "{error:?}"
    );
}

fn knows_the_drains(journal: &mut Journal) {
    let window = Window::of("AB");
    let first = open_drain(journal, &window, 0);
    let second = open_drain(journal, &window, 1);
    let on = |minute, drain, what| NewEntry {
        drain: Some(drain),
        ..window.entry(minute, what)
    };
    let facts = side("right");
    let why = "misread".to_owned();
    append(journal, &on(2, second, What::DrainChanged { facts, why }));
    let how = "tube removed".to_owned();
    append(
        journal,
        &on(3, first, What::DrainClosed { how: how.clone() }),
    );
    let drains = journal.drains().unwrap();
    let order: Vec<DrainId> = drains.iter().map(|drain| drain.drain).collect();
    assert_eq!(order, [first, second]);
    assert_eq!(drains[0].closed, Some((at(3), how)));
    assert_eq!((&drains[0].facts, drains[0].opened), (&side("left"), at(0)));
    assert_eq!(
        (&drains[1].facts, &drains[1].closed),
        (&side("right"), &None)
    );
    assert_eq!(journal.drain(&second).unwrap().as_ref(), drains.get(1));
    assert!(drains.iter().all(|drain| !drain.unread && !drain.rehearsal));
}

fn refuses_the_session_before(journal: &mut Journal) {
    let (first, second) = (Window::of("AB"), Window::of("CD"));
    let walk = WalkId::new(at(0));
    append(journal, &first.on(0, walk, begun()));
    let error = journal.append(&second.on(1, walk, note("x"))).unwrap_err();
    let taken = |window: &Window, minute| JournalError::TakenOver {
        walk,
        session: window.session,
        by: window.by.clone(),
        since: at(minute),
    };
    assert_eq!(error, taken(&first, 0), "held by whoever began it");
    let entry = journal
        .take_over(walk, second.session, &second.by, at(2), true)
        .unwrap()
        .unwrap();
    let what = What::TakenOver {
        from: first.session,
        in_use: true,
    };
    assert_eq!((entry.what, entry.state), (what, Some(WalkState::Going)));
    append(journal, &second.on(3, walk, note("x")));
    let error = journal
        .append(&first.on(4, walk, note("late")))
        .unwrap_err();
    assert_eq!(error, taken(&second, 2));
    let again = journal.take_over(walk, second.session, &second.by, at(5), false);
    assert_eq!(again.unwrap(), None, "held already");
    journal
        .take_over(walk, first.session, &first.by, at(6), false)
        .unwrap()
        .unwrap();
    append(journal, &first.on(7, walk, note("back")));
    let expected = ["begun", "taken-over", "noted", "taken-over", "noted"];
    assert_eq!(kinds(&journal.walk_entries(&walk).unwrap()), expected);
    assert_eq!(journal.walk_events(&walk).unwrap().len(), 3);
}

fn leaves_notes_on_drains_to_everybody(journal: &mut Journal) {
    let (first, second) = (Window::of("AB"), Window::of("CD"));
    let walk = WalkId::new(at(0));
    let begun = append(journal, &first.on(0, walk, begun()));
    let amend = What::Amended {
        entry: begun.id,
        mark: super::Mark::Addendum,
        text: "left side".to_owned(),
        why: "forgotten".to_owned(),
    };
    let entry = append(journal, &second.on(1, walk, amend));
    assert_eq!(entry.state, None);
    let drain = open_drain(journal, &second, 2);
    let text = "x".to_owned();
    let note = NewEntry {
        drain: Some(drain),
        ..first.entry(3, What::DrainNote { text })
    };
    append(journal, &note);
    append(journal, &first.on(4, walk, self::note("still mine")));
}

fn adds_several_or_none(journal: &mut Journal) {
    let window = Window::of("AB");
    let drain = DrainId::new(at(0));
    let on = |drain, what| NewEntry {
        drain: Some(drain),
        ..window.entry(1, what)
    };
    let note = |text: &str| What::DrainNote {
        text: text.to_owned(),
    };
    let opened = What::DrainOpened {
        facts: DrainFacts::new(),
    };
    append(journal, &on(drain, opened));
    let before = journal.entries_after(0).unwrap().len();
    let both = [on(drain, note("one")), on(drain, note("two"))];
    journal.append_all(&both).unwrap();
    let after = journal.entries_after(0).unwrap();
    assert_eq!(after.len(), before + 2);
    assert_eq!(after.last().map(|entry| &entry.what), Some(&note("two")));
    // The second is of a drain that is not there: the first is not kept either.
    let unknown = DrainId::new(at(9));
    let half = [on(drain, note("three")), on(unknown, note("four"))];
    assert!(matches!(
        journal.append_all(&half),
        Err(JournalError::UnknownDrain { .. })
    ));
    assert_eq!(journal.entries_after(0).unwrap().len(), before + 2);
    assert_eq!(journal.verify().unwrap().faults, []);
}

fn notes_a_clock_that_went_back(journal: &mut Journal) {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    append(journal, &window.on(60, walk, begun()));
    append(
        journal,
        &window.on(58, walk, note("two minutes are nothing")),
    );
    append(journal, &window.on(0, walk, note("an hour is")));
    let entries = journal.entries_after(0).unwrap();
    assert_eq!(kinds(&entries), ["begun", "noted", "clock-jumped", "noted"]);
    let jump = What::ClockJumped {
        from: at(58),
        to: at(0),
    };
    assert_eq!(entries[2].what, jump);
    assert_eq!((entries[2].walk, entries[2].state), (None, None));
    assert_eq!(entries[3].seq, 4);
    // One that the clock itself noticed is not noted twice.
    let jump = What::ClockJumped {
        from: at(0),
        to: at(-60),
    };
    append(journal, &window.entry(-60, jump));
    append(journal, &window.on(-59, walk, note("after it")));
    assert_eq!(journal.entries_after(4).unwrap().len(), 2);
    assert_eq!(journal.verify().unwrap().faults, []);
}

fn signed() -> What {
    What::Signed {
        seq: 1,
        hash: super::TextHash::of(b"x"),
    }
}

fn amended(entry: super::EntryId, mark: super::Mark) -> What {
    What::Amended {
        entry,
        mark,
        text: "2 cm".to_owned(),
        why: "misread".to_owned(),
    }
}

fn changes_nothing_that_was_signed(journal: &mut Journal) {
    use super::Mark;
    let window = Window::of("AB");
    let (one, other) = (WalkId::new(at(0)), WalkId::new(at(0)));
    let drain = open_drain(journal, &window, 0);
    let mut answers = Vec::new();
    for walk in [one, other] {
        let begin = NewEntry {
            drain: Some(drain),
            ..window.on(1, walk, begun())
        };
        append(journal, &begin);
        let early = journal.append(&window.on(2, walk, signed())).unwrap_err();
        assert_eq!(early, JournalError::NotOver { walk });
        let end = NewEntry {
            walk: Some((walk, WalkState::Over)),
            ..window.on(3, walk, answered("end"))
        };
        answers.push(append(journal, &end).id);
    }
    append(
        journal,
        &window.on(4, one, amended(answers[0], Mark::Wrong)),
    );
    append(journal, &window.on(5, one, signed()));
    let sealed = JournalError::Sealed {
        by: window.by.clone(),
        since: at(5),
    };
    for mark in [Mark::Wrong, Mark::EnteredInError] {
        let error = journal.append(&window.on(6, one, amended(answers[0], mark)));
        assert_eq!(error.unwrap_err(), sealed);
    }
    let added = append(
        journal,
        &window.on(7, one, amended(answers[0], Mark::Addendum)),
    );
    append(journal, &window.on(8, one, amended(added.id, Mark::Wrong)));
    let why = "wrong patient".to_owned();
    let attach = NewEntry {
        drain: Some(drain),
        ..window.on(9, one, What::Attached { why })
    };
    assert_eq!(journal.append(&attach).unwrap_err(), sealed);
    append(
        journal,
        &window.on(10, other, amended(answers[1], Mark::Wrong)),
    );
    let sign_drain = NewEntry {
        drain: Some(drain),
        ..window.entry(11, signed())
    };
    append(journal, &sign_drain);
    let error = journal.append(&window.on(12, other, amended(answers[1], Mark::Wrong)));
    assert!(
        matches!(error, Err(JournalError::Sealed { .. })),
        "signed with its drain"
    );
    let unknown = super::EntryId::new(at(0));
    let error = journal.append(&window.on(13, other, amended(unknown, Mark::Addendum)));
    assert_eq!(
        error.unwrap_err(),
        JournalError::NoSuchEntry { entry: unknown }
    );
    let nobody = NewEntry {
        by: By::new("AB", ""),
        ..window.on(14, other, signed())
    };
    assert_eq!(journal.append(&nobody).unwrap_err(), JournalError::Unsigned);
}

fn keeps_a_rehearsal_a_rehearsal(journal: &mut Journal) {
    let window = Window::of("AB");
    let real = WalkId::new(at(0));
    append(journal, &window.on(60, real, begun()));
    let walk = WalkId::new(at(0));
    let begin = NewEntry {
        rehearsal: true,
        ..window.on(0, walk, begun())
    };
    append(journal, &begin);
    let entry = append(journal, &window.on(61, walk, note("x")));
    assert!(entry.rehearsal, "the walk was begun in a rehearsal");
    assert!(journal.walk(&walk).unwrap().unwrap().rehearsal);
    assert!(!journal.walk(&real).unwrap().unwrap().rehearsal);
    let kinds = journal.entries_after(0).unwrap();
    assert_eq!(kinds.len(), 3, "a rehearsal's clock is its own");
}

fn keeps_a_drain_of_a_rehearsal_one(journal: &mut Journal) {
    let window = Window::of("AB");
    let drain = DrainId::new(at(0));
    let on = |rehearsal, new: NewEntry| NewEntry {
        drain: Some(drain),
        rehearsal,
        ..new
    };
    let opened = What::DrainOpened {
        facts: side("left"),
    };
    append(journal, &on(true, window.entry(0, opened)));
    let text = "x".to_owned();
    let note = append(
        journal,
        &on(false, window.entry(1, What::DrainNote { text })),
    );
    let walk = WalkId::new(at(2));
    let begun = append(journal, &on(false, window.on(2, walk, begun())));
    assert!(note.rehearsal && begun.rehearsal);
    assert!(journal.drain(&drain).unwrap().unwrap().rehearsal);
}

fn gives_back_the_chart(journal: &mut Journal) {
    use crate::chart::reading::Reading;
    use crate::chart::{ChartEvent, EntryId, What as Chart};
    use crate::units::Number;
    let window = Window::of("AB");
    let drain = open_drain(journal, &window, 0);
    let reading = |level| {
        Some(Arc::new(Reading {
            level: Some(Number::whole(level)),
            ..Reading::default()
        }))
    };
    let charted = [
        Chart::Reading(reading(100).unwrap()),
        Chart::Event(ChartEvent::Transfer),
        Chart::Correction {
            of: EntryId(2),
            reading: reading(110),
        },
    ];
    for (minute, what) in (10..).zip(charted.clone()) {
        let mut new = window.entry(minute, What::Charted(what));
        let error = journal.append(&new).unwrap_err();
        assert!(
            matches!(error, JournalError::Incomplete { .. }),
            "no drain: {error:?}"
        );
        new.drain = Some(drain);
        new.seen = at(minute - 5);
        append(journal, &new);
    }
    let entries = journal.chart_entries(&drain).unwrap();
    let found: Vec<_> = entries.iter().map(|entry| (entry.id.0, entry.at)).collect();
    assert_eq!(found, [(2, at(5)), (3, at(6)), (4, at(7))]);
    assert_eq!(entries[0].written_at, at(10));
    let whats: Vec<_> = entries.into_iter().map(|entry| entry.what).collect();
    assert_eq!(whats, charted);
}

fn keeps_texts(journal: &mut Journal) {
    let texts = ["", "checklist: a\n", "\u{feff}é\0\u{1b}[31m\r\n\u{202e}🫁"];
    for text in texts {
        let hash = journal.put_text(text).unwrap();
        assert_eq!(journal.put_text(text).unwrap(), hash);
        assert_eq!(journal.text(&hash).unwrap().as_deref(), Some(text));
    }
    assert_eq!(journal.text(&super::TextHash::of(b"none")).unwrap(), None);
    // Several at once: two new and alike, one that is there already.
    let several = ["new", texts[1], "new"];
    let hashes = journal.put_texts(&several).unwrap();
    assert_eq!(journal.put_texts(&several).unwrap(), hashes);
    for (hash, text) in hashes.iter().zip(several) {
        assert_eq!(journal.text(hash).unwrap().as_deref(), Some(text));
    }
    let verified = journal.verify().unwrap();
    assert_eq!((verified.texts, verified.faults), (4, vec![]));
}

fn misses_a_text(journal: &mut Journal) {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    let kept = journal.put_text("kept").unwrap();
    let lost = super::TextHash::of(b"lost");
    let files = BTreeMap::from([
        ("a.yaml".to_owned(), kept),
        ("b.yaml".to_owned(), lost.clone()),
    ]);
    let what = What::Begun {
        list: ListName::new("a").unwrap(),
        facts: DrainFacts::new(),
        paper: None,
        shelf: Shelf {
            files,
            approval: "approved by EF on 2026-01-01".to_owned(),
        },
    };
    append(journal, &window.on(0, walk, what));
    let faults = journal.verify().unwrap().faults;
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].seq, Some(1));
    assert_eq!(faults[0].what, FaultKind::TextMissing(lost));
}

fn exports_a_chain(journal: &mut Journal) {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    append(journal, &window.on(0, walk, begun()));
    for text in ["a\nb", "\u{2028}", "\"}"] {
        append(journal, &window.on(1, walk, note(text)));
    }
    let mut out = Vec::new();
    let exported = journal.export(&mut out).unwrap();
    assert_eq!(exported.entries, 4);
    assert_eq!(exported.last_hash, journal.last_hash().unwrap());
    let text = String::from_utf8(out).unwrap();
    let mut prev = "0".repeat(64);
    for line in text.split_inclusive('\n') {
        let json: serde_json::Value = serde_json::from_str(line).unwrap();
        assert_eq!(json["prev"], prev.as_str());
        prev = super::TextHash::of(line.as_bytes()).to_string();
    }
    assert_eq!(Some(prev), exported.last_hash);
    assert_eq!(text.matches('\n').count(), 4);
}

fn adds_nothing_on_an_error(journal: &mut Journal) {
    let window = Window::of("AB");
    let walk = WalkId::new(at(0));
    append(journal, &window.on(60, walk, begun()));
    // The note of the clock would come first, but the entry itself cannot be added.
    let other = WalkId::new(at(1));
    journal.append(&window.on(0, other, note("x"))).unwrap_err();
    assert_eq!(journal.entries_after(0).unwrap().len(), 1);
    struct Full;
    impl std::io::Write for Full {
        fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
            Err(std::io::ErrorKind::BrokenPipe.into())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let error = journal.export(&mut Full).unwrap_err();
    let kind = std::io::ErrorKind::BrokenPipe;
    assert!(matches!(error, JournalError::Output { kind: found, .. } if found == kind));
}

#[test]
fn in_memory() {
    all(&Journal::in_memory);
    let journal = Journal::in_memory();
    let error = journal.backup(std::path::Path::new("x")).unwrap_err();
    assert_eq!(error, JournalError::InMemory);
    assert_eq!(journal.path(), None);
}
