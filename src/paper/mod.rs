//! A checklist as a form on paper, for a shift without computers.
//!
//! [`form()`] numbers the steps and says at every way out where to go; [`markdown`] and [`html`]
//! write it. What was ticked on paper is taken in afterwards by `start --from-paper`.

mod fill;
mod form;
pub mod html;
pub mod markdown;
mod ways;

pub use form::{CallLine, Form, Item, Kind, Out, Part, Wanted, form};
