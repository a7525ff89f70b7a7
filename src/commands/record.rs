//! `record setup|incident`: a document made from the journal.

use std::path::{Path, PathBuf};

use crate::checklist::model::{Library, ListKind};
use crate::checklist::shelf::fingerprint;
use crate::cli::{RecordArgs, RecordKind};
use crate::failure::{Failure, Kind};
use crate::files::{Present, Readers, make_folder, write_whole};
use crate::journal::{Journal, NewEntry, RecordAbout, TextHash, What};
use crate::record::facts::{self, IncidentFacts, RecordFacts, SetupFacts};
use crate::record::template::Template;

use super::desk::Desk;
use super::failures::journal_failure;
use super::gather::{Notes, gather};
use super::handle::{NamedWalk, find_drain, find_walk, walks};
use super::local_folder;
use super::logbook::{Brought, Reader};
use super::out;

/// Writes, prints or compares a record.
///
/// # Errors
/// A failure when there is nothing to record, a template is unfit, or a file cannot be written.
pub fn run(desk: &Desk, args: &RecordArgs) -> Result<(), Failure> {
    let mut journal = open_for(desk, args)?;
    let chosen = chosen_walks(&journal, args)?;
    let made = make(desk, &journal, args, &chosen)?;
    if args.facts {
        return out::raw(&made.facts);
    }
    if let Some(file) = &args.check {
        return compare(file, &made.text);
    }
    if args.out.as_deref() == Some(Path::new("-")) {
        return out::raw(&made.text);
    }
    let path = match &args.out {
        Some(path) => path.clone(),
        None => desk.reports_folder()?.join(file_name(args.kind, &chosen)),
    };
    write(&path, &made.text)?;
    note_written(desk, &mut journal, &chosen, &path, &made.text)?;
    out::line(&format!("written: {}", path.display()))
}

fn open_for(desk: &Desk, args: &RecordArgs) -> Result<Journal, Failure> {
    let only_read =
        args.facts || args.check.is_some() || args.out.as_deref() == Some(Path::new("-"));
    if only_read {
        desk.journal_to_read()
    } else {
        desk.journal()
    }
}

/// A record and the facts it was made from.
pub struct Made {
    /// The record as Markdown.
    pub text: String,
    /// The facts as JSON.
    pub facts: String,
}

/// Makes the record of these walks.
///
/// # Errors
/// A failure when a walk cannot be brought back or the template is unfit.
pub fn make(
    desk: &Desk,
    journal: &Journal,
    args: &RecordArgs,
    chosen: &[NamedWalk],
) -> Result<Made, Failure> {
    let gathered = gather(desk, journal, chosen, Notes::About, i64::MAX)?;
    let (stories, header) = (&gathered.stories, &gathered.header);
    match args.kind {
        RecordKind::Setup => rendered(desk, &SetupFacts::new(stories, header)),
        RecordKind::Incident => rendered(desk, &IncidentFacts::new(stories, header)),
    }
}

fn rendered<F: RecordFacts>(desk: &Desk, facts: &F) -> Result<Made, Failure> {
    let template = template(desk, F::KIND)?;
    let text = template
        .render(facts)
        .map_err(|why| Failure::unusable(why.to_string()))?;
    let json = serde_json::to_string_pretty(facts)
        .map_err(|why| Failure::unusable(format!("the facts cannot be written as JSON: {why}")))?;
    Ok(Made {
        text,
        facts: format!("{json}\n"),
    })
}

fn template(desk: &Desk, kind: facts::Kind) -> Result<Template, Failure> {
    let name = format!("{}.md", kind.word());
    let own = local_folder::template(desk.common.local.as_deref(), &name)?;
    let loaded = match &own {
        Some((path, text)) => Template::load(kind, &path.display().to_string(), text),
        None => Template::shipped(kind),
    };
    loaded.map_err(|problems| {
        let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
        Failure::new(
            Kind::Problems,
            format!("the template cannot be used\n{}", told.join("\n")),
        )
        .hint("correct it, or move it away to use the shipped one")
    })
}

/// The walks that belong in the record: those named, or those of the drain that are of its kind.
///
/// # Errors
/// A usage failure when a walk or drain is not known or none belongs in the record.
pub fn chosen_walks(journal: &Journal, args: &RecordArgs) -> Result<Vec<NamedWalk>, Failure> {
    if !args.walk.is_empty() {
        return args
            .walk
            .iter()
            .map(|text| find_walk(journal, text))
            .collect();
    }
    let mut all = walks(journal)?;
    match &args.drain {
        Some(text) => {
            let drain = find_drain(journal, text)?.summary.drain;
            all.retain(|walk| walk.summary.drain == Some(drain));
        }
        None => {
            return Err(Failure::usage("which drain or walk?")
                .hint("add --drain d1 (see: tubeside drain list) or --walk w1"));
        }
    }
    let mut chosen = Vec::new();
    let mut reader = Reader::of(journal);
    for walk in all {
        if belongs(&reader.bring(walk.summary.walk)?, args.kind) {
            chosen.push(walk);
        }
    }
    if chosen.is_empty() {
        let what = match args.kind {
            RecordKind::Setup => "preparing or connecting",
            RecordKind::Incident => "a fault or an emergency",
        };
        return Err(
            Failure::usage(format!("nothing of this drain is a walk of {what}"))
                .hint("name the walks yourself with --walk"),
        );
    }
    Ok(chosen)
}

/// Setup: what began as preparing or connecting. Incident: every walk in which a fault list or an
/// urgent list was followed, however it began.
fn belongs(brought: &Brought, kind: RecordKind) -> bool {
    let library: &Library = brought.walk.library();
    let began = library
        .find(brought.walk.list().as_str())
        .map(|id| library.list(id).kind);
    let setup = matches!(began, Some(ListKind::Prepare | ListKind::Connect));
    match kind {
        RecordKind::Setup => setup,
        RecordKind::Incident => brought.walk.story().iter().any(|told| match &told.what {
            crate::walk::story::Telling::ListBegun { kind, .. } => {
                matches!(kind, ListKind::Fault | ListKind::Urgent)
            }
            _ => false,
        }),
    }
}

fn file_name(kind: RecordKind, chosen: &[NamedWalk]) -> String {
    let kind = match kind {
        RecordKind::Setup => "setup",
        RecordKind::Incident => "incident",
    };
    let first = chosen
        .first()
        .map(|walk| walk.summary.begun.format("%Y-%m-%d-%H%M").to_string());
    let names: Vec<&str> = chosen.iter().map(|walk| walk.name.as_str()).collect();
    format!("{}-{kind}-{}.md", first.unwrap_or_default(), joined(&names))
}

/// The names of walks for a file name. A drain of some weeks has more walks than a file name holds;
/// then the first are named, and eight digits stand for exactly these walks, so that a record of
/// others never replaces it.
fn joined(names: &[&str]) -> String {
    /// A file name holds 255 bytes on common systems; the rest of the name needs less than 50.
    const LONGEST: usize = 100;
    let all = names.join("-");
    if all.len() <= LONGEST {
        return all;
    }
    let (first, others) = names.split_at(names.len().min(3));
    let digits = fingerprint(all.as_bytes());
    format!(
        "{}-and-{}-more-{}",
        first.join("-"),
        others.len(),
        digits.get(..8).unwrap_or(&digits)
    )
}

fn write(path: &Path, text: &str) -> Result<(), Failure> {
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        make_folder(folder, Readers::Owner).map_err(|why| Failure::unusable(why.to_string()))?;
    }
    write_whole(path, text.as_bytes(), Readers::Owner, Present::Replace)
        .map_err(|why| Failure::unusable(why.to_string()))
}

/// The journal keeps which record was written, so that a filed one can be recognised.
fn note_written(
    desk: &Desk,
    journal: &mut Journal,
    chosen: &[NamedWalk],
    path: &Path,
    text: &str,
) -> Result<(), Failure> {
    let entry = NewEntry {
        drain: chosen.iter().find_map(|walk| walk.summary.drain),
        walk: None,
        session: desk.session,
        seen: desk.now(),
        written: desk.now(),
        by: desk.by.clone(),
        rehearsal: desk.clock.is_rehearsal(),
        what: What::RecordWritten {
            path: PathBuf::from(path).display().to_string(),
            sha256: TextHash::of(text.as_bytes()),
            about: RecordAbout::default(),
        },
    };
    journal
        .append(&entry)
        .map(drop)
        .map_err(|why| journal_failure(&why))
}

fn compare(file: &Path, text: &str) -> Result<(), Failure> {
    let filed = local_folder::text(file)?;
    if filed == text {
        return out::line(&format!("{} is what the journal says", file.display()));
    }
    let line = filed
        .lines()
        .zip(text.lines())
        .take_while(|(a, b)| a == b)
        .count()
        + 1;
    let shown = |text: &str| text.lines().nth(line - 1).unwrap_or("(the end)").to_owned();
    Err(Failure::new(
        Kind::Problems,
        format!(
            "{} is not what the journal says, from line {line} on\n  filed:   {}\n  journal: {}",
            file.display(),
            shown(&filed),
            shown(text)
        ),
    )
    .hint(
        "write the record again if the walk went on since; otherwise find out who changed the file",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_of_very_many_walks_has_a_file_name_of_its_own_that_fits() {
        assert_eq!(joined(&["w1", "w2", "w4"]), "w1-w2-w4");
        let names: Vec<String> = (1..=5000).map(|number| format!("w{number}")).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let all = joined(&names);
        assert!(all.starts_with("w1-w2-w3-and-4997-more-"), "{all}");
        assert!(all.len() < 100, "{all}");
        let mut others = names.clone();
        others[2000] = "w6000";
        assert_ne!(joined(&others), all);
    }
}
