//! `local …`: the unit's own checklists.

use std::sync::Arc;

use serde::Serialize;

use crate::checklist::load::load_as_written;
use crate::checklist::problem::Severity;
use crate::cli::{Common, LocalCommand};
use crate::failure::{Failure, Kind};

use super::fhir;
use super::first_screen::{self, Tall};
use super::local_folder;
use super::out;
use super::sheet;
use super::trial;

mod approve;
mod compare;
mod new_folder;
mod proof;
pub mod prove;
mod prove_trial;
mod prove_words;
mod starters;
mod state;

/// Does what `local …` asks.
///
/// # Errors
/// A failure when a checklist has errors or a trial does not end as it must.
pub fn run(common: &Common, command: &LocalCommand) -> Result<(), Failure> {
    match command {
        LocalCommand::New { folder, json } => new_folder::new(common, folder, *json),
        LocalCommand::Adapt { list, json } => new_folder::adapt(common, list, *json),
        LocalCommand::Compare { list, json } => compare::run(common, list.as_deref(), *json),
        LocalCommand::Approve(args) => approve::approve(common, args),
        LocalCommand::State { json } => state::state(common, *json),
        LocalCommand::Check { json } => check(common, *json),
        LocalCommand::Prove(args) => prove::run(common, args),
        LocalCommand::Print(args) => sheet::print(common, args),
        LocalCommand::Draw(args) => sheet::draw(common, args),
        LocalCommand::Fhir { list } => fhir::list(common, list),
        LocalCommand::Try(args) => trial::run(common, args),
    }
}

/// One problem for `--json`.
#[derive(Serialize)]
struct Row {
    code: &'static str,
    severity: &'static str,
    file: String,
    line: usize,
    column: usize,
    message: String,
    help: Option<String>,
}

fn check(common: &Common, json: bool) -> Result<(), Failure> {
    let shelf = local_folder::shelf(common)?;
    let loaded = load_as_written(&shelf);
    let errors = loaded.errors().count();
    let warnings = loaded.problems.len() - errors;
    if json {
        let rows: Vec<Row> = loaded
            .problems
            .iter()
            .map(|problem| Row {
                code: problem.kind.code(),
                severity: match problem.severity() {
                    Severity::Error => "error",
                    Severity::Warning => "warning",
                },
                file: problem.file.clone(),
                line: problem.place.line,
                column: problem.place.column,
                message: problem.message(),
                help: problem.help(),
            })
            .collect();
        out::json(&rows)?;
    } else {
        for problem in &loaded.problems {
            out::raw(&format!("{}\n\n", problem.drawn()))?;
        }
    }
    let library = loaded.library.map(Arc::new);
    let tall = library.as_ref().map_or_else(Vec::new, first_screen::tall);
    let lists = library.map_or(0, |library| library.lists().count());
    if errors > 0 || !tall.is_empty() {
        let summary = format!("{} errors, {warnings} warnings", errors + tall.len());
        let tall: Vec<String> = tall.iter().map(Tall::words).collect();
        let words: Vec<String> = tall.into_iter().chain([summary]).collect();
        return Err(Failure::new(Kind::Problems, words.join("\n")));
    }
    let summary = format!("{lists} checklists without errors, {warnings} warnings");
    if json { Ok(()) } else { out::line(&summary) }
}
