//! Everything that texts, bands and tests may speak of, with what it can be.

use std::collections::{BTreeMap, HashMap};

use crate::names::FactName;
use crate::units::{Amount, Number, Span, Unit};

use super::drain_fact::{self, FactKind};
use super::model::{Cut, Fact, FactAbout, FactBook, Origin, Range, Value};
use super::nearest::nearest;
use super::quantity::{convert, times_weight};
use super::raw::{RawCut, RawKind, RawList, RawRange};

/// Far more answers than a question can have.
const MOST_ANSWERS: usize = 50;

/// What a fact can be.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum FactShape {
    /// A number in this unit, between these bounds if they are known.
    Amount {
        unit: Unit,
        plausible: Option<(Number, Number)>,
    },
    /// One of these words.
    Choice(Vec<String>),
    /// A length of time, between these bounds if they are known.
    Span { plausible: Option<(Span, Span)> },
    /// Free words, only shown.
    Words,
}

impl FactShape {
    /// What it is, in words.
    pub(super) const fn words(&self) -> &'static str {
        match self {
            Self::Amount { .. } => "a number",
            Self::Choice(_) => "one of a few words",
            Self::Span { .. } => "a length of time",
            Self::Words => "free words",
        }
    }
}

/// A local fact or a limit.
#[derive(Debug)]
pub(super) struct KnownFact {
    pub(super) shape: FactShape,
    pub(super) origin: Origin,
    pub(super) meaning: String,
    pub(super) value: Option<Value>,
    pub(super) about: FactAbout,
}

/// Local facts and limits by name.
#[derive(Debug, Default)]
pub(super) struct Facts {
    pub(super) known: BTreeMap<FactName, KnownFact>,
}

impl Facts {
    pub(super) fn get(&self, name: &str) -> Option<&KnownFact> {
        self.known.get(name)
    }

    /// The number of that local fact or limit in its own unit, if it is set.
    fn amount(&self, name: &str) -> Option<Option<Amount>> {
        let fact = self.get(name)?;
        match (&fact.shape, &fact.value) {
            (FactShape::Amount { .. }, Some(Value::Amount(amount))) => Some(Some(*amount)),
            (FactShape::Amount { .. }, _) => Some(None),
            _ => None,
        }
    }

    /// A cut with its number, in the unit of what is judged. `None` when it cannot be one, which
    /// the checks have told.
    pub(super) fn cut(&self, cut: &RawCut, unit: Unit) -> Option<Cut> {
        let name = match cut {
            RawCut::Number(number) => return Some(Cut::Fixed(*number)),
            RawCut::Fact(name) => name,
        };
        let Some(amount) = self.amount(name.as_str())? else {
            return Some(Cut::Unset(name.clone()));
        };
        if let Some(number) = convert(amount, unit) {
            return Some(Cut::Fact(name.clone(), number));
        }
        let whole = times_weight(amount.unit)?;
        convert(Amount::new(amount.number, whole), unit)
            .map(|number| Cut::PerKg(name.clone(), number))
    }

    /// A range with its numbers, in the unit of what is judged.
    pub(super) fn range(&self, range: &RawRange, unit: Unit) -> Option<Range> {
        let end = |end: &Option<(RawCut, bool)>| match end {
            None => Some(None),
            Some((cut, with)) => self.cut(cut, unit).map(|cut| Some((cut, *with))),
        };
        Some(Range {
            from: end(&range.from)?,
            to: end(&range.to)?,
        })
    }

    /// The facts as a checked library holds them.
    pub(super) fn into_book(self) -> FactBook {
        let facts = self.known.into_iter().map(|(name, fact)| {
            let unit = match fact.shape {
                FactShape::Amount { unit, .. } => Some(unit),
                _ => None,
            };
            let fact = Fact {
                origin: fact.origin,
                meaning: fact.meaning,
                value: fact.value,
                unit,
                about: fact.about,
            };
            (name, fact)
        });
        FactBook(facts.collect())
    }
}

/// The facts that one list may speak of: those of all lists, and its own remembered answers.
#[derive(Debug)]
pub(super) struct Scope<'a> {
    pub(super) facts: &'a Facts,
    /// Remembered names with the step that remembers them first.
    pub(super) remembered: HashMap<&'a FactName, usize>,
    list: &'a RawList,
}

impl<'a> Scope<'a> {
    pub(super) fn of(list: &'a RawList, facts: &'a Facts) -> Self {
        let mut remembered = HashMap::new();
        for (index, step) in list.steps.iter().enumerate() {
            if let Some(name) = &step.remember {
                remembered.entry(&name.is).or_insert(index);
            }
        }
        Self {
            facts,
            remembered,
            list,
        }
    }

    /// What the fact of that name can be; `None` when there is none. The inner `None` stands for a
    /// fact whose definition could not be read.
    pub(super) fn shape(&self, name: &FactName) -> Option<Option<FactShape>> {
        if let Some(&step) = self.remembered.get(name) {
            return Some(
                self.list
                    .steps
                    .get(step)
                    .and_then(|step| remembered_shape(&step.kind)),
            );
        }
        if let Some(fact) = self.facts.get(name.as_str()) {
            return Some(Some(fact.shape.clone()));
        }
        drain_fact::drain_fact(name.as_str()).map(|fact| {
            Some(match fact.kind {
                FactKind::Choice(words) => {
                    FactShape::Choice(words.iter().map(|word| (*word).to_owned()).collect())
                }
                FactKind::Amount(unit, low, high) => FactShape::Amount {
                    unit,
                    plausible: Some((low, high)),
                },
                FactKind::Words => FactShape::Words,
            })
        })
    }

    /// Whether a fact has that name.
    pub(super) fn knows(&self, name: &FactName) -> bool {
        self.remembered.contains_key(name)
            || self.facts.get(name.as_str()).is_some()
            || drain_fact::drain_fact(name.as_str()).is_some()
    }

    /// The fact's name that was most likely meant.
    pub(super) fn nearest(&self, name: &str) -> Option<String> {
        let drain = drain_fact::DRAIN_FACTS.iter().map(|fact| fact.name);
        let own = self.remembered.keys().map(|name| name.as_str());
        nearest(
            name,
            own.chain(self.facts.known.keys().map(FactName::as_str))
                .chain(drain),
        )
    }
}

/// What a step's remembered answer can be; `None` when the step could not be read.
fn remembered_shape(kind: &RawKind) -> Option<FactShape> {
    let words =
        |words: &[&str]| FactShape::Choice(words.iter().map(|word| (*word).to_owned()).collect());
    match kind {
        RawKind::Do { .. } => Some(words(&["done", "not-done"])),
        RawKind::Check { .. } => Some(words(&["as-expected", "not-as-expected", "not-checked"])),
        // With very many answers, which is told, their words are not looked at any further.
        RawKind::Ask {
            answers,
            whole: true,
            ..
        } if answers.len() <= MOST_ANSWERS => Some(FactShape::Choice(
            answers
                .iter()
                .map(|answer| answer.words.is.clone())
                .collect(),
        )),
        RawKind::Measure(measure) => measure.unit.map(|unit| FactShape::Amount {
            unit,
            plausible: measure.plausible,
        }),
        _ => None,
    }
}
