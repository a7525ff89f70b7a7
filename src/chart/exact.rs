//! Fractions of whole numbers, so that "more than 100 mL" is decided without rounding.

use std::cmp::Ordering;

/// A fraction in thousandths of a millilitre. The lower part is above zero.
///
/// The chart keeps the parts small (levels below 10^9, times below 10^9 seconds), so that
/// products stay inside 128 bits.
#[derive(Debug, Clone, Copy)]
pub(super) struct Exact {
    over: i128,
    under: i128,
}

impl Exact {
    /// Nothing.
    pub(super) const ZERO: Self = Self { over: 0, under: 1 };

    /// `over / under`; `under` must be above zero.
    pub(super) const fn new(over: i128, under: i128) -> Self {
        Self { over, under }
    }

    /// A whole number of thousandths.
    pub(super) fn whole(milli: i64) -> Self {
        Self::new(milli.into(), 1)
    }

    pub(super) const fn minus(self, other: Self) -> Self {
        Self::new(
            self.over * other.under - other.over * self.under,
            self.under * other.under,
        )
    }

    /// `self × times / by`, or nothing when it does not fit. `by` must be above zero.
    pub(super) fn scaled(self, times: i128, by: i128) -> Option<Self> {
        Some(Self::new(
            self.over.checked_mul(times)?,
            self.under.checked_mul(by)?,
        ))
    }

    pub(super) fn floor(self) -> i64 {
        clamp(self.over.div_euclid(self.under))
    }

    pub(super) fn ceil(self) -> i64 {
        clamp(-(-self.over).div_euclid(self.under))
    }

    /// The nearest whole number; a half goes up.
    pub(super) fn nearest(self) -> i64 {
        let whole = self.over.div_euclid(self.under);
        let rest = self.over.rem_euclid(self.under);
        clamp(whole + i128::from(rest >= self.under - rest))
    }

    /// Compared with the other, without rounding.
    pub(super) fn compare(self, other: Self) -> Ordering {
        // Parts of half the width multiply without overflow, and without a slow division.
        let narrow = |e: Self| Some((i64::try_from(e.over).ok()?, i64::try_from(e.under).ok()?));
        if let (Some((a, b)), Some((c, d))) = (narrow(self), narrow(other)) {
            return (i128::from(a) * i128::from(d)).cmp(&(i128::from(c) * i128::from(b)));
        }
        let parts = |e: Self| (e.over.div_euclid(e.under), e.over.rem_euclid(e.under));
        let ((whole, rest), (other_whole, other_rest)) = (parts(self), parts(other));
        // The whole parts first, so that only remainders are multiplied.
        whole
            .cmp(&other_whole)
            .then_with(|| (rest * other.under).cmp(&(other_rest * self.under)))
    }
}

/// Into 64 bits; what does not fit is held at the end of the range.
fn clamp(value: i128) -> i64 {
    i64::try_from(value).unwrap_or(if value < 0 { i64::MIN } else { i64::MAX })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_and_order() {
        let third = Exact::new(100, 3);
        assert_eq!((third.floor(), third.nearest(), third.ceil()), (33, 33, 34));
        let half = Exact::new(5, 2);
        assert_eq!((half.floor(), half.nearest(), half.ceil()), (2, 3, 3));
        assert_eq!(Exact::new(-1, 3).floor(), -1);
        assert_eq!(Exact::new(-1, 3).ceil(), 0);
        assert_eq!(third.compare(Exact::new(33_333, 1000)), Ordering::Greater);
        assert_eq!(third.compare(Exact::new(200, 6)), Ordering::Equal);
        assert_eq!(
            half.minus(Exact::whole(3)).compare(Exact::ZERO),
            Ordering::Less
        );
    }
}
