//! From what a caller hands over to the rows that are added: the rules that hold for every store.

use chrono::TimeDelta;

use crate::moment::Moment;

use super::entry::{NewEntry, WalkState, What};
use super::error::JournalError;
use super::event;
use super::ids::{DrainId, EntryId, SessionId, WalkId};
use super::moment_text;
use super::row::{NO_PREVIOUS, Row};
use super::sealed;
use super::store::{Store, Which, rows};

/// A clock that went back by more than this between two entries is noted (our judgement: less is
/// the ordinary setting of a clock by the network).
pub(super) const CLOCK_TOLERANCE: TimeDelta = TimeDelta::minutes(2);

/// The rows to add for these entries, in their order; before them a note of a clock that went
/// back. Each is judged by what is in the store, not by those before it here.
///
/// # Errors
/// What makes one of the entries impossible at this place of the journal.
pub(super) fn rows_for(store: &dyn Store, news: &[NewEntry]) -> Result<Vec<Row>, JournalError> {
    let last = store.last()?;
    let mut chain = Chain::after(last.as_ref());
    let mut rows = Vec::with_capacity(news.len());
    if let Some(jump) = news
        .first()
        .and_then(|new| clock_went_back(last.as_ref(), new))
    {
        rows.push(chain.row(&jump, &Place::default())?);
    }
    for new in news {
        let place = place(store, new)?;
        sealed::allows(store, new)?;
        rows.push(chain.row(new, &place)?);
    }
    Ok(rows)
}

/// What the journal decides about an entry, rather than its caller.
#[derive(Debug, Default)]
struct Place {
    drain: Option<String>,
    walk: Option<String>,
    state: Option<WalkState>,
    rehearsal: bool,
    from: Option<SessionId>,
}

fn place(store: &dyn Store, new: &NewEntry) -> Result<Place, JournalError> {
    let of_drain = drain_place(store, new)?;
    let Some((walk, state)) = new.walk else {
        if new.what.moves_walk() {
            return Err(incomplete(new, "it names no walk"));
        }
        return Ok(of_drain);
    };
    match store.last_move(&walk.to_string())? {
        None if begins(&new.what) => Ok(Place {
            walk: Some(walk.to_string()),
            state: Some(state),
            ..of_drain
        }),
        None => Err(JournalError::NotBegun { walk }),
        Some(_) if begins(&new.what) => Err(JournalError::BegunTwice { walk }),
        Some(before) => {
            let of_walk = walk_place(store, new, walk, state, &before)?;
            let rehearsal = of_walk.rehearsal || of_drain.rehearsal;
            Ok(Place {
                rehearsal,
                ..of_walk
            })
        }
    }
}

const fn begins(what: &What) -> bool {
    matches!(
        what,
        What::Begun { .. } | What::Walk(crate::walk::event::Happening::Begun { .. })
    )
}

/// The drain of the entry: there already, unless the entry opens it. What belongs to a drain that
/// was opened in a rehearsal is a rehearsal.
fn drain_place(store: &dyn Store, new: &NewEntry) -> Result<Place, JournalError> {
    let Some(drain) = new.drain else {
        let opens = matches!(new.what, What::DrainOpened { .. } | What::Attached { .. });
        if opens || new.what.needs_drain() {
            return Err(incomplete(new, "it names no drain"));
        }
        return Ok(Place::default());
    };
    let text = drain.to_string();
    let known = rows(store, Which::DrainFacts(Some(&text)))?;
    match (&new.what, known.first()) {
        (What::DrainOpened { .. }, Some(_)) => Err(JournalError::OpenedTwice { drain }),
        (What::DrainOpened { .. }, None) => Ok(Place {
            drain: Some(text),
            ..Place::default()
        }),
        (_, Some(opened)) => Ok(Place {
            drain: Some(text),
            rehearsal: opened.rehearsal,
            ..Place::default()
        }),
        (_, None) => Err(JournalError::UnknownDrain { drain }),
    }
}

/// The place of an entry in a walk that has begun.
fn walk_place(
    store: &dyn Store,
    new: &NewEntry,
    walk: WalkId,
    state: WalkState,
    before: &Row,
) -> Result<Place, JournalError> {
    let held = before.entry()?;
    let takes_over = matches!(new.what, What::TakenOver { .. });
    if new.what.moves_walk() && !takes_over && held.session != new.session {
        return Err(taken_over(store, walk)?);
    }
    let attaches = matches!(new.what, What::Attached { .. });
    let drain = match (new.drain, held.drain) {
        (Some(new), Some(old)) if new != old && !attaches => {
            return Err(JournalError::OtherDrain { walk, drain: old });
        }
        (Some(new), _) => Some(new),
        (None, old) => old,
    };
    let keeps_state = takes_over || attaches;
    Ok(Place {
        drain: drain.map(|drain: DrainId| drain.to_string()),
        walk: Some(walk.to_string()),
        state: new.what.moves_walk().then_some(if keeps_state {
            held.state.unwrap_or(state)
        } else {
            state
        }),
        rehearsal: held.rehearsal,
        from: takes_over.then_some(held.session),
    })
}

/// Who holds the walk, and since when.
fn taken_over(store: &dyn Store, walk: WalkId) -> Result<JournalError, JournalError> {
    let taken = rows(store, Which::Walk(&walk.to_string()))?
        .into_iter()
        .rfind(|row| matches!(row.kind.as_str(), "taken-over" | "begun"));
    let Some(taken) = taken else {
        return Ok(JournalError::NotBegun { walk });
    };
    let taken = taken.entry()?;
    Ok(JournalError::TakenOver {
        walk,
        session: taken.session,
        by: taken.by,
        since: taken.written,
    })
}

fn incomplete(new: &NewEntry, why: &str) -> JournalError {
    JournalError::Incomplete {
        kind: event::kind(&new.what).to_owned(),
        why: why.to_owned(),
    }
}

/// The note of a clock that went back, when the entry before this one was written later than it.
/// A rehearsal has a clock of its own, and is compared with nothing.
fn clock_went_back(last: Option<&Row>, new: &NewEntry) -> Option<NewEntry> {
    let noted = matches!(new.what, What::ClockJumped { .. });
    let last = last.filter(|last| !last.rehearsal && !new.rehearsal && !noted)?;
    let from: Moment = moment_text::read(&last.written_at).ok()?;
    (from - new.written > CLOCK_TOLERANCE).then(|| NewEntry {
        drain: None,
        walk: None,
        seen: new.written,
        what: What::ClockJumped {
            from,
            to: new.written,
        },
        ..new.clone()
    })
}

/// Gives each row its place and its hash.
struct Chain {
    seq: i64,
    prev: String,
}

impl Chain {
    fn after(last: Option<&Row>) -> Self {
        Self {
            seq: last.map_or(0, |row| row.seq),
            prev: last.map_or_else(|| NO_PREVIOUS.to_owned(), |row| row.hash.clone()),
        }
    }

    fn row(&mut self, new: &NewEntry, place: &Place) -> Result<Row, JournalError> {
        let mut what = new.what.clone();
        if let (What::TakenOver { from, .. }, Some(held)) = (&mut what, place.from) {
            *from = held;
        }
        let (kind, body) = event::write(&what).map_err(|why| incomplete(new, &why))?;
        let mut row = Row {
            seq: self.seq + 1,
            id: EntryId::new(new.written).to_string(),
            drain: place.drain.clone(),
            walk: place.walk.clone(),
            session: new.session.to_string(),
            kind,
            state: place.state.map(|state| state.word().to_owned()),
            seen_at: moment_text::write(new.seen),
            written_at: moment_text::write(new.written),
            initials: new.by.initials.clone(),
            role: new.by.role.clone(),
            rehearsal: new.rehearsal || place.rehearsal,
            body,
            hash: String::new(),
        };
        row.hash = row.hash_after(&self.prev).as_str().to_owned();
        self.seq = row.seq;
        self.prev.clone_from(&row.hash);
        Ok(row)
    }
}
