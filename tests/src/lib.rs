//! Shared helpers of the end-to-end tests.

pub mod book_text;
pub mod browser;
pub mod chance;
pub mod disks;
pub mod every_order;
pub mod extremes;
pub mod imports;
pub mod load;
pub mod measured;
pub mod optima;
pub mod program;
pub mod random_book;
pub mod referee;
pub mod replans;
pub mod serial_builder;
pub mod serve_soak;
pub mod service;
pub mod serving;
pub mod shop_cases;
pub mod small_shop;
pub mod spoil;
pub mod store_soak;
pub mod testers;
pub mod trial_rules;
pub mod trial_shop;
pub mod watches;
