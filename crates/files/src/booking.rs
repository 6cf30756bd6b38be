//! Books orders into the order book of a shop folder.
//!
//! The file keeps its comments, its columns and its line ends: lines are only added at its end. What
//! it would become is read as a shop first, so that nothing is booked that could not be planned.

use crate::finding::{Finding, Severity};
use crate::folder_lock::{FolderLock, LockError};
use crate::raw::RawFolder;
use crate::read::read_raw;
use crate::text::decode;
use crate::write_error::WriteError;
use crate::write_one::write_file;
use elbowroom_shop::order::Order;
use std::fmt;
use std::path::{Path, PathBuf};

/// Why nothing was booked.
#[derive(Debug)]
pub enum BookError {
    /// The book has no column for something that the order says.
    NoColumn {
        /// The file.
        file: &'static str,
        /// The column.
        column: &'static str,
    },
    /// There is no order book, or it cannot be read.
    NoBook,
    /// With the orders in it the shop would have faults.
    WouldBreak {
        /// The faults.
        findings: Vec<Finding>,
    },
    /// Somebody else is changing the folder, or was broken off while doing so; nothing has changed.
    Held {
        /// The file that says so.
        path: PathBuf,
    },
    /// It could not be written; nothing has changed.
    Write(WriteError),
}

impl From<LockError> for BookError {
    fn from(error: LockError) -> Self {
        match error {
            LockError::Held { path, .. } => Self::Held { path },
            LockError::NotWritten(error) => Self::Write(error),
        }
    }
}

impl BookError {
    /// What would help.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::NoColumn { file, column } => {
                format!("add the column `{column}` to the first line of {file}")
            }
            Self::NoBook => "begin an orders.csv or orders.toml in the shop folder".to_owned(),
            Self::WouldBreak { .. } => "mend the shop folder first".to_owned(),
            Self::Held { path } => {
                format!("if no other command is running, delete {} and try again", path.display())
            }
            Self::Write(error) => error.remedy().to_owned(),
        }
    }
}

impl fmt::Display for BookError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoColumn { file, column } => write!(f, "{file} has no column `{column}` for the order"),
            Self::NoBook => write!(f, "the shop folder has no order book that can be read"),
            Self::WouldBreak { findings } => {
                write!(f, "with the order booked, the shop would have faults")?;
                findings.iter().try_for_each(|finding| write!(f, "\n{finding}"))
            }
            Self::Held { path } => {
                write!(f, "{} is there: another command is changing the shop folder", path.display())
            }
            Self::Write(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for BookError {}

const CSV: &str = "orders.csv";
const TOML: &str = "orders.toml";

/// Books orders at the end of `orders.csv`, or of `orders.toml` where there is no CSV book; the new
/// file replaces the old one in one go. Returns the name of the file.
///
/// # Errors
/// If the book has no room for what the orders say, would become faulty, or cannot be written;
/// nothing has changed then.
pub fn book_orders(folder: &Path, orders: &[Order]) -> Result<&'static str, BookError> {
    let _alone = FolderLock::take(folder)?;
    let mut raw = RawFolder::open(folder);
    let name = [CSV, TOML].into_iter().find(|name| raw.files.contains_key(*name)).ok_or(BookError::NoBook)?;
    let bytes = raw.files.get(name).ok_or(BookError::NoBook)?;
    let text = decode(name, bytes).map_err(|_| BookError::NoBook)?;
    let mark = &bytes[..bytes.len() - text.len()];
    let added = if name == CSV { csv_lines(text, orders)? } else { toml_tables(text, orders) };
    let whole = [mark, text.as_bytes(), added.as_bytes()].concat();
    raw.files.insert(name.to_owned(), whole.clone());
    check(raw, orders)?;
    write_file(&folder.join(name), &whole).map_err(BookError::Write)?;
    Ok(name)
}

/// The shop that would be read then has the orders, and no fault.
fn check(raw: RawFolder, orders: &[Order]) -> Result<(), BookError> {
    let loaded = read_raw(raw, None);
    let has = |order: &Order| loaded.shop.as_ref().is_some_and(|shop| shop.orders.contains(order));
    if !loaded.has_errors() && orders.iter().all(has) {
        return Ok(());
    }
    let faults = loaded.findings.into_iter().filter(|finding| finding.severity == Severity::Error);
    Err(BookError::WouldBreak { findings: faults.collect() })
}

fn line_end(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}

fn csv_lines(text: &str, orders: &[Order]) -> Result<String, BookError> {
    let end = line_end(text);
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |separator: &u8| first.bytes().filter(|byte| byte == separator).count();
    // The first of equals counts, as where the book is read.
    let separator = [b'\t', b';', b','].into_iter().max_by_key(count).unwrap_or(b',');
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).delimiter(separator).from_reader(first.as_bytes());
    let header = reader.records().next().and_then(Result::ok).unwrap_or_default();
    let mut added = if text.ends_with('\n') { String::new() } else { end.to_owned() };
    for order in orders {
        added += &(csv_line(&header, order, separator)? + end);
    }
    Ok(added)
}

fn csv_line(header: &csv::StringRecord, order: &Order, separator: u8) -> Result<String, BookError> {
    let columns: Vec<String> = header.iter().map(|title| title.trim().to_ascii_lowercase()).collect();
    let values = values(order);
    if let Some((column, _)) = values
        .iter()
        .find(|(column, value)| !value.is_empty() && !columns.iter().any(|title| is_column(title, column)))
    {
        return Err(BookError::NoColumn { file: CSV, column });
    }
    let field = |title: &String| {
        let value = values.iter().find(|(column, _)| is_column(title, column));
        value.map_or("", |(_, value)| value.as_str())
    };
    let mut writer = csv::WriterBuilder::new().delimiter(separator).from_writer(Vec::new());
    let written = writer.write_record(columns.iter().map(field)).ok().and_then(|()| writer.into_inner().ok());
    let line = written.and_then(|bytes| String::from_utf8(bytes).ok()).ok_or(BookError::NoBook)?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}

fn is_column(title: &str, column: &str) -> bool {
    title == column || (column == "id" && title == "order")
}

/// What an order says, by key; what it leaves open is empty.
fn values(order: &Order) -> [(&'static str, String); 7] {
    let date = |date: Option<chrono::NaiveDate>| date.map_or_else(String::new, |date| date.to_string());
    let money = order.late_cost_per_day.map_or_else(String::new, |money| money.amount().to_string());
    [
        ("id", order.id.clone()),
        ("part", order.part.clone()),
        ("quantity", order.quantity.to_string()),
        ("promised", order.promised.to_string()),
        ("material", date(order.material)),
        ("customer", order.customer.clone().unwrap_or_default()),
        ("late_cost_per_day", money),
    ]
}

fn toml_tables(text: &str, orders: &[Order]) -> String {
    let end = line_end(text);
    let mut added = if text.is_empty() || text.ends_with('\n') { String::new() } else { end.to_owned() };
    for order in orders {
        added += &format!("{end}[[order]]{end}");
        for (key, value) in values(order).into_iter().filter(|(_, value)| !value.is_empty()) {
            let plain = matches!(key, "quantity" | "late_cost_per_day");
            let value = if plain { value } else { toml::Value::String(value).to_string() };
            added += &format!("{key} = {value}{end}");
        }
    }
    added
}
