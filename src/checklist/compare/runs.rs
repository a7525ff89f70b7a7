//! What a changed list makes possible that the shipped one did not: the shortest new orders in which
//! steps come up that call somebody, touch the drain or the drainage unit, or open a duty.
//!
//! Both lists are graphs of steps in which only such steps have a name. The changed list is followed
//! step by step, together with the set of all steps at which the shipped one can be after the same
//! order of names; where that set becomes empty, the order is new. What is remembered and how often
//! a way was taken are left out, so that nothing new is missed and a little more may be shown. New is
//! not wrong: whoever approves looks at it.

use std::collections::{BTreeSet, HashSet, VecDeque};

use serde::Serialize;

use crate::checklist::model::{Checklist, Endings, Jump, Library, Step, StepId, StepKind, Way};

/// With more pairs of places than this the search is given up, and says so.
const MOST: usize = 200_000;

/// The event of an action that was not done.
const NOT_DONE: &str = "not done";
/// The event of an answer that nobody could give.
const NOT_SURE: &str = "not sure";

/// What of a list counts as an event.
#[derive(Debug, Clone, Default)]
pub struct Events {
    /// The tags whose steps are events, besides calls, duties, other lists and endings.
    pub tags: BTreeSet<String>,
}

/// What one list makes possible and the other does not.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
pub struct NewRuns {
    /// The shortest new orders, shortest first, one for each step at which they become new.
    pub orders: Vec<Order>,
    /// Whether the search was given up before it was complete.
    pub given_up: bool,
}

/// One order of events.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct Order {
    /// The events, in order; the last makes it new.
    pub events: Vec<String>,
    /// The run that shows it: each step that came up, with the answer that led on from it.
    pub run: Vec<(String, String)>,
}

/// The orders that `own` makes possible and `base` does not.
#[must_use]
pub fn new_runs(
    own: (&Library, &Checklist),
    base: (&Library, &Checklist),
    events: &Events,
) -> NewRuns {
    search(&Graph::of(own, events), &Graph::of(base, events))
}

fn search(own: &Graph, base: &Graph) -> NewRuns {
    let mut search = Search {
        own,
        base,
        came: vec![Came::default()],
        seen: HashSet::new(),
        told: HashSet::new(),
        queue: VecDeque::new(),
        found: NewRuns::default(),
    };
    search.enter(0, "", own.begin, &[Graph::START]);
    while let Some((came, step, places)) = search.queue.pop_front() {
        if search.seen.len() > MOST {
            search.found.given_up = true;
            break;
        }
        for (answer, to) in &own.ways[step] {
            search.enter(came, answer, *to, &places);
        }
    }
    search.found
}

/// A list as a graph.
#[derive(Debug)]
struct Graph {
    begin: usize,
    names: Vec<String>,
    /// The event that a step is, if it is one.
    events: Vec<Option<String>>,
    /// Every way out: the answer and the step.
    ways: Vec<Vec<(String, usize)>>,
}

impl Graph {
    /// The place before the first step.
    const START: usize = usize::MAX;

    fn of((library, list): (&Library, &Checklist), events: &Events) -> Self {
        let mut graph = Self {
            begin: list.begin.index(),
            names: Vec::new(),
            events: Vec::new(),
            ways: Vec::new(),
        };
        for (_, step) in list.steps() {
            graph.names.push(step.name.to_string());
            graph.events.push(event(library, step, events));
            graph.ways.push(Vec::new());
        }
        for (id, step) in list.steps() {
            let mut ways = Ways {
                library,
                graph: &mut graph,
                from: id.index(),
            };
            ways.of(&step.kind);
        }
        graph
    }

    /// Every place with that event that can be reached from these without another event.
    fn after(&self, places: &[usize], event: &str) -> Vec<usize> {
        let mut found = BTreeSet::new();
        let mut seen = HashSet::new();
        let mut queue: VecDeque<usize> = VecDeque::new();
        for place in places {
            match *place {
                Self::START => queue.push_back(self.begin),
                place => queue.extend(self.ways[place].iter().map(|(_, to)| *to)),
            }
        }
        while let Some(place) = queue.pop_front() {
            if !seen.insert(place) {
                continue;
            }
            match &self.events[place] {
                Some(found_event) if found_event == event => {
                    found.insert(place);
                }
                Some(_) => {}
                None => queue.extend(self.ways[place].iter().map(|(_, to)| *to)),
            }
        }
        found.into_iter().collect()
    }
}

/// The event that a step is.
fn event(library: &Library, step: &Step, events: &Events) -> Option<String> {
    let mut parts = Vec::new();
    if let Some(level) = step.call {
        parts.push(format!("call {}", super::call_words(level)));
    }
    parts.extend(step.opens.iter().map(|duty| format!("open {duty}")));
    parts.extend(step.closes.iter().map(|duty| format!("close {duty}")));
    let tags = step
        .tags
        .iter()
        .filter(|tag| events.tags.contains(tag.as_str()));
    parts.extend(tags.map(ToString::to_string));
    match &step.kind {
        StepKind::Use { list, .. } => parts.push(format!("follow {}", library.list(*list).name)),
        StepKind::End { outcome, .. } => parts.push(format!("end {outcome}")),
        _ => {}
    }
    (!parts.is_empty()).then(|| parts.join(" + "))
}

/// Gathers the ways out of one step.
struct Ways<'a> {
    library: &'a Library,
    graph: &'a mut Graph,
    from: usize,
}

impl Ways<'_> {
    fn add(&mut self, from: usize, answer: &str, to: StepId) {
        self.graph.ways[from].push((answer.to_owned(), to.index()));
    }

    fn jump(&mut self, from: usize, answer: &str, jump: &Jump) {
        match jump {
            Jump::To(step) => self.add(from, answer, *step),
            Jump::Counted { go, after_that, .. } => {
                self.add(from, answer, *go);
                self.add(from, &format!("{answer}, once too often"), *after_that);
            }
        }
    }

    /// A place without a name of its own, come to by that answer.
    fn place(&mut self, answer: &str, name: &str, event: String) -> usize {
        let place = self.graph.names.len();
        self.graph.names.push(name.to_owned());
        self.graph.events.push(Some(event));
        self.graph.ways.push(Vec::new());
        self.graph.ways[self.from].push((answer.to_owned(), place));
        place
    }

    /// A way of somebody who did not do it, or cannot tell. At a step that is an event, that is an
    /// event too.
    fn without(&mut self, answer: &str, event: &str, way: &Way) {
        if self.graph.events[self.from].is_none() {
            return self.way(answer, way);
        }
        let step = self.from;
        self.from = self.place(answer, "", event.to_owned());
        self.way("", way);
        self.from = step;
    }

    fn way(&mut self, answer: &str, way: &Way) {
        match way {
            Way::Jump(jump) => self.jump(self.from, answer, jump),
            Way::Use { list, endings } => {
                // The list that is followed is an event of its own, at a place of its own.
                let name = self.library.list(*list).name.to_string();
                let place = self.place(answer, &name, format!("follow {name}"));
                self.endings(place, endings);
            }
        }
    }

    fn endings(&mut self, from: usize, endings: &Endings) {
        for (outcome, jump) in &endings.by_outcome {
            self.jump(from, &format!("ended {outcome}"), jump);
        }
        if let Some(jump) = &endings.any {
            self.jump(from, "ended otherwise", jump);
        }
    }

    fn of(&mut self, kind: &StepKind) {
        match kind {
            StepKind::Do {
                then, if_not_done, ..
            } => {
                self.way("done", then);
                self.without("not done", NOT_DONE, if_not_done);
            }
            StepKind::Check {
                as_expected,
                not_as_expected,
                could_not_check,
                ..
            } => {
                self.way("as expected", as_expected);
                self.way("not as expected", not_as_expected);
                self.without("could not check", NOT_SURE, could_not_check);
            }
            StepKind::Ask { answers, .. } => {
                for answer in answers {
                    if answer.unsure {
                        self.without(&answer.words, NOT_SURE, &answer.way);
                    } else {
                        self.way(&answer.words, &answer.way);
                    }
                }
            }
            StepKind::Measure {
                bands,
                not_obtained,
                ..
            } => {
                for band in bands {
                    self.way(&super::words(&band.words), &band.way);
                }
                self.without("not obtained", NOT_SURE, not_obtained);
            }
            StepKind::Wait {
                elapsed, if_missed, ..
            } => {
                self.way("watched to the end", elapsed);
                self.without("broken off", NOT_SURE, if_missed);
            }
            StepKind::Decide { rows, otherwise } => {
                for row in rows {
                    let conditions: Vec<String> = row.when.iter().map(super::condition).collect();
                    self.way(&conditions.join(" and "), &row.way);
                }
                self.way("otherwise", otherwise);
            }
            StepKind::Use { endings, .. } => self.endings(self.from, endings),
            StepKind::End { .. } => {}
        }
    }
}

/// How a place was come to.
#[derive(Debug, Default)]
struct Came {
    from: usize,
    step: usize,
    answer: String,
}

struct Search<'a> {
    own: &'a Graph,
    base: &'a Graph,
    came: Vec<Came>,
    seen: HashSet<(usize, Vec<usize>)>,
    told: HashSet<usize>,
    queue: VecDeque<(usize, usize, Vec<usize>)>,
    found: NewRuns,
}

impl Search<'_> {
    /// Comes to a step by an answer; `places` is where the other list can be before it.
    fn enter(&mut self, from: usize, answer: &str, step: usize, places: &[usize]) {
        let places = match &self.own.events[step] {
            None => places.to_vec(),
            Some(event) => self.base.after(places, event),
        };
        let came = self.came.len();
        let is_new = places.is_empty();
        if is_new && !self.told.insert(step) {
            return;
        }
        if !is_new && !self.seen.insert((step, places.clone())) {
            return;
        }
        self.came.push(Came {
            from,
            step,
            answer: answer.to_owned(),
        });
        if is_new {
            let order = self.order(came);
            let told = self.found.orders.iter();
            if !told.into_iter().any(|other| other.events == order.events) {
                self.found.orders.push(order);
            }
        } else {
            self.queue.push_back((came, step, places));
        }
    }

    fn order(&self, last: usize) -> Order {
        let mut run: Vec<(String, String)> = Vec::new();
        let mut events = Vec::new();
        let (mut at, mut answer) = (last, String::new());
        while at != 0 {
            let came = &self.came[at];
            // Of somebody who could not do it only the answer is told.
            if !self.own.names[came.step].is_empty() {
                run.push((self.own.names[came.step].clone(), answer));
            }
            events.extend(self.own.events[came.step].clone());
            answer = came.answer.clone();
            at = came.from;
        }
        run.reverse();
        events.reverse();
        Order { events, run }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// A small graph: of each step its event, if it is one, and where it leads.
    fn graph() -> impl Strategy<Value = Graph> {
        let step = (0_usize..3, proptest::collection::vec(0_usize..5, 0..3));
        proptest::collection::vec(step, 5).prop_map(|steps| Graph {
            begin: 0,
            names: (0..steps.len()).map(|step| step.to_string()).collect(),
            events: steps
                .iter()
                .map(|(event, _)| ["a", "b"].get(*event).map(|name| (*name).to_owned()))
                .collect(),
            ways: steps
                .iter()
                .map(|(_, ways)| ways.iter().map(|to| (String::new(), *to)).collect())
                .collect(),
        })
    }

    /// Every order of at most so many events, by following every path that is not too long.
    fn orders(graph: &Graph, most: usize) -> BTreeSet<Vec<String>> {
        let mut found = BTreeSet::new();
        let mut queue = vec![(graph.begin, Vec::new())];
        let mut seen = HashSet::new();
        while let Some((step, mut order)) = queue.pop() {
            if let Some(event) = &graph.events[step] {
                order.push(event.clone());
                found.insert(order.clone());
            }
            if order.len() > most || !seen.insert((step, order.clone())) {
                continue;
            }
            queue.extend(graph.ways[step].iter().map(|(_, to)| (*to, order.clone())));
        }
        found
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2_000))]

        #[test]
        fn what_is_found_is_what_full_enumeration_finds(own in graph(), base in graph()) {
            let found = search(&own, &base);
            let (mine, others) = (orders(&own, 6), orders(&base, 6));
            let new: Vec<_> = mine.difference(&others).filter(|order| order.len() <= 6).collect();
            // What only longer orders show is not enumerated.
            let shown = found.orders.iter().any(|order| order.events.len() <= 6);
            prop_assert_eq!(shown, !new.is_empty(), "{:?}", new);
            for order in found.orders.iter().filter(|order| order.events.len() <= 6) {
                prop_assert!(new.contains(&&order.events), "{:?} is not new", order);
            }
        }
    }
}
