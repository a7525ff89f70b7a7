//! `limits.yaml`, `duties.yaml` and `local-facts.yaml`.

use crate::checklist::facts::{FactShape, Facts, KnownFact, MOST_HOURS};
use crate::checklist::model::{Evidence, FactAbout, Origin, Population, Stricter, Value};
use crate::checklist::problem::Kind;
use crate::checklist::quantity::is_time;
use crate::checklist::raw::{At, RawDuties, RawDuty, RawPeriod};
use crate::checklist::tree::{Data, Node};
use crate::names::{DutyName, FactName};
use crate::units::{Amount, Number, Span, Unit};

use super::Reader;
use super::fields::Fields;

/// Reads `limits.yaml` into the facts.
pub(in crate::checklist) fn limits(reader: &mut Reader<'_>, root: &Node, facts: &mut Facts) {
    reader.each(root, "limits", FactName::new, |reader, name, node| {
        if let Some(limit) = reader.limit(&name, node) {
            reader.add_fact(name, limit, facts);
        }
    });
}

/// Reads `local-facts.yaml` into the facts.
pub(in crate::checklist) fn local_facts(reader: &mut Reader<'_>, root: &Node, facts: &mut Facts) {
    reader.each(root, "facts", FactName::new, |reader, name, node| {
        if let Some(fact) = reader.local_fact(&name, node) {
            reader.add_fact(name, fact, facts);
        }
    });
}

/// Reads `duties.yaml`.
pub(in crate::checklist) fn duties(reader: &mut Reader<'_>, root: &Node, duties: &mut RawDuties) {
    reader.each(root, "duties", DutyName::new, |reader, name, node| {
        let keys = ["open", "close", "within", "while_unset"];
        let Some(fields) = reader.fields(node, name.at, "a duty", &keys) else {
            return;
        };
        let open = fields
            .need(reader, "open")
            .and_then(|node| reader.words(node));
        let close = fields
            .need(reader, "close")
            .and_then(|node| reader.words(node));
        let within = fields.get("within").and_then(|node| reader.period(node));
        let unset = fields.get("while_unset");
        let while_unset = unset.and_then(|node| reader.period(node));
        // A duty with a hole still has its name, so that steps that use it are not told too.
        let duty = RawDuty {
            open: open.unwrap_or_default(),
            close: close.unwrap_or_default(),
            within,
            while_unset,
        };
        duties.insert(name.is, duty);
    });
}

impl Reader<'_> {
    /// Goes through the named entries under the one key of a file.
    fn each<N>(
        &mut self,
        root: &Node,
        key: &'static str,
        make: fn(&str) -> Result<N, crate::names::NotAName>,
        mut entry: impl FnMut(&mut Self, At<N>, &Node),
    ) {
        let at = self.at(root);
        let Some(fields) = self.fields(root, at, "this file", &[key]) else {
            return;
        };
        let Some(node) = fields.need(self, key) else {
            return;
        };
        for (key, value) in self.entries(node, "names with their keys") {
            if let Some(name) = self.key_name(key, make) {
                entry(self, name, value);
            }
        }
    }

    fn add_fact(&mut self, name: At<FactName>, fact: KnownFact, facts: &mut Facts) {
        let taken = if crate::checklist::drain_fact::drain_fact(name.is.as_str()).is_some() {
            Some("a drain fact")
        } else {
            facts.get(name.is.as_str()).map(|fact| match fact.origin {
                Origin::Limit => "a limit",
                Origin::Local => "a local fact",
            })
        };
        match taken {
            Some(by) => self.out.add(
                name.at,
                Kind::NameTaken {
                    name: name.is.to_string(),
                    by,
                },
            ),
            None => {
                facts.known.insert(name.is, fact);
            }
        }
    }

    fn limit(&mut self, name: &At<FactName>, node: &Node) -> Option<KnownFact> {
        let known = [
            "value",
            "words",
            "means",
            "population",
            "stricter",
            "source",
            "evidence",
            "window",
            "hours",
        ];
        let fields = self.fields(node, name.at, "a limit", &known)?;
        let value = fields
            .need(self, "value")
            .and_then(|node| self.limit_value(node));
        let words = fields.get("words").and_then(|node| self.words(node));
        let means = fields
            .need(self, "means")
            .and_then(|node| meaning(self, node));
        let population = fields
            .need(self, "population")
            .and_then(|node| self.word(node, "a population", Population::ALL, Population::word));
        let stricter = fields
            .need(self, "stricter")
            .and_then(|node| self.word(node, "a direction", Stricter::ALL, Stricter::word));
        let source = fields
            .need(self, "source")
            .and_then(|node| self.words(node));
        let evidence = fields
            .need(self, "evidence")
            .and_then(|node| self.word(node, "a mark of evidence", Evidence::ALL, Evidence::word));
        let window = fields.get("window").and_then(|node| self.period(node));
        let hours = fields.get("hours").and_then(|node| self.hours(node));
        let (value, shape) = value?;
        Some(KnownFact {
            shape,
            origin: Origin::Limit,
            meaning: means.unwrap_or(At {
                is: String::new(),
                at: name.at,
            }),
            value: Some(value),
            window,
            hours,
            about: FactAbout::Limit {
                words,
                population: population.map_or(Population::All, |word| word.is),
                stricter: stricter.map_or(Stricter::Lower, |word| word.is),
                source: source.unwrap_or_default(),
                evidence: evidence.map_or(Evidence::Derived, |word| word.is),
                window: None,
                hours: None,
            },
        })
    }

    /// A number of hours: a whole number, or a limit that is a time of so many.
    fn hours(&mut self, node: &Node) -> Option<At<RawPeriod>> {
        if matches!(node.data, Data::Text(_)) {
            return self.period(node);
        }
        let hours = self.count(node, MOST_HOURS)?;
        Some(At {
            is: RawPeriod::Fixed(Span::minutes(hours * 60)),
            at: self.at(node),
        })
    }

    pub(super) fn limit_value(&mut self, node: &Node) -> Option<(Value, FactShape)> {
        let amount = self.amount(node)?;
        if is_time(amount.unit) {
            let span = self.span(node)?;
            return Some((Value::Span(span.is), FactShape::Span { plausible: None }));
        }
        Some((
            Value::Amount(amount),
            FactShape::Amount {
                unit: amount.unit,
                plausible: None,
            },
        ))
    }

    fn local_fact(&mut self, name: &At<FactName>, node: &Node) -> Option<KnownFact> {
        let known = [
            "means",
            "kind",
            "unit",
            "plausible",
            "choices",
            "while_unset",
        ];
        let fields = self.fields(node, name.at, "a local fact", &known)?;
        let means = fields
            .need(self, "means")
            .and_then(|node| meaning(self, node));
        let while_unset = fields
            .need(self, "while_unset")
            .and_then(|node| self.words(node));
        let kind = fields.need(self, "kind").and_then(|node| {
            self.word(node, "a kind of local fact", FactSort::ALL, FactSort::word)
        })?;
        let shape = self.local_shape(&fields, kind.is)?;
        let choices = match &shape {
            FactShape::Choice(words) => words.clone(),
            _ => Vec::new(),
        };
        Some(KnownFact {
            shape,
            origin: Origin::Local,
            meaning: means.unwrap_or(At {
                is: String::new(),
                at: name.at,
            }),
            value: None,
            window: None,
            hours: None,
            about: FactAbout::Local {
                while_unset: while_unset.unwrap_or_default(),
                choices,
            },
        })
    }

    fn local_shape(&mut self, fields: &Fields<'_>, sort: FactSort) -> Option<FactShape> {
        for key in ["unit", "plausible", "choices"] {
            if !sort.keys().contains(&key)
                && let Some(node) = fields.key(key)
            {
                self.wrong(
                    node,
                    Kind::KeyNotHere {
                        key,
                        only: FactSort::with(key),
                    },
                );
            }
        }
        match sort {
            FactSort::Words => Some(FactShape::Words),
            FactSort::Choice => {
                let choices = fields
                    .need(self, "choices")
                    .map(|node| self.phrases(node))?;
                Some(FactShape::Choice(choices))
            }
            FactSort::Amount => {
                let unit = fields.need(self, "unit").and_then(|node| self.unit(node));
                let plausible = fields
                    .need(self, "plausible")
                    .and_then(|node| self.number_range(node));
                Some(FactShape::Amount {
                    unit: unit?,
                    plausible,
                })
            }
            FactSort::Span => {
                let unit = fields.get("unit").and_then(|node| self.unit(node));
                let plausible = match (fields.get("plausible"), unit) {
                    (Some(node), Some(unit)) => {
                        self.number_range(node).and_then(|range| spans(range, unit))
                    }
                    (Some(node), None) => self.span_range(node),
                    (None, _) => None,
                };
                Some(FactShape::Span { plausible })
            }
        }
    }
}

/// What a limit or fact means, with its place.
fn meaning(reader: &mut Reader<'_>, node: &Node) -> Option<At<String>> {
    let is = reader.words(node)?;
    let at = reader.at(node);
    Some(At { is, at })
}

/// A range of numbers in a unit of time as a range of times.
fn spans((low, high): (Number, Number), unit: Unit) -> Option<(Span, Span)> {
    let span = |number| Span::parse(&Amount::new(number, unit).to_string()).ok();
    Some((span(low)?, span(high)?))
}

/// What a local fact may be.
#[derive(Clone, Copy, PartialEq)]
enum FactSort {
    Amount,
    Words,
    Choice,
    Span,
}

impl FactSort {
    const ALL: &[Self] = &[Self::Amount, Self::Words, Self::Choice, Self::Span];

    const fn word(self) -> &'static str {
        match self {
            Self::Amount => "amount",
            Self::Words => "words",
            Self::Choice => "choice",
            Self::Span => "span",
        }
    }

    /// The keys that only some sorts have.
    const fn keys(self) -> &'static [&'static str] {
        match self {
            Self::Amount | Self::Span => &["unit", "plausible"],
            Self::Words => &[],
            Self::Choice => &["choices"],
        }
    }

    fn with(key: &str) -> &'static str {
        if key == "choices" {
            "a fact of kind choice"
        } else {
            "a fact of kind amount or span"
        }
    }
}
