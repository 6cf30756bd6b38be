//! Reads a shop folder.

use crate::context::Context;
use crate::finding::{Finding, Findings, Severity};
use crate::keyed::Doc;
use crate::parsed::{Parsed, Texts};
use crate::places::{Kind, Places};
use crate::raw::{FOLDERS, KNOWN, RawFolder};
use crate::reading::Reading;
use crate::shipped;
use crate::text::decode;
use chrono::NaiveDate;
use elbowroom_shop::Shop;
use elbowroom_shop::notice::Notice;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// What could be made of a shop folder.
#[derive(Debug)]
pub struct Loaded {
    /// The shop as far as it was read without fault: what is faulty, and what refers to it, is
    /// left out. `None` where `shop.toml` itself could not be understood.
    pub shop: Option<Shop>,
    /// The notices on its board, which the shop heeds already.
    pub notices: Vec<Notice>,
    /// Where each thing stands in the files.
    pub places: Places,
    /// Ids of the sound parts of files that were added to the folder's own
    /// ([`RawFolder::with_parts_of`]).
    pub added_parts: Vec<String>,
    /// Everything there is to say, by file and line.
    pub findings: Vec<Finding>,
}

impl Loaded {
    /// Whether there is an error; nothing should be planned then.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity == Severity::Error)
    }
}

/// Reads a shop folder. Dates are held against the shop's `plan_start`.
#[must_use]
pub fn read_shop(folder: &Path) -> Loaded {
    read_raw(RawFolder::open(folder), None)
}

/// Reads a shop folder; dates are held against `start` rather than the shop's `plan_start`.
#[must_use]
pub fn read_shop_from(folder: &Path, start: NaiveDate) -> Loaded {
    read_raw(RawFolder::open(folder), Some(start))
}

/// Understands the bytes of a shop folder. Dates are held against `start`, else against the
/// shop's `plan_start`.
#[must_use]
pub fn read_raw(raw: RawFolder, start: Option<NaiveDate>) -> Loaded {
    let RawFolder { files, unread, added, findings, .. } = raw;
    let (read, places) = {
        let texts = Texts {
            files: decoded(&files, &findings),
            unread: unread.into_iter().collect(),
            added: added.clone(),
        };
        let docs: Vec<Doc<'_>> =
            texts.toml_files().map(|(name, text)| Doc::new(name, text, &findings)).collect();
        let parsed: Vec<Parsed<'_>> = docs.iter().map(Parsed::new).collect();
        let shipped_docs = shipped::docs(&findings);
        let shipped: Vec<Parsed<'_>> = shipped_docs.iter().map(Parsed::new).collect();
        let reading = Reading { texts: &texts, parsed: &parsed, shipped: &shipped };
        let mut cx = Context::new(&findings);
        let read = reading.shop(&mut cx, start);
        (read, cx.places)
    };
    let (shop, notices) = read.map_or((None, Vec::new()), |(shop, notices)| (Some(shop), notices));
    let order: Vec<Arc<str>> = file_order(files.keys().map(String::as_str));
    let added_parts = shop.as_ref().map_or_else(Vec::new, |shop| parts_of(&added, shop, &places));
    Loaded { shop, notices, places, added_parts, findings: findings.into_sorted(&order) }
}

/// Ids of the parts that stand in some of the files.
fn parts_of(files: &[String], shop: &Shop, places: &Places) -> Vec<String> {
    let ids = shop.parts.iter().map(|part| &part.id);
    let stands = |id: &&String| {
        let place = places.of(Kind::Part, id);
        place.is_some_and(|place| files.iter().any(|file| **file == *place.file))
    };
    ids.filter(stands).cloned().collect()
}

/// Files in the order in which findings are listed: as they are read, those of a folder after the
/// file that they stand beside.
fn file_order<'n>(names: impl Iterator<Item = &'n str>) -> Vec<Arc<str>> {
    let (known, further): (Vec<&str>, Vec<&str>) = names.partition(|name| KNOWN.contains(name));
    let mut order: Vec<Arc<str>> = Vec::new();
    for name in KNOWN {
        order.extend(known.iter().filter(|other| **other == name).map(|name| Arc::from(*name)));
        for (_, folder) in FOLDERS.iter().filter(|(beside, _)| *beside == name) {
            order.extend(further.iter().filter(|name| name.starts_with(folder)).map(|name| Arc::from(*name)));
        }
    }
    order
}

/// Texts of the files that are UTF-8; others are reported and count as unread.
fn decoded<'a>(
    files: &'a BTreeMap<String, Vec<u8>>,
    findings: &Findings,
) -> BTreeMap<&'a str, Option<&'a str>> {
    let text = |(name, bytes): (&'a String, &'a Vec<u8>)| match decode(name, bytes) {
        Ok(text) => (name.as_str(), Some(text)),
        Err((place, problem)) => {
            findings.error(place, problem);
            (name.as_str(), None)
        }
    };
    files.iter().map(text).collect()
}
