use super::Doc;
use super::table::{Layer, Table};
use crate::code;
use crate::finding::{Place, Problem};
use std::fmt;
use toml::Spanned;
use toml::de::DeValue;

/// How a value is called: by its key, or as an item of a list.
#[derive(Clone, Copy)]
pub(crate) enum Label<'a> {
    /// The value of a key.
    Key(&'a str),
    /// An item of a list, counted from 1.
    Item(&'a Label<'a>, usize),
}

impl fmt::Display for Label<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Key(key) => write!(f, "`{key}`"),
            Self::Item(list, number) => write!(f, "item {number} of {list}"),
        }
    }
}

/// A value, whose it is, and where.
#[derive(Clone, Copy)]
pub(crate) struct Node<'a> {
    pub doc: &'a Doc<'a>,
    pub value: &'a Spanned<DeValue<'a>>,
    /// Whose it is, for messages: ``part `P-104` ``; empty for the file's own keys.
    pub whose: &'a str,
    pub label: Label<'a>,
}

impl<'a> Node<'a> {
    /// The value itself.
    pub fn get(&self) -> &'a DeValue<'a> {
        self.value.get_ref()
    }

    /// Where it begins.
    pub fn place(&self) -> Place {
        self.doc.text.place(self.value.span().start)
    }

    /// As it stands in the file, shortened.
    pub fn shown(&self) -> String {
        let source = self.doc.text.text.get(self.value.span()).unwrap_or_default();
        let mut line = source.lines().next().unwrap_or_default().trim().chars();
        let start: String = line.by_ref().take(40).collect();
        if line.next().is_some() || source.contains('\n') { format!("{start}...") } else { start }
    }

    /// Reports an error of this value; the message goes on after the value's name.
    pub fn fault(&self, problem: Problem) {
        self.doc.findings.error(self.place(), self.named(problem));
    }

    /// Reports that the value is not as expected.
    pub fn wrong(&self, code: &'static str, expected: impl fmt::Display) {
        self.wrong_hint(code, expected, None);
    }

    /// As [`Node::wrong`], with a hint.
    pub fn wrong_hint(&self, code: &'static str, expected: impl fmt::Display, hint: Option<String>) {
        let message = format!("is {}; {expected}", self.shown());
        self.fault(Problem::new(code, message).maybe_hint(hint));
    }

    /// Reports that the value is out of its range unless `good`; returns `good`.
    pub fn check(&self, good: bool, expected: impl fmt::Display) -> bool {
        if !good {
            self.wrong(code::OUT_OF_RANGE, expected);
        }
        good
    }

    fn named(&self, problem: Problem) -> Problem {
        let problem = problem.of(self.label);
        if self.whose.is_empty() { problem } else { problem.of(format_args!("{}:", self.whose)) }
    }

    /// The items of a list; reports what is none.
    pub fn items(&'a self) -> Option<impl Iterator<Item = Node<'a>>> {
        let Some(list) = self.get().as_array() else {
            self.wrong(code::WRONG_TYPE, "expected a list: [ ..., ... ]");
            return None;
        };
        let item = |(at, value)| Node { value, label: Label::Item(&self.label, at + 1), ..*self };
        Some(list.iter().enumerate().map(item))
    }

    /// The value as a table; reports what is none.
    pub fn table(&self, whose: String) -> Option<Table<'a>> {
        let Some(entries) = self.get().as_table() else {
            self.wrong(code::WRONG_TYPE, "expected a table: { key = value, ... }");
            return None;
        };
        Some(Table::new(Layer { doc: self.doc, entries, at: self.value.span().start }, whose))
    }
}
