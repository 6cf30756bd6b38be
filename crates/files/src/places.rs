//! Where in the files a thing stands, so that later stages can point at it.

use crate::finding::Place;
use crate::near::nearest;
use std::collections::BTreeMap;
use std::fmt;

/// A kind of thing that shop files list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The shop as a whole; its id is empty.
    Shop,
    /// A calendar.
    Calendar,
    /// A crew.
    Crew,
    /// A material.
    Material,
    /// A tube.
    Tube,
    /// A vendor.
    Vendor,
    /// A service that some vendor does.
    Service,
    /// A part.
    Part,
    /// A tool.
    Tool,
    /// A cell.
    Cell,
    /// A customer.
    Customer,
    /// An order.
    Order,
    /// Work under way; its id is the order's.
    Underway,
}

impl Kind {
    /// The word for it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Shop => "shop",
            Self::Calendar => "calendar",
            Self::Crew => "crew",
            Self::Material => "material",
            Self::Tube => "tube",
            Self::Vendor => "vendor",
            Self::Service => "service",
            Self::Part => "part",
            Self::Tool => "tool",
            Self::Cell => "cell",
            Self::Customer => "customer",
            Self::Order => "order",
            Self::Underway => "work under way of order",
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// Where each thing stands, with its keys and, for parts, its bends.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Places {
    entries: BTreeMap<Kind, BTreeMap<String, Entry>>,
}

#[derive(Clone, Debug, PartialEq)]
struct Entry {
    whole: Place,
    keys: Vec<(String, Place)>,
    bends: Vec<Place>,
    sound: bool,
}

impl Places {
    /// Where a thing stands; `None` where no file lists it.
    #[must_use]
    pub fn of(&self, kind: Kind, id: &str) -> Option<&Place> {
        self.entry(kind, id).map(|entry| &entry.whole)
    }

    /// Where the value of one of its keys stands; where the thing stands if it lacks the key.
    #[must_use]
    pub fn key(&self, kind: Kind, id: &str, key: &str) -> Option<&Place> {
        let entry = self.entry(kind, id)?;
        let found = entry.keys.iter().find(|(name, _)| name == key);
        Some(found.map_or(&entry.whole, |(_, place)| place))
    }

    /// Where a bend of a part stands, counted from 1; where the part stands if its bends are not
    /// written one by one.
    #[must_use]
    pub fn bend(&self, part: &str, number: usize) -> Option<&Place> {
        let entry = self.entry(Kind::Part, part)?;
        let bend = number.checked_sub(1).and_then(|at| entry.bends.get(at));
        Some(bend.unwrap_or(&entry.whole))
    }

    /// The listed id that is most like one that is not listed, if one is like it.
    #[must_use]
    pub fn nearest(&self, kind: Kind, id: &str) -> Option<&str> {
        nearest(id, self.ids(kind))
    }

    fn entry(&self, kind: Kind, id: &str) -> Option<&Entry> {
        self.entries.get(&kind)?.get(id)
    }

    /// Every id of a kind, those of faulty things too.
    pub(crate) fn ids(&self, kind: Kind) -> impl Iterator<Item = &str> {
        self.entries.get(&kind).into_iter().flat_map(|entries| entries.keys().map(String::as_str))
    }

    /// How many ids of a kind there are.
    pub(crate) fn count(&self, kind: Kind) -> usize {
        self.entries.get(&kind).map_or(0, BTreeMap::len)
    }

    /// Whether a thing was read without fault; `None` where it is not listed.
    pub(crate) fn is_sound(&self, kind: Kind, id: &str) -> Option<bool> {
        self.entry(kind, id).map(|entry| entry.sound)
    }

    /// Notes a thing, unless one of its id is there already: then its place comes back.
    pub(crate) fn add(
        &mut self,
        (kind, id): (Kind, &str),
        whole: Place,
        keys: Vec<(String, Place)>,
        sound: bool,
    ) -> Result<(), Place> {
        let entries = self.entries.entry(kind).or_default();
        if let Some(first) = entries.get(id) {
            return Err(first.whole.clone());
        }
        entries.insert(id.to_owned(), Entry { whole, keys, bends: Vec::new(), sound });
        Ok(())
    }

    /// Notes the bends of a part.
    pub(crate) fn add_bends(&mut self, part: &str, bends: Vec<Place>) {
        if let Some(entry) = self.entries.get_mut(&Kind::Part).and_then(|parts| parts.get_mut(part)) {
            entry.bends = bends;
        }
    }
}
