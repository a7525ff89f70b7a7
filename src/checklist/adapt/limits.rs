//! Limits of a unit's own may act earlier than the shipped ones, never later.

use crate::checklist::model::{Stricter, Value};
use crate::checklist::quantity::convert;
use crate::units::Amount;

/// The value in the unit of another; `None` when they measure different things.
pub(in crate::checklist) fn in_unit_of(value: &Value, other: &Value) -> Option<Value> {
    match (value, other) {
        (Value::Amount(amount), Value::Amount(other)) => convert(*amount, other.unit)
            .map(|number| Value::Amount(Amount::new(number, other.unit))),
        (Value::Span(span), Value::Span(_)) => Some(Value::Span(*span)),
        _ => None,
    }
}

/// What a value measures, in words: its unit.
pub(in crate::checklist) fn quantity(value: &Value) -> String {
    match value {
        Value::Amount(amount) => amount.unit.to_string(),
        Value::Span(_) => "a length of time".to_owned(),
        Value::Word(_) | Value::Words(_) => "words".to_owned(),
    }
}

/// Whether somebody would act later on the unit's own value; both in one unit.
#[must_use]
pub fn acts_later(own: &Value, shipped: &Value, stricter: Stricter) -> bool {
    let order = match (own, shipped) {
        (Value::Amount(own), Value::Amount(shipped)) => own.number.cmp(&shipped.number),
        (Value::Span(own), Value::Span(shipped)) => own.cmp(shipped),
        _ => return own != shipped,
    };
    match stricter {
        Stricter::Higher => order.is_lt(),
        Stricter::Lower => order.is_gt(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Number, Span, Unit};

    fn cm(words: &str) -> Value {
        Value::Amount(Amount::new(Number::parse(words).unwrap(), Unit::Cm))
    }

    #[test]
    fn only_the_stricter_direction_acts_earlier() {
        assert!(acts_later(&cm("1.9"), &cm("2"), Stricter::Higher));
        assert!(!acts_later(&cm("2"), &cm("2"), Stricter::Higher));
        assert!(!acts_later(&cm("2.1"), &cm("2"), Stricter::Higher));
        assert!(acts_later(&cm("2.1"), &cm("2"), Stricter::Lower));
        assert!(!acts_later(&cm("1.9"), &cm("2"), Stricter::Lower));
        let (hour, two) = (Value::Span(Span(3600)), Value::Span(Span(7200)));
        assert!(acts_later(&two, &hour, Stricter::Lower));
        assert!(!acts_later(&hour, &two, Stricter::Lower));
    }

    #[test]
    fn a_value_is_compared_in_one_unit() {
        let mm = Value::Amount(Amount::parse("20 mL").unwrap());
        assert_eq!(in_unit_of(&mm, &cm("2")), None);
        assert_eq!(in_unit_of(&Value::Span(Span(60)), &cm("2")), None);
    }
}
