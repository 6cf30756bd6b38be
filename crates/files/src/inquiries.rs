//! Inquiries from a CSV file: one line for each question.

use crate::code;
use crate::finding::{Finding, Findings, Place, Problem};
use crate::near::did_you_mean;
use crate::plain;
use crate::shop::csv_row::RecordLines;
use crate::text::decode;
use csv::{ReaderBuilder, StringRecord};
use elbowroom_planner::promise::Inquiry;
use elbowroom_shop::Shop;
use std::path::Path;

/// An inquiry with the line on which it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    /// The question; its id is empty where the file gives none.
    pub inquiry: Inquiry,
    /// Where it stands.
    pub place: Place,
}

/// Columns of the file, those that are needed first.
const COLUMNS: [&str; 6] = ["part", "quantity", "wanted", "material", "customer", "order"];
const NEEDED: usize = 2;

/// Reads inquiries: columns `part` and `quantity`, and if wanted `wanted`, `material`, `customer`
/// and `order` (the id that it would get). Every fault is a finding; faulty lines are left out.
/// Whether the shop can make the part is not asked here.
#[must_use]
pub fn read_inquiries(path: &Path, shop: &Shop) -> (Vec<Asked>, Vec<Finding>) {
    let name = path.display().to_string();
    let findings = Findings::default();
    let asked = match std::fs::read(path) {
        Ok(bytes) => inquiries(&name, &bytes, shop, &findings),
        Err(error) => {
            let problem = Problem::new(code::UNREADABLE, format!("`{name}` cannot be read: {error}"));
            findings.error(Place::whole(&name), problem);
            Vec::new()
        }
    };
    (asked, findings.into_sorted(&[name.as_str().into()]))
}

fn inquiries(name: &str, bytes: &[u8], shop: &Shop, findings: &Findings) -> Vec<Asked> {
    let text = match decode(name, bytes) {
        Ok(text) => text,
        Err((place, problem)) => {
            findings.error(place, problem);
            return Vec::new();
        }
    };
    let separator = separator(text);
    let mut reader = ReaderBuilder::new()
        .flexible(true)
        .delimiter(separator)
        .has_headers(false)
        .from_reader(text.as_bytes());
    let mut lines = RecordLines::new(text);
    let with_line = |record: StringRecord| (lines.of(record.position()), record);
    let mut records = reader.records().map_while(Result::ok).map(with_line);
    let Some(header) = records.next().and_then(|(line, header)| Header::read(name, line, &header, findings))
    else {
        return Vec::new();
    };
    let full = records.filter(|(_, record)| record.iter().any(|field| !field.trim().is_empty()));
    full.filter_map(|(line, record)| {
        Row { name, line, header: &header, record: &record, shop, findings }.asked()
    })
    .collect()
}

/// What stands between fields: what the first line has most of.
fn separator(text: &str) -> u8 {
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let count = |separator: &u8| first.bytes().filter(|byte| byte == separator).count();
    let candidates = [b'\t', b';', b','];
    candidates.into_iter().max_by_key(count).unwrap_or(b',')
}

/// Which field holds which of the columns.
struct Header([Option<usize>; COLUMNS.len()]);

impl Header {
    fn read(name: &str, line: usize, record: &StringRecord, findings: &Findings) -> Option<Self> {
        let mut fields = [None; COLUMNS.len()];
        let mut sound = true;
        let place = || place(name, line);
        for (at, title) in record.iter().map(str::trim).enumerate().filter(|(_, title)| !title.is_empty()) {
            let meant = if title.eq_ignore_ascii_case("qty") { "quantity" } else { title };
            match COLUMNS.iter().position(|known| known.eq_ignore_ascii_case(meant)) {
                Some(column) => fields[column] = Some(at),
                None => {
                    let problem =
                        Problem::new(code::CSV_HEADER, format!("unknown column {}", plain::quoted(title)));
                    let hint = did_you_mean(title, COLUMNS).or_else(|| Some(known_columns()));
                    findings.error(place(), problem.maybe_hint(hint));
                    sound = false;
                }
            }
        }
        for column in COLUMNS[..NEEDED].iter().enumerate().filter(|(at, _)| fields[*at].is_none() && sound) {
            let problem = Problem::new(code::CSV_HEADER, format!("column {} is missing", column.1));
            findings.error(place(), problem.hint(known_columns()));
        }
        (sound && fields[..NEEDED].iter().all(Option::is_some)).then_some(Self(fields))
    }
}

fn known_columns() -> String {
    format!("the first line names the columns: {}", COLUMNS.join(","))
}

fn place(name: &str, line: usize) -> Place {
    Place { file: name.into(), line, column: 0 }
}

/// One line of the file.
struct Row<'r> {
    name: &'r str,
    line: usize,
    header: &'r Header,
    record: &'r StringRecord,
    shop: &'r Shop,
    findings: &'r Findings,
}

impl Row<'_> {
    fn asked(&self) -> Option<Asked> {
        let part = self.value(0, plain::id).filter(|part| self.is_known(part));
        let quantity = self.value(1, plain::quantity);
        let wanted = self.optional(2, plain::date);
        let material = self.optional(3, plain::date);
        let customer = self.optional(4, plain::id);
        let id = self.optional(5, plain::id);
        let inquiry = Inquiry {
            part: part?,
            quantity: quantity?,
            wanted: wanted?,
            material: material?,
            customer: customer?,
            id: id?.unwrap_or_default(),
        };
        Some(Asked { inquiry, place: place(self.name, self.line) })
    }

    fn is_known(&self, part: &str) -> bool {
        let known = self.shop.parts.iter().any(|known| known.id == part);
        if !known {
            self.fault(unknown_part(self.shop, part));
        }
        known
    }

    fn text(&self, column: usize) -> &str {
        self.header.0[column].and_then(|at| self.record.get(at)).unwrap_or_default().trim()
    }

    fn value<T>(&self, column: usize, read: impl Fn(&str) -> Result<T, Problem>) -> Option<T> {
        let name = COLUMNS[column];
        read(self.text(column)).map_err(|problem| self.fault(problem.of(format_args!("`{name}`")))).ok()
    }

    /// Inner `None` where nothing stands there.
    fn optional<T>(
        &self,
        column: usize,
        read: impl Fn(&str) -> Result<T, Problem> + Copy,
    ) -> Option<Option<T>> {
        if self.text(column).is_empty() { Some(None) } else { self.value(column, read).map(Some) }
    }

    fn fault(&self, problem: Problem) {
        self.findings.error(place(self.name, self.line), problem);
    }
}

fn unknown_part(shop: &Shop, part: &str) -> Problem {
    let problem = Problem::new(code::UNKNOWN_REFERENCE, format!("there is no part {}", plain::quoted(part)));
    problem.maybe_hint(part_meant(shop, part))
}

/// ``did you mean `X`?`` where the shop has a part of nearly that name.
#[must_use]
pub fn part_meant(shop: &Shop, part: &str) -> Option<String> {
    did_you_mean(part, shop.parts.iter().map(|known| known.id.as_str()))
}
