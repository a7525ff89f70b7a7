//! The home screen: what is open, what is due, what can be started; urgent first.

use std::time::Duration;

use crate::checklist::model::{ListId, ListKind};
use crate::cli::CAUTION;
use crate::failure::{Failure, Kind};
use crate::journal::Journal;
use crate::screen::{Item, Menu, Picked, Screen, TextQuestion, Tone};
use crate::walk::view::{DueWhat, UrgentKey};

use super::bedside;
use super::chart;
use super::desk::Desk;
use super::drains::{self, Later, Meant};
use super::failures::stopped;
use super::find;
use super::handle::{NamedWalk, open_walks};
use super::logbook::Reader;
use super::screens::{Form, form, with_screen};
use super::standing;
use super::start::describe;

/// What is open and due is looked up again this often while no key comes: it changes with the
/// clock and through other windows.
const LOOK_AGAIN: Duration = Duration::from_secs(30);

/// Shows the home screen until it is left.
///
/// # Errors
/// A failure when the journal cannot be used or the terminal is gone.
pub fn run(desk: &mut Desk) -> Result<(), Failure> {
    let mut journal = desk.journal()?;
    let mut own = desk.clone();
    own.asks = true;
    debug_assert_eq!(form(&desk.common, None), Form::Terminal);
    with_screen(desk, Form::Terminal, |screen| {
        if let Some(fault) = journal.doubt() {
            screen.say(
                Tone::Problem,
                &format!("{fault}. Run: tubeside journal verify"),
            );
        }
        loop {
            let chosen = menu(&own, &journal, screen)?;
            let done = match chosen {
                Chosen::Leave => return Ok(()),
                Chosen::Again => continue,
                Chosen::Find => find_and_start(&mut own, &mut journal, screen),
                Chosen::Drain => at_drain(&mut own, &mut journal, screen),
                Chosen::Resume(walk) => {
                    bedside::resume(&mut own, &mut journal, screen, &walk, false)
                }
                Chosen::Start(list) => start(&mut own, &mut journal, screen, list),
            };
            let done = match done {
                Err(Failure {
                    urgent: Some(list), ..
                }) => match own.library.find(list.as_str()) {
                    Some(list) => start(&mut own, &mut journal, screen, list),
                    None => Ok(()),
                },
                done => done,
            };
            come_back(screen, done)?;
        }
    })
}

/// A paused walk or a wrong choice comes back to the home screen; what makes the tool unusable ends it.
fn come_back(screen: &mut dyn Screen, done: Result<(), Failure>) -> Result<(), Failure> {
    match done {
        Err(failure) if matches!(failure.kind, Kind::Unusable | Kind::Interrupted) => Err(failure),
        Err(failure) => {
            screen.say(Tone::Plain, failure.text().trim_end());
            Ok(())
        }
        Ok(()) => Ok(()),
    }
}

enum Chosen {
    Resume(Box<NamedWalk>),
    Start(ListId),
    Find,
    Drain,
    Again,
    Leave,
}

fn menu(desk: &Desk, journal: &Journal, screen: &mut dyn Screen) -> Result<Chosen, Failure> {
    let open = open_walks(journal)?;
    let mut reader = Reader::of(journal);
    let mut items: Vec<(Item, Chosen)> = Vec::new();
    let mut lines = vec![(Tone::Quiet, CAUTION.to_owned())];
    let standing = standing::home_lines(desk).into_iter();
    lines.extend(standing.map(|line| (Tone::Caution, line)));
    lines.extend(chart::standing_lines(desk, journal)?);
    for walk in open {
        lines.extend(due(desk, &mut reader, &walk)?);
        items.push((
            Item::numbered(&format!("Go on: {}", describe(&walk))),
            Chosen::Resume(Box::new(walk)),
        ));
    }
    let startable = startable(desk).into_iter();
    items.extend(startable.map(|(item, list)| (item, Chosen::Start(list))));
    items.push((
        Item::keyed('f', "Find a checklist by what you see"),
        Chosen::Find,
    ));
    items.push((
        Item::keyed('d', "Drains: choose or open one"),
        Chosen::Drain,
    ));
    let menu = Menu {
        title: desk.library.unit().map_or_else(
            || "tubeside".to_owned(),
            |unit| format!("tubeside, {}", unit.name),
        ),
        lines,
        items: items.iter().map(|(item, _)| item.clone()).collect(),
        urgent: UrgentKey::all(&desk.library, |_| false),
        look_again: Some(LOOK_AGAIN),
        leave: Some("Leave".to_owned()),
    };
    match screen.choose(&menu).map_err(|why| stopped(&why))? {
        Picked::Urgent(list) => match desk.library.find(list.as_str()) {
            Some(list) => Ok(Chosen::Start(list)),
            None => Ok(Chosen::Find),
        },
        Picked::Leave => Ok(Chosen::Leave),
        Picked::Again => Ok(Chosen::Again),
        Picked::Item(index) if index < items.len() => Ok(items.swap_remove(index).1),
        Picked::Item(_) => Ok(Chosen::Leave),
    }
}

/// What is overdue or comes due in a walk that is open.
fn due(
    desk: &Desk,
    reader: &mut Reader<'_>,
    walk: &NamedWalk,
) -> Result<Vec<(Tone, String)>, Failure> {
    let Ok(brought) = reader.bring(walk.summary.walk) else {
        return Ok(vec![(
            Tone::Problem,
            format!(
                "{} cannot be brought back; run: tubeside journal verify",
                walk.name
            ),
        )]);
    };
    let now = desk.now();
    let view = brought.walk.view(now);
    let mut lines = Vec::new();
    for due in brought.walk.due() {
        let what = match due.what {
            DueWhat::WaitOver => "a wait is over".to_owned(),
            DueWhat::NoAnswer { call } => {
                format!("call {call} has no answer: ring the next person")
            }
            DueWhat::DutyOpen { duty } => view
                .duties
                .iter()
                .find(|open| open.duty == duty)
                .map_or_else(
                    || duty.to_string(),
                    |open| format!("{}: {}", open.open, open.close),
                ),
            DueWhat::Recheck => "look again".to_owned(),
        };
        let at = desk.clock.zone().at(due.at.to_utc());
        let tone = if at <= now {
            Tone::Overdue
        } else {
            Tone::Plain
        };
        lines.push((
            tone,
            format!("{} {}: {what}", walk.name, at.format("%H:%M")),
        ));
    }
    Ok(lines)
}

fn start(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    list: ListId,
) -> Result<(), Failure> {
    if desk.library.list(list).kind == ListKind::Urgent {
        return bedside::start(desk, journal, screen, list, None);
    }
    if desk.by.is_empty() {
        bedside::ask_writer(desk, screen)?;
    }
    let drain = match drains::choose(desk, journal, screen, Later::May)? {
        Meant::Back => return Ok(()),
        meant => meant.drain(),
    };
    bedside::start(desk, journal, screen, list, drain.as_ref())
}

/// Chooses or opens a drain, and then what is to be done at it.
fn at_drain(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
) -> Result<(), Failure> {
    if desk.by.is_empty() {
        bedside::ask_writer(desk, screen)?;
    }
    let Meant::This(drain) = drains::choose(desk, journal, screen, Later::Not)? else {
        return Ok(());
    };
    let startable = startable(desk);
    let menu = Menu {
        title: drains::in_words(&drain),
        items: startable.iter().map(|(item, _)| item.clone()).collect(),
        urgent: UrgentKey::all(&desk.library, |_| false),
        leave: Some("Back".to_owned()),
        ..Menu::default()
    };
    let list = match screen.choose(&menu).map_err(|why| stopped(&why))? {
        Picked::Item(index) => startable.get(index).map(|(_, list)| *list),
        Picked::Urgent(list) => desk.library.find(list.as_str()),
        Picked::Leave | Picked::Again => None,
    };
    match list {
        Some(list) => bedside::start(desk, journal, screen, list, Some(&drain)),
        None => Ok(()),
    }
}

/// What a shift starts most, with its keys.
fn startable(desk: &Desk) -> Vec<(Item, ListId)> {
    let keyed = [
        ("prepare", 'p'),
        ("connect", 'c'),
        ("trouble", 't'),
        ("round", 'r'),
    ];
    let found = keyed.into_iter().filter_map(|(name, key)| {
        let list = desk.library.find(name)?;
        Some((Item::keyed(key, &desk.library.list(list).title), list))
    });
    found.collect()
}

fn find_and_start(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
) -> Result<(), Failure> {
    let question = TextQuestion {
        question: "What do you see?",
        hint: Some("in any words, like: no swing"),
        may_be_open: false,
        check: &|_| Ok(()),
    };
    let words = screen.text(&question).map_err(|why| stopped(&why))?;
    let found = find::matches(&desk.library, &[words]);
    let found: Vec<_> = found.into_iter().take(5).collect();
    if found.is_empty() {
        screen.say(
            Tone::Problem,
            "No checklist speaks of that. If the patient is worse, press the urgent key.",
        );
        return Ok(());
    }
    let menu = Menu {
        title: "Which of these?".to_owned(),
        items: found
            .iter()
            .map(|one| Item::numbered(&one.title).detail(&one.sign))
            .collect(),
        urgent: UrgentKey::all(&desk.library, |_| false),
        leave: Some("Back".to_owned()),
        ..Menu::default()
    };
    let name = match screen.choose(&menu).map_err(|why| stopped(&why))? {
        Picked::Item(index) => found.get(index).map(|one| one.name.clone()),
        Picked::Urgent(list) => Some(list.to_string()),
        Picked::Leave | Picked::Again => None,
    };
    match name.and_then(|name| desk.library.find(&name)) {
        Some(list) => start(desk, journal, screen, list),
        None => Ok(()),
    }
}
