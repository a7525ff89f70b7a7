//! From what the journal holds of a drain to its chart: readings, limits, due times, and what is
//! known of the drain and the drainage unit.

use crate::chart::fill::FillLimits;
use crate::chart::limit::{
    Call, Concerns, Happening, Judgement, Limit, LimitValue, Patient, Population,
};
use crate::chart::plausible::Bounds;
use crate::chart::schedule::{LookTimes, Plan};
use crate::chart::sign::{SignTimes, Signed, signs};
use crate::chart::{DrainStart, Entry, EntryId, Series};
use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::{CallLevel, FactAbout, Library, ListKind, Origin, Value};
use crate::checklist::model::{Population as For, Rung};
use crate::failure::Failure;
use crate::journal::{By, DrainChart, Entry as Written, Journal, What};
use crate::moment::{Moment, Zone};
use crate::names::FactName;
use crate::units::{Amount, Number, Span, Unit};

use super::charted_walks::{OfWalks, of_walks};
use super::desk::Desk;
use super::failures::journal_failure;
use super::handle::NamedDrain;

/// The chart of one drain.
pub struct Chart {
    /// The drain.
    pub drain: NamedDrain,
    /// The beginning of the drain.
    pub start: DrainStart,
    /// What was charted, as it was written.
    pub entries: Vec<Entry>,
    /// The same, in order of when it was seen.
    pub series: Series,
    /// What must be settled by a person and is none of the series'.
    pub unsettled: Vec<String>,
    /// Who wrote each entry, by the place among the people; in the order of the entries.
    writers: Vec<(EntryId, usize)>,
    people: Vec<By>,
    /// What the output is held against.
    pub limits: Vec<Limit>,
    /// What the limits need to know of the patient.
    pub patient: Patient,
    /// When to look.
    pub plan: Plan,
    /// The lengths of time by which signs are judged.
    pub times: SignTimes,
    /// What the drainage unit in use holds, mL.
    pub capacity: Option<Number>,
    /// The shares of it at which a change is planned and made.
    pub fill: Option<FillLimits>,
}

impl Chart {
    /// The chart of that drain as the journal holds it.
    ///
    /// # Errors
    /// A failure when the journal cannot be read, or an entry of the drain cannot.
    pub fn of(desk: &Desk, journal: &Journal, drain: NamedDrain) -> Result<Self, Failure> {
        Self::until(desk, journal, drain, i64::MAX, desk.clock.zone())
    }

    /// The same as the journal stood at that place, in the times of that zone.
    ///
    /// # Errors
    /// As [`Chart::of`].
    pub fn until(
        desk: &Desk,
        journal: &Journal,
        mut drain: NamedDrain,
        upto: i64,
        zone: Zone,
    ) -> Result<Self, Failure> {
        let id = drain.summary.drain;
        let DrainChart {
            charted,
            people,
            others: written,
        } = journal
            .drain_chart(&id, upto)
            .map_err(|why| journal_failure(&why))?;
        if upto < i64::MAX {
            for entry in written.iter().filter(|entry| entry.drain == Some(id)) {
                if let What::DrainOpened { facts } | What::DrainChanged { facts, .. } = &entry.what
                {
                    drain.summary.facts.clone_from(facts);
                }
            }
        }
        let began = connected(&desk.library, &written);
        let OfWalks {
            readings,
            unsettled,
        } = of_walks(&written, id);
        let Merged {
            mut entries,
            writers,
            people,
        } = merged(charted, people, readings);
        for entry in &mut entries {
            entry.at = zone.at(entry.at.to_utc());
        }
        let opened = drain.summary.opened;
        let first = entries.iter().map(|entry| entry.at).min();
        let start = DrainStart {
            // Nothing that was charted is lost because a list was begun after it.
            at: began.map_or(opened, |at| {
                first.map_or(at, |first| at.min(first)).max(opened)
            }),
            level: Number::whole(0),
            graduation: local_number(&desk.library, "graduation", Unit::Ml),
        };
        let facts = &drain.summary.facts;
        let patient = patient(facts);
        Ok(Self {
            start,
            series: Series::new(start, entries.iter().cloned()),
            entries,
            unsettled,
            writers,
            people,
            limits: limits(&desk.library),
            plan: Plan::of(&look_times(&desk.library)?, patient.population),
            patient,
            times: times(&desk.library),
            capacity: local_number(&desk.library, "capacity", Unit::Ml),
            fill: fill(&desk.library),
            drain,
        })
    }

    /// The chart as it will be with these entries too. Nothing is written.
    #[must_use]
    pub fn with(&self, more: &[Entry]) -> Series {
        Series::new(self.start, self.entries.iter().chain(more).cloned())
    }

    /// What has become of the limits.
    #[must_use]
    pub fn judged(&self, series: &Series) -> Judgement {
        Judgement::of(series, &self.limits, &self.patient)
    }

    /// What stands of the limits now.
    #[must_use]
    pub fn standing(&self) -> Judgement {
        Judgement::latest(&self.series, &self.limits, &self.patient)
    }

    /// What the seal has told.
    #[must_use]
    pub fn signs(&self, series: &Series) -> Vec<Signed> {
        signs(series, self.times)
    }

    /// What a new value is held against before it is believed.
    #[must_use]
    pub fn bounds(&self, library: &Library) -> Bounds {
        Bounds {
            capacity: self.capacity,
            suction: amount(library, self.suction_limit()),
        }
    }

    const fn suction_limit(&self) -> &'static str {
        match self.patient.population {
            Some(Population::Adult) => "suction-adult-ask",
            // The closer one when it is not known which.
            Some(Population::Child) | None => "suction-child-ask",
        }
    }

    /// Who wrote an entry.
    #[must_use]
    pub fn writer(&self, id: EntryId) -> Option<&By> {
        // In the order of the journal, so in that of the identifiers.
        let place = self.writers.binary_search_by_key(&id, |(id, _)| *id);
        self.people.get(self.writers.get(place.ok()?)?.1)
    }

    /// A drain fact in words.
    #[must_use]
    pub fn fact(&self, name: &str) -> Option<String> {
        self.drain.summary.facts.get(name).map(ToString::to_string)
    }
}

/// What was charted and what walks read, in the order of the journal.
struct Merged {
    entries: Vec<Entry>,
    writers: Vec<(EntryId, usize)>,
    people: Vec<By>,
}

fn merged(
    mut charted: Vec<(Entry, usize)>,
    mut people: Vec<By>,
    readings: Vec<(Entry, &Written)>,
) -> Merged {
    for (row, answer) in readings {
        let known = people.iter().position(|by| *by == answer.by);
        let writer = known.unwrap_or(people.len());
        if known.is_none() {
            people.push(answer.by.clone());
        }
        charted.push((row, writer));
    }
    charted.sort_by_key(|(entry, _)| entry.id);
    let writers = charted.iter().map(|(entry, by)| (entry.id, *by)).collect();
    let entries = charted.into_iter().map(|(entry, _)| entry).collect();
    Merged {
        entries,
        writers,
        people,
    }
}

/// The place of an entry in the journal, by which the chart knows it.
#[must_use]
pub const fn chart_id(entry: &Written) -> EntryId {
    EntryId(entry.seq.unsigned_abs())
}

/// When the first checklist for connecting was begun on the drain.
fn connected(library: &Library, written: &[Written]) -> Option<Moment> {
    written.iter().find_map(|entry| match &entry.what {
        What::Begun { list, .. } => {
            let list = library.list(library.find(list.as_str())?);
            (list.kind == ListKind::Connect).then_some(entry.seen)
        }
        _ => None,
    })
}

fn patient(facts: &DrainFacts) -> Patient {
    let word = |name: &str| facts.get(name).map(ToString::to_string);
    Patient {
        population: word("population").and_then(|word| Population::parse(&word)),
        weight: match facts.get("weight") {
            Some(Value::Amount(amount)) => amount.to(Unit::Kg).ok().map(|kg| kg.number),
            _ => None,
        },
        drains: word("reason").map(|reason| match reason.as_str() {
            "blood" => Concerns::Blood,
            _ => Concerns::Effusion,
        }),
    }
}

/// Every limit on an output, with the unit's own values where it has them. Those for a child after
/// an operation are watched only where the unit has chosen them.
fn limits(library: &Library) -> Vec<Limit> {
    let after_surgery = matches!(
        library.facts().get("child-drains").and_then(|fact| fact.value.as_ref()),
        Some(Value::Word(word)) if word == "after-chest-surgery"
    );
    let facts = library.facts().iter();
    let limits = facts.filter_map(|(name, fact)| {
        let (Origin::Limit, Some(Value::Amount(value))) = (fact.origin, &fact.value) else {
            return None;
        };
        let FactAbout::Limit {
            population,
            source,
            window,
            hours,
            ..
        } = &fact.about
        else {
            return None;
        };
        if name.as_str().starts_with("postop-child-") && !after_surgery {
            return None;
        }
        let mut limit = Limit::watched(LimitValue {
            name: name.clone(),
            value: *value,
            population: match population {
                For::All => None,
                For::Adult => Some(Population::Adult),
                For::Child => Some(Population::Child),
            },
            means: fact.meaning.clone(),
            source: source.clone(),
            window: *window,
            hours: *hours,
        })?;
        if name.as_str() == "postop-child-later" {
            limit.shape.not_before = span(library, "postop-child-settles")?;
        }
        Some(limit)
    });
    limits.collect()
}

fn times(library: &Library) -> SignTimes {
    SignTimes {
        prolonged: span(library, "leak-prolonged"),
        look_back: span(library, "stop-look-back"),
        settles: span(library, "bubbling-settles"),
    }
}

/// The length of time that a limit has.
fn span(library: &Library, name: &str) -> Option<Span> {
    match library.facts().get(name)?.value {
        Some(Value::Span(span)) => Some(span),
        _ => None,
    }
}

/// The lengths of time by which looks fall due.
fn look_times(library: &Library) -> Result<LookTimes, Failure> {
    let span = |name: &str| {
        span(library, name).ok_or_else(|| {
            let told = format!(
                "the list of limits has no length of time \"{name}\", so that nobody can say when to look"
            );
            Failure::unusable(told).hint("put it back into limits.yaml of the unit's folder")
        })
    };
    Ok(LookTimes {
        phases: [
            (span("looks-first")?, span("looks-first-for")?),
            (span("looks-second")?, span("looks-second-for")?),
            (span("looks-third")?, span("looks-third-for")?),
        ],
        stable_adult: span("looks-stable-adult")?,
        stable_child: span("looks-stable-child")?,
        after_event: [
            span("obs-after-event")?,
            span("obs-second")?,
            span("obs-third")?,
        ],
        while_clamped: span("obs-after-event")?,
        early: span("looks-early")?,
    })
}

fn fill(library: &Library) -> Option<FillLimits> {
    let share = |name| amount(library, name).map(|amount| amount.number);
    Some(FillLimits {
        plan: share("change-plan")?,
        change: share("change-due")?,
    })
}

/// The amount that a limit or local fact has, when it is set.
#[must_use]
pub fn amount(library: &Library, name: &str) -> Option<Amount> {
    match library.facts().get(name)?.value {
        Some(Value::Amount(amount)) => Some(amount),
        _ => None,
    }
}

fn local_number(library: &Library, name: &str, unit: Unit) -> Option<Number> {
    amount(library, name)?.to(unit).ok().map(|a| a.number)
}

/// The moments of day at which a shift begins, as the unit has filled them in: minutes after
/// midnight, in order. Empty when it has not.
#[must_use]
pub fn shift_starts(library: &Library) -> Vec<u32> {
    let Some(Value::Words(words)) = library
        .facts()
        .get("shift-starts")
        .and_then(|fact| fact.value.clone())
    else {
        return Vec::new();
    };
    let read = |word: &str| {
        let (hours, minutes) = word.split_once(':')?;
        let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
        (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
    };
    let mut starts: Vec<u32> = words
        .split([',', ' ', ';'])
        .filter_map(|word| read(word.trim()))
        .collect();
    starts.sort_unstable();
    starts
}

/// Who is called, in one line, from the unit's ladder.
#[must_use]
pub fn who(library: &Library, call: Call) -> String {
    let (level, words) = match call {
        Call::Warn => return "Nobody yet: watch closely, and be ready to call".to_owned(),
        Call::DoctorSoon => (CallLevel::DoctorSoon, "a doctor soon"),
        Call::DoctorNow => (CallLevel::DoctorNow, "a doctor now"),
        Call::Emergency => (CallLevel::Emergency, "the emergency team at once"),
    };
    let rung = |rung: &Rung| format!("{} ({})", rung.who, rung.how);
    match library.ladder(level) {
        [] => format!("{words} (no number is filled in for this unit)"),
        [first] => format!("{words}: {}", rung(first)),
        [first, next, ..] => format!(
            "{words}: {}; no answer in {}: {}",
            rung(first),
            first.wait,
            rung(next)
        ),
    }
}

/// What is told of a limit, a line each. Times stand as the clock on the wall shows them.
#[must_use]
pub fn told(desk: &Desk, series: &Series, happening: &Happening) -> Vec<String> {
    let numbers = series.rests_on(happening.finding.from, happening.finding.to);
    let zone = desk.clock.zone();
    let mut happening = happening.clone();
    for at in [
        &mut happening.at,
        &mut happening.finding.from,
        &mut happening.finding.to,
    ] {
        *at = zone.at(at.to_utc());
    }
    let mut lines = happening.lines();
    for line in &mut lines {
        if line.starts_with("Call: ") {
            *line = format!(
                "Call: {}",
                who(&desk.library, happening.finding.limit.shape.call)
            );
        }
    }
    let shown = match numbers.as_slice() {
        [] => return lines,
        [first, .., last] if numbers.len() > 6 => format!("{} to {}", first.0, last.0),
        all => {
            let all: Vec<String> = all.iter().map(|id| id.0.to_string()).collect();
            all.join(", ")
        }
    };
    let place = lines.len().saturating_sub(1);
    lines.insert(place, format!("Readings: {shown}"));
    lines
}

/// A limit's name.
#[must_use]
pub fn name(happening: &Happening) -> &FactName {
    &happening.finding.limit.value.name
}

/// A length of time in days, hours and minutes.
#[must_use]
pub fn long(delta: chrono::TimeDelta) -> String {
    let minutes = delta.num_minutes().max(0);
    match (minutes / 1440, minutes % 1440 / 60, minutes % 60) {
        (0, 0, minutes) => format!("{minutes} min"),
        (0, hours, 0) => format!("{hours} h"),
        (0, hours, minutes) => format!("{hours} h {minutes} min"),
        (days, 0, _) => format!("{days} d"),
        (days, hours, _) => format!("{days} d {hours} h"),
    }
}

/// How long before now an output is asked for: the last hour, for a rate.
pub const HOUR: Span = Span::minutes(60);
/// The last day.
pub const DAY: Span = Span::minutes(24 * 60);
