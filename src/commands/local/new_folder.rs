//! `local new` and `local adapt`: files to start from, and an adaptation set on a newer list.

use std::path::Path;

use chrono::{Months, NaiveDate};
use serde::Serialize;

use crate::checklist::load::{load, load_as_written};
use crate::checklist::problem::{Problem, Severity};
use crate::checklist::shelf::{Shelf, fingerprint};
use crate::cli::Common;
use crate::commands::desk::unfit;
use crate::commands::{find, local_folder, out};
use crate::failure::{Failure, Kind};
use crate::files::{Present, Readers, Trouble, make_folder, write_whole};

use super::starters::{self, Base};

/// The list for which `local new` makes an adaptation to start from.
const EXAMPLE: &str = "no-swing";

/// What became of each file.
#[derive(Debug, Serialize)]
struct Made {
    folder: String,
    written: Vec<String>,
    /// Files that were there already and are as they were.
    left: Vec<String>,
}

/// Makes a folder with files to start from. What is there already is left as it is.
///
/// # Errors
/// A failure when the folder or a file cannot be written.
pub fn new(common: &Common, folder: &Path, json: bool) -> Result<(), Failure> {
    let shelf = Shelf::shipped();
    let base = shipped_list(&shelf, EXAMPLE)?;
    let review_by = in_a_year(common);
    let example = starters::example_adaptation(&Base {
        list: EXAMPLE,
        version: &version_of(&base),
        hash: &hash(&base),
        review_by,
    });
    let files = [
        ("READ-ME.md", starters::read_me(folder, review_by)),
        ("local.yaml", starters::local_yaml(&shelf)?),
        ("waivers.yaml", starters::waivers()),
        ("adaptations/no-swing.yaml", example),
        ("adaptations/base/no-swing.yaml", base),
    ];
    for inner in ["", "adaptations/base", "checklists/trials", "reports"] {
        make_folder(&folder.join(inner), Readers::Usual)
            .map_err(|why| Failure::unusable(why.to_string()))?;
    }
    let mut made = Made {
        folder: folder.display().to_string(),
        written: Vec::new(),
        left: Vec::new(),
    };
    for (name, text) in files {
        put(folder, name, &text, &mut made)?;
    }
    if json {
        return out::json(&made);
    }
    out::wrapped(&format!("A folder for your unit: {}", made.folder))?;
    for name in &made.written {
        out::wrapped(&format!("  written: {name}"))?;
    }
    for name in &made.left {
        out::wrapped(&format!("  was there, left as it is: {name}"))?;
    }
    out::wrapped(&format!(
        "\nRead {}/READ-ME.md first. Then fill in local.yaml and look at it:\n  tubeside local check --local {}",
        made.folder, made.folder
    ))
}

/// The day a year from now, by which what is written now is looked at again.
fn in_a_year(common: &Common) -> NaiveDate {
    let today = local_folder::today(common);
    today.checked_add_months(Months::new(12)).unwrap_or(today)
}

/// Starts an adaptation of a shipped list, or sets the one that is there on the list as it is
/// shipped now.
///
/// # Errors
/// A failure when there is no unit's folder or no such list, or when a change no longer fits.
pub fn adapt(common: &Common, list: &str, json: bool) -> Result<(), Failure> {
    let folder = unit_folder(common)?;
    let base = shipped_list(&Shelf::shipped(), list)?;
    let path = folder.join("adaptations").join(format!("{list}.yaml"));
    if path.exists() {
        return renew(common, folder, list, &base, json);
    }
    make_folder(&folder.join("adaptations/base"), Readers::Usual)
        .map_err(|why| Failure::unusable(why.to_string()))?;
    let text = starters::adaptation(&Base {
        list,
        version: &version_of(&base),
        hash: &hash(&base),
        review_by: in_a_year(common),
    });
    let mut made = Made {
        folder: folder.display().to_string(),
        written: Vec::new(),
        left: Vec::new(),
    };
    write_base(folder, list, &base)?;
    made.written.push(format!("adaptations/base/{list}.yaml"));
    put(
        folder,
        &format!("adaptations/{list}.yaml"),
        &text,
        &mut made,
    )?;
    if json {
        return out::json(&made);
    }
    out::wrapped(&format!(
        "written: {}\nThe shipped list, to read beside it: adaptations/base/{list}.yaml",
        path.display()
    ))
}

/// Sets an adaptation on the list as it is shipped now, when every change still fits.
fn renew(
    common: &Common,
    folder: &Path,
    list: &str,
    base: &str,
    json: bool,
) -> Result<(), Failure> {
    let path = folder.join("adaptations").join(format!("{list}.yaml"));
    let shelf = local_folder::shelf(common)?;
    let loaded = load_as_written(&shelf);
    let is_of_it = |problem: &&Problem| {
        problem.severity() == Severity::Error && Path::new(&problem.file) == path
    };
    let wrong: Vec<Problem> = loaded.problems.iter().filter(is_of_it).cloned().collect();
    if !wrong.is_empty() {
        return Err(unfit(&wrong));
    }
    let text = local_folder::text(&path)?;
    let now = on_base(&text, &version_of(base), &hash(base));
    let moved = now != text;
    if moved {
        write_base(folder, list, base)?;
        write_whole(&path, now.as_bytes(), Readers::Usual, Present::Replace)
            .map_err(|why| Failure::new(Kind::Unusable, why.to_string()))?;
    }
    if json {
        return out::json(&serde_json::json!({
            "list": list, "base": version_of(base), "moved": moved
        }));
    }
    out::wrapped(&if moved {
        format!(
            "{} now stands on {list} {}; all changes fit. Approve it anew: tubeside local approve",
            path.display(),
            version_of(base)
        )
    } else {
        format!(
            "{} stands on {list} {} already; nothing is to be done",
            path.display(),
            version_of(base)
        )
    })
}

/// The adaptation with its two lines about the base as they must be for this one.
fn on_base(text: &str, version: &str, hash: &str) -> String {
    let lines = text.split_inclusive('\n').map(|line| {
        let end = if line.ends_with("\r\n") { "\r\n" } else { "\n" };
        if line.starts_with("base:") {
            format!("base: {version}{end}")
        } else if line.starts_with("base_hash:") {
            format!("base_hash: \"{hash}\"{end}")
        } else {
            line.to_owned()
        }
    });
    lines.collect()
}

/// The unit's folder, which must be named.
///
/// # Errors
/// A usage failure when it is not.
pub(super) fn unit_folder(common: &Common) -> Result<&Path, Failure> {
    common.local.as_deref().ok_or_else(|| {
        Failure::usage("the unit's folder is not named")
            .hint("add --local DIR, or set TUBESIDE_LOCAL")
            .hint("make one: tubeside local new DIR")
    })
}

/// The text of a shipped list.
fn shipped_list(shelf: &Shelf, list: &str) -> Result<String, Failure> {
    let known = [
        "limits",
        "duties",
        "local-facts",
        "glossary",
        "hazards",
        "safeguards",
    ];
    let file = shelf.file(&format!("checklists/{list}.yaml"));
    match file.filter(|_| !known.contains(&list)) {
        Some(bytes) => Ok(String::from_utf8_lossy(bytes).into_owned()),
        None => {
            let failure = Failure::usage(format!("there is no shipped checklist \"{list}\""));
            let library = load(shelf).library;
            let words = [list.replace('-', " ")];
            let found = library.map(|library| find::matches(&library, &words));
            let best = found.iter().flatten().next();
            let failure = match best {
                Some(best) => failure.hint(format!("perhaps: tubeside local adapt {}", best.name)),
                None => failure,
            };
            Err(failure.hint("find one by what you see: tubeside find WORDS"))
        }
    }
}

fn version_of(list: &str) -> String {
    let line = list.lines().find_map(|line| line.strip_prefix("version:"));
    line.unwrap_or_default().trim().trim_matches('"').to_owned()
}

fn hash(list: &str) -> String {
    fingerprint(list.as_bytes())
}

/// Keeps the shipped list beside the adaptation.
fn write_base(folder: &Path, list: &str, text: &str) -> Result<(), Failure> {
    let path = folder.join("adaptations/base").join(format!("{list}.yaml"));
    make_folder(&folder.join("adaptations/base"), Readers::Usual)
        .and_then(|()| write_whole(&path, text.as_bytes(), Readers::Usual, Present::Replace))
        .map_err(|why| Failure::unusable(why.to_string()))
}

/// Writes a file unless one of that name is there.
fn put(folder: &Path, name: &str, text: &str, made: &mut Made) -> Result<(), Failure> {
    let path = folder.join(name);
    match write_whole(&path, text.as_bytes(), Readers::Usual, Present::Keep) {
        Ok(()) => made.written.push(name.to_owned()),
        Err(why) if why.trouble == Trouble::Exists => made.left.push(name.to_owned()),
        Err(why) => return Err(Failure::unusable(why.to_string())),
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_two_lines_about_the_base_are_written_anew() {
        let text = "adapts: x\nbase: 1.0.0 # old\nbase_hash: \"a\"\nchanges:\n  - base: no\n";
        let now = on_base(text, "1.1.0", "b");
        assert_eq!(
            now,
            "adapts: x\nbase: 1.1.0\nbase_hash: \"b\"\nchanges:\n  - base: no\n"
        );
        let windows = on_base("base: 1.0.0\r\n", "1.1.0", "b");
        assert_eq!(windows, "base: 1.1.0\r\n");
    }
}
