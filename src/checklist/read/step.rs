//! One step.

use crate::checklist::band;
use crate::checklist::model::{CallLevel, Charts, Outcome};
use crate::checklist::problem::Kind;
use crate::checklist::raw::{
    At, RawAnswer, RawBand, RawCondition, RawKind, RawMeasure, RawPeriod, RawRow, RawStep, RawTest,
};
use crate::checklist::tree::{Data, Node};
use crate::names::{DutyName, FactName, ListName, SourceName, StepName, Tag};
use crate::units::Span;

use super::Reader;
use super::fields::Fields;
use super::keys::{ANY_STEP, KINDS, KindKeys};

impl Reader<'_> {
    /// Reads a step; its kind is a hole when it has none.
    pub(super) fn step(&mut self, name: At<StepName>, node: &Node) -> RawStep {
        let read = self.kind_of(&name, node).and_then(|keys| {
            let fields = self.step_fields(&name, node, keys)?;
            Some((keys, fields))
        });
        let Some((keys, fields)) = read else {
            return hole(name);
        };
        let kind = self.kind(keys, &fields);
        let mut step = hole(name);
        step.kind = kind;
        self.common(&fields, &mut step);
        step
    }

    /// Which kind of step it is: exactly one of the kinds' keys.
    fn kind_of(&mut self, name: &At<StepName>, node: &Node) -> Option<&'static KindKeys> {
        let Data::Map(entries) = &node.data else {
            self.wrong_shape(node, "a step with its keys");
            return None;
        };
        let mut found: Option<&'static KindKeys> = None;
        for (key, _) in entries {
            let Data::Text(word) = &key.data else {
                continue;
            };
            let Some(keys) = KINDS.iter().find(|keys| keys.kind == word) else {
                continue;
            };
            match found {
                // The same key twice was told by the first look.
                Some(first) if first.kind != keys.kind => {
                    self.wrong(
                        key,
                        Kind::SeveralKinds {
                            first: first.kind,
                            second: keys.kind,
                        },
                    );
                    return None;
                }
                _ => found = Some(keys),
            }
        }
        if found.is_none() {
            self.out.add(name.at, Kind::NoKind);
        }
        found
    }

    /// The keys of a step; one that another kind has is told as such.
    fn step_fields<'n>(
        &mut self,
        name: &At<StepName>,
        node: &'n Node,
        keys: &KindKeys,
    ) -> Option<Fields<'n>> {
        let mut known = vec![keys.kind];
        known.extend_from_slice(keys.needed);
        known.extend_from_slice(keys.allowed);
        known.extend_from_slice(ANY_STEP);
        let own = known.len();
        known.extend(
            KINDS
                .iter()
                .flat_map(|other| other.needed.iter().chain(other.allowed))
                .filter(|key| !keys.has(key)),
        );
        let fields = self.fields_offering(node, name.at, "a step", &known, own)?;
        for key in known.split_off(own) {
            if let Some(node) = fields.key(key) {
                let kind = Kind::KeyOfOtherKind {
                    key: key.to_owned(),
                    kind: keys.kind,
                };
                self.wrong(node, kind);
            }
        }
        Some(fields)
    }

    /// What any step may have.
    fn common(&mut self, fields: &Fields<'_>, step: &mut RawStep) {
        step.why = fields.get("why").and_then(|node| self.text(node));
        step.caution = fields.get("caution").and_then(|node| self.text(node));
        step.place = fields.get("where").and_then(|node| self.text(node));
        step.record = fields.get("record").and_then(|node| self.text(node));
        step.has_source = fields.get("source").is_some() || fields.was_meant("source");
        if let Some(node) = fields.get("source") {
            step.source = self.names(node, SourceName::new);
        }
        if let Some(node) = fields.get("tags") {
            step.tags = self
                .names(node, Tag::new)
                .into_iter()
                .map(|tag| tag.is)
                .collect();
        }
        step.critical = fields
            .get("critical")
            .and_then(|node| self.truth(node))
            .unwrap_or(false);
        step.from_memory = fields.get("from_memory").and_then(|node| {
            self.truth(node)
                .filter(|truth| *truth)
                .map(|_| self.at(node))
        });
        if let Some(node) = fields.get("opens") {
            step.opens = self.names(node, DutyName::new);
        }
        if let Some(node) = fields.get("closes") {
            step.closes = self.names(node, DutyName::new);
        }
        step.call = fields
            .get("call")
            .and_then(|node| self.word(node, "a level of call", CallLevel::ALL, CallLevel::word));
        if let Some(node) = fields.get("chart") {
            self.chart(node, step);
        }
        step.remember = fields
            .get("remember")
            .and_then(|node| self.name(node, FactName::new));
        step.good_for = fields.get("good_for").and_then(|node| self.period(node));
        if let (Some(key), None) = (fields.key("good_for"), fields.get("remember")) {
            self.wrong(
                key,
                Kind::NeedsBeside {
                    key: "good_for",
                    other: "remember",
                },
            );
        }
    }

    /// What the step is for the chart: of a `measure` one word, of the others a word for each answer.
    fn chart(&mut self, node: &Node, step: &mut RawStep) {
        const WHAT: &str = "a part of the chart";
        if matches!(step.kind, RawKind::Measure(_)) {
            step.charts = self.word(node, WHAT, &Charts::all(true), Charts::word);
            return;
        }
        for (key, value) in self.entries(node, "answers, each a line like \"words: swing none\"") {
            let words = self.key_words(key);
            let charts = self.word(value, WHAT, &Charts::all(false), Charts::word);
            step.looks.extend(words.zip(charts));
        }
    }

    fn kind(&mut self, keys: &KindKeys, fields: &Fields<'_>) -> RawKind {
        let way =
            |reader: &mut Self, key| fields.need(reader, key).and_then(|node| reader.way(node));
        let text =
            |reader: &mut Self, key| fields.need(reader, key).and_then(|node| reader.text(node));
        match keys.kind {
            "do" => RawKind::Do {
                text: text(self, "do"),
                then: way(self, "then"),
                if_not_done: way(self, "if_not_done"),
            },
            "check" => RawKind::Check {
                text: text(self, "check"),
                expect: text(self, "expect"),
                as_expected: way(self, "as_expected"),
                not_as_expected: way(self, "not_as_expected"),
                could_not_check: way(self, "could_not_check"),
            },
            "ask" => {
                let text = text(self, "ask");
                self.ask(text, fields)
            }
            "measure" => self.measure(fields),
            "wait" => self.wait(fields),
            "decide" => RawKind::Decide {
                rows: self.rows(fields),
                otherwise: way(self, "otherwise"),
            },
            "use" => RawKind::Use {
                list: fields
                    .get("use")
                    .and_then(|node| self.name(node, ListName::new)),
                endings: fields
                    .need(self, "then")
                    .and_then(|node| self.endings(node)),
            },
            _ => RawKind::End {
                text: text(self, "end"),
                outcome: fields
                    .need(self, "outcome")
                    .and_then(|node| self.word(node, "an outcome", Outcome::ALL, Outcome::word)),
                recheck: fields.get("recheck").and_then(|node| self.period(node)),
            },
        }
    }

    fn ask(
        &mut self,
        text: Option<At<crate::checklist::model::Text>>,
        fields: &Fields<'_>,
    ) -> RawKind {
        let mut answers = Vec::new();
        let Some(node) = fields.need(self, "answers") else {
            return RawKind::Ask {
                text,
                answers,
                whole: false,
                at: self.key_at(fields, "ask"),
            };
        };
        let items = self.items(node, "answers, each a line like \"- words: step\"");
        for item in items {
            let Some((key, value)) = self.pair(item, "an answer") else {
                continue;
            };
            let words = self.key_words(key);
            let (way, unsure) = self.answer_way(value);
            if let Some(words) = words {
                answers.push(RawAnswer { words, unsure, way });
            }
        }
        let whole = !items.is_empty() && answers.len() == items.len();
        RawKind::Ask {
            text,
            answers,
            whole,
            at: self.key_at(fields, "answers"),
        }
    }

    fn measure(&mut self, fields: &Fields<'_>) -> RawKind {
        let mut bands = Vec::new();
        let mut whole = false;
        if let Some(node) = fields.need(self, "bands") {
            let items = self.items(node, "bands, each a line like \"- below 2: step\"");
            for item in items {
                let Some((key, value)) = self.pair(item, "a band") else {
                    continue;
                };
                let words = self.key_words(key);
                let way = self.way(value);
                let Some(words) = words else { continue };
                match band::parse(&words.is) {
                    Some(range) => bands.push(RawBand {
                        range: At {
                            is: range,
                            at: words.at,
                        },
                        way,
                    }),
                    None => self.out.add(words.at, Kind::NotABand { found: words.is }),
                }
            }
            whole = !items.is_empty() && bands.len() == items.len();
        }
        RawKind::Measure(Box::new(RawMeasure {
            text: fields.get("measure").and_then(|node| self.text(node)),
            unit: fields.need(self, "unit").and_then(|node| self.unit(node)),
            plausible: fields
                .need(self, "plausible")
                .and_then(|node| self.number_range(node)),
            bands,
            whole,
            at: self.key_at(fields, "bands"),
            not_obtained: fields
                .need(self, "not_obtained")
                .and_then(|node| self.way(node)),
        }))
    }

    fn wait(&mut self, fields: &Fields<'_>) -> RawKind {
        RawKind::Wait {
            text: fields.get("wait").and_then(|node| self.text(node)),
            period: fields.need(self, "for").and_then(|node| self.period(node)),
            while_unset: fields.get("while_unset").and_then(|node| self.period(node)),
            late_after: fields.get("late_after").and_then(|node| self.period(node)),
            elapsed: fields.need(self, "elapsed").and_then(|node| self.way(node)),
            if_missed: fields
                .need(self, "if_missed")
                .and_then(|node| self.way(node)),
        }
    }

    /// A length of time, or the name of a fact that is one.
    pub(super) fn period(&mut self, node: &Node) -> Option<At<RawPeriod>> {
        if let Data::Text(words) = &node.data
            && let Ok(name) = FactName::new(words.trim())
        {
            return Some(At {
                is: RawPeriod::Fact(name),
                at: self.at(node),
            });
        }
        self.span(node).map(|span: At<Span>| At {
            is: RawPeriod::Fixed(span.is),
            at: span.at,
        })
    }

    fn rows(&mut self, fields: &Fields<'_>) -> Vec<RawRow> {
        let Some(node) = fields.get("decide") else {
            return Vec::new();
        };
        let items = self.items(
            node,
            "rows, each a line like \"- {when: {name: word}, go: step}\"",
        );
        items.iter().map(|item| self.row(item)).collect()
    }

    fn row(&mut self, item: &Node) -> RawRow {
        let mut row = RawRow {
            at: self.at(item),
            when: Vec::new(),
            whole: false,
            way: None,
        };
        if !matches!(item.data, Data::Map(_)) {
            self.wrong_shape(item, "a row with when and go");
            return row;
        }
        let (way, when) = self.row_way(item);
        row.way = way;
        let Some(when) = when else { return row };
        let entries = self.entries(when, "conditions, each a name with its test");
        for (key, value) in entries {
            let name = self.key_name(key, FactName::new);
            let test = self.test(value);
            if let (Some(name), Some(test)) = (name, test) {
                row.when.push(RawCondition { name, test });
            }
        }
        row.whole = !entries.is_empty() && row.when.len() == entries.len();
        row
    }

    fn test(&mut self, node: &Node) -> Option<At<RawTest>> {
        let at = self.at(node);
        let words = match &node.data {
            Data::List(_) => {
                let items = self.items(node, "a list of words");
                let words: Vec<_> = items
                    .iter()
                    .filter_map(|item| self.key_words(item))
                    .collect();
                if words.len() < items.len() || words.is_empty() {
                    return None;
                }
                words
            }
            _ => vec![self.key_words(node)?],
        };
        let is = match words.as_slice() {
            [word] if word.is == "known" => RawTest::Known,
            [word] if word.is == "unknown" => RawTest::Unknown,
            _ => RawTest::Words(words),
        };
        Some(At { is, at })
    }

    /// Words with their place.
    fn key_words(&mut self, node: &Node) -> Option<At<String>> {
        let words = self.words(node)?;
        Some(At {
            is: words,
            at: self.at(node),
        })
    }

    fn key_at(&self, fields: &Fields<'_>, key: &str) -> crate::checklist::raw::Spot {
        fields
            .key(key)
            .map_or_else(|| fields.at(), |node| self.at(node))
    }
}

fn hole(name: At<StepName>) -> RawStep {
    RawStep {
        name,
        kind: RawKind::Hole,
        why: None,
        caution: None,
        place: None,
        source: Vec::new(),
        has_source: false,
        tags: Vec::new(),
        critical: false,
        from_memory: None,
        remember: None,
        good_for: None,
        charts: None,
        looks: Vec::new(),
        opens: Vec::new(),
        closes: Vec::new(),
        call: None,
        record: None,
    }
}
