//! The places in a text, filled with what is known when the form is printed, or left to be
//! written in.

use crate::checklist::drain_fact::drain_fact;
use crate::checklist::model::{Checklist, Cut, Library, Range, Text, Value};
use crate::names::FactName;
use crate::units::{Amount, Unit};

/// A line to write on.
const BLANK: &str = "________";

/// What the texts of one part speak of.
pub(super) struct Filler<'a> {
    pub(super) library: &'a Library,
    pub(super) list: &'a Checklist,
    /// The letter of the part, before each number.
    pub(super) letter: &'a str,
}

impl Filler<'_> {
    /// The text with every place filled.
    pub(super) fn fill(&self, text: &Text) -> String {
        text.filled(|name| self.words(name))
    }

    /// The number of the step that remembers an answer under that name.
    pub(super) fn asked_at(&self, name: &FactName) -> Option<String> {
        let asks = |step: &crate::checklist::model::Step| {
            step.remember.as_ref().is_some_and(|one| one.name == *name)
        };
        let (id, _) = self.list.steps().find(|(_, step)| asks(step))?;
        Some(self.number(id.index()))
    }

    /// The number of a step.
    pub(super) fn number(&self, index: usize) -> String {
        format!("{}{}", self.letter, index + 1)
    }

    fn words(&self, name: &FactName) -> String {
        if let Some(at) = self.asked_at(name) {
            return format!("{BLANK} (your answer at {at})");
        }
        match self.library.facts().get(name.as_str()) {
            Some(fact) => match &fact.value {
                Some(Value::Amount(amount)) if amount.unit == Unit::MlPerKg => {
                    format!("{amount} ({amount} times weight {BLANK} kg = {BLANK} mL)")
                }
                Some(value) => fact.about.shown(value),
                None => format!("[not set here: {}]", fact.meaning),
            },
            None if drain_fact(name.as_str()).is_some() => format!("{BLANK} ({name})"),
            None => BLANK.to_owned(),
        }
    }

    /// A stretch of numbers in words.
    pub(super) fn range(&self, range: &Range, unit: Unit) -> String {
        range.in_words(|cut| self.cut(cut, unit))
    }

    fn cut(&self, cut: &Cut, unit: Unit) -> String {
        match cut {
            Cut::Fixed(number) | Cut::Fact(_, number) => Amount::new(*number, unit).to_string(),
            Cut::PerKg(_, each) => format!(
                "{BLANK} mL ({} times the weight in kg)",
                Amount::new(*each, Unit::MlPerKg)
            ),
            Cut::Unset(name) => match self.library.facts().get(name.as_str()) {
                Some(fact) => format!("[not set here: {}]", fact.meaning),
                None => format!("[not set here: {name}]"),
            },
        }
    }
}
