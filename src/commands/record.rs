//! `record setup|incident|handover|chart`: a document made from the journal.

use std::path::{Path, PathBuf};

use crate::checklist::model::{Library, ListKind};
use crate::checklist::shelf::fingerprint;
use crate::cli::{RecordArgs, RecordFormat, RecordKind};
use crate::failure::{Failure, Kind};
use crate::files::{Present, Readers, make_folder, write_whole};
use crate::journal::{Journal, RecordAbout, TextHash, What};
use crate::record::html::{self, Figure};
use crate::walk::story::Telling;

use super::amend::keep;
use super::chart;
use super::desk::Desk;
use super::fhir;
use super::filed::difference;
use super::gather::{Gathered, Notes, gather};
use super::handle::{NamedDrain, NamedWalk, find_drain, find_walk, walks_on};
use super::handover::on_drain;
use super::local_folder;
use super::logbook::{Brought, Reader};
use super::out;
use super::personal::caution;
use super::render::Facts;

/// Writes, prints or compares a record.
///
/// # Errors
/// A failure when there is nothing to record, a template is unfit, or a file cannot be written.
pub fn run(desk: &Desk, args: &RecordArgs) -> Result<(), Failure> {
    if let Some(file) = &args.from_facts {
        return from_facts(desk, args, file);
    }
    let (mut journal, writes) = open(desk, args)?;
    let drain = match &args.drain {
        Some(text) => Some(find_drain(&journal, text)?),
        None => None,
    };
    let chosen = chosen_walks(&journal, args, drain.as_ref())?;
    let format = if args.facts {
        RecordFormat::Json
    } else {
        args.format
    };
    let made = make(
        desk,
        &journal,
        args.kind,
        format,
        &chosen,
        drain.as_ref(),
        i64::MAX,
    )?;
    if let Some(file) = &args.check {
        return compare(file, &made.text);
    }
    for loss in &made.losses {
        caution(&format!("not in this format: {loss}"));
    }
    let printed = args.facts || args.out.as_deref() == Some(Path::new("-"));
    if printed {
        out::raw(&made.text)?;
        let how = if args.format == RecordFormat::Markdown && !args.facts {
            "printed"
        } else {
            "exported"
        };
        if writes {
            return note_left(desk, &mut journal, &made, Path::new("-"), how);
        }
        caution("this was not noted in the journal, which can only be read");
        return Ok(());
    }
    let path = match &args.out {
        Some(path) => path.clone(),
        None => desk
            .reports_folder()?
            .join(file_name(args, &chosen, drain.as_ref())),
    };
    write(&path, &made.text)?;
    // A page carries the picture in itself.
    if let (RecordKind::Chart, RecordFormat::Markdown, Some(drain)) =
        (args.kind, args.format, &made.drain)
    {
        chart::beside(desk, &journal, drain.clone(), &path)?;
    }
    note_left(desk, &mut journal, &made, &path, "filed")?;
    out::line(&format!("written: {}", path.display()))
}

/// The journal, and whether it can be written to. Comparing reads only; printing notes itself where
/// it can, and never fails because it cannot.
fn open(desk: &Desk, args: &RecordArgs) -> Result<(Journal, bool), Failure> {
    let printed = args.facts || args.out.as_deref() == Some(Path::new("-"));
    if args.check.is_some() || !desk.journal_path()?.exists() {
        return desk.journal_to_read().map(|journal| (journal, false));
    }
    match desk.journal() {
        Ok(journal) => Ok((journal, true)),
        Err(_) if printed => desk.journal_to_read().map(|journal| (journal, false)),
        Err(failure) => Err(failure),
    }
}

/// A record, and what it was made from.
pub struct Made {
    /// The record.
    pub text: String,
    /// What found no place in its format, a line each.
    pub losses: Vec<String>,
    /// What it was made from.
    pub about: RecordAbout,
    /// The drain.
    drain: Option<NamedDrain>,
}

/// Makes the record of these walks as the journal stood at `upto`.
///
/// # Errors
/// A failure when a walk cannot be brought back or the template is unfit.
pub fn make(
    desk: &Desk,
    journal: &Journal,
    kind: RecordKind,
    format: RecordFormat,
    chosen: &[NamedWalk],
    drain: Option<&NamedDrain>,
    upto: i64,
) -> Result<Made, Failure> {
    let notes = match kind {
        RecordKind::Handover | RecordKind::Chart => Notes::All,
        RecordKind::Setup | RecordKind::Incident => Notes::About,
    };
    let gathered = gather(desk, journal, chosen, drain, notes, upto)?;
    let facts = Facts::of(desk, kind, journal, &gathered)?;
    let (text, losses) = match format {
        RecordFormat::Fhir => fhir::of_record(desk, kind, journal, &gathered, chosen)?,
        RecordFormat::Html => {
            let picture = picture(desk, kind, journal, &gathered)?;
            let markdown = facts.markdown(desk)?;
            (html::page(&markdown, picture.as_ref()), Vec::new())
        }
        _ => (formed(desk, &facts, format)?, Vec::new()),
    };
    Ok(Made {
        text,
        losses,
        about: RecordAbout {
            kind: kind.word().to_owned(),
            form: format.word().to_owned(),
            how: String::new(),
            walks: chosen.iter().map(|walk| walk.summary.walk).collect(),
            upto: i64::try_from(gathered.header.journal.sequence).unwrap_or(i64::MAX),
        },
        drain: gathered.drain,
    })
}

/// How wide the picture in a page is drawn, pixels. A sheet is 180 mm wide between its margins, which
/// the page takes for 680: so the picture fills one sheet, and its letters come out at 9 to 13 points.
const PICTURE: u16 = 520;

/// The picture of the chart, in a record that carries one, as the journal stood.
fn picture(
    desk: &Desk,
    kind: RecordKind,
    journal: &Journal,
    gathered: &Gathered,
) -> Result<Option<Figure>, Failure> {
    if !matches!(kind, RecordKind::Chart | RecordKind::Handover) {
        return Ok(None);
    }
    let chart = chart::gathered(desk, journal, gathered)?;
    let Some(chart) = chart else { return Ok(None) };
    let (svg, notes) = chart::figure(&chart, PICTURE)?;
    Ok(Some(Figure { svg, notes }))
}

/// The facts in that format.
fn formed(desk: &Desk, facts: &Facts, format: RecordFormat) -> Result<String, Failure> {
    match format {
        RecordFormat::Markdown => facts.markdown(desk),
        RecordFormat::Html => facts.markdown(desk).map(|text| html::page(&text, None)),
        RecordFormat::Json => facts.json(),
        RecordFormat::Fhir => Err(Failure::usage("facts do not hold the answers one by one")
            .hint("make it from the journal: tubeside record KIND --drain d1 --format fhir")),
    }
}

/// A record made again from facts that were printed before; the journal is not looked at.
fn from_facts(desk: &Desk, args: &RecordArgs, file: &Path) -> Result<(), Failure> {
    let text = local_folder::text(file)?;
    let facts = Facts::read(args.kind, &text).map_err(|why| {
        Failure::new(Kind::Problems, format!("{}: {why}", file.display()))
            .hint("print the facts again: tubeside record KIND --drain d1 --facts")
    })?;
    let text = formed(desk, &facts, args.format)?;
    if args.format == RecordFormat::Html
        && matches!(args.kind, RecordKind::Chart | RecordKind::Handover)
    {
        caution("facts hold no picture; the page made from the journal has one");
    }
    if let Some(file) = &args.check {
        return compare(file, &text);
    }
    match args.out.as_deref() {
        None => out::raw(&text),
        Some(path) if path == Path::new("-") => out::raw(&text),
        Some(path) => {
            write(path, &text)?;
            out::line(&format!("written: {}", path.display()))
        }
    }
}

/// The walks that belong in the record: those named, or those of the drain that are of its kind.
///
/// # Errors
/// A usage failure when a walk or drain is not known or none belongs in the record.
fn chosen_walks(
    journal: &Journal,
    args: &RecordArgs,
    drain: Option<&NamedDrain>,
) -> Result<Vec<NamedWalk>, Failure> {
    if !args.walk.is_empty() {
        return args
            .walk
            .iter()
            .map(|text| find_walk(journal, text))
            .collect();
    }
    let Some(drain) = drain else {
        return Err(Failure::usage("which drain or walk?")
            .hint("add --drain d1 (see: tubeside drain list) or --walk w1"));
    };
    if matches!(args.kind, RecordKind::Handover | RecordKind::Chart) {
        return on_drain(journal, drain);
    }
    let mut chosen = Vec::new();
    let mut reader = Reader::of(journal);
    for walk in walks_on(journal, drain.summary.drain)? {
        if belongs(&reader.bring(walk.summary.walk)?, args.kind) {
            chosen.push(walk);
        }
    }
    if chosen.is_empty() {
        let what = match args.kind {
            RecordKind::Setup => "preparing or connecting",
            RecordKind::Incident | RecordKind::Handover | RecordKind::Chart => {
                "a fault or an emergency"
            }
        };
        return Err(
            Failure::usage(format!("nothing of this drain is a walk of {what}"))
                .hint("name the walks yourself with --walk"),
        );
    }
    Ok(chosen)
}

/// Setup: what began as preparing or connecting. Incident: every walk in which a fault list or an
/// urgent list was followed, however it began. Handover: everything.
fn belongs(brought: &Brought, kind: RecordKind) -> bool {
    let library: &Library = brought.walk.library();
    let began = library
        .find(brought.walk.list().as_str())
        .map(|id| library.list(id).kind);
    let setup = matches!(began, Some(ListKind::Prepare | ListKind::Connect));
    match kind {
        RecordKind::Setup => setup,
        RecordKind::Incident => brought.walk.story().iter().any(|told| match &told.what {
            Telling::ListBegun { kind, .. } => matches!(kind, ListKind::Fault | ListKind::Urgent),
            _ => false,
        }),
        RecordKind::Handover | RecordKind::Chart => true,
    }
}

fn file_name(args: &RecordArgs, chosen: &[NamedWalk], drain: Option<&NamedDrain>) -> String {
    let begun = match (args.kind, drain) {
        (RecordKind::Handover | RecordKind::Chart, Some(drain)) => Some(drain.summary.opened),
        _ => chosen.first().map(|walk| walk.summary.begun),
    };
    let names: Vec<&str> = match (args.kind, drain) {
        (RecordKind::Handover | RecordKind::Chart, Some(drain)) => vec![drain.name.as_str()],
        _ => chosen.iter().map(|walk| walk.name.as_str()).collect(),
    };
    format!(
        "{}-{}-{}.{}",
        begun
            .map(|begun| begun.format("%Y-%m-%d-%H%M").to_string())
            .unwrap_or_default(),
        args.kind.word(),
        joined(&names),
        args.format.ending()
    )
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

/// Writes a text whole into a file, for its owner alone, and makes the folder it stands in.
///
/// # Errors
/// A failure that says why it could not be written; then nothing stands there that is not whole.
pub fn write(path: &Path, text: &str) -> Result<(), Failure> {
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        make_folder(folder, Readers::Owner).map_err(|why| Failure::unusable(why.to_string()))?;
    }
    write_whole(path, text.as_bytes(), Readers::Owner, Present::Replace)
        .map_err(|why| Failure::unusable(why.to_string()))
}

/// The journal keeps which record left it and how, so that a filed one can be recognised.
fn note_left(
    desk: &Desk,
    journal: &mut Journal,
    made: &Made,
    path: &Path,
    how: &str,
) -> Result<(), Failure> {
    let what = What::RecordWritten {
        path: PathBuf::from(path).display().to_string(),
        sha256: TextHash::of(made.text.as_bytes()),
        about: RecordAbout {
            how: how.to_owned(),
            ..made.about.clone()
        },
    };
    let drain = made.drain.as_ref().map(|drain| drain.summary.drain);
    keep(desk, journal, drain, None, what)
}

fn compare(file: &Path, text: &str) -> Result<(), Failure> {
    let filed = local_folder::text(file)?;
    let Some(place) = difference(&filed, text) else {
        return out::line(&format!("{} is what the journal says", file.display()));
    };
    Err(Failure::new(
        Kind::Problems,
        format!(
            "{} is not what the journal says, from {place}",
            file.display()
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
