//! The persisted form of what is charted for a drain.
//!
//! A field that was not obtained is left out; it is never written as nought. Units stand in the
//! names of the fields, or beside the number where a person chose them. Suction is the magnitude
//! below atmospheric pressure.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

use crate::chart::reading::{
    BloodPressure, Bubbling, Chamber, Dressing, Emphysema, FluidLook, Position, Reading, Swing,
    Tubing,
};
use crate::chart::{BaselineReason, ChartEvent, EntryId, What};
use crate::units::{Amount, Number, Suction};

use super::entry::{self, Entry};
use super::error::JournalError;
use super::event::{from_json, json};
use super::quantity::{AmountTwin, Unreadable, number_text, read_number};

/// A text of a body, taken from where it stands: a drain of a year has a hundred thousand.
#[derive(Debug, Serialize, Deserialize)]
struct Text<'a>(#[serde(borrow)] Cow<'a, str>);

impl<'a, T: Into<Cow<'a, str>>> From<T> for Text<'a> {
    fn from(text: T) -> Self {
        Self(text.into())
    }
}

#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
struct ReadingTwin<'a> {
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    level_ml: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    fluid: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    swing: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    swing_cm: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    bubbling: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    chamber: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    suction_ordered: Option<AmountTwin>,
    #[serde(skip_serializing_if = "Option::is_none")]
    suction_set: Option<AmountTwin>,
    #[serde(skip_serializing_if = "Option::is_none")]
    suction_indicated: Option<AmountTwin>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    seal_depth_cm: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    dressing: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    emphysema: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    tubing: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    position: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    breaths_per_min: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    saturation_percent: Option<Text<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    oxygen: Option<AmountTwin>,
    #[serde(skip_serializing_if = "Option::is_none")]
    heart_rate_per_min: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    systolic_mmhg: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    diastolic_mmhg: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pain_of_10: Option<u8>,
    #[serde(skip_serializing_if = "Option::is_none", borrow)]
    action: Option<Text<'a>>,
}

impl<'a> From<&'a Reading> for ReadingTwin<'a> {
    fn from(reading: &'a Reading) -> Self {
        let number = |number: Option<Number>| number.map(|number| Text::from(number_text(number)));
        let suction = |suction: Option<Suction>| suction.map(|suction| suction.magnitude().into());
        Self {
            level_ml: number(reading.level),
            fluid: reading.fluid.map(|word| Text::from(word.word())),
            swing: reading.swing.map(|word| Text::from(word.word())),
            swing_cm: number(reading.swing_cm),
            bubbling: reading.bubbling.map(|word| Text::from(word.word())),
            chamber: reading.chamber.map(|word| Text::from(word.word())),
            suction_ordered: suction(reading.suction_ordered),
            suction_set: suction(reading.suction_set),
            suction_indicated: suction(reading.suction_indicated),
            seal_depth_cm: number(reading.seal_depth),
            dressing: reading.dressing.map(|word| Text::from(word.word())),
            emphysema: reading.emphysema.map(|word| Text::from(word.word())),
            tubing: reading.tubing.map(|word| Text::from(word.word())),
            position: reading.position.map(|word| Text::from(word.word())),
            breaths_per_min: reading.breaths,
            saturation_percent: number(reading.saturation),
            oxygen: reading.oxygen.map(AmountTwin::from),
            heart_rate_per_min: reading.heart_rate,
            systolic_mmhg: reading.blood_pressure.map(|both| both.systolic),
            diastolic_mmhg: reading.blood_pressure.map(|both| both.diastolic),
            pain_of_10: reading.pain,
            action: reading.action.as_deref().map(Text::from),
        }
    }
}

impl TryFrom<ReadingTwin<'_>> for Reading {
    type Error = Unreadable;

    fn try_from(twin: ReadingTwin<'_>) -> Result<Self, Unreadable> {
        Ok(Self {
            level: number(twin.level_ml)?,
            fluid: word(twin.fluid, FluidLook::parse)?,
            swing: word(twin.swing, Swing::parse)?,
            swing_cm: number(twin.swing_cm)?,
            bubbling: word(twin.bubbling, Bubbling::parse)?,
            chamber: word(twin.chamber, Chamber::parse)?,
            suction_ordered: suction(twin.suction_ordered)?,
            suction_set: suction(twin.suction_set)?,
            suction_indicated: suction(twin.suction_indicated)?,
            seal_depth: number(twin.seal_depth_cm)?,
            dressing: word(twin.dressing, Dressing::parse)?,
            emphysema: word(twin.emphysema, Emphysema::parse)?,
            tubing: word(twin.tubing, Tubing::parse)?,
            position: word(twin.position, Position::parse)?,
            breaths: twin.breaths_per_min,
            saturation: number(twin.saturation_percent)?,
            oxygen: twin.oxygen.map(Amount::try_from).transpose()?,
            heart_rate: twin.heart_rate_per_min,
            blood_pressure: match (twin.systolic_mmhg, twin.diastolic_mmhg) {
                (Some(systolic), Some(diastolic)) => Some(BloodPressure {
                    systolic,
                    diastolic,
                }),
                (None, None) => None,
                _ => return Err("a blood pressure has only one number".to_owned()),
            },
            pain: twin.pain_of_10,
            action: twin.action.map(|text| text.0.into_owned()),
        })
    }
}

fn number(text: Option<Text<'_>>) -> Result<Option<Number>, Unreadable> {
    text.map(|text| read_number(&text.0)).transpose()
}

fn suction(twin: Option<AmountTwin>) -> Result<Option<Suction>, Unreadable> {
    let read =
        |twin: AmountTwin| Suction::from_entry(twin.try_into()?).map_err(|bad| bad.to_string());
    twin.map(read).transpose()
}

fn word<T>(text: Option<Text<'_>>, parse: fn(&str) -> Option<T>) -> Result<Option<T>, Unreadable> {
    let read = |text: Text<'_>| known(&text.0, parse);
    text.map(read).transpose()
}

#[derive(Debug, Serialize, Deserialize)]
struct Correction<'a> {
    of: u64,
    #[serde(borrow)]
    reading: Option<ReadingTwin<'a>>,
}

#[derive(Debug, Serialize, Deserialize)]
struct NewUnit {
    last_level_ml: Option<String>,
    start_ml: String,
    graduation_ml: Option<String>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Baseline {
    level_ml: String,
    why: String,
}

#[derive(Debug, Serialize, Deserialize)]
struct Happened {
    event: String,
}

/// The kind, as it stands in the journal.
pub(super) const fn kind(what: &What) -> &'static str {
    match what {
        What::Reading(_) => "reading",
        What::Correction { .. } => "reading-corrected",
        What::NewUnit { .. } => "drainage-unit-changed",
        What::Baseline { .. } => "level-restarted",
        What::Event(_) => "drain-event",
    }
}

/// The body as one line of JSON.
pub(super) fn body(what: &What) -> Result<String, String> {
    match what {
        What::Reading(reading) => json(&ReadingTwin::from(reading.as_ref())),
        What::Correction { of, reading } => json(&Correction {
            of: of.0,
            reading: reading.as_deref().map(ReadingTwin::from),
        }),
        What::NewUnit {
            last_level,
            start,
            graduation,
        } => json(&NewUnit {
            last_level_ml: last_level.map(number_text),
            start_ml: number_text(*start),
            graduation_ml: graduation.map(number_text),
        }),
        What::Baseline { level, why } => json(&Baseline {
            level_ml: number_text(*level),
            why: why.word().to_owned(),
        }),
        What::Event(event) => json(&Happened {
            event: event.word().to_owned(),
        }),
    }
}

/// Reads what [`body`] writes; `None` for a kind that is not of the chart.
pub(super) fn read(kind: &str, body: &str) -> Result<Option<What>, Unreadable> {
    Ok(Some(match kind {
        "reading" => {
            let twin: ReadingTwin<'_> = from_json(body)?;
            What::Reading(Arc::new(twin.try_into()?))
        }
        "reading-corrected" => {
            let twin: Correction<'_> = from_json(body)?;
            let reading = twin.reading.map(Reading::try_from).transpose()?;
            What::Correction {
                of: EntryId(twin.of),
                reading: reading.map(Arc::new),
            }
        }
        "drainage-unit-changed" => {
            let twin: NewUnit = from_json(body)?;
            What::NewUnit {
                last_level: twin.last_level_ml.as_deref().map(read_number).transpose()?,
                start: read_number(&twin.start_ml)?,
                graduation: twin.graduation_ml.as_deref().map(read_number).transpose()?,
            }
        }
        "level-restarted" => {
            let twin: Baseline = from_json(body)?;
            What::Baseline {
                level: read_number(&twin.level_ml)?,
                why: known(&twin.why, BaselineReason::parse)?,
            }
        }
        "drain-event" => What::Event(known(
            &from_json::<Happened>(body)?.event,
            ChartEvent::parse,
        )?),
        _ => return Ok(None),
    }))
}

fn known<T>(text: &str, parse: fn(&str) -> Option<T>) -> Result<T, Unreadable> {
    parse(text).ok_or_else(|| format!("\"{text}\" is not known"))
}

/// The kinds of entry that are charted.
const KINDS: [&str; 5] = [
    "reading",
    "reading-corrected",
    "drainage-unit-changed",
    "level-restarted",
    "drain-event",
];

/// Whether entries of this kind are charted.
pub(super) fn is_charted(kind: &str) -> bool {
    KINDS.contains(&kind)
}

/// Makes sure that an entry of a drain that is not charted is none of the chart's. One of a walk
/// that cannot be read is none; any other may be.
pub(super) fn is_of_no_chart(entry: &Entry) -> Result<(), JournalError> {
    match &entry.what {
        entry::What::Unread { kind, why } if entry.state.is_none() => {
            Err(JournalError::ChartUnread {
                seq: entry.seq,
                kind: kind.clone(),
                why: why.clone(),
            })
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
pub(super) mod tests {
    use proptest::option;
    use proptest::prelude::{Strategy, any, prop_oneof};
    use proptest::sample::select;

    use crate::units::Unit;

    use super::*;

    fn number() -> impl Strategy<Value = Number> {
        any::<i64>().prop_map(Number::from_milli)
    }

    fn suction() -> impl Strategy<Value = Suction> {
        let units = [Unit::CmH2O, Unit::KPa, Unit::MmHg, Unit::Mbar];
        (0..i64::MAX, select(units.to_vec())).prop_map(|(milli, unit)| {
            Suction::from_entry(Amount::new(Number::from_milli(milli), unit)).unwrap()
        })
    }

    fn some<T: Copy + std::fmt::Debug>(all: &'static [T]) -> impl Strategy<Value = Option<T>> {
        option::of(select(all))
    }

    fn reading() -> impl Strategy<Value = Reading> {
        let numbers = (
            option::of(number()),
            option::of(number()),
            option::of(number()),
            option::of(number()),
        );
        let suctions = (
            option::of(suction()),
            option::of(suction()),
            option::of(suction()),
        );
        let words = (
            some(FluidLook::ALL),
            some(Swing::ALL),
            some(Bubbling::ALL),
            some(Chamber::ALL),
            some(Dressing::ALL),
            some(Emphysema::ALL),
            some(Tubing::ALL),
            some(Position::ALL),
        );
        let patient = (
            any::<Option<u16>>(),
            any::<Option<u16>>(),
            any::<Option<(u16, u16)>>(),
            any::<Option<u8>>(),
            any::<Option<String>>(),
            option::of((number(), select(Unit::ALL))),
        );
        (numbers, suctions, words, patient).prop_map(|(numbers, suctions, words, patient)| {
            Reading {
                level: numbers.0,
                swing_cm: numbers.1,
                seal_depth: numbers.2,
                saturation: numbers.3,
                suction_ordered: suctions.0,
                suction_set: suctions.1,
                suction_indicated: suctions.2,
                fluid: words.0,
                swing: words.1,
                bubbling: words.2,
                chamber: words.3,
                dressing: words.4,
                emphysema: words.5,
                tubing: words.6,
                position: words.7,
                breaths: patient.0,
                heart_rate: patient.1,
                blood_pressure: patient.2.map(|(systolic, diastolic)| BloodPressure {
                    systolic,
                    diastolic,
                }),
                pain: patient.3,
                action: patient.4,
                oxygen: patient.5.map(|(number, unit)| Amount::new(number, unit)),
            }
        })
    }

    /// Everything that can be charted.
    pub(in crate::journal) fn charted() -> impl Strategy<Value = What> {
        prop_oneof![
            4 => reading().prop_map(|reading| What::Reading(Arc::new(reading))),
            1 => (any::<u64>(), option::of(reading())).prop_map(|(of, reading)| What::Correction {
                of: EntryId(of),
                reading: reading.map(Arc::new),
            }),
            1 => (option::of(number()), number(), option::of(number())).prop_map(
                |(last_level, start, graduation)| What::NewUnit {
                    last_level,
                    start,
                    graduation,
                }
            ),
            1 => (number(), select(BaselineReason::ALL))
                .prop_map(|(level, why)| What::Baseline { level, why }),
            1 => select(ChartEvent::ALL).prop_map(What::Event),
        ]
    }

    #[test]
    fn what_was_not_obtained_is_left_out_and_nought_is_written() {
        let mut reading = Reading::default();
        assert_eq!(
            body(&What::Reading(Arc::new(reading.clone()))).unwrap(),
            "{}"
        );
        reading.level = Some(Number::whole(0));
        reading.suction_set = Some(Suction::from_entry(Amount::parse("-2 kPa").unwrap()).unwrap());
        let text = body(&What::Reading(Arc::new(reading.clone()))).unwrap();
        assert_eq!(
            text,
            r#"{"level_ml":"0","suction_set":{"number":"2","unit":"kPa"}}"#
        );
        let back = read("reading", &text).unwrap();
        assert_eq!(back, Some(What::Reading(Arc::new(reading))));
    }

    #[test]
    fn what_is_not_known_is_refused() {
        for (kind, body) in [
            ("reading", r#"{"swing":"wild"}"#),
            ("reading", r#"{"level_ml":"ten"}"#),
            ("reading", r#"{"systolic_mmhg":120}"#),
            ("reading", r#"{"suction_set":{"number":"20","unit":"mL"}}"#),
            ("reading", r#"{"pain_of_10":-1}"#),
            ("drain-event", r#"{"event":"melted"}"#),
            ("level-restarted", r#"{"level_ml":"1","why":"no reason"}"#),
        ] {
            assert!(read(kind, body).is_err(), "{kind} {body}");
        }
        assert_eq!(read("noted", "{}"), Ok(None));
    }
}
