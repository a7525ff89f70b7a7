//! `tubeside`: a checklist-driven setup and troubleshooting assistant for chest drains on an
//! underwater seal.
//!
//! The layers, lowest first; a module uses only what stands above it in this list:
//!
//! 0. [`units`], [`moment`], [`names`], `clean`, `privacy`, `files`
//! 1. `chart`, `checklist::model`, `checklist::drain_fact`
//! 2. the rest of [`checklist`], and [`walk`]
//! 3. `journal`, `record`, `screen`, which do not know one another
//! 4. `failure`, `commands`, `cli`
//!
//! The core decides and never reads a clock, a file or a terminal; the edges do. Time is always
//! handed in.

pub mod checklist;
pub mod clean;
pub mod files;
pub mod journal;
pub mod moment;
pub mod names;
pub mod privacy;
pub mod units;
pub mod walk;
