//! Where a node stands in its text. Worked out only when there is a problem to point at.

use saphyr_parser::{Event, Parser};

use super::problem::Place;
use super::tree::NodeId;

/// The place of every node of one text, by its number.
#[derive(Debug)]
pub(super) struct Positions(Vec<Place>);

impl Positions {
    /// Goes through a text and notes where each node begins.
    pub(super) fn of(text: &str) -> Self {
        let mut spots = Vec::new();
        for event in Parser::new_from_str(text) {
            match event {
                Ok((
                    Event::Scalar(..)
                    | Event::SequenceStart(..)
                    | Event::MappingStart(..)
                    | Event::Alias(_),
                    span,
                )) => spots.push(Place::of_span(span)),
                Ok(_) => {}
                Err(_) => break,
            }
        }
        Self(spots)
    }

    /// The place of that node; the beginning of the file when it is not there.
    pub(super) fn get(&self, id: NodeId) -> Place {
        usize::try_from(id)
            .ok()
            .and_then(|id| self.0.get(id).copied())
            .unwrap_or(Place::BEGIN)
    }
}
