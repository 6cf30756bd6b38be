//! Testers that others have written, where `tests/prerequisites.sh` has brought them (`need_testers`).
//!
//! They are no part of the product and not in this repository: a schema-driven tester of interfaces and
//! the reference parser of metrics from PyPI, an accessibility tester of pages from the npm registry,
//! each in the version named in `tests/testers/`. A test that wants one says so and is skipped where
//! it is not there.

use crate::program::repository;
use std::path::PathBuf;
use std::process::Command;

/// The file of a tester; `None`, with the reason printed, where it has not been brought.
fn brought(path: &str) -> Option<PathBuf> {
    let folder = std::env::var_os("ELBOWROOM_TESTERS")
        .map_or_else(|| repository().join("target/testers"), PathBuf::from);
    let file = folder.join(path);
    if file.is_file() {
        return Some(file);
    }
    println!("skipped: {} is not there (sh tests/run.sh brings it where there is a network)", file.display());
    None
}

/// The script of the accessibility tester, to be run inside a page.
///
/// # Panics
/// If it is there and cannot be read.
#[must_use]
pub fn accessibility() -> Option<String> {
    brought("axe.min.js").map(|file| std::fs::read_to_string(file).expect("the tester's script is readable"))
}

/// The command of the interface tester.
#[must_use]
pub fn interface() -> Option<Command> {
    brought("python/bin/schemathesis").map(Command::new)
}

/// A Python that has the reference parser of metrics.
#[must_use]
pub fn metrics() -> Option<Command> {
    brought("python/bin/python").map(Command::new)
}
