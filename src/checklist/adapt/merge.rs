//! Puts the changes of an adaptation into the tree of the list that it adapts.

use crate::checklist::nearest::nearest;
use crate::checklist::problem::Kind;
use crate::checklist::raw::{At, Findings, Spot};
use crate::checklist::tree::{Data, Node, NodeId};
use crate::names::StepName;

use super::misfit::Misfit;
use super::{Adaptation, What, steps, text, value, ways};

/// The keys that make the kind of a step.
const KINDS: &[&str] = &[
    "do", "check", "ask", "measure", "wait", "decide", "use", "end",
];

/// A list put together from two files.
#[derive(Debug)]
pub(in crate::checklist) struct Merged {
    /// The list.
    pub(in crate::checklist) root: Node,
    /// Where each node was written, by its number.
    pub(in crate::checklist) spots: Vec<Spot>,
}

impl Merged {
    /// The list as it is shipped; `file` is the number of its file.
    fn of(base: &Node, file: usize) -> Self {
        let mut merged = Self {
            root: Node {
                id: 0,
                data: Data::Empty,
            },
            spots: Vec::new(),
        };
        merged.root = merged.graft(base, file);
        merged
    }

    /// A copy of a node of that file with numbers of its own.
    fn graft(&mut self, node: &Node, file: usize) -> Node {
        let at = Spot {
            file,
            node: node.id,
        };
        let id = NodeId::try_from(self.spots.len()).unwrap_or(NodeId::MAX);
        self.spots.push(at);
        let data = match &node.data {
            Data::List(items) => {
                Data::List(items.iter().map(|item| self.graft(item, file)).collect())
            }
            Data::Map(entries) => Data::Map(
                entries
                    .iter()
                    .map(|(key, value)| (self.graft(key, file), self.graft(value, file)))
                    .collect(),
            ),
            other => other.clone(),
        };
        Node { id, data }
    }

    /// The steps, to be changed.
    fn steps_mut(&mut self) -> Option<&mut Vec<(Node, Node)>> {
        entry_mut(&mut self.root, "steps").and_then(|node| match &mut node.data {
            Data::Map(steps) => Some(steps),
            _ => None,
        })
    }

    fn step_mut(&mut self, name: &str) -> Option<&mut Node> {
        let steps = self.steps_mut()?;
        let found = steps.iter_mut().find(|(key, _)| text(key) == name);
        found.map(|(_, step)| step)
    }

    /// Sets a key of a step, or of the list's head without one.
    fn set(&mut self, step: Option<&str>, key: Node, value: Node) {
        let owner = match step {
            Some(name) => self.step_mut(name),
            None => Some(&mut self.root),
        };
        let Some(Node {
            data: Data::Map(entries),
            ..
        }) = owner
        else {
            return;
        };
        let found = entries
            .iter_mut()
            .find(|(name, _)| text(name) == text(&key));
        match found {
            Some(entry) => *entry = (key, value),
            None => entries.push((key, value)),
        }
    }
}

fn entry_mut<'n>(node: &'n mut Node, key: &str) -> Option<&'n mut Node> {
    let Data::Map(entries) = &mut node.data else {
        return None;
    };
    let found = entries.iter_mut().find(|(name, _)| text(name) == key);
    found.map(|(_, value)| value)
}

/// The list with the changes in it. What cannot be put in is told, and left out.
pub(in crate::checklist) fn merge(
    adaptation: &Adaptation,
    base: &Node,
    base_file: usize,
    out: &mut Findings,
) -> Merged {
    let mut merging = Merging {
        merged: Merged::of(base, base_file),
        file: adaptation.at.file,
        out,
    };
    merging.head(adaptation);
    for change in &adaptation.changes {
        match &change.what {
            What::Change { step, set, drop } => merging.change(step, set, drop),
            What::Add {
                step,
                name,
                body,
                after,
                way,
            } => merging.add(step, (name, body), after, way.as_ref()),
            What::Remove { step, instead } => merging.remove(step, instead.as_ref()),
            What::Limit { .. } | What::Fact { .. } => {}
        }
    }
    merging.merged
}

struct Merging<'a> {
    merged: Merged,
    /// The number of the adaptation's file.
    file: usize,
    out: &'a mut Findings,
}

impl Merging<'_> {
    fn tell(&mut self, at: Spot, misfit: Misfit) {
        self.out.add(at, Kind::adapt(misfit));
    }

    /// Whether the step is there; told when it is not.
    fn there(&mut self, step: &At<StepName>) -> bool {
        let name = step.is.as_str();
        if super::step(&self.merged.root, name).is_some() {
            return true;
        }
        let names = steps(&self.merged.root).iter().map(|(key, _)| text(key));
        let nearest = nearest(name, names);
        self.out.add(
            step.at,
            Kind::UnknownStep {
                name: name.to_owned(),
                nearest,
            },
        );
        false
    }

    fn head(&mut self, adaptation: &Adaptation) {
        for (key, value) in &adaptation.head {
            let pair = self.pair(key, value);
            self.merged.set(None, pair.0, pair.1);
        }
        for (key, value) in &adaptation.added {
            let (key, value) = self.pair(key, value);
            match (entry_mut(&mut self.merged.root, text(&key)), value.data) {
                (
                    Some(Node {
                        data: Data::List(old),
                        ..
                    }),
                    Data::List(new),
                ) => old.extend(new),
                (
                    Some(Node {
                        data: Data::Map(old),
                        ..
                    }),
                    Data::Map(new),
                ) => old.extend(new),
                (_, data) => {
                    let node = Node { id: value.id, data };
                    self.merged.set(None, key, node);
                }
            }
        }
    }

    fn pair(&mut self, key: &Node, value: &Node) -> (Node, Node) {
        let file = self.file;
        (self.merged.graft(key, file), self.merged.graft(value, file))
    }

    fn change(&mut self, step: &At<StepName>, set: &[(Node, Node)], drop: &[At<String>]) {
        if !self.there(step) {
            return;
        }
        let name = step.is.as_str();
        let kind = super::step(&self.merged.root, name).and_then(|(_, step)| kind_of(step));
        for (key, value) in set {
            if let Some(kind) = kind
                && KINDS.contains(&text(key))
                && text(key) != kind
            {
                let at = Spot {
                    file: self.file,
                    node: key.id,
                };
                let (step, is) = (name.to_owned(), kind.to_owned());
                self.tell(at, Misfit::OtherKind { step, is });
                continue;
            }
            let (key, value) = self.pair(key, value);
            self.merged.set(Some(name), key, value);
        }
        for key in drop {
            let dropped = match self.merged.step_mut(name) {
                Some(Node {
                    data: Data::Map(entries),
                    ..
                }) => {
                    let before = entries.len();
                    entries.retain(|(name, _)| text(name) != key.is);
                    entries.len() < before
                }
                _ => true,
            };
            if !dropped {
                let (step, key_name) = (name.to_owned(), key.is.clone());
                self.tell(
                    key.at,
                    Misfit::NoSuchKey {
                        step,
                        key: key_name,
                    },
                );
            }
        }
    }

    fn add(
        &mut self,
        step: &At<StepName>,
        written: (&Node, &Node),
        after: &At<StepName>,
        way: Option<&At<String>>,
    ) {
        if super::step(&self.merged.root, step.is.as_str()).is_some() {
            let step_name = step.is.to_string();
            return self.tell(step.at, Misfit::StepTaken { step: step_name });
        }
        if !self.there(after) {
            return;
        }
        let pair = self.pair(written.0, written.1);
        if !self.put_on_way(&pair.0, after, way) {
            return;
        }
        if let Some(steps) = self.merged.steps_mut() {
            let place = steps
                .iter()
                .position(|(key, _)| text(key) == after.is.as_str());
            let place = place.map_or(steps.len(), |place| place + 1);
            steps.insert(place, pair);
        }
    }

    /// Leads one way out of a step to the new one; `false` when that could not be done, which is told.
    fn put_on_way(&mut self, name: &Node, after: &At<StepName>, way: Option<&At<String>>) -> bool {
        let to = Node {
            id: name.id,
            data: name.data.clone(),
        };
        let step_name = after.is.to_string();
        let Some(step) = self.merged.step_mut(&step_name) else {
            return true;
        };
        let all = ways::names(step);
        let wanted = match (way, ways::plain_way(step)) {
            (Some(way), _) => Some((way.is.clone(), way.at)),
            (None, Some(plain)) => Some((plain.to_owned(), after.at)),
            (None, None) => None,
        };
        let Some((wanted, at)) = wanted else {
            let misfit = Misfit::WhichWay {
                step: step_name,
                ways: all,
            };
            self.tell(after.at, misfit);
            return false;
        };
        match ways::find(step, &wanted).map(|way| ways::lead(way, &to)) {
            Some(true) => return true,
            Some(false) => self.tell(
                at,
                Misfit::WayUses {
                    step: step_name,
                    way: wanted,
                },
            ),
            None => {
                let misfit = Misfit::NoSuchWay {
                    step: step_name,
                    way: wanted,
                    ways: all,
                };
                self.tell(at, misfit);
            }
        }
        false
    }

    fn remove(&mut self, step: &At<StepName>, instead: Option<&(At<StepName>, Node)>) {
        if !self.there(step) {
            return;
        }
        if let Some((to, written)) = instead {
            if !self.there(to) {
                return;
            }
            let to = self.merged.graft(written, self.file);
            ways::lead_all(&mut self.merged.root, step.is.as_str(), &to);
        }
        if let Some(steps) = self.merged.steps_mut() {
            steps.retain(|(key, _)| text(key) != step.is.as_str());
        }
    }
}

/// The key that makes the kind of a step.
fn kind_of(step: &Node) -> Option<&'static str> {
    KINDS
        .iter()
        .copied()
        .find(|kind| value(step, kind).is_some())
}
