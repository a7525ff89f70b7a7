//! Texts with places to be filled.

use crate::names::FactName;

/// A text with places to be filled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text(pub Vec<Piece>);

/// A part of a [`Text`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Words as they stand.
    Words(String),
    /// A place filled from the fact of that name.
    Fill(FactName),
}

impl Text {
    /// The text with each place filled by `fill`.
    #[must_use]
    pub fn filled(&self, mut fill: impl FnMut(&FactName) -> String) -> String {
        self.0
            .iter()
            .map(|piece| match piece {
                Piece::Words(words) => words.clone(),
                Piece::Fill(name) => fill(name),
            })
            .collect()
    }
}
