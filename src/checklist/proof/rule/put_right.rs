//! `put_right`: what was opened is closed, or handed over, before the run ends.

use crate::checklist::proof::point::Point;

use super::afterwards::Owing;
use super::{Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PutRight {
    /// What is opened, each with what closes it. Each is checked by itself.
    pub pairs: Vec<(Point, Point)>,
    /// What hands over everything that is still open.
    pub handed_over: Option<Point>,
}

impl PutRight {
    pub(super) fn points(&self) -> Vec<&Point> {
        let pairs = self
            .pairs
            .iter()
            .flat_map(|(opened, closed)| [opened, closed]);
        pairs.chain(&self.handed_over).collect()
    }

    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let mut kept = None;
        let mut vacuous = None;
        for (opened, closed) in &self.pairs {
            let points: Vec<&Point> = [opened, closed]
                .into_iter()
                .chain(&self.handed_over)
                .collect();
            let question = Question {
                points,
                watch: Watching::ByList(&Owing {
                    after: 1,
                    must: 0b110,
                    within: None,
                }),
                asked: Vec::new(),
                fresh: Vec::new(),
            };
            let (begun, ended) = (context.told(opened), context.told(closed));
            let why = match &self.handed_over {
                None => format!("after {begun}, the list ends without {ended}"),
                Some(over) => {
                    let over = context.told(over);
                    format!("after {begun}, the list ends without {ended}, and without {over}")
                }
            };
            match context.judge(&question, &[opened], &why) {
                Verdict::Kept { states } => kept = Some(kept.unwrap_or(0).max(states)),
                Verdict::NotHere => {}
                Verdict::Vacuous { what } => vacuous = Some(what),
                bad => return bad,
            }
        }
        match (kept, vacuous) {
            (_, Some(what)) => Verdict::Vacuous { what },
            (Some(states), None) => Verdict::Kept { states },
            (None, None) => Verdict::NotHere,
        }
    }
}
