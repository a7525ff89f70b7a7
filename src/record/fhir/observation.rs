//! The readings of a chart as `Observation`s, one for each value.
//!
//! What replaced an earlier reading is `corrected`; what was replaced or struck out stays, as
//! `entered-in-error`, with a note that says by which entry. `effectiveDateTime` is when it was seen
//! and `issued` when it was written, so a late entry shows. A level that was not obtained is an
//! observation without a value and with a reason, never nought and never left out.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::response::quantity;
use super::{Code, Exported, name_of, string};
use crate::chart::import::Column;
use crate::chart::reading::Reading;
use crate::chart::{Entry, EntryId, What};
use crate::units::{Amount, Number, Suction, Unit};

/// The readings of one drain, and what is to be said of each.
pub struct Readings<'a> {
    /// The drain's identifier in the journal.
    pub drain: &'a str,
    /// The side of the chest, when it is known.
    pub side: Option<String>,
    /// Every entry as it was written, corrections too.
    pub written: &'a [Entry],
    /// Who wrote an entry.
    pub writer: &'a dyn Fn(EntryId) -> String,
    /// The SHA-256 of a text, as hexadecimal digits, from which names are made.
    pub fingerprint: &'a dyn Fn(&str) -> String,
    /// The confirmed codes.
    pub codes: &'a [Code],
}

/// The observations of a chart, in the order written. What finds no place there stands with the first.
#[must_use]
pub fn observations(readings: &Readings<'_>) -> Vec<Exported> {
    let mut losses = Losses::default();
    let replaced = replaced(readings.written);
    let mut made = Vec::new();
    for entry in readings.written {
        for told in said(entry, &mut losses) {
            let by = replaced.get(&entry.id).copied();
            made.push(Exported {
                resource: Value::Object(observation(readings, entry, told, by)),
                losses: Vec::new(),
            });
        }
    }
    if let Some(first) = made.first_mut() {
        first.losses = losses.lines(readings);
    }
    made
}

/// One value of an entry.
struct Told {
    /// A short name, one of its kind in an entry.
    name: &'static str,
    /// What it is, in words.
    means: String,
    /// The tag under which a code may be confirmed for it.
    tag: Option<&'static str>,
    /// The field that holds it, and what is in it.
    value: (&'static str, Value),
}

impl Told {
    fn amount(name: &'static str, means: &str, amount: Amount) -> Self {
        Self::other(name, means, ("valueQuantity", quantity(amount)))
    }

    fn other(name: &'static str, means: &str, value: (&'static str, Value)) -> Self {
        Self {
            name,
            means: means.to_owned(),
            tag: None,
            value,
        }
    }
}

/// The values of an entry that have a place of their own.
fn said(entry: &Entry, losses: &mut Losses) -> Vec<Told> {
    let level =
        |name, means, level: Number| Told::amount(name, means, Amount::new(level, Unit::Ml));
    match &entry.what {
        What::Reading(reading) => values(reading, losses),
        What::Correction { reading, .. } => {
            if reading.is_none() {
                losses.count(
                    "corrections that struck a reading out: only the reading itself says so",
                );
            }
            let values = reading.as_deref().map(|reading| values(reading, losses));
            values.unwrap_or_default()
        }
        What::NewUnit {
            last_level, start, ..
        } => {
            losses.count("changes of the drainage unit as such, and the new graduation");
            let last = last_level
                .map(|last| level("last", "level on the old drainage unit at its change", last));
            let first = level(
                "start",
                "level on the new drainage unit at its start",
                *start,
            );
            last.into_iter().chain([first]).collect()
        }
        What::Baseline { level: from, .. } => {
            losses.count("reasons why counting began again from a level");
            vec![level(
                "level",
                "level from which counting began again",
                *from,
            )]
        }
        What::Event(_) => {
            losses.count("events, such as a clamp or a transfer");
            Vec::new()
        }
    }
}

fn values(reading: &Reading, losses: &mut Losses) -> Vec<Told> {
    let columns = Column::ALL.iter().copied();
    let mut told: Vec<Told> = columns
        .filter_map(|column| value(column, reading))
        .collect();
    if reading.level.is_none() {
        let absent = json!({"coding": [{
            "system": "http://terminology.hl7.org/CodeSystem/data-absent-reason",
            "code": "unknown", "display": "Unknown"
        }], "text": "not obtained"});
        told.insert(0, Told::other("level", LEVEL, ("dataAbsentReason", absent)));
    }
    let asked = Column::ALL.len() - 1;
    if told.len() < asked {
        losses.count("readings in which something was not obtained or not asked; of these only the level is named");
    }
    told
}

/// What a level is. It is no output: that is the difference to the level before.
const LEVEL: &str = "level on the drainage unit";

/// What a reading has in a column.
fn value(column: Column, reading: &Reading) -> Option<Told> {
    let number = |number: Option<Number>, unit| Some(Amount::new(number?, unit));
    let whole = |number: Option<u16>, unit| Some(Amount::new(Number::whole(number?.into()), unit));
    let below = |suction: Option<Suction>| suction.map(Suction::magnitude);
    let (means, amount, tag) = match column {
        Column::Level => (LEVEL, number(reading.level, Unit::Ml), None),
        Column::SwingHeight => (
            "height of the swing",
            number(reading.swing_cm, Unit::Cm),
            None,
        ),
        Column::SealDepth => (
            "depth of the water seal",
            number(reading.seal_depth, Unit::Cm),
            None,
        ),
        Column::SuctionOrdered => (
            "suction ordered, below atmospheric pressure",
            below(reading.suction_ordered),
            None,
        ),
        Column::SuctionSet => (
            "suction set, below atmospheric pressure",
            below(reading.suction_set),
            None,
        ),
        Column::SuctionIndicated => (
            "suction indicated by the drainage unit, below atmospheric pressure",
            below(reading.suction_indicated),
            None,
        ),
        Column::Breaths => (
            "respiratory rate",
            whole(reading.breaths, Unit::PerMin),
            Some("respiratory-rate"),
        ),
        Column::Saturation => (
            "oxygen saturation",
            number(reading.saturation, Unit::Percent),
            Some("spo2"),
        ),
        Column::Oxygen => ("oxygen given", reading.oxygen, None),
        Column::HeartRate => (
            "heart rate",
            whole(reading.heart_rate, Unit::PerMin),
            Some("heart-rate"),
        ),
        Column::Pain => (
            "pain, 0 to 10",
            whole(reading.pain.map(u16::from), Unit::Score),
            Some("pain"),
        ),
        Column::BloodPressure => return blood_pressure(reading),
        column => return in_words(column, reading),
    };
    let mut told = Told::amount(column.word(), means, amount?);
    told.tag = tag;
    Some(told)
}

/// Two parts under one head, as FHIR R4 has it for blood pressure.
fn blood_pressure(reading: &Reading) -> Option<Told> {
    let both = reading.blood_pressure?;
    let part = |means: &str, value: u16| {
        let amount = Amount::new(Number::whole(value.into()), Unit::MmHg);
        json!({"code": {"text": means}, "valueQuantity": quantity(amount)})
    };
    let parts = json!([
        part("systolic blood pressure", both.systolic),
        part("diastolic blood pressure", both.diastolic)
    ]);
    Some(Told::other(
        Column::BloodPressure.word(),
        "blood pressure",
        ("component", parts),
    ))
}

/// What was found in words: one of a few, or the writer's own.
fn in_words(column: Column, reading: &Reading) -> Option<Told> {
    let words = column.shown(reading)?;
    let means = match column {
        Column::Fluid => "look of the fluid",
        Column::Swing => "swing of the level in the seal",
        Column::Bubbling => "bubbling",
        Column::Chamber => "chamber in which it bubbles",
        Column::Dressing => "dressing and fixing of the tube",
        Column::Emphysema => "air under the skin",
        Column::Tubing => "tubing from chest to drainage unit",
        Column::Position => "how the drainage unit stands",
        Column::Action => {
            return Some(Told::other(
                column.word(),
                "what was done",
                ("valueString", json!(string(&words))),
            ));
        }
        other => other.word(),
    };
    Some(Told::other(
        column.word(),
        means,
        ("valueCodeableConcept", json!({"text": string(&words)})),
    ))
}

fn observation(
    readings: &Readings<'_>,
    entry: &Entry,
    told: Told,
    replaced: Option<By>,
) -> Map<String, Value> {
    let text = format!("{} {} {}", readings.drain, entry.id.0, told.name);
    let name = name_of(&(readings.fingerprint)(&text));
    let stamp = |at: &crate::moment::Moment| {
        json!(at.to_rfc3339_opts(chrono::SecondsFormat::Millis, false))
    };
    let mut made = Map::new();
    let mut put = |field: &str, value: Value| {
        made.insert(field.to_owned(), value);
    };
    put("resourceType", json!("Observation"));
    put(
        "identifier",
        json!([{"system": "urn:ietf:rfc:3986", "value": name}]),
    );
    put("status", json!(status(entry, replaced.is_some())));
    put("code", code(readings.codes, &told));
    put(
        "subject",
        json!({"display": format!("drain {}", readings.drain)}),
    );
    put("effectiveDateTime", stamp(&entry.at));
    put("issued", stamp(&entry.written_at));
    let by = (readings.writer)(entry.id);
    if !by.trim().is_empty() {
        put("performer", json!([{"display": string(&by)}]));
    }
    if let Some(side) = &readings.side {
        put(
            "bodySite",
            json!({"text": string(&format!("chest, {side}"))}),
        );
    }
    put("note", json!([{"text": note(entry, replaced)}]));
    put(told.value.0, told.value.1);
    made
}

fn code(codes: &[Code], told: &Told) -> Value {
    let code = codes
        .iter()
        .find(|code| Some(code.tag.as_str()) == told.tag);
    match code {
        Some(code) => json!({
            "coding": [super::coding(&code.system, &code.code, &code.display)],
            "text": told.means
        }),
        None => json!({"text": told.means}),
    }
}

const fn status(entry: &Entry, replaced: bool) -> &'static str {
    match (replaced, &entry.what) {
        (true, _) => "entered-in-error",
        (false, What::Correction { .. }) => "corrected",
        (false, _) => "final",
    }
}

/// The entry that stands instead, and whether it strikes out.
type By = (EntryId, bool);

/// What was replaced, by what. A correction may name the reading or an earlier correction of it; the
/// later one of two that name the same stands.
fn replaced(written: &[Entry]) -> BTreeMap<EntryId, By> {
    let mut replaced = BTreeMap::new();
    for entry in written {
        let What::Correction { of, reading } = &entry.what else {
            continue;
        };
        let by = (entry.id, reading.is_none());
        if let Some((earlier, _)) = replaced.insert(*of, by) {
            replaced.insert(earlier, by);
        }
    }
    replaced
}

/// The place in the journal, and the way to what stands instead.
fn note(entry: &Entry, replaced: Option<By>) -> String {
    let own = entry.id.0;
    let from = match &entry.what {
        What::Correction { of, .. } => format!("entry {own}, in place of entry {}", of.0),
        _ => format!("entry {own}"),
    };
    match replaced {
        Some((by, true)) => format!("{from}; struck out by entry {}", by.0),
        Some((by, false)) => format!("{from}; replaced by entry {}", by.0),
        None => from,
    }
}

/// Counts what finds no place.
#[derive(Default)]
struct Losses(BTreeMap<&'static str, usize>);

impl Losses {
    fn count(&mut self, what: &'static str) {
        *self.0.entry(what).or_default() += 1;
    }

    fn lines(self, readings: &Readings<'_>) -> Vec<String> {
        let mut lines = vec![
            "outputs, totals, and the ranges that the graduation leaves: only what was read is written"
                .to_owned(),
            "limits met, for they are held against outputs".to_owned(),
        ];
        if readings.codes.is_empty() {
            lines.push(
                "codes: none is confirmed, so what a value is stands in words alone".to_owned(),
            );
        }
        lines.extend(self.0.iter().map(|(what, many)| format!("{many} {what}")));
        lines
            .into_iter()
            .map(|line| format!("chart: {line}"))
            .collect()
    }
}
