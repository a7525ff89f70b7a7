//! Safeguards as a nurse writes them: `safeguards.yaml`, and `safeguards` in the head of a list.
//!
//! ```yaml
//! safeguards:
//!   patient-before-device:
//!     says: Look at the patient before the drainage unit.
//!     lists: [fault]                  # kinds or names of lists; without it, all
//!     first: {do: tag patient-first, before: tag equipment}
//! ```
//!
//! A point is a text: `tag NAME`, `step LIST/STEP`, `list NAME`, `call`, `call LEVEL` (at least as
//! urgent), `ending OUTCOME`, `any ending`, `opens DUTY`, `closes DUTY`, `critical`, `anywhere`; or
//! a list of them, any of which counts; or a map with `answer`: `{at: tag red-flag, answer:
//! not-as-expected}`. Whether it counts when it is shown or only when it was done is said by the
//! rule; `{shown: …}` and `{done: …}` say otherwise.

mod fault;
mod gather;
mod points;
mod rules;

pub use fault::{Fault, Unfit};
pub use gather::gather;

use std::sync::Arc;

use crate::checklist::model::{Checklist, Library, ListKind};
use crate::checklist::position::Positions;
use crate::checklist::shelf::SourceFile;
use crate::checklist::tree::{self, Data, Node, NodeId};
use crate::names::ListName;

use super::rule::{Safeguard, Which};

/// Reads the safeguards of a file: `safeguards.yaml`, or a list with `safeguards` in its head.
///
/// In a list they hold for that list alone, and a step may be named without its list.
///
/// # Errors
/// Everything that is wrong, in the order of the file. A tag, step, list or duty that is nowhere
/// in the library is wrong too: a rule that binds to nothing would always be kept.
pub fn read(file: &SourceFile, library: &Library) -> Result<Vec<Safeguard>, Vec<Unfit>> {
    let text: Arc<str> = String::from_utf8_lossy(&file.bytes)
        .trim_start_matches('\u{feff}')
        .into();
    let unfit = |line, column, fault| Unfit {
        file: file.path.clone(),
        line,
        column,
        fault,
    };
    let root = match tree::parse(&text) {
        Ok(root) => root,
        Err(error) => {
            let (line, column) = error.at.unwrap_or((1, 1));
            return Err(vec![unfit(line, column, Fault::NotYaml)]);
        }
    };
    let mut reading = Reading {
        library,
        home: None,
        out: Vec::new(),
    };
    let found = reading.file(&root);
    if reading.out.is_empty() {
        return Ok(found);
    }
    let positions = Positions::of(&text);
    let mut wrong: Vec<Unfit> = reading
        .out
        .into_iter()
        .map(|(node, fault)| {
            let at = positions.get(node);
            unfit(at.line, at.column, fault)
        })
        .collect();
    wrong.sort_by_key(|unfit| (unfit.line, unfit.column));
    Err(wrong)
}

/// What is being read.
struct Reading<'a> {
    library: &'a Library,
    /// The list in whose head the safeguards stand.
    home: Option<&'a Checklist>,
    out: Vec<(NodeId, Fault)>,
}

impl Reading<'_> {
    fn wrong(&mut self, node: &Node, fault: Fault) {
        self.out.push((node.id, fault));
    }

    fn shape(&mut self, node: &Node, wanted: &'static str) {
        self.wrong(node, Fault::WrongShape { wanted });
    }

    fn file(&mut self, root: &Node) -> Vec<Safeguard> {
        let Data::Map(entries) = &root.data else {
            self.shape(root, "keys with values");
            return Vec::new();
        };
        let value = |name: &str| {
            entries
                .iter()
                .find(|(key, _)| text(key) == Some(name))
                .map(|(_, value)| value)
        };
        if let Some(list) = value("checklist").and_then(text) {
            self.home = self.library.find(list).map(|id| self.library.list(id));
            if self.home.is_none() {
                self.wrong(
                    root,
                    Fault::NoSuchList {
                        name: list.to_owned(),
                        nearest: None,
                    },
                );
            }
            return value("safeguards").map_or_else(Vec::new, |node| self.safeguards(node));
        }
        let mut found = Vec::new();
        for (key, value) in entries {
            match text(key) {
                Some("safeguards") => found = self.safeguards(value),
                _ => self.unknown_key(key, &["safeguards"]),
            }
        }
        found
    }

    fn safeguards(&mut self, node: &Node) -> Vec<Safeguard> {
        let Data::Map(entries) = &node.data else {
            self.shape(node, "safeguards by name");
            return Vec::new();
        };
        let mut found: Vec<Safeguard> = Vec::new();
        for (key, value) in entries {
            let Some(name) = text(key) else {
                self.shape(key, "a name");
                continue;
            };
            // Names are like those of lists: small letters, digits, single hyphens.
            if ListName::new(name).is_err() {
                self.wrong(
                    key,
                    Fault::NotAName {
                        text: name.to_owned(),
                    },
                );
            }
            found.extend(self.safeguard(name, key, value));
        }
        found
    }

    fn safeguard(&mut self, name: &str, key: &Node, node: &Node) -> Option<Safeguard> {
        let fields = self.fields(key, node, &[&["says", "lists"], rules::KEYS].concat())?;
        let says = self
            .need(&fields, "says")
            .and_then(|node| self.one_line(node));
        let lists = match fields.get("lists") {
            Some(node) => self.lists(node),
            None => self
                .home
                .map(|list| Which::List(list.name.clone()))
                .into_iter()
                .collect(),
        };
        let rules: Vec<_> = fields
            .entries
            .iter()
            .filter(|(key, ..)| rules::KEYS.contains(key))
            .collect();
        let [(kind, node)] = rules.as_slice() else {
            self.wrong(key, Fault::OneRule { found: rules.len() });
            return None;
        };
        let rule = self.rule(kind, node)?;
        Some(Safeguard {
            name: name.to_owned(),
            says: says?,
            lists,
            rule,
        })
    }

    fn lists(&mut self, node: &Node) -> Vec<Which> {
        let items: Vec<&Node> = match &node.data {
            Data::List(items) => items.iter().collect(),
            _ => vec![node],
        };
        let mut found = Vec::new();
        for item in items {
            let Some(word) = text(item) else {
                self.shape(item, "a kind or the name of a list");
                continue;
            };
            match (ListKind::parse(word), ListName::new(word)) {
                (Some(kind), _) => found.push(Which::Kind(kind)),
                (None, Ok(name)) if self.library.find(word).is_some() => {
                    found.push(Which::List(name))
                }
                _ => {
                    let names = self.library.lists().map(|(_, list)| list.name.as_str());
                    let kinds = ListKind::ALL.iter().map(|kind| kind.word());
                    let nearest = crate::checklist::nearest::nearest(word, names.chain(kinds));
                    self.wrong(
                        item,
                        Fault::NoSuchList {
                            name: word.to_owned(),
                            nearest,
                        },
                    );
                }
            }
        }
        found
    }

    fn one_line(&mut self, node: &Node) -> Option<String> {
        match text(node) {
            Some(words) if !words.trim().is_empty() && !words.contains('\n') => {
                Some(words.trim().to_owned())
            }
            _ => {
                self.shape(node, "one line of words");
                None
            }
        }
    }

    fn unknown_key(&mut self, key: &Node, known: &[&'static str]) {
        let word = text(key).unwrap_or("").to_owned();
        let nearest = crate::checklist::nearest::nearest(&word, known.iter().copied());
        self.wrong(
            key,
            Fault::UnknownKey {
                key: word,
                nearest,
                known: known.to_vec(),
            },
        );
    }

    /// Looks through the keys of a map.
    fn fields<'n>(
        &mut self,
        owner: &'n Node,
        node: &'n Node,
        known: &[&'static str],
    ) -> Option<Fields<'n>> {
        let Data::Map(entries) = &node.data else {
            self.shape(node, "keys with values");
            return None;
        };
        let mut found = Fields {
            owner,
            entries: Vec::new(),
        };
        for (key, value) in entries {
            match known.iter().find(|known| text(key) == Some(known)) {
                Some(name) => found.entries.push((name, value)),
                None => self.unknown_key(key, known),
            }
        }
        Some(found)
    }

    fn need<'n>(&mut self, fields: &Fields<'n>, key: &'static str) -> Option<&'n Node> {
        let found = fields.get(key);
        if found.is_none() {
            self.wrong(fields.owner, Fault::Missing { key });
        }
        found
    }
}

/// A map whose keys were looked through.
struct Fields<'n> {
    /// Where a missing key is told.
    owner: &'n Node,
    entries: Vec<(&'static str, &'n Node)>,
}

impl<'n> Fields<'n> {
    fn get(&self, key: &str) -> Option<&'n Node> {
        self.entries
            .iter()
            .find(|(name, _)| *name == key)
            .map(|(_, node)| *node)
    }
}

/// The words of a node, if it is words.
fn text(node: &Node) -> Option<&str> {
    match &node.data {
        Data::Text(words) => Some(words.trim()),
        _ => None,
    }
}
