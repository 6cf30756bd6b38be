//! One file per verb.

pub mod check;
pub mod compare;
pub mod completions;
pub mod estimates;
pub mod fit;
pub mod import;
pub mod look_back;
pub mod new;
pub mod notice;
pub mod plan;
pub mod promise;
pub mod record;
pub mod serve;
pub mod solve;
pub mod token;
pub mod tooling;
pub mod verify;
pub mod what_if;

use crate::console;
use crate::exit::Exit;
use elbowroom_problem::Problem;
use elbowroom_store::{SqliteStore, StoreError};
use std::fmt::Display;
use std::io::Read;
use std::path::Path;

/// Largest JSON file that is read: a problem of 100,000 operations has some 100 MB.
const LARGEST_JSON: u64 = 1 << 30;

/// Reads a whole file, or standard input for `-`; tells the user why where it cannot.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Exit> {
    let mut bytes = Vec::new();
    let outcome = if path == Path::new("-") {
        std::io::stdin().lock().take(LARGEST_JSON + 1).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(path).and_then(|file| file.take(LARGEST_JSON + 1).read_to_end(&mut bytes))
    };
    match outcome {
        Ok(_) if bytes.len() as u64 > LARGEST_JSON => {
            console::tell(&format!("error: {} is larger than 1 GiB", path.display()));
            Err(Exit::BadInput)
        }
        Ok(_) => Ok(bytes),
        Err(error) => {
            console::tell(&format!("error: cannot read {}: {error}", path.display()));
            Err(Exit::BadInput)
        }
    }
}

/// Reads a problem file; tells every fault.
fn read_problem(path: &Path) -> Result<Problem, Exit> {
    let bytes = read_bytes(path)?;
    elbowroom_contract::read_problem(&bytes).map_err(|faults| tell_faults(path, &faults))
}

/// Tells every fault of a file.
pub fn tell_faults<F: Display>(path: &Path, faults: &[F]) -> Exit {
    for fault in faults {
        console::tell(&format!("error: {}: {fault}", path.display()));
    }
    console::tell(&format!("{} fault(s) in {}", faults.len(), path.display()));
    Exit::BadInput
}

/// Opens a store; tells the user why where it cannot.
pub fn open_store(path: &Path) -> Result<SqliteStore, Exit> {
    SqliteStore::open(path).map_err(|error| tell_store(&error))
}

/// Tells why a store does not do what it should.
pub fn tell_store(error: &StoreError) -> Exit {
    console::tell(&format!("error: {error}"));
    match error {
        StoreError::NotFound { .. } | StoreError::KeyReused { .. } => Exit::BadInput,
        _ => Exit::NotWritten,
    }
}

/// Tells why something could not be written, and what would help.
fn not_written(error: &dyn Display, remedy: &str) -> Exit {
    console::tell(&format!("error: {error}\n  hint: {remedy}"));
    Exit::NotWritten
}

/// Who uses this computer.
pub fn user() -> String {
    ["USER", "USERNAME"]
        .iter()
        .find_map(|name| std::env::var(name).ok())
        .unwrap_or_else(|| "somebody".to_owned())
}

/// (objective - bound) / objective; 0 where both are 0.
fn gap(objective: f64, bound: f64) -> f64 {
    if objective > 0.0 { ((objective - bound) / objective).max(0.0) } else { 0.0 }
}
