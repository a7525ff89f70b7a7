//! Puts entries into the chart, and tells at once what they mean: limits, signs, suction, the
//! drainage unit filling.

use crate::chart::fill::{Fullness, SealCare, fullness, in_words, reached, seal_care};
use crate::chart::limit::{Change, Happening, Judgement};
use crate::chart::pressure::SuctionValues;
use crate::chart::reading::Reading;
use crate::chart::sign::Signed;
use crate::chart::{ChartEvent, Entry, EntryId, Problem, Series, What};
use crate::failure::Failure;
use crate::journal::{self, Journal, NewEntry};
use crate::moment::Moment;
use crate::record::facts::TOLD_BY_CHART;
use crate::screen::Tone;
use crate::units::{Number, Unit};

use super::super::charting::{Chart, HOUR, amount, name, told};
use super::super::desk::Desk;
use super::super::failures::journal_failure;
use super::super::handle::{NamedDrain, find_drain};

/// What is to be written: when it was seen, and what.
pub type New = (Moment, What);

/// The entries as they would stand in the chart, under numbers above every other.
#[must_use]
pub fn as_entries(chart: &Chart, new: &[New], now: Moment) -> Vec<Entry> {
    let last = chart.entries.iter().map(|entry| entry.id.0).max();
    let first = last.unwrap_or(0).saturating_add(1);
    let entries = new.iter().zip(first..).map(|((at, what), id)| Entry {
        id: EntryId(id),
        at: *at,
        written_at: now,
        what: what.clone(),
    });
    entries.collect()
}

/// The problems that these entries would bring.
#[must_use]
pub fn new_problems(chart: &Chart, series: &Series) -> Vec<Problem> {
    let old = chart.series.problems();
    let new = series.problems().iter();
    new.filter(|problem| !old.contains(problem))
        .copied()
        .collect()
}

/// Writes the entries, all or none, with what they make of the limits. Gives what is to be told.
///
/// # Errors
/// A failure when the journal could not keep them; then nothing is written.
pub fn store(
    desk: &Desk,
    journal: &mut Journal,
    chart: &Chart,
    new: &[New],
    note: Option<String>,
) -> Result<Vec<(Tone, String)>, Failure> {
    let now = desk.now();
    let foreseen = chart.with(&as_entries(chart, new, now));
    let before = (chart.judged(&chart.series), chart.signs(&chart.series));
    let news = new_happenings(&chart.judged(&foreseen), &before.0);
    let mut entries: Vec<NewEntry> = new
        .iter()
        .map(|(at, what)| entry(desk, chart, *at, journal::What::Charted(what.clone())))
        .collect();
    entries.extend(note.map(|text| entry(desk, chart, now, journal::What::DrainNote { text })));
    entries.extend(consequences(desk, chart, &news));
    journal
        .append_all(&entries)
        .map_err(|why| journal_failure(&why))?;
    // Read again, so that what is told names the entries as the journal numbers them.
    let drain = find_drain(journal, &chart.drain.name)?;
    let after = Chart::of(desk, journal, drain)?;
    tell(desk, &after, &before, new)
}

/// After an answer of a walk that belongs in the chart, the entry of the journal with that place:
/// writes down what it makes of the limits, and gives what is to be told.
///
/// # Errors
/// A failure when the chart cannot be read, or the journal could not keep what is told.
pub fn after_answer(
    desk: &Desk,
    journal: &mut Journal,
    drain: &NamedDrain,
    seq: i64,
) -> Result<Vec<(Tone, String)>, Failure> {
    let earlier = Chart::until(desk, journal, drain.clone(), seq - 1, desk.clock.zone())?;
    let after = Chart::of(desk, journal, drain.clone())?;
    let before = (
        earlier.judged(&earlier.series),
        earlier.signs(&earlier.series),
    );
    let news = new_happenings(&after.judged(&after.series), &before.0);
    let entries = consequences(desk, &after, &news);
    if !entries.is_empty() {
        journal
            .append_all(&entries)
            .map_err(|why| journal_failure(&why))?;
    }
    let mut lines = tell(desk, &after, &before, &[])?;
    let problems = new_problems(&earlier, &after.series);
    lines.extend(problems.iter().map(|p| (Tone::Caution, p.to_string())));
    Ok(lines)
}

fn entry(desk: &Desk, chart: &Chart, seen: Moment, what: journal::What) -> NewEntry {
    desk.entry(Some(chart.drain.summary.drain), seen, what)
}

/// What became of the limits that was not said before. Something that stands at the same reading
/// as before is not said again, even when a late entry has changed its value a little.
fn new_happenings(after: &Judgement, before: &Judgement) -> Vec<Happening> {
    let key = |h: &Happening| (name(h).clone(), h.change, h.at.timestamp());
    let known: std::collections::HashSet<_> = before
        .happened
        .iter()
        .map(|h| (name(h).to_string(), h.change.word(), h.at.timestamp()))
        .collect();
    let new = after.happened.iter().filter(|h| {
        let (name, change, at) = key(h);
        !known.contains(&(name.to_string(), change.word(), at))
    });
    new.cloned().collect()
}

/// What is written beside the entries: that a limit was met, so that the drain is looked at more
/// often, and what was said, so that it is not forgotten. Of many, what stands at the end.
fn consequences(desk: &Desk, chart: &Chart, news: &[Happening]) -> Vec<NewEntry> {
    let mut entries = Vec::new();
    let mut last: Vec<&Happening> = Vec::new();
    for happening in news {
        last.retain(|other| name(other) != name(happening));
        last.push(happening);
    }
    for happening in last {
        if matches!(happening.change, Change::Met | Change::Worse) {
            let what = journal::What::Charted(What::Event(ChartEvent::LimitReached));
            let entry = entry(desk, chart, happening.at, what);
            if !entries
                .iter()
                .any(|e: &NewEntry| e.seen == entry.seen && e.what == entry.what)
            {
                entries.push(entry);
            }
        }
        let mut text = told(desk, &chart.series, happening);
        // The numbers of entries are not yet known here.
        text.retain(|line| !line.starts_with("Readings: "));
        let text = format!("{TOLD_BY_CHART}{}", text.join(". "));
        let note = journal::What::DrainNote { text };
        entries.push(entry(desk, chart, happening.at, note));
    }
    entries
}

/// What is told after entries were stored.
fn tell(
    desk: &Desk,
    chart: &Chart,
    before: &(Judgement, Vec<Signed>),
    new: &[New],
) -> Result<Vec<(Tone, String)>, Failure> {
    let judged = chart.judged(&chart.series);
    let mut news = new_happenings(&judged, &before.0);
    // Of many, such as after an import, what stands at the end.
    if new.len() > 3 {
        let standing = judged.standing();
        news.retain(|happening| standing.contains(&happening));
    }
    let mut lines = of_limits(desk, chart, &news);
    for refused in &judged.refused {
        if !before.0.refused.contains(refused) || new.len() == 1 {
            let text = format!("{} is not watched: {}", refused.limit, refused.why);
            lines.push((Tone::Caution, text));
        }
    }
    let known = |sign: &&Signed| {
        before
            .1
            .iter()
            // The reading of a walk keeps its number and takes the time of its level.
            .any(|old| old.sign == sign.sign && (old.at == sign.at || old.reading == sign.reading))
    };
    let signs = chart.signs(&chart.series);
    let fresh: Vec<&Signed> = signs.iter().filter(|sign| !known(sign)).collect();
    for sign in fresh.iter().rev().take(3).rev() {
        let text = format!(
            "{}, at {}. Look for the cause: tubeside start {} --drain {}",
            sign.sign,
            sign.at.format("%d %b %H:%M"),
            sign.sign.checklist(),
            chart.drain.name
        );
        lines.push((Tone::Caution, text));
    }
    if let Some((at, What::Reading(reading))) = new.last() {
        lines.extend(of_reading(desk, chart, *at, reading));
    }
    Ok(lines)
}

/// What became of the limits, and the checklists to go on by.
fn of_limits(desk: &Desk, chart: &Chart, news: &[Happening]) -> Vec<(Tone, String)> {
    let mut lines = Vec::new();
    for happening in news {
        let tone = match happening.change {
            Change::Met | Change::Worse => Tone::Problem,
            Change::Doubtful => Tone::Caution,
            Change::Cleared => Tone::Plain,
        };
        // What was met and who is called stand out from what it rests on.
        let stands_out = |line: &str| line.starts_with("Call: ") || line.starts_with("Limit ");
        let told = told(desk, &chart.series, happening).into_iter();
        lines.extend(told.map(|line| match stands_out(&line) {
            true => (tone, line),
            false => (Tone::Plain, line),
        }));
    }
    let met = |h: &&Happening| matches!(h.change, Change::Met | Change::Worse);
    let lists = news.iter().filter(met).map(|h| h.finding.limit.checklist());
    let lists: std::collections::BTreeSet<_> = lists.collect();
    lines.extend(lists.into_iter().map(|list| {
        let go_by = format!("Go by: tubeside start {list} --drain {}", chart.drain.name);
        (Tone::Plain, go_by)
    }));
    lines
}

/// What the last reading itself says.
fn of_reading(desk: &Desk, chart: &Chart, at: Moment, reading: &Reading) -> Vec<(Tone, String)> {
    let mut lines = Vec::new();
    let values = SuctionValues {
        ordered: reading.suction_ordered.or_else(|| ordered(chart)),
        set: reading.suction_set,
        indicated: reading.suction_indicated,
    };
    // Without the limit any shortfall is told.
    let short = amount(&desk.library, "suction-short").map_or(Number::whole(0), |a| a.number);
    let differs = values.disagreements(short).unwrap_or_default();
    lines.extend(differs.into_iter().map(|d| (Tone::Caution, d.to_string())));
    lines.extend(of_seal(desk, chart, reading).map(|text| (Tone::Caution, text)));
    let is_last = chart
        .series
        .last_level()
        .is_some_and(|(entry, _)| entry.at.timestamp() == at.timestamp());
    if is_last {
        lines.extend(
            fill_lines(chart)
                .into_iter()
                .map(|text| (Tone::Caution, text)),
        );
    }
    lines
}

/// Suction as it is ordered, by what is known of the drain.
fn ordered(chart: &Chart) -> Option<crate::units::Suction> {
    use crate::checklist::model::Value;
    let facts = &chart.drain.summary.facts;
    match (facts.get("suction"), facts.get("suction-order")) {
        (Some(Value::Word(word)), _) if word == "none" => {
            let none = crate::units::Amount::new(Number::whole(0), Unit::CmH2O);
            crate::units::Suction::from_entry(none).ok()
        }
        (_, Some(Value::Amount(amount))) => crate::units::Suction::from_entry(*amount).ok(),
        _ => None,
    }
}

fn of_seal(desk: &Desk, chart: &Chart, reading: &Reading) -> Option<String> {
    let depth = reading.seal_depth?;
    let limit = |name| amount(&desk.library, name)?.to(Unit::Cm).ok();
    let (low, high) = (limit("seal-low")?.number, limit("seal-high")?.number);
    let each = amount(&desk.library, "seal-ml-per-cm").map(|each| each.number);
    let (wanted, list) = match depth {
        depth if depth < low => (low, "seal-low"),
        depth if depth > high => (high, "seal-high"),
        _ => return None,
    };
    let care = match seal_care(depth, wanted, each) {
        Ok(SealCare::Add(volume)) => {
            format!("{volume} mL of sterile water bring it to {wanted} cm")
        }
        Ok(SealCare::TooHigh(volume)) => {
            format!("{volume} mL are to come off to reach {wanted} cm")
        }
        Ok(SealCare::Right) => return None,
        Err(why) => why.to_string(),
    };
    Some(format!(
        "The water seal stands at {depth} cm, outside {low} to {high} cm; {care}. Go by: tubeside \
         start {list} --drain {}",
        chart.drain.name
    ))
}

/// Whether the drainage unit is to be changed, and when it will be full.
#[must_use]
pub fn fill_lines(chart: &Chart) -> Vec<String> {
    let (Some((entry, level)), Some(fill)) = (chart.series.last_level(), chart.fill) else {
        return Vec::new();
    };
    let full = match fullness(level, chart.capacity, fill) {
        Ok(full) => full,
        Err(_) => return Vec::new(),
    };
    let capacity = chart.capacity.unwrap_or(Number::whole(0));
    match full {
        Fullness::Change => {
            return vec![format!(
                "Change the drainage unit: {level} mL of {capacity} mL, {}% or more",
                fill.change
            )];
        }
        Fullness::Plan => {
            return vec![format!(
                "Plan to change the drainage unit: {level} mL of {capacity} mL, {}% or more",
                fill.plan
            )];
        }
        Fullness::Room => {}
    }
    let Some(rate) = chart.series.last(HOUR, entry.at).per_hour() else {
        return Vec::new();
    };
    let half = chart.start.graduation.map_or(Number::whole(0), |mark| {
        Number::from_milli(mark.milli() / 2)
    });
    let when = |share| reached(entry.at, (level, half), rate, share, chart.capacity).ok();
    let (Some(plan), Some(change)) = (when(fill.plan), when(fill.change)) else {
        return Vec::new();
    };
    if rate.nominal == Number::whole(0) {
        return Vec::new();
    }
    vec![format!(
        "At the rate of the last hour it is {}% full {} and {}% full {}",
        fill.plan,
        in_words(plan, entry.at),
        fill.change,
        in_words(change, entry.at)
    )]
}
