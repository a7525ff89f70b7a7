//! A map as SVG. The only user of the layout library.

use crate::clean::markup;
use std::collections::BTreeMap;

use layout::backends::svg::SVGWriter;
use layout::core::base::Orientation;
use layout::core::color::Color;
use layout::core::geometry::Point;
use layout::core::style::StyleAttr;
use layout::std_shapes::shapes::{Arrow, Element, ShapeKind};
use layout::topo::layout::VisualGraph;

use super::graph::{Map, Node, Shape};

/// Letters on one line of a box.
const LETTERS: usize = 30;
const FONT: usize = 14;
/// Arrows that are drawn to one step; beyond that signposts name it.
const MOST_ARROWS: usize = 2;
/// Width of a letter and height of a line in parts of the font's size; from memory, for a serif.
const LETTER: f64 = 0.52;
const LINE: f64 = 1.25;
/// Room at the right edge, in the units of the drawing.
const EDGE: f64 = 160.0;

/// The layout library gave up on a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("this list cannot be laid out as a picture")]
pub struct NotLaidOut;

/// Lays the map out and draws it.
///
/// # Errors
/// [`NotLaidOut`] when the library stops at one of its own checks, as it can for unusual lists.
pub fn write(map: &Map) -> Result<String, NotLaidOut> {
    std::panic::catch_unwind(|| laid_out(map)).map_err(|_| NotLaidOut)
}

fn laid_out(map: &Map) -> String {
    let mut graph = VisualGraph::new(Orientation::TopToBottom);
    // The library's own checks follow every path at every arrow; see below.
    graph.dag.set_validate(false);
    let handles: Vec<_> = map
        .nodes
        .iter()
        .enumerate()
        .map(|(place, node)| graph.add_node(element(place == map.begin, node)))
        .collect();
    let order = order(map);
    let mut arrows: Vec<_> = arrows(map).into_iter().collect();
    // The library asks at each arrow whether its end leads back to its beginning, along every path
    // there is. Laid from the first step on, no end leads anywhere yet; otherwise our longest
    // lists would take minutes.
    arrows.sort_by_key(|((from, to), _)| {
        (order[*from].min(order[*to]), order[*from].max(order[*to]))
    });
    let busy = busy(map);
    let mut drawn = vec![0; map.nodes.len()];
    for ((mut from, mut to), words) in arrows {
        let mut arrow = Arrow::simple(&lines(&words).join("\n"));
        arrow.look = StyleAttr::new(Color::fast("black"), 1, None, 0, FONT);
        drawn[to] += 1;
        if drawn[to] > 1 && (busy[to] || order[from] > order[to]) {
            let sign = graph.add_node(signpost(&map.nodes[to].name));
            graph.add_edge(arrow, handles[from], sign);
            continue;
        }
        if order[from] > order[to] {
            std::mem::swap(&mut from, &mut to);
            arrow = arrow.reverse();
        }
        graph.add_edge(arrow, handles[from], handles[to]);
    }
    let mut writer = SVGWriter::new();
    // Without its last pass, which moves boxes over one another in some of our lists and then stops.
    graph.do_it(false, false, true, &mut writer);
    titled(&writer.finalize(), &map.title)
}

/// The place of each step in an order in which only ways back lead to an earlier one: the reverse
/// of the order in which a search in depth leaves them.
fn order(map: &Map) -> Vec<usize> {
    let count = map.nodes.len();
    let mut next = vec![Vec::new(); count];
    for edge in &map.edges {
        next[edge.from].push(edge.to);
    }
    let mut seen = vec![false; count];
    let mut left = Vec::with_capacity(count);
    for start in [map.begin].into_iter().chain(0..count) {
        let mut stack = vec![(start, 0)];
        while let Some((at, tried)) = stack.pop() {
            if tried == 0 && std::mem::replace(&mut seen[at], true) {
                continue;
            }
            match next[at].get(tried) {
                Some(to) => stack.extend([(at, tried + 1), (*to, 0)]),
                None => left.push(at),
            }
        }
    }
    let mut order = vec![0; count];
    for (place, at) in left.into_iter().rev().enumerate() {
        order[at] = place;
    }
    order
}

/// One arrow for all ways between the same two steps.
fn arrows(map: &Map) -> BTreeMap<(usize, usize), String> {
    let mut arrows: BTreeMap<(usize, usize), String> = BTreeMap::new();
    for edge in &map.edges {
        let counted = edge
            .at_most
            .map_or_else(String::new, |most| format!(" (at most {most})"));
        let words = arrows.entry((edge.from, edge.to)).or_default();
        if !words.is_empty() {
            words.push_str(" / ");
        }
        words.push_str(&format!("{}{counted}", edge.words));
    }
    arrows
}

/// Steps to which so many arrows lead that drawing each would hide all others: a common call, an
/// ending. Beyond the first arrow a signpost with their name stands at each step that leads there.
fn busy(map: &Map) -> Vec<bool> {
    let mut count = vec![0; map.nodes.len()];
    for (_, to) in arrows(map).into_keys() {
        count[to] += 1;
    }
    count.into_iter().map(|count| count > MOST_ARROWS).collect()
}

/// A small box that names a step drawn elsewhere.
fn signpost(name: &str) -> Element {
    let words = format!("→ {name}");
    let font = count(FONT);
    let size = Point::new(
        (count(words.chars().count()) * LETTER + 1.0) * font,
        1.5 * font,
    );
    let look = StyleAttr::new(Color::fast("black"), 0, None, 0, FONT);
    Element::create(
        ShapeKind::new_box(&words),
        look,
        Orientation::TopToBottom,
        size,
    )
}

fn element(first: bool, node: &Node) -> Element {
    let mut words = vec![node.name.clone()];
    words.extend(lines(&node.words));
    let longest = words.iter().map(|line| line.chars().count()).max();
    let (width, rows) = (count(longest.unwrap_or(1)), count(words.len()));
    let font = count(FONT);
    let size = Point::new((width * LETTER + 2.0) * font, (rows * LINE + 1.0) * font);
    let (thick, round) = match node.shape {
        Shape::Asks => (1, 0),
        Shape::Call => (4, 0),
        Shape::Decides => (1, 14),
        Shape::List => (2, 4),
        Shape::End => (2, 14),
    };
    let thick = if first { 3 } else { thick };
    let look = StyleAttr::new(
        Color::fast("black"),
        thick,
        Some(Color::fast("white")),
        round,
        FONT,
    );
    let shape = ShapeKind::new_box(&words.join("\n"));
    Element::create(shape, look, Orientation::TopToBottom, size)
}

/// A small count as a length.
fn count(number: usize) -> f64 {
    f64::from(u16::try_from(number).unwrap_or(u16::MAX))
}

/// Words on lines of a box.
fn lines(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= LETTERS => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// The drawing with a title for those who do not see it, and a white ground.
fn titled(svg: &str, title: &str) -> String {
    let title = markup(title);
    let head = format!(
        "<title>{title}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n<defs>"
    );
    wider(svg)
        .replacen("<defs>", &head, 1)
        .replacen("<svg ", "<svg role=\"img\" ", 1)
}

/// The drawing with room for the words of arrows at its right edge, which the library leaves out
/// when it takes the measure of its window.
fn wider(svg: &str) -> String {
    let found = svg
        .split_once("width=\"")
        .and_then(|(_, rest)| rest.split_once('"'));
    let Some((width, number)) =
        found.and_then(|(width, _)| Some((width, width.parse::<f64>().ok()?)))
    else {
        return svg.to_owned();
    };
    svg.replacen(width, &format!("{:.0}", number + EDGE), 2)
}
