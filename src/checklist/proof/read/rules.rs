//! The rules, each by its key.

use crate::checklist::band;
use crate::checklist::model::Stricter;
use crate::checklist::proof::point::{AnswerIs, AnswerKind, Case, Place, Point, When};
use crate::checklist::proof::rule::Rule;
use crate::checklist::proof::rule::{
    afterwards::Afterwards, always_finishes::AlwaysFinishes, at_most::AtMost,
    danger_value::DangerValue, first::First, help_near::HelpNear, keep_words::KeepWords,
    never_after::NeverAfter, only_if::OnlyIf, only_stricter::OnlyStricter, put_right::PutRight,
    unsure_is_safe::UnsureIsSafe,
};
use crate::checklist::tree::{Data, Node};
use crate::names::{DutyName, FactName};

use super::points::items;
use super::{Fault, Fields, Reading, text};

/// The keys of the rules.
pub(super) const KEYS: &[&str] = &[
    "first",
    "afterwards",
    "only_if",
    "never_after",
    "put_right",
    "unsure_is_safe",
    "danger_value",
    "help_near",
    "always_finishes",
    "at_most",
    "keep_words",
    "only_stricter",
];

impl Reading<'_> {
    pub(super) fn rule(&mut self, kind: &str, node: &Node) -> Option<Rule> {
        let done = When::Done;
        let shown = When::Shown;
        match kind {
            "first" => {
                let fields = self.fields(node, node, &["do", "before", "since"])?;
                Some(Rule::First(First {
                    must: self.needed(&fields, "do", done)?,
                    before: self.needed(&fields, "before", shown)?,
                    since: self.maybe(&fields, "since", done)?,
                }))
            }
            "afterwards" => {
                let fields = self.fields(node, node, &["when", "do", "show", "within"])?;
                Some(Rule::Afterwards(Afterwards {
                    after: self.needed(&fields, "when", done)?,
                    must: self.must(&fields)?,
                    within: self.number(&fields, "within")?,
                }))
            }
            "only_if" => {
                let fields = self.fields(node, node, &["show", "when"])?;
                let when = self.need(&fields, "when")?;
                Some(Rule::OnlyIf(OnlyIf {
                    show: self.needed(&fields, "show", shown)?,
                    when: self.conditions(when)?,
                }))
            }
            "never_after" => {
                let fields = self.fields(node, node, &["not", "after", "until"])?;
                Some(Rule::NeverAfter(NeverAfter {
                    not: self.needed(&fields, "not", shown)?,
                    after: self.needed(&fields, "after", done)?,
                    until: self.maybe(&fields, "until", done)?,
                }))
            }
            "put_right" => self.put_right(node),
            "unsure_is_safe" => self.unsure_is_safe(node),
            "danger_value" => self.danger_value(node),
            "help_near" => {
                let fields = self.fields(node, node, &["show", "within"])?;
                let must = self.needed(&fields, "show", shown)?;
                let Some(within) = self.number(&fields, "within")? else {
                    self.wrong(node, Fault::Missing { key: "within" });
                    return None;
                };
                Some(Rule::HelpNear(HelpNear { must, within }))
            }
            "always_finishes" => {
                if matches!(node.data, Data::Bool(true)) {
                    return Some(Rule::AlwaysFinishes(AlwaysFinishes { after_loops: None }));
                }
                let fields = self.fields(node, node, &["after_loops"])?;
                let after_loops = self.maybe(&fields, "after_loops", shown)?;
                Some(Rule::AlwaysFinishes(AlwaysFinishes { after_loops }))
            }
            "at_most" => {
                let fields = self.fields(node, node, &["do", "times"])?;
                let what = self.needed(&fields, "do", done)?;
                let Some(times) = self.number(&fields, "times")? else {
                    self.wrong(node, Fault::Missing { key: "times" });
                    return None;
                };
                Some(Rule::AtMost(AtMost { what, times }))
            }
            "keep_words" => {
                let fields = self.fields(node, node, &["items"])?;
                let items = self.needed(&fields, "items", shown)?;
                Some(Rule::KeepWords(KeepWords { items }))
            }
            "only_stricter" => self.only_stricter(node),
            _ => None,
        }
    }

    fn needed(&mut self, fields: &Fields<'_>, key: &'static str, when: When) -> Option<Point> {
        let node = self.need(fields, key)?;
        self.point(node, when)
    }

    /// A point that may be left out: `Some(None)` when it is.
    fn maybe(&mut self, fields: &Fields<'_>, key: &str, when: When) -> Option<Option<Point>> {
        match fields.get(key) {
            None => Some(None),
            Some(node) => self.point(node, when).map(Some),
        }
    }

    /// What must come: `do`, or `show` when it is enough that it is on the screen.
    fn must(&mut self, fields: &Fields<'_>) -> Option<Point> {
        match (fields.get("do"), fields.get("show")) {
            (Some(node), None) => self.point(node, When::Done),
            (None, Some(node)) => self.point(node, When::Shown),
            _ => {
                self.wrong(fields.owner, Fault::Missing { key: "do" });
                None
            }
        }
    }

    fn number(&mut self, fields: &Fields<'_>, key: &str) -> Option<Option<u16>> {
        let Some(node) = fields.get(key) else {
            return Some(None);
        };
        let words = match &node.data {
            Data::Number(words) => words.clone(),
            _ => text(node).unwrap_or("").to_owned(),
        };
        match words.parse() {
            Ok(number @ 1..=999) => Some(Some(number)),
            _ => {
                self.wrong(node, Fault::NotANumber { words });
                None
            }
        }
    }

    fn put_right(&mut self, node: &Node) -> Option<Rule> {
        let fields = self.fields(node, node, &["duty", "opened", "closed", "handed_over"])?;
        let handed_over = self.maybe(&fields, "handed_over", When::Done)?;
        let Some(duty) = fields.get("duty") else {
            let opened = self.needed(&fields, "opened", When::Done)?;
            let closed = self.needed(&fields, "closed", When::Done)?;
            return Some(Rule::PutRight(PutRight {
                pairs: vec![(opened, closed)],
                handed_over,
            }));
        };
        let duties: Vec<DutyName> = if text(duty) == Some("any") {
            self.every_duty()
        } else {
            let mut found = Vec::new();
            for item in items(duty) {
                match self.duty(text(item).unwrap_or("")) {
                    Ok(duty) => found.push(duty),
                    Err(fault) => self.wrong(item, fault),
                }
            }
            found
        };
        let point = |place: Place| {
            let (places, answers) = (vec![place], Vec::new());
            Point(vec![Case {
                places,
                answers,
                when: When::Done,
            }])
        };
        let pairs = duties.into_iter().map(|duty| {
            (
                point(Place::Opens(duty.clone())),
                point(Place::Closes(duty)),
            )
        });
        Some(Rule::PutRight(PutRight {
            pairs: pairs.collect(),
            handed_over,
        }))
    }

    /// Every duty that any step opens.
    fn every_duty(&self) -> Vec<DutyName> {
        let steps = self
            .library
            .lists()
            .flat_map(|(_, list)| list.steps().map(|(_, step)| step));
        let mut duties: Vec<DutyName> = steps.flat_map(|step| step.opens.iter().cloned()).collect();
        duties.sort();
        duties.dedup();
        duties
    }

    fn unsure_is_safe(&mut self, node: &Node) -> Option<Rule> {
        let fields = self.fields(node, node, &["ask", "safe", "risky"])?;
        let mut unsure = match fields.get("ask") {
            Some(node) => self.point(node, When::Done)?,
            None => Point(vec![Case {
                places: vec![Place::Anywhere],
                answers: Vec::new(),
                when: When::Done,
            }]),
        };
        for case in unsure.0.iter_mut().filter(|case| case.answers.is_empty()) {
            let kinds = [
                AnswerKind::Unsure,
                AnswerKind::NotObtained,
                AnswerKind::NotChecked,
            ];
            case.answers = kinds.map(AnswerIs::Kind).to_vec();
        }
        Some(Rule::UnsureIsSafe(UnsureIsSafe {
            unsure,
            safe: self.needed(&fields, "safe", When::Done)?,
            risky: self.maybe(&fields, "risky", When::Shown)?,
        }))
    }

    fn danger_value(&mut self, node: &Node) -> Option<Rule> {
        let fields = self.fields(node, node, &["of", "when", "do", "show", "within"])?;
        let mut of = self.needed(&fields, "of", When::Done)?;
        let when = self.need(&fields, "when")?;
        let Some(range) = text(when).and_then(band::parse) else {
            self.wrong(
                when,
                Fault::NotATest {
                    words: text(when).unwrap_or("").to_owned(),
                },
            );
            return None;
        };
        for case in &mut of.0 {
            case.answers = vec![AnswerIs::Within(self.reading(when, &range, case)?)];
        }
        let within = self.number(&fields, "within")?;
        Some(Rule::DangerValue(DangerValue {
            of,
            must: self.must(&fields)?,
            within,
        }))
    }

    fn only_stricter(&mut self, node: &Node) -> Option<Rule> {
        let fields = self.fields(node, node, &["limits", "of", "worse"])?;
        let mut limits = Vec::new();
        let named = fields
            .get("limits")
            .filter(|node| text(node) != Some("all"));
        for item in named.map(items).unwrap_or_default() {
            let word = text(item).unwrap_or("");
            match FactName::new(word)
                .ok()
                .filter(|name| self.library.facts().get(name.as_str()).is_some())
            {
                Some(name) => limits.push(name),
                None => self.wrong(
                    item,
                    Fault::NoSuchFact {
                        fact: word.to_owned(),
                    },
                ),
            }
        }
        let measures = match (fields.get("of"), fields.get("worse")) {
            (None, None) => None,
            (Some(of), Some(worse)) => {
                let Some(direction) = text(worse).and_then(Stricter::parse) else {
                    self.shape(worse, "\"higher\" or \"lower\"");
                    return None;
                };
                Some((self.point(of, When::Shown)?, direction))
            }
            (Some(_), None) => {
                self.wrong(node, Fault::Missing { key: "worse" });
                return None;
            }
            (None, Some(_)) => {
                self.wrong(node, Fault::Missing { key: "of" });
                return None;
            }
        };
        Some(Rule::OnlyStricter(OnlyStricter { limits, measures }))
    }
}
