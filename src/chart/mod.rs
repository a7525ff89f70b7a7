//! The arithmetic of a drain chart: outputs with their ranges, limits, due times, pressures.
//!
//! Everything here is worked out from what was entered and from moments that are handed in. No
//! number that makes somebody act stands in this code: limits come in as data with their source.
//!
//! Edge rules, in one place:
//!
//! - Time counts in whole seconds; parts of a second are dropped.
//! - Between two readings on one drainage unit the level is taken to rise in a straight line.
//!   Nothing is assumed before the first moment or after the last reading.
//! - An interval is counted after its beginning and up to and including its end, so that intervals
//!   joined end to end add up. What is already in the drainage unit at the start of the drain
//!   belongs to the first interval. A *largest window* counts both its ends.
//! - A stretch without a trustworthy level is unknown output, never zero.
//! - The nominal value decides whether a limit is met.

mod curve;
mod exact;
pub mod fill;
pub mod import;
mod judge;
pub mod leak;
pub mod limit;
pub mod picture;
pub mod plausible;
pub mod plot;
pub mod pressure;
mod problem;
mod ranged;
mod rate;
pub mod reading;
pub mod schedule;
mod series;
pub mod sign;
mod stop;

pub use problem::Problem;
pub use ranged::{NoWeight, Ranged};
pub use rate::{Output, Stretch, Unmeasured};
pub use series::{BaselineReason, ChartEvent, DrainStart, Entry, EntryId, Series, What};
pub use stop::{SuddenStop, sudden_stops};
