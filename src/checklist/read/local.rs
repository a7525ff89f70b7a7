//! A unit's `local.yaml`: its name, its zone, the values of the local facts, whom to call.

use crate::checklist::facts::{FactShape, Facts};
use crate::checklist::model::{CallLevel, LocalUnit, MayStart, Origin, Rung, Value};
use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::quantity::convert;
use crate::checklist::raw::{At, Ladders};
use crate::checklist::tree::{Data, Node};
use crate::names::FactName;
use crate::units::Amount;

use super::Reader;
use super::fields::Fields;

/// The keys of `local.yaml`.
const KEYS: &[&str] = &[
    "unit",
    "zone",
    "author",
    "drafts",
    "past_review",
    "facts",
    "calls",
];

/// What `local.yaml` says apart from the values of the facts.
#[derive(Debug, Default)]
pub(in crate::checklist) struct Local {
    pub(in crate::checklist) unit: Option<LocalUnit>,
    pub(in crate::checklist) ladders: Ladders,
}

/// Reads `local.yaml`; the values go into the facts.
pub(in crate::checklist) fn local(
    reader: &mut Reader<'_>,
    root: &Node,
    facts: &mut Facts,
) -> Local {
    let at = reader.at(root);
    let mut local = Local::default();
    let Some(fields) = reader.fields(root, at, "local.yaml", KEYS) else {
        return local;
    };
    let name = fields
        .need(reader, "unit")
        .and_then(|node| reader.words(node));
    let zone = fields
        .need(reader, "zone")
        .and_then(|node| reader.zone(node));
    let author = fields
        .get("author")
        .filter(|node| !matches!(node.data, Data::Empty))
        .and_then(|node| reader.words(node));
    let drafts = reader.may_start(&fields, "drafts");
    let past_review = reader.may_start(&fields, "past_review");
    if let (Some(name), Some(zone)) = (name, zone) {
        local.unit = Some(LocalUnit {
            name,
            zone,
            author,
            drafts,
            past_review,
        });
    }
    if let Some(node) = fields
        .get("facts")
        .filter(|node| !matches!(node.data, Data::Empty))
    {
        for (key, value) in reader.entries(node, "facts with their values") {
            reader.local_value(key, value, facts);
        }
    }
    if let Some(node) = fields
        .get("calls")
        .filter(|node| !matches!(node.data, Data::Empty))
    {
        for (key, value) in reader.entries(node, "levels of call with whom to call") {
            let level = reader.word(key, "a level of call", CallLevel::ALL, CallLevel::word);
            let rungs = reader.rungs(value);
            if let Some(level) = level {
                local.ladders.insert(level.is, rungs);
            }
        }
    }
    local
}

impl Reader<'_> {
    /// Whether something may be started; without the key it may.
    fn may_start(&mut self, fields: &Fields<'_>, key: &str) -> MayStart {
        fields
            .get(key)
            .filter(|node| !matches!(node.data, Data::Empty))
            .and_then(|node| self.word(node, "allow or refuse", MayStart::ALL, MayStart::word))
            .map_or(MayStart::Allow, |word| word.is)
    }

    fn zone(&mut self, node: &Node) -> Option<chrono_tz::Tz> {
        let found = self.words(node)?;
        let zone = found.parse().ok();
        if zone.is_none() {
            self.wrong(node, Kind::NotAZone { found });
        }
        zone
    }

    fn rungs(&mut self, node: &Node) -> Vec<Rung> {
        let items = self.items(node, "a list of whom to call");
        items.iter().filter_map(|item| self.rung(item)).collect()
    }

    fn rung(&mut self, node: &Node) -> Option<Rung> {
        let at = self.at(node);
        let fields = self.fields(node, at, "a call", &["who", "how", "wait"])?;
        let who = fields.need(self, "who").and_then(|node| self.words(node));
        let how = fields.need(self, "how").and_then(|node| self.phone(node));
        let wait = fields.need(self, "wait").and_then(|node| self.span(node));
        Some(Rung {
            who: who?,
            how: how?,
            wait: wait?.is,
        })
    }

    /// How to call. A bare number would lose a leading zero, so it needs its quotes like any words.
    fn phone(&mut self, node: &Node) -> Option<String> {
        self.words(node)
    }

    /// The value of one local fact. Nothing after the colon: not filled in.
    pub(super) fn local_value(&mut self, key: &Node, node: &Node, facts: &mut Facts) {
        let Some(name) = self.key_name(key, FactName::new) else {
            return;
        };
        let known = facts
            .get(name.is.as_str())
            .filter(|fact| fact.origin == Origin::Local);
        let Some(fact) = known else {
            let locals = facts
                .known
                .iter()
                .filter(|(_, fact)| fact.origin == Origin::Local);
            let nearest = nearest(name.is.as_str(), locals.map(|(name, _)| name.as_str()));
            self.out.add(
                name.at,
                Kind::UnknownLocalFact {
                    name: name.is.to_string(),
                    nearest,
                },
            );
            return;
        };
        if matches!(node.data, Data::Empty) {
            return;
        }
        let shape = fact.shape.clone();
        let value = self.value(node, &name, &shape);
        if let Some(fact) = facts.known.get_mut(&name.is) {
            fact.value = value;
        }
    }

    fn value(&mut self, node: &Node, name: &At<FactName>, shape: &FactShape) -> Option<Value> {
        match shape {
            FactShape::Words => self.words(node).map(Value::Words),
            FactShape::Choice(choices) => {
                let word = self.words(node)?;
                if choices.contains(&word) {
                    return Some(Value::Word(word));
                }
                let nearest = nearest(&word, choices.iter().map(String::as_str));
                let what = "a choice for this fact";
                self.wrong(
                    node,
                    Kind::UnknownWord {
                        word,
                        what,
                        known: choices.clone(),
                        nearest,
                    },
                );
                None
            }
            FactShape::Span { plausible } => {
                let span = self.span(node)?.is;
                if let Some((low, high)) = plausible
                    && !(*low..=*high).contains(&span)
                {
                    let (found, low, high) = (span.to_string(), low.to_string(), high.to_string());
                    self.wrong(node, Kind::NotPlausible { found, low, high });
                    return None;
                }
                Some(Value::Span(span))
            }
            FactShape::Amount { unit, plausible } => {
                let amount = self.amount(node)?;
                let Some(number) = convert(amount, *unit) else {
                    let (has, wanted) = (amount.unit.to_string(), unit.to_string());
                    self.wrong(
                        node,
                        Kind::WrongQuantity {
                            name: name.is.to_string(),
                            has,
                            wanted,
                        },
                    );
                    return None;
                };
                if let Some((low, high)) = plausible
                    && !(*low..=*high).contains(&number)
                {
                    let show = |number| Amount::new(number, *unit).to_string();
                    let (low, high) = (show(*low), show(*high));
                    self.wrong(
                        node,
                        Kind::NotPlausible {
                            found: amount.to_string(),
                            low,
                            high,
                        },
                    );
                    return None;
                }
                Some(Value::Amount(Amount::new(number, *unit)))
            }
        }
    }
}
