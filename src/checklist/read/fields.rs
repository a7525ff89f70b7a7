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
    /// Keys that misspelt ones most likely stand for.
    meant: Vec<String>,
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

    /// Whether a misspelt key most likely stands for that one; it is told only once.
    pub(super) fn was_meant(&self, key: &str) -> bool {
        self.meant.iter().any(|meant| meant == key)
    }

    /// The value of that key; told when it is missing.
    pub(super) fn need(&self, reader: &mut Reader<'_>, key: &'static str) -> Option<&'n Node> {
        let found = self.get(key);
        if found.is_none() && !self.was_meant(key) {
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
        self.fields_offering(node, at, owner, known, known.len())
    }

    /// The same, but only the first few known keys are offered for an unknown one.
    pub(super) fn fields_offering<'n>(
        &mut self,
        node: &'n Node,
        at: Spot,
        owner: &'static str,
        known: &[&'static str],
        offered: usize,
    ) -> Option<Fields<'n>> {
        let Data::Map(entries) = &node.data else {
            self.wrong_shape(node, owner);
            return None;
        };
        let mut fields = Fields {
            owner,
            at,
            entries: Vec::with_capacity(entries.len()),
            meant: Vec::new(),
        };
        for (key, value) in entries {
            // A merge key was told by the first look.
            let Some(word) = self.key_word(key).filter(|word| *word != "<<") else {
                continue;
            };
            match known.iter().find(|known| **known == word) {
                Some(name) => fields.entries.push((*name, key, value)),
                None => {
                    let offered = known.iter().take(offered).copied().collect();
                    fields
                        .meant
                        .extend(self.unknown_key(key, word, owner, offered));
                }
            }
        }
        Some(fields)
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

    /// Tells an unknown key; gives the one that was most likely meant.
    fn unknown_key(
        &mut self,
        node: &Node,
        key: &str,
        owner: &'static str,
        known: Vec<&'static str>,
    ) -> Option<String> {
        let meant = if self.out.still_told(self.file) {
            nearest(key, known.iter().copied())
        } else {
            None
        };
        let kind = Kind::UnknownKey {
            key: key.to_owned(),
            owner,
            nearest: meant.clone(),
            known,
        };
        self.wrong(node, kind);
        meant
    }
}
