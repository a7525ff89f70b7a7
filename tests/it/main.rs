//! Tests of the whole: one binary, one file a subject.

mod layers;
mod load;
mod made;
mod walk;
