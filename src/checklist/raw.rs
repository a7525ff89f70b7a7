//! Lists as they were read, before checking: every name knows where it stands, and what could not
//! be read is a hole that has been told already.

use std::collections::{BTreeMap, HashMap};

use crate::names::{DutyName, FactName, ListName, SourceName, StepName, Tag};
use crate::units::{Number, Span, Unit};

use super::model::{Adapted, CallLevel, Charts, ListKind, Mode, Outcome, Rung, Text};
use super::problem::Kind;
use super::tree::NodeId;

/// A node of a file of the shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Spot {
    /// The number of the file in the shelf's order.
    pub(super) file: usize,
    /// The node.
    pub(super) node: NodeId,
}

/// A value with the place where it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct At<T> {
    pub(super) is: T,
    pub(super) at: Spot,
}

/// At most so many problems are told for one file.
const MOST: usize = 400;

/// The problems found so far.
#[derive(Debug, Default)]
pub(super) struct Findings {
    pub(super) found: Vec<(Spot, Kind)>,
    /// How many were found in each file.
    pub(super) counts: HashMap<usize, usize>,
}

impl Findings {
    /// Notes a problem at a place. Beyond [`MOST`] for one file they are only counted.
    pub(super) fn add(&mut self, at: Spot, kind: Kind) {
        let count = self.counts.entry(at.file).or_default();
        *count += 1;
        if *count <= MOST {
            self.found.push((at, kind));
        }
    }

    /// How many problems of that file were only counted.
    pub(super) fn left(&self, file: usize) -> usize {
        self.counts
            .get(&file)
            .map_or(0, |count| count.saturating_sub(MOST))
    }

    /// Whether looking for a nearest name is still worth its time in that file.
    pub(super) fn still_told(&self, file: usize) -> bool {
        self.counts.get(&file).is_none_or(|count| *count < MOST)
    }
}

#[derive(Debug)]
pub(super) struct RawList {
    /// The whole file.
    pub(super) at: Spot,
    pub(super) stem: Option<ListName>,
    pub(super) name: Option<At<String>>,
    pub(super) title: Option<String>,
    pub(super) version: Option<String>,
    pub(super) kind: Option<At<ListKind>>,
    pub(super) mode: Option<Mode>,
    pub(super) key: Option<At<char>>,
    pub(super) signs: Vec<String>,
    pub(super) recognise: Option<At<Text>>,
    pub(super) about: Option<String>,
    pub(super) owner: Option<String>,
    pub(super) author: Option<String>,
    pub(super) review_by: Option<chrono::NaiveDate>,
    pub(super) change: Vec<String>,
    pub(super) sources: BTreeMap<SourceName, At<String>>,
    pub(super) begin: Option<At<StepName>>,
    pub(super) steps: Vec<RawStep>,
    /// Whether the name of every step could be read.
    pub(super) whole: bool,
    pub(super) index: HashMap<StepName, usize>,
    pub(super) fingerprint: String,
    pub(super) adapted: Option<Adapted>,
}

impl RawList {
    /// The place of the step of that name.
    pub(super) fn find(&self, name: &str) -> Option<usize> {
        self.index.get(name).copied()
    }

    /// The first step, if it is there.
    pub(super) fn first(&self) -> Option<usize> {
        self.begin
            .as_ref()
            .and_then(|begin| self.find(begin.is.as_str()))
    }
}

#[derive(Debug)]
pub(super) struct RawStep {
    pub(super) name: At<StepName>,
    pub(super) kind: RawKind,
    pub(super) why: Option<At<Text>>,
    pub(super) caution: Option<At<Text>>,
    pub(super) place: Option<At<Text>>,
    pub(super) source: Vec<At<SourceName>>,
    /// Whether the key is there, even if nothing in it could be read.
    pub(super) has_source: bool,
    pub(super) tags: Vec<Tag>,
    pub(super) critical: bool,
    pub(super) from_memory: Option<Spot>,
    pub(super) remember: Option<At<FactName>>,
    pub(super) good_for: Option<At<RawPeriod>>,
    /// What of the chart the number is.
    pub(super) charts: Option<At<Charts>>,
    /// What of the chart an answer is, by its words.
    pub(super) looks: Vec<(At<String>, At<Charts>)>,
    pub(super) opens: Vec<At<DutyName>>,
    pub(super) closes: Vec<At<DutyName>>,
    pub(super) call: Option<At<CallLevel>>,
    pub(super) record: Option<At<Text>>,
}

type HoleText = Option<At<Text>>;
type HoleWay = Option<RawWay>;

#[derive(Debug)]
pub(super) enum RawKind {
    /// Not readable; told already.
    Hole,
    Do {
        text: HoleText,
        then: HoleWay,
        if_not_done: HoleWay,
    },
    Check {
        text: HoleText,
        expect: HoleText,
        as_expected: HoleWay,
        not_as_expected: HoleWay,
        could_not_check: HoleWay,
    },
    Ask {
        text: HoleText,
        answers: Vec<RawAnswer>,
        whole: bool,
        at: Spot,
    },
    Measure(Box<RawMeasure>),
    Wait {
        text: HoleText,
        period: Option<At<RawPeriod>>,
        while_unset: Option<At<RawPeriod>>,
        late_after: Option<At<RawPeriod>>,
        elapsed: HoleWay,
        if_missed: HoleWay,
    },
    Decide {
        rows: Vec<RawRow>,
        otherwise: HoleWay,
    },
    Use {
        list: Option<At<ListName>>,
        endings: Option<RawEndings>,
    },
    End {
        text: HoleText,
        outcome: Option<At<Outcome>>,
        recheck: Option<At<RawPeriod>>,
    },
}

#[derive(Debug)]
pub(super) struct RawMeasure {
    pub(super) text: HoleText,
    pub(super) unit: Option<Unit>,
    pub(super) plausible: Option<(Number, Number)>,
    pub(super) bands: Vec<RawBand>,
    /// Whether every band could be read.
    pub(super) whole: bool,
    pub(super) at: Spot,
    pub(super) not_obtained: HoleWay,
}

#[derive(Debug)]
pub(super) struct RawAnswer {
    /// As written, with its places; also what `when` names.
    pub(super) words: At<String>,
    pub(super) unsure: bool,
    pub(super) way: HoleWay,
}

#[derive(Debug)]
pub(super) struct RawBand {
    pub(super) range: At<RawRange>,
    pub(super) way: HoleWay,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct RawRange {
    pub(super) from: Option<(RawCut, bool)>,
    pub(super) to: Option<(RawCut, bool)>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum RawCut {
    Number(Number),
    Fact(FactName),
}

#[derive(Debug, Clone)]
pub(super) enum RawPeriod {
    Fixed(Span),
    Fact(FactName),
}

#[derive(Debug)]
pub(super) struct RawRow {
    pub(super) at: Spot,
    pub(super) when: Vec<RawCondition>,
    pub(super) whole: bool,
    pub(super) way: HoleWay,
}

#[derive(Debug)]
pub(super) struct RawCondition {
    pub(super) name: At<FactName>,
    pub(super) test: At<RawTest>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum RawTest {
    Known,
    Unknown,
    /// One or several words, each with its place; a single one may also be a band.
    Words(Vec<At<String>>),
}

#[derive(Debug)]
pub(super) enum RawWay {
    Jump(RawJump),
    Use {
        list: Option<At<ListName>>,
        endings: Option<RawEndings>,
    },
}

#[derive(Debug)]
pub(super) struct RawJump {
    pub(super) go: Option<At<StepName>>,
    /// How often, and where to after that; holes when they could not be read.
    pub(super) counted: Option<(Option<u32>, Option<At<StepName>>)>,
}

#[derive(Debug)]
pub(super) struct RawEndings {
    pub(super) at: Spot,
    pub(super) by_outcome: Vec<(At<Outcome>, Option<RawJump>)>,
    /// With `any`, or the plain name of a step.
    pub(super) any: Option<(Spot, Option<RawJump>)>,
    /// Whether every entry could be read.
    pub(super) whole: bool,
}

impl RawStep {
    /// Every way out, in the order of the language's documentation.
    pub(super) fn ways(&self) -> Vec<Option<&RawWay>> {
        match &self.kind {
            RawKind::Hole | RawKind::Use { .. } | RawKind::End { .. } => Vec::new(),
            RawKind::Do {
                then, if_not_done, ..
            } => vec![then.as_ref(), if_not_done.as_ref()],
            RawKind::Check {
                as_expected,
                not_as_expected,
                could_not_check,
                ..
            } => {
                vec![
                    as_expected.as_ref(),
                    not_as_expected.as_ref(),
                    could_not_check.as_ref(),
                ]
            }
            RawKind::Ask { answers, .. } => {
                answers.iter().map(|answer| answer.way.as_ref()).collect()
            }
            RawKind::Measure(measure) => measure
                .bands
                .iter()
                .map(|band| band.way.as_ref())
                .chain([measure.not_obtained.as_ref()])
                .collect(),
            RawKind::Wait {
                elapsed, if_missed, ..
            } => vec![elapsed.as_ref(), if_missed.as_ref()],
            RawKind::Decide { rows, otherwise } => rows
                .iter()
                .map(|row| row.way.as_ref())
                .chain([otherwise.as_ref()])
                .collect(),
        }
    }

    /// Every list that it uses, with where its endings lead.
    pub(super) fn uses(&self) -> Vec<(&At<ListName>, Option<&RawEndings>)> {
        let mut uses = Vec::new();
        if let RawKind::Use {
            list: Some(list),
            endings,
        } = &self.kind
        {
            uses.push((list, endings.as_ref()));
        }
        for way in self.ways().into_iter().flatten() {
            if let RawWay::Use {
                list: Some(list),
                endings,
            } = way
            {
                uses.push((list, endings.as_ref()));
            }
        }
        uses
    }

    /// Every jump within the list, with a hole for each that could not be read.
    pub(super) fn jumps(&self) -> Vec<Option<&RawJump>> {
        fn of_endings(endings: Option<&RawEndings>) -> Vec<Option<&RawJump>> {
            let Some(endings) = endings else {
                return vec![None];
            };
            let mut jumps: Vec<_> = endings
                .by_outcome
                .iter()
                .map(|(_, jump)| jump.as_ref())
                .collect();
            jumps.extend(endings.any.iter().map(|(_, jump)| jump.as_ref()));
            if !endings.whole {
                jumps.push(None);
            }
            jumps
        }
        let mut jumps = match &self.kind {
            RawKind::Use { endings, .. } => of_endings(endings.as_ref()),
            RawKind::Hole => vec![None],
            RawKind::Ask { whole: false, .. } => vec![None],
            RawKind::Measure(measure) if !measure.whole => vec![None],
            _ => Vec::new(),
        };
        for way in self.ways() {
            match way {
                None => jumps.push(None),
                Some(RawWay::Jump(jump)) => jumps.push(Some(jump)),
                Some(RawWay::Use { endings, .. }) => jumps.extend(of_endings(endings.as_ref())),
            }
        }
        jumps
    }

    /// Every text of the step that may hold places to be filled.
    pub(super) fn texts(&self) -> Vec<&At<Text>> {
        let mut texts: Vec<&At<Text>> = match &self.kind {
            RawKind::Check { text, expect, .. } => text.iter().chain(expect).collect(),
            RawKind::Do { text, .. }
            | RawKind::Ask { text, .. }
            | RawKind::Wait { text, .. }
            | RawKind::End { text, .. } => text.iter().collect(),
            RawKind::Measure(measure) => measure.text.iter().collect(),
            RawKind::Hole | RawKind::Decide { .. } | RawKind::Use { .. } => Vec::new(),
        };
        texts.extend(
            [&self.why, &self.caution, &self.place, &self.record]
                .into_iter()
                .flatten(),
        );
        texts
    }
}

/// `duties.yaml` as it was read.
pub(super) type RawDuties = BTreeMap<DutyName, RawDuty>;

#[derive(Debug)]
pub(super) struct RawDuty {
    pub(super) open: String,
    pub(super) close: String,
    pub(super) within: Option<At<RawPeriod>>,
    /// How long while `within` names a local fact that is not filled in.
    pub(super) while_unset: Option<At<RawPeriod>>,
}

/// The ladders of `local.yaml`.
pub(super) type Ladders = BTreeMap<CallLevel, Vec<Rung>>;
