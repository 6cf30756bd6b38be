//! A list for people as a table, before it is text or HTML.

/// A list with its columns and rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What the list is.
    pub caption: String,
    /// What to say where there are no rows.
    pub empty: String,
    /// Columns from left to right.
    pub columns: Vec<Column>,
    /// Rows, each with a text for every column.
    pub rows: Vec<Row>,
    /// A sentence below it.
    pub note: Option<String>,
}

/// A column of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its heading.
    pub title: &'static str,
    /// How its texts stand.
    pub kind: ColumnKind,
}

/// How the texts of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnKind {
    /// At the left, on one line.
    Word,
    /// At the right, on one line.
    Number,
    /// At the left, on as many lines as needed.
    Prose,
}

/// A row of a table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// A text for every column.
    pub cells: Vec<String>,
    /// Whether it deserves attention; the texts must say so too.
    pub notable: bool,
    /// A sentence on lines of its own below the row.
    pub below: Option<String>,
}

impl Table {
    /// A table without rows.
    #[must_use]
    pub fn new(caption: impl Into<String>, empty: impl Into<String>, columns: &[Column]) -> Self {
        Self {
            caption: caption.into(),
            empty: empty.into(),
            columns: columns.to_vec(),
            rows: Vec::new(),
            note: None,
        }
    }

    /// Adds a row.
    pub fn push(&mut self, cells: Vec<String>, notable: bool) {
        debug_assert_eq!(cells.len(), self.columns.len(), "a text for every column");
        self.rows.push(Row { cells, notable, below: None });
    }

    /// Adds a row with a sentence below it.
    pub fn push_with(&mut self, cells: Vec<String>, notable: bool, below: Option<String>) {
        self.push(cells, notable);
        if let Some(row) = self.rows.last_mut() {
            row.below = below;
        }
    }
}

/// A column of words on one line.
#[must_use]
pub const fn word(title: &'static str) -> Column {
    Column { title, kind: ColumnKind::Word }
}

/// A column of numbers.
#[must_use]
pub const fn number(title: &'static str) -> Column {
    Column { title, kind: ColumnKind::Number }
}

/// A column of text that may be broken into lines.
#[must_use]
pub const fn prose(title: &'static str) -> Column {
    Column { title, kind: ColumnKind::Prose }
}
