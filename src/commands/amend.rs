//! `amend` and `sign`: putting things right without changing what was written.

use crate::cli::{AmendArgs, SignArgs};
use crate::failure::Failure;
use crate::journal::{DrainId, Held, Journal, Mark, NewEntry, TextHash, WalkId, WalkState, What};

use super::aim::{self, Whole};
use super::desk::Desk;
use super::drains::need_writer;
use super::failures::journal_failure;
use super::handle::{NamedWalk, find_drain, find_walk};
use super::out;
use super::personal;

/// Marks an entry, adds to it, or moves a walk to the drain it belongs to.
///
/// # Errors
/// A failure when the entry is not known, what it belongs to was signed, or a reason is missing.
pub fn amend(desk: &Desk, args: &AmendArgs) -> Result<(), Failure> {
    need_writer(desk)?;
    let why = args.why.trim();
    if why.is_empty() {
        return Err(Failure::usage("the reason is empty").hint("say why, in a few words: --why"));
    }
    let mut journal = desk.journal()?;
    if let Some(drain) = &args.drain {
        return move_walk(desk, &mut journal, args, drain);
    }
    let (mark, text) = match (&args.wrong, &args.addendum) {
        (Some(text), _) => (Mark::Wrong, text.trim()),
        (_, Some(text)) => (Mark::Addendum, text.trim()),
        _ => (Mark::EnteredInError, ""),
    };
    if text.is_empty() && mark != Mark::EnteredInError {
        return Err(Failure::usage("there are no words to put beside the entry")
            .hint("with --wrong say what is right, with --addendum what is added"));
    }
    for words in [text, why] {
        personal::warn(words);
    }
    let aim = aim::find(&journal, &args.entry)?;
    let what = What::Amended {
        entry: aim.entry,
        mark,
        text: text.to_owned(),
        why: why.to_owned(),
    };
    append(desk, &mut journal, &aim.whole, what)?;
    let entries = aim.whole.entries(&journal)?;
    let count = entries
        .iter()
        .filter(|entry| matches!(entry.what, What::Amended { .. }))
        .count();
    let done = match mark {
        Mark::Wrong => "is marked wrong; it stays readable",
        Mark::EnteredInError => "is marked as entered in error; it stays in the journal",
        Mark::Addendum => "has an addendum",
    };
    out::wrapped(&format!(
        "{} {done} ({}.a{count})",
        aim.name,
        aim.whole.name()
    ))?;
    out::wrapped("write the record again to show it: tubeside record")
}

/// A walk that was written to another drain, or to none.
fn move_walk(
    desk: &Desk,
    journal: &mut Journal,
    args: &AmendArgs,
    drain: &str,
) -> Result<(), Failure> {
    let walk = find_walk(journal, &args.entry)?;
    let drain = find_drain(journal, drain)?;
    if walk.summary.drain == Some(drain.summary.drain) {
        return Err(Failure::usage(format!(
            "{} belongs to {} already",
            walk.name, drain.name
        )));
    }
    personal::warn(&args.why);
    let held = walk
        .summary
        .drain
        .map_or(Held::Walk(walk.summary.walk), Held::Drain);
    let _hold = journal
        .hold(held, desk.session, &desk.by, desk.now())
        .map_err(|why| journal_failure(&why))?;
    attach(desk, journal, &walk, drain.summary.drain, args.why.trim())?;
    out::wrapped(&format!("{} belongs to {} now", walk.name, drain.name))
}

/// Signs a walk or a drain as it stands in the journal.
///
/// # Errors
/// A failure when who signs was not typed here, or a walk is not over.
pub fn sign(desk: &Desk, args: &SignArgs) -> Result<(), Failure> {
    if !desk.common.by_typed || desk.by.initials.is_empty() || desk.by.role.is_empty() {
        return Err(
            Failure::usage("who signs types initials and role again, each time").hint(format!(
                "tubeside sign {} --by \"AB, RN\"; TUBESIDE_BY is not enough",
                args.what
            )),
        );
    }
    let mut journal = desk.journal()?;
    let whole = aim::find_whole(&journal, &args.what)?;
    let last = whole.entries(&journal)?.pop();
    let of_drain = match &whole {
        Whole::Drain(drain) => journal
            .drain_entries(&drain.summary.drain)
            .map_err(|why| journal_failure(&why))?
            .pop(),
        Whole::Walk(_) => None,
    };
    let Some(last) = of_drain.or(last) else {
        return Err(Failure::usage(format!(
            "there is nothing to sign in {}",
            whole.name()
        )));
    };
    let hash = TextHash::parse(&last.hash).ok_or_else(|| {
        Failure::unusable("the last entry has no hash").hint("run: tubeside journal verify")
    })?;
    let what = What::Signed {
        seq: last.seq,
        hash: hash.clone(),
    };
    append(desk, &mut journal, &whole, what)?;
    out::wrapped(&format!(
        "{} is signed by {} up to entry {} of the journal, hash {hash}",
        whole.name(),
        desk.by,
        last.seq
    ))?;
    out::wrapped("from here on only addenda are taken for it")
}

/// Says to which drain a walk belongs.
///
/// # Errors
/// A failure when the journal could not keep it.
pub fn attach(
    desk: &Desk,
    journal: &mut Journal,
    walk: &NamedWalk,
    drain: DrainId,
    why: &str,
) -> Result<(), Failure> {
    let what = What::Attached {
        why: why.to_owned(),
    };
    let place = (walk.summary.walk, walk.summary.state);
    journal
        .take_over(walk.summary.walk, desk.session, &desk.by, desk.now(), false)
        .map_err(|why| journal_failure(&why))?;
    keep(desk, journal, Some(drain), Some(place), what)
}

/// Adds an entry about a walk or a drain.
fn append(desk: &Desk, journal: &mut Journal, whole: &Whole, what: What) -> Result<(), Failure> {
    match whole {
        Whole::Walk(walk) => {
            let place = (walk.summary.walk, walk.summary.state);
            keep(desk, journal, None, Some(place), what)
        }
        Whole::Drain(drain) => keep(desk, journal, Some(drain.summary.drain), None, what),
    }
}

/// Adds an entry that was seen when it is written.
///
/// # Errors
/// A failure when the journal could not keep it.
pub fn keep(
    desk: &Desk,
    journal: &mut Journal,
    drain: Option<DrainId>,
    walk: Option<(WalkId, WalkState)>,
    what: What,
) -> Result<(), Failure> {
    let entry = NewEntry {
        walk,
        ..desk.entry(drain, desk.now(), what)
    };
    journal
        .append(&entry)
        .map(drop)
        .map_err(|why| journal_failure(&why))
}
