//! `tubeside`: a checklist-driven setup and troubleshooting assistant for chest drains on an
//! underwater seal.
//!
//! The layers, lowest first; a module uses only what stands above it in this list:
//!
//! 0. [`units`], [`moment`], [`names`], [`clean`], [`privacy`], [`files`]
//! 1. [`chart`], [`checklist::model`], [`checklist::drain_fact`]
//! 2. the rest of [`checklist`], and [`walk`]
//! 3. [`journal`], [`record`], [`screen`], which do not know one another
//! 4. [`failure`], [`commands`], [`cli`]
//!
//! The core decides and never reads a clock, a file or a terminal; the edges do. Time is always
//! handed in.

#![cfg_attr(test, allow(clippy::unwrap_used))]

pub mod chart;
pub mod checklist;
pub mod clean;
pub mod cli;
pub mod commands;
pub mod failure;
pub mod files;
pub mod journal;
pub mod map;
pub mod moment;
pub mod names;
pub mod paper;
pub mod privacy;
pub mod record;
pub mod screen;
#[cfg(test)]
mod tables;
pub mod units;
pub mod walk;

use std::process::ExitCode;

/// Runs the program with the arguments it was started with.
#[must_use]
pub fn run() -> ExitCode {
    let cli = cli::Cli::from_arguments();
    // Without the handler Ctrl-C still ends the program; what was answered is kept either way.
    let _without_handler = screen::take_over_ctrl_c();
    match commands::run(&cli) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            failure.print();
            failure.exit_code()
        }
    }
}
