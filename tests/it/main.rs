//! Tests of the whole: one binary, one file a subject.

mod load;
