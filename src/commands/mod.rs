//! What each command does, one file each, and what they share.

mod aim;
mod amend;
mod bedside;
mod chart;
mod charted_walks;
mod charting;
mod convert;
mod demo;
mod desk;
mod drains;
mod drive;
mod fact_text;
mod failures;
mod fhir;
mod filed;
mod find;
mod first_screen;
mod from_paper;
mod gather;
mod handle;
mod handover;
mod home;
mod journal_cmd;
mod local;
mod local_folder;
mod logbook;
mod out;
mod personal;
mod play;
mod record;
mod render;
pub mod replay;
mod review;
mod screens;
mod sheet;
mod standing;
mod start;
mod trial;

use crate::cli::{Cli, Command};
use crate::failure::Failure;

use desk::Desk;
use screens::{Form, form};

/// Does what the command line asks.
///
/// # Errors
/// A failure with its kind, its words and advice.
pub fn run(cli: &Cli) -> Result<(), Failure> {
    // These need no checklists, or must work when they are unfit.
    match &cli.command {
        Some(Command::Convert(args)) => return convert::run(args),
        Some(Command::Local(command)) => return local::run(&cli.common, command),
        Some(Command::Demo(args)) => return demo::run(args),
        None if form(&cli.common, None) != Form::Terminal => return out::raw(&Cli::help()),
        _ => {}
    }
    let mut desk = match Desk::open(&cli.common) {
        Err(failure) if cli.common.local.is_some() => start::urgent_all_the_same(cli, failure)?,
        opened => opened?,
    };
    let done = match &cli.command {
        None => home::run(&mut desk),
        Some(Command::Start(args)) => start::start(&mut desk, args),
        Some(Command::Resume(args)) => start::resume(&mut desk, args),
        Some(Command::Find(args)) => find::run(&desk.library, args),
        Some(Command::Drain(command)) => drains::run(&mut desk, command),
        Some(Command::Chart(command)) => chart::run(&mut desk, command),
        Some(Command::Note(args)) => drains::note(&desk, args),
        Some(Command::Amend(args)) => amend::amend(&desk, args),
        Some(Command::Handover(args)) => handover::run(&desk, args),
        Some(Command::Review(args)) => review::run(&desk, args),
        Some(Command::Sign(args)) => amend::sign(&desk, args),
        Some(Command::Record(args)) => record::run(&desk, args),
        Some(Command::Journal(command)) => journal_cmd::run(&desk, command),
        Some(Command::Convert(_) | Command::Local(_) | Command::Demo(_)) => Ok(()),
    };
    match done {
        // An urgent key at a question outside a walk.
        Err(Failure {
            urgent: Some(list), ..
        }) if form(&cli.common, None) == Form::Terminal => start::urgent(&mut desk, &list),
        done => done,
    }
}
