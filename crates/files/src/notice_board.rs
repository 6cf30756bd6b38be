//! Posting a notice to a shop's `notices.toml`, and taking one down.

use crate::finding::{Finding, Severity};
use crate::folder_lock::{FolderLock, LockError};
use crate::raw::RawFolder;
use crate::read::read_raw;
use crate::write_error::WriteError;
use crate::write_one::write_file;
use chrono::{NaiveDate, NaiveTime};
use elbowroom_shop::notice::{Change, Days, Hours, Notice};
use std::fmt::Write;
use std::path::Path;
use toml::Value;

/// The file of notices.
pub const NOTICES: &str = "notices.toml";

/// What a new file begins with.
const HEAD: &str = "\
# What is different from the other files for the time being; each notice is heeded whenever the shop
# is read. Take one down by removing it here, or with `elbowroom notice SHOP_FOLDER --remove NUMBER`.
#
# what      down, open, like, tool, tube, absent, people, rush, cancel or order; why: for people
";

/// Why a notice was not posted or taken down; nothing has changed then.
#[derive(Debug)]
pub enum BoardError {
    /// The shop would have faults.
    Refused(Vec<Finding>),
    /// There is no notice of this number; so many there are.
    NoSuch(usize),
    /// Somebody else is changing the folder, or was broken off while doing so.
    Locked(LockError),
    /// It could not be written.
    NotWritten(WriteError),
}

impl From<LockError> for BoardError {
    fn from(error: LockError) -> Self {
        Self::Locked(error)
    }
}

/// Posts a notice at the end of the board, if the shop can be read with it. Comments and older
/// notices stay as they are.
///
/// # Errors
/// If the shop has faults with it, or the file cannot be written.
pub fn post_notice(folder: &Path, notice: &Notice) -> Result<(), BoardError> {
    let _alone = FolderLock::take(folder)?;
    let raw = RawFolder::open(folder);
    let mut text = raw.files.get(NOTICES).map_or_else(|| HEAD.into(), |old| old.clone());
    if !text.ends_with(b"\n") {
        text.push(b'\n');
    }
    text.extend_from_slice(format!("\n{}", notice_toml(notice)).as_bytes());
    replace(folder, raw, text)
}

/// Takes down the notice of a number, counted from 1.
///
/// # Errors
/// If there is none, others need it, or the file cannot be written.
pub fn remove_notice(folder: &Path, number: usize) -> Result<(), BoardError> {
    let _alone = FolderLock::take(folder)?;
    let raw = RawFolder::open(folder);
    let text =
        raw.files.get(NOTICES).map(|old| String::from_utf8_lossy(old).into_owned()).unwrap_or_default();
    let starts: Vec<usize> = line_starts(&text).filter(|at| is_head(&text[*at..])).collect();
    let Some(&from) = number.checked_sub(1).and_then(|at| starts.get(at)) else {
        return Err(BoardError::NoSuch(starts.len()));
    };
    let to = starts.get(number).copied().unwrap_or(text.len());
    replace(folder, raw, format!("{}{}", &text[..from], &text[to..]).into_bytes())
}

fn line_starts(text: &str) -> impl Iterator<Item = usize> + '_ {
    std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1))
}

fn is_head(rest: &str) -> bool {
    rest.lines().next().is_some_and(|line| line.trim_start().starts_with("[[notice]]"))
}

/// Writes the board, if the shop can be read with it.
fn replace(folder: &Path, mut raw: RawFolder, text: Vec<u8>) -> Result<(), BoardError> {
    raw.files.insert(NOTICES.to_owned(), text.clone());
    let loaded = read_raw(raw, None);
    let faults: Vec<Finding> =
        loaded.findings.into_iter().filter(|f| f.severity == Severity::Error).collect();
    if !faults.is_empty() {
        return Err(BoardError::Refused(faults));
    }
    write_file(&folder.join(NOTICES), &text).map_err(BoardError::NotWritten)
}

/// A notice as it stands in the file.
#[must_use]
pub fn notice_toml(notice: &Notice) -> String {
    let mut out = Lines(String::from("[[notice]]\n"));
    out.change(&notice.change);
    if !notice.why.is_empty() {
        out.text("why", &notice.why);
    }
    out.0
}

struct Lines(String);

impl Lines {
    fn raw(&mut self, key: &str, value: impl std::fmt::Display) {
        writeln!(self.0, "{key} = {value}").expect("text grows as needed");
    }

    fn text(&mut self, key: &str, text: &str) {
        self.raw(key, Value::String(text.to_owned()));
    }

    fn date(&mut self, key: &str, date: NaiveDate) {
        self.raw(key, format_args!("\"{date}\""));
    }

    fn days(&mut self, days: Days) {
        self.date("from", days.from);
        if days.until != days.from {
            self.date("until", days.until);
        }
    }

    fn hours(&mut self, (from, to): Hours) {
        let hm = |time: NaiveTime| time.format("%H:%M");
        self.raw("hours", format_args!("[\"{}\", \"{}\"]", hm(from), hm(to)));
    }

    fn change(&mut self, change: &Change) {
        match change {
            Change::Down { cell, days, hours } => {
                self.what("down", "cell", cell);
                self.days(*days);
                hours.iter().for_each(|hours| self.hours(*hours));
            }
            Change::Open { cell, days, hours, people } => {
                self.what("open", "cell", cell);
                self.days(*days);
                self.hours(*hours);
                if !people {
                    self.raw("people", false);
                }
            }
            Change::Like { cell, id } => {
                self.what("like", "cell", cell);
                self.text("id", id);
            }
            Change::Tool { tool, arrives } => {
                self.what("tool", "tool", tool);
                self.date("arrives", *arrives);
            }
            Change::Tube { order, arrives } => {
                self.what("tube", "order", order);
                self.date("arrives", *arrives);
            }
            Change::Absent { crew, heads, days } => {
                self.what("absent", "crew", crew);
                self.raw("heads", heads);
                self.days(*days);
            }
            Change::People { crew, heads, days, hours } => {
                self.what("people", "crew", crew);
                self.raw("heads", heads);
                self.days(*days);
                self.hours(*hours);
            }
            Change::Rush { order, promised, late_cost_per_day } => {
                self.what("rush", "order", order);
                promised.iter().for_each(|date| self.date("promised", *date));
                late_cost_per_day.iter().for_each(|cost| self.raw("late_cost_per_day", cost.amount()));
            }
            Change::Cancel { order } => self.what("cancel", "order", order),
            Change::Order(order) => {
                self.what("order", "id", &order.id);
                self.text("part", &order.part);
                self.raw("quantity", order.quantity);
                self.date("promised", order.promised);
                order.material.iter().for_each(|date| self.date("material", *date));
                order.customer.iter().for_each(|customer| self.text("customer", customer));
                order.late_cost_per_day.iter().for_each(|cost| self.raw("late_cost_per_day", cost.amount()));
            }
        }
    }

    fn what(&mut self, what: &str, key: &str, id: &str) {
        self.text("what", what);
        self.text(key, id);
    }
}
