//! Reads the unit's own folder. The only place where checklist files are read from a disk.

use std::fs;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use crate::checklist::approval;
use crate::checklist::shelf::{Shelf, SourceFile};
use crate::cli::Common;
use crate::failure::Failure;
use crate::moment::{Clock, Moment, Zone};

/// A larger file is not read at all: no checklist comes near it.
const LARGEST_FILE: u64 = 4 * 1024 * 1024;

/// The shipped files, with the unit's own over them when there is a folder.
///
/// # Errors
/// A failure when the folder or a file in it cannot be read; what a file says is judged later.
pub fn shelf(common: &Common) -> Result<Shelf, Failure> {
    let shelf = Shelf::shipped();
    let day = today(common);
    let Some(folder) = common.local.as_deref() else {
        return Ok(shelf);
    };
    if !folder.is_dir() {
        return Err(
            Failure::unusable(format!("{} is not a folder", folder.display()))
                .hint("name the unit's own folder with --local DIR, or leave it out")
                .hint(format!("make one: tubeside local new {}", folder.display())),
        );
    }
    let mut files = Vec::new();
    for name in [
        "local.yaml",
        "waivers.yaml",
        "safeguards.yaml",
        approval::FILE,
    ] {
        let path = folder.join(name);
        if is_there(&path) {
            files.push(SourceFile {
                path: name.to_owned(),
                bytes: read(&path)?.bytes,
            });
        }
    }
    for inner in ["checklists", "adaptations", "adaptations/base"] {
        let lists = folder.join(inner);
        if !is_there(&lists) {
            continue;
        }
        for path in yaml_files(&lists)? {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            files.push(SourceFile {
                path: format!("{inner}/{name}"),
                bytes: read(&path)?.bytes,
            });
        }
    }
    Ok(shelf
        .on(day)
        .with_unit(&folder.display().to_string(), files))
}

/// The day of the clock that this run goes by. The unit's zone is not known yet when its files are
/// read, so the computer's is taken: a waiver may end some hours off midnight.
#[must_use]
pub fn today(common: &Common) -> NaiveDate {
    let set = common.clock.as_deref();
    match set.and_then(|text| Moment::parse_from_rfc3339(text).ok()) {
        Some(moment) => moment.date_naive(),
        None => Clock::computer(Zone::System).now().date_naive(),
    }
}

/// The text of a template of the unit's own, if it has one.
///
/// # Errors
/// A failure when the file is there and cannot be read as text.
pub fn template(folder: Option<&Path>, name: &str) -> Result<Option<(PathBuf, String)>, Failure> {
    let Some(path) = folder.map(|folder| folder.join("reports/templates").join(name)) else {
        return Ok(None);
    };
    if !is_there(&path) {
        return Ok(None);
    }
    let file = read(&path)?;
    match String::from_utf8(file.bytes) {
        Ok(text) => Ok(Some((path, text))),
        Err(_) => Err(
            Failure::unusable(format!("{} is not UTF-8 text", path.display()))
                .hint("save it as UTF-8"),
        ),
    }
}

/// Reads a text file that a person named on the command line.
///
/// # Errors
/// A failure that says what is wrong with the file.
pub fn text(path: &Path) -> Result<String, Failure> {
    let file = read(path)?;
    String::from_utf8(file.bytes)
        .map_err(|_| Failure::unusable(format!("{} is not UTF-8 text", path.display())))
}

/// Whether something of that name is there, be it a link that leads nowhere: then it must be told
/// that it cannot be read, and not be taken as left out.
fn is_there(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// The checklist files of a folder, by name.
fn yaml_files(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let unreadable = |why: std::io::Error| {
        Failure::unusable(format!(
            "the folder {} cannot be read: {why}",
            folder.display()
        ))
    };
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        let is_yaml = path
            .extension()
            .is_some_and(|ext| ext == "yaml" || ext == "yml");
        if is_yaml {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

fn read(path: &Path) -> Result<SourceFile, Failure> {
    let shown = path.display();
    let unreadable = |why: std::io::Error| {
        Failure::unusable(format!("{shown} cannot be read: {why}"))
            .hint("check that the file is there and that you may read it")
    };
    let about = fs::metadata(path).map_err(unreadable)?;
    if about.is_dir() {
        return Err(Failure::unusable(format!(
            "{shown} is a folder, where a file should be"
        )));
    }
    if about.len() > LARGEST_FILE {
        return Err(Failure::unusable(format!(
            "{shown} has {} MB, and nothing over {} MB is read",
            about.len() / 1_048_576,
            LARGEST_FILE / 1_048_576
        )));
    }
    let bytes = fs::read(path).map_err(unreadable)?;
    Ok(SourceFile {
        path: shown.to_string(),
        bytes,
    })
}

/// The unit's own trials.
///
/// # Errors
/// A failure when the folder or a file in it cannot be read.
pub fn trials(folder: Option<&Path>) -> Result<Vec<SourceFile>, Failure> {
    let Some(folder) = folder.map(|folder| folder.join("checklists/trials")) else {
        return Ok(Vec::new());
    };
    if !folder.exists() {
        return Ok(Vec::new());
    }
    yaml_files(&folder)?.iter().map(|path| read(path)).collect()
}
