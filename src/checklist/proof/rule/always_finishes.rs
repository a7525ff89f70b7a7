//! `always_finishes`: no dead end, no endless circle, every answer has its way, and a circle that
//! was gone round often enough leads to help.

use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, NodeIndex};

use crate::checklist::model as given;
use crate::checklist::model::{Checklist, Jump, Library, ListKind, Step, StepId, StepKind, Way};
use crate::checklist::proof::model::{Model, Sort, Step as Made, step_number};
use crate::checklist::proof::point::{Case, Place, Point, When, list_at};
use crate::checklist::proof::run::Said;
use crate::checklist::proof::watch::Never;

use super::{Answered, Context, Question, Verdict, Watching};

/// The rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AlwaysFinishes {
    /// Where every circle leads after its last time.
    pub after_loops: Option<Point>,
}

/// What is wrong with a step.
struct Fault {
    list: usize,
    step: u32,
    why: String,
}

impl AlwaysFinishes {
    pub(super) fn check(&self, context: &mut Context<'_, '_, '_>) -> Verdict {
        let model = &context.session.model;
        let fault = model.reached().map(|(at, _)| at).find_map(|at| {
            circle(model, at)
                .or_else(|| endless(model, at))
                .or_else(|| gap(model, at))
                .or_else(|| self.after_last_time(model, at))
        });
        match fault {
            None => Verdict::Kept { states: 0 },
            Some(fault) => broken(context, fault),
        }
    }

    /// A counted way that does not lead to help after its last time.
    fn after_last_time(&self, model: &Model<'_>, at: usize) -> Option<Fault> {
        let point = self.after_loops.as_ref()?;
        let list = list_at(model.library, at);
        for (id, step) in list.steps() {
            for jump in jumps(step) {
                let Jump::Counted { after_that, .. } = jump else {
                    continue;
                };
                if !leads_to(model.library, list, *after_that, point, &mut Vec::new()) {
                    let to = &list.step(*after_that).name;
                    let why = format!(
                        "after the last time, {} leads to {to}, which is not {point}",
                        step.name
                    );
                    return Some(Fault {
                        list: at,
                        step: step_number(id.index()),
                        why,
                    });
                }
            }
        }
        None
    }
}

/// Whether everything asked next, from a step on, is the point. Steps that ask nothing are passed.
fn leads_to(
    library: &Library,
    list: &Checklist,
    at: StepId,
    point: &Point,
    seen: &mut Vec<StepId>,
) -> bool {
    let step = list.step(at);
    if point.is_at(list, step) || seen.contains(&at) {
        return true;
    }
    seen.push(at);
    match &step.kind {
        // An urgent list calls on its first screen.
        StepKind::Use { list: used, .. } => library.list(*used).kind == ListKind::Urgent,
        StepKind::Decide { .. } => step.kind.ways().into_iter().all(|way| match way {
            Way::Jump(Jump::To(next)) => leads_to(library, list, *next, point, seen),
            Way::Use { list: used, .. } => library.list(*used).kind == ListKind::Urgent,
            Way::Jump(Jump::Counted { .. }) => false,
        }),
        _ => false,
    }
}

/// Every jump of a step within its list.
fn jumps(step: &Step) -> Vec<&Jump> {
    fn of(endings: &given::Endings) -> impl Iterator<Item = &Jump> {
        endings
            .by_outcome
            .iter()
            .map(|(_, jump)| jump)
            .chain(&endings.any)
    }
    let mut found = Vec::new();
    if let StepKind::Use { endings, .. } = &step.kind {
        found.extend(of(endings));
    }
    for way in step.kind.ways() {
        match way {
            Way::Jump(jump) => found.push(jump),
            Way::Use { endings, .. } => found.extend(of(endings)),
        }
    }
    found
}

/// The graph of the steps of a list, with or without counted ways.
fn steps(list: &Checklist, counted: bool) -> DiGraph<(), ()> {
    let mut graph = DiGraph::new();
    for _ in list.steps() {
        graph.add_node(());
    }
    for (from, step) in list.steps() {
        let mut add = |to: StepId| {
            graph.add_edge(NodeIndex::new(from.index()), NodeIndex::new(to.index()), ());
        };
        for jump in jumps(step) {
            match jump {
                Jump::To(to) => add(*to),
                Jump::Counted { go, after_that, .. } => {
                    add(*after_that);
                    if counted {
                        add(*go);
                    }
                }
            }
        }
    }
    graph
}

/// A circle of ways none of which is counted.
fn circle(model: &Model<'_>, at: usize) -> Option<Fault> {
    let list = list_at(model.library, at);
    let graph = steps(list, false);
    for part in tarjan_scc(&graph) {
        let first = part.iter().min()?;
        if part.len() > 1 || graph.contains_edge(*first, *first) {
            let why = "a circle of steps has no count, so a run may never end".to_owned();
            return Some(Fault {
                list: at,
                step: step_number(first.index()),
                why,
            });
        }
    }
    None
}

/// A step from which no end can be reached.
fn endless(model: &Model<'_>, at: usize) -> Option<Fault> {
    let list = list_at(model.library, at);
    let mut graph = steps(list, true);
    graph.reverse();
    let mut reached = vec![false; graph.node_count()];
    let ends = list
        .steps()
        .filter(|(_, step)| matches!(step.kind, StepKind::End { .. }));
    let mut open: Vec<NodeIndex> = ends.map(|(id, _)| NodeIndex::new(id.index())).collect();
    while let Some(node) = open.pop() {
        if !std::mem::replace(&mut reached[node.index()], true) {
            open.extend(graph.neighbors(node));
        }
    }
    let step = reached.iter().position(|reached| !reached)?;
    let why = "no end can be reached from here".to_owned();
    Some(Fault {
        list: at,
        step: step_number(step),
        why,
    })
}

/// A plausible number that no band takes, or an ending of a used list that leads nowhere.
fn gap(model: &Model<'_>, at: usize) -> Option<Fault> {
    let list = list_at(model.library, at);
    for ((id, step), made) in list.steps().zip(&model.list(at).steps) {
        let step_at = step_number(id.index());
        if let (
            StepKind::Measure {
                plausible, bands, ..
            },
            Made::Asked { replies, .. },
        ) = (&step.kind, made)
        {
            let needs_more = bands
                .iter()
                .flat_map(|band| crate::checklist::proof::number::cuts(&band.range));
            let needs_more = needs_more
                .into_iter()
                .any(|cut| matches!(cut, given::Cut::PerKg(..) | given::Cut::Unset(_)));
            for reply in replies
                .iter()
                .filter(|reply| reply.sort != Sort::Value && !needs_more)
            {
                let Said::Value(amount) = &reply.said else {
                    continue;
                };
                if amount.number >= plausible.0 && amount.number <= plausible.1 {
                    let why = format!("no band takes {amount}");
                    return Some(Fault {
                        list: at,
                        step: step_at,
                        why,
                    });
                }
            }
        }
    }
    for site in model
        .sites
        .iter()
        .enumerate()
        .filter(|(_, site)| site.list == at)
    {
        let used = used_at(model, site.0)?;
        for step in &model.list(used).steps {
            if let Made::End(outcome) = step
                && site.1.jump(*outcome).is_none()
            {
                let why = format!("the ending \"{outcome}\" of a used list leads nowhere");
                return Some(Fault {
                    list: at,
                    step: model.list(at).begin,
                    why,
                });
            }
        }
    }
    None
}

/// The list that is used at a site.
fn used_at(model: &Model<'_>, site: usize) -> Option<usize> {
    use crate::checklist::proof::model::Way as MadeWay;
    let uses = model
        .reached()
        .flat_map(|(_, list)| list.steps.iter())
        .flat_map(crate::checklist::proof::live::ways);
    uses.into_iter().find_map(|way| match way {
        MadeWay::Use { list, site: at } if at as usize == site => Some(list),
        _ => None,
    })
}

/// The fault, with the shortest run that reaches its step.
fn broken(context: &mut Context<'_, '_, '_>, fault: Fault) -> Verdict {
    let list = list_at(context.session.model.library, fault.list);
    let step = list.step(StepId(fault.step as usize));
    let point = Point(vec![Case {
        places: vec![Place::Step(list.name.clone(), step.name.clone())],
        answers: Vec::new(),
        when: When::Shown,
    }]);
    let why = format!("{}/{}: {}", list.name, step.name, fault.why);
    let question = Question {
        points: vec![&point],
        watch: Watching::ByList(&Never),
        asked: Vec::new(),
        fresh: Vec::new(),
    };
    match context.ask(&question) {
        Answered::Fails { run, states } => Verdict::Broken {
            why,
            run: Some(run),
            states,
        },
        Answered::Holds { states } | Answered::Open { states } => Verdict::Broken {
            why,
            run: None,
            states,
        },
    }
}
