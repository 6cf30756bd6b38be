//! Bytes to text, and offsets to lines.

use crate::code;
use crate::finding::{Place, Problem};
use std::sync::Arc;

/// Beyond this distance from the line's beginning, in bytes, columns are not counted: nobody
/// counts them either.
const LONGEST_COUNTED: usize = 4_096;

/// The text of one file, with its name and lines.
pub(crate) struct Text<'a> {
    pub file: Arc<str>,
    pub text: &'a str,
    /// Offset of the beginning of each line.
    starts: Vec<usize>,
}

impl<'a> Text<'a> {
    pub fn new(file: &str, text: &'a str) -> Self {
        let breaks = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        Self { file: file.into(), text, starts: std::iter::once(0).chain(breaks).collect() }
    }

    /// Where an offset lies.
    pub fn place(&self, offset: usize) -> Place {
        let offset = offset.min(self.text.len());
        let line = self.starts.partition_point(|start| *start <= offset);
        let start = self.starts[line - 1];
        let column = if offset - start > LONGEST_COUNTED {
            0
        } else {
            self.text.as_bytes()[start..offset].iter().filter(|byte| !is_continuation(**byte)).count() + 1
        };
        Place { file: Arc::clone(&self.file), line, column }
    }
}

fn is_continuation(byte: u8) -> bool {
    byte & 0b1100_0000 == 0b1000_0000
}

/// The text of a file without its byte order mark; else the place of the first byte that is none.
pub(crate) fn decode<'a>(file: &str, bytes: &'a [u8]) -> Result<&'a str, (Place, Problem)> {
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        let problem = Problem::new(code::NOT_UTF8, format!("`{file}` is UTF-16 text; expected UTF-8"));
        return Err((Place::whole(file), problem.hint(SAVE_AS)));
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| not_utf8(file, bytes, error.valid_up_to()))
}

const SAVE_AS: &str =
    "save the file as UTF-8: in a spreadsheet \"CSV UTF-8\", in an editor the encoding UTF-8";

fn not_utf8(file: &str, bytes: &[u8], at: usize) -> (Place, Problem) {
    let (good, rest) = bytes.split_at(at);
    let text = String::from_utf8_lossy(good);
    let place = Text::new(file, &text).place(text.len());
    let byte = rest.first().copied().unwrap_or_default();
    // In Latin-1 and its Windows cousin these bytes are the letters with accents.
    let guess = match byte {
        0xA0.. => format!(", which would be `{}` in Latin-1", char::from(byte)),
        _ => String::new(),
    };
    let message = format!("`{file}` is not UTF-8 text: line {} has the byte {byte:#04X}{guess}", place.line);
    (place, Problem::new(code::NOT_UTF8, message).hint(SAVE_AS))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_become_lines_and_characters() {
        let text = Text::new("f", "ab\nä€c\r\n\nz");
        for (offset, line, column) in [
            (0, 1, 1),
            (2, 1, 3),
            (3, 2, 1),
            (5, 2, 2),
            (8, 2, 3),
            (9, 2, 4),
            (11, 3, 1),
            (12, 4, 1),
            (99, 4, 2),
        ] {
            let place = text.place(offset);
            assert_eq!((place.line, place.column), (line, column), "{offset}");
        }
        let long = "x".repeat(10_000);
        assert_eq!(Text::new("f", &long).place(9_000).to_string(), "f:1");
    }

    #[test]
    fn bytes_that_are_no_text_are_placed() {
        assert_eq!(decode("f", b"\xEF\xBB\xBFabc").ok(), Some("abc"));
        let (place, problem) = decode("o.csv", b"id\nM\xFCller").expect_err("Latin-1");
        assert_eq!(place.to_string(), "o.csv:2:2");
        assert!(
            problem.message.contains("the byte 0xFC, which would be `ü` in Latin-1"),
            "{}",
            problem.message
        );
        assert!(decode("f", b"\xFF\xFEa\0").is_err());
    }
}
