//! The steps of one list and the ways between them.

use crate::checklist::model::{
    Checklist, Condition, Cut, Endings, Jump, Library, ListId, Piece, Range, Step, StepId,
    StepKind, Test, Text, Way,
};

/// What kind of step a node is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Something is asked of the nurse.
    Asks,
    /// A call for help.
    Call,
    /// The program decides.
    Decides,
    /// Another list.
    List,
    /// The end.
    End,
}

/// One step, or another list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// The name of the step; of another list, `use` and its name.
    pub name: String,
    /// What it asks, in short.
    pub words: String,
    /// What kind of step it is.
    pub shape: Shape,
}

/// One way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edge {
    /// The place of the step it leaves.
    pub from: usize,
    /// The place of the step it leads to.
    pub to: usize,
    /// The answer, or what holds.
    pub words: String,
    /// How often it may be taken, when it is counted.
    pub at_most: Option<u32>,
}

/// A checklist as a map.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Map {
    /// The title and the version.
    pub title: String,
    /// The place of the first step.
    pub begin: usize,
    /// The steps in file order, then the lists that are used.
    pub nodes: Vec<Node>,
    /// Every way, in file order.
    pub edges: Vec<Edge>,
}

/// Makes the map of a list.
#[must_use]
pub fn map(library: &Library, id: ListId) -> Map {
    let list = library.list(id);
    let mut drawing = Drawing {
        library,
        map: Map {
            title: format!("{} ({} {})", list.title, list.name, list.version),
            begin: list.begin.index(),
            nodes: list.steps().map(|(_, step)| node(library, step)).collect(),
            edges: Vec::new(),
        },
    };
    drawing.ways(list);
    drawing.map
}

fn node(library: &Library, step: &Step) -> Node {
    let (shape, words) = match &step.kind {
        StepKind::Do { text, .. } if step.call.is_some() => (Shape::Call, plain(text)),
        StepKind::Do { text, .. }
        | StepKind::Check { text, .. }
        | StepKind::Ask { text, .. }
        | StepKind::Measure { text, .. }
        | StepKind::Wait { text, .. } => (Shape::Asks, plain(text)),
        StepKind::Decide { .. } => (Shape::Decides, "decided by what is known".to_owned()),
        StepKind::Use { list, .. } => (Shape::List, library.list(*list).title.clone()),
        StepKind::End { text, outcome, .. } => (Shape::End, format!("{outcome}: {}", plain(text))),
    };
    Node {
        name: step.name.to_string(),
        words,
        shape,
    }
}

/// A text with its places as names in braces.
fn plain(text: &Text) -> String {
    let pieces = text.0.iter().map(|piece| match piece {
        Piece::Words(words) => words.clone(),
        Piece::Fill(name) => format!("{{{name}}}"),
    });
    pieces.collect()
}

struct Drawing<'a> {
    library: &'a Library,
    map: Map,
}

impl Drawing<'_> {
    fn ways(&mut self, list: &Checklist) {
        for (id, step) in list.steps() {
            match &step.kind {
                StepKind::Do {
                    then, if_not_done, ..
                } => self.two(id, [("done", then), ("not done", if_not_done)]),
                StepKind::Check {
                    as_expected,
                    not_as_expected,
                    could_not_check,
                    ..
                } => {
                    self.two(
                        id,
                        [
                            ("as expected", as_expected),
                            ("not as expected", not_as_expected),
                        ],
                    );
                    self.way(id, "could not check", could_not_check);
                }
                StepKind::Ask { answers, .. } => {
                    for answer in answers {
                        self.way(id, &answer.words, &answer.way);
                    }
                }
                StepKind::Measure {
                    bands,
                    not_obtained,
                    ..
                } => {
                    for band in bands {
                        self.way(id, &plain(&band.words), &band.way);
                    }
                    self.way(id, "not obtained", not_obtained);
                }
                StepKind::Wait {
                    elapsed, if_missed, ..
                } => self.two(id, [("watched", elapsed), ("missed", if_missed)]),
                StepKind::Decide { rows, otherwise } => {
                    for row in rows {
                        self.way(id, &conditions(&row.when), &row.way);
                    }
                    self.way(id, "otherwise", otherwise);
                }
                StepKind::Use { endings, .. } => self.endings(id.index(), endings),
                StepKind::End { .. } => {}
            }
        }
    }

    fn two(&mut self, id: StepId, ways: [(&str, &Way); 2]) {
        for (words, way) in ways {
            self.way(id, words, way);
        }
    }

    fn way(&mut self, from: StepId, words: &str, way: &Way) {
        match way {
            Way::Jump(jump) => self.jump(from.index(), words, jump),
            Way::Use { list, endings } => {
                let used = self.library.list(*list);
                let to = self.map.nodes.len();
                self.map.nodes.push(Node {
                    name: format!("use {}", used.name),
                    words: used.title.clone(),
                    shape: Shape::List,
                });
                self.edge(from.index(), to, words.to_owned(), None);
                self.endings(to, endings);
            }
        }
    }

    fn endings(&mut self, from: usize, endings: &Endings) {
        for (outcome, jump) in &endings.by_outcome {
            self.jump(from, outcome.word(), jump);
        }
        if let Some(jump) = &endings.any {
            self.jump(from, "any ending", jump);
        }
    }

    fn jump(&mut self, from: usize, words: &str, jump: &Jump) {
        match jump {
            Jump::To(step) => self.edge(from, step.index(), words.to_owned(), None),
            Jump::Counted {
                go,
                at_most,
                after_that,
                ..
            } => {
                self.edge(from, go.index(), words.to_owned(), Some(*at_most));
                self.edge(
                    from,
                    after_that.index(),
                    format!("{words}, after that"),
                    None,
                );
            }
        }
    }

    fn edge(&mut self, from: usize, to: usize, words: String, at_most: Option<u32>) {
        self.map.edges.push(Edge {
            from,
            to,
            words,
            at_most,
        });
    }
}

/// A stretch of numbers in words, limits by their names in braces as in texts.
fn stretch(range: &Range) -> String {
    let cut = |cut: &Cut| match cut {
        Cut::Fixed(number) => number.to_string(),
        Cut::Fact(name, _) | Cut::PerKg(name, _) | Cut::Unset(name) => format!("{{{name}}}"),
    };
    range.in_words(cut)
}

fn conditions(when: &[Condition]) -> String {
    let all: Vec<String> = when
        .iter()
        .map(|condition| {
            let test = match &condition.test {
                Test::OneOf(words) => words.join("/"),
                Test::Within(range) => stretch(range),
                Test::Known => "known".to_owned(),
                Test::Unknown => "unknown".to_owned(),
            };
            format!("{} {test}", condition.name)
        })
        .collect();
    all.join(", ")
}
