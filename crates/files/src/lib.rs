//! Reads shop folders, writes plans.
//!
//! [`read_shop`] reads every file of a shop folder and reports every fault at once, each a
//! [`Finding`] with code, place, message and hint; what could be read is there beside them
//! ([`Loaded`]). [`write_folder`] writes the files of a plan all together or not at all.
//!
//! Opening files ([`RawFolder::open`]) is kept apart from understanding them ([`read_raw`]), so
//! that everything but the opening can be tried on text alone. This crate knows no scheduling: a
//! part that no cell can bend is found by the planner, which finds its line in [`Places`].

mod booking;
pub mod code;
mod comparison_json;
mod context;
mod estimates_json;
mod finding;
mod fit_json;
mod folder_lock;
mod import;
mod inquiries;
mod kept_json;
mod keyed;
mod look_back_json;
mod measured_file;
mod near;
mod notice_board;
mod parsed;
mod places;
mod plain;
mod plan_json;
mod plan_read;
mod plan_record;
mod promise_json;
mod raw;
mod read;
mod reading;
mod replace;
mod shipped;
mod shop;
mod starter;
mod text;
mod tooling_json;
mod warnings;
mod what_if;
mod write;
mod write_error;
mod write_one;

pub use booking::{BookError, book_orders};
pub use comparison_json::comparison_json;
pub use estimates_json::estimates_json;
pub use finding::{Finding, Place, Severity};
pub use fit_json::{FIT_FORMAT, fit_json};
pub use folder_lock::LockError;
pub use import::{
    Change, Export, Imported, ImportedList, MAX_EXPORT_BYTES, Mapping, What, import, import_into,
    open_export, read_mapping,
};
pub use inquiries::{Asked, part_meant, read_inquiries};
pub use kept_json::kept_json;
pub use look_back_json::look_back_json;
pub use measured_file::{MEASURED, NotKept, keep_measured};
pub use notice_board::{BoardError, NOTICES, notice_toml, post_notice, remove_notice};
pub use places::{Kind, Places};
pub use plan_json::{PLAN_FORMAT, plan_json};
pub use plan_read::read_outline;
pub use plan_record::{PlanRecord, PlannedOrder, read_plan_record};
pub use promise_json::promise_value;
pub use raw::{MAX_FILE_BYTES, MAX_FOLDER_BYTES, RawFolder};
pub use read::{Loaded, read_raw, read_shop, read_shop_from};
pub use replace::replace_files;
pub use starter::starter;
pub use tooling_json::tooling_json;
pub use what_if::{WhatIf, read_what_if};
pub use write::{MANIFEST, write_folder};
pub use write_error::{Doing, WriteError};
pub use write_one::write_file;
