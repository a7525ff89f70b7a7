//! Tests of the whole: one binary, one file a subject.

mod afterwards;
mod documents;
mod hazards;
mod inputs;
mod layers;
mod load;
mod made;
#[allow(dead_code, reason = "the tests of the screen use the rest of it")]
mod pty;
mod reach;
mod review;
#[allow(
    dead_code,
    reason = "the tests of the program as a process use the rest of it"
)]
mod rig;
mod same;
mod samples;
mod scenarios;
mod sources;
mod terminal;
mod times;
mod trust;
mod two_terminals;
mod walk;
