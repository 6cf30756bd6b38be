//! Tables of edits to a small shop, each with what is expected to be said of it.
//!
//! A case begins with `### name`. Then its edits: `@ file` names a file, `- text` takes a piece of
//! text out of it, which must occur just once, `+ text` puts a line in its place or, without a
//! piece taken out, at the end of the file; `x` removes the file. After `=>` comes what is said.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// One row of a table.
#[derive(Clone, Debug, Default)]
pub struct Case {
    /// What it shows.
    pub name: String,
    /// The lines of its edits, as they stand in the table.
    pub edits: Vec<String>,
    /// What is expected to be said.
    pub expected: String,
}

/// The files of the small shop by name.
///
/// # Panics
/// If they cannot be read.
#[must_use]
pub fn base() -> BTreeMap<String, String> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("suite/files/base");
    let entries = std::fs::read_dir(&folder).expect("the small shop is there");
    let file = |entry: std::io::Result<std::fs::DirEntry>| {
        let path = entry.expect("the folder can be listed").path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        (name, std::fs::read_to_string(&path).expect("its files are text"))
    };
    entries.map(file).collect()
}

/// Reads a table.
///
/// # Panics
/// If it cannot be read.
#[must_use]
pub fn read_cases(path: &Path) -> Vec<Case> {
    let text = std::fs::read_to_string(path).expect("the table is there");
    let mut cases: Vec<Case> = Vec::new();
    let mut expecting = false;
    for line in text.lines() {
        if let Some(name) = line.strip_prefix("### ") {
            cases.push(Case { name: name.to_owned(), ..Case::default() });
            expecting = false;
        } else if line == "=>" {
            expecting = true;
        } else if let (Some(case), false) = (cases.last_mut(), line.is_empty()) {
            match expecting {
                true if case.expected.is_empty() => line.clone_into(&mut case.expected),
                true => case.expected.extend(["\n", line]),
                false => case.edits.push(line.to_owned()),
            }
        }
    }
    cases
}

/// Writes a table as [`read_cases`] reads it.
///
/// # Panics
/// If it cannot be written.
pub fn write_cases(path: &Path, cases: &[Case]) {
    let mut text = String::new();
    for case in cases {
        let edits = case.edits.join("\n");
        let _ = write!(text, "### {}\n{edits}\n=>\n{}\n\n", case.name, case.expected);
    }
    std::fs::write(path, text.trim_end().to_owned() + "\n").expect("the table can be written");
}

impl Case {
    /// The files with this case's edits.
    ///
    /// # Panics
    /// If an edit does not fit: the case is wrong.
    #[must_use]
    pub fn edited(&self, files: &BTreeMap<String, String>) -> BTreeMap<String, String> {
        let mut files = files.clone();
        let mut name = String::new();
        // Where the next line goes, in the file named last, and whether a piece was just taken out.
        let (mut at, mut first) = (None, false);
        for edit in &self.edits {
            let (what, text) = (edit.get(..1).unwrap_or_default(), edit.get(2..).unwrap_or_default());
            let file = files.entry(if what == "@" { text.to_owned() } else { name.clone() }).or_default();
            match what {
                "@" => (name, at) = (text.to_owned(), None),
                "x" => drop(files.remove(&name)),
                "-" => (at, first) = (Some(self.take_out(file, text)), true),
                "+" => {
                    // At the end of the file every line is appended anew.
                    let next = put_in(file, at, first, text);
                    (at, first) = (at.map(|_| next), false);
                }
                _ => panic!("case `{}`: `{edit}` is no edit", self.name),
            }
        }
        files
    }

    fn take_out(&self, file: &mut String, text: &str) -> usize {
        let found: Vec<usize> = file.match_indices(text).map(|(at, _)| at).collect();
        assert_eq!(found.len(), 1, "case `{}`: `{text}` occurs {} times", self.name, found.len());
        file.replace_range(found[0]..found[0] + text.len(), "");
        found[0]
    }
}

/// Puts a line in; returns where the next one goes. A line that takes the place of a piece of text
/// joins what is left of that line; every further one is a line of its own.
fn put_in(file: &mut String, at: Option<usize>, first: bool, text: &str) -> usize {
    let (at, piece) = match at {
        None => (file.len(), format!("{text}\n")),
        Some(at) if first => (at, text.to_owned()),
        Some(at) => (at, format!("\n{text}")),
    };
    file.insert_str(at, &piece);
    at + piece.len()
}
