//! `convert AMOUNT UNIT`.

use crate::checklist::load::load;
use crate::checklist::shelf::Shelf;
use crate::cli::ConvertArgs;
use crate::failure::Failure;
use crate::units::{self, Amount};

use super::charting::amount;
use super::out;

/// The limit above which suction in an adult asks for a second check, as shipped. A unit's own
/// value is not needed to ask whether the unit of pressure is the one meant.
fn look_twice_above() -> Option<Amount> {
    let library = load(&Shelf::shipped()).library?;
    amount(&library, "suction-adult-ask")
}

/// Prints an amount in another unit, with the cautions that belong to it.
///
/// # Errors
/// A usage failure when a unit is missing or not known, or measures something else.
pub fn run(args: &ConvertArgs) -> Result<(), Failure> {
    let (amount, unit) = match args.words.as_slice() {
        [amount, unit] => (amount.clone(), unit.clone()),
        [number, from, to] => (format!("{number} {from}"), to.clone()),
        [number, from, word, to] if word == "to" || word == "in" => {
            (format!("{number} {from}"), to.clone())
        }
        _ => {
            return Err(
                Failure::usage("an amount with its unit, and the unit wanted, are needed")
                    .hint("write it like: tubeside convert 20 cmH2O kPa"),
            );
        }
    };
    let lines = units::convert_lines(&amount, &unit, look_twice_above()).map_err(|why| {
        Failure::usage(why.to_string()).hint("units: cmH2O, kPa, mmHg, mbar, mL, L, cm, mm, Fr")
    })?;
    for line in lines {
        out::line(&line)?;
    }
    Ok(())
}
