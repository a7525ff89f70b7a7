//! Reads drain facts as people write them.

use crate::checklist::drain_fact::DRAIN_FACTS;
use crate::checklist::drain_fact::{DrainFact, DrainFacts, FactKind, drain_fact};
use crate::checklist::model::Value;
use crate::failure::Failure;
use crate::names::FactName;
use crate::units::Amount;

/// The longest text of a place label, in characters.
const LONGEST_WORDS: usize = 80;

/// Reads the value of a drain fact.
///
/// # Errors
/// Words that say what is wrong and how to write it.
pub fn read_value(fact: &DrainFact, text: &str) -> Result<Value, String> {
    let text = text.trim();
    match fact.kind {
        FactKind::Choice(words) => match words.iter().find(|word| **word == text) {
            Some(word) => Ok(Value::Word((*word).to_owned())),
            None => Err(format!("\"{text}\" is none of: {}", words.join(", "))),
        },
        FactKind::Amount(unit, low, high) => {
            let amount = Amount::parse(text).map_err(|bad| bad.to_string())?;
            let amount = amount.to(unit).map_err(|bad| bad.to_string())?;
            if amount.number < low || amount.number > high {
                return Err(format!(
                    "{amount} is outside {low} to {high} {unit}: write it again"
                ));
            }
            Ok(Value::Amount(amount))
        }
        FactKind::Words if text.is_empty() => Err("write a few words".to_owned()),
        FactKind::Words if text.chars().count() > LONGEST_WORDS => {
            Err(format!("keep it under {LONGEST_WORDS} characters"))
        }
        FactKind::Words => Ok(Value::Words(text.to_owned())),
    }
}

/// Reads `name=value` pairs into the facts; an empty value makes a fact not known.
///
/// # Errors
/// A usage failure that names the pair, what is wrong with it, and what there is.
pub fn read_pairs(facts: &mut DrainFacts, pairs: &[String]) -> Result<(), Failure> {
    for pair in pairs {
        let Some((name, value)) = pair.split_once('=') else {
            return Err(Failure::usage(format!("\"{pair}\" is not FACT=VALUE"))
                .hint("write it like breathing=ventilator"));
        };
        let Some(fact) = drain_fact(name.trim()) else {
            let names: Vec<&str> = DRAIN_FACTS.iter().map(|fact| fact.name).collect();
            return Err(Failure::usage(format!("\"{name}\" is no drain fact"))
                .hint(format!("the facts are: {}", names.join(", "))));
        };
        let key = FactName::new(fact.name).map_err(|bad| Failure::usage(bad.to_string()))?;
        if value.trim().is_empty() {
            facts.remove(&key);
            continue;
        }
        let value =
            read_value(fact, value).map_err(|why| Failure::usage(format!("{name}: {why}")))?;
        facts.insert(key, value);
    }
    Ok(())
}
