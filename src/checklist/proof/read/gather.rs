//! Every safeguard that holds for a library: the shipped ones, which no unit can take away, and
//! those that the unit adds.

use crate::checklist::model::Library;
use crate::checklist::proof::rule::Safeguard;
use crate::checklist::shelf::{Role, Shelf, SourceFile, role};

use super::{Fault, Unfit, read};

/// The shipped file of safeguards.
const SHIPPED: &str = "checklists/safeguards.yaml";
/// The unit's own, as it stands on a shelf.
const OWN: &str = "local/safeguards.yaml";

/// All safeguards of a shelf: those of the shipped files first, whatever is on the shelf, then the
/// unit's own `safeguards.yaml`, then those in the heads of its lists.
///
/// # Errors
/// Everything that is wrong with them, file by file.
pub fn gather(shelf: &Shelf, library: &Library) -> Result<Vec<Safeguard>, Vec<Unfit>> {
    let shipped = Shelf::shipped();
    let mut found: Vec<Safeguard> = Vec::new();
    let mut wrong = Vec::new();
    for from in [&shipped, shelf] {
        for file in files(from) {
            match read(&file, library) {
                Ok(more) => {
                    for safeguard in more {
                        add(&mut found, &mut wrong, safeguard, &file);
                    }
                }
                // A file that is shipped and on the shelf is told once.
                Err(more) => more.into_iter().for_each(|unfit| {
                    if !wrong.contains(&unfit) {
                        wrong.push(unfit);
                    }
                }),
            }
        }
    }
    if wrong.is_empty() {
        Ok(found)
    } else {
        Err(wrong)
    }
}

/// Adds one, unless its name says something else already: a safeguard can be added, not replaced.
fn add(
    found: &mut Vec<Safeguard>,
    wrong: &mut Vec<Unfit>,
    safeguard: Safeguard,
    file: &SourceFile,
) {
    match found.iter().find(|one| one.name == safeguard.name) {
        None => found.push(safeguard),
        Some(one) if *one == safeguard => {}
        Some(_) => wrong.push(Unfit {
            file: file.path.clone(),
            line: 1,
            column: 1,
            fault: Fault::Taken {
                name: safeguard.name,
            },
        }),
    }
}

/// The files of a shelf that hold safeguards, as people know them.
fn files(shelf: &Shelf) -> Vec<SourceFile> {
    let holds = |path: &str, bytes: &[u8]| match path {
        SHIPPED | OWN => true,
        _ => matches!(role(path), Role::List(_)) && names_safeguards(bytes),
    };
    let mut files: Vec<_> = shelf
        .files()
        .filter(|(path, bytes)| holds(path, bytes))
        .collect();
    files.sort_by_key(|(path, _)| (*path != SHIPPED, *path != OWN));
    files
        .into_iter()
        .map(|(path, bytes)| SourceFile {
            path: shelf.shown(path),
            bytes: bytes.to_vec(),
        })
        .collect()
}

/// Whether a list has safeguards in its head.
fn names_safeguards(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    text.lines().any(|line| {
        line.trim_start_matches(['"', '\'', '\u{feff}'])
            .starts_with("safeguards")
    })
}
