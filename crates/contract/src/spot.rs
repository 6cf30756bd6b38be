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

/// The keys that one kind of object must and may have; at most [`MOST_KEYS`] in all.
pub(crate) struct Keys {
    pub required: &'static [&'static str],
    pub optional: &'static [&'static str],
}

/// The largest number of keys that one kind of object has.
pub(crate) const MOST_KEYS: usize = 10;

impl Keys {
    /// All of them, the required ones first.
    pub fn all(&self) -> impl Iterator<Item = &'static str> {
        self.required.iter().chain(self.optional).copied()
    }

    fn position(&self, key: &str) -> Option<usize> {
        self.all().position(|known| known == key)
    }
}

/// The members of an object that its kind of object may have.
pub(crate) struct Fields<'a> {
    path: Path<'a>,
    keys: &'a Keys,
    /// The value of each key, where it is there.
    found: [Option<&'a Value<'a>>; MOST_KEYS],
}

/// What became of a member that was entered.
pub(crate) enum Entered {
    Known,
    /// The key was there already.
    Again,
    Unknown,
}

impl<'a> Fields<'a> {
    /// No member yet.
    pub fn none(path: Path<'a>, keys: &'a Keys) -> Self {
        Self { path, keys, found: [None; MOST_KEYS] }
    }

    /// Enters a member; the first of several with one key stays.
    pub fn enter(&mut self, key: &str, value: &'a Value<'a>) -> Entered {
        let Some(position) = self.keys.position(key) else { return Entered::Unknown };
        if self.found[position].is_some() {
            return Entered::Again;
        }
        self.found[position] = Some(value);
        Entered::Known
    }

    /// The value of `key`, where it is there.
    pub fn get(&'a self, key: &'a str) -> Option<Spot<'a>> {
        let value = self.found[self.keys.position(key)?]?;
        Some(Spot { value, path: Path::Key(&self.path, key) })
    }

    /// Whether `key` is there, be it `null`.
    pub fn has(&self, key: &str) -> bool {
        self.keys.position(key).is_some_and(|position| self.found[position].is_some())
    }
}
