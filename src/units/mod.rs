//! Quantities with their units: exact decimals, so that a limit at 2.0 cm is met by 2.0 cm.

mod amount;
mod convert;
mod number;
mod span;
mod suction;
mod unit;

pub use amount::{Amount, BadAmount};
pub use convert::convert_lines;
pub use number::Number;
pub use span::Span;
pub use suction::Suction;
pub use unit::Unit;
