//! Import of an order system's export: orders, tool rack and parts from CSV and workbooks.
//!
//! Nothing is written here. An import reads the export by a [`mapping`](Mapping), turns it into the
//! shop's own files, reads the whole shop again with these in place, and says what would be new,
//! changed and gone. Only an import without a fault has files to write, so that nothing is ever half
//! imported; every fault is placed at row and column of the export.

mod changes;
mod columns;
mod csv_grid;
mod fields;
mod generate;
mod grid;
mod into;
mod mapping;
mod open;
mod quiet;
mod value;
mod workbook_grid;

pub use changes::{Change, What};
pub use into::import_into;
pub use mapping::{Mapping, read_mapping};
pub use open::open_export;

use crate::code;
use crate::finding::{Finding, Findings, Place, Problem, Severity};
use crate::raw::RawFolder;
use crate::read::{Loaded, read_raw};
use changes::changes;
use columns::Columns;
use fields::Section;
use generate::Generated;
use grid::Grid;
use std::sync::Arc;

/// Largest export that is read, in bytes.
pub const MAX_EXPORT_BYTES: u64 = 128 << 20;

/// An export, as it was found.
pub struct Export<'a> {
    /// Name of the file, for messages; its ending says what it is: `.csv` or `.xlsx`.
    pub name: &'a str,
    /// What is in it.
    pub bytes: &'a [u8],
}

/// What an import would do.
#[derive(Debug)]
pub struct Imported {
    /// By list: `orders`, `tools`, `parts`.
    pub lists: Vec<ImportedList>,
    /// Everything there is to say about the export, the mapping and the shop afterwards.
    pub findings: Vec<Finding>,
    /// Files of the shop folder with their new content; empty where there is a fault.
    pub files: Vec<(String, Vec<u8>)>,
}

/// What an import would do to one list.
#[derive(Debug)]
pub struct ImportedList {
    /// `orders`, `tools` or `parts`.
    pub name: &'static str,
    /// The file of the shop folder that holds it.
    pub file: &'static str,
    /// Rows of the export, without heading and empty ones.
    pub rows: usize,
    /// What would be new, changed and gone, in the order of the export; gone ones last.
    pub changes: Vec<Change>,
}

impl Imported {
    /// Whether there is a fault; nothing can be written then.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity == Severity::Error)
    }
}

/// What an import of `export` into a shop folder would do. `folder` gives the folder's files, each time
/// it is asked; `keep`: what the export lacks stays.
#[must_use]
pub fn import(
    folder: &dyn Fn() -> RawFolder,
    export: &Export<'_>,
    mapping: &Mapping,
    keep: bool,
) -> Imported {
    let before = read_raw(folder(), None);
    let files = folder().files;
    let findings = Findings::default();
    let mut made = Vec::new();
    for section in &mapping.sections {
        let old = files.get(section.list.file).and_then(|bytes| std::str::from_utf8(bytes).ok());
        let old = keep.then_some(old.unwrap_or_default());
        if let Some(generated) = section_of(&findings, export, section, &before, old) {
            made.push((section, generated));
        }
    }
    let whole = findings.errors() == 0 && !made.is_empty();
    let mut found = findings.into_sorted(&[Arc::from(export.name)]);
    if !whole {
        return Imported { lists: Vec::new(), findings: found, files: Vec::new() };
    }
    let after = read_raw(with_files(folder(), &made), None);
    found.extend(new_findings(&before, &after, &made));
    let lists = made.iter().map(|(section, made)| ImportedList {
        name: section.list.name,
        file: section.list.file,
        rows: made.rows,
        changes: changes(section.list, &before, &after),
    });
    let mut imported = Imported { lists: lists.collect(), findings: found, files: Vec::new() };
    if !imported.has_errors() {
        imported.files = made
            .into_iter()
            .map(|(section, made)| (section.list.file.to_owned(), made.text.into_bytes()))
            .collect();
    }
    imported
}

/// One section of the mapping, as a file of the shop folder; `keep`: the text of that file so far,
/// if what the export lacks stays.
fn section_of(
    findings: &Findings,
    export: &Export<'_>,
    section: &Section,
    before: &Loaded,
    keep: Option<&str>,
) -> Option<Generated> {
    let grid = match Grid::read(export, section.sheet.as_deref()) {
        Ok(grid) => grid,
        Err((place, problem)) => {
            findings.error(place, problem);
            return None;
        }
    };
    if let Some((place, problem)) = grid.unfinished(export) {
        findings.warning(place, problem);
    }
    let columns = Columns::find(findings, &grid, section)?;
    let generated = generate::generate(findings, &grid, &columns, section, before, keep);
    if generated.rows == 0 {
        let problem = Problem::new(code::EMPTY_FILE, "there is no row below the heading");
        findings
            .error(Place::whole(export.name), problem.hint("export again; an empty list is not imported"));
    }
    Some(generated)
}

fn with_files(mut folder: RawFolder, made: &[(&Section, Generated)]) -> RawFolder {
    for (section, made) in made {
        folder.files.insert(section.list.file.to_owned(), made.text.clone().into_bytes());
    }
    folder
}

/// What the shop's own readers say now that they did not say before: of the imported files at the
/// place in the export, of the others where it stands.
fn new_findings(before: &Loaded, after: &Loaded, made: &[(&Section, Generated)]) -> Vec<Finding> {
    let known = |finding: &Finding| before.findings.contains(finding);
    let placed = |finding: &Finding| {
        let source = made.iter().find(|(section, _)| section.list.file == &*finding.place.file);
        match source {
            Some((_, made)) if finding.code == code::CSV_SEPARATOR || made.text.is_empty() => None,
            Some((section, made)) => Some(made.at_source(section, finding)),
            None => (!known(finding)).then(|| finding.clone()),
        }
    };
    after.findings.iter().filter_map(placed).collect()
}
