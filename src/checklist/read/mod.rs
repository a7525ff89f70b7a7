//! From the untyped tree to raw lists, telling everything that cannot be read on the way.

mod adaptation;
mod fields;
mod glossary;
pub(super) mod keys;
mod list;
mod local;
mod scalar;
mod shelf_files;
mod step;
mod waivers;
mod way;

pub(super) use adaptation::{adaptation, limits as adapted_limits, local_values};
pub(super) use glossary::glossary;
pub(super) use list::list;
pub(super) use local::{Local, local};
pub(super) use scalar::is_hidden;
pub(super) use shelf_files::{duties, limits, local_facts};
pub(super) use waivers::waivers;

use super::problem::{Kind, Shape};
use super::raw::{Findings, Spot};
use super::tree::{Data, Node};

/// Reads one file; what is wrong goes to the findings, and what could be read comes back.
pub(super) struct Reader<'a> {
    file: usize,
    /// For a tree put together from several files: where each node was written, by its number.
    spots: Option<&'a [Spot]>,
    out: &'a mut Findings,
}

impl<'a> Reader<'a> {
    pub(super) const fn new(file: usize, out: &'a mut Findings) -> Self {
        Self {
            file,
            spots: None,
            out,
        }
    }

    /// Reads a tree whose nodes were written in several files. `file` is the one that is told
    /// whatever has no place of its own.
    pub(super) const fn over(file: usize, spots: &'a [Spot], out: &'a mut Findings) -> Self {
        Self {
            file,
            spots: Some(spots),
            out,
        }
    }

    /// The place of a node.
    fn at(&self, node: &Node) -> Spot {
        let written = usize::try_from(node.id).ok();
        let written = written.and_then(|id| self.spots?.get(id).copied());
        written.unwrap_or(Spot {
            file: self.file,
            node: node.id,
        })
    }

    fn wrong(&mut self, node: &Node, kind: Kind) {
        let at = self.at(node);
        self.out.add(at, kind);
    }

    fn wrong_shape(&mut self, node: &Node, wanted: &'static str) {
        self.wrong(
            node,
            Kind::WrongShape {
                wanted,
                found: shape(node),
            },
        );
    }

    /// The entries of a list with at least one.
    fn items<'n>(&mut self, node: &'n Node, what: &'static str) -> &'n [Node] {
        match &node.data {
            Data::List(items) if items.is_empty() => {
                self.wrong(node, Kind::NoEntries { what });
                &[]
            }
            Data::List(items) => items,
            _ => {
                self.wrong_shape(node, what);
                &[]
            }
        }
    }

    /// The entries of a map with at least one.
    fn entries<'n>(&mut self, node: &'n Node, what: &'static str) -> &'n [(Node, Node)] {
        match &node.data {
            Data::Map(entries) if entries.is_empty() => {
                self.wrong(node, Kind::NoEntries { what });
                &[]
            }
            Data::Map(entries) => entries,
            _ => {
                self.wrong_shape(node, what);
                &[]
            }
        }
    }

    /// The one key and value of an entry in a sequence of single-key maps.
    fn pair<'n>(&mut self, node: &'n Node, what: &'static str) -> Option<(&'n Node, &'n Node)> {
        match &node.data {
            Data::Map(entries) => match entries.as_slice() {
                [(key, value)] => Some((key, value)),
                entries => {
                    self.wrong(
                        node,
                        Kind::OneKeyEach {
                            what,
                            found: entries.len(),
                        },
                    );
                    None
                }
            },
            _ => {
                self.wrong_shape(node, what);
                None
            }
        }
    }
}

const fn shape(node: &Node) -> Shape {
    match node.data {
        Data::Empty => Shape::Nothing,
        Data::Bool(_) => Shape::Truth,
        Data::Number(_) => Shape::Number,
        Data::Text(_) => Shape::Words,
        Data::List(_) => Shape::List,
        Data::Map(_) => Shape::Map,
    }
}
