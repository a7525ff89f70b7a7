//! The ways out of a step, each with a name: what trials must take between them.

use std::collections::BTreeSet;

use crate::checklist::model::{
    Cut, Endings, Jump, Library, ListId, Outcome, Piece, Range, Step, StepKind, Test, Text, Way,
};
use crate::units::Number;

/// One way out of a step.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Exit {
    /// The answer, row or band of that place.
    Way(usize),
    /// The way of that place, when its count is used up.
    Spent(usize),
    /// Back from another list by this outcome; `None` by any that is not named.
    Ending(usize, Option<Outcome>),
    /// The same, when its count is used up.
    EndingSpent(usize, Option<Outcome>),
    /// A number at this cut or just beside it.
    Edge(String, Side),
    /// The closing text of an end.
    Over,
}

/// On which side of a cut a number lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Just below.
    Below,
    /// Exactly there.
    At,
    /// Just above.
    Above,
}

impl Side {
    /// On which side of the cut the number lies, when it is beside it: within a tenth of it,
    /// but at least a tenth of the unit. The width is our own.
    #[must_use]
    pub fn of(number: Number, cut: Number) -> Option<Self> {
        let (number, cut) = (number.milli(), cut.milli());
        let beside = (cut.abs() / 10).max(100);
        match number - cut {
            0 => Some(Self::At),
            apart if apart.abs() > beside => None,
            apart if apart < 0 => Some(Self::Below),
            _ => Some(Self::Above),
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Below => "just below",
            Self::At => "at",
            Self::Above => "just above",
        }
    }
}

/// Where a way out leads.
#[derive(Debug, Clone, Copy)]
pub enum Leads<'a> {
    /// Along a way.
    Way(&'a Way),
    /// To another list and back, for a step that is nothing else.
    Use(ListId, &'a Endings),
}

/// The ways out of a step with their words, in the order of [`Exit::Way`].
#[must_use]
pub fn ways(step: &Step) -> Vec<(String, Leads<'_>)> {
    let named = |words: &str, way| (words.to_owned(), Leads::Way(way));
    match &step.kind {
        StepKind::Do {
            then, if_not_done, ..
        } => vec![named("done", then), named("not done", if_not_done)],
        StepKind::Check {
            as_expected,
            not_as_expected,
            could_not_check,
            ..
        } => vec![
            named("as expected", as_expected),
            named("not as expected", not_as_expected),
            named("could not check", could_not_check),
        ],
        StepKind::Ask { answers, .. } => answers
            .iter()
            .map(|answer| named(&answer.words, &answer.way))
            .collect(),
        StepKind::Measure {
            bands,
            not_obtained,
            ..
        } => bands
            .iter()
            .map(|band| named(&plain(&band.words), &band.way))
            .chain([named("not obtained", not_obtained)])
            .collect(),
        StepKind::Wait {
            elapsed, if_missed, ..
        } => vec![
            named("watched to the end", elapsed),
            named("missed", if_missed),
        ],
        StepKind::Decide { rows, otherwise } => rows
            .iter()
            .enumerate()
            .map(|(place, row)| named(&format!("row {}", place + 1), &row.way))
            .chain([named("otherwise", otherwise)])
            .collect(),
        StepKind::Use { list, endings } => vec![("used".to_owned(), Leads::Use(*list, endings))],
        StepKind::End { .. } => Vec::new(),
    }
}

/// Every way out of a step of that library.
#[must_use]
pub fn exits(library: &Library, step: &Step) -> Vec<Exit> {
    let mut exits = Vec::new();
    for (place, (_, leads)) in ways(step).into_iter().enumerate() {
        exits.push(Exit::Way(place));
        match leads {
            Leads::Way(Way::Jump(Jump::To(_))) => {}
            Leads::Way(Way::Jump(Jump::Counted { .. })) => exits.push(Exit::Spent(place)),
            Leads::Way(Way::Use { list, endings }) => {
                exits.extend(back(library, place, *list, endings));
            }
            Leads::Use(list, endings) => {
                exits.extend(back(library, place, list, endings));
            }
        }
    }
    let mut cuts = BTreeSet::new();
    for cut in ranges(step).iter().flat_map(|range| ends(range)) {
        cuts.insert(cut_name(cut));
    }
    for cut in cuts {
        let sides = [Side::Below, Side::At, Side::Above].into_iter();
        let sides = sides.filter(|side| can_be_read(step, &cut, *side));
        exits.extend(sides.map(|side| Exit::Edge(cut.clone(), side)));
    }
    if matches!(step.kind, StepKind::End { .. }) {
        exits.push(Exit::Over);
    }
    exits
}

fn back(library: &Library, place: usize, list: ListId, endings: &Endings) -> Vec<Exit> {
    let used = library.list(list);
    let has: BTreeSet<Outcome> = used
        .steps()
        .filter_map(|(_, step)| match &step.kind {
            StepKind::End { outcome, .. } => Some(*outcome),
            _ => None,
        })
        .collect();
    let mut back = Vec::new();
    let mut add = |outcome: Option<Outcome>, jump: &Jump| {
        back.push(Exit::Ending(place, outcome));
        if matches!(jump, Jump::Counted { .. }) {
            back.push(Exit::EndingSpent(place, outcome));
        }
    };
    for (outcome, jump) in &endings.by_outcome {
        add(Some(*outcome), jump);
    }
    let named = |one: &Outcome| endings.by_outcome.iter().any(|(outcome, _)| outcome == one);
    if let Some(jump) = &endings.any
        && !has.iter().all(named)
    {
        add(None, jump);
    }
    back
}

/// Whether a number on that side of the cut is one that the step takes: none lies below its lowest
/// or above its highest.
fn can_be_read(step: &Step, cut: &str, side: Side) -> bool {
    let StepKind::Measure { plausible, .. } = &step.kind else {
        return true;
    };
    match side {
        Side::Below => cut != plausible.0.to_string(),
        Side::At => true,
        Side::Above => cut != plausible.1.to_string(),
    }
}

/// The stretches of numbers by which a step decides.
#[must_use]
pub fn ranges(step: &Step) -> Vec<&Range> {
    match &step.kind {
        StepKind::Measure { bands, .. } => bands.iter().map(|band| &band.range).collect(),
        StepKind::Decide { rows, .. } => rows
            .iter()
            .flat_map(|row| &row.when)
            .filter_map(|condition| match &condition.test {
                Test::Within(range) => Some(range),
                _ => None,
            })
            .collect(),
        _ => Vec::new(),
    }
}

/// The ends of a stretch.
pub fn ends(range: &Range) -> impl Iterator<Item = &Cut> {
    range.from.iter().chain(&range.to).map(|(cut, _)| cut)
}

/// The name of a cut: that of its limit or local fact, or the number.
#[must_use]
pub fn cut_name(cut: &Cut) -> String {
    match cut {
        Cut::Fixed(number) => number.to_string(),
        Cut::Fact(name, _) | Cut::PerKg(name, _) | Cut::Unset(name) => name.to_string(),
    }
}

impl Exit {
    /// The way out in words.
    #[must_use]
    pub fn words(&self, step: &Step) -> String {
        let ways = ways(step);
        let way = |place: &usize| ways.get(*place).map_or("", |(words, _)| words.as_str());
        let outcome = |outcome: &Option<Outcome>| match outcome {
            Some(outcome) => format!("other list ended {outcome}"),
            None => "other list ended in any other way".to_owned(),
        };
        match self {
            Self::Way(place) => way(place).to_owned(),
            Self::Spent(place) => format!("{}, count used up", way(place)),
            Self::Ending(place, how) => format!("{}, {}", way(place), outcome(how)),
            Self::EndingSpent(place, how) => {
                format!("{}, {}, count used up", way(place), outcome(how))
            }
            Self::Edge(cut, side) => format!("{} {cut}", side.word()),
            Self::Over => "the end".to_owned(),
        }
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
