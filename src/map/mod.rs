//! A checklist as a map: its steps and every way between them, as text, Mermaid or SVG.

mod graph;
pub mod mermaid;
pub mod svg;
pub mod text;

pub use graph::{Edge, Map, Node, Shape, map};
