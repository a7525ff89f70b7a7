//! Checklists: the language, how files become checked lists, and what is wrong with those that do not.

pub mod drain_fact;
pub mod model;
