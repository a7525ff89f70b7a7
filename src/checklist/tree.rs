//! YAML as an untyped tree, in file order. The only user of `serde_yaml`.
//!
//! Every node, keys included, is numbered in the order in which it begins in the file; `position`
//! counts the same way, so that a number finds its place in the text.

use std::cell::Cell;
use std::fmt;

use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, MapAccess, SeqAccess, VariantAccess, Visitor,
};

/// The number of a node in its file, counted from 0 at the root.
pub(super) type NodeId = u32;

/// One value, or one key, of a file.
#[derive(Debug, Clone)]
pub(super) struct Node {
    /// Its number in file order.
    pub(super) id: NodeId,
    /// What it is.
    pub(super) data: Data,
}

/// What a node is.
#[derive(Debug, Clone)]
pub(super) enum Data {
    /// Nothing, `~` or `null` without quotes.
    Empty,
    /// `true` or `false` without quotes.
    Bool(bool),
    /// A number without quotes.
    Number(String),
    /// Words.
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// Keys and values.
    Map(Vec<(Node, Node)>),
}

/// Why the text is not YAML.
#[derive(Debug)]
pub(super) struct NotYaml {
    /// The library's sentence; looked at for its kind, never shown.
    pub(super) sentence: String,
    /// Line and column, counted from 1, in characters.
    pub(super) at: Option<(usize, usize)>,
}

/// Reads a text without anchors, aliases and second documents.
pub(super) fn parse(text: &str) -> Result<Node, NotYaml> {
    let count = Cell::new(0);
    Seed {
        count: &count,
        id: None,
    }
    .deserialize(serde_yaml::Deserializer::from_str(text))
    .map_err(|error| NotYaml {
        at: error.location().map(|at| (at.line(), at.column())),
        sentence: error.to_string(),
    })
}

/// Numbers a node before its children are read.
struct Seed<'c> {
    count: &'c Cell<NodeId>,
    id: Option<NodeId>,
}

impl<'de> DeserializeSeed<'de> for Seed<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Node, D::Error> {
        let id = self.id.unwrap_or_else(|| {
            let id = self.count.get();
            self.count.set(id.saturating_add(1));
            id
        });
        deserializer.deserialize_any(Reader {
            count: self.count,
            id,
        })
    }
}

struct Reader<'c> {
    count: &'c Cell<NodeId>,
    id: NodeId,
}

impl Reader<'_> {
    const fn node<E>(&self, data: Data) -> Result<Node, E> {
        Ok(Node { id: self.id, data })
    }

    const fn seed(&self) -> Seed<'_> {
        Seed {
            count: self.count,
            id: None,
        }
    }
}

impl<'de> Visitor<'de> for Reader<'_> {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("any YAML value")
    }

    fn visit_unit<E>(self) -> Result<Node, E> {
        self.node(Data::Empty)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Node, E> {
        self.node(Data::Bool(value))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Node, E> {
        self.node(Data::Number(value.to_string()))
    }

    fn visit_u64<E>(self, value: u64) -> Result<Node, E> {
        self.node(Data::Number(value.to_string()))
    }

    fn visit_i128<E>(self, value: i128) -> Result<Node, E> {
        self.node(Data::Number(value.to_string()))
    }

    fn visit_u128<E>(self, value: u128) -> Result<Node, E> {
        self.node(Data::Number(value.to_string()))
    }

    fn visit_f64<E>(self, value: f64) -> Result<Node, E> {
        self.node(Data::Number(value.to_string()))
    }

    fn visit_str<E>(self, value: &str) -> Result<Node, E> {
        self.node(Data::Text(value.to_owned()))
    }

    fn visit_string<E>(self, value: String) -> Result<Node, E> {
        self.node(Data::Text(value))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Node, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(self.seed())? {
            list.push(item);
        }
        self.node(Data::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Node, A::Error> {
        let mut map = Vec::new();
        while let Some(key) = entries.next_key_seed(self.seed())? {
            map.push((key, entries.next_value_seed(self.seed())?));
        }
        self.node(Data::Map(map))
    }

    /// A tag is refused by `scan`; what it stands on is read all the same.
    fn visit_enum<A: EnumAccess<'de>>(self, tagged: A) -> Result<Node, A::Error> {
        let (_tag, value) = tagged.variant::<String>()?;
        value.newtype_variant_seed(Seed {
            count: self.count,
            id: Some(self.id),
        })
    }
}
