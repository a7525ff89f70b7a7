//! `handover`: one nurse gives a drain, another accepts it.

use crate::cli::HandoverArgs;
use crate::failure::Failure;
use crate::journal::{DrainId, Entry, Journal, What};
use crate::record::facts::{Acceptance, DueItem, Handing, HandoverFacts};
use crate::walk::view::DueWhat;

use super::amend::keep;
use super::chart;
use super::desk::{Desk, writer};
use super::drains::need_writer;
use super::failures::journal_failure;
use super::gather::{Gathered, Notes, gather};
use super::handle::{NamedDrain, NamedWalk, find_drain, walks_on};
use super::logbook::Brought;
use super::out;
use super::personal;

/// Writes down that a drain was handed over, and shows what is open.
///
/// # Errors
/// A failure when the drain is not known, or who gives or accepts cannot be read.
pub fn run(desk: &Desk, args: &HandoverArgs) -> Result<(), Failure> {
    need_writer(desk)?;
    let to = writer(&args.to)?;
    if to == desk.by {
        return Err(Failure::usage("who gives and who accepts are the same")
            .hint("--by is who gives, --to is who accepts"));
    }
    let read_back = args.read_back.as_deref().unwrap_or("").trim().to_owned();
    personal::warn(&read_back);
    let mut journal = desk.journal()?;
    let drain = find_drain(&journal, &args.drain)?;
    let what = What::HandedOver {
        to: to.clone(),
        read_back: read_back.clone(),
    };
    keep(desk, &mut journal, Some(drain.summary.drain), None, what)?;
    out::wrapped(&format!(
        "{} is handed over by {} to {to}",
        drain.name, desk.by
    ))?;
    if read_back.is_empty() {
        out::wrapped("no read-back is recorded; next time add --read-back TEXT")?;
    }
    let chosen = on_drain(&journal, &drain)?;
    let gathered = gather(desk, &journal, &chosen, Some(&drain), Notes::All, i64::MAX)?;
    show_open(&facts(desk, &journal, &gathered)?)?;
    out::wrapped(&format!(
        "the record: tubeside record handover --drain {}",
        drain.name
    ))
}

fn show_open(facts: &HandoverFacts) -> Result<(), Failure> {
    let duties = facts
        .duties
        .iter()
        .map(|duty| format!("open: {} since {}", duty.open, duty.opened));
    let calls = facts.calls.iter().map(|call| {
        format!(
            "open: call to {} of {}, nobody answered",
            call.who, call.made
        )
    });
    let due = facts
        .due
        .iter()
        .map(|due| format!("due {}: {}", due.at, due.what));
    let undone = facts
        .undone
        .iter()
        .map(|row| format!("left undone: {} {}", row.what, row.reason));
    for line in duties.chain(calls).chain(due).chain(undone) {
        out::wrapped(&format!("  {line}"))?;
    }
    Ok(())
}

/// Every walk on a drain.
///
/// # Errors
/// A failure when the journal cannot be read.
pub fn on_drain(journal: &Journal, drain: &NamedDrain) -> Result<Vec<NamedWalk>, Failure> {
    walks_on(journal, drain.summary.drain)
}

/// The facts of the handover of what was gathered.
///
/// # Errors
/// A failure when the journal cannot be read.
pub fn facts(
    desk: &Desk,
    journal: &Journal,
    gathered: &Gathered,
) -> Result<HandoverFacts, Failure> {
    let handing = match &gathered.drain {
        Some(drain) => {
            let entries = journal
                .drain_entries(&drain.summary.drain)
                .map_err(|why| journal_failure(&why))?;
            handing(drain.summary.drain, &entries, gathered)
        }
        None => Handing::default(),
    };
    let (stories, header) = (&gathered.stories, &gathered.header);
    Ok(match chart::gathered(desk, journal, gathered)? {
        Some(chart) => chart::charted(desk, &chart, |charted| {
            HandoverFacts::new(stories, header, &handing, Some(charted))
        }),
        None => HandoverFacts::new(stories, header, &handing, None),
    })
}

fn handing(drain: DrainId, entries: &[Entry], gathered: &Gathered) -> Handing {
    let mut handing = Handing {
        due: due(&gathered.brought),
        ..Handing::default()
    };
    let upto = gathered.header.journal.sequence;
    let read = entries
        .iter()
        .filter(|entry| u64::try_from(entry.seq).is_ok_and(|seq| seq <= upto));
    for entry in read.filter(|entry| entry.drain == Some(drain)) {
        match &entry.what {
            What::DrainOpened { .. } => handing.opened = Some(entry.seen),
            What::DrainClosed { how } => handing.closed = Some((entry.seen, how.clone())),
            What::HandedOver { to, read_back } => {
                handing.accepted.push(Acceptance {
                    from: entry.by.to_string(),
                    to: to.to_string(),
                    at: entry.written,
                    read_back: read_back.clone(),
                });
                handing.written_since = 0;
            }
            What::RecordWritten { .. } => {}
            _ => handing.written_since += 1,
        }
    }
    handing
}

/// What falls due in these walks. To look again counts for the walk that was last written to.
fn due(brought: &[Brought]) -> Vec<DueItem> {
    let last = brought
        .iter()
        .enumerate()
        .max_by_key(|(_, one)| one.entries.last().map(|entry| entry.seq))
        .map(|(index, _)| index);
    let mut items = Vec::new();
    for (walk, one) in brought.iter().enumerate() {
        for due in one.walk.due() {
            if due.what == DueWhat::Recheck && Some(walk) != last {
                continue;
            }
            let (what, duty) = words(one, &due.what);
            items.push(DueItem {
                walk,
                at: due.at,
                what,
                duty,
            });
        }
    }
    items
}

fn words(brought: &Brought, due: &DueWhat) -> (String, Option<String>) {
    match due {
        DueWhat::WaitOver => ("a wait is over".to_owned(), None),
        DueWhat::NoAnswer { call } => (
            format!("call {call} has no answer: ring the next person"),
            None,
        ),
        DueWhat::Recheck => ("look again".to_owned(), None),
        DueWhat::DutyOpen { duty } => {
            let known = brought.walk.library().duty(duty);
            let words = known.map_or_else(
                || duty.to_string(),
                |known| format!("{}: {}", known.open, known.close),
            );
            (words, Some(duty.to_string()))
        }
    }
}
