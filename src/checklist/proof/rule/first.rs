//! `first`: never reach one thing unless another was done before, and again since a third.

use crate::checklist::proof::point::Point;
use crate::checklist::proof::watch::{Seen, Watch};

use super::{Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct First {
    /// What must have been done.
    pub must: Point,
    /// Before this.
    pub before: Point,
    /// And done again since this.
    pub since: Option<Point>,
}

const MUST: u8 = 1;
const BEFORE: u8 = 2;
const SINCE: u8 = 4;

struct Watcher;

impl Watch for Watcher {
    fn next(&self, done: u16, seen: Seen) -> Option<u16> {
        let (Seen::Answered(bits) | Seen::Shown { bits, .. }) = seen else {
            return Some(done);
        };
        if bits & BEFORE != 0 && done == 0 {
            return None;
        }
        Some(if bits & MUST != 0 {
            1
        } else if bits & SINCE != 0 {
            0
        } else {
            done
        })
    }
}

impl First {
    pub(super) fn points(&self) -> Vec<&Point> {
        [&self.must, &self.before]
            .into_iter()
            .chain(&self.since)
            .collect()
    }

    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let (before, must) = (context.told(&self.before), context.told(&self.must));
        let why = match &self.since {
            None => format!("{before} comes, without {must} before it"),
            Some(since) => {
                let since = context.told(since);
                format!("{before} comes, without {must} after {since}")
            }
        };
        let question = Question {
            points: self.points(),
            watch: Watching::ByList(&Watcher),
            asked: Vec::new(),
            fresh: Vec::new(),
        };
        context.judge(&question, &[&self.before], &why)
    }
}
