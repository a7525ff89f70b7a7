//! Everything that texts, bands and tests may speak of, with what it can be.

use std::collections::{BTreeMap, HashMap};

use crate::names::FactName;
use crate::units::{Amount, Number, Span, Unit};

use super::drain_fact::{self, FactKind};
use super::model::{Cut, Fact, FactAbout, FactBook, Origin, Range, Value};
use super::nearest::nearest;
use super::quantity::{convert, times_weight};
use super::raw::{At, RawCut, RawKind, RawList, RawPeriod, RawRange};
use super::text::with_limits;

/// Far more answers than a question can have.
const MOST_ANSWERS: usize = 50;

/// In at most so many hours, one after another, a limit can be asked to be met.
pub(super) const MOST_HOURS: u32 = 24;

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
    /// In words; of a limit with `{window}`, `{hours}` and other limits as places.
    pub(super) meaning: At<String>,
    pub(super) value: Option<Value>,
    /// Of a limit: over what time an output is held against it. Known once every limit is.
    pub(super) window: Option<At<RawPeriod>>,
    /// Of a limit: in how many hours, one after another, it must be met.
    pub(super) hours: Option<At<RawPeriod>>,
    pub(super) about: FactAbout,
}

impl KnownFact {
    /// Gives a limit another value. Words for the value before no longer fit.
    pub(super) fn change(&mut self, own: Value) {
        if let FactAbout::Limit { words, .. } = &mut self.about
            && self.value.as_ref() != Some(&own)
        {
            *words = None;
        }
        self.value = Some(own);
    }
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

    /// The words of an answer, with each limit in them filled.
    pub(super) fn answer_words(&self, words: &str) -> String {
        with_limits(words, |name| self.limit_words(name))
    }

    /// How the limit of that name reads in a text.
    fn limit_words(&self, name: &str) -> Option<String> {
        let fact = self.get(name)?;
        let value = (fact.origin == Origin::Limit).then_some(fact.value.as_ref())??;
        Some(fact.about.shown(value))
    }

    /// The length of a time that is written out or named; `None` for a name without one.
    pub(super) fn span(&self, period: &RawPeriod) -> Option<Span> {
        match period {
            RawPeriod::Fixed(span) => Some(*span),
            RawPeriod::Fact(name) => match self.get(name.as_str())?.value {
                Some(Value::Span(span)) => Some(span),
                _ => None,
            },
        }
    }

    /// Fills the places in what limits mean.
    fn fill_meanings(&mut self) {
        let filled: Vec<_> = self
            .known
            .iter()
            .filter(|(_, fact)| fact.meaning.is.contains('{'))
            .map(|(name, fact)| {
                let own = |place: &str| match (&fact.about, place) {
                    (FactAbout::Limit { window, .. }, "window") => Some((*window)?.to_string()),
                    (FactAbout::Limit { hours, .. }, "hours") => Some((*hours)?.to_string()),
                    _ => self.limit_words(place),
                };
                (name.clone(), with_limits(&fact.meaning.is, own))
            })
            .collect();
        for (name, meaning) in filled {
            if let Some(fact) = self.known.get_mut(&name) {
                fact.meaning.is = meaning;
            }
        }
    }

    /// The facts as a checked library holds them.
    pub(super) fn into_book(mut self) -> FactBook {
        let times: Vec<_> = self
            .known
            .iter()
            .filter(|(_, fact)| fact.window.is_some() || fact.hours.is_some())
            .map(|(name, fact)| {
                let span = |at: &Option<At<RawPeriod>>| self.span(&at.as_ref()?.is);
                let hours = span(&fact.hours).and_then(whole_hours);
                (name.clone(), span(&fact.window), hours)
            })
            .collect();
        for (name, over, met) in times {
            if let Some(FactAbout::Limit { window, hours, .. }) =
                self.known.get_mut(&name).map(|fact| &mut fact.about)
            {
                (*window, *hours) = (over, met);
            }
        }
        self.fill_meanings();
        let facts = self.known.into_iter().map(|(name, fact)| {
            let unit = match fact.shape {
                FactShape::Amount { unit, .. } => Some(unit),
                _ => None,
            };
            let fact = Fact {
                origin: fact.origin,
                meaning: fact.meaning.is,
                value: fact.value,
                unit,
                about: fact.about,
            };
            (name, fact)
        });
        FactBook(facts.collect())
    }
}

/// The time as a number of hours; `None` when it is not a whole one from 1 to [`MOST_HOURS`].
pub(super) fn whole_hours(span: Span) -> Option<u8> {
    let hours = span.0.is_multiple_of(3600).then_some(span.0 / 3600)?;
    u8::try_from(hours)
        .ok()
        .filter(|hours| (1..=MOST_HOURS).contains(&u32::from(*hours)))
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
