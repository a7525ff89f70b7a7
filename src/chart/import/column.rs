//! The columns of an import and how their cells are read.

use super::cells::Row;
use super::{ImportProblem, Why};
use crate::chart::reading::{
    BloodPressure, Bubbling, Chamber, Dressing, Emphysema, FluidLook, Position, Reading, Swing,
    Tubing,
};
use crate::names::words;
use crate::units::{Amount, BadAmount, Number, Suction, Unit};

words! {
    /// A column of an import. Levels, depths, suction and oxygen need a unit, in the cell or
    /// after the column's name; the others have only one.
    Column {
        /// When it was seen.
        SeenAt = "seen-at",
        /// Level on the drainage unit: mL or L.
        Level = "level",
        /// How the fluid looks.
        Fluid = "fluid",
        /// Swing.
        Swing = "swing",
        /// How far it swings: cm or mm.
        SwingHeight = "swing-height",
        /// Bubbling: its words, or its grade 0 to 4.
        Bubbling = "bubbling",
        /// Where it bubbles.
        Chamber = "chamber",
        /// Suction ordered, a pressure.
        SuctionOrdered = "suction-ordered",
        /// Suction set.
        SuctionSet = "suction-set",
        /// Suction indicated.
        SuctionIndicated = "suction-indicated",
        /// Depth of the water seal: cm or mm.
        SealDepth = "seal-depth",
        /// Dressing and fixing.
        Dressing = "dressing",
        /// Air under the skin.
        Emphysema = "emphysema",
        /// The tubing.
        Tubing = "tubing",
        /// How the drainage unit stands.
        Position = "position",
        /// Breaths a minute.
        Breaths = "breaths",
        /// Oxygen saturation, per cent.
        Saturation = "saturation",
        /// Oxygen given: L/min or %.
        Oxygen = "oxygen",
        /// Heart beats a minute.
        HeartRate = "heart-rate",
        /// Blood pressure, like 120/80, mmHg.
        BloodPressure = "blood-pressure",
        /// Pain, 0 to 10.
        Pain = "pain",
        /// What was done.
        Action = "action",
    }
}

/// Every column's name, in a line.
pub(super) fn names() -> String {
    list(Column::ALL.iter().map(|column| column.word()))
}

fn list<'a>(words: impl Iterator<Item = &'a str>) -> String {
    words.collect::<Vec<_>>().join(", ")
}

/// Reads the first line. Where it has problems, they are told and the result is not to be used.
pub(super) fn read_head(
    head: &Row,
    problems: &mut Vec<ImportProblem>,
) -> Vec<(Column, Option<Unit>)> {
    let mut columns: Vec<(Column, Option<Unit>)> = Vec::new();
    for cell in &head.cells {
        let read = read_name(cell.text.trim()).and_then(|(column, unit)| {
            match columns.iter().any(|(known, _)| *known == column) {
                true => Err(Why::TwiceColumn(column.to_string())),
                false => Ok((column, unit)),
            }
        });
        match read {
            Ok(named) => columns.push(named),
            Err(why) => problems.push(ImportProblem {
                line: head.line,
                column: cell.column,
                why,
            }),
        }
    }
    if !columns.iter().any(|(column, _)| *column == Column::SeenAt) {
        problems.push(ImportProblem {
            line: head.line,
            column: 1,
            why: Why::NoMoments,
        });
    }
    columns
}

/// "level (mL)" or "level".
fn read_name(text: &str) -> Result<(Column, Option<Unit>), Why> {
    let (name, unit) = match text.strip_suffix(')').and_then(|t| t.split_once('(')) {
        Some((name, unit)) => (name, Some(unit.trim())),
        None => (text, None),
    };
    let unknown = || Why::UnknownColumn(text.to_owned());
    let column = Column::parse(&name.to_lowercase()).ok_or_else(unknown)?;
    let Some(unit) = unit else {
        return Ok((column, None));
    };
    let unit = Unit::parse(unit).ok_or_else(|| BadAmount::UnknownUnit {
        unit: unit.to_owned(),
    })?;
    if column.takes(unit) {
        Ok((column, Some(unit)))
    } else {
        Err(Why::WrongUnit { unit, column })
    }
}

impl Column {
    /// True when the column's values may stand in this unit.
    fn takes(self, unit: Unit) -> bool {
        match self {
            Self::Level => matches!(unit, Unit::Ml | Unit::L),
            Self::SwingHeight | Self::SealDepth => matches!(unit, Unit::Cm | Unit::Mm),
            Self::SuctionOrdered | Self::SuctionSet | Self::SuctionIndicated => unit.is_pressure(),
            Self::Oxygen => matches!(unit, Unit::LPerMin | Unit::Percent),
            Self::Saturation => unit == Unit::Percent,
            Self::Breaths | Self::HeartRate => unit == Unit::PerMin,
            Self::BloodPressure => unit == Unit::MmHg,
            Self::Pain => unit == Unit::Score,
            _ => false,
        }
    }

    /// The units in which it is read, in a line.
    pub(super) fn units(self) -> String {
        let all = Unit::ALL.iter().filter(|unit| self.takes(**unit));
        let symbols: Vec<&str> = all.map(|unit| unit.symbol()).collect();
        symbols.join(" or ")
    }

    /// The words the column takes; empty when it takes numbers or free words.
    #[must_use]
    pub fn choices(self) -> Vec<&'static str> {
        fn all<T: Copy>(words: &[T], word: fn(T) -> &'static str) -> Vec<&'static str> {
            words.iter().map(|one| word(*one)).collect()
        }
        match self {
            Self::Fluid => all(FluidLook::ALL, FluidLook::word),
            Self::Swing => all(Swing::ALL, Swing::word),
            Self::Bubbling => all(Bubbling::ALL, Bubbling::word),
            Self::Chamber => all(Chamber::ALL, Chamber::word),
            Self::Dressing => all(Dressing::ALL, Dressing::word),
            Self::Emphysema => all(Emphysema::ALL, Emphysema::word),
            Self::Tubing => all(Tubing::ALL, Tubing::word),
            Self::Position => all(Position::ALL, Position::word),
            _ => Vec::new(),
        }
    }

    /// The same, in a line.
    pub(super) fn words(self) -> String {
        list(self.choices().into_iter())
    }

    /// What a reading has in this column, with its unit; `None` when it was not obtained. Suction
    /// is its magnitude below atmospheric pressure.
    #[must_use]
    pub fn shown(self, reading: &Reading) -> Option<String> {
        let number = |number: Option<Number>, unit| Some(Amount::new(number?, unit).to_string());
        let suction = |suction: Option<Suction>| Some(suction?.magnitude().to_string());
        let word = |word: &'static str| word.to_owned();
        match self {
            Self::SeenAt => None,
            Self::Level => number(reading.level, Unit::Ml),
            Self::Fluid => reading.fluid.map(|w| word(w.word())),
            Self::Swing => reading.swing.map(|w| word(w.word())),
            Self::SwingHeight => number(reading.swing_cm, Unit::Cm),
            Self::Bubbling => reading.bubbling.map(|w| word(w.word())),
            Self::Chamber => reading.chamber.map(|w| word(w.word())),
            Self::SuctionOrdered => suction(reading.suction_ordered),
            Self::SuctionSet => suction(reading.suction_set),
            Self::SuctionIndicated => suction(reading.suction_indicated),
            Self::SealDepth => number(reading.seal_depth, Unit::Cm),
            Self::Dressing => reading.dressing.map(|w| word(w.word())),
            Self::Emphysema => reading.emphysema.map(|w| word(w.word())),
            Self::Tubing => reading.tubing.map(|w| word(w.word())),
            Self::Position => reading.position.map(|w| word(w.word())),
            Self::Breaths => reading.breaths.map(|n| n.to_string()),
            Self::Saturation => number(reading.saturation, Unit::Percent),
            Self::Oxygen => reading.oxygen.map(|amount| amount.to_string()),
            Self::HeartRate => reading.heart_rate.map(|n| n.to_string()),
            Self::BloodPressure => reading
                .blood_pressure
                .map(|both| format!("{}/{}", both.systolic, both.diastolic)),
            Self::Pain => reading.pain.map(|n| n.to_string()),
            Self::Action => reading.action.clone(),
        }
    }

    /// Takes out what a reading has in this column: it is then not obtained.
    pub(super) fn clear(self, into: &mut Reading) {
        match self {
            Self::Level => into.level = None,
            Self::Fluid => into.fluid = None,
            Self::Swing => into.swing = None,
            Self::SwingHeight => into.swing_cm = None,
            Self::Bubbling => into.bubbling = None,
            Self::Chamber => into.chamber = None,
            Self::SuctionOrdered => into.suction_ordered = None,
            Self::SuctionSet => into.suction_set = None,
            Self::SuctionIndicated => into.suction_indicated = None,
            Self::SealDepth => into.seal_depth = None,
            Self::Dressing => into.dressing = None,
            Self::Emphysema => into.emphysema = None,
            Self::Tubing => into.tubing = None,
            Self::Position => into.position = None,
            Self::Breaths => into.breaths = None,
            Self::Saturation => into.saturation = None,
            Self::Oxygen => into.oxygen = None,
            Self::HeartRate => into.heart_rate = None,
            Self::BloodPressure => into.blood_pressure = None,
            Self::Pain => into.pain = None,
            Self::Action => into.action = None,
            Self::SeenAt => {}
        }
    }

    /// Reads a cell into its place. `None` is "not obtained".
    pub(super) fn read(
        self,
        text: Option<&str>,
        unit: Option<Unit>,
        into: &mut Reading,
    ) -> Result<(), Why> {
        let Some(text) = text else {
            return Ok(());
        };
        let lower = text.to_lowercase();
        match self {
            Self::SeenAt => {}
            Self::Level => into.level = Some(self.positive(text, unit, Unit::Ml)?),
            Self::SwingHeight => into.swing_cm = Some(self.positive(text, unit, Unit::Cm)?),
            Self::SealDepth => into.seal_depth = Some(self.positive(text, unit, Unit::Cm)?),
            Self::SuctionOrdered => into.suction_ordered = Some(self.suction(text, unit)?),
            Self::SuctionSet => into.suction_set = Some(self.suction(text, unit)?),
            Self::SuctionIndicated => into.suction_indicated = Some(self.suction(text, unit)?),
            Self::Fluid => into.fluid = Some(self.word_of(text, FluidLook::parse(&lower))?),
            Self::Swing => into.swing = Some(self.word_of(text, Swing::parse(&lower))?),
            Self::Bubbling => into.bubbling = Some(self.word_of(text, bubbling(&lower))?),
            Self::Chamber => into.chamber = Some(self.word_of(text, Chamber::parse(&lower))?),
            Self::Dressing => into.dressing = Some(self.word_of(text, Dressing::parse(&lower))?),
            Self::Emphysema => into.emphysema = Some(self.word_of(text, Emphysema::parse(&lower))?),
            Self::Tubing => into.tubing = Some(self.word_of(text, Tubing::parse(&lower))?),
            Self::Position => into.position = Some(self.word_of(text, Position::parse(&lower))?),
            Self::Breaths => into.breaths = Some(whole(text, 0, 150)?),
            Self::HeartRate => into.heart_rate = Some(whole(text, 0, 350)?),
            Self::Saturation => {
                let percent = whole(text.trim_end_matches('%').trim(), 0, 100)?;
                into.saturation = Some(Number::whole(percent.into()));
            }
            Self::Oxygen => into.oxygen = Some(self.amount(text, unit)?),
            Self::BloodPressure => into.blood_pressure = Some(blood_pressure(text)?),
            Self::Pain => into.pain = u8::try_from(whole(text, 0, 10)?).ok(),
            Self::Action if text.chars().any(char::is_control) => return Err(Why::Control),
            Self::Action => into.action = Some(text.to_owned()),
        }
        Ok(())
    }

    fn word_of<T>(self, text: &str, found: Option<T>) -> Result<T, Why> {
        found.ok_or_else(|| Why::UnknownWord {
            text: text.to_owned(),
            column: self,
        })
    }

    /// The amount in a cell, in the cell's own unit or else the column's.
    fn amount(self, text: &str, unit: Option<Unit>) -> Result<Amount, Why> {
        let amount = match (Amount::parse(text), unit) {
            (Err(BadAmount::NoUnit { .. }), Some(unit)) => Amount::new(Number::parse(text)?, unit),
            (read, _) => read?,
        };
        if self.takes(amount.unit) {
            Ok(amount)
        } else {
            Err(Why::WrongUnit {
                unit: amount.unit,
                column: self,
            })
        }
    }

    fn positive(self, text: &str, unit: Option<Unit>, to: Unit) -> Result<Number, Why> {
        let number = self.amount(text, unit)?.to(to)?.number;
        if number < Number::whole(0) {
            return Err(Why::Negative(self));
        }
        Ok(number)
    }

    fn suction(self, text: &str, unit: Option<Unit>) -> Result<Suction, Why> {
        Ok(Suction::from_entry(self.amount(text, unit)?)?)
    }
}

/// The words, or the grade as a digit.
fn bubbling(text: &str) -> Option<Bubbling> {
    let graded = Bubbling::ALL.iter().find(|b| b.grade().to_string() == text);
    graded.copied().or_else(|| Bubbling::parse(text))
}

fn whole(text: &str, low: u16, high: u16) -> Result<u16, Why> {
    let read = text.parse().ok().filter(|n| (low..=high).contains(n));
    read.ok_or_else(|| Why::NotInRange {
        text: text.to_owned(),
        low,
        high,
    })
}

fn blood_pressure(text: &str) -> Result<BloodPressure, Why> {
    let both = text.split_once('/').filter(|(_, low)| !low.is_empty());
    let (systolic, diastolic) = both.ok_or_else(|| Why::OneNumber(text.to_owned()))?;
    Ok(BloodPressure {
        systolic: whole(systolic.trim(), 0, 400)?,
        diastolic: whole(diastolic.trim(), 0, 300)?,
    })
}
