//! The bytes of a shop folder, before anything is understood.

use crate::code;
use crate::finding::{Findings, Place, Problem};
use crate::near::nearest;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

/// Largest file that is read, in bytes: some 200,000 orders. A larger one is refused unread.
pub const MAX_FILE_BYTES: u64 = 16 << 20;

/// Largest sum of all files of a folder, in bytes.
pub const MAX_FOLDER_BYTES: u64 = 64 << 20;

/// Most files that are read from each of [`FOLDERS`].
const MAX_FURTHER_FILES: usize = 1_000;

/// The files of a shop folder by name, in the order in which they are read. `parts/*.toml` follow
/// `parts.toml`, `tools/*.toml` follow `tooling.toml`.
pub(crate) const KNOWN: [&str; 20] = [
    "shop.toml",
    "processes.toml",
    "times.toml",
    "steps.toml",
    "stock.toml",
    "uncertainty.toml",
    "measured.toml",
    "calendars.toml",
    "crews.toml",
    "materials.toml",
    "tubes.toml",
    "vendors.toml",
    "parts.toml",
    "tooling.toml",
    "cells.toml",
    "customers.toml",
    "orders.toml",
    "orders.csv",
    "underway.toml",
    "notices.toml",
];

/// Folders of further files: of parts beside `parts.toml`, of tools beside `tooling.toml`.
pub(crate) const FOLDERS: [(&str, &str); 2] = [("parts.toml", "parts/"), ("tooling.toml", "tools/")];

/// What a shop folder holds: bytes by file name, and what was wrong with opening it.
///
/// Separate from understanding the bytes, so that everything behind it can be tried on text alone.
#[derive(Default)]
pub struct RawFolder {
    pub(crate) files: BTreeMap<String, Vec<u8>>,
    /// Names of files that are there and could not be read.
    pub(crate) unread: BTreeSet<String>,
    /// Names of the files that were added to the folder's own.
    pub(crate) added: Vec<String>,
    pub(crate) findings: Findings,
    total: u64,
}

impl RawFolder {
    /// A folder that holds these files, by name relative to it: `parts/racks.toml`.
    pub fn from_files<N: Into<String>, B: Into<Vec<u8>>>(files: impl IntoIterator<Item = (N, B)>) -> Self {
        let files = files.into_iter().map(|(name, bytes)| (name.into(), bytes.into())).collect();
        let folder = Self { files, ..Self::default() };
        let others: Vec<String> = folder.files.keys().filter(|name| !is_known(name)).cloned().collect();
        others.iter().for_each(|name| folder.unknown(name));
        folder
    }

    /// The files that were read, by name, so that they can be kept beside what was made of them.
    pub fn files(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
    }

    /// Reads what a shop consists of from a folder. Whatever cannot be read becomes a finding.
    #[must_use]
    pub fn open(path: &Path) -> Self {
        let mut folder = Self::default();
        match fs::read_dir(path) {
            Ok(entries) => folder.fill(path, entries),
            Err(error) => folder.findings.error(Place::whole(&path.display().to_string()), no_folder(&error)),
        }
        folder
    }

    /// Adds a file from anywhere that lists parts as `parts.toml` does, and tubes as `tubes.toml`
    /// does: parts that are not in the book.
    #[must_use]
    pub fn with_parts_of(mut self, path: &Path) -> Self {
        let name = self.free_name(path.display().to_string());
        if self.take_as(path, &name) {
            self.added.push(name);
        }
        self
    }

    /// The name, so written that no file of the folder has it.
    fn free_name(&self, mut name: String) -> String {
        while self.files.contains_key(&name) || is_known(&name) {
            name.insert_str(0, "./");
        }
        name
    }

    /// Reads a file that must be there.
    fn take_as(&mut self, path: &Path, name: &str) -> bool {
        match read_limited(path, MAX_FOLDER_BYTES - self.total) {
            Ok(Some(bytes)) => {
                self.total += bytes.len() as u64;
                self.files.insert(name.to_owned(), bytes);
                return true;
            }
            Ok(None) => self.findings.error(
                Place::whole(name),
                Problem::new(code::MISSING_FILE, format!("there is no file `{name}`")),
            ),
            Err(problem) => self.findings.error(Place::whole(name), problem.of(format!("`{name}`"))),
        }
        false
    }

    fn fill(&mut self, path: &Path, entries: fs::ReadDir) {
        for name in KNOWN {
            self.take(path, name);
        }
        for (_, folder) in FOLDERS {
            for name in further_files(&path.join(folder)) {
                self.take(path, &format!("{folder}{name}"));
            }
        }
        let mut others: Vec<String> =
            entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
        others.sort();
        others.iter().filter(|name| !is_known(name)).for_each(|name| self.unknown(name));
    }

    /// Reads one file, if it is there.
    fn take(&mut self, folder: &Path, name: &str) {
        match read_limited(&folder.join(name), MAX_FOLDER_BYTES - self.total) {
            Ok(Some(bytes)) => {
                self.total += bytes.len() as u64;
                self.files.insert(name.to_owned(), bytes);
            }
            Ok(None) => {}
            Err(problem) => {
                self.findings.error(Place::whole(name), problem.of(format!("`{name}`")));
                self.unread.insert(name.to_owned());
            }
        }
    }

    /// Says of a file that looks like one of a shop's that it is none.
    fn unknown(&self, name: &str) {
        let ending = name.rsplit('.').next().unwrap_or_default();
        let same_kind = KNOWN.into_iter().filter(|known| known.ends_with(ending));
        let stem = |name: &'static str| name.split('.').next().unwrap_or(name);
        let meant = nearest(name.split('.').next().unwrap_or(name), same_kind.clone().map(stem));
        let known = same_kind.into_iter().find(|known| Some(stem(known)) == meant);
        let near = known.map(|known| format!("did you mean `{known}`?"));
        if name.ends_with(".toml") || (near.is_some() && name.ends_with(".csv")) {
            let problem = Problem::new(
                code::UNKNOWN_FILE,
                format!("`{name}` is not read: no file of a shop has this name"),
            );
            self.findings.warning(Place::whole(name), problem.maybe_hint(near));
        }
    }
}

fn is_known(name: &str) -> bool {
    let further = FOLDERS.iter().any(|(_, folder)| name.starts_with(folder) && name.ends_with(".toml"));
    further || KNOWN.contains(&name)
}

/// Names of the files of one of the folders, sorted.
fn further_files(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let names = entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> =
        names.filter(|name| name.ends_with(".toml")).take(MAX_FURTHER_FILES).collect();
    names.sort();
    names
}

fn no_folder(error: &io::Error) -> Problem {
    match error.kind() {
        io::ErrorKind::NotFound => Problem::new(code::MISSING_FILE, "there is no such folder"),
        io::ErrorKind::NotADirectory => Problem::new(code::NOT_A_FILE, "this is a file, not a shop folder")
            .hint("name the folder that holds shop.toml"),
        io::ErrorKind::PermissionDenied => {
            Problem::new(code::UNREADABLE, "no permission to read this folder")
                .hint("ask its owner for read access")
        }
        _ => Problem::new(code::UNREADABLE, format!("this folder cannot be read: {error}")),
    }
}

/// The bytes of a file; `None` where there is none.
fn read_limited(path: &Path, left: u64) -> Result<Option<Vec<u8>>, Problem> {
    let about = match fs::metadata(path) {
        Ok(about) => about,
        Err(error) if error.kind() == io::ErrorKind::NotFound && fs::symlink_metadata(path).is_err() => {
            return Ok(None);
        }
        Err(error) => return Err(unreadable(&error)),
    };
    if !about.is_file() {
        let what = if about.is_dir() { "a folder" } else { "a device or pipe" };
        return Err(Problem::new(code::NOT_A_FILE, format!("is {what}, not a file")));
    }
    if about.len() > MAX_FILE_BYTES.min(left) {
        return Err(too_large(about.len(), left));
    }
    let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or(0));
    // It may have grown since it was measured.
    let read = File::open(path).and_then(|file| file.take(MAX_FILE_BYTES + 1).read_to_end(&mut bytes));
    read.map_err(|error| unreadable(&error))?;
    let size = bytes.len() as u64;
    if size > MAX_FILE_BYTES.min(left) { Err(too_large(size, left)) } else { Ok(Some(bytes)) }
}

fn unreadable(error: &io::Error) -> Problem {
    match error.kind() {
        io::ErrorKind::NotFound => Problem::new(code::UNREADABLE, "is a link that leads nowhere"),
        io::ErrorKind::PermissionDenied => Problem::new(code::UNREADABLE, "cannot be opened: no permission")
            .hint("ask its owner for read access"),
        _ => Problem::new(code::UNREADABLE, format!("cannot be read: {error}")),
    }
}

fn too_large(size: u64, left: u64) -> Problem {
    let mb = |bytes: u64| bytes.div_ceil(1 << 20);
    let message = if size > MAX_FILE_BYTES {
        format!(
            "has {} MB; a file of a shop has at most {} MB, and it was not read",
            mb(size),
            mb(MAX_FILE_BYTES)
        )
    } else {
        format!(
            "has {} MB, which is more than the {} MB left of {} MB for a shop folder; it was not read",
            mb(size),
            mb(left),
            mb(MAX_FOLDER_BYTES)
        )
    };
    Problem::new(code::TOO_LARGE, message).hint("is it the right file? export only open orders")
}
