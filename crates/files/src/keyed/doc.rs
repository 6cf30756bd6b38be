use crate::code;
use crate::finding::{Findings, Problem};
use crate::text::Text;
use std::cell::Cell;
use toml::Spanned;
use toml::de::DeTable;

/// A TOML file that is being read.
pub(crate) struct Doc<'a> {
    pub text: Text<'a>,
    pub findings: &'a Findings,
    /// Whether it turned out not to be well-formed, so that some of it may be missing.
    broken: Cell<bool>,
}

impl<'a> Doc<'a> {
    pub fn new(file: &str, text: &'a str, findings: &'a Findings) -> Self {
        Self { text: Text::new(file, text), findings, broken: Cell::new(false) }
    }

    /// Whether it turned out not to be well-formed.
    pub fn is_broken(&self) -> bool {
        self.broken.get()
    }
}

/// Syntax faults of one file beyond this number are follow-ups of the first ones.
const MOST_SYNTAX_FAULTS: usize = 10;

/// The parsed file. Where it is not well-formed, that is reported and noted in `doc`.
pub(crate) fn parse<'a>(doc: &Doc<'a>) -> Spanned<DeTable<'a>> {
    let (table, errors) = DeTable::parse_recoverable(doc.text.text);
    doc.broken.set(!errors.is_empty());
    for error in errors.into_iter().take(MOST_SYNTAX_FAULTS) {
        let place = doc.text.place(error.span().map_or(0, |span| span.start));
        let message = error.message().trim_end().replace('\n', ", ");
        doc.findings
            .error(place, Problem::new(code::SYNTAX, message).maybe_hint(hint(&error, doc.text.text)));
    }
    table
}

/// What somebody probably did.
fn hint(error: &toml::de::Error, text: &str) -> Option<String> {
    let line = line_around(text, error.span()?.start);
    let (key, value) = line.split_once('=')?;
    let value = value.split('#').next().unwrap_or_default().trim();
    let begins_plain = value.starts_with(|c: char| c.is_alphanumeric() || matches!(c, '.' | '+' | '-'));
    let bare = begins_plain && !value.contains(['"', '\'', '[', '{']);
    bare.then(|| format!("put text and quantities in quotes: {} = \"{value}\"", key.trim()))
}

fn line_around(text: &str, offset: usize) -> &str {
    let offset = offset.min(text.len());
    let start = text.as_bytes()[..offset].iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default()
}
