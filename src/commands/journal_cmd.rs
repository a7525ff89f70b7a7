//! `journal verify|backup|export`.

use std::path::{Path, PathBuf};

use crate::cli::JournalCommand;
use crate::failure::{Failure, Kind};
use crate::files::{Readers, create_new};
use crate::journal::{Journal, TextHash, What};

use super::desk::Desk;
use super::failures::journal_failure;
use super::local_folder;
use super::out;

/// Does what `journal …` asks.
///
/// # Errors
/// A failure when the journal has faults or cannot be used.
pub fn run(desk: &Desk, command: &JournalCommand) -> Result<(), Failure> {
    let path = desk.journal_path()?;
    if !path.exists() {
        return Err(
            Failure::unusable(format!("there is no journal at {}", path.display()))
                .hint("check --journal, or begin a walk to make one"),
        );
    }
    let journal = desk.journal_to_read()?;
    match command {
        JournalCommand::Verify { records } => verify(&journal, records),
        JournalCommand::Backup { file } => {
            let verified = journal.backup(file).map_err(|why| journal_failure(&why))?;
            out::line(&format!("copied and checked: {} entries", verified.entries))
        }
        JournalCommand::Export { file } => export(&journal, file),
    }
}

fn verify(journal: &Journal, records: &[PathBuf]) -> Result<(), Failure> {
    let verified = journal.verify().map_err(|why| journal_failure(&why))?;
    let mut faults: Vec<String> = verified.faults.iter().map(ToString::to_string).collect();
    for record in records {
        match filed(journal, record)? {
            Ok(words) => out::line(&words)?,
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() {
        let last = verified.last_hash.as_deref().unwrap_or("none");
        return out::line(&format!(
            "{} entries, the chain is whole; last hash {last}",
            verified.entries
        ));
    }
    Err(Failure::new(
        Kind::Problems,
        format!(
            "{} of the journal's entries checked\n  {}",
            verified.entries,
            faults.join("\n  ")
        ),
    )
    .hint(
        "keep a copy of the file as it is, compare with a backup, and tell whoever looks after it",
    ))
}

/// Whether a record on file is one that this journal says was written.
fn filed(journal: &Journal, record: &Path) -> Result<Result<String, String>, Failure> {
    let text = local_folder::text(record)?;
    let hash = TextHash::of(text.as_bytes());
    let entries = journal
        .entries_after(0)
        .map_err(|why| journal_failure(&why))?;
    let is_it = |what: &What| matches!(what, What::RecordWritten { sha256, .. } if *sha256 == hash);
    let written = entries.iter().rev().find(|entry| is_it(&entry.what));
    let shown = record.display();
    Ok(match written {
        Some(entry) => Ok(format!(
            "{shown}: as it was written by {} on {} (entry {})",
            entry.by,
            entry.written.format("%d %b %Y at %H:%M"),
            entry.seq
        )),
        None => Err(format!(
            "{shown}: not as any record this journal says was written"
        )),
    })
}

fn export(journal: &Journal, file: &Path) -> Result<(), Failure> {
    if file == Path::new("-") {
        let mut out = std::io::stdout().lock();
        return journal
            .export(&mut out)
            .map(drop)
            .map_err(|why| journal_failure(&why));
    }
    let mut out = create_new(file, Readers::Owner).map_err(|why| {
        Failure::unusable(format!("{} cannot be made: {why}", file.display()))
            .hint("give a name that is not there yet")
    })?;
    let exported = journal
        .export(&mut out)
        .map_err(|why| journal_failure(&why))?;
    out.sync_all()
        .map_err(|why| Failure::unusable(format!("{} may not be whole: {why}", file.display())))?;
    out::line(&format!(
        "{} entries written to {}",
        exported.entries,
        file.display()
    ))
}
