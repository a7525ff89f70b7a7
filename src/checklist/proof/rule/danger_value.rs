//! `danger_value`: a dangerous reading always leads to what must be done, within so many screens.

use crate::checklist::proof::model::Weight;
use crate::checklist::proof::point::Point;

use super::afterwards::owed;
use super::{Context, Verdict};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DangerValue {
    /// The readings: a measure answered with a number in a stretch.
    pub of: Point,
    /// What must come.
    pub must: Point,
    /// Within so many screens.
    pub within: Option<u16>,
}

impl DangerValue {
    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        if self.of.is_weighed() && context.session.model.weighs == Weight::Open {
            context.session.needs_weight = true;
            return Verdict::NotDecided { states: 0 };
        }
        owed(context, &self.of, &self.must, self.within)
    }
}
