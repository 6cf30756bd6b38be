//! One reader for each file of a shop folder.

pub(super) mod calendars;
pub(super) mod cells;
pub(super) mod crews;
pub(crate) mod csv_row;
mod forecast;
pub(super) mod materials;
pub(super) mod measured;
pub(super) mod notices;
mod one_system;
pub(super) mod orders;
pub(super) mod orders_csv;
pub(super) mod parts;
pub(super) mod rules;
pub(super) mod shape;
pub(super) mod spans;
pub(super) mod steps;
pub(super) mod terms;
pub(super) mod tooling;
pub(super) mod tubes;
pub(super) mod uncertainty;
pub(super) mod underway;
pub(super) mod vendors;
pub(super) mod words;
