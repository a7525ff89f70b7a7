//! Checklists: the language, how files become checked lists, and what is wrong with those that do not.
//!
//! The way of a file: [`shelf`] holds its bytes; `scan` looks for what is refused outright; `tree`
//! reads it untyped (a shipped file as `packed` at build time); `read` turns it into raw lists whose names know where they stand; `check`
//! looks for everything that is wrong; `build` makes the checked [`model`]. [`load`] runs them in
//! this order and tells every problem of every file at once.

pub mod adapt;
pub mod approval;
pub mod codes;
pub mod compare;
pub mod drain_fact;
pub mod exit;
pub mod glossary;
pub mod load;
pub mod model;
pub mod problem;
pub mod proof;
pub mod shelf;
pub mod trial;

mod band;
mod build;
mod check;
mod excerpt;
mod facts;
mod flow;
mod nearest;
mod open;
mod packed;
mod position;
pub mod prose;
mod quantity;
mod raw;
mod read;
mod scan;
mod slip;
mod text;
pub use text::answer_words;
mod tree;
mod wording;
