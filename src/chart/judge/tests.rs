//! Published limits with published values, and the rules about saying things once.

use std::sync::Arc;

use crate::chart::limit::{
    Call, Change, Concerns, Cut, Finding, Judgement, Limit, LimitValue, Patient, Population, Shape,
    WhyRefused, Window,
};
use crate::chart::series::tests::{at, entry, hourly, level, new_unit, start};
use crate::chart::{ChartEvent, DrainStart, EntryId, NoWeight, Series, What};
use crate::names::FactName;
use crate::units::{Amount, Number, Span, Unit};

/// The windows that go with the published values, as the list of limits has them: 100 mL in 1 to
/// 2 h, 1500 mL in 24 h, the others by the hour.
fn window(name: &str) -> Option<Span> {
    match name {
        "blood-adult-call" => Some(Span::minutes(120)),
        "blood-adult-emergency" => Some(Span::minutes(24 * 60)),
        "effusion-adult-rate-warn" | "effusion-adult-rate-call" => Some(Span::minutes(60)),
        "blood-child-call" | "blood-child-emergency" | "blood-child-initial" => {
            Some(Span::minutes(60))
        }
        _ => None,
    }
}

fn value(name: &str, value: &str, population: Population) -> LimitValue {
    LimitValue {
        name: FactName::new(name).unwrap(),
        value: Amount::parse(value).unwrap(),
        population: Some(population),
        means: format!("meaning of {name}"),
        source: format!("source of {name}"),
        window: window(name),
        hours: match name {
            "blood-adult-rate" => Some(2),
            "blood-child-rate" => Some(3),
            _ => None,
        },
    }
}

fn limit(name: &str, amount: &str) -> Limit {
    let population = match name.contains("child") {
        true => Population::Child,
        false => Population::Adult,
    };
    Limit::watched(value(name, amount, population)).unwrap()
}

/// Values: NSW Agency for Clinical Innovation, 2014, table 2 (call); Advanced Trauma Life Support,
/// 10th edition, as quoted by the Royal College of Emergency Medicine (emergency and rate).
fn adult_blood() -> Vec<Limit> {
    vec![
        limit("blood-adult-call", "100 mL"),
        limit("blood-adult-emergency", "1500 mL"),
        limit("blood-adult-rate", "200 mL/h"),
    ]
}

/// Values: paediatric-surgery handbook page on haemothorax in children (3 mL/kg), Royal Children's
/// Hospital Melbourne (5 mL/kg, from memory).
fn child_blood() -> Vec<Limit> {
    vec![
        limit("blood-child-call", "3 mL/kg"),
        limit("blood-child-emergency", "5 mL/kg"),
        limit("blood-child-rate", "3 mL/kg/h"),
    ]
}

fn adult(drains: Concerns) -> Patient {
    Patient {
        population: Some(Population::Adult),
        weight: None,
        drains: Some(drains),
    }
}

fn child(kg: i32, drains: Concerns) -> Patient {
    Patient {
        population: Some(Population::Child),
        weight: Some(Number::whole(kg)),
        drains: Some(drains),
    }
}

/// What happened, as (minutes after the start, limit, change).
fn said(series: &Series, limits: &[Limit], patient: Patient) -> Vec<(i64, String, Change)> {
    let judgement = Judgement::of(series, limits, &patient);
    let said = judgement.happened.iter().map(|h| {
        let name = h.finding.limit.value.name.to_string();
        ((h.at - at(0)).num_minutes(), name, h.change)
    });
    said.collect()
}

/// Only what was met, without doubts and clearings.
fn met(series: &Series, limits: &[Limit], patient: Patient) -> Vec<(i64, String)> {
    let said = said(series, limits, patient).into_iter();
    said.filter(|s| s.2 == Change::Met)
        .map(|s| (s.0, s.1))
        .collect()
}

fn named(list: &[(i64, &str)]) -> Vec<(i64, String)> {
    list.iter()
        .map(|(at, name)| (*at, (*name).to_owned()))
        .collect()
}

// NSW Agency for Clinical Innovation, 2014, Pleural Drains in Adults, table 2: above 100 mL.
#[test]
fn blood_above_a_hundred_in_two_hours_calls_the_doctor() {
    let blood = adult(Concerns::Blood);
    let call = named(&[(120, "blood-adult-call")]);
    assert_eq!(met(&hourly(&[60, 105]), &adult_blood(), blood), call);
    assert_eq!(met(&hourly(&[50, 100]), &adult_blood(), blood), []);
    // In any two hours, not only in those of the chart: 30 + 50 + 50 + 30.
    let half_hours = [(90, 30), (150, 80), (210, 130), (270, 160)];
    let entries = half_hours
        .iter()
        .zip(1..)
        .map(|((m, ml), id)| entry(id, *m, level(*ml)));
    assert_eq!(
        met(&Series::new(start(), entries), &adult_blood(), blood),
        []
    );
}

// The same, and Scottish Intensive Care Society, Adult Medical Emergency Handbook (pause of an hour).
#[test]
fn effusion_warns_at_one_litre_and_stops_at_one_and_a_half() {
    let limits = [
        limit("effusion-adult-warn", "1000 mL"),
        limit("effusion-adult-stop", "1500 mL"),
    ];
    let fluid = adult(Concerns::Effusion);
    let slow = |levels: &[i32]| met(&hourly(levels), &limits, fluid);
    assert_eq!(slow(&[500, 990]), []);
    assert_eq!(slow(&[500, 1000]), named(&[(120, "effusion-adult-warn")]));
    assert_eq!(
        slow(&[500, 1000, 1500]),
        named(&[(120, "effusion-adult-warn"), (180, "effusion-adult-stop")])
    );
    let paused = [
        entry(1, 60, level(1000)),
        entry(2, 70, What::Event(ChartEvent::ClampOn)),
        entry(3, 130, What::Event(ChartEvent::ClampOff)),
        entry(4, 190, level(1600)),
    ];
    assert_eq!(
        said(&Series::new(start(), paused), &limits, fluid),
        [
            (60, "effusion-adult-warn".to_owned(), Change::Met),
            (190, "effusion-adult-warn".to_owned(), Change::Cleared),
        ]
    );
}

// Queen's University School of Medicine, chest tube module: 1.5 L in 30 min is too fast.
#[test]
fn one_and_a_half_litres_in_half_an_hour_is_too_fast() {
    let too_fast = Limit {
        value: value("too-fast", "1500 mL", Population::Adult),
        shape: Shape {
            window: Window::InAny(Span::minutes(30)),
            cut: Cut::AtLeast,
            call: Call::DoctorNow,
            concerns: None,
            not_before: Span(0),
        },
    };
    let after = |minutes| Series::new(start(), [entry(1, minutes, level(1500))]);
    let fluid = adult(Concerns::Effusion);
    let limits = [too_fast];
    assert_eq!(met(&after(30), &limits, fluid).len(), 1);
    assert_eq!(met(&after(31), &limits, fluid).len(), 0);
}

// Advanced Trauma Life Support, 10th edition, as quoted by the Royal College of Emergency Medicine.
#[test]
fn one_and_a_half_litres_at_once_is_an_emergency() {
    let at_once = |ml| {
        let series = Series::new(start(), [entry(1, 0, level(ml))]);
        met(&series, &adult_blood(), adult(Concerns::Blood))
    };
    assert_eq!(
        at_once(1500),
        named(&[(0, "blood-adult-call"), (0, "blood-adult-emergency")])
    );
    assert_eq!(at_once(1499), named(&[(0, "blood-adult-call")]));
}

// The same: more than 200 mL/h for 2 to 4 h.
#[test]
fn more_than_two_hundred_in_two_hours_one_after_the_other_is_an_emergency() {
    let blood = adult(Concerns::Blood);
    let rates = [limit("blood-adult-rate", "200 mL/h")];
    let emergency = named(&[(120, "blood-adult-rate")]);
    assert_eq!(met(&hourly(&[210, 430]), &rates, blood), emergency);
    assert_eq!(met(&hourly(&[210, 400, 610]), &rates, blood), []);
    let all = met(&hourly(&[210, 400, 610]), &adult_blood(), blood);
    assert_eq!(all, named(&[(60, "blood-adult-call")]));
    // One reading after the first hour is not yet two hours, however much it shows.
    assert_eq!(met(&hourly(&[900]), &rates, blood), []);
}

// Paediatric-surgery handbook page; Royal Children's Hospital Melbourne (from memory).
#[test]
fn a_childs_limits_go_by_weight() {
    let twenty = child(20, Concerns::Blood);
    let call = named(&[(60, "blood-child-call")]);
    assert_eq!(met(&hourly(&[62]), &child_blood(), twenty), call);
    assert_eq!(met(&hourly(&[58]), &child_blood(), twenty), []);
    let judgement = Judgement::of(&hourly(&[62]), &child_blood(), &twenty);
    let found = &judgement.happened[0].finding.value;
    assert_eq!((found.nominal.milli(), found.unit), (3_100, Unit::MlPerKg));
    assert_eq!(
        met(&hourly(&[60]), &child_blood(), child(12, Concerns::Blood)),
        named(&[(60, "blood-child-call"), (60, "blood-child-emergency")])
    );
    let steady = met(&hourly(&[60, 120, 180]), &child_blood(), twenty);
    assert!(steady.contains(&(180, "blood-child-rate".to_owned())));
}

#[test]
fn a_childs_limits_are_refused_without_a_weight() {
    let unknown = Patient {
        weight: None,
        ..child(1, Concerns::Blood)
    };
    let judgement = Judgement::of(&hourly(&[500]), &child_blood(), &unknown);
    assert_eq!(judgement.happened, []);
    let why: Vec<_> = judgement.refused.iter().map(|r| r.why).collect();
    assert_eq!(why, [WhyRefused::NoWeight(NoWeight); 3]);
}

// British Thoracic Society, 2005, Thorax 60 supplement 1 (second-hand): 10 mL/kg.
#[test]
fn a_child_of_fourteen_kilograms_pauses_at_a_hundred_and_forty() {
    let limits = [limit("effusion-child-stop", "10 mL/kg")];
    let fourteen = child(14, Concerns::Effusion);
    assert_eq!(met(&hourly(&[139]), &limits, fourteen), []);
    assert_eq!(met(&hourly(&[140]), &limits, fourteen).len(), 1);
}

// Don't Forget the Bubbles, 2013, Chest drains: a child after an operation.
#[test]
fn a_local_profile_after_an_operation_can_be_written() {
    let profile = |amount, cut, not_before| Limit {
        value: value("after-operation", amount, Population::Child),
        shape: Shape {
            window: Window::InAny(Span::minutes(60)),
            cut,
            call: Call::DoctorNow,
            concerns: None,
            not_before: Span::minutes(not_before),
        },
    };
    let ten = child(10, Concerns::Blood);
    let early = [profile("5 mL/kg/h", Cut::Above, 0)];
    let later = [profile("2 mL/kg/h", Cut::Above, 120)];
    let surgeon = [profile("10 mL/kg/h", Cut::Above, 0)];
    let series = hourly(&[50, 100, 121]);
    assert_eq!(met(&series, &early, ten), []);
    assert_eq!(met(&series, &later, ten).len(), 1);
    assert_eq!(met(&hourly(&[50, 100, 120]), &later, ten), []);
    assert_eq!(met(&hourly(&[101]), &surgeon, ten).len(), 1);
    assert_eq!(met(&hourly(&[100]), &surgeon, ten), []);
}

#[test]
fn a_limit_is_said_once_until_it_is_worse_and_its_clearing_is_kept() {
    let call = [limit("blood-adult-call", "100 mL")];
    let series = hourly(&[60, 120, 180, 260, 265, 270]);
    let name = || "blood-adult-call".to_owned();
    assert_eq!(
        said(&series, &call, adult(Concerns::Blood)),
        [
            (120, name(), Change::Met),
            (240, name(), Change::Worse),
            (300, name(), Change::Cleared),
        ]
    );
    let judgement = Judgement::of(&series, &call, &adult(Concerns::Blood));
    assert!(judgement.standing().is_empty());
    let earlier = Judgement::of(&hourly(&[60, 120, 180]), &call, &adult(Concerns::Blood));
    assert_eq!(earlier.standing().len(), 1);
    assert_eq!(judgement.news(&earlier).len(), 2);
}

#[test]
fn a_range_across_the_limit_says_to_read_again() {
    let call = [limit("blood-adult-call", "100 mL")];
    let blood = adult(Concerns::Blood);
    let judge = |levels: &[i32]| Judgement::of(&hourly(levels), &call, &blood);
    let over = judge(&[60, 104]);
    assert_eq!(over.happened[0].change, Change::Met);
    let lines = over.happened[0].lines();
    assert_eq!(
        lines,
        [
            "Limit met: meaning of blood-adult-call",
            "104 mL (99 to 109) from 04 Mar 10:00 to 04 Mar 12:00; the limit is above 100 mL",
            "Call: doctor-now",
            "The range lies across the limit: read again in 15 min",
            "Source: source of blood-adult-call",
        ]
    );
    let under = judge(&[60, 97]);
    assert_eq!(under.happened[0].change, Change::Doubtful);
    assert!(
        under.happened[0]
            .lines()
            .iter()
            .any(|l| l.contains("again in 15 min"))
    );
    let Finding { from, to, .. } = under.happened[0].finding;
    let series = hourly(&[60, 97]);
    assert_eq!(series.rests_on(from, to), [EntryId(1), EntryId(2)]);
    assert!(judge(&[50, 95]).happened.is_empty());
    // Without a graduation there is no range, and so no doubt.
    let plain = DrainStart {
        graduation: None,
        ..start()
    };
    let series = Series::new(plain, [entry(1, 60, level(97))]);
    assert!(Judgement::of(&series, &call, &blood).happened.is_empty());
}

#[test]
fn only_limits_of_an_output_are_watched() {
    let suction = value("suction-refuse", "25 cmH2O", Population::Adult);
    assert_eq!(Limit::watched(suction), None);
    // A unit that does not fit is refused, not guessed at.
    let wrong = [
        limit("blood-adult-call", "100 cm"),
        limit("effusion-adult-stop", "5 mL/h"),
    ];
    let judgement = Judgement::of(&hourly(&[500]), &wrong, &Patient::default());
    let why: Vec<_> = judgement.refused.iter().map(|r| r.why).collect();
    assert_eq!(
        why,
        [
            WhyRefused::WrongUnit(Unit::Cm),
            WhyRefused::WrongUnit(Unit::MlPerH)
        ]
    );
}

#[test]
fn which_limits_are_watched() {
    let call = [limit("blood-adult-call", "100 mL")];
    let series = hourly(&[200]);
    let watched = |patient| !met(&series, &call, patient).is_empty();
    assert!(watched(Patient::default()));
    assert!(watched(adult(Concerns::Blood)));
    assert!(!watched(adult(Concerns::Effusion)));
    assert!(!watched(child(20, Concerns::Blood)));
    // Once blood is seen, the limits for blood hold.
    let mut bloody = level(200);
    if let What::Reading(reading) = &mut bloody {
        Arc::make_mut(reading).fluid = Some(crate::chart::reading::FluidLook::Bloody);
    }
    let series = Series::new(start(), [entry(1, 60, bloody)]);
    assert_eq!(met(&series, &call, adult(Concerns::Effusion)).len(), 1);
}

#[test]
fn a_limit_is_watched_across_a_change_of_drainage_unit() {
    let entries = [
        entry(1, 60, level(60)),
        entry(2, 60, new_unit(None)),
        entry(3, 120, level(45)),
    ];
    let series = Series::new(start(), entries);
    let judgement = Judgement::of(&series, &adult_blood(), &adult(Concerns::Blood));
    assert_eq!(judgement.happened.len(), 1);
    let found = &judgement.happened[0].finding;
    // The first reading, the start's mark exact, then the second reading: half a graduation each.
    assert_eq!(found.value.to_string(), "105 mL (95 to 115)");
    assert!(found.straddles && !found.partial);
}
