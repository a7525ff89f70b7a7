//! What waivers let through, on a day.

use chrono::NaiveDate;

use crate::checklist::model::{Waived, Waiver};

use super::misfit::Misfit;

/// The unit's waivers, judged on a day.
#[derive(Debug)]
pub(in crate::checklist) struct Allow<'a> {
    /// All of them.
    pub(in crate::checklist) waivers: &'a [Waiver],
    /// The day; without one, none acts.
    pub(in crate::checklist) day: Option<NaiveDate>,
    /// Whether what an ended waiver let through is an error. At the bedside it is none: that a day
    /// has passed must not take every list away in the middle of a night.
    pub(in crate::checklist) strict: bool,
}

impl Allow<'_> {
    /// What is told of something that would need a waiver: that, or what its waiver makes of it.
    pub(in crate::checklist) fn judge(&self, what: &Waived, without: Misfit) -> Misfit {
        let last = self
            .waivers
            .iter()
            .filter(|waiver| waiver.what == *what)
            .max_by_key(|waiver| waiver.until);
        match (last, self.day) {
            (Some(waiver), Some(day)) if waiver.acts_on(day) => Misfit::Waived {
                what: what.to_string(),
                who: waiver.who.clone(),
                until: waiver.until.to_string(),
            },
            (Some(waiver), Some(_)) => Misfit::WaiverEnded {
                what: what.to_string(),
                ended: waiver.until.to_string(),
                strict: self.strict,
            },
            _ => without,
        }
    }
}
