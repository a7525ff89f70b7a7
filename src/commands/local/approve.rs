//! `local approve`: approving the unit's checklists, when nothing stands against it.

use std::path::Path;

use chrono::NaiveDate;
use serde::Serialize;

use crate::checklist::approval::{self, Approval, Approvals, waivers_on};
use crate::checklist::compare::compare as differences;
use crate::checklist::load::{load, load_as_written};
use crate::checklist::model::Library;
use crate::checklist::shelf::Shelf;
use crate::cli::{ApproveArgs, Common};
use crate::commands::desk::{PROGRAM, clock, unfit, writer};
use crate::commands::{local_folder, out, trial};
use crate::failure::{Failure, Kind};
use crate::files::{Present, Readers, write_whole};
use crate::journal::By;

use super::compare;
use super::new_folder::unit_folder;
use super::proof;
use super::prove::Subject;
use super::starters;

/// One thing that stands against an approval, and what to do about it.
#[derive(Debug, PartialEq, Eq, Serialize)]
struct Against {
    what: String,
    #[serde(rename = "do")]
    advice: String,
}

impl Against {
    fn new(what: impl Into<String>, advice: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            advice: advice.into(),
        }
    }
}

/// What `local approve --json` prints.
#[derive(Serialize)]
struct Told<'a> {
    approved: bool,
    against: &'a [Against],
    approval: Option<&'a Approval>,
}

/// Approves the unit's checklists as they are, when nothing stands against it.
///
/// # Errors
/// A failure that tells everything that stands against it, or that the file cannot be written.
pub fn approve(common: &Common, args: &ApproveArgs) -> Result<(), Failure> {
    let folder = unit_folder(common)?;
    let by = approver(common)?;
    let shelf = local_folder::shelf(common)?;
    let loaded = load_as_written(&shelf);
    let Some(library) = loaded.library else {
        return Err(unfit(&loaded.problems).hint("what has errors cannot be approved"));
    };
    let now = clock(common, library.unit().map(|unit| unit.zone))?.now();
    let day = now.date_naive();
    let mut against = Vec::new();
    let review_by = review_day(&args.review_by, day, &mut against);
    if args.because.trim().is_empty() {
        against.push(Against::new(
            "the reason is empty",
            "say why with --because \"...\"",
        ));
    }
    let authors = authors(&library, &by, &mut against);
    still_as_made(&library, &mut against);
    ended_waivers(&library, day, &mut against);
    let told = shipped().map(|shipped| compare::tell(&library, &shipped, None));
    let new_runs = told.map_or_else(Vec::new, |told| new_runs(&told));
    let mut checks = vec![format!(
        "{} checklists without errors",
        library.lists().count()
    )];
    if !against.is_empty() {
        let rest = "trials and proof have not been looked at yet";
        against.push(Against::new(
            rest,
            "put the rest right first, then approve again",
        ));
        return refuse(&against, args.json);
    }
    trials(common, &mut checks, &mut against)?;
    let seen = match new_runs.len() {
        0 => "no new order of what is called, opened, clamped or touched".to_owned(),
        count => format!("{count} new orders of what is called, opened, clamped or touched, shown"),
    };
    checks.push(seen);
    if !args.json {
        for run in &new_runs {
            out::wrapped(run)?;
        }
    }
    proof(common, &shelf, &mut checks, &mut against)?;
    if let (true, Some(review_by)) = (against.is_empty(), review_by) {
        let approval = Approval {
            by: by.to_string(),
            at: now.to_rfc3339_opts(chrono::SecondsFormat::Secs, false),
            because: args.because.trim().to_owned(),
            review_by,
            authors,
            waivers: waivers(&library, day),
            checks,
            program: PROGRAM.to_owned(),
            files: approval::files(&shelf),
            seal: String::new(),
        };
        return keep(folder, &shelf, approval, args.json);
    }
    refuse(&against, args.json)
}

fn shipped() -> Option<Library> {
    load(&Shelf::shipped()).library
}

/// What can happen with the unit's lists and could not before, for the eyes of whoever approves.
fn new_runs(told: &compare::Told) -> Vec<String> {
    let lists = told.runs.iter();
    lists
        .flat_map(|runs| {
            let orders = runs.new.orders.iter();
            orders.map(|order| {
                format!(
                    "{}, new: {}",
                    runs.list,
                    compare::order_words(order).trim_start()
                )
            })
        })
        .collect()
}

/// Who approves: initials and role, typed for this.
fn approver(common: &Common) -> Result<By, Failure> {
    let typed = common.by.as_deref().filter(|_| common.by_typed);
    let Some(text) = typed else {
        return Err(Failure::usage("who approves is not given")
            .hint("add --by with initials and role, like --by \"EF, ward manager\""));
    };
    if common.clock.is_some() {
        return Err(
            Failure::usage("nothing is approved with a clock that was set")
                .hint("leave --clock and TUBESIDE_CLOCK out"),
        );
    }
    let by = writer(text)?;
    if by.role.trim().is_empty() {
        return Err(Failure::usage(format!("\"{text}\" has no role"))
            .hint("write initials and role, like --by \"EF, ward manager\""));
    }
    Ok(by)
}

fn review_day(text: &str, today: NaiveDate, against: &mut Vec<Against>) -> Option<NaiveDate> {
    let day = NaiveDate::parse_from_str(text, "%Y-%m-%d").ok();
    match day {
        Some(day) if day > today => Some(day),
        Some(_) => {
            against.push(Against::new(
                format!("the review date {text} is not in the future"),
                "give a later day with --review-by",
            ));
            None
        }
        None => {
            against.push(Against::new(
                format!("\"{text}\" is not a day"),
                "write --review-by like 2027-06-30",
            ));
            None
        }
    }
}

/// Who wrote what the unit brings. Each file says it, and none of them is the approver.
fn authors(library: &Library, by: &By, against: &mut Vec<Against>) -> Vec<String> {
    let mut written: Vec<(String, Option<String>)> = Vec::new();
    let unit = library.unit();
    written.push((
        "local.yaml".to_owned(),
        unit.and_then(|unit| unit.author.clone()),
    ));
    if let Some(shipped) = shipped() {
        for own in differences(library, &shipped, None).lists {
            let list = library.find(&own.list).map(|id| library.list(id));
            let author = list.and_then(|list| list.author.clone());
            let folder = match list.and_then(|list| list.adapted.as_ref()) {
                Some(_) => "adaptations",
                None => "checklists",
            };
            written.push((format!("{folder}/{}.yaml", own.list), author));
        }
    }
    let mut authors = Vec::new();
    for (file, author) in written {
        match judge_author(&file, author.as_deref(), by) {
            Ok(author) => authors.push(author),
            Err(why) => against.push(why),
        }
    }
    authors.sort();
    authors.dedup();
    authors
}

fn judge_author(file: &str, author: Option<&str>, by: &By) -> Result<String, Against> {
    let write = "write there, without quotes, like \"author: AB, practice educator\"";
    let Some(author) = author else {
        return Err(Against::new(
            format!("{file} does not say who wrote it"),
            write,
        ));
    };
    let read = writer(author)
        .ok()
        .filter(|read| !read.role.trim().is_empty());
    let Some(read) = read.filter(|_| author != starters::NO_AUTHOR) else {
        return Err(Against::new(
            format!("the author in {file}, \"{author}\", is not initials and a role"),
            write,
        ));
    };
    if read.initials.eq_ignore_ascii_case(&by.initials) {
        return Err(Against::new(
            format!("{by} wrote {file}, and nobody approves what they wrote"),
            "let somebody else approve; two people with the same initials use a third letter",
        ));
    }
    Ok(read.to_string())
}

/// What `local new` writes to be filled in.
fn still_as_made(library: &Library, against: &mut Vec<Against>) {
    match library.unit() {
        None => against.push(Against::new(
            "there is no local.yaml",
            "make one to start from: tubeside local new DIR",
        )),
        Some(unit) if unit.name == starters::UNNAMED => against.push(Against::new(
            "the name of the unit in local.yaml is still the one to be written over",
            "write the name of your ward or department there",
        )),
        Some(_) => {}
    }
}

fn ended_waivers(library: &Library, day: NaiveDate, against: &mut Vec<Against>) {
    for waiver in library
        .waivers()
        .iter()
        .filter(|waiver| !waiver.acts_on(day))
    {
        against.push(Against::new(
            format!("the waiver for {} ended on {}", waiver.what, waiver.until),
            "take it out of waivers.yaml, or have it decided anew with a new day",
        ));
    }
}

/// What is waived on a day, in words.
pub(super) fn waivers(library: &Library, day: NaiveDate) -> Vec<String> {
    let waivers = waivers_on(library, day);
    waivers
        .into_iter()
        .map(|waiver| {
            format!(
                "{} until {}, by {}: {}",
                waiver.what, waiver.until, waiver.who, waiver.because
            )
        })
        .collect()
}

fn trials(
    common: &Common,
    checks: &mut Vec<String>,
    against: &mut Vec<Against>,
) -> Result<(), Failure> {
    let played = trial::play_all(common, None)?;
    checks.push(played.summary());
    if !played.failed.is_empty() {
        against.push(Against::new(
            format!(
                "{} trials do not end as they must:\n      {}",
                played.failed.len(),
                played.failed.join("\n      ")
            ),
            played
                .advice()
                .unwrap_or_else(|| "correct the list or the trial".to_owned()),
        ));
    }
    Ok(())
}

/// Every safeguard on every list. What a run breaks, what no longer bites and what cannot be decided
/// stand against an approval alike.
fn proof(
    common: &Common,
    shelf: &Shelf,
    checks: &mut Vec<String>,
    against: &mut Vec<Against>,
) -> Result<(), Failure> {
    let subject = Subject::read(common, shelf)?;
    let came = proof::of(&subject);
    checks.push(format!(
        "{} lists proved: safeguards kept {} times, waived {} times; {} lists as shipped, proved with the program",
        came.lists,
        came.kept,
        came.waived.len(),
        came.as_shipped
    ));
    checks.extend(came.waived.iter().map(|waived| format!("waived: {waived}")));
    let folder = unit_folder(common)?.display();
    against.extend(came.against.iter().map(|lost| {
        let list = lost.lists.first().map_or("LIST", |list| list.as_str());
        let advice = format!(
            "see what breaks it: tubeside local prove {list} --local {folder}; then correct the list"
        );
        Against::new(lost.to_string(), advice)
    }));
    Ok(())
}

/// Adds the approval to those that are there.
fn keep(folder: &Path, shelf: &Shelf, approval: Approval, json: bool) -> Result<(), Failure> {
    let path = folder.join(approval::FILE);
    let text = shelf.file(&format!("local/{}", approval::FILE));
    let read = text.map(String::from_utf8_lossy);
    let mut all = match read.as_deref().map(Approvals::read) {
        None => Approvals::default(),
        Some(Ok(all)) => all,
        Some(Err(why)) => {
            return Err(Failure::unusable(format!("{}: {why}", path.display()))
                .hint("put back the file as it was, or move it away and approve anew"));
        }
    };
    all.add(approval);
    let text = all.text().map_err(Failure::unusable)?;
    write_whole(&path, text.as_bytes(), Readers::Usual, Present::Replace)
        .map_err(|why| Failure::new(Kind::Unusable, why.to_string()))?;
    let Some(approval) = all.0.last() else {
        return Ok(());
    };
    if json {
        return out::json(&Told {
            approved: true,
            against: &[],
            approval: Some(approval),
        });
    }
    for check in &approval.checks {
        out::wrapped(check)?;
    }
    for waiver in &approval.waivers {
        out::wrapped(&format!("waived: {waiver}"))?;
    }
    out::wrapped(&format!(
        "Approved by {} on {}, to be looked at again by {}.\nAny change in {} makes it a draft again.",
        approval.by,
        approval.at.chars().take(10).collect::<String>(),
        approval.review_by,
        folder.display()
    ))
}

fn refuse(against: &[Against], json: bool) -> Result<(), Failure> {
    if json {
        out::json(&Told {
            approved: false,
            against,
            approval: None,
        })?;
    }
    let told: Vec<String> = against
        .iter()
        .map(|one| format!("  - {}\n      do: {}", one.what, one.advice))
        .collect();
    let noun = if against.len() == 1 {
        "thing stands"
    } else {
        "things stand"
    };
    Err(Failure::new(
        Kind::Problems,
        format!(
            "not approved: {} {noun} against it\n{}",
            against.len(),
            told.join("\n")
        ),
    ))
}
