//! Opening an export, which another program may have open or be writing.

use super::MAX_EXPORT_BYTES;
use super::grid::Grid;
use crate::code;
use crate::finding::{Finding, Place, Problem, Severity};
use std::fs::{self, Metadata};
use std::io;
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

/// Time after which a text that ends within a row is looked at again.
const LOOK_AGAIN: Duration = Duration::from_millis(500);

/// The bytes of an export, and what is worth knowing about them.
///
/// # Errors
/// If it cannot be read, is too large, or was changed while it was being read.
pub fn open_export(path: &Path) -> Result<(Vec<u8>, Vec<Finding>), Finding> {
    let name = path
        .file_name()
        .map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    let fault = |problem: Problem| finding(&name, Severity::Error, problem);
    let unreadable =
        |error: io::Error| fault(Problem::new(code::UNREADABLE, format!("cannot be read: {error}")));
    let before = fs::metadata(path).map_err(unreadable)?;
    if !before.is_file() {
        return Err(fault(Problem::new(code::NOT_A_FILE, "is not a file")));
    }
    if before.len() > MAX_EXPORT_BYTES {
        let message =
            format!("has {} MB; at most {} MB are read", before.len() >> 20, MAX_EXPORT_BYTES >> 20);
        return Err(fault(Problem::new(code::TOO_LARGE, message).hint("export open orders only")));
    }
    let bytes = fs::read(path).map_err(unreadable)?;
    if !bytes.ends_with(b"\n") && Grid::is_text(&name) {
        // It may end so, and it may be written just now: whoever writes goes on meanwhile.
        sleep(LOOK_AGAIN);
    }
    let after = fs::metadata(path).map_err(unreadable)?;
    if is_changed(&before, &after) || bytes.len() as u64 != after.len() {
        let problem = Problem::new(code::UNREADABLE, "is being written by another program just now");
        return Err(fault(problem.hint("wait until the export is done, then import again")));
    }
    let open = lock_files(&name).into_iter().any(|lock| path.with_file_name(lock).exists());
    let note = "is open in a spreadsheet; what was saved last is imported";
    let notes = open.then(|| finding(&name, Severity::Warning, Problem::new(code::UNREADABLE, note)));
    Ok((bytes, notes.into_iter().collect()))
}

fn is_changed(before: &Metadata, after: &Metadata) -> bool {
    before.len() != after.len() || before.modified().ok() != after.modified().ok()
}

/// Names of the files that spreadsheets put beside a workbook while they have it open.
fn lock_files(name: &str) -> [String; 2] {
    [format!("~${name}"), format!(".~lock.{name}#")]
}

fn finding(name: &str, severity: Severity, problem: Problem) -> Finding {
    let Problem { code, message, hint } = problem.of(format_args!("`{name}`"));
    Finding { severity, code, place: Place::whole(name), message, hint }
}
