//! A map as text, to be read on any terminal of 80 columns.

use super::graph::{Map, Shape};

const COLUMNS: usize = 80;

/// Writes each step with its ways below it, indented.
#[must_use]
pub fn write(map: &Map) -> String {
    let mut out = Vec::new();
    wrap(&mut out, &map.title, "", "  ");
    out.push(format!("begins at {}", map.nodes[map.begin].name));
    for (place, node) in map.nodes.iter().enumerate() {
        let kind = match node.shape {
            Shape::Asks => "",
            Shape::Call => "CALL ",
            Shape::Decides => "decide ",
            Shape::List => "list ",
            Shape::End => "END ",
        };
        out.push(String::new());
        wrap(
            &mut out,
            &format!("{kind}{}: {}", node.name, node.words),
            "",
            "    ",
        );
        for edge in map.edges.iter().filter(|edge| edge.from == place) {
            let counted = edge
                .at_most
                .map_or_else(String::new, |most| format!(" (at most {most})"));
            let line = format!("{} -> {}{counted}", edge.words, map.nodes[edge.to].name);
            wrap(&mut out, &line, "  ", "      ");
        }
    }
    out.push(String::new());
    out.join("\n")
}

fn wrap(out: &mut Vec<String>, text: &str, first: &str, later: &str) {
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > COLUMNS {
            out.push(std::mem::replace(&mut line, later.to_owned()));
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push(line);
}
