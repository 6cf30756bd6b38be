//! Which name stands where in a list, and who is meant by a name.

use crate::json::{Kind, Value};
use crate::reader::{Reader, clipped};
use crate::spot::{Path, Spot};
use std::collections::HashMap;

/// The ids of a list of objects, whatever else is wrong with the objects.
pub(crate) struct Names<'a> {
    /// What the list holds, for messages: `cell`.
    noun: &'static str,
    in_order: Vec<&'a str>,
    position: HashMap<&'a str, usize>,
}

impl<'a> Names<'a> {
    /// The ids of `list`. An id that appears twice becomes a fault, and means its first place.
    pub fn of(reader: &mut Reader, noun: &'static str, list: Option<Spot<'a>>) -> Self {
        let mut names = Self { noun, in_order: Vec::new(), position: HashMap::new() };
        let Some(spot) = list else { return names };
        let Kind::List(elements) = &spot.value.kind else { return names };
        for (i, element) in elements.iter().enumerate() {
            if let Some((value, id)) = id_of(element) {
                names.enter(reader, Spot { value, path: Path::Index(&spot.path, i) }, id, i);
            }
        }
        names
    }

    /// The ids of things that exist already, each unique.
    pub fn known(noun: &'static str, ids: impl Iterator<Item = &'a str>) -> Self {
        let in_order: Vec<_> = ids.collect();
        let position = in_order.iter().enumerate().map(|(i, id)| (*id, i)).collect();
        Self { noun, in_order, position }
    }

    fn enter(&mut self, reader: &mut Reader, spot: Spot, id: &'a str, index: usize) {
        self.in_order.push(id);
        let first = *self.position.entry(id).or_insert(index);
        if first != index && !id.is_empty() {
            let Spot { value, path } = spot;
            let here = Spot { value, path: Path::Key(&path, "id") };
            let what = format!("{} `{}` appears twice, first as number {first}", self.noun, clipped(id));
            reader.fault(here, format!("{what}, counted from 0; give one another id"));
        }
    }

    /// The position of the one that the string at `spot` names.
    pub fn find(&self, reader: &mut Reader, spot: Spot) -> Option<usize> {
        let name = reader.string(Some(spot))?;
        let found = self.position.get(name).copied();
        if found.is_none() {
            let meant = reader.meant(name, self.in_order.iter().copied());
            reader.fault(spot, format!("unknown {} `{}`{meant}", self.noun, clipped(name)));
        }
        found
    }
}

/// Ids that appear twice in `list` become faults.
pub(crate) fn unique(reader: &mut Reader, noun: &'static str, list: Option<Spot>) {
    let Some(Kind::List(elements)) = list.map(|spot| &spot.value.kind) else { return };
    // Most lists are short and right: a sort is cheaper for them than a map.
    let mut ids: Vec<&str> = elements.iter().filter_map(id_of).map(|(_, id)| id).collect();
    ids.sort_unstable();
    if ids.windows(2).any(|pair| pair[0] == pair[1]) {
        Names::of(reader, noun, list);
    }
}

fn id_of<'a>(element: &'a Value<'a>) -> Option<(&'a Value<'a>, &'a str)> {
    let Kind::Object(members) = &element.kind else { return None };
    let id = &members.iter().find(|member| member.key == "id")?.value;
    match &id.kind {
        Kind::Text(text) => Some((id, text)),
        _ => None,
    }
}
