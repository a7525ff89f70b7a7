//! One pass through a checklist, as a pure state machine.

pub mod event;
pub mod input;
pub mod story;
pub mod view;
