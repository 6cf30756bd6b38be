//! Writes the files of a plan all together or not at all.

use crate::write_error::{Doing, WriteError};
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};
use tempfile::{Builder, TempDir};

/// The file in an out folder that lists what was written there, one name a line. What it lists is
/// replaced or removed by the next plan; everything else in the folder is left alone.
pub const MANIFEST: &str = "manifest.txt";

/// First line of the manifest.
const MANIFEST_HEAD: &str = "# Written by elbowroom. These files are replaced or removed with the next plan:";

/// Writes `files`, by name relative to `out`, all or none of them.
///
/// Everything is first written beside its destination and flushed to the disk, then moved into
/// place, so that whoever looks sees whole files only. A new out folder appears in one step. In one
/// that exists, files are moved one by one, and moved back if one of them fails; files of the last
/// plan that this one lacks are removed; files that this program did not write are neither removed
/// nor overwritten ([`MANIFEST`] says which it wrote).
///
/// # Errors
/// If the disk, the permissions or what is there already forbid it; nothing has changed then.
pub fn write_folder(out: &Path, files: &[(String, Vec<u8>)]) -> Result<(), WriteError> {
    check_names(files)?;
    match fs::metadata(out) {
        Ok(about) if about.is_dir() => replace(out, files),
        Ok(_) => Err(WriteError::NotAFolder { path: out.to_owned() }),
        Err(error) if error.kind() == io::ErrorKind::NotFound => create(out, files),
        Err(error) => Err(fault(Doing::Look, out, error)),
    }
}

fn fault(doing: Doing, path: &Path, error: io::Error) -> WriteError {
    WriteError::Io { doing, path: path.to_owned(), error }
}

/// Names must stay inside the folder, and be different.
fn check_names(files: &[(String, Vec<u8>)]) -> Result<(), WriteError> {
    let mut seen = BTreeSet::from([MANIFEST]);
    for (name, _) in files {
        let inside = Path::new(name).components().all(|part| matches!(part, Component::Normal(_)));
        if name.is_empty() || !inside || name.contains('\n') || !seen.insert(name) {
            return Err(WriteError::Name { name: name.clone() });
        }
    }
    Ok(())
}

/// Writes a folder that is not there yet: whole, beside its destination, then renamed.
fn create(out: &Path, files: &[(String, Vec<u8>)]) -> Result<(), WriteError> {
    let parent = match out.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    };
    fs::create_dir_all(parent).map_err(|error| fault(Doing::CreateFolder, parent, error))?;
    let stage = Stage::write(parent, files)?;
    fs::rename(stage.new_files(), out).map_err(|error| fault(Doing::Move, out, error))?;
    // The renaming itself is on the disk once the parent is; not every file system can say so.
    let _ = sync_folder(parent);
    Ok(())
}

/// Replaces what an earlier plan left in a folder.
fn replace(out: &Path, files: &[(String, Vec<u8>)]) -> Result<(), WriteError> {
    let ours = manifest(out)?;
    for (name, _) in files {
        let target = out.join(name);
        if fs::symlink_metadata(&target).is_ok_and(|about| !ours.contains(name) || about.is_dir()) {
            return Err(WriteError::Foreign { path: target });
        }
    }
    // Inside the folder itself: it may be a file system of its own, and nothing can be renamed
    // from one to another.
    let stage = Stage::write(out, files)?;
    let mut moves = Moves { out, stage: &stage, done: Vec::new() };
    let moved = moves.all(files, &ours);
    if moved.is_err() {
        moves.undo();
    }
    moved?;
    for name in &ours {
        remove_empty_parents(out, name);
    }
    let _ = sync_folder(out);
    Ok(())
}

/// Removes folders below `out` that have become empty.
fn remove_empty_parents(out: &Path, name: &str) {
    let parents = Path::new(name).ancestors().skip(1).filter(|parent| *parent != Path::new(""));
    // The system refuses to remove a folder that is not empty, and that is all right.
    for parent in parents {
        let _ = fs::remove_dir(out.join(parent));
    }
}

/// What the last plan wrote; nothing where there is no manifest, or one of somebody else.
fn manifest(out: &Path) -> Result<BTreeSet<String>, WriteError> {
    let path = out.join(MANIFEST);
    let text = match fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(BTreeSet::new()),
        Err(error) if error.kind() == io::ErrorKind::InvalidData => return Err(WriteError::Foreign { path }),
        Err(error) => return Err(fault(Doing::Read, &path, error)),
    };
    let mut lines = text.lines();
    if lines.next() != Some(MANIFEST_HEAD) {
        return Err(WriteError::Foreign { path });
    }
    let inside = |name: &&str| Path::new(name).components().all(|part| matches!(part, Component::Normal(_)));
    Ok(lines.filter(inside).filter(|name| !name.is_empty()).map(str::to_owned).collect())
}

/// A temporary folder that holds all new files, and has room for the old ones.
struct Stage {
    folder: TempDir,
}

impl Stage {
    /// Writes all files and the manifest, and flushes them to the disk.
    fn write(beside: &Path, files: &[(String, Vec<u8>)]) -> Result<Self, WriteError> {
        let folder = Builder::new().prefix(".elbowroom-").tempdir_in(beside);
        let stage = Self { folder: folder.map_err(|error| fault(Doing::CreateFolder, beside, error))? };
        for folder in [stage.new_files(), stage.old_files()] {
            fs::create_dir(&folder).map_err(|error| fault(Doing::CreateFolder, &folder, error))?;
        }
        for (name, bytes) in files {
            write_file(&stage.new_files().join(name), bytes)?;
        }
        write_file(&stage.new_files().join(MANIFEST), manifest_text(files).as_bytes())?;
        let _ = sync_folder(&stage.new_files());
        Ok(stage)
    }

    fn new_files(&self) -> PathBuf {
        self.folder.path().join("new")
    }

    fn old_files(&self) -> PathBuf {
        self.folder.path().join("old")
    }
}

fn manifest_text(files: &[(String, Vec<u8>)]) -> String {
    let names = files.iter().map(|(name, _)| name.as_str());
    std::iter::once(MANIFEST_HEAD).chain(names).flat_map(|line| [line, "\n"]).collect()
}

fn write_file(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    create_parent(path)?;
    let written = File::create(path).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    written.map_err(|error| fault(Doing::Write, path, error))
}

fn create_parent(path: &Path) -> Result<(), WriteError> {
    let Some(parent) = path.parent() else { return Ok(()) };
    fs::create_dir_all(parent).map_err(|error| fault(Doing::CreateFolder, parent, error))
}

fn sync_folder(path: &Path) -> io::Result<()> {
    File::open(path)?.sync_all()
}

/// Files moved so far, so that they can be moved back.
struct Moves<'a> {
    out: &'a Path,
    stage: &'a Stage,
    done: Vec<(PathBuf, PathBuf)>,
}

impl Moves<'_> {
    /// Old files out of the way, new ones into place, the manifest last.
    fn all(&mut self, files: &[(String, Vec<u8>)], ours: &BTreeSet<String>) -> Result<(), WriteError> {
        let (new, old) = (self.stage.new_files(), self.stage.old_files());
        let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).chain([MANIFEST]).collect();
        for name in ours.iter().map(String::as_str).chain([MANIFEST]) {
            let target = self.out.join(name);
            if fs::symlink_metadata(&target).is_ok_and(|about| !about.is_dir()) {
                self.one(target, old.join(name))?;
            }
        }
        for name in names {
            self.one(new.join(name), self.out.join(name))?;
        }
        Ok(())
    }

    fn one(&mut self, from: PathBuf, to: PathBuf) -> Result<(), WriteError> {
        create_parent(&to)?;
        fs::rename(&from, &to).map_err(|error| fault(Doing::Move, &to, error))?;
        self.done.push((from, to));
        Ok(())
    }

    /// Moves everything back, as far as the disk allows.
    fn undo(&mut self) {
        for (from, to) in self.done.drain(..).rev() {
            let _ = fs::rename(to, from);
        }
    }
}
