//! A row of a CSV file and where its fields stand.

use crate::code;
use crate::context::Context;
use crate::finding::{Finding, Place, Severity};
use crate::text::Text;
use csv::ByteRecord;

/// What may stand between fields.
const SEPARATORS: [(u8, &str); 3] = [(b',', "commas"), (b';', "semicolons"), (b'\t', "tabs")];

/// The separator that is most frequent in the first line, and its name.
pub(crate) fn most_frequent_separator(text: &str) -> (u8, &'static str) {
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let mut quoted = false;
    let mut counts = [0usize; SEPARATORS.len()];
    for byte in first.bytes() {
        quoted ^= byte == b'"';
        if let (false, Some(at)) = (quoted, SEPARATORS.iter().position(|(s, _)| *s == byte)) {
            counts[at] += 1;
        }
    }
    // The first of equals, so that a single column counts as separated by commas.
    let most = (0..counts.len()).rev().max_by_key(|at| counts[*at]).unwrap_or(0);
    SEPARATORS[most]
}

/// The separator that is most frequent in the first line; a note where it is no comma.
pub(super) fn separator(cx: &Context<'_>, text: &Text<'_>) -> u8 {
    let (separator, name) = most_frequent_separator(text.text);
    if separator != b',' {
        cx.findings.add(Finding {
            severity: Severity::Note,
            code: code::CSV_SEPARATOR,
            place: Place::whole(&text.file),
            message: format!("`{}` was read as separated by {name}, after its first line", text.file),
            hint: None,
        });
    }
    separator
}

/// Lines on which records begin, asked for one after the other. The library says that a record begins behind
/// the first character of the line end before it, which is the line before where line ends have two.
pub(crate) struct RecordLines<'t> {
    text: &'t str,
    at: usize,
    line: usize,
}

impl<'t> RecordLines<'t> {
    pub fn new(text: &'t str) -> Self {
        Self { text, at: 0, line: 1 }
    }

    /// The line of a record, counted from 1.
    pub fn of(&mut self, position: Option<&csv::Position>) -> usize {
        let start = start(self.text, position);
        let passed = self.text.as_bytes().get(self.at..start).unwrap_or_default();
        self.line += passed.iter().filter(|byte| **byte == b'\n').count();
        self.at = start.max(self.at);
        self.line
    }
}

/// Offset of a record's first byte, past the line ends that come before it.
fn start(text: &str, position: Option<&csv::Position>) -> usize {
    let byte = position.map_or(0, csv::Position::byte);
    let start = usize::try_from(byte).unwrap_or(usize::MAX).min(text.len());
    let rest = &text.as_bytes()[start..];
    start + rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n')).count()
}

/// A record and where its fields stand.
pub(super) struct Row<'a> {
    text: &'a Text<'a>,
    pub record: &'a ByteRecord,
    separator: u8,
}

impl<'a> Row<'a> {
    pub fn new(text: &'a Text<'a>, record: &'a ByteRecord, separator: u8) -> Self {
        Self { text, record, separator }
    }

    /// A field without blanks at its ends; empty where the row ends before.
    pub fn field(&self, at: usize) -> &'a str {
        let bytes = self.record.get(at).unwrap_or_default();
        // The whole text is UTF-8 and separators are ASCII, so that fields are UTF-8 as well.
        std::str::from_utf8(bytes).unwrap_or_default().trim()
    }

    /// Whether there is nothing in it.
    pub fn is_blank(&self) -> bool {
        self.record.iter().all(|field| field.trim_ascii().is_empty())
    }

    fn start(&self) -> usize {
        start(self.text.text, self.record.position())
    }

    /// Where the row begins.
    pub fn place(&self) -> Place {
        Place { column: 0, ..self.text.place(self.start()) }
    }

    /// Where a field begins.
    pub fn field_place(&self, at: usize) -> Place {
        let start = self.start();
        let rest = &self.text.text.as_bytes()[start..];
        let (mut quoted, mut passed) = (false, 0);
        let found = rest.iter().position(|byte| {
            let here = passed == at;
            quoted ^= *byte == b'"';
            passed += usize::from(!quoted && *byte == self.separator);
            here
        });
        self.text.place(start + found.unwrap_or(rest.len()))
    }
}

#[cfg(test)]
mod tests {
    use super::RecordLines;

    /// The library says of the second record that it begins on line 1 where line ends have two characters.
    #[test]
    fn records_begin_on_the_lines_that_an_editor_shows() {
        for end in ["\n", "\r\n"] {
            let text = ["a,b", "1,\"2", "3\"", "", "4,5", "6,7"].join(end);
            let reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
            let mut lines = RecordLines::new(&text);
            let found: Vec<usize> = reader
                .into_records()
                .map_while(Result::ok)
                .map(|record| lines.of(record.position()))
                .collect();
            assert_eq!(found, [1, 2, 5, 6], "{text:?}");
        }
    }
}
