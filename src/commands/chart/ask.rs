//! Asks for a reading, field by field. What does not apply is not asked; the last value is shown
//! and never filled in; everything may be not obtained; an unlikely value is typed twice.

use std::sync::Arc;

use crate::chart::import::{Column, field};
use crate::chart::plausible::{Doubt, doubts};
use crate::chart::reading::{Bubbling, Reading};
use crate::chart::{BaselineReason, What};
use crate::failure::{Failure, Kind};
use crate::moment::Moment;
use crate::screen::{Item, Menu, Picked, Screen, Stopped, TextQuestion, Tone};
use crate::units::{Amount, Number, Unit};

use super::super::charting::Chart;
use super::super::desk::Desk;
use super::super::failures::stopped_unstored;
use super::add::lower;
use super::store::New;

/// A field with its question, and how a number is written.
struct Question {
    column: Column,
    asks: &'static str,
    hint: &'static str,
}

const fn ask(column: Column, asks: &'static str, hint: &'static str) -> Question {
    Question { column, asks, hint }
}

/// The questions in the order of a look: the drainage unit from the bottom up, the tube, the
/// patient.
const QUESTIONS: &[Question] = &[
    ask(
        Column::Level,
        "Level on the drainage unit",
        "with its unit, like 320 mL",
    ),
    ask(Column::Fluid, "How does the fluid look?", ""),
    ask(
        Column::Swing,
        "How does the level in the seal move with the breath?",
        "",
    ),
    ask(Column::Bubbling, "When does it bubble?", ""),
    ask(Column::Chamber, "Where does it bubble?", ""),
    ask(
        Column::SealDepth,
        "Depth of the water seal",
        "with its unit, like 2 cm",
    ),
    ask(
        Column::SuctionOrdered,
        "Suction ordered, below atmospheric pressure",
        "with its unit, like 20 cmH2O",
    ),
    ask(
        Column::SuctionSet,
        "Suction as it is set",
        "with its unit, like 20 cmH2O",
    ),
    ask(
        Column::SuctionIndicated,
        "Suction as the drainage unit shows it",
        "with its unit, like 20 cmH2O",
    ),
    ask(
        Column::Tubing,
        "The tubing, from chest to drainage unit",
        "",
    ),
    ask(Column::Position, "How does the drainage unit stand?", ""),
    ask(Column::Dressing, "The dressing and the fixing", ""),
    ask(Column::Emphysema, "Air under the skin", ""),
    ask(Column::Breaths, "Breaths a minute", "like 18"),
    ask(Column::Saturation, "Oxygen saturation", "per cent, like 96"),
    ask(
        Column::Oxygen,
        "Oxygen given",
        "with its unit, like 2 L/min or 28 %",
    ),
    ask(Column::HeartRate, "Heart beats a minute", "like 88"),
    ask(Column::BloodPressure, "Blood pressure", "mmHg, like 120/80"),
    ask(Column::Pain, "Pain, 0 to 10", "like 2"),
    ask(Column::Action, "What was done", "a few words, no names"),
];

/// Asks every question that applies.
///
/// # Errors
/// A failure when no reply can be had.
pub fn reading(desk: &Desk, chart: &Chart, screen: &mut dyn Screen) -> Result<Reading, Failure> {
    let mut reading = Reading::default();
    for question in QUESTIONS {
        if !applies(chart, question.column, &reading) {
            continue;
        }
        let last = last_of(chart, question.column);
        let text = match question.column.choices() {
            words if words.is_empty() => number(desk, chart, screen, question, &last)?,
            words => choice(screen, question, &words, &last)?,
        };
        if let Some(text) = text {
            field(question.column.word(), &text, &mut reading)
                .map_err(|why| Failure::usage(why.to_string()))?;
        }
    }
    Ok(reading)
}

fn applies(chart: &Chart, column: Column, so_far: &Reading) -> bool {
    let is = |fact: &str, word: &str| chart.fact(fact).is_some_and(|value| value == word);
    match column {
        Column::Fluid => so_far.level != Some(Number::whole(0)),
        // Bubbling in a wet suction chamber is taken for a leak most easily.
        Column::Chamber => {
            so_far.bubbling.is_some_and(|b| b != Bubbling::None)
                && !is("suction", "none")
                && !is("suction-control", "dry")
        }
        Column::SuctionOrdered => !is("suction", "none") && chart.fact("suction-order").is_none(),
        Column::SuctionSet | Column::SuctionIndicated => !is("suction", "none"),
        Column::SeenAt | Column::SwingHeight => false,
        _ => true,
    }
}

/// The last value of a field and when it was seen, in words.
fn last_of(chart: &Chart, column: Column) -> Option<String> {
    let mut readings = chart.series.readings().rev();
    readings.find_map(|(entry, reading)| {
        let value = column.shown(reading)?;
        Some(format!(
            "last: {value} at {}",
            entry.at.format("%d %b %H:%M")
        ))
    })
}

fn choice(
    screen: &mut dyn Screen,
    question: &Question,
    words: &[&str],
    last: &Option<String>,
) -> Result<Option<String>, Failure> {
    let shown = |word: &&str| Item::numbered(in_menu(question.column, word));
    let mut items: Vec<Item> = words.iter().map(shown).collect();
    items.push(Item::keyed('o', "not obtained"));
    let menu = Menu {
        title: question.asks.to_owned(),
        lines: last
            .iter()
            .map(|last| (Tone::Quiet, last.clone()))
            .collect(),
        items,
        ..Menu::default()
    };
    let picked = match screen.choose(&menu).map_err(|why| stopped_unstored(&why))? {
        Picked::Item(index) => words.get(index).map(|word| (*word).to_owned()),
        Picked::Leave | Picked::Again => None,
        Picked::Urgent(list) => return Err(stopped_unstored(&Stopped::Urgent(list))),
    };
    // One key answers, so what it meant is shown.
    let said = picked.as_deref().unwrap_or("not obtained");
    screen.say(Tone::Quiet, &format!("= {said}"));
    Ok(picked)
}

/// A word of the chart as it is offered.
fn in_menu(column: Column, word: &str) -> &str {
    match (column, word) {
        (Column::Swing, "seen") => "seen, its size cannot be said",
        _ => word,
    }
}

fn number(
    desk: &Desk,
    chart: &Chart,
    screen: &mut dyn Screen,
    question: &Question,
    last: &Option<String>,
) -> Result<Option<String>, Failure> {
    let doubts_of = |text: &str| -> Result<Vec<Doubt>, String> {
        let mut alone = Reading::default();
        field(question.column.word(), text, &mut alone).map_err(|why| why.to_string())?;
        Ok(doubts(&alone, chart.bounds(&desk.library)))
    };
    let check = |text: &str| match doubts_of(text)?.iter().find(|doubt| doubt.impossible) {
        Some(doubt) => Err(doubt.to_string()),
        None => Ok(()),
    };
    let hint = match last {
        Some(last) => format!("{}; {last}", question.hint),
        None => question.hint.to_owned(),
    };
    let asked = |asks: &str, screen: &mut dyn Screen| {
        let question = TextQuestion {
            question: asks,
            hint: Some(&hint),
            may_be_open: true,
            check: &check,
        };
        screen.text(&question).map_err(|why| stopped_unstored(&why))
    };
    let mut text = asked(question.asks, screen)?;
    loop {
        let doubts = doubts_of(&text).map_err(Failure::usage)?;
        let Some(doubt) = doubts.first() else {
            return Ok((!text.is_empty()).then_some(text));
        };
        screen.say(Tone::Caution, &doubt.to_string());
        let again = asked("Look again, and type it once more", screen)?;
        if same(question.column, &again, &text) {
            return Ok(Some(again));
        }
        text = again;
    }
}

/// Whether two texts say the same value, however they are written.
fn same(column: Column, one: &str, other: &str) -> bool {
    let read = |text: &str| {
        let mut alone = Reading::default();
        field(column.word(), text, &mut alone).ok().map(|()| alone)
    };
    read(one).is_some_and(|one| read(other) == Some(one))
}

/// The reading, and before it what makes a level below the one before continue from a new
/// beginning: it is asked what happened.
///
/// # Errors
/// A failure when no reply can be had, or nothing is to be stored.
pub fn with_beginning(
    desk: &Desk,
    chart: &Chart,
    screen: &mut dyn Screen,
    at: Moment,
    reading: Reading,
) -> Result<Vec<New>, Failure> {
    let alone = vec![(at, What::Reading(Arc::new(reading.clone())))];
    let (Some((problem, own)), Some(level)) = (lower(desk, chart, &alone), reading.level) else {
        return Ok(alone);
    };
    screen.say(Tone::Problem, &problem.to_string());
    if !own {
        let keep = "Is this level right all the same?";
        return match screen.confirm(keep).map_err(|why| stopped_unstored(&why))? {
            true => Ok(alone),
            false => Err(Failure::new(Kind::Stopped, "nothing was stored")
                .hint("enter the reading again: tubeside chart add")),
        };
    }
    let reading = What::Reading(Arc::new(reading));
    let menu = Menu {
        title: "Why is the level lower?".to_owned(),
        items: vec![
            Item::numbered("A new drainage unit was connected"),
            Item::numbered("It was tilted"),
            Item::numbered("It was spilled or knocked over"),
            Item::numbered("This level or the one before was misread"),
            Item::numbered("Changed, and nobody wrote when"),
        ],
        leave: Some("Store nothing, and look again".to_owned()),
        ..Menu::default()
    };
    let why = match screen.choose(&menu).map_err(|why| stopped_unstored(&why))? {
        Picked::Item(0) => return Ok(vec![(at, new_unit(chart, screen)?), (at, reading)]),
        Picked::Item(1) => BaselineReason::Tilt,
        Picked::Item(2) => BaselineReason::Spill,
        Picked::Item(3) => BaselineReason::Misread,
        Picked::Item(_) => BaselineReason::Changed,
        Picked::Urgent(list) => return Err(stopped_unstored(&Stopped::Urgent(list))),
        Picked::Leave | Picked::Again => {
            return Err(Failure::new(Kind::Stopped, "nothing was stored"));
        }
    };
    Ok(vec![(at, What::Baseline { level, why }), (at, reading)])
}

fn new_unit(chart: &Chart, screen: &mut dyn Screen) -> Result<What, Failure> {
    let check = |text: &str| level(text).map(drop);
    let mut volume = |asks, may_be_open| {
        let question = TextQuestion {
            question: asks,
            hint: Some("with its unit, like 480 mL"),
            may_be_open,
            check: &check,
        };
        let text = screen
            .text(&question)
            .map_err(|why| stopped_unstored(&why))?;
        match text.as_str() {
            "" => Ok(None),
            text => level(text).map(Some).map_err(Failure::usage),
        }
    };
    let last_level = volume("Last level on the old drainage unit", true)?;
    let start = volume("Level on the new one when it was connected", false)?;
    Ok(What::NewUnit {
        last_level,
        start: start.unwrap_or(Number::whole(0)),
        graduation: chart.start.graduation,
    })
}

/// A level, mL.
///
/// # Errors
/// Words that say what is wrong and how to write it.
pub fn level(text: &str) -> Result<Number, String> {
    let amount = Amount::parse(text).map_err(|bad| bad.to_string())?;
    let level = amount.to(Unit::Ml).map_err(|bad| bad.to_string())?.number;
    if level < Number::whole(0) || level > crate::chart::plausible::MOST_LEVEL {
        return Err(format!("{amount} cannot be a level on a drainage unit"));
    }
    Ok(level)
}
