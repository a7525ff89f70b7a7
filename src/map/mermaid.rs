//! A map in Mermaid, which many Markdown readers draw.

use std::fmt::Write as _;

use super::graph::{Map, Shape};

/// Writes a flowchart.
#[must_use]
pub fn write(map: &Map) -> String {
    let mut out = String::from("flowchart TD\n");
    for (place, node) in map.nodes.iter().enumerate() {
        let (open, close) = match node.shape {
            Shape::Asks => ("[", "]"),
            Shape::Call => ("[[", "]]"),
            Shape::Decides => ("{{", "}}"),
            Shape::List => ("[/", "/]"),
            Shape::End => ("([", "])"),
        };
        let words = format!("{}: {}", node.name, node.words);
        let _never = writeln!(out, "  n{place}{open}\"{}\"{close}", plain(&words));
    }
    for edge in &map.edges {
        let counted = edge
            .at_most
            .map_or_else(String::new, |most| format!(" (at most {most})"));
        let words = plain(&format!("{}{counted}", edge.words));
        let _never = writeln!(out, "  n{} -->|\"{words}\"| n{}", edge.from, edge.to);
    }
    out
}

/// Words in which nothing means anything to Mermaid: its own entity codes for what would.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '#' => out.push_str("#35;"),
            '"' => out.push_str("#quot;"),
            '<' => out.push_str("#lt;"),
            '>' => out.push_str("#gt;"),
            '`' => out.push_str("#96;"),
            '\n' => out.push(' '),
            letter => out.push(letter),
        }
    }
    out
}
