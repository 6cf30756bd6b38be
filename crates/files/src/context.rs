//! What is known while the files of a shop are read one after the other.

use crate::code;
use crate::finding::{Findings, Place, Problem};
use crate::keyed::{Node, Table, values};
use crate::near::nearest;
use crate::places::{Kind, Places};
use std::cell::Cell;
use std::collections::BTreeSet;

/// What is known so far: who is listed, and whose list could not be read whole.
pub(crate) struct Context<'f> {
    pub findings: &'f Findings,
    pub places: Places,
    /// Kinds whose files have faults that may hide some of them: nobody is told that one is unknown.
    pub incomplete: BTreeSet<Kind>,
    /// How many more ids are looked at for what was probably meant.
    guesses: Cell<usize>,
}

/// Ids looked at for what was meant, after which no more guesses are made: a file of another shop
/// has a fault in every row, and each would be held against every id there is.
const MOST_GUESSES: usize = 50_000;

impl<'f> Context<'f> {
    pub fn new(findings: &'f Findings) -> Self {
        Self {
            findings,
            places: Places::default(),
            incomplete: BTreeSet::new(),
            guesses: Cell::new(MOST_GUESSES),
        }
    }

    /// Reads the items of a list that have an id each. Faulty ones are noted and left out, so that
    /// whoever refers to them is not told that they are unknown.
    pub fn items<T>(
        &mut self,
        kind: Kind,
        tables: &mut [Table<'_>],
        read: impl Fn(&Self, &Table<'_>, String) -> Option<T>,
    ) -> Vec<T> {
        tables.iter_mut().filter_map(|table| self.item(kind, table, &read)).collect()
    }

    fn item<T>(
        &mut self,
        kind: Kind,
        table: &mut Table<'_>,
        read: impl Fn(&Self, &Table<'_>, String) -> Option<T>,
    ) -> Option<T> {
        let errors = self.findings.errors();
        let id = table.req("id", values::id);
        if let Some(id) = &id {
            table.whose = format!("{kind} `{id}`");
        }
        let item = read(self, table, id.clone().unwrap_or_default());
        table.finish();
        let sound = item.is_some() && self.findings.errors() == errors;
        if id.is_none() {
            // Nobody knows who it is, so that anybody unknown may be meant.
            self.incomplete.insert(kind);
        }
        let fresh = self.note((kind, &id?), table.place(), table.key_places(), sound);
        item.filter(|_| sound && fresh)
    }

    /// Notes where a thing stands; reports it and returns false where its id is taken.
    pub fn note(
        &mut self,
        (kind, id): (Kind, &str),
        whole: Place,
        keys: Vec<(String, Place)>,
        sound: bool,
    ) -> bool {
        let Err(first) = self.places.add((kind, id), whole.clone(), keys, sound) else { return true };
        let problem = Problem::new(
            code::DUPLICATE,
            format!("{kind} `{id}` is there twice; the first one is at {first}"),
        );
        self.findings.error(whole, problem.hint("give it another id, or remove one of the two"));
        false
    }

    /// Reads a reference: the id of a thing that is listed. `None` without a word where the thing
    /// itself is faulty.
    pub fn known(&self, kind: Kind) -> impl Fn(Node<'_>) -> Option<String> + '_ {
        move |node| {
            let id = values::text(node)?;
            match self.find(kind, &id) {
                Ok(sound) => sound.then_some(id),
                Err(problem) => {
                    node.fault(problem);
                    None
                }
            }
        }
    }

    /// Whether a listed thing is sound; a problem that goes on after the name of the reference
    /// where it is not listed.
    pub fn find(&self, kind: Kind, id: &str) -> Result<bool, Problem> {
        match self.places.is_sound(kind, id) {
            Some(sound) => Ok(sound),
            None if self.incomplete.contains(&kind) => Ok(false),
            None => Err(self.unknown(kind, id)),
        }
    }

    /// The id of a listed thing that is most like `id`.
    pub fn guess(&self, kind: Kind, id: &str) -> Option<&str> {
        let left = self.guesses.get().checked_sub(self.places.count(kind))?;
        self.guesses.set(left);
        nearest(id, self.places.ids(kind))
    }

    fn unknown(&self, kind: Kind, id: &str) -> Problem {
        let message = match kind {
            Kind::Service => format!("is {}; no vendor does this", crate::plain::quoted(id)),
            _ => format!("is {}; there is no {kind} of this id", crate::plain::quoted(id)),
        };
        let hint =
            self.guess(kind, id).map(|near| format!("did you mean `{near}`?")).unwrap_or_else(|| match self
                .places
                .ids(kind)
                .next()
            {
                None => format!("no {kind} is listed; {}", home(kind)),
                Some(_) => home(kind),
            });
        Problem::new(code::UNKNOWN_REFERENCE, message).hint(hint)
    }
}

/// Where things of a kind are listed.
fn home(kind: Kind) -> String {
    let file = match kind {
        Kind::Shop => "shop.toml",
        Kind::Calendar => "calendars.toml",
        Kind::Crew => "crews.toml",
        Kind::Material => "materials.toml",
        Kind::Tube => "tubes.toml",
        Kind::Vendor | Kind::Service => "vendors.toml",
        Kind::Part => "parts.toml or parts/*.toml",
        Kind::Tool => "tooling.toml or tools/*.toml",
        Kind::Cell => "cells.toml",
        Kind::Customer => "customers.toml",
        Kind::Order => "orders.toml or orders.csv",
        Kind::Underway => "underway.toml",
    };
    format!("list it in {file}")
}
