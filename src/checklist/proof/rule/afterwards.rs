//! `afterwards`: after one thing another always comes, before the end and within so many screens.

use crate::checklist::proof::point::Point;
use crate::checklist::proof::watch::{Seen, Watch};

use super::{Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Afterwards {
    /// After this.
    pub after: Point,
    /// This must come.
    pub must: Point,
    /// It stands at latest on the screen of that number, counted from 1 for the next one. Screens
    /// that come back after an interruption are not counted twice.
    pub within: Option<u16>,
}

/// Watches for bit 0, after which one of the bits of `must` has to come. It remembers 0 while
/// nothing is owed, otherwise one more than the number of screens since, which is the number of the
/// screen to come: one that comes up too late fulfils nothing.
pub(super) struct Owing {
    pub after: u8,
    pub must: u8,
    pub within: Option<u16>,
}

impl Watch for Owing {
    fn next(&self, now: u16, seen: Seen) -> Option<u16> {
        match seen {
            Seen::Answered(bits) => {
                let now = if bits & self.must != 0 { 0 } else { now };
                Some(if bits & self.after != 0 { 1 } else { now })
            }
            Seen::Shown { bits, quiet } => {
                if now > 0 && !quiet && self.within.is_some_and(|within| now > within) {
                    return None;
                }
                let now = match now {
                    _ if bits & self.must != 0 => 0,
                    1.. if !quiet && self.within.is_some() => now + 1,
                    _ => now,
                };
                Some(if bits & self.after != 0 && now == 0 {
                    1
                } else {
                    now
                })
            }
            Seen::Over => (now == 0).then_some(0),
        }
    }
}

impl Afterwards {
    pub(super) fn points(&self) -> Vec<&Point> {
        vec![&self.after, &self.must]
    }

    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        owed(context, &self.after, &self.must, self.within)
    }
}

/// Judges that `must` always comes after `after`.
pub(super) fn owed(
    context: &mut Context<'_, '_, '_>,
    after: &Point,
    must: &Point,
    within: Option<u16>,
) -> Verdict {
    let (when, what) = (context.told(after), context.told(must));
    let why = match within {
        None => format!("after {when}, the list ends without {what}"),
        Some(1) => format!("after {when}, none of this is on the next screen: {what}"),
        Some(within) => format!("after {when}, {what} does not come within {within} screens"),
    };
    let question = Question {
        points: vec![after, must],
        watch: Watching::ByList(&Owing {
            after: 1,
            must: 2,
            within,
        }),
        asked: Vec::new(),
        fresh: Vec::new(),
    };
    context.judge(&question, &[after], &why)
}
