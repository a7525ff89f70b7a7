//! Numbers by class: between two neighbouring cut points every number leads the same way, so one
//! number stands for all of them. `k` cut points make at most `2k + 1` classes.

use crate::checklist::model::{Cut, Range};
use crate::units::Number;

use super::model::Weight;

/// A limit for each kilogram times the weight, rounded down as the walk does it.
pub(super) fn per_kg(each: Number, weight: Number) -> Option<Number> {
    let product = i128::from(each.milli()) * i128::from(weight.milli());
    i64::try_from(product.div_euclid(1000))
        .ok()
        .map(Number::from_milli)
}

/// The number at a cut; `None` when it needs a weight that is open or not known, or a local fact
/// that the unit has not filled in.
pub(super) fn cut_at(cut: &Cut, weight: Weight) -> Option<Number> {
    match (cut, weight) {
        (Cut::Fixed(number) | Cut::Fact(_, number), _) => Some(*number),
        (Cut::PerKg(_, each), Weight::Is(weight)) => per_kg(*each, weight?),
        (Cut::PerKg(..), Weight::Open) | (Cut::Unset(_), _) => None,
    }
}

/// How a number stands to a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Within {
    /// In it.
    Yes,
    /// Outside.
    No,
    /// That cannot be judged: it needs a weight or a local fact that is not known.
    Unknown,
    /// It rests on the weight, which is open.
    Open,
}

/// Whether the number lies in the stretch, as the walk judges it.
pub(super) fn within(range: &Range, number: Number, weight: Weight) -> Within {
    let from = range.from.as_ref().map(|(cut, with)| {
        let cut = cut_at(cut, weight)?;
        Some(number > cut || *with && number == cut)
    });
    let to = range.to.as_ref().map(|(cut, with)| {
        let cut = cut_at(cut, weight)?;
        Some(number < cut || *with && number == cut)
    });
    match (from.unwrap_or(Some(true)), to.unwrap_or(Some(true))) {
        (Some(above), Some(below)) if above && below => Within::Yes,
        (Some(_), Some(_)) => Within::No,
        _ if weight == Weight::Open && is_weighed(range) => Within::Open,
        _ => Within::Unknown,
    }
}

/// The cuts of a stretch.
pub(super) fn cuts(range: &Range) -> impl Iterator<Item = &Cut> {
    range.from.iter().chain(&range.to).map(|(cut, _)| cut)
}

/// Whether a stretch is cut by a limit for each kilogram.
pub(super) fn is_weighed(range: &Range) -> bool {
    cuts(range).any(|cut| matches!(cut, Cut::PerKg(..)))
}

/// One number for each class between and at the cut points, lowest first, from `low` to `high`;
/// then one beyond either end, which a slip of the pen can still give.
pub(super) fn classes(mut at: Vec<Number>, low: Number, high: Number, beyond: bool) -> Vec<Number> {
    at.extend([low, high]);
    at.sort_unstable();
    at.dedup();
    let mut found = Vec::new();
    let mut outside = Vec::new();
    let mut keep = |number: Number| {
        if number >= low && number <= high {
            found.push(number);
        } else if beyond {
            outside.push(number);
        }
    };
    for pair in at.windows(2) {
        keep(pair[0]);
        if let Some(between) = between(pair[0], pair[1]) {
            keep(between);
        }
    }
    if let Some(last) = at.last() {
        keep(*last);
    }
    if beyond {
        let ends = at.first().zip(at.last());
        outside.extend(ends.into_iter().flat_map(|(first, last)| {
            [
                first.milli().saturating_sub(1000),
                last.milli().saturating_add(1000),
            ]
            .map(Number::from_milli)
        }));
    }
    found.extend(outside);
    found
}

/// A number strictly between two others, as round as can be.
fn between(low: Number, high: Number) -> Option<Number> {
    let (low, high) = (low.milli(), high.milli());
    for step in [1000, 500, 100, 50, 10, 5, 1] {
        let next = low.div_euclid(step).checked_add(1)?.checked_mul(step)?;
        if next < high {
            return Some(Number::from_milli(next));
        }
    }
    None
}

/// The weights at which the order of the cuts of a measure changes: where a limit for each
/// kilogram meets a fixed number, rounding included.
pub(super) fn meeting_weights(fixed: &[Number], each: &[Number]) -> Vec<Number> {
    let mut found = Vec::new();
    for each in each
        .iter()
        .map(|each| i128::from(each.milli()))
        .filter(|each| *each > 0)
    {
        for number in fixed.iter().map(|number| i128::from(number.milli())) {
            let first = (number * 1000 + each - 1).div_euclid(each);
            let last = ((number + 1) * 1000 + each - 1).div_euclid(each) - 1;
            let both = [first, last]
                .into_iter()
                .filter_map(|weight| i64::try_from(weight).ok());
            found.extend(both.map(Number::from_milli));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn n(text: &str) -> Number {
        Number::parse(text).unwrap()
    }

    #[test]
    fn every_class_has_one_number() {
        let found = classes(vec![n("2"), n("3")], n("0"), n("30"), true);
        let want = ["0", "1", "2", "2.5", "3", "4", "30", "-1", "31"].map(n);
        assert_eq!(found, want);
        assert_eq!(
            classes(vec![n("0.001")], n("0"), n("0.002"), false),
            ["0", "0.001", "0.002"].map(n)
        );
    }

    #[test]
    fn a_weight_class_keeps_the_order_of_all_cuts() {
        // 10 mL/kg meets 100 mL at 10 kg and, rounded down to thousandths, nowhere else.
        let meet = meeting_weights(&[n("100")], &[n("10")]);
        assert_eq!(meet, [n("10"), n("10")]);
        // 0.3 mL/kg reaches 1 mL at 3.334 kg; up to 3.336 kg the product is still 1.000.
        let meet = meeting_weights(&[n("1")], &[n("0.3")]);
        for (weight, product) in [
            ("3.333", "0.999"),
            ("3.334", "1"),
            ("3.336", "1"),
            ("3.337", "1.001"),
        ] {
            assert_eq!(per_kg(n("0.3"), n(weight)), Some(n(product)));
        }
        assert_eq!(meet, [n("3.334"), n("3.336")]);
    }
}
