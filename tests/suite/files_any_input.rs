//! Whatever stands in the files, reading them never panics, changes nothing, and hands on only
//! shops that are consistent.
#![allow(clippy::unwrap_used, reason = "a test that cannot use its own temporary folder should stop")]

use elbowroom_files::{Loaded, RawFolder, Severity, read_raw, read_shop, read_shop_from};
use elbowroom_shop::Shop;
use elbowroom_tests::chance::Chance;
use elbowroom_tests::shop_cases::base;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Files that the small shop lacks but a folder may have.
const OTHERS: [&str; 9] = [
    "orders.toml",
    "materials.toml",
    "processes.toml",
    "times.toml",
    "steps.toml",
    "stock.toml",
    "uncertainty.toml",
    "measured.toml",
    "parts/x.toml",
];

fn names() -> Vec<String> {
    base().into_keys().chain(OTHERS.map(str::to_owned)).collect()
}

/// The promises of a loaded shop: something is said where something is missing, ids are unique and
/// every reference is known.
fn check_promises(loaded: &Loaded) {
    let says = |severity| loaded.findings.iter().any(|finding| finding.severity == severity);
    assert_eq!(loaded.has_errors(), says(Severity::Error));
    assert!(loaded.shop.is_some() || loaded.has_errors(), "no shop and nothing said");
    assert!(
        loaded.findings.iter().all(|finding| !finding.message.is_empty() && finding.message.len() < 2_000)
    );
    if let Some(shop) = &loaded.shop {
        check_references(shop);
    }
}

fn unique<'i>(ids: impl Iterator<Item = &'i String>) -> BTreeSet<&'i str> {
    let all: Vec<&str> = ids.map(String::as_str).collect();
    let set: BTreeSet<&str> = all.iter().copied().collect();
    assert_eq!(set.len(), all.len(), "an id is there twice: {all:?}");
    set
}

fn check_references(shop: &Shop) {
    let calendars = unique(shop.calendars.iter().map(|calendar| &calendar.id));
    let crews = unique(shop.crews.iter().map(|crew| &crew.id));
    let materials = unique(shop.materials.iter().map(|material| &material.id));
    let tubes = unique(shop.tubes.iter().map(|tube| &tube.id));
    let parts = unique(shop.parts.iter().map(|part| &part.id));
    let tools = unique(shop.tools.iter().map(|tool| &tool.id));
    let cells = unique(shop.cells.iter().map(|cell| &cell.id));
    let orders = unique(shop.orders.iter().map(|order| &order.id));
    let services: BTreeSet<&str> = shop.vendors.iter().map(|vendor| vendor.service.as_str()).collect();
    let within =
        |set: &BTreeSet<&str>, id: &String| assert!(set.contains(id.as_str()), "`{id}` is not known");
    shop.tubes.iter().for_each(|tube| within(&materials, &tube.material));
    for part in &shop.parts {
        within(&tubes, &part.tube);
        part.outside.iter().for_each(|service| within(&services, service));
    }
    shop.tools.iter().flat_map(|tool| tool.fits.iter().flatten()).for_each(|cell| within(&cells, cell));
    for cell in &shop.cells {
        within(&calendars, &cell.calendar);
        cell.setup_crew.iter().chain(&cell.run_crew).for_each(|crew| within(&crews, crew));
        cell.mounted.iter().for_each(|tool| within(&tools, tool));
        cell.mounted_program.iter().for_each(|part| within(&parts, part));
    }
    shop.orders.iter().for_each(|order| within(&parts, &order.part));
    for work in &shop.underway {
        within(&orders, &work.order);
        work.running.iter().for_each(|running| within(&cells, &running.cell));
    }
}

/// Pieces that files are made of, right and wrong.
const PIECES: [&str; 34] = [
    "[[part]]",
    "[[tool]]\n",
    "[",
    "]",
    "{",
    "}",
    "\"",
    "'''",
    "=",
    ",",
    ";",
    "\t",
    "\r\n",
    "\n",
    "#",
    "nan",
    "-inf",
    "-1",
    "0",
    "99999999999999999999",
    "1e999",
    "\"0 mm\"",
    "\"-3 in\"",
    "\"1 parsec\"",
    "2026-13-45",
    "24:00",
    "true",
    "id",
    "\u{FEFF}",
    "\0",
    "é管",
    "\"\\uD800\"",
    "a.b.c = 1\n",
    "\"\"",
];

/// Changes a text a little: bytes, lines, pieces and characters come, go and change places.
fn spoil(chance: &mut Chance, text: &str) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..chance.from_to(1, 6) {
        let at = chance.below(bytes.len() + 1);
        let end = (at + chance.below(40)).min(bytes.len());
        match chance.below(7) {
            0 => drop(bytes.drain(at..end)),
            1 => drop(bytes.splice(at..at, chance.one_of(&PIECES).bytes())),
            2 => drop(bytes.splice(at..end, chance.one_of(&PIECES).bytes())),
            3 => bytes.insert(at, u8::try_from(chance.from_to(0, 255)).unwrap_or(0)),
            4 => {
                let piece = bytes[at..end].to_vec();
                let to = chance.below(bytes.len() + 1);
                drop(bytes.splice(to..to, piece));
            }
            5 => bytes.truncate(at),
            _ => {
                let text = String::from_utf8_lossy(&bytes).into_owned();
                let mut lines: Vec<&str> = text.lines().collect();
                if !lines.is_empty() {
                    let line = lines.remove(chance.below(lines.len()));
                    lines.insert(chance.below(lines.len() + 1), line);
                }
                bytes = lines.join("\n").into_bytes();
            }
        }
    }
    bytes
}

fn spoiled_shop(seed: u64) -> BTreeMap<String, Vec<u8>> {
    let mut chance = Chance::new(seed);
    let mut files: BTreeMap<String, Vec<u8>> =
        base().into_iter().map(|(name, text)| (name, text.into_bytes())).collect();
    for _ in 0..chance.from_to(1, 3) {
        let names = names();
        let name = names[chance.below(names.len())].clone();
        let old = files.get(&name).map(|bytes| String::from_utf8_lossy(bytes).into_owned());
        let text = old.unwrap_or_else(|| base()["parts.toml"].clone());
        files.insert(name, spoil(&mut chance, &text));
    }
    files
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_000))]

    #[test]
    fn spoiled_files_never_panic(seed in any::<u64>()) {
        check_promises(&read_raw(RawFolder::from_files(spoiled_shop(seed)), None));
    }

    #[test]
    fn any_bytes_never_panic(
        bytes in proptest::collection::vec(any::<u8>(), 0..400),
        file in 0..19usize,
    ) {
        let mut files: BTreeMap<String, Vec<u8>> =
            base().into_iter().map(|(name, text)| (name, text.into_bytes())).collect();
        let names = names();
        files.insert(names[file % names.len()].clone(), bytes);
        check_promises(&read_raw(RawFolder::from_files(files), None));
    }

    #[test]
    fn any_text_never_panics(text in "\\PC{0,200}", file in 0..19usize) {
        let names = names();
        check_promises(&read_raw(RawFolder::from_files([(names[file % names.len()].clone(), text)]), None));
    }
}

/// Reading a sound shop and a spoiled one leaves every byte of the folder, and adds nothing.
#[test]
fn reading_changes_nothing_on_disk() {
    for seed in 0..40 {
        let folder = tempfile::TempDir::new().unwrap();
        let files = if seed == 0 {
            base().into_iter().map(|(n, t)| (n, t.into_bytes())).collect()
        } else {
            spoiled_shop(seed)
        };
        std::fs::create_dir(folder.path().join("parts")).unwrap();
        for (name, bytes) in &files {
            std::fs::write(folder.path().join(name), bytes).unwrap();
        }
        let on_disk = read_shop(folder.path());
        check_promises(&on_disk);
        check_promises(&read_shop_from(folder.path(), "2030-01-01".parse().unwrap()));
        assert_eq!(on_disk.findings, read_raw(RawFolder::from_files(files.clone()), None).findings);
        let after: BTreeMap<String, Vec<u8>> =
            ["", "parts"].iter().flat_map(|sub| listing(folder.path(), sub)).collect();
        assert_eq!(after, files, "seed {seed}");
    }
}

fn listing(folder: &std::path::Path, sub: &str) -> Vec<(String, Vec<u8>)> {
    let entries = std::fs::read_dir(folder.join(sub)).unwrap().map(|entry| entry.unwrap());
    let files = entries.filter(|entry| entry.path().is_file());
    let name = |file: &str| if sub.is_empty() { file.to_owned() } else { format!("{sub}/{file}") };
    files
        .map(|entry| (name(&entry.file_name().to_string_lossy()), std::fs::read(entry.path()).unwrap()))
        .collect()
}

/// Files of the largest size, all faults, are read in the time of a few seconds: nothing grows with
/// the square of their size.
#[test]
fn large_files_full_of_faults_are_read_in_proportion_to_their_size() {
    let one_line = "[[tube]]\nx = [".to_owned() + &"\"1 mm\", ".repeat(400_000) + "]\n";
    let rows = "O-1,P-9,0,never,,Orsel Bed,x\n".repeat(100_000);
    let orders = base()["orders.csv"].clone() + &rows;
    let mut files = base();
    files.insert("tubes.toml".to_owned(), one_line);
    files.insert("orders.csv".to_owned(), orders);
    let loaded = read_raw(RawFolder::from_files(files), None);
    check_promises(&loaded);
    assert!(loaded.findings.len() <= 2 * 51 + 20, "{} findings", loaded.findings.len());
}
