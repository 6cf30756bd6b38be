//! Writing `measured.toml`, which the program keeps itself.

use crate::finding::{Finding, Severity};
use crate::folder_lock::{FolderLock, LockError};
use crate::raw::RawFolder;
use crate::read::read_raw;
use crate::write_error::WriteError;
use crate::write_one::write_file;
use elbowroom_shop::measured::MeasuredTime;
use elbowroom_units::Mm;
use std::fmt::Write;
use std::path::Path;

/// The file of measured times.
pub const MEASURED: &str = "measured.toml";

/// What the file begins with.
const HEAD: &str = "\
# How many times as long as by the standard (times.toml, steps.toml) work takes in this shop, by what
# was recorded. `elbowroom estimates SHOP_FOLDER --write` writes this file anew; take an entry out, or
# remove the file, and the standard holds again.
#
# run, setup          medians of actual over standard time; an entry for a size of tube goes before the
#                     one for all tubes
# run_cv, setup_cv    standard deviation over mean, in place of those of uncertainty.toml
";

/// Why measured times were not kept; nothing has changed then.
#[derive(Debug)]
pub enum NotKept {
    /// The shop would have faults.
    Refused(Vec<Finding>),
    /// Somebody else is changing the folder, or was broken off while doing so.
    Locked(LockError),
    /// The file could not be written.
    NotWritten(WriteError),
}

/// Writes the measured times of a shop, each with a remark on where it comes from, in place of those
/// that were kept before.
///
/// # Errors
/// If the shop has faults with them, somebody else is changing it, or the file cannot be written.
pub fn keep_measured(folder: &Path, entries: &[(MeasuredTime, String)]) -> Result<(), NotKept> {
    let text =
        entries.iter().fold(HEAD.to_owned(), |text, (entry, remark)| text + "\n" + &as_toml(entry, remark));
    let _alone = FolderLock::take(folder).map_err(NotKept::Locked)?;
    let mut raw = RawFolder::open(folder);
    raw.files.insert(MEASURED.to_owned(), text.clone().into_bytes());
    let faults: Vec<Finding> =
        read_raw(raw, None).findings.into_iter().filter(|f| f.severity == Severity::Error).collect();
    if !faults.is_empty() {
        return Err(NotKept::Refused(faults));
    }
    write_file(&folder.join(MEASURED), text.as_bytes()).map_err(NotKept::NotWritten)
}

fn as_toml(entry: &MeasuredTime, remark: &str) -> String {
    let mut out =
        format!("# {}\n[[measured]]\nwork = \"{}\"\n", remark.replace(['\n', '\r'], " "), entry.work);
    let mut line = |key: &str, value: String| {
        writeln!(out, "{key} = {value}").expect("text grows as needed");
    };
    if let Some((od, wall)) = entry.tube {
        let length = |length: Mm| format!("\"{} mm\"", length.mm());
        line("od", length(od));
        line("wall", length(wall));
    }
    let factors =
        [("run", entry.run), ("run_cv", entry.run_cv), ("setup", entry.setup), ("setup_cv", entry.setup_cv)];
    for (key, value) in factors {
        if let Some(value) = value {
            line(key, format!("{value:.3}"));
        }
    }
    out
}
