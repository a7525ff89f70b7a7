//! What is known at a moment: remembered answers, drain facts, local facts and limits under one roof.

use crate::checklist::drain_fact::{DrainFacts, drain_fact};
use crate::checklist::model::{Condition, Cut, FactBook, Piece, Range, Test, Text, Value};
use crate::moment::Moment;
use crate::names::FactName;
use crate::units::{Amount, Number, Unit};

use super::state::Frame;

/// The facts that a step may speak of.
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    pub frame: &'a Frame,
    pub drain: &'a DrainFacts,
    pub book: &'a FactBook,
    pub now: Moment,
}

/// What became of a condition.
pub(super) enum Verdict {
    /// It holds or does not.
    Is(bool),
    /// It rests on a remembered answer that is too old.
    Stale(FactName),
}

impl<'a> Known<'a> {
    /// The value under that name. A remembered answer that is too old is no value.
    pub fn value(&self, name: &FactName) -> Option<&'a Value> {
        if let Some(memory) = self.frame.memory.get(name) {
            return (!memory.is_stale(self.now)).then_some(&memory.value);
        }
        self.drain
            .get(name)
            .or_else(|| self.book.get(name.as_str())?.value.as_ref())
    }

    /// The text with every place filled.
    pub fn fill(&self, text: &Text) -> String {
        if let [Piece::Words(words)] = text.0.as_slice() {
            return words.clone();
        }
        text.filled(|name| self.words(name))
    }

    /// The value under that name in words, or in brackets that it is not there.
    fn words(&self, name: &FactName) -> String {
        match self.value(name) {
            Some(Value::Amount(amount)) if amount.unit == Unit::MlPerKg => {
                match self.per_kg(amount.number) {
                    Some(total) => format!("{amount} ({})", Amount::new(total, Unit::Ml)),
                    None => amount.to_string(),
                }
            }
            Some(value) => self.shown(name, value),
            None => match self.book.get(name.as_str()) {
                Some(fact) => format!("[not set here: {}]", fact.meaning),
                None => match drain_fact(name.as_str()) {
                    Some(_) => format!("[not known: {name}]"),
                    None => format!("[not answered: {name}]"),
                },
            },
        }
    }

    /// A value as it reads in a text: a limit may have words for it.
    fn shown(&self, name: &FactName, value: &Value) -> String {
        match self.book.get(name.as_str()) {
            Some(fact) if fact.value.as_ref() == Some(value) => fact.about.shown(value),
            _ => value.to_string(),
        }
    }

    /// The weight in kilograms.
    fn weight(&self) -> Option<Number> {
        match self.drain.get("weight") {
            Some(Value::Amount(amount)) if amount.unit == Unit::Kg => Some(amount.number),
            _ => None,
        }
    }

    /// A limit for each kilogram times the weight; rounded down, which acts earlier.
    fn per_kg(&self, each: Number) -> Option<Number> {
        let product = i128::from(each.milli()) * i128::from(self.weight()?.milli());
        i64::try_from(product.div_euclid(1000))
            .ok()
            .map(Number::from_milli)
    }

    /// The number at which the way changes; `None` when it needs a weight
    /// that is not known or a local fact that is not filled in.
    pub fn cut(&self, cut: &Cut) -> Option<Number> {
        match cut {
            Cut::Fixed(number) | Cut::Fact(_, number) => Some(*number),
            Cut::PerKg(_, each) => self.per_kg(*each),
            Cut::Unset(_) => None,
        }
    }

    /// Whether the number lies in the stretch; `None` when that needs what is not known.
    pub fn within(&self, range: &Range, number: Number) -> Option<bool> {
        let above = match &range.from {
            None => true,
            Some((cut, true)) => number >= self.cut(cut)?,
            Some((cut, false)) => number > self.cut(cut)?,
        };
        let below = match &range.to {
            None => true,
            Some((cut, true)) => number <= self.cut(cut)?,
            Some((cut, false)) => number < self.cut(cut)?,
        };
        Some(above && below)
    }

    /// Whether the condition holds.
    pub fn verdict(&self, condition: &Condition) -> Verdict {
        let name = &condition.name;
        if self
            .frame
            .memory
            .get(name)
            .is_some_and(|memory| memory.is_stale(self.now))
        {
            return Verdict::Stale(name.clone());
        }
        let value = self.value(name);
        Verdict::Is(match (&condition.test, value) {
            (Test::Known, value) => value.is_some(),
            (Test::Unknown, value) => value.is_none(),
            (_, None) => false,
            (Test::OneOf(words), Some(Value::Word(word) | Value::Words(word))) => {
                words.iter().any(|one| one == word)
            }
            (Test::Within(range), Some(Value::Amount(amount))) => {
                self.within(range, amount.number) == Some(true)
            }
            (Test::OneOf(_) | Test::Within(_), Some(_)) => false,
        })
    }
}
