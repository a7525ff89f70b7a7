//! Tests of the whole: one binary, one file a subject.

mod afterwards;
mod layers;
mod load;
mod made;
#[allow(dead_code, reason = "the tests of the screen use the rest of it")]
mod pty;
#[allow(
    dead_code,
    reason = "the tests of the program as a process use the rest of it"
)]
mod rig;
mod terminal;
mod trust;
mod walk;
