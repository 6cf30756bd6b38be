//! Quantities of a tube-bending shop as types: lengths, angles, minutes, money.
//!
//! A number never travels without its meaning. Lengths and angles are finite floating-point
//! numbers with one constructor per unit; plan time is a whole number of minutes, where a moment
//! ([`Minute`]) and a length of time ([`Minutes`]) are different types; money is never negative
//! by accident. [`quantity`] reads what people write: `"38.1 mm"`, `"1.5 in"`, `"25 min"`.
//!
//! This crate knows nothing of shops, problems or files, and depends on nothing.

mod angle;
mod length;
mod money;
pub mod quantity;
mod real;
mod time;

pub use angle::Deg;
pub use length::Mm;
pub use money::{Money, RELATIVE_TOLERANCE, RatePerMinute};
pub use quantity::QuantityError;
pub use time::{MINUTES_PER_DAY, Minute, Minutes, Seconds};
