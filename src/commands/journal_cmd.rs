//! `journal verify|backup|restore|export`.

use std::path::{Path, PathBuf};

use crate::cli::JournalCommand;
use crate::failure::{Failure, Kind};
use crate::files::{Aside, NotWritten, Present, Readers, make_folder};
use crate::journal::{Access, Journal, RecordAbout, Summing, TextHash, Verified, What};

use super::amend::keep;
use super::desk::Desk;
use super::failures::journal_failure;
use super::filed::examine;
use super::out;
use super::personal::caution;

/// Does what `journal …` asks.
///
/// # Errors
/// A failure when the journal has faults or cannot be used.
pub fn run(desk: &Desk, command: &JournalCommand) -> Result<(), Failure> {
    let path = desk.journal_path()?;
    if let JournalCommand::Restore { backup } = command {
        return restore(backup, &path);
    }
    let journal = Journal::open(&path, Access::Read).map_err(|why| journal_failure(&why))?;
    match command {
        JournalCommand::Verify { records } => verify(desk, &journal, records),
        JournalCommand::Backup { file } => {
            let verified = journal.backup(file).map_err(|why| journal_failure(&why))?;
            out::wrapped(&format!("copied and checked: {} entries", verified.entries))
        }
        JournalCommand::Export { file } => export(desk, &journal, file),
        JournalCommand::Restore { .. } => Ok(()),
    }
}

fn verify(desk: &Desk, journal: &Journal, records: &[PathBuf]) -> Result<(), Failure> {
    let verified = journal
        .verify_telling(&mut |entries| out::progress(&format!("{entries} entries checked")))
        .map_err(|why| journal_failure(&why))?;
    out::progress("");
    let mut faults = told(&verified);
    for record in records {
        match examine(desk, journal, record)? {
            Ok(words) => out::wrapped(&words)?,
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() {
        let last = verified.last_hash.as_deref().unwrap_or("none");
        return out::wrapped(&format!(
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

/// The faults, a line each; of many the first, and how many more there are.
fn told(verified: &Verified) -> Vec<String> {
    let mut lines: Vec<String> = verified.faults.iter().map(ToString::to_string).collect();
    if verified.more > 0 {
        lines.push(format!("and {} more", verified.more));
    }
    lines
}

/// Puts a backup where a journal should be. One that is damaged is refused, and nothing is put over
/// a journal that is there.
fn restore(backup: &Path, path: &Path) -> Result<(), Failure> {
    if path.exists() {
        return Err(
            Failure::unusable(format!("there is a journal at {} already", path.display()))
                .hint("move it away first and keep it, or name another place with --journal"),
        );
    }
    let from = Journal::open(backup, Access::Read).map_err(|why| journal_failure(&why))?;
    let verified = from.verify().map_err(|why| journal_failure(&why))?;
    if !verified.faults.is_empty() {
        let faults = told(&verified).join("\n  ");
        return Err(Failure::new(
            Kind::Problems,
            format!("{} is damaged\n  {faults}", backup.display()),
        )
        .hint("use an older backup, and keep this one")
        .hint(
            "a damaged journal is better than none: copy the file by hand if there is no other",
        ));
    }
    if let Some(folder) = path.parent().filter(|one| !one.as_os_str().is_empty()) {
        make_folder(folder, Readers::Owner).map_err(|why| Failure::unusable(why.to_string()))?;
    }
    let verified = from.backup(path).map_err(|why| journal_failure(&why))?;
    out::wrapped(&format!(
        "restored and checked: {} entries, last hash {}",
        verified.entries,
        verified.last_hash.as_deref().unwrap_or("none")
    ))
}

fn export(desk: &Desk, journal: &Journal, file: &Path) -> Result<(), Failure> {
    let (entries, hash) = if file == Path::new("-") {
        let mut out = Summing::new(out::to_the_byte());
        let exported = journal
            .export(&mut out)
            .map_err(|why| journal_failure(&why))?;
        (exported.entries, out.finish().1)
    } else {
        if file.symlink_metadata().is_ok() {
            return Err(
                Failure::unusable(format!("{} is there already", file.display()))
                    .hint("give a name that is not there yet"),
            );
        }
        let failed = |why: NotWritten| Failure::unusable(why.to_string());
        let mut aside = Aside::beside(file, Readers::Owner).map_err(failed)?;
        let mut out = Summing::new(&mut aside.file);
        let exported = journal
            .export(&mut out)
            .map_err(|why| journal_failure(&why))?;
        let (_, hash) = out.finish();
        aside.put_in_place(Present::Keep).map_err(failed)?;
        out::wrapped(&format!(
            "{} entries written to {}",
            exported.entries,
            file.display()
        ))?;
        (exported.entries, hash)
    };
    note_exported(desk, file, entries, hash)
}

/// The journal keeps that it was written out. Where it can only be read, that is said instead.
fn note_exported(desk: &Desk, file: &Path, entries: u64, sha256: TextHash) -> Result<(), Failure> {
    let Ok(mut journal) = desk.journal() else {
        caution("this was not noted in the journal, which can only be read");
        return Ok(());
    };
    let what = What::RecordWritten {
        path: file.display().to_string(),
        sha256,
        about: RecordAbout {
            kind: "journal".to_owned(),
            form: "json-lines".to_owned(),
            how: "exported".to_owned(),
            walks: Vec::new(),
            upto: i64::try_from(entries).unwrap_or(i64::MAX),
        },
    };
    keep(desk, &mut journal, None, None, what)
}
