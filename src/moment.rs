//! Moments, and the only reader of the system clock.
//!
//! Everything below the commands is handed its moments; nothing else may ask what time it is.

use chrono::{DateTime, FixedOffset};

/// A moment with the offset from UTC that held where it was noted.
pub type Moment = DateTime<FixedOffset>;
