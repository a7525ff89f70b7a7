//! How full the drainage unit is, when it will need changing, and topping up its seal.

use super::exact::Exact;
use super::ranged::Ranged;
use crate::moment::Moment;
use crate::units::{Number, Span, Unit};
use chrono::TimeDelta;

/// The shares of the capacity at which a change is planned and made, per cent. They come from the
/// list of limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FillLimits {
    /// At and above this a change is planned.
    pub plan: Number,
    /// At and above this it is made.
    pub change: Number,
}

/// How full a drainage unit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fullness {
    /// Below both limits.
    Room,
    /// A change is to be planned.
    Plan,
    /// It is to be changed.
    Change,
}

/// What is missing before an answer can be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MissingFact {
    /// The capacity is not set.
    #[error("the capacity of the drainage unit is not set: enter it in the unit's local facts")]
    Capacity,
    /// The volume for each centimetre of the seal is not set.
    #[error(
        "the water needed for each centimetre of the seal is not set: measure it for the \
         drainage unit in use and enter it in the unit's local facts"
    )]
    SealMlPerCm,
}

/// How full the drainage unit is at a level, both mL.
///
/// # Errors
/// [`MissingFact::Capacity`] without a capacity above zero.
pub fn fullness(
    level: Number,
    capacity: Option<Number>,
    limits: FillLimits,
) -> Result<Fullness, MissingFact> {
    let reached = |share| {
        Ok(Exact::whole(level.milli())
            .compare(mark(share, capacity)?)
            .is_ge())
    };
    Ok(if reached(limits.change)? {
        Fullness::Change
    } else if reached(limits.plan)? {
        Fullness::Plan
    } else {
        Fullness::Room
    })
}

/// The level at a share of the capacity.
fn mark(percent: Number, capacity: Option<Number>) -> Result<Exact, MissingFact> {
    let capacity = capacity.filter(|c| c.milli() > 0);
    let milli = capacity.ok_or(MissingFact::Capacity)?.milli();
    let product = i128::from(percent.milli()) * i128::from(milli);
    Ok(Exact::new(product, 100_000))
}

/// The share of the whole, in per cent to the nearest thousandth. `None` for a whole of zero or
/// less.
#[must_use]
pub fn percent(part: Number, whole: Number) -> Option<Number> {
    let share = |whole| Exact::new(i128::from(part.milli()) * 100_000, whole);
    let whole = i128::from(whole.milli());
    (whole > 0).then(|| Number::from_milli(share(whole).nearest()))
}

/// When a level will be reached if the output goes on as it did. A moment that lies more than
/// [`HORIZON`] ahead, or never comes, is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reached {
    /// At the nominal rate.
    pub nominal: Option<Moment>,
    /// At the highest rate, from the highest level: the one to be ready for.
    pub earliest: Option<Moment>,
    /// At the lowest rate, from the lowest level.
    pub latest: Option<Moment>,
}

/// How far ahead a forecast goes; what lies beyond is no guide. Our own choice, no source.
pub const HORIZON: Span = Span::minutes(7 * 24 * 60);

/// When the level will stand at this share of the capacity, as a range.
///
/// `level` is what was read at `now`, `half_graduation` how far it may be off (mL; zero when not
/// known), `rate` the recent output in mL/h. A share already reached gives `now`.
///
/// # Errors
/// [`MissingFact::Capacity`] without a capacity above zero.
pub fn reached(
    now: Moment,
    (level, half_graduation): (Number, Number),
    rate: Ranged,
    percent: Number,
    capacity: Option<Number>,
) -> Result<Reached, MissingFact> {
    let mark = mark(percent, capacity)?;
    let (slow, fast) = rate.bounds.unwrap_or((rate.nominal, rate.nominal));
    let after = |level: i64, rate: Number| {
        let missing = mark.minus(Exact::whole(level));
        if missing.compare(Exact::ZERO).is_le() {
            return Some(now);
        }
        let rate = Some(i128::from(rate.milli())).filter(|rate| *rate > 0)?;
        let seconds = missing.scaled(3_600, rate)?.nearest();
        let delta = TimeDelta::try_seconds(seconds)?;
        (delta <= HORIZON.to_delta()).then(|| now.checked_add_signed(delta))?
    };
    let (level, half) = (level.milli(), half_graduation.milli());
    Ok(Reached {
        nominal: after(level, rate.nominal),
        earliest: after(level.saturating_add(half), fast),
        latest: after(level.saturating_sub(half), slow),
    })
}

/// What brings the water seal to its depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SealCare {
    /// It stands right.
    Right,
    /// Add this much sterile water, mL.
    Add(Number),
    /// It stands too high by this much, mL: take it off by the drainage unit's own method.
    TooHigh(Number),
}

/// The water between the seal's depth and the wanted depth (cm), by the volume for each centimetre
/// of the drainage unit in use (mL/cm), to the nearest thousandth.
///
/// # Errors
/// [`MissingFact::SealMlPerCm`] without a volume above zero, unless the seal stands right.
pub fn seal_care(
    depth: Number,
    wanted: Number,
    ml_per_cm: Option<Number>,
) -> Result<SealCare, MissingFact> {
    let missing = i128::from(wanted.milli()) - i128::from(depth.milli());
    if missing == 0 {
        return Ok(SealCare::Right);
    }
    let each = ml_per_cm.filter(|each| each.milli() > 0);
    let each = i128::from(each.ok_or(MissingFact::SealMlPerCm)?.milli());
    let volume = Number::from_milli(Exact::new(missing.abs() * each, 1000).nearest());
    Ok(if missing > 0 {
        SealCare::Add(volume)
    } else {
        SealCare::TooHigh(volume)
    })
}

/// "4 h 30 min to 6 h": how long until then, as a range of words. "Not foreseeable" when neither
/// end is.
#[must_use]
pub fn in_words(reached: Reached, now: Moment) -> String {
    let span = |at: Moment| {
        // To whole minutes, downwards: rather too early.
        let minutes = (at - now).num_minutes().max(0);
        Span(u32::try_from(minutes * 60).unwrap_or(u32::MAX)).to_string()
    };
    match (reached.earliest, reached.latest) {
        (Some(early), Some(_)) if early <= now && reached.nominal == Some(now) => "now".to_owned(),
        (Some(early), Some(late)) if span(early) == span(late) => format!("in {}", span(early)),
        (Some(early), Some(late)) => format!("in {} to {}", span(early), span(late)),
        (Some(early), None) => format!("in {} at the earliest", span(early)),
        (None, _) => format!("not within {} at this rate", days(HORIZON)),
    }
}

fn days(span: Span) -> String {
    format!("{} {}", span.0 / 86_400, Unit::Day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::series::tests::{at, hourly};

    /// Three quarters: The Royal Marsden (UK), 2020 (edition and year from memory), Manual of
    /// Clinical Nursing Procedures, guideline 12.6. Two thirds: common practice, no source.
    fn limits() -> FillLimits {
        FillLimits {
            plan: Number::from_milli(66_600),
            change: Number::whole(75),
        }
    }

    // The fractions above; a bottle of 2000 mL as in a journal letter.
    #[test]
    fn plan_at_two_thirds_and_change_at_three_quarters() {
        let full = |ml| fullness(Number::whole(ml), Some(Number::whole(2000)), limits());
        assert_eq!(full(1331), Ok(Fullness::Room));
        assert_eq!(full(1334), Ok(Fullness::Plan));
        assert_eq!(full(1490), Ok(Fullness::Plan));
        assert_eq!(full(1500), Ok(Fullness::Change));
        let unknown = fullness(Number::whole(1500), None, limits());
        assert_eq!(unknown, Err(MissingFact::Capacity));
    }

    // Am J Crit Care 1999;8:319, effects of position of chest drainage tube: of 500 mL, 65 drained
    // with a loop, 250 lifted and drained, 301 coiled, 337 straight.
    #[test]
    fn shares_of_a_published_experiment() {
        let of = |ml| percent(Number::whole(ml), Number::whole(500)).unwrap();
        assert_eq!(of(65), Number::whole(13));
        assert_eq!(of(250), Number::whole(50));
        assert_eq!(of(301), Number::from_milli(60_200));
        assert_eq!(of(337), Number::from_milli(67_400));
        assert_eq!(percent(Number::whole(1), Number::whole(0)), None);
    }

    #[test]
    fn time_to_a_share_is_a_range() {
        let rate = hourly(&[100, 200])
            .output(at(0), at(120))
            .per_hour()
            .unwrap();
        assert_eq!(rate.to_string(), "100 mL/h (97.5 to 102.5)");
        let level = (Number::whole(200), Number::whole(5));
        let capacity = Some(Number::whole(2000));
        let when = reached(at(120), level, rate, Number::whole(75), capacity).unwrap();
        assert_eq!(when.nominal, Some(at(120 + 13 * 60)));
        // (1500 - 205) / 102.5 h and (1500 - 195) / 97.5 h.
        let minutes = |m: Option<Moment>| (m.unwrap() - at(120)).num_minutes();
        assert_eq!((minutes(when.earliest), minutes(when.latest)), (758, 803));
        assert_eq!(in_words(when, at(120)), "in 12 h 38 min to 13 h 23 min");
        let there = reached(
            at(0),
            (Number::whole(1600), level.1),
            rate,
            Number::whole(75),
            capacity,
        );
        assert_eq!(in_words(there.unwrap(), at(0)), "now");
        assert!(reached(at(0), level, rate, Number::whole(75), None).is_err());
    }

    #[test]
    fn no_output_fills_nothing() {
        let rate = hourly(&[0, 0]).output(at(0), at(120)).per_hour().unwrap();
        let level = (Number::whole(0), Number::whole(5));
        let small = reached(
            at(0),
            level,
            rate,
            Number::whole(75),
            Some(Number::whole(500)),
        )
        .unwrap();
        assert_eq!((small.nominal, small.latest), (None, None));
        // The reading error alone could hide 2.5 mL/h.
        assert!(in_words(small, at(0)).ends_with("at the earliest"));
        let large = reached(
            at(0),
            level,
            rate,
            Number::whole(75),
            Some(Number::whole(2000)),
        )
        .unwrap();
        assert_eq!(in_words(large, at(0)), "not within 7 d at this rate");
    }

    // In one common kind of drainage unit 20 mL make 2 cm (common practice, no source).
    #[test]
    fn topping_up_goes_by_the_units_own_volume() {
        let each = Some(Number::whole(10));
        let care = |depth| seal_care(Number::from_milli(depth), Number::whole(2), each).unwrap();
        assert_eq!(care(0), SealCare::Add(Number::whole(20)));
        assert_eq!(care(1_500), SealCare::Add(Number::whole(5)));
        assert_eq!(care(2_000), SealCare::Right);
        assert_eq!(care(3_500), SealCare::TooHigh(Number::whole(15)));
        let unknown = seal_care(Number::whole(1), Number::whole(2), None);
        assert_eq!(unknown, Err(MissingFact::SealMlPerCm));
    }
}
