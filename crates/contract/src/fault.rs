use std::fmt;

/// One thing that is wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where in the document: `jobs[3].routes[0].operations[1].options[0].cell`; for what
    /// concerns the whole of it, `problem` or `schedule`.
    pub place: String,
    /// The line of the file, counted from 1, where it can be told.
    pub line: Option<usize>,
    /// What is wrong: the value found, what was expected, how to mend it.
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.what)?;
        self.line.map_or(Ok(()), |line| write!(f, " (line {line})"))
    }
}
