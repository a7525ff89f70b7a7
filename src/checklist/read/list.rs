//! The head of a list.

use std::collections::{BTreeMap, HashMap};

use crate::checklist::model::{ListKind, Mode};
use crate::checklist::problem::Kind;
use crate::checklist::raw::{At, RawList, RawStep};
use crate::checklist::tree::Node;
use crate::names::{ListName, SourceName, StepName};

use super::fields::Fields;
use super::{Reader, keys};

/// Reads a list. `None` when the file is no map at all.
pub(in crate::checklist) fn list(
    reader: &mut Reader<'_>,
    root: &Node,
    stem: &str,
    fingerprint: String,
) -> Option<RawList> {
    let at = reader.at(root);
    let fields = reader.fields(root, at, "a checklist", keys::HEAD)?;
    let name = fields.need(reader, "checklist").and_then(|node| {
        let name = reader.words(node)?;
        Some(At {
            is: name,
            at: reader.at(node),
        })
    });
    let stem = ListName::new(stem).inspect_err(|_| {
        reader.out.add(
            at,
            Kind::FileNotAName {
                stem: stem.to_owned(),
            },
        );
    });
    let (steps, whole) = fields
        .need(reader, "steps")
        .map_or_else(|| (Vec::new(), false), |node| reader.steps(node));
    let mut index = HashMap::with_capacity(steps.len());
    for (place, step) in steps.iter().enumerate() {
        index.entry(step.name.is.clone()).or_insert(place);
    }
    let mut list = RawList {
        at,
        stem: stem.ok(),
        name,
        title: fields
            .need(reader, "title")
            .and_then(|node| reader.words(node)),
        version: fields
            .need(reader, "version")
            .and_then(|node| reader.version(node)),
        kind: fields
            .need(reader, "kind")
            .and_then(|node| reader.word(node, "a kind of list", ListKind::ALL, ListKind::word)),
        mode: fields
            .need(reader, "mode")
            .and_then(|node| reader.word(node, "a mode", Mode::ALL, Mode::word))
            .map(|mode| mode.is),
        key: None,
        signs: fields
            .need(reader, "signs")
            .map_or_else(Vec::new, |node| reader.phrases(node)),
        recognise: fields.get("recognise").and_then(|node| reader.text(node)),
        about: fields.get("about").and_then(|node| reader.lines(node)),
        owner: fields
            .need(reader, "owner")
            .and_then(|node| reader.words(node)),
        author: fields.get("author").and_then(|node| reader.words(node)),
        review_by: fields.get("review_by").and_then(|node| reader.date(node)),
        change: fields
            .get("change")
            .map_or_else(Vec::new, |node| reader.phrases(node)),
        sources: fields
            .need(reader, "sources")
            .map_or_else(BTreeMap::new, |node| reader.sources(node)),
        begin: fields
            .need(reader, "begin")
            .and_then(|node| reader.name(node, StepName::new)),
        steps,
        whole,
        index,
        fingerprint,
        adapted: None,
    };
    reader.by_kind(&fields, &mut list);
    Some(list)
}

impl Reader<'_> {
    /// What a head must have by the kind of the list.
    fn by_kind(&mut self, fields: &Fields<'_>, list: &mut RawList) {
        let Some(kind) = list.kind.as_ref().map(|kind| kind.is) else {
            return;
        };
        if matches!(kind, ListKind::Fault | ListKind::Urgent) {
            let _present = fields.need(self, "recognise");
        }
        if kind == ListKind::Urgent {
            list.key = fields
                .need(self, "key")
                .and_then(|node| self.start_key(node));
        } else if let Some(key) = fields.key("key") {
            self.wrong(
                key,
                Kind::KeyNotHere {
                    key: "key",
                    only: "a list of kind urgent",
                },
            );
        }
    }

    /// The steps, and whether the name of every one could be read.
    fn steps(&mut self, node: &Node) -> (Vec<RawStep>, bool) {
        let entries = self.entries(node, "steps, each a name with its keys");
        let mut steps = Vec::with_capacity(entries.len());
        for (key, value) in entries {
            if let Some(name) = self.key_name(key, StepName::new) {
                steps.push(self.step(name, value));
            }
        }
        let whole = !entries.is_empty() && steps.len() == entries.len();
        (steps, whole)
    }

    fn sources(&mut self, node: &Node) -> BTreeMap<SourceName, At<String>> {
        let mut sources = BTreeMap::new();
        for (key, value) in self.entries(node, "sources, each a name with its words") {
            let name = self.key_name(key, SourceName::new);
            let words = self.words(value);
            if let Some(name) = name {
                let at = name.at;
                sources.entry(name.is).or_insert(At {
                    is: words.unwrap_or_default(),
                    at,
                });
            }
        }
        sources
    }

    pub(super) fn version(&mut self, node: &Node) -> Option<String> {
        let found = self.words_or_number(node)?;
        let parts: Vec<&str> = found.split('.').collect();
        let number = |part: &&str| {
            (1..=6).contains(&part.len())
                && part.bytes().all(|b| b.is_ascii_digit())
                && (part.len() == 1 || !part.starts_with('0'))
        };
        if parts.len() == 3 && parts.iter().all(number) {
            return Some(found);
        }
        self.wrong(node, Kind::NotAVersion { found });
        None
    }

    pub(super) fn date(&mut self, node: &Node) -> Option<chrono::NaiveDate> {
        let found = self.words_or_number(node)?;
        let date = chrono::NaiveDate::parse_from_str(&found, "%Y-%m-%d").ok();
        // The calendar library takes "2027-6-3" too; one way of writing is enough.
        let date = date.filter(|date| date.format("%Y-%m-%d").to_string() == found);
        if date.is_none() {
            self.wrong(node, Kind::NotADate { found });
        }
        date
    }

    fn start_key(&mut self, node: &Node) -> Option<At<char>> {
        let found = self.words_or_number(node)?;
        let mut chars = found.chars();
        if let (Some(key), None) = (chars.next(), chars.next())
            && (key == '!' || key.is_ascii_uppercase())
        {
            return Some(At {
                is: key,
                at: self.at(node),
            });
        }
        self.wrong(node, Kind::NotAKey { found });
        None
    }
}
