//! Points and tests.

use crate::checklist::band;
use crate::checklist::drain_fact::drain_fact;
use crate::checklist::model::{CallLevel, Condition, Cut, Outcome, Range, StepKind, Test, Value};
use crate::checklist::nearest::nearest;
use crate::checklist::proof::point::{AnswerIs, AnswerKind, Case, Place, Point, When};
use crate::checklist::raw::{RawCut, RawRange};
use crate::checklist::tree::{Data, Node};
use crate::names::{DutyName, FactName, ListName, StepName, Tag};
use crate::units::Unit;

use super::{Fault, Reading, text};

impl Reading<'_> {
    /// A point; `when` is what the rule says about it. Plain texts are one case together.
    pub(super) fn point(&mut self, node: &Node, when: When) -> Option<Point> {
        let mut plain = Vec::new();
        let mut cases = Vec::new();
        for item in items(node) {
            if matches!(item.data, Data::Map(_)) {
                cases.push(self.case(item, when)?);
            } else {
                plain.push(self.place(item)?);
            }
        }
        if !plain.is_empty() {
            let answers = Vec::new();
            cases.insert(
                0,
                Case {
                    places: plain,
                    answers,
                    when,
                },
            );
        }
        if cases.is_empty() {
            self.shape(node, "a point, such as \"tag patient-first\"");
            return None;
        }
        Some(Point(cases))
    }

    fn case(&mut self, node: &Node, when: When) -> Option<Case> {
        let fields = self.fields(node, node, &["at", "shown", "done", "answer"])?;
        let named = [("at", when), ("shown", When::Shown), ("done", When::Done)];
        let named: Vec<_> = named
            .into_iter()
            .filter_map(|(key, when)| Some((fields.get(key)?, when)))
            .collect();
        let [(places, when)] = named.as_slice() else {
            self.wrong(node, Fault::Missing { key: "at" });
            return None;
        };
        let mut case = Case {
            places: self.places(places)?,
            answers: Vec::new(),
            when: *when,
        };
        if let Some(answers) = fields.get("answer") {
            for item in items(answers) {
                let answer = self.answer(item, &case)?;
                case.answers.push(answer);
            }
        }
        Some(case)
    }

    fn places(&mut self, node: &Node) -> Option<Vec<Place>> {
        let places: Vec<Option<Place>> = items(node)
            .into_iter()
            .map(|item| self.place(item))
            .collect();
        places.into_iter().collect()
    }

    fn place(&mut self, node: &Node) -> Option<Place> {
        let Some(words) = text(node) else {
            self.shape(node, "a point, such as \"tag patient-first\"");
            return None;
        };
        let not_a_point = Fault::NotAPoint {
            words: words.to_owned(),
        };
        let found = match words.split_whitespace().collect::<Vec<_>>().as_slice() {
            ["anywhere"] => Ok(Place::Anywhere),
            ["critical"] => Ok(Place::Critical),
            ["call"] => Ok(Place::Call(None)),
            ["any", "ending"] => Ok(Place::Ending(None)),
            ["call", level] => CallLevel::parse(level)
                .map(|level| Place::Call(Some(level)))
                .ok_or(not_a_point),
            ["ending", outcome] => Outcome::parse(outcome)
                .map(|outcome| Place::Ending(Some(outcome)))
                .ok_or(not_a_point),
            ["tag", tag] => self.tag(tag),
            ["list", name] => self.list(name),
            ["step", step] => self.step(step),
            ["opens", duty] => self.duty(duty).map(Place::Opens),
            ["closes", duty] => self.duty(duty).map(Place::Closes),
            _ => Err(not_a_point),
        };
        found.map_err(|fault| self.wrong(node, fault)).ok()
    }

    fn tag(&self, word: &str) -> Result<Place, Fault> {
        let steps = || {
            self.library
                .lists()
                .flat_map(|(_, list)| list.steps().map(|(_, step)| step))
        };
        let tags = || steps().flat_map(|step| step.tags.iter());
        match Tag::new(word) {
            Ok(tag) if tags().any(|one| *one == tag) => Ok(Place::Tag(tag)),
            _ => Err(Fault::NoSuchTag {
                tag: word.to_owned(),
                nearest: nearest(word, tags().map(Tag::as_str)),
            }),
        }
    }

    fn list(&self, word: &str) -> Result<Place, Fault> {
        match ListName::new(word) {
            Ok(name) if self.library.find(word).is_some() => Ok(Place::List(name)),
            _ => {
                let names = self.library.lists().map(|(_, list)| list.name.as_str());
                Err(Fault::NoSuchList {
                    name: word.to_owned(),
                    nearest: nearest(word, names),
                })
            }
        }
    }

    fn step(&self, words: &str) -> Result<Place, Fault> {
        let nothing = || Fault::NoSuchStep {
            step: words.to_owned(),
        };
        let (list, step) = match words.split_once('/') {
            Some((list, step)) => {
                let id = self.library.find(list).ok_or_else(nothing)?;
                (self.library.list(id), step)
            }
            None => (self.home.ok_or_else(nothing)?, words),
        };
        let name = StepName::new(step).map_err(|_| nothing())?;
        list.find(step).ok_or_else(nothing)?;
        Ok(Place::Step(list.name.clone(), name))
    }

    pub(super) fn duty(&self, word: &str) -> Result<DutyName, Fault> {
        let name = DutyName::new(word)
            .ok()
            .filter(|name| self.library.duty(name).is_some());
        name.ok_or_else(|| Fault::NoSuchDuty {
            duty: word.to_owned(),
        })
    }

    fn answer(&mut self, node: &Node, point: &Case) -> Option<AnswerIs> {
        let Some(words) = text(node) else {
            self.shape(
                node,
                "an answer in the words of the list, or a kind of answer",
            );
            return None;
        };
        if let Some(kind) = AnswerKind::ALL.iter().find(|kind| kind.word() == words) {
            return Some(AnswerIs::Kind(*kind));
        }
        if let Some(range) = band::parse(words) {
            return self.reading(node, &range, point).map(AnswerIs::Within);
        }
        let lists = self.library.lists().map(|(_, list)| list);
        let steps = lists.flat_map(|list| list.steps().filter(|(_, step)| point.is_at(list, step)));
        let mut has = steps.map(|(_, step)| match &step.kind {
            StepKind::Ask { answers, .. } => answers.iter().any(|answer| answer.words == words),
            _ => false,
        });
        if has.any(|has| has) {
            return Some(AnswerIs::Words(words.to_owned()));
        }
        self.wrong(
            node,
            Fault::NoSuchAnswer {
                words: words.to_owned(),
            },
        );
        None
    }

    /// A stretch of numbers, in the unit of every measure at the point.
    pub(super) fn reading(&mut self, node: &Node, range: &RawRange, point: &Case) -> Option<Range> {
        let lists = self.library.lists().map(|(_, list)| list);
        let steps = lists.flat_map(|list| list.steps().filter(|(_, step)| point.is_at(list, step)));
        let mut units: Vec<Unit> = steps
            .filter_map(|(_, step)| match &step.kind {
                StepKind::Measure { unit, .. } => Some(*unit),
                _ => None,
            })
            .collect();
        units.dedup();
        let words = text(node).unwrap_or("").to_owned();
        let range = match units.as_slice() {
            [unit] => self.range(range, *unit),
            _ => None,
        };
        if range.is_none() {
            self.wrong(node, Fault::NotATest { words });
        }
        range
    }

    fn range(&self, range: &RawRange, unit: Unit) -> Option<Range> {
        let end = |end: &Option<(RawCut, bool)>| match end {
            None => Some(None),
            Some((cut, with)) => self.cut(cut, unit).map(|cut| Some((cut, *with))),
        };
        Some(Range {
            from: end(&range.from)?,
            to: end(&range.to)?,
        })
    }

    fn cut(&self, cut: &RawCut, unit: Unit) -> Option<Cut> {
        let name = match cut {
            RawCut::Number(number) => return Some(Cut::Fixed(*number)),
            RawCut::Fact(name) => name,
        };
        let fact = self.library.facts().get(name.as_str())?;
        match &fact.value {
            None => Some(Cut::Unset(name.clone())),
            Some(Value::Amount(amount)) if amount.unit == Unit::MlPerKg && unit == Unit::Ml => {
                Some(Cut::PerKg(name.clone(), amount.number))
            }
            Some(Value::Amount(amount)) => {
                Some(Cut::Fact(name.clone(), amount.to(unit).ok()?.number))
            }
            Some(_) => None,
        }
    }

    /// Conditions on facts, by name.
    pub(super) fn conditions(&mut self, node: &Node) -> Option<Vec<Condition>> {
        let Data::Map(entries) = &node.data else {
            self.shape(node, "facts with tests, such as {breathing: own}");
            return None;
        };
        let mut found = Vec::new();
        for (key, value) in entries {
            let name = text(key).unwrap_or("");
            let Some(fact) = FactName::new(name).ok().filter(|fact| self.knows(fact)) else {
                self.wrong(
                    key,
                    Fault::NoSuchFact {
                        fact: name.to_owned(),
                    },
                );
                continue;
            };
            let Some(test) = self.test(&fact, value) else {
                let words = text(value).unwrap_or("this").to_owned();
                self.wrong(value, Fault::NotATest { words });
                continue;
            };
            found.push(Condition { name: fact, test });
        }
        Some(found)
    }

    /// Whether there is a fact or a remembered answer of that name.
    fn knows(&self, name: &FactName) -> bool {
        drain_fact(name.as_str()).is_some()
            || self.library.facts().get(name.as_str()).is_some()
            || self.remembers(name).next().is_some()
    }

    /// Every step that remembers under that name.
    fn remembers<'s>(&'s self, name: &'s FactName) -> impl Iterator<Item = &'s StepKind> {
        let steps = self
            .library
            .lists()
            .flat_map(|(_, list)| list.steps().map(|(_, step)| step));
        steps
            .filter(|step| {
                step.remember
                    .as_ref()
                    .is_some_and(|remember| remember.name == *name)
            })
            .map(|step| &step.kind)
    }

    fn test(&self, fact: &FactName, node: &Node) -> Option<Test> {
        if let Data::List(items) = &node.data {
            let words: Option<Vec<String>> = items
                .iter()
                .map(|item| text(item).map(str::to_owned))
                .collect();
            return words.map(Test::OneOf);
        }
        let words = text(node)?;
        match words {
            "known" => return Some(Test::Known),
            "unknown" => return Some(Test::Unknown),
            _ => {}
        }
        match (self.unit_of(fact), band::parse(words)) {
            (Some(unit), Some(range)) => self.range(&range, unit).map(Test::Within),
            (Some(_), None) => None,
            (None, _) => Some(Test::OneOf(vec![words.to_owned()])),
        }
    }

    /// The unit of a fact that is a number.
    fn unit_of(&self, name: &FactName) -> Option<Unit> {
        use crate::checklist::drain_fact::FactKind;
        if let Some(fact) = drain_fact(name.as_str()) {
            return match fact.kind {
                FactKind::Amount(unit, ..) => Some(unit),
                _ => None,
            };
        }
        if let Some(fact) = self.library.facts().get(name.as_str()) {
            return fact.unit;
        }
        self.remembers(name).find_map(|kind| match kind {
            StepKind::Measure { unit, .. } => Some(*unit),
            _ => None,
        })
    }
}

/// The entries of a list, or the one value.
pub(super) fn items(node: &Node) -> Vec<&Node> {
    match &node.data {
        Data::List(items) => items.iter().collect(),
        _ => vec![node],
    }
}
