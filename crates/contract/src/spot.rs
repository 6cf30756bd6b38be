//! A value of a document together with its path.

use crate::json::Value;
use std::fmt;

/// Where a value lies, as a chain that is only spelt out when something is wrong there.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Path<'a> {
    /// The document; its name.
    Root(&'a str),
    /// A member of an object.
    Key(&'a Path<'a>, &'a str),
    /// An element of a list, counted from 0.
    Index(&'a Path<'a>, usize),
}

/// `jobs[3].routes[0].cost`; the document's own name only where nothing follows.
impl fmt::Display for Path<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Path::Root(name) => f.write_str(name),
            Path::Key(Path::Root(_), key) => f.write_str(key),
            Path::Key(parent, key) => write!(f, "{parent}.{key}"),
            Path::Index(parent, index) => write!(f, "{parent}[{index}]"),
        }
    }
}

/// A value and its path.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spot<'a> {
    pub value: &'a Value<'a>,
    pub path: Path<'a>,
}

impl<'a> Spot<'a> {
    /// The elements of a list, each with its path.
    pub fn elements(&'a self, list: &'a [Value<'a>]) -> impl Iterator<Item = Spot<'a>> {
        let path = |index| Path::Index(&self.path, index);
        list.iter().enumerate().map(move |(i, value)| Spot { value, path: path(i) })
    }
}

/// The members of an object that its kind of object may have.
pub(crate) struct Fields<'a> {
    pub path: Path<'a>,
    /// Each known key, with its value where it is there.
    pub found: Vec<(&'static str, Option<&'a Value<'a>>)>,
}

impl<'a> Fields<'a> {
    /// The value of `key`, where it is there.
    pub fn get(&'a self, key: &'static str) -> Option<Spot<'a>> {
        let (_, value) = self.found.iter().find(|(name, _)| *name == key)?;
        value.map(|value| Spot { value, path: Path::Key(&self.path, key) })
    }

    /// Whether `key` is there, be it `null`.
    pub fn has(&self, key: &str) -> bool {
        self.found.iter().any(|(name, value)| *name == key && value.is_some())
    }
}
