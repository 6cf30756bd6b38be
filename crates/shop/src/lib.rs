//! A tube-bending shop as its people describe it: tubes, parts, orders, cells, tooling,
//! calendars, crews, vendors and work under way.
//!
//! Facts only. This crate solves nothing and reads nothing; it knows neither files nor servers
//! nor the scheduling problem. Dates and clock times become plan minutes here, once
//! ([`calendar`]); after that time is integers.

pub mod calendar;
pub mod cell;
pub mod crew;
pub mod measured;
pub mod notice;
pub mod order;
pub mod part;
pub mod rack;
mod shop;
pub mod standards;
mod steadiness;
pub mod uncertainty;
pub mod underway;
pub mod vendor;

pub use shop::{Customer, Shop, Terms};
pub use steadiness::Steadiness;
