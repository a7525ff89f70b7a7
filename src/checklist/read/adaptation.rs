//! An adaptation, as the unit writes it, and the unit's waivers.

use crate::checklist::adapt::allow::Allow;
use crate::checklist::adapt::misfit::Misfit;
use crate::checklist::adapt::{Adaptation, Change, What, limits};
use crate::checklist::facts::Facts;
use crate::checklist::model::{FactAbout, Origin, Waived};
use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::At;
use crate::checklist::tree::{Data, Node};
use crate::names::{FactName, ListName, StepName};

use super::Reader;
use super::fields::Fields;

/// The keys of an adaptation.
const HEAD: &[&str] = &[
    "adapts",
    "base",
    "base_hash",
    "version",
    "owner",
    "author",
    "review_by",
    "signs",
    "sources",
    "changes_trials",
    "changes",
];

/// With more changes than this it would be easier to write the list anew; and each is looked for in
/// all the others.
const MOST_CHANGES: usize = 500;

/// The keys that say what an entry does, each with those that may stand beside it.
const ACTIONS: &[(&str, &[&str])] = &[
    ("change", &["set", "drop"]),
    ("add", &["after", "way", "step"]),
    ("remove", &["instead"]),
    ("limit", &["was", "to"]),
    ("fact", &["to"]),
];

/// Reads an adaptation. `None` when it does not say what it adapts.
pub(in crate::checklist) fn adaptation(
    reader: &mut Reader<'_>,
    root: &Node,
    stem: &str,
) -> Option<Adaptation> {
    let at = reader.at(root);
    let fields = reader.fields(root, at, "an adaptation", HEAD)?;
    let adapts = fields
        .need(reader, "adapts")
        .and_then(|node| reader.name(node, ListName::new));
    let base = fields
        .need(reader, "base")
        .and_then(|node| Some((reader.version(node)?, reader.at(node))));
    let base_hash = fields
        .need(reader, "base_hash")
        .and_then(|node| Some((reader.words_or_number(node)?, reader.at(node))));
    let version = fields
        .need(reader, "version")
        .and_then(|node| reader.version(node));
    if let Some(node) = fields.get("author") {
        let _told = reader.words(node);
    }
    let changes_trials = match fields.get("changes_trials") {
        Some(node) if !matches!(node.data, Data::Empty) => reader.phrases(node),
        _ => Vec::new(),
    };
    let changes = match fields.get("changes") {
        Some(node) => reader.changes(node),
        None => Vec::new(),
    };
    let adapts = adapts?;
    if adapts.is.as_str() != stem {
        let (name, stem) = (adapts.is.to_string(), stem.to_owned());
        reader
            .out
            .add(adapts.at, Kind::adapt(Misfit::NameNotFile { name, stem }));
        return None;
    }
    let ((base, base_at), (base_hash, hash_at)) = (base?, base_hash?);
    Some(Adaptation {
        at,
        adapts,
        base: At {
            is: base,
            at: base_at,
        },
        base_hash: At {
            is: base_hash,
            at: hash_at,
        },
        version: version?,
        head: pairs(&fields, &["owner", "author", "review_by"]),
        added: pairs(&fields, &["signs", "sources"]),
        changes_trials,
        changes,
    })
}

/// The keys of a map that are there, each with its value.
fn pairs(fields: &Fields<'_>, keys: &[&str]) -> Vec<(Node, Node)> {
    keys.iter()
        .filter_map(|key| Some((fields.key(key)?.clone(), fields.get(key)?.clone())))
        .collect()
}

/// Makes the changes of limits. They hold for every list.
pub(in crate::checklist) fn limits(
    reader: &mut Reader<'_>,
    adaptation: &Adaptation,
    facts: &mut Facts,
    allow: Option<&Allow<'_>>,
) {
    for change in &adaptation.changes {
        if let What::Limit { name, was, to } = &change.what {
            reader.limit_change(name, was, to, facts, allow);
        }
    }
}

/// Fills in the local facts that adaptations set. They hold for every list. One that is set
/// already is told, or left as it is for a trial.
pub(in crate::checklist) fn local_values(
    reader: &mut Reader<'_>,
    adaptation: &Adaptation,
    facts: &mut Facts,
    for_trial: bool,
) {
    for change in &adaptation.changes {
        let What::Fact { name, to } = &change.what else {
            continue;
        };
        let known = facts.get(crate::checklist::adapt::text(name));
        if known.is_some_and(|fact| fact.origin == Origin::Local && fact.value.is_some()) {
            if for_trial {
                continue;
            }
            let misfit = Misfit::SetTwice {
                name: crate::checklist::adapt::text(name).to_owned(),
                first: "local.yaml, or another adaptation".to_owned(),
            };
            reader.wrong(name, Kind::adapt(misfit));
        } else {
            reader.local_value(name, to, facts);
        }
    }
}

impl Reader<'_> {
    fn limit_change(
        &mut self,
        name: &At<FactName>,
        was: &Node,
        to: &Node,
        facts: &mut Facts,
        allow: Option<&Allow<'_>>,
    ) {
        let known = facts.get(name.is.as_str());
        let Some((FactAbout::Limit { stricter, .. }, shipped)) =
            known.and_then(|fact| Some((&fact.about, fact.value.clone()?)))
        else {
            let limits = facts
                .known
                .iter()
                .filter(|(_, fact)| fact.origin == Origin::Limit);
            let nearest = nearest(name.is.as_str(), limits.map(|(name, _)| name.as_str()));
            let name_text = name.is.to_string();
            let misfit = Misfit::NoSuchLimit {
                name: name_text,
                nearest,
            };
            return self.out.add(name.at, Kind::adapt(misfit));
        };
        let stricter = *stricter;
        let was_value = self.limit_value(was).map(|(value, _)| value);
        let Some((own, _)) = self.limit_value(to) else {
            return;
        };
        let Some(own) = limits::in_unit_of(&own, &shipped) else {
            let kind = Kind::WrongQuantity {
                name: name.is.to_string(),
                has: limits::quantity(&own),
                wanted: limits::quantity(&shipped),
            };
            return self.wrong(to, kind);
        };
        if let Some(was_value) = was_value
            && limits::in_unit_of(&was_value, &shipped).as_ref() != Some(&shipped)
            && allow.is_some()
        {
            let misfit = Misfit::LimitMoved {
                name: name.is.to_string(),
                was: was_value.to_string(),
                now: shipped.to_string(),
            };
            self.wrong(was, Kind::adapt(misfit));
        }
        if let Some(allow) = allow
            && limits::acts_later(&own, &shipped, stricter)
        {
            let misfit = Misfit::ActsLater {
                name: name.is.to_string(),
                shipped: shipped.to_string(),
                own: own.to_string(),
                direction: stricter.word(),
            };
            let told = allow.judge(&Waived::Limit(name.is.clone()), misfit);
            self.wrong(to, Kind::adapt(told));
        }
        if let Some(fact) = facts.known.get_mut(&name.is) {
            fact.change(own);
        }
    }

    /// The changes. There may be none yet.
    fn changes(&mut self, node: &Node) -> Vec<Change> {
        match &node.data {
            Data::Empty => return Vec::new(),
            Data::List(items) if items.is_empty() => return Vec::new(),
            _ => {}
        }
        let items = self.items(node, "a list of changes");
        if let Some(one) = items.get(MOST_CHANGES) {
            let most = MOST_CHANGES;
            self.wrong(one, Kind::adapt(Misfit::TooManyChanges { most }));
        }
        items
            .iter()
            .take(MOST_CHANGES)
            .filter_map(|item| self.change(item))
            .collect()
    }

    fn change(&mut self, node: &Node) -> Option<Change> {
        let at = self.at(node);
        let action = self.action(node)?;
        let mut known = vec![action.0];
        known.extend_from_slice(action.1);
        known.push("because");
        let fields = self.fields(node, at, "a change", &known)?;
        let because = fields
            .need(self, "because")
            .and_then(|node| self.words(node));
        let what = match action.0 {
            "change" => self.changed(&fields),
            "add" => self.added(&fields),
            "remove" => self.removed(&fields),
            "limit" => Some(What::Limit {
                name: self.name(fields.get("limit")?, FactName::new)?,
                was: fields.need(self, "was")?.clone(),
                to: fields.need(self, "to")?.clone(),
            }),
            _ => Some(What::Fact {
                name: fields.get("fact")?.clone(),
                to: fields.need(self, "to")?.clone(),
            }),
        };
        Some(Change {
            at,
            because: because?,
            what: what?,
        })
    }

    /// Which of the actions an entry is: exactly one.
    fn action(&mut self, node: &Node) -> Option<&'static (&'static str, &'static [&'static str])> {
        let Data::Map(entries) = &node.data else {
            self.wrong_shape(node, "a change with its keys");
            return None;
        };
        let mut found = ACTIONS.iter().filter(|(action, _)| {
            entries
                .iter()
                .any(|(key, _)| matches!(&key.data, Data::Text(word) if word == action))
        });
        match (found.next(), found.next()) {
            (Some(action), None) => Some(action),
            (Some((first, _)), Some((second, _))) => {
                let (first, second) = ((*first).to_owned(), (*second).to_owned());
                self.wrong(node, Kind::adapt(Misfit::SeveralActions { first, second }));
                None
            }
            _ => {
                self.wrong(node, Kind::adapt(Misfit::NoAction));
                None
            }
        }
    }

    fn changed(&mut self, fields: &Fields<'_>) -> Option<What> {
        let step = self.name(fields.get("change")?, StepName::new);
        let set = match fields.get("set") {
            Some(node) => self
                .entries(node, "keys of the step with what they say now")
                .to_vec(),
            None => Vec::new(),
        };
        let drop: Vec<At<String>> = match fields.get("drop") {
            Some(node) => {
                let items = self.items(node, "a list of keys");
                let read = |item: &Node, reader: &mut Self| {
                    Some(At {
                        is: reader.words(item)?,
                        at: reader.at(item),
                    })
                };
                items.iter().filter_map(|item| read(item, self)).collect()
            }
            None => Vec::new(),
        };
        let step = step?;
        if fields.get("set").is_none() && fields.get("drop").is_none() {
            self.out.add(step.at, Kind::adapt(Misfit::ChangesNothing));
            return None;
        }
        Some(What::Change { step, set, drop })
    }

    fn added(&mut self, fields: &Fields<'_>) -> Option<What> {
        let name = fields.get("add")?;
        let step = self.name(name, StepName::new);
        let after = fields
            .need(self, "after")
            .and_then(|node| self.name(node, StepName::new));
        let body = fields.need(self, "step");
        let way = match fields.get("way") {
            Some(node) => Some(At {
                is: self.words_or_number(node)?,
                at: self.at(node),
            }),
            None => None,
        };
        Some(What::Add {
            step: step?,
            name: name.clone(),
            body: body?.clone(),
            after: after?,
            way,
        })
    }

    fn removed(&mut self, fields: &Fields<'_>) -> Option<What> {
        let step = self.name(fields.get("remove")?, StepName::new)?;
        let instead = match fields.get("instead") {
            Some(node) => Some((self.name(node, StepName::new)?, node.clone())),
            None => None,
        };
        Some(What::Remove { step, instead })
    }
}
