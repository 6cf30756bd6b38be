//! The files of a new shop folder, to be filled in.

use chrono::{Days, NaiveDate};

/// Days from now to the promised date of the example order.
const AHEAD: u64 = 21;

macro_rules! starter {
    ($($name:literal),+ $(,)?) => { [$(($name, include_str!(concat!("../../../config/starter/", $name)))),+] };
}

/// Names and texts.
const FILES: [(&str, &str); 10] = starter![
    "shop.toml",
    "calendars.toml",
    "crews.toml",
    "cells.toml",
    "tubes.toml",
    "tooling.toml",
    "parts.toml",
    "orders.csv",
    "customers.toml",
    "mapping.toml.example",
];

/// The files of a new shop folder: a small shop with one example of everything, explained key by key,
/// that can be checked and planned as it is.
#[must_use]
pub fn starter(today: NaiveDate) -> Vec<(String, Vec<u8>)> {
    let promised = today.checked_add_days(Days::new(AHEAD)).unwrap_or(today);
    let text = |text: &str| text.replace("{PROMISED}", &promised.to_string()).into_bytes();
    FILES.iter().map(|(name, content)| ((*name).to_owned(), text(content))).collect()
}
