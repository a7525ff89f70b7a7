//! Tests of the whole: one binary, one file a subject.

mod adapt;
mod afterwards;
mod answers;
mod changes;
mod chart;
mod chart_round;
mod chart_typed;
mod complaint;
mod disk;
mod documents;
mod educator;
mod everywhere;
mod from_paper;
mod hazards;
mod hostile;
mod inputs;
mod killed;
mod layers;
mod load;
mod looks;
mod made;
mod numbers;
#[allow(dead_code, reason = "the tests of the screen use the rest of it")]
mod paper;
mod paths;
mod pause;
mod prove;
#[allow(dead_code, reason = "the tests of the screen use the rest of it")]
mod pty;
mod reach;
mod refused;
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
mod versions;
mod walk;
mod whole;
