//! Points of a safeguard in the words of the lists, for the nurse who reads what is wrong.

use crate::checklist::model::{CallLevel, Fact, Library, Step, StepKind};
use crate::checklist::proof::point::{AnswerIs, AnswerKind, Case, Place, Point, list_at};
use crate::names::FactName;

use super::Context;

/// So many steps are named for a tag; more only make the sentence longer.
const NAMED: usize = 2;

impl Context<'_, '_, '_> {
    /// A point as one would say it at the bedside.
    pub(super) fn told(&self, point: &Point) -> String {
        let mut parts: Vec<String> = Vec::new();
        for case in &point.0 {
            let answers = self.answers(case);
            for place in &case.places {
                let part = format!("{}{answers}", self.place(place));
                if !parts.contains(&part) {
                    parts.push(part);
                }
            }
        }
        parts.join(", or ")
    }

    fn place(&self, place: &Place) -> String {
        let library = self.session.model.library;
        match place {
            Place::Anywhere => "any step".to_owned(),
            Place::Critical => "a critical step".to_owned(),
            Place::Tag(_) => self.tagged(place),
            Place::Step(list, step) => {
                let list = library.find(list.as_str()).map(|id| library.list(id));
                let found = list.and_then(|list| list.find(step.as_str()).map(|id| list.step(id)));
                found.map_or_else(
                    || quoted(step.as_str()),
                    |step| quoted(&words(step, library)),
                )
            }
            Place::List(name) => {
                let title = library
                    .find(name.as_str())
                    .map(|id| library.list(id).title.as_str());
                format!("the list {}", quoted(title.unwrap_or(name.as_str())))
            }
            Place::Call(None) => "a call for help".to_owned(),
            Place::Call(Some(CallLevel::Emergency)) => "a call to the emergency team".to_owned(),
            Place::Call(Some(CallLevel::DoctorNow)) => {
                "a call to a doctor now, or to the emergency team".to_owned()
            }
            Place::Call(Some(CallLevel::DoctorSoon)) => "a call for help".to_owned(),
            Place::Ending(None) => "the end of the list".to_owned(),
            Place::Ending(Some(outcome)) => format!("an end that is {}", quoted(outcome.word())),
            Place::Opens(duty) => {
                let open = library.duty(duty).map(|duty| duty.open.as_str());
                format!(
                    "the step after which {}",
                    quoted(open.unwrap_or(duty.as_str()))
                )
            }
            Place::Closes(duty) => {
                let close = library.duty(duty).map(|duty| duty.close.as_str());
                quoted(close.unwrap_or(duty.as_str()))
            }
        }
    }

    /// The answers of a case, after the words for its place: of several wordings those that the
    /// list itself has.
    fn answers(&self, case: &Case) -> String {
        let model = &self.session.model;
        let root = list_at(model.library, model.root);
        let offered = |wanted: &str| {
            let mut steps = root.steps().filter(|(_, step)| case.is_at(root, step));
            steps.any(|(_, step)| match &step.kind {
                StepKind::Ask { answers, .. } => answers.iter().any(|one| one.words == wanted),
                _ => false,
            })
        };
        let here = |answer: &&AnswerIs| match answer {
            AnswerIs::Words(words) => offered(words),
            _ => true,
        };
        let mut answers: Vec<&AnswerIs> = case.answers.iter().filter(here).collect();
        if answers.is_empty() {
            answers = case.answers.iter().collect();
        }
        let words: Vec<String> = answers
            .into_iter()
            .map(|answer| match answer {
                AnswerIs::Words(words) => quoted(words),
                AnswerIs::Kind(kind) => quoted(kind_words(*kind)),
                AnswerIs::Within(_) => "with such a number".to_owned(),
            })
            .collect();
        if words.is_empty() {
            return String::new();
        }
        format!(" answered {}", words.join(" or "))
    }

    /// The first steps with a tag: those of the list itself, or of what it uses.
    fn tagged(&self, place: &Place) -> String {
        let model = &self.session.model;
        let root = list_at(model.library, model.root);
        let own = std::iter::once(root);
        let others = model.library.lists().map(|(_, list)| list);
        let lists = own.chain(others.filter(|list| list.name != root.name));
        let mut named: Vec<String> = Vec::new();
        for list in lists {
            for (_, step) in list.steps().filter(|(_, step)| place.is_at(list, step)) {
                let words = quoted(&words(step, model.library));
                if !named.contains(&words) {
                    named.push(words);
                }
            }
            if !named.is_empty() {
                break;
            }
        }
        let more = named.len() > NAMED;
        named.truncate(NAMED);
        match (named.is_empty(), more) {
            (true, _) => place.to_string(),
            (false, false) => named.join(" or "),
            (false, true) => format!("a step like {}", named.join(" or ")),
        }
    }
}

const fn kind_words(kind: AnswerKind) -> &'static str {
    match kind {
        AnswerKind::Done => "done",
        AnswerKind::NotDone => "not done",
        AnswerKind::AsExpected => "as expected",
        AnswerKind::NotAsExpected => "not as expected",
        AnswerKind::NotChecked => "could not check",
        AnswerKind::Unsure => "not sure",
        AnswerKind::NotObtained => "no reading",
        AnswerKind::Elapsed => "watched to the end",
        AnswerKind::Missed => "broken off",
        AnswerKind::Sure => "anything but not sure",
        AnswerKind::Reading => "a reading",
    }
}

/// What a step says, with its places filled as far as they are known; a list that is used by its
/// title.
fn words(step: &Step, library: &Library) -> String {
    let fact = |name: &FactName| {
        let fact = library.facts().get(name.as_str());
        fact.and_then(Fact::shown)
            .unwrap_or_else(|| format!("[{name}]"))
    };
    match (step.kind.text(), &step.kind) {
        (Some(text), _) => text.filled(fact),
        (None, StepKind::Use { list, .. }) => library.list(*list).title.clone(),
        (None, _) => step.name.to_string(),
    }
}

fn quoted(words: &str) -> String {
    format!("\"{}\"", words.trim_end_matches('.'))
}
