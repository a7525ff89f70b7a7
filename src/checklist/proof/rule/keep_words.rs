//! `keep_words`: these items stay in the list, with the words that were approved.

use crate::checklist::model::{Checklist, Piece, Step, StepKind, Text};
use crate::checklist::proof::point::{Point, list_at};

use super::{Context, Verdict};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeepWords {
    /// The items.
    pub items: Point,
}

impl KeepWords {
    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let model = &context.session.model;
        let list = list_at(model.library, model.root);
        let Some(base) = context.base.find(list.name.as_str()) else {
            return Verdict::NotHere;
        };
        let base = context.base.list(base);
        let mut any = false;
        for (_, before) in base
            .steps()
            .filter(|(_, step)| self.items.is_at(base, step))
        {
            any = true;
            if let Some(why) = differs(list, before) {
                return Verdict::Broken {
                    why,
                    run: None,
                    states: 0,
                };
            }
        }
        if any {
            Verdict::Kept { states: 0 }
        } else {
            Verdict::NotHere
        }
    }
}

fn differs(list: &Checklist, before: &Step) -> Option<String> {
    let Some(now) = list.find(before.name.as_str()) else {
        return Some(format!("the step {} is no longer there", before.name));
    };
    let now = list.step(now);
    let (old, new) = (words(before), words(now));
    (old != new).then(|| {
        let changed = old.iter().zip(&new).find(|(old, new)| old != new);
        match changed {
            Some((old, new)) => format!("{}: \"{old}\" has become \"{new}\"", before.name),
            None => format!("the step {} has become another kind of step", before.name),
        }
    })
}

/// Everything that is read of a step, with spaces and line ends made alike.
fn words(step: &Step) -> Vec<String> {
    let mut texts: Vec<&Text> = match &step.kind {
        StepKind::Do { text, .. }
        | StepKind::Ask { text, .. }
        | StepKind::Measure { text, .. }
        | StepKind::Wait { text, .. }
        | StepKind::End { text, .. } => vec![text],
        StepKind::Check { text, expect, .. } => vec![text, expect],
        StepKind::Decide { .. } | StepKind::Use { .. } => Vec::new(),
    };
    texts.extend(&step.caution);
    let mut found: Vec<String> = texts.into_iter().map(even).collect();
    if let StepKind::Ask { answers, .. } = &step.kind {
        found.extend(answers.iter().map(|answer| answer.words.clone()));
    }
    found
}

fn even(text: &Text) -> String {
    let whole: String = text
        .0
        .iter()
        .map(|piece| match piece {
            Piece::Words(words) => words.clone(),
            Piece::Fill(name) => format!("{{{name}}}"),
        })
        .collect();
    whole.split_whitespace().collect::<Vec<_>>().join(" ")
}
