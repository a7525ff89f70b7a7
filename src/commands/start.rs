//! `start LIST` and `resume`.

use crate::checklist::model::{ListId, ListKind};
use crate::cli::{Cli, Command, Common, ResumeArgs, StartArgs};
use crate::failure::{Failure, Kind};
use crate::journal::{Journal, WalkState};
use crate::names::ListName;
use crate::screen::{Item, Menu, Picked, Screen};

use super::bedside;
use super::desk::Desk;
use super::drains::{self, Later, Meant};
use super::failures::stopped;
use super::find;
use super::from_paper;
use super::handle::{NamedDrain, NamedWalk, find_drain, find_walk, open_walks};
use super::personal::caution;
use super::screens::{Form, form, with_screen};

/// Starts a checklist.
///
/// # Errors
/// A failure when the list or the drain is not known, or as the walk ends.
pub fn start(desk: &mut Desk, args: &StartArgs) -> Result<(), Failure> {
    let list = known_list(desk, &args.list)?;
    let form = form(&desk.common, args.answers.as_deref());
    let urgent = desk.library.list(list).kind == ListKind::Urgent;
    if desk.by.is_empty() && (!urgent || args.from_paper) && form != Form::Terminal {
        return Err(Failure::usage("who writes is not given").hint("add --by \"AB, RN\""));
    }
    let mut journal = desk.journal()?;
    let drain = match &args.drain {
        Some(text) => Some(open_drain(&journal, text)?),
        None => None,
    };
    in_form(desk, form, |desk, screen| {
        let drain = match drain {
            None if (!urgent || args.from_paper) && form == Form::Terminal => {
                if desk.by.is_empty() {
                    bedside::ask_writer(desk, screen)?;
                }
                match drains::choose(desk, &mut journal, screen, Later::May)? {
                    Meant::Back => {
                        return Err(Failure::new(Kind::Stopped, "nothing was started"));
                    }
                    meant => meant.drain(),
                }
            }
            drain => drain,
        };
        if !args.from_paper {
            return bedside::start(desk, &mut journal, screen, list, drain.as_ref());
        }
        let paper = from_paper::ask(desk, screen, args.paper_by.as_deref())?;
        let what = (list, drain.as_ref());
        bedside::start_from_paper(desk, &mut journal, screen, what, paper)
    })
}

/// Starts an urgent checklist that was asked for by its key, with nothing asked first.
///
/// # Errors
/// As the walk ends.
pub fn urgent(desk: &mut Desk, list: &ListName) -> Result<(), Failure> {
    let list = known_list(desk, list.as_str())?;
    let mut journal = desk.journal()?;
    in_form(desk, Form::Terminal, |desk, screen| {
        bedside::start(desk, &mut journal, screen, list, None)
    })
}

/// The desk with the shipped checklists alone, when the unit's folder cannot be used and an urgent
/// list is to be started: whatever is wrong there, that must not keep it from starting.
///
/// # Errors
/// The failure as it was, for anything else.
pub fn urgent_all_the_same(cli: &Cli, failure: Failure) -> Result<Desk, Failure> {
    let Some(Command::Start(args)) = &cli.command else {
        return Err(
            failure.hint("urgent lists start all the same, as shipped: tubeside start LIST")
        );
    };
    let shipped = Common {
        local: None,
        ..cli.common.clone()
    };
    let desk = Desk::open(&shipped)?;
    let list = desk
        .library
        .find(&args.list)
        .map(|list| desk.library.list(list));
    if list.is_none_or(|list| list.kind != ListKind::Urgent) {
        return Err(failure);
    }
    caution(
        "the unit's own checklists cannot be used (tubeside local check says why): this is the \
         shipped list, without the unit's numbers to ring",
    );
    Ok(desk)
}

/// Goes on with a walk.
///
/// # Errors
/// A failure when there is none, or as the walk ends.
pub fn resume(desk: &mut Desk, args: &ResumeArgs) -> Result<(), Failure> {
    let form = form(&desk.common, args.answers.as_deref());
    if desk.by.is_empty() && form != Form::Terminal {
        return Err(Failure::usage("who writes is not given").hint("add --by \"AB, RN\""));
    }
    let mut journal = desk.journal()?;
    let named = match &args.walk {
        Some(text) => Some(find_walk(&journal, text)?),
        None => None,
    };
    in_form(desk, form, |desk, screen| {
        let named = match named {
            Some(named) => named,
            None => choose_walk(&journal, screen)?,
        };
        if named.summary.state == WalkState::Over {
            return Err(Failure::usage(format!("{} is over", named.name))
                .hint("write its record with: tubeside record, or start a new walk"));
        }
        bedside::resume(desk, &mut journal, screen, &named, args.take_over)
    })
}

/// The desk is needed both by the screen, to read times, and by the work, which may learn who
/// writes; so the screen gets a desk of its own that shares the clock.
pub(super) fn in_form(
    desk: &mut Desk,
    form: Form<'_>,
    work: impl FnOnce(&mut Desk, &mut dyn Screen) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let mut own = desk.clone();
    own.asks = form == Form::Terminal;
    with_screen(desk, form, |screen| work(&mut own, screen))
}

/// The checklist of that name.
///
/// # Errors
/// A usage failure that names the nearest, or how to find one.
pub fn known_list(desk: &Desk, name: &str) -> Result<ListId, Failure> {
    if let Some(list) = desk.library.find(name) {
        return Ok(list);
    }
    let mut failure = Failure::usage(format!("there is no checklist \"{name}\""));
    let found = find::matches(&desk.library, &[name.to_owned()]);
    if let Some(best) = found.first() {
        failure = failure.hint(format!("perhaps: tubeside start {}", best.name));
    }
    Err(failure.hint("find one by what you see: tubeside find WORDS"))
}

fn open_drain(journal: &Journal, text: &str) -> Result<NamedDrain, Failure> {
    let drain = find_drain(journal, text)?;
    match &drain.summary.closed {
        Some((when, how)) => Err(Failure::usage(format!(
            "{} was closed on {}: {how}",
            drain.name,
            when.format("%d %b at %H:%M")
        ))
        .hint("open a new drain: tubeside drain new")),
        None => Ok(drain),
    }
}

/// The walk that is open, or a choice among several.
fn choose_walk(journal: &Journal, screen: &mut dyn Screen) -> Result<NamedWalk, Failure> {
    let mut open = open_walks(journal)?;
    match open.len() {
        0 => Err(Failure::usage("nothing is paused or interrupted")
            .hint("start a checklist: tubeside start LIST")),
        1 => Ok(open.remove(0)),
        _ => {
            let menu = Menu {
                title: "Which walk goes on?".to_owned(),
                items: open
                    .iter()
                    .map(|walk| Item::numbered(&describe(walk)))
                    .collect(),
                leave: Some("Leave".to_owned()),
                ..Menu::default()
            };
            match screen.choose(&menu).map_err(|why| stopped(&why))? {
                Picked::Item(index) if index < open.len() => Ok(open.swap_remove(index)),
                _ => Err(Failure::new(Kind::Stopped, "no walk was chosen")),
            }
        }
    }
}

/// A walk in one line.
#[must_use]
pub fn describe(walk: &NamedWalk) -> String {
    let list = walk
        .summary
        .list
        .as_ref()
        .map_or("a checklist", |list| list.as_str());
    let state = match walk.summary.state {
        WalkState::Paused => "paused",
        WalkState::Going => "interrupted, or open elsewhere",
        WalkState::Over => "over",
    };
    format!(
        "{} {list}, {state} since {}, last by {}",
        walk.name,
        walk.summary.last_written.format("%H:%M on %d %b"),
        walk.summary.last_by
    )
}
