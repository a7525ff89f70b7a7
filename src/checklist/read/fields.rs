//! A map with known keys.

use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{At, Spot};
use crate::checklist::tree::{Data, Node};
use crate::names::NotAName;

use super::Reader;

/// A map whose keys were looked through.
pub(super) struct Fields<'n> {
    owner: &'static str,
    at: Spot,
    entries: Vec<(&'static str, &'n Node, &'n Node)>,
}

impl<'n> Fields<'n> {
    /// The value of that key, if it is there.
    pub(super) fn get(&self, key: &str) -> Option<&'n Node> {
        self.entries
            .iter()
            .find(|(name, ..)| *name == key)
            .map(|(_, _, value)| *value)
    }

    /// The key itself, if it is there.
    pub(super) fn key(&self, key: &str) -> Option<&'n Node> {
        self.entries
            .iter()
            .find(|(name, ..)| *name == key)
            .map(|(_, node, _)| *node)
    }

    /// The place of the map's owner, where a missing key is told.
    pub(super) const fn at(&self) -> Spot {
        self.at
    }

    /// The value of that key; told when it is missing.
    pub(super) fn need(&self, reader: &mut Reader<'_>, key: &'static str) -> Option<&'n Node> {
        let found = self.get(key);
        if found.is_none() {
            reader.out.add(
                self.at,
                Kind::MissingKey {
                    key,
                    owner: self.owner,
                },
            );
        }
        found
    }
}

impl Reader<'_> {
    /// Looks through the keys of a map. A missing key will be told at `at`.
    pub(super) fn fields<'n>(
        &mut self,
        node: &'n Node,
        at: Spot,
        owner: &'static str,
        known: &[&'static str],
    ) -> Option<Fields<'n>> {
        let Data::Map(entries) = &node.data else {
            self.wrong_shape(node, owner);
            return None;
        };
        let mut found = Vec::with_capacity(entries.len());
        for (key, value) in entries {
            let Some(word) = self.key_word(key) else {
                continue;
            };
            match known.iter().find(|known| **known == word) {
                Some(name) => found.push((*name, key, value)),
                None => self.unknown_key(key, word, owner, known),
            }
        }
        Some(Fields {
            owner,
            at,
            entries: found,
        })
    }

    /// The words of a key. A key made of parts was told by the first look.
    pub(super) fn key_word<'n>(&mut self, key: &'n Node) -> Option<&'n str> {
        match &key.data {
            Data::Text(words) if !words.trim().is_empty() => Some(words),
            Data::Text(_) | Data::Empty => {
                self.wrong(key, Kind::EmptyText);
                None
            }
            Data::Bool(truth) => {
                self.wrong(
                    key,
                    Kind::NeedsQuotes {
                        words: truth.to_string(),
                    },
                );
                None
            }
            Data::Number(number) => {
                self.wrong(
                    key,
                    Kind::NeedsQuotes {
                        words: number.clone(),
                    },
                );
                None
            }
            Data::List(_) | Data::Map(_) => None,
        }
    }

    /// A key that must be a name.
    pub(super) fn key_name<N>(
        &mut self,
        key: &Node,
        make: fn(&str) -> Result<N, NotAName>,
    ) -> Option<At<N>> {
        let word = self.key_word(key)?;
        match make(word) {
            Ok(name) => Some(At {
                is: name,
                at: self.at(key),
            }),
            Err(why) => {
                self.wrong(key, Kind::BadName(why));
                None
            }
        }
    }

    fn unknown_key(&mut self, node: &Node, key: &str, owner: &'static str, known: &[&'static str]) {
        let nearest = if self.out.still_told(self.file) {
            nearest(key, known.iter().copied())
        } else {
            None
        };
        let kind = Kind::UnknownKey {
            key: key.to_owned(),
            owner,
            nearest,
            known: known.to_vec(),
        };
        self.wrong(node, kind);
    }
}
