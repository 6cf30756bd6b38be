//! Looks back: what was done, held against what was planned.
//!
//! Facts come in ([`Facts`]: planned lots, what the floor reported, orders with their promises);
//! a [`Review`] comes out: promises kept, planned against actual times, the indicators of
//! ISO 22400-2 for each cell ([`indicators`]), and what cost most lateness.
//!
//! Pure: it reads no store, no file and no clock.

mod causes;
pub mod estimates;
mod floor;
pub mod indicators;
pub mod learning;
mod lot;
mod orders;
mod review;
mod robust;
mod spans;
mod weeks;

pub use causes::CauseOfLateness;
pub use floor::{Event, Reported, lots};
pub use lot::{Actual, PlannedLot, Stop};
pub use orders::{OnTime, OrderFacts, OrderReview};
pub use review::{CellFacts, CellReview, Facts, LotReview, Review, review};
pub use robust::Robust;
pub use spans::Span;
pub use weeks::{WeekReview, by_week};
