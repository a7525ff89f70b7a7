//! `unsure_is_safe`: after "not sure", "not obtained" or "could not check", nothing risky comes
//! before something safe, and something safe does come.

use crate::checklist::proof::point::Point;

use super::afterwards::Owing;
use super::never_after::Forbidding;
use super::{Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnsureIsSafe {
    /// The answers that say so.
    pub unsure: Point,
    /// What must come.
    pub safe: Point,
    /// What must not come before it.
    pub risky: Option<Point>,
}

impl UnsureIsSafe {
    /// In the order of the bits of [`Forbidding`].
    pub(super) fn points(&self) -> Vec<&Point> {
        vec![
            self.risky.as_ref().unwrap_or(&self.safe),
            &self.unsure,
            &self.safe,
        ]
    }

    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let mut forbidden = None;
        if let Some(risky) = &self.risky {
            let question = Question {
                points: vec![risky, &self.unsure, &self.safe],
                watch: Watching::ByList(&Forbidding),
                asked: Vec::new(),
                fresh: Vec::new(),
            };
            let why = format!(
                "{} comes after {}, without {} between them",
                context.told(risky),
                context.told(&self.unsure),
                context.told(&self.safe)
            );
            match context.judge(&question, &[&self.unsure], &why) {
                Verdict::Kept { states } => forbidden = Some(states),
                other => return other,
            }
        }
        let question = Question {
            points: self.points(),
            watch: Watching::ByList(&Owing {
                after: 0b010,
                must: 0b100,
                within: None,
            }),
            asked: Vec::new(),
            fresh: Vec::new(),
        };
        let why = format!(
            "after {}, the list ends without {}",
            context.told(&self.unsure),
            context.told(&self.safe)
        );
        match context.judge(&question, &[&self.unsure], &why) {
            Verdict::Kept { states } => Verdict::Kept {
                states: states.max(forbidden.unwrap_or(0)),
            },
            other => other,
        }
    }
}
