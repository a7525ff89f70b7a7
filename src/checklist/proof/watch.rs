//! Watching every run at once for a safeguard that is broken, and finding the shortest that does.

use super::graph::{Budget, Graph, Label, TooLarge};
use super::hash::Numbered;
use super::moves::Asked;
use super::point::Marks;
use super::state::{Parts, State};
use super::table::Trail;

/// What a watcher is told, in this order along a way: the answer, then what is shown or that the
/// run is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Seen {
    /// A step was answered; the bits of the points met.
    Answered(u8),
    /// A step is shown; the bits of the points met. `quiet` when it was shown before.
    Shown { bits: u8, quiet: bool },
    /// The run is over.
    Over,
}

/// A watcher: a small number that remembers what matters of the run so far. It begins with 0.
pub(super) trait Watch {
    /// What it remembers after that; `None` when the safeguard is broken there.
    fn next(&self, now: u16, seen: Seen) -> Option<u16>;

    /// Whether the state, with its number in the graph, may be reached at all, with what is
    /// remembered there.
    fn allows(&self, _now: u16, _number: u32, _to: &State, _parts: &Parts, _fresh: u64) -> bool {
        true
    }

    /// Whether an answer that is no longer so counts as not given.
    fn takes_back(&self) -> bool {
        true
    }
}

/// A path in the graph.
#[derive(Debug, Clone)]
pub(super) struct Path {
    /// The state it begins in.
    pub begin: u32,
    /// Each way: the state it leaves and its number among all ways.
    pub ways: Vec<(u32, u32)>,
}

impl Path {
    /// The path with its states and labels.
    pub fn trail(&self, graph: &Graph) -> Trail {
        let steps = self.ways.iter().map(|(from, way)| {
            let way = graph.ways[*way as usize];
            let (from, to) = (graph.states[*from as usize], graph.states[way.0 as usize]);
            (from, *graph.label(way), to)
        });
        Trail {
            begin: graph.states[self.begin as usize],
            steps: steps.collect(),
        }
    }
}

/// The shortest path on which the watcher finds the safeguard broken, and how many states were
/// looked at. Among paths of the same length it is the first in the order of the list's answers.
pub(super) fn search(
    graph: &Graph,
    parts: &Parts,
    marks: &Marks,
    watch: &dyn Watch,
    budget: &mut Budget<'_>,
) -> Result<(Option<Path>, usize), TooLarge> {
    let mut nodes: Numbered<Node> = Numbered::default();
    let mut from: Vec<(u32, u32)> = Vec::new();
    for begin in 0..super::model::step_number(graph.begins) {
        let state = &graph.states[begin as usize];
        let bits = marks.shown(state.list, state.shown());
        let mind =
            Mind::begin(watch, bits).filter(|mind| watch.allows(mind.now, begin, state, parts, 0));
        let Some(mind) = mind else {
            let path = Path {
                begin,
                ways: Vec::new(),
            };
            return Ok((Some(path), nodes.len() + 1));
        };
        if nodes.add(Node { state: begin, mind }).1 {
            from.push((u32::MAX, u32::MAX));
        }
    }
    let mut at = 0;
    while (at as usize) < nodes.len() {
        let node = *nodes.get(at);
        for (number, way) in graph.ways(node.state).iter().enumerate() {
            let number = graph.first_way(node.state) + super::model::step_number(number);
            let (label, to) = (graph.label(*way), &graph.states[way.0 as usize]);
            match advance(marks, watch, parts, node.mind, label, (way.0, to)) {
                Some(mind) => {
                    if nodes.add(Node { state: way.0, mind }).1 {
                        from.push((at, number));
                    }
                }
                None => {
                    let path = trace(&nodes, &from, at, number);
                    return Ok((Some(path), nodes.len()));
                }
            }
        }
        budget.allows(at as usize, nodes.len())?;
        at += 1;
    }
    Ok((None, nodes.len()))
}

/// What a watcher remembers on a way.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub(super) struct Mind {
    /// What it remembered before the last answer: an answer that is no longer so takes it back.
    before: u16,
    pub now: u16,
    /// Whether the last answer is taken back; then `before` is what it had made of `now`.
    back: bool,
}

impl Mind {
    /// Once the first step is shown; `None` when the safeguard is broken there.
    pub fn begin(watch: &dyn Watch, bits: u8) -> Option<Self> {
        let now = watch.next(0, Seen::Shown { bits, quiet: false })?;
        Some(Self {
            before: now,
            now,
            back: false,
        })
    }
}

/// A state with what the watcher remembers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Node {
    state: u32,
    mind: Mind,
}

/// What the watcher remembers after a way to a state, whose number in the graph is given too;
/// `None` when the safeguard is broken on it.
pub(super) fn advance(
    marks: &Marks,
    watch: &dyn Watch,
    parts: &Parts,
    mind: Mind,
    label: &Label,
    (number, to): (u32, &State),
) -> Option<Mind> {
    let answer = label.answer;
    let mut quiet = label.quiet;
    let Mind {
        mut before,
        mut now,
        mut back,
    } = mind;
    match answer.how {
        Asked::Shown | Asked::Again => {
            let bits = marks.answered(answer.list, answer.step, answer.reply);
            (before, back) = (now, false);
            now = watch.next(now, Seen::Answered(bits))?;
        }
        Asked::NoLonger { direct: true } => {
            if watch.takes_back() && !back {
                (now, before, back) = (before, now, true);
            }
            quiet = true;
        }
        // What was taken back is so after all.
        Asked::StillSo if back => (now, before, back) = (before, now, false),
        Asked::StillSo | Asked::NoLonger { direct: false } => {}
    }
    if to.is_over() {
        let now = watch.next(now, Seen::Over)?;
        return Some(Mind {
            now,
            ..Mind::default()
        });
    }
    let bits = marks.shown(to.list, to.shown());
    now = watch.next(now, Seen::Shown { bits, quiet })?;
    let mind = Mind { before, now, back };
    watch
        .allows(now, number, to, parts, label.fresh)
        .then_some(mind)
}

fn trace(nodes: &Numbered<Node>, from: &[(u32, u32)], last: u32, way: u32) -> Path {
    let mut ways = vec![(nodes.get(last).state, way)];
    let mut at = last;
    while from[at as usize].0 != u32::MAX {
        let (before, way) = from[at as usize];
        ways.push((nodes.get(before).state, way));
        at = before;
    }
    ways.reverse();
    Path {
        begin: nodes.get(at).state,
        ways,
    }
}

/// Watches for any of the points of bit 0: "broken" means that it can be met.
pub(super) struct Never;

impl Watch for Never {
    fn next(&self, now: u16, seen: Seen) -> Option<u16> {
        match seen {
            Seen::Answered(bits) | Seen::Shown { bits, .. } if bits & 1 != 0 => None,
            _ => Some(now),
        }
    }
}
