//! Exports as they come: CSV by the rules of RFC 4180, merged cells, a file that is still being written, a
//! folder that somebody else is changing.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_files::{open_export, read_shop};
use elbowroom_tests::imports::{HEADER, csv, imported, refused, written};
use elbowroom_tests::program::run;
use rust_xlsxwriter::{Format, Workbook};
use std::io::Write;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// RFC 4180, section 2: lines end with CRLF (1), the last one need not (2), there is a heading (3), fields are
/// separated by commas and each row has as many (4), may be enclosed in quotation marks (5), with line breaks,
/// commas and quotation marks in them (6), the marks doubled (7).
#[test]
fn csv_by_the_rules_of_rfc_4180() {
    let whole = "id,part,quantity,promised,note\r\nO-1,EXAMPLE-1,5,2026-12-18,plain\r\n";
    for (rule, text) in [
        (1, whole.to_owned()),
        (2, whole.trim_end().to_owned()),
        (5, whole.replace("plain", "\"plain\"").replace("O-1", "\"O-1\"")),
        (6, whole.replace("plain", "\"one\r\ntwo, three\"")),
        (7, whole.replace("plain", "\"1-1/4\"\" tube\"")),
        (7, whole.replace("plain", "\"\"\"\"")),
        (5, whole.replace("plain", "\"\"")),
    ] {
        let found = csv(&text, "");
        let lines: Vec<&str> = written(&found).lines().skip(1).collect();
        assert_eq!(lines, ["O-1,EXAMPLE-1,5,2026-12-18,,,"], "rule {rule}: {text:?}");
    }
    // Rule 4: a row that is too short lacks what is needed, and says which.
    refused(&csv("id,part,quantity,promised\r\nO-1,EXAMPLE-1,5\r\n", ""), "2:4", "`promised` is empty");
    // Behind a field with a line break, lines are counted as an editor counts them.
    let below = format!("{}O-2,EXAMPLE-1,5,2026-02-31,\r\n", whole.replace("plain", "\"one\r\ntwo\""));
    refused(&csv(&below, ""), "4:4", "there is no such day");
    // An id with a line break could not be written on a sheet.
    refused(&csv(&format!("{HEADER}\"O\r\n1\",EXAMPLE-1,5,2026-12-18\r\n"), ""), "2:1", "with a line break");
}

/// A number with a comma in it stands in quotation marks, or the rows have a field too many.
#[test]
fn decimal_commas_among_commas() {
    let german = "[orders]\ndecimal = \",\"\n";
    let header = "id,part,quantity,promised,late_cost_per_day\n";
    let found = csv(&format!("{header}O-1,EXAMPLE-1,5,2026-12-18,\"1.250,50\"\n"), german);
    assert_eq!(written(&found).lines().nth(1), Some("O-1,EXAMPLE-1,5,2026-12-18,,,1250.5"));
    refused(
        &csv(&format!("{header}O-1,EXAMPLE-1,5,2026-12-18,1250.5,0\n"), german),
        "2:5",
        "decimal = \".\"",
    );
}

/// Only the first of merged cells holds something: the others would be empty without anybody having meant that.
#[test]
fn merged_cells_below_the_heading_are_refused_where_they_matter() {
    let book = |column: u16| {
        let mut book = Workbook::new();
        let sheet = book.add_worksheet();
        for (at, title) in (0..).zip(["id", "part", "quantity", "promised", "customer", "note"]) {
            sheet.write(0, at, title).unwrap();
        }
        for row in 1..=2 {
            let values =
                [format!("O-{row}"), "EXAMPLE-1".to_owned(), "5".to_owned(), "2026-12-18".to_owned()];
            for (at, value) in (0..).zip(values) {
                sheet.write(row, at, value).unwrap();
            }
        }
        sheet.merge_range(1, column, 2, column, "for both", &Format::new()).unwrap();
        book.save_to_buffer().unwrap()
    };
    refused(
        &imported("orders.xlsx", &book(4), "", &[], false),
        "2:5",
        "cells E2:E3 are merged, so that all but the first are empty",
    );
    assert_eq!(written(&imported("orders.xlsx", &book(5), "", &[], false)).lines().count(), 3);
}

#[test]
fn an_export_that_is_being_written_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("orders.csv");
    let mut file = std::fs::File::create(&path).unwrap();
    write!(file, "{HEADER}O-1,EXAMPLE-1,5,2026-12-1").unwrap();
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            while !done.load(Ordering::Relaxed) {
                write!(file, "8").unwrap();
                std::thread::sleep(Duration::from_millis(20));
            }
        });
        let refused = open_export(&path).unwrap_err();
        done.store(true, Ordering::Relaxed);
        assert!(refused.message.contains("is being written by another program just now"), "{refused}");
    });
}

#[test]
fn an_import_waits_for_its_turn_and_changes_nothing_without_it() {
    let folder = tempfile::tempdir().unwrap();
    let shop = folder.path().join("shop");
    assert_eq!(run(&["new", shop.to_str().unwrap()]).code, 0);
    let before = std::fs::read(shop.join("orders.csv")).unwrap();
    let lock = shop.join(".elbowroom-lock");
    std::fs::write(&lock, "4711").unwrap();
    let text = format!("{HEADER}O-1,EXAMPLE-1,5,2026-12-18\n");
    let file = folder.path().join("export.csv");
    std::fs::write(&file, &text).unwrap();
    let command = run(&["import", shop.to_str().unwrap(), file.to_str().unwrap(), "--apply"]);
    assert_eq!(command.code, 4, "{command:?}");
    assert!(
        command.stderr.contains("another command is changing the shop folder (process 4711)"),
        "{command:?}"
    );
    assert_eq!(std::fs::read(shop.join("orders.csv")).unwrap(), before);
    // A look needs no turn.
    assert_eq!(run(&["import", shop.to_str().unwrap(), file.to_str().unwrap()]).code, 0);
    std::fs::remove_file(&lock).unwrap();
    let command = run(&["import", shop.to_str().unwrap(), file.to_str().unwrap(), "--apply"]);
    assert_eq!(command.code, 0, "{command:?}");
    assert!(read_shop(&shop).shop.unwrap().orders.iter().any(|order| order.id == "O-1"));
    assert!(!lock.exists());
}
