//! `never_after`: after one thing never another, until a third.

use crate::checklist::proof::point::Point;
use crate::checklist::proof::watch::{Seen, Watch};

use super::{Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NeverAfter {
    /// This never comes.
    pub not: Point,
    /// After this.
    pub after: Point,
    /// Until this.
    pub until: Option<Point>,
}

const NOT: u8 = 1;
const AFTER: u8 = 2;
const UNTIL: u8 = 4;

pub(super) struct Forbidding;

impl Watch for Forbidding {
    fn next(&self, forbidden: u16, seen: Seen) -> Option<u16> {
        let (Seen::Answered(bits) | Seen::Shown { bits, .. }) = seen else {
            return Some(forbidden);
        };
        if bits & NOT != 0 && forbidden == 1 {
            return None;
        }
        Some(if bits & AFTER != 0 {
            1
        } else if bits & UNTIL != 0 {
            0
        } else {
            forbidden
        })
    }
}

impl NeverAfter {
    pub(super) fn points(&self) -> Vec<&Point> {
        [&self.not, &self.after]
            .into_iter()
            .chain(&self.until)
            .collect()
    }

    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let (not, after) = (context.told(&self.not), context.told(&self.after));
        let why = match &self.until {
            None => format!("{not} comes after {after}"),
            Some(until) => {
                let until = context.told(until);
                format!("{not} comes after {after}, without {until} between them")
            }
        };
        let question = Question {
            points: self.points(),
            watch: Watching::ByList(&Forbidding),
            asked: Vec::new(),
            fresh: Vec::new(),
        };
        // Only what forbids must be there: what is forbidden is best nowhere.
        context.judge(&question, &[&self.after], &why)
    }
}
