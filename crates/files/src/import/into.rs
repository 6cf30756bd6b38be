//! An import for good, with nobody else writing to the folder meanwhile.

use super::{Export, Imported, Mapping, import};
use crate::folder_lock::{FolderLock, LockError};
use crate::raw::RawFolder;
use crate::replace::replace_files;
use std::path::Path;

/// As [`import`] into a folder on disk, and writes the files of an import without a fault. From the first
/// look at the folder to the last file no other command changes it, so that what is compared is what is
/// replaced.
///
/// # Errors
/// If somebody else is changing the folder, or it cannot be written; nothing has changed then.
pub fn import_into(
    folder: &Path,
    export: &Export<'_>,
    mapping: &Mapping,
    keep: bool,
) -> Result<Imported, LockError> {
    let _alone = FolderLock::take(folder)?;
    let imported = import(&|| RawFolder::open(folder), export, mapping, keep);
    replace_files(folder, &imported.files).map_err(LockError::NotWritten)?;
    Ok(imported)
}
