//! Limits on the output: when each is met, gets worse, clears, or cannot be told.
//!
//! Values come in as data with their source. What stands here is how a limit is watched. Edge
//! rules: a window counts both its ends; consecutive hours are counted from a reading or back from
//! a reading; the nominal value decides.

use super::ranged::{NoWeight, Ranged};
use super::series::{Series, clock};
use crate::moment::Moment;
use crate::names::{FactName, words};
use crate::units::{Amount, Number, Span, Unit};
use std::rc::Rc;

words! {
    /// Whom a limit is for.
    Population {
        /// Adults.
        Adult = "adult",
        /// Children.
        Child = "child",
    }

    /// What a drain is there to let out, as far as the limits differ.
    Concerns {
        /// Blood.
        Blood = "blood",
        /// Other fluid.
        Effusion = "fluid",
    }

    /// Who is called when a limit is met, least urgent first.
    Call {
        /// Nobody yet: be warned and get ready.
        Warn = "warn",
        /// A doctor within the hour or on the next round.
        DoctorSoon = "doctor-soon",
        /// A doctor, now.
        DoctorNow = "doctor-now",
        /// The emergency team, at once.
        Emergency = "emergency",
    }

    /// On which side of its value a limit is met.
    Cut {
        /// Only beyond the value.
        Above = "above",
        /// At the value and beyond.
        AtLeast = "at least",
    }

    /// What became of a limit at a reading.
    Change {
        /// It is met.
        Met = "met",
        /// It was met and announced, and is now exceeded by more.
        Worse = "worse",
        /// It may be met: the value lies below, its range does not.
        Doubtful = "doubtful",
        /// It is no longer met, or no longer in doubt.
        Cleared = "cleared",
    }
}

/// After how long to read again when the range lies across a limit. Our own choice, no source.
pub const REREAD: Span = Span::minutes(15);

/// A limit's value, as the list of limits gives it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LimitValue {
    /// Its name there.
    pub name: FactName,
    /// The value: mL, mL/h, mL/kg or mL/kg/h.
    pub value: Amount,
    /// Whom it is for; `None` for everybody.
    pub population: Option<Population>,
    /// What it means, one line.
    pub means: String,
    /// Where the value comes from.
    pub source: String,
    /// The length of the window over which it is watched, where it has one.
    pub window: Option<Span>,
    /// In how many hours, one after another, it must be met, where it has such a number.
    pub hours: Option<u8>,
}

/// Over what time a limit is watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Window {
    /// In any window of this length.
    InAny(Span),
    /// In each of so many hours, one after another.
    EachHour(u8),
    /// Since the drain was connected, or since a clamp last came off.
    InOneGo,
    /// In so long after the drain was connected.
    InFirst(Span),
}

/// How a limit is watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shape {
    /// Over what time.
    pub window: Window,
    /// On which side of the value it is met.
    pub cut: Cut,
    /// Who is called.
    pub call: Call,
    /// For which drains; `None` for all.
    pub concerns: Option<Concerns>,
    /// Windows begin no earlier than this after the start of the drain. Usually zero.
    pub not_before: Span,
}

/// A limit that is watched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limit {
    /// Its value and source.
    pub value: LimitValue,
    /// How it is watched.
    pub shape: Shape,
}

impl Limit {
    /// A limit of the list of limits, watched in its own way. `None` when it is not one of an
    /// output, such as a depth or a suction, or when the list does not say over what time.
    #[must_use]
    pub fn watched(value: LimitValue) -> Option<Self> {
        let shape = Shape::of(value.name.as_str(), value.window, value.hours)?;
        Some(Self { value, shape })
    }

    /// The checklist to go on by when it is met.
    #[must_use]
    pub const fn checklist(&self) -> &'static str {
        match self.shape.concerns {
            Some(Concerns::Effusion) => "large-volume",
            Some(Concerns::Blood) | None => "bleeding",
        }
    }

    /// Whether it is watched for this patient, by whom it is for and what was seen.
    #[must_use]
    pub fn applies(&self, series: &Series, patient: &Patient) -> bool {
        super::judge::applies(self, series, patient)
    }

    /// The output by the hour at which it is met, mL/h, for drawing: of a limit on hours one after
    /// another, or on any hour. `None` for the others, and without a weight where it needs one.
    #[must_use]
    pub fn per_hour(&self, patient: &Patient) -> Option<Number> {
        let hourly = match self.shape.window {
            Window::EachHour(_) => true,
            Window::InAny(span) => span == Span::minutes(60),
            Window::InOneGo | Window::InFirst(_) => false,
        };
        let milli = self.value.value.number.milli();
        match self.value.value.unit {
            _ if !hourly => None,
            Unit::Ml | Unit::MlPerH => Some(Number::from_milli(milli)),
            Unit::MlPerKg | Unit::MlPerKgH => {
                let grams = patient.weight?.milli();
                let product = i128::from(milli) * i128::from(grams) / 1000;
                i64::try_from(product).ok().map(Number::from_milli)
            }
            _ => None,
        }
    }
}

impl Shape {
    /// How the output limit of that name is watched, with the window or the number of hours that
    /// the list of limits gives it. `None` for a name that is not one of an output, or without
    /// the window or hours that it needs.
    #[must_use]
    pub fn of(name: &str, window: Option<Span>, hours: Option<u8>) -> Option<Self> {
        use {Call::*, Concerns::*, Cut::*, Window::*};
        let of = |window, cut, call, concerns| Self {
            window,
            cut,
            call,
            concerns,
            not_before: Span(0),
        };
        let (window, cut, call, concerns) = match name {
            // A child after an operation in the chest, whatever drains: "more than".
            "postop-child-early" | "postop-child-later" | "postop-child-surgeon" => {
                return Some(of(InAny(window?), Above, DoctorNow, None));
            }
            // "At one time" (NSW Agency for Clinical Innovation, 2014, Pleural Drains in Adults,
            // section 3).
            "effusion-adult-warn" => (InOneGo, AtLeast, Warn, Effusion),
            "effusion-adult-stop" => (InOneGo, AtLeast, DoctorNow, Effusion),
            "effusion-child-stop" => (InOneGo, AtLeast, DoctorNow, Effusion),
            "effusion-adult-rate-warn" => (InAny(window?), AtLeast, Warn, Effusion),
            "effusion-adult-rate-call" => (InAny(window?), AtLeast, DoctorNow, Effusion),
            // The source says "more than".
            "blood-adult-call" => (InAny(window?), Above, DoctorNow, Blood),
            // A window of 24 h holds the first hour.
            "blood-adult-emergency" => (InAny(window?), AtLeast, Emergency, Blood),
            "blood-adult-rate" => (EachHour(hours?), Above, Emergency, Blood),
            "blood-child-call" => (InAny(window?), AtLeast, DoctorNow, Blood),
            "blood-child-emergency" => (InAny(window?), AtLeast, Emergency, Blood),
            "blood-child-rate" => (EachHour(hours?), AtLeast, Emergency, Blood),
            // "At insertion", taken as the first hour.
            "blood-child-initial" => (InFirst(window?), AtLeast, Emergency, Blood),
            _ => return None,
        };
        Some(of(window, cut, call, Some(concerns)))
    }
}

/// What the limits need to know of the patient. Unknown means that every limit is watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Patient {
    /// Adult or child.
    pub population: Option<Population>,
    /// Body weight, kg.
    pub weight: Option<Number>,
    /// What the drain is there for. Once a reading shows blood, the limits for blood are
    /// watched too.
    pub drains: Option<Concerns>,
}

/// What a limit was held against.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The limit.
    pub limit: Rc<Limit>,
    /// The value found, in the limit's own unit. Of consecutive hours, the least.
    pub value: Ranged,
    /// Beginning of the window.
    pub from: Moment,
    /// End of the window.
    pub to: Moment,
    /// True when the range lies on both sides of the limit.
    pub straddles: bool,
    /// True when a part of the window is not known.
    pub partial: bool,
}

/// Something that became of a limit at a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Happening {
    /// What.
    pub change: Change,
    /// The moment of the reading at which it was seen.
    pub at: Moment,
    /// The value behind it.
    pub finding: Finding,
}

/// A limit that could not be watched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Its name.
    pub limit: FactName,
    /// Why.
    pub why: WhyRefused,
}

/// Why a limit could not be watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum WhyRefused {
    /// It goes by weight, and there is none.
    #[error(transparent)]
    NoWeight(#[from] NoWeight),
    /// Its unit does not fit the way in which it is watched.
    #[error("a limit in {0} cannot be watched over this time")]
    WrongUnit(Unit),
    /// The numbers are too large to be compared.
    #[error("the limit is too large to be compared")]
    TooLarge,
}

/// Everything that became of the limits, in order of time.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Judgement {
    /// What happened.
    pub happened: Vec<Happening>,
    /// Limits that could not be watched.
    pub refused: Vec<Refused>,
}

impl Judgement {
    /// Holds every limit that applies against the series. The same entries give the same result,
    /// in whatever order they were written.
    #[must_use]
    pub fn of(series: &Series, limits: &[Limit], patient: &Patient) -> Self {
        super::judge::judge(series, limits, patient)
    }

    /// The same, but of each limit only what happened last: enough for [`Judgement::standing`].
    #[must_use]
    pub fn latest(series: &Series, limits: &[Limit], patient: &Patient) -> Self {
        super::judge::latest(series, limits, patient)
    }

    /// What stands now: for each limit that is met or in doubt, what was last said of it.
    #[must_use]
    pub fn standing(&self) -> Vec<&Happening> {
        let mut standing: Vec<&Happening> = Vec::new();
        for happening in &self.happened {
            let name = &happening.finding.limit.value.name;
            standing.retain(|other| other.finding.limit.value.name != *name);
            if happening.change != Change::Cleared {
                standing.push(happening);
            }
        }
        standing
    }

    /// What happened here and not yet in `before`: what is to be said after a new entry.
    #[must_use]
    pub fn news(&self, before: &Self) -> Vec<&Happening> {
        let known = |h: &&Happening| !before.happened.contains(h);
        self.happened.iter().filter(known).collect()
    }
}

impl Happening {
    /// What to show, a line of text each: what, on which values, who is called, the source.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let Finding { limit, value, .. } = &self.finding;
        let (from, to) = (clock(self.finding.from), clock(self.finding.to));
        let at_least = if self.finding.partial {
            "at least "
        } else {
            ""
        };
        let heading = match self.change {
            Change::Met => "Limit met",
            Change::Worse => "Limit exceeded by more",
            Change::Doubtful => "Limit perhaps met",
            Change::Cleared => "Limit no longer met",
        };
        let mut lines = vec![
            format!("{heading}: {}", limit.value.means),
            format!(
                "{at_least}{value} from {from} to {to}; the limit is {} {}",
                limit.shape.cut, limit.value.value
            ),
        ];
        if matches!(self.change, Change::Met | Change::Worse) {
            lines.push(format!("Call: {}", limit.shape.call));
        }
        if self.finding.straddles && self.change != Change::Cleared {
            lines.push(format!(
                "The range lies across the limit: read again in {REREAD}"
            ));
        }
        lines.push(format!("Source: {}", limit.value.source));
        lines
    }
}
