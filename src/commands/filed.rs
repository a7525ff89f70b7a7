//! Records on file against the journal they name: what is the same, what is not, and where.

use std::path::Path;

use crate::cli::{RecordFormat, RecordKind};
use crate::failure::Failure;
use crate::journal::{Entry, Journal, RecordAbout, TextHash, What};

use super::desk::Desk;
use super::failures::journal_failure;
use super::handle::{NamedDrain, NamedWalk, drains};
use super::local_folder;
use super::record::{Made, make};

/// Tells in one line that a record on file is as it was written, or as an error what is wrong.
///
/// # Errors
/// A failure when the file or the journal cannot be read.
pub fn examine(
    desk: &Desk,
    journal: &Journal,
    record: &Path,
) -> Result<Result<String, String>, Failure> {
    let text = local_folder::text(record)?;
    let shown = record.display();
    let hash = TextHash::of(text.as_bytes());
    let written = journal
        .records_written()
        .map_err(|why| journal_failure(&why))?;
    if let Some(fault) = not_in_journal(journal, &text)? {
        return Ok(Err(format!("{shown}: {fault}")));
    }
    let same = |entry: &&Entry| matches!(&entry.what, What::RecordWritten { sha256, .. } if *sha256 == hash);
    if let Some(entry) = written.iter().rev().find(same) {
        let again = made_again(desk, journal, entry)?;
        let now = match again.map(|made| difference(&text, &made.text)) {
            Some(Some(place)) => format!(
                "; the journal gives another text now ({place}): the template, the unit's name or the program was changed since"
            ),
            Some(None) => "; the journal gives the same text".to_owned(),
            None => String::new(),
        };
        return Ok(Ok(format!(
            "{shown}: as it was written by {}{now}",
            when(entry)
        )));
    }
    for entry in written
        .iter()
        .rev()
        .filter(|entry| is_likely(entry, record, journal, &text))
    {
        let Some(made) = made_again(desk, journal, entry)? else {
            continue;
        };
        let place = difference(&text, &made.text)
            .unwrap_or_else(|| "but it is what the journal gives now".to_owned());
        return Ok(Err(format!(
            "{shown}: not as it was written by {}: {place}",
            when(entry)
        )));
    }
    Ok(Err(format!(
        "{shown}: not as any record this journal says was written"
    )))
}

fn when(entry: &Entry) -> String {
    format!(
        "{} on {} (entry {})",
        entry.by,
        entry.written.format("%d %b %Y at %H:%M"),
        entry.seq
    )
}

/// That the place of the journal the record ends with is not there.
fn not_in_journal(journal: &Journal, text: &str) -> Result<Option<String>, Failure> {
    let Some(hash) = last_hash(text) else {
        return Ok(Some("it names no place of a journal".to_owned()));
    };
    let found = journal
        .entry_with_hash(&hash)
        .map_err(|why| journal_failure(&why))?;
    Ok(found.is_none().then(|| {
        format!(
            "the hash it ends with, {hash}, is not in this journal: entries were cut off or changed, or it was made from another journal"
        )
    }))
}

/// The last 64 hexadecimal digits in a row; a page has places to break in them.
fn last_hash(text: &str) -> Option<String> {
    text.replace("<wbr>", "")
        .split(|letter: char| !letter.is_ascii_alphanumeric())
        .rfind(|word| TextHash::parse(word).is_some())
        .map(str::to_owned)
}

/// Whether an entry speaks of this record: by its file's name, or by the place it ends with.
fn is_likely(entry: &Entry, record: &Path, journal: &Journal, text: &str) -> bool {
    let What::RecordWritten { path, about, .. } = &entry.what else {
        return false;
    };
    let named = Path::new(path)
        .file_name()
        .is_some_and(|name| Some(name) == record.file_name());
    let placed = last_hash(text)
        .and_then(|hash| journal.entry_with_hash(&hash).ok().flatten())
        .is_some_and(|entry| entry.seq == about.upto);
    named || placed
}

/// The record as the journal gives it for the place up to which it was read; `None` for entries
/// that do not say what they were made from.
fn made_again(desk: &Desk, journal: &Journal, entry: &Entry) -> Result<Option<Made>, Failure> {
    let What::RecordWritten { about, .. } = &entry.what else {
        return Ok(None);
    };
    let kind = RecordKind::parse(&about.kind);
    let format = RecordFormat::parse(&about.form);
    let (Some(kind), Some(format)) = (kind, format) else {
        return Ok(None);
    };
    let drain = drain_of(journal, entry)?;
    let chosen = walks_of(journal, about)?;
    make(
        desk,
        journal,
        kind,
        format,
        &chosen,
        drain.as_ref(),
        about.upto,
    )
    .map(Some)
}

fn drain_of(journal: &Journal, entry: &Entry) -> Result<Option<NamedDrain>, Failure> {
    let all = drains(journal)?;
    Ok(all
        .into_iter()
        .find(|drain| Some(drain.summary.drain) == entry.drain))
}

fn walks_of(journal: &Journal, about: &RecordAbout) -> Result<Vec<NamedWalk>, Failure> {
    let mut walks = Vec::new();
    for id in &about.walks {
        let found = journal.walk(id).map_err(|why| journal_failure(&why))?;
        walks.extend(found.map(NamedWalk::from));
    }
    Ok(walks)
}

/// Where two texts begin to differ and how many lines do; `None` when they are the same.
#[must_use]
pub fn difference(filed: &str, made: &str) -> Option<String> {
    if filed == made {
        return None;
    }
    let (ours, theirs): (Vec<&str>, Vec<&str>) =
        (made.split('\n').collect(), filed.split('\n').collect());
    let line = ours.iter().zip(&theirs).take_while(|(a, b)| a == b).count();
    let from_end = ours[line.min(ours.len())..]
        .iter()
        .rev()
        .zip(theirs[line.min(theirs.len())..].iter().rev())
        .take_while(|(a, b)| a == b)
        .count();
    let differ = theirs.len().max(ours.len()) - line - from_end;
    let shown = |lines: &[&str]| match lines.get(line) {
        Some(text) => crate::clean::line(text).into_owned(),
        None => "(the end)".to_owned(),
    };
    Some(format!(
        "line {}{}\n    filed:   {}\n    journal: {}",
        line + 1,
        match differ {
            0 | 1 => String::new(),
            several => format!(" and {} more lines after it", several - 1),
        },
        shown(&theirs),
        shown(&ours)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_place_of_a_difference_is_told() {
        for (filed, made, place) in [
            ("a\nb\nc\n", "a\nB\nc\n", "line 2\n"),
            ("a\nb\nc\n", "a\nc\n", "line 2\n"),
            ("a\nx\ny\nc\n", "a\nb\nd\nc\n", "line 2 and 1 more lines"),
            ("a\n", "a\nb\n", "line 2\n"),
            ("a", "a\n", "line 2\n"),
            ("", "a\n", "line 1"),
        ] {
            let told = difference(filed, made).expect("they differ");
            assert!(told.starts_with(place), "{filed:?} {made:?}: {told}");
        }
        assert_eq!(difference("a\n", "a\n"), None);
    }

    #[test]
    fn the_last_hash_is_found_in_any_markup() {
        let (one, other) = ("a".repeat(64), "b".repeat(64));
        let text = format!("| {one} |\n<p>{other}</p>\n{}\n", "c".repeat(63));
        assert_eq!(last_hash(&text), Some(other.clone()));
        let broken = format!("{}<wbr>{}", &other[..16], &other[16..]);
        assert_eq!(last_hash(&broken), Some(other));
        assert_eq!(last_hash("none"), None);
    }
}
