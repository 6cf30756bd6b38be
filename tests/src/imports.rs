//! Imports of exports into the starter shop.

use crate::trial_shop::date;
use elbowroom_files::{Export, Imported, Mapping, RawFolder, import, read_mapping, starter};

/// The starter shop, whose one order is promised on 2026-12-28, with further files.
#[must_use]
pub fn folder(more: &[(&str, &str)]) -> RawFolder {
    let files = starter(date("2026-12-07"));
    let more = more.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec()));
    RawFolder::from_files(files.into_iter().filter(|(name, _)| !name.ends_with(".example")).chain(more))
}

/// What an import would do; `mapping`: its text, empty for none; `more`: further files of the shop.
///
/// # Panics
/// If the mapping has faults.
#[must_use]
pub fn imported(name: &str, bytes: &[u8], mapping: &str, more: &[(&str, &str)], keep: bool) -> Imported {
    let mapping = if mapping.is_empty() {
        Mapping::default()
    } else {
        read_mapping("m.toml", mapping).expect("the mapping is sound")
    };
    import(&|| folder(more), &Export { name, bytes }, &mapping, keep)
}

/// As [`imported`], of a text.
#[must_use]
pub fn csv(text: &str, mapping: &str) -> Imported {
    imported("export.csv", text.as_bytes(), mapping, &[], false)
}

/// The one file of an import without fault.
///
/// # Panics
/// If it has one.
#[must_use]
pub fn written(imported: &Imported) -> &str {
    assert!(!imported.has_errors(), "{:?}", imported.findings);
    let [(_, bytes)] = imported.files.as_slice() else { panic!("one file, not {:?}", imported.files) };
    std::str::from_utf8(bytes).expect("it is text")
}

/// Heading of an export of orders under the shop's own names.
pub const HEADER: &str = "id,part,quantity,promised\n";

/// The export is refused, with these words at this place (`row:column`), and there is nothing to write.
///
/// # Panics
/// If it is not.
pub fn refused(imported: &Imported, place: &str, words: &str) {
    let found = imported.findings.iter().any(|finding| {
        let at = format!("{}:{}", finding.place.line, finding.place.column);
        let hint = finding.hint.as_deref().unwrap_or_default();
        at == place && format!("{} {hint}", finding.message).contains(words)
    });
    assert!(found, "no \"{words}\" at {place} in {:#?}", imported.findings);
    assert!(imported.has_errors() && imported.files.is_empty(), "nothing is half imported");
}
