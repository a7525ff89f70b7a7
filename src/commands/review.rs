//! `review`: looking back over many drains and months.

use chrono::NaiveDate;

use crate::cli::ReviewArgs;
use crate::failure::Failure;
use crate::record::review::Review;

use super::desk::Desk;
use super::gather::story;
use super::handle::walks;
use super::logbook::Reader;
use super::out::{self, progress};
use super::personal::caution;

/// How many walks pass between two signs of life.
const EVERY: usize = 500;

/// Looks through the walks one by one and prints what may be shown of them.
///
/// # Errors
/// A failure when a day cannot be read or the journal cannot be used.
pub fn run(desk: &Desk, args: &ReviewArgs) -> Result<(), Failure> {
    let from = day(args.from.as_deref(), "--from")?;
    let to = day(args.to.as_deref(), "--to")?;
    let journal = desk.journal_to_read()?;
    let mut all = walks(&journal)?;
    all.retain(|walk| {
        let begun = walk.summary.begun.date_naive();
        walk.summary.rehearsal == args.rehearsals
            && from.is_none_or(|from| begun >= from)
            && to.is_none_or(|to| begun <= to)
    });
    let mut review = Review::default();
    let mut reader = Reader::of(&journal);
    let mut unread = 0_usize;
    for (index, walk) in all.iter().enumerate() {
        match reader.bring(walk.summary.walk) {
            Ok(brought) => review.add(&story(walk, &brought, &[])),
            Err(_) => unread += 1,
        }
        if (index + 1) % EVERY == 0 {
            progress(&format!("{} of {} walks", index + 1, all.len()));
        }
    }
    progress("");
    if unread > 0 {
        caution(&format!(
            "{unread} walks could not be brought back and are not counted; run: tubeside journal verify"
        ));
    }
    let facts = review.facts();
    if args.json {
        return out::json(&facts);
    }
    out::raw(&if args.csv { facts.csv() } else { facts.table() })
}

fn day(text: Option<&str>, option: &str) -> Result<Option<NaiveDate>, Failure> {
    let Some(text) = text else { return Ok(None) };
    let read = NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d");
    read.map(Some).map_err(|_| {
        Failure::usage(format!("{option}: \"{text}\" is not a day"))
            .hint("write it like 2026-03-31")
    })
}
