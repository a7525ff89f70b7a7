//! What a file says is what the checked list holds.

use tubeside::checklist::load::load;
use tubeside::checklist::model::{
    CallLevel, Checklist, Cut, Jump, Library, ListKind, Mode, Outcome, Period, StepKind, Test,
    Value, Way,
};
use tubeside::checklist::shelf::{Shelf, SourceFile, fingerprint};
use tubeside::units::{Amount, Number, Span, Unit};

use super::{base, folder, load_with, read};

fn every_key() -> Library {
    let bytes = read(&folder().join("good/every-key.yaml"));
    load_with("checklists/every-key.yaml", &bytes)
        .library
        .expect("a library")
}

fn list(library: &Library) -> &Checklist {
    library.list(library.find("every-key").expect("the list"))
}

fn kind<'l>(list: &'l Checklist, name: &str) -> &'l StepKind {
    &list
        .step(list.find(name).unwrap_or_else(|| panic!("no step {name}")))
        .kind
}

/// A way as "step", "step<=2>other", "use list".
fn said(library: &Library, list: &Checklist, way: &Way) -> String {
    match way {
        Way::Jump(jump) => jumped(list, jump),
        Way::Use { list: used, .. } => format!("use {}", library.list(*used).name),
    }
}

fn jumped(list: &Checklist, jump: &Jump) -> String {
    match jump {
        Jump::To(step) => list.step(*step).name.to_string(),
        Jump::Counted {
            go,
            at_most,
            after_that,
            ..
        } => {
            format!(
                "{}<={at_most}>{}",
                list.step(*go).name,
                list.step(*after_that).name
            )
        }
    }
}

#[test]
fn the_head_is_kept() {
    let library = every_key();
    let list = list(&library);
    assert_eq!(list.title, "Every key of the language once");
    assert_eq!(
        (list.version.as_str(), list.kind, list.mode),
        ("1.2.30", ListKind::Fault, Mode::ReadDo)
    );
    assert_eq!(list.signs, ["no swing", "level not moving"]);
    assert_eq!(
        list.about.as_deref(),
        Some("A list for tests, in two lines.")
    );
    assert_eq!(
        list.review_by.map(|day| day.to_string()).as_deref(),
        Some("2027-06-30")
    );
    assert_eq!(list.change.len(), 2);
    assert_eq!(list.step(list.begin).name.as_str(), "tubing");
    assert_eq!(
        list.fingerprint,
        fingerprint(&read(&folder().join("good/every-key.yaml")))
    );
    let names: Vec<_> = library
        .lists()
        .map(|(_, list)| list.name.as_str())
        .collect();
    assert_eq!(names, ["every-key", "held", "helper"]);
}

#[test]
fn a_do_and_what_any_step_may_say_are_kept() {
    let library = every_key();
    let list = list(&library);
    let step = list.step(list.find("tubing").expect("the step"));
    let StepKind::Do {
        text,
        then,
        if_not_done,
    } = &step.kind
    else {
        panic!("a do")
    };
    let filled = text.filled(|name| format!("<{name}>"));
    assert_eq!(
        filled,
        "Straighten the tubing from chest to drainage unit. Clamps are <cupboard>."
    );
    assert_eq!(said(&library, list, then), "look");
    assert_eq!(said(&library, list, if_not_done), "call");
    let sources: Vec<_> = step.source.iter().map(|name| name.as_str()).collect();
    assert_eq!(sources, ["book", "paper"]);
    assert!(step.critical && !step.from_memory);
    let remember = step.remember.as_ref().expect("remembered");
    assert_eq!(
        (remember.name.as_str(), remember.good_for),
        ("straightened", Some(Span::minutes(15)))
    );
    assert_eq!(step.opens[0].as_str(), "clamp");
    assert_eq!(
        library.duty(&step.opens[0]).expect("the duty").within,
        Some(Span::minutes(10))
    );
}

#[test]
fn counted_ways_and_endings_are_kept() {
    let library = every_key();
    let list = list(&library);
    let StepKind::Check {
        not_as_expected, ..
    } = kind(list, "look")
    else {
        panic!("a check")
    };
    assert_eq!(said(&library, list, not_as_expected), "tubing<=3>call");
    let StepKind::Use {
        list: used,
        endings,
    } = kind(list, "again")
    else {
        panic!("a use")
    };
    assert_eq!(library.list(*used).name.as_str(), "helper");
    let led: Vec<_> = endings
        .by_outcome
        .iter()
        .map(|(outcome, jump)| (*outcome, jumped(list, jump)))
        .collect();
    assert_eq!(
        led,
        [
            (Outcome::Working, "fine".to_owned()),
            (Outcome::Escalated, "tubing<=2>call".to_owned())
        ]
    );
    assert!(endings.any.is_none());
    assert_eq!(list.counters(), 2);
}

#[test]
fn bands_are_resolved() {
    let library = every_key();
    let list = list(&library);
    let StepKind::Measure {
        unit,
        plausible,
        bands,
        ..
    } = kind(list, "seal")
    else {
        panic!("a measure")
    };
    assert_eq!(
        (*unit, *plausible),
        (Unit::Cm, (Number::whole(0), Number::whole(30)))
    );
    let words: Vec<_> = bands
        .iter()
        .map(|band| band.words.filled(|name| format!("<{name}>")))
        .collect();
    assert_eq!(
        words,
        [
            "below <seal-low>",
            "<seal-low> to 5 cm",
            "above 5 to below 10 cm",
            "at least 10 cm"
        ]
    );
    let (cut, with) = bands[0].range.to.as_ref().expect("an upper end");
    assert!(matches!(cut, Cut::Fact(name, number)
        if name.as_str() == "seal-low" && *number == Number::whole(2)));
    assert!(!with);
    assert_eq!(said(&library, list, &bands[3].way), "use helper");
    let StepKind::Measure { bands, .. } = kind(list, "loss") else {
        panic!("a measure")
    };
    let (cut, with) = bands[0].range.to.as_ref().expect("an upper end");
    assert!(matches!(cut, Cut::PerKg(_, number) if *number == Number::whole(3)));
    assert!(with);
}

#[test]
fn waits_and_decisions_are_resolved() {
    let library = every_key();
    let list = list(&library);
    let StepKind::Wait {
        period, late_after, ..
    } = kind(list, "watch")
    else {
        panic!("a wait")
    };
    assert!(matches!(period, Period::Fact { name, unset }
        if name.as_str() == "pause" && *unset == Span::minutes(60)));
    assert_eq!(*late_after, Span::minutes(5));
    let StepKind::Decide { rows, .. } = kind(list, "decide") else {
        panic!("a decide")
    };
    let words = |words: &[&str]| Test::OneOf(words.iter().map(|word| (*word).to_owned()).collect());
    assert_eq!(rows[0].when[0].test, words(&["done"]));
    assert_eq!(rows[0].when[1].test, words(&["as-expected", "not-checked"]));
    assert!(matches!(&rows[1].when[0].test, Test::Within(range) if range.to.is_none()));
    assert_eq!(rows[1].when[1].test, Test::Known);
    assert_eq!(rows[2].when[0].test, Test::Unknown);
    // `no` is the word, not a truth value.
    assert_eq!(rows[2].when[1].test, words(&["no"]));
    let Test::Within(range) = &rows[2].when[2].test else {
        panic!("numbers")
    };
    assert_eq!(range.from, Some((Cut::Fixed(Number::whole(50)), false)));
}

#[test]
fn a_fact_that_is_not_filled_in_cuts_nothing() {
    let list = "checklist: loss\ntitle: Loss\nversion: 1.0.0\nkind: task\nmode: read-do\nsigns: [loss]\n\
                owner: Lead\nsources: {book: A book}\nbegin: loss\nsteps:\n  loss:\n    measure: Loss\n    \
                unit: L\n    plausible: 0 to 3\n    source: book\n    bands:\n      - below spill: fine\n      \
                - at least spill: fine\n    not_obtained: fine\n  fine: {end: Fine., outcome: ready}\n";
    let cut = |library: &Library| {
        let list = library.list(library.find("loss").expect("the list"));
        match kind(list, "loss") {
            StepKind::Measure { bands, .. } => bands[0].range.to.clone().expect("an end").0,
            _ => panic!("a measure"),
        }
    };
    let unset = load_with("checklists/loss.yaml", list.as_bytes())
        .library
        .expect("a library");
    assert!(matches!(cut(&unset), Cut::Unset(name) if name.as_str() == "spill"));

    let file = |path: &str, text: &str| SourceFile {
        path: path.to_owned(),
        bytes: text.as_bytes().to_vec(),
    };
    let local = "unit: Ward Nine\nzone: Europe/London\nfacts: {spill: 0.5 L, pause: 30 min}\n\
                 calls: {doctor-now: [{who: Doctor, how: \"ring 00\", wait: 2 min}]}\n";
    let shelf = Shelf::from_files(base()).with_unit(
        "ward-nine",
        [
            file("local.yaml", local),
            file("checklists/loss.yaml", list),
        ],
    );
    let set = load(&shelf).library.expect("a library");
    assert!(matches!(cut(&set), Cut::Fact(_, number) if number == Number::from_milli(500)));
    let spill = set.facts().get("spill").expect("the fact");
    // In the unit of its definition.
    assert_eq!(
        spill.value,
        Some(Value::Amount(Amount::new(Number::whole(500), Unit::Ml)))
    );
    let unit = set.unit().expect("the unit");
    assert_eq!(
        (unit.name.as_str(), unit.zone.name()),
        ("Ward Nine", "Europe/London")
    );
    assert_eq!(set.ladder(CallLevel::DoctorNow)[0].wait, Span::minutes(2));
    assert!(set.ladder(CallLevel::Emergency).is_empty());
}

#[test]
fn problems_of_a_unit_name_its_folder() {
    let file = SourceFile {
        path: "local.yaml".to_owned(),
        bytes: b"unit: Ward Nine\n".to_vec(),
    };
    let loaded = load(&Shelf::from_files(base()).with_unit("ward-nine/", [file]));
    let lines: Vec<_> = loaded
        .problems
        .iter()
        .map(|problem| problem.line())
        .collect();
    assert_eq!(
        lines,
        [
            "ward-nine/local.yaml:1:1: error[missing-key]: local.yaml needs the key \"zone\", and it is not there"
        ]
    );
}
