//! `at_most`: something is done at most so often in one run.

use crate::checklist::proof::point::Point;
use crate::checklist::proof::watch::{Seen, Watch};

use super::{Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AtMost {
    /// What is done.
    pub what: Point,
    /// How often at most.
    pub times: u16,
}

struct Counting {
    times: u16,
}

impl Watch for Counting {
    fn next(&self, count: u16, seen: Seen) -> Option<u16> {
        let (Seen::Answered(bits) | Seen::Shown { bits, quiet: false }) = seen else {
            return Some(count);
        };
        let count = if bits & 1 != 0 { count + 1 } else { count };
        (count <= self.times).then_some(count)
    }
}

impl AtMost {
    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let times = self.times;
        let question = Question {
            points: vec![&self.what],
            watch: Watching::ByList(&Counting { times }),
            asked: Vec::new(),
            fresh: Vec::new(),
        };
        let why = format!(
            "{} is done more than {times} times",
            context.told(&self.what)
        );
        context.judge(&question, &[&self.what], &why)
    }
}
