//! What bad input gets: a table of edits to a small shop and everything that is said of each.
//!
//! The table is `files/faults.cases`. `UPDATE_CASES=1 cargo test --workspace
//! --test files_faults` writes what is said now into it, to be read over before it is committed.

use elbowroom_files::{RawFolder, read_raw};
use elbowroom_tests::shop_cases::{Case, base, read_cases, write_cases};
use std::path::PathBuf;

fn table() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("suite/files/faults.cases")
}

/// Everything that is said of a shop with the edits of a case.
fn said(case: &Case) -> String {
    let loaded = read_raw(RawFolder::from_files(case.edited(&base())), None);
    let lines: Vec<String> = loaded.findings.iter().map(ToString::to_string).collect();
    lines.join("\n")
}

#[test]
fn the_small_shop_itself_has_no_fault() {
    let loaded = read_raw(RawFolder::from_files(base()), None);
    assert_eq!(loaded.findings, []);
    let shop = loaded.shop.expect("it has a shop.toml");
    let counts =
        (shop.cells.len(), shop.parts.len(), shop.tools.len(), shop.orders.len(), shop.underway.len());
    assert_eq!(counts, (2, 2, 2, 2, 1));
}

#[test]
fn every_fault_is_said_with_its_place_and_remedy() {
    let mut cases = read_cases(&table());
    if std::env::var_os("UPDATE_CASES").is_some() {
        for case in &mut cases {
            case.expected = said(case);
        }
        write_cases(&table(), &cases);
        return;
    }
    assert!(cases.len() >= 100, "the table has {} cases", cases.len());
    let wrong: Vec<String> = cases
        .iter()
        .map(|case| (case, said(case)))
        .filter(|(case, said)| case.expected != *said)
        .map(|(case, said)| format!("### {}\nexpected:\n{}\nsaid:\n{said}\n", case.name, case.expected))
        .collect();
    assert!(wrong.is_empty(), "{} of {} cases:\n{}", wrong.len(), cases.len(), wrong.join("\n"));
}

/// Every code is shown by some case or by one of the tests of files_disk, but for those here.
#[test]
fn every_code_has_a_case() {
    // Of the disk, of bytes that are no text, and of many faults.
    let elsewhere = ["F102", "F103", "F105", "F106", "F109"];
    let all: String = read_cases(&table()).iter().map(|case| case.expected.clone()).collect();
    for (code, meaning) in elbowroom_files::code::ALL {
        // F7xx are the planner's.
        let elsewhere = elsewhere.contains(code) || code.starts_with("F7");
        let shown = all.contains(&format!("[{code}]")) || elsewhere;
        assert!(shown, "no case shows {code}: {meaning}");
    }
}
