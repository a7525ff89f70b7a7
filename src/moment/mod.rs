//! Moments, and the only reader of the system clock.
//!
//! Everything below the commands is handed its moments; nothing else may ask what time it is.

mod clock;
mod near;
mod typed;
mod zone;

use chrono::{DateTime, FixedOffset};

pub use clock::{Clock, ClockJump};
pub use near::read_near;
pub use typed::{BadMoment, Typed, Which, read_typed};
pub use zone::{OnTheClock, UnknownZone, Zone};

/// A moment with the offset from UTC that held where it was noted.
pub type Moment = DateTime<FixedOffset>;
