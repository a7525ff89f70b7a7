//! The prover against the walk itself, and each safeguard on lists that keep and break it.

mod graphs;
mod made;
mod random;
mod rules;
mod shipped;
