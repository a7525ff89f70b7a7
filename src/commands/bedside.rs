//! From a chosen checklist to a walk that is over or paused, with everything in the journal.

use crate::checklist::drain_fact::DrainFacts;
use crate::checklist::model::{ListId, ListKind};
use crate::cli::CAUTION;
use crate::failure::{Failure, Kind};
use crate::journal::{DrainId, Held, Hold, Journal, WalkId};
use crate::screen::{Screen, Tone};
use crate::walk::event::{Event, Happening};
use crate::walk::input::Input;
use crate::walk::{OnPaper, Walk};

use super::amend::attach;
use super::chart::after_answer;
use super::desk::{Desk, writer};
use super::drains::{self, Later};
use super::drive::{Keep, Left, Times, drive, record};
use super::failures::{journal_failure, stopped};
use super::from_paper::{self, FromPaper};
use super::handle::{NamedDrain, NamedWalk, drains as drains_named, open_walks};
use super::logbook::{Beginning, Logbook, Reader, begin};
use super::standing;

/// Starts a checklist and walks it. Urgent ones ask for nothing first: the drain and the writer
/// are asked for when it is over or paused.
///
/// # Errors
/// A failure when the walk was stopped before its end or the journal could not be used.
pub fn start(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    list: ListId,
    drain: Option<&NamedDrain>,
) -> Result<(), Failure> {
    start_on(desk, journal, screen, (list, drain), None)
}

/// Enters a checklist that was walked on paper.
///
/// # Errors
/// As for [`start`].
pub fn start_from_paper(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    what: (ListId, Option<&NamedDrain>),
    paper: OnPaper,
) -> Result<(), Failure> {
    start_on(desk, journal, screen, what, Some(paper))
}

fn start_on(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    (list, drain): (ListId, Option<&NamedDrain>),
    paper: Option<OnPaper>,
) -> Result<(), Failure> {
    // What was done on paper is over: nothing about its entering is urgent.
    let urgent = desk.library.list(list).kind == ListKind::Urgent && paper.is_none();
    // What was already done on paper is entered whatever the approval.
    if paper.is_none() {
        standing::may_start(desk, list)?;
    }
    if !urgent && desk.by.is_empty() {
        ask_writer(desk, screen)?;
    }
    let drain_hold = hold(desk, journal, drain.map(|drain| drain.summary.drain), None);
    // An urgent list never waits for another window: it goes on without the hold.
    let _hold = if urgent {
        drain_hold.unwrap_or(None)
    } else {
        drain_hold?
    };
    if let Some(drain) = drain {
        refuse_second_walk(journal, drain, urgent)?;
    }
    let facts = drain.map_or_else(DrainFacts::new, |drain| drain.summary.facts.clone());
    let now = desk.now();
    let note = paper
        .as_ref()
        .map(|paper| from_paper::note(paper, &desk.by));
    let (id, mut walk) = begin(
        journal,
        Beginning {
            library: &desk.library,
            shelf: &desk.shelf,
            approval: standing::words(desk),
            list,
            drain: drain.map(|drain| drain.summary.drain),
            facts,
            session: desk.session,
            by: desk.by.clone(),
            rehearsal: desk.clock.is_rehearsal(),
            paper,
        },
        now,
    )?;
    // A walk without a drain is held by itself, so that another window is told.
    let _walk_hold = match drain {
        Some(_) => None,
        None => hold(desk, journal, None, Some(id)).unwrap_or(None),
    };
    match note {
        Some(text) => add_note(desk, journal, id, &mut walk, text)?,
        None if !urgent => screen.say(Tone::Quiet, CAUTION),
        None => {}
    }
    walk_on(desk, journal, screen, id, walk)
}

/// Goes on with a walk that was paused or interrupted.
///
/// # Errors
/// A failure when another window holds it, when it cannot be replayed, or as for [`start`].
pub fn resume(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    named: &NamedWalk,
    take_over: bool,
) -> Result<(), Failure> {
    let id = named.summary.walk;
    let held = named.summary.drain.map_or(Held::Walk(id), Held::Drain);
    let _hold = if take_over {
        journal.seize(held, desk.session, &desk.by, desk.now())
    } else {
        journal.hold(held, desk.session, &desk.by, desk.now())
    }
    .map_err(|why| journal_failure(&why))?;
    if desk.by.is_empty() {
        ask_writer(desk, screen)?;
    }
    journal
        .take_over(id, desk.session, &desk.by, desk.now(), take_over)
        .map_err(|why| journal_failure(&why))?;
    let mut walk = Reader::of(journal).bring(id)?.walk;
    let event = walk
        .prepare(Input::Resume, desk.now())
        .map_err(|refused| Failure::usage(format!("{}: {refused}", named.name)))?;
    let mut book = logbook(desk, journal, id);
    record(&mut walk, &event, &mut book)?;
    walk_on(desk, journal, screen, id, walk)
}

/// Asks who writes, until it can be read.
///
/// # Errors
/// A failure when no reply can be had.
pub fn ask_writer(desk: &mut Desk, screen: &mut dyn Screen) -> Result<(), Failure> {
    let check = |text: &str| writer(text).map(drop).map_err(|why| why.message);
    let question = crate::screen::TextQuestion {
        question: "Who writes? Initials and role",
        hint: Some("like AB, RN"),
        may_be_open: false,
        check: &check,
    };
    let text = screen.text(&question).map_err(|why| stopped(&why))?;
    desk.by = writer(&text)?;
    Ok(())
}

fn logbook<'j>(desk: &'j Desk, journal: &'j mut Journal, walk: WalkId) -> Logbook<'j> {
    Logbook {
        journal,
        walk,
        session: desk.session,
        by: desk.by.clone(),
        clock: &desk.clock,
        kept: 0,
    }
}

/// Keeps a walk in the journal, and tells what its answers mean for the chart of the drain.
struct Charting<'j> {
    book: Logbook<'j>,
    desk: &'j Desk,
}

impl Keep for Charting<'_> {
    fn keep(&mut self, event: &Event, after: &Walk) -> Result<(), Failure> {
        self.book.keep(event, after)
    }

    fn news(&mut self, event: &Event) -> Vec<(Tone, String)> {
        let charts = matches!(
            event.what,
            Happening::Answered {
                charts: Some(_),
                ..
            }
        );
        if !charts {
            return Vec::new();
        }
        self.of_chart()
            .unwrap_or_else(|why| vec![(Tone::Problem, why.message)])
    }
}

impl Charting<'_> {
    fn of_chart(&mut self) -> Result<Vec<(Tone, String)>, Failure> {
        let drain = named(self.book.journal, self.book.walk)?.summary.drain;
        let all = drains_named(self.book.journal)?;
        let Some(drain) = all.into_iter().find(|one| Some(one.summary.drain) == drain) else {
            return Ok(Vec::new());
        };
        after_answer(self.desk, self.book.journal, &drain, self.book.kept)
    }
}

fn hold(
    desk: &Desk,
    journal: &Journal,
    drain: Option<DrainId>,
    walk: Option<WalkId>,
) -> Result<Option<Hold>, Failure> {
    let held = match (drain, walk) {
        (Some(drain), _) => Held::Drain(drain),
        (None, Some(walk)) => Held::Walk(walk),
        (None, None) => return Ok(None),
    };
    let hold = journal.hold(held, desk.session, &desk.by, desk.now());
    hold.map(Some).map_err(|why| journal_failure(&why))
}

/// On one drain one walk is open at a time; an urgent one never waits for that.
fn refuse_second_walk(journal: &Journal, drain: &NamedDrain, urgent: bool) -> Result<(), Failure> {
    if urgent {
        return Ok(());
    }
    let open = open_walks(journal)?;
    let Some(NamedWalk { name, summary }) = open
        .into_iter()
        .find(|walk| walk.summary.drain == Some(drain.summary.drain))
    else {
        return Ok(());
    };
    let list = summary
        .list
        .as_ref()
        .map_or("a checklist", |list| list.as_str());
    Err(Failure::new(
        Kind::Stopped,
        format!(
            "{list} is still open on {} since {}",
            drain.name,
            summary.begun.format("%d %b %H:%M")
        ),
    )
    .hint(format!("go on with it: tubeside resume {name}"))
    .hint("or give it up there, with a reason, and start again"))
}

/// Walks until it is over or paused, then asks for what an urgent start left open.
fn walk_on(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    id: WalkId,
    mut walk: Walk,
) -> Result<(), Failure> {
    let left = {
        let mut book = Charting {
            book: logbook(desk, journal, id),
            desk,
        };
        let clock = &desk.clock;
        let notices = standing::notices(desk);
        let times = Times {
            notices: &notices,
            now: &|| clock.now(),
            wall: &|moment| clock.zone().at(moment.to_utc()),
        };
        if walk.on_paper().is_some() {
            let mut paper = FromPaper::new(screen, desk);
            drive(&mut walk, &mut paper, times, &mut book)?
        } else {
            drive(&mut walk, screen, times, &mut book)?
        }
    };
    if !matches!(left, Left::Stopped(_)) {
        settle_open_questions(desk, journal, screen, id, &mut walk)?;
    }
    let name = named(journal, id)?.name;
    match left {
        Left::Over => {
            screen.say(
                Tone::Quiet,
                &format!("{name} is over. Its record: tubeside record"),
            );
            screen.finish().map_err(|why| stopped(&why))
        }
        Left::Paused => {
            screen.say(
                Tone::Plain,
                &format!("Paused. Go on with: tubeside resume {name}"),
            );
            screen.finish().map_err(|why| stopped(&why))?;
            Err(
                Failure::new(Kind::Stopped, format!("{name} is paused before its end"))
                    .hint(format!("go on with: tubeside resume {name}")),
            )
        }
        Left::Stopped(failure) => Err(failure.hint(format!("go on with: tubeside resume {name}"))),
    }
}

/// Who wrote a walk and to which drain it belongs, when it was begun without asking.
fn settle_open_questions(
    desk: &mut Desk,
    journal: &mut Journal,
    screen: &mut dyn Screen,
    id: WalkId,
    walk: &mut Walk,
) -> Result<(), Failure> {
    if !desk.asks {
        return Ok(());
    }
    if desk.by.is_empty() {
        ask_writer(desk, screen)?;
        note_writer(desk, journal, id, walk)?;
    }
    let named = named(journal, id)?;
    if named.summary.drain.is_none()
        && !walk.is_paused()
        && let Some(drain) = drains::choose(desk, journal, screen, Later::May)?.drain()
    {
        attach(desk, journal, &named, drain.summary.drain, "")?;
    }
    match self::named(journal, id)?.summary.drain {
        Some(drain) if !walk.is_paused() => {
            drains::offer_weight(desk, journal, screen, drain, walk)
        }
        _ => Ok(()),
    }
}

/// The walk with its short name.
fn named(journal: &Journal, id: WalkId) -> Result<NamedWalk, Failure> {
    let found = journal.walk(&id).map_err(|why| journal_failure(&why))?;
    found
        .map(NamedWalk::from)
        .ok_or_else(|| Failure::unusable("the walk is not in the journal"))
}

/// After an urgent walk that was begun by nobody yet: who wrote it.
fn note_writer(
    desk: &Desk,
    journal: &mut Journal,
    id: WalkId,
    walk: &mut Walk,
) -> Result<(), Failure> {
    let text = format!("Everything before in this walk was written by {}.", desk.by);
    add_note(desk, journal, id, walk, text)
}

/// Writes a note of the program's own in a walk.
fn add_note(
    desk: &Desk,
    journal: &mut Journal,
    id: WalkId,
    walk: &mut Walk,
    text: String,
) -> Result<(), Failure> {
    let note = Input::Note { text, seen: None };
    let event = walk
        .prepare(note, desk.now())
        .map_err(|why| Failure::usage(why.to_string()))?;
    record(walk, &event, &mut logbook(desk, journal, id))
}
