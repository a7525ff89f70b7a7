//! `local print` and `local draw`: a checklist on paper, and as a map.

use std::path::Path;

use crate::cli::{CAUTION, Common, DrawArgs, PrintArgs};
use crate::failure::{Failure, Kind};
use crate::files::{Present, Readers, write_whole};
use crate::map;
use crate::paper;

use super::desk::Desk;
use super::out;
use super::standing;
use super::start::known_list;

/// Prints a checklist as a form.
///
/// # Errors
/// A failure when the checklists are unfit, the list is not known, or the file cannot be written.
pub fn print(common: &Common, args: &PrintArgs) -> Result<(), Failure> {
    let desk = Desk::open(common)?;
    let approval = standing::words(&desk);
    let wanted = paper::Wanted {
        list: known_list(&desk, &args.list)?,
        with_used: !args.alone,
        approval: &approval,
        caution: CAUTION,
    };
    let form = paper::form(&desk.library, wanted);
    let text = if args.html {
        paper::html::write(&form)
    } else {
        paper::markdown::write(&form)
    };
    put(args.out.as_deref(), &text)
}

/// Draws a checklist as a map.
///
/// # Errors
/// As for [`print()`].
pub fn draw(common: &Common, args: &DrawArgs) -> Result<(), Failure> {
    let desk = Desk::open(common)?;
    let map = map::map(&desk.library, known_list(&desk, &args.list)?);
    match &args.svg {
        Some(file) => {
            let picture = map::svg::write(&map).map_err(|why| {
                Failure::unusable(why.to_string()).hint("draw it as text, or with --mermaid")
            })?;
            put(Some(file), &picture)
        }
        None if args.mermaid => out::raw(&map::mermaid::write(&map)),
        None => out::raw(&map::text::write(&map)),
    }
}

/// Writes a text to a file, or prints it.
fn put(file: Option<&Path>, text: &str) -> Result<(), Failure> {
    let Some(file) = file else {
        return out::raw(text);
    };
    write_whole(file, text.as_bytes(), Readers::Owner, Present::Replace)
        .map_err(|why| Failure::new(Kind::Unusable, why.to_string()))?;
    out::line(&format!("written: {}", file.display()))
}

#[cfg(test)]
mod tests {
    use crate::checklist::load::load;
    use crate::checklist::shelf::Shelf;
    use crate::cli::CAUTION;
    use crate::paper::{Wanted, form, html};
    use crate::tables::write_file;

    /// Every list as a form, for the checks in a browser.
    #[test]
    fn writes_tables_of_forms() {
        let library = load(&Shelf::shipped()).library.unwrap();
        for (list, one) in library.lists() {
            let wanted = Wanted {
                list,
                with_used: one.name.as_str() == "no-swing",
                approval: "shipped, not approved here",
                caution: CAUTION,
            };
            let page = html::write(&form(&library, wanted));
            assert!(page.contains("Hospital label"));
            write_file("forms", &format!("{}.html", one.name), &page);
        }
    }
}
