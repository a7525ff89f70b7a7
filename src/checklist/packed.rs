//! A file as the tree that was read from it when the program was built.
//!
//! The shipped files are the same in every run, so they are read as YAML once, by the build script,
//! with the very reader in `tree`; a start then takes a tenth of the time. A test holds that each
//! packed tree is the one that both readers of YAML give. The build script compiles this file too.
//!
//! A node is one byte for what it is, then its words (their length in four bytes, least first, and
//! UTF-8) or the number of its parts and the parts. Numbers of nodes are not kept: they follow from
//! the order.

use super::tree::{Data, Node, NodeId};

const EMPTY: u8 = 0;
const FALSE: u8 = 1;
const TRUE: u8 = 2;
const NUMBER: u8 = 3;
const TEXT: u8 = 4;
const LIST: u8 = 5;
const MAP: u8 = 6;

/// The bytes of a tree; `None` for one of more than four thousand million parts.
#[allow(dead_code, reason = "the program itself only unpacks")]
pub(super) fn pack(node: &Node) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    put(node, &mut bytes)?;
    Some(bytes)
}

fn put(node: &Node, bytes: &mut Vec<u8>) -> Option<()> {
    let count = |kind: u8, length: usize, bytes: &mut Vec<u8>| {
        bytes.push(kind);
        bytes.extend(u32::try_from(length).ok()?.to_le_bytes());
        Some(())
    };
    match &node.data {
        Data::Empty => bytes.push(EMPTY),
        Data::Bool(false) => bytes.push(FALSE),
        Data::Bool(true) => bytes.push(TRUE),
        Data::Number(words) => {
            count(NUMBER, words.len(), bytes)?;
            bytes.extend(words.as_bytes());
        }
        Data::Text(words) => {
            count(TEXT, words.len(), bytes)?;
            bytes.extend(words.as_bytes());
        }
        Data::List(items) => {
            count(LIST, items.len(), bytes)?;
            items.iter().try_for_each(|item| put(item, bytes))?;
        }
        Data::Map(entries) => {
            count(MAP, entries.len(), bytes)?;
            for (key, value) in entries {
                put(key, bytes)?;
                put(value, bytes)?;
            }
        }
    }
    Some(())
}

/// The tree of such bytes; `None` when they are not those of one tree.
pub(super) fn unpack(bytes: &[u8]) -> Option<Node> {
    let mut packed = Packed { bytes, next: 0 };
    let root = packed.node()?;
    packed.bytes.is_empty().then_some(root)
}

struct Packed<'b> {
    bytes: &'b [u8],
    next: NodeId,
}

impl Packed<'_> {
    fn node(&mut self) -> Option<Node> {
        let id = self.next;
        self.next = id.checked_add(1)?;
        let data = match self.take(1)? {
            [EMPTY] => Data::Empty,
            [FALSE] => Data::Bool(false),
            [TRUE] => Data::Bool(true),
            [NUMBER] => Data::Number(self.words()?),
            [TEXT] => Data::Text(self.words()?),
            [LIST] => {
                let count = self.count()?;
                Data::List((0..count).map(|_| self.node()).collect::<Option<_>>()?)
            }
            [MAP] => {
                let count = self.count()?;
                let entries = (0..count).map(|_| Some((self.node()?, self.node()?)));
                Data::Map(entries.collect::<Option<_>>()?)
            }
            _ => return None,
        };
        Some(Node { id, data })
    }

    fn take(&mut self, count: usize) -> Option<&[u8]> {
        let (taken, rest) = self.bytes.split_at_checked(count)?;
        self.bytes = rest;
        Some(taken)
    }

    fn count(&mut self) -> Option<usize> {
        let length: [u8; 4] = self.take(4)?.try_into().ok()?;
        usize::try_from(u32::from_le_bytes(length)).ok()
    }

    fn words(&mut self) -> Option<String> {
        let length = self.count()?;
        String::from_utf8(self.take(length)?.to_vec()).ok()
    }
}
