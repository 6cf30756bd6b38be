//! Import: exports as order systems write them, in CSV and in workbooks written by another library.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_files::{Export, Imported, What, import, read_mapping, read_raw};
use elbowroom_tests::imports::{HEADER, csv, folder, imported, refused, written};
use elbowroom_units::{Deg, Mm};
use proptest::prelude::*;
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook};

#[test]
fn what_is_new_changed_and_gone_is_said() {
    let text = format!("{HEADER}O-1,EXAMPLE-1,5,2026-12-18\n\nO-2,EXAMPLE-1,7,2026-12-21\n");
    let found = csv(&text, "");
    assert_eq!(written(&found).lines().nth(2), Some("O-2,EXAMPLE-1,7,2026-12-21,,,"));
    let changes: Vec<_> = found.lists[0].changes.iter().map(|c| (c.id.as_str(), &c.what)).collect();
    assert_eq!(changes, [("O-1", &What::New), ("O-2", &What::New), ("EXAMPLE-1", &What::Gone)]);
    let found = csv(&format!("{HEADER}EXAMPLE-1,EXAMPLE-1,120,2026-12-28\n"), "");
    assert_eq!(found.lists[0].changes[0].what, What::Changed(vec!["quantity 100 -> 120".to_owned()]));
    let found = csv(&format!("{HEADER}EXAMPLE-1,EXAMPLE-1,100,2026-12-28\n"), "");
    assert_eq!((found.lists[0].rows, found.lists[0].changes.len()), (1, 0));
}

#[test]
fn what_the_export_lacks_can_stay() {
    let text = format!("{HEADER}O-1,EXAMPLE-1,5,2026-12-18\n");
    let found = imported("export.csv", text.as_bytes(), "", &[], true);
    assert_eq!(written(&found).lines().nth(2), Some("EXAMPLE-1,EXAMPLE-1,100,2026-12-28,,,"));
    assert_eq!(found.lists[0].changes.len(), 1);
}

const GERMAN: &str = "[orders]\ndate = \"d.m.y\"\ndecimal = \",\"\n[orders.columns]\nid = \"Auftrag\"\n\
                      part = \"Teil\"\nquantity = \"Menge\"\npromised = \"Liefertermin\"\nlate_cost_per_day = \"P\u{f6}nale\"\n";

#[test]
fn headings_dates_and_numbers_as_a_mapping_says() {
    let text = "Stand;07.12.2026;;;;\nAuftrag;Kunde;Teil;Menge;Liefertermin;P\u{f6}nale\n4711;X;EXAMPLE-1;1.200;18.12.2026;150,50\n";
    let found = csv(text, GERMAN);
    assert_eq!(written(&found).lines().nth(1), Some("4711,EXAMPLE-1,1200,2026-12-18,,,150.5"));
}

#[test]
fn every_fault_has_its_row_and_column() {
    let rows = |rows: &str| csv(&format!("{HEADER}{rows}"), "");
    refused(&rows("O-1,EXAMPLE-1,5,2026-02-31\n"), "2:4", "there is no such day");
    refused(&rows("O-1,EXAMPLE-1,5,31.12.2026\n"), "2:4", "write date = \"d.m.y\" in the mapping");
    refused(&rows("\n,,,\nO-1,EXAMPLE-1,5,12/31/2026\n"), "4:4", "write date = \"m/d/y\" in the mapping");
    refused(&rows("O-1,EXAMPLE-1,\"1,5\",2026-12-18\n"), "2:3", "decimal = \",\"");
    refused(&rows("O-1,EXAMPLE-1,0,2026-12-18\n"), "2:3", "whole number");
    refused(&rows("O-1,EXAMPLE-1,,2026-12-18\n"), "2:3", "is empty");
    refused(&rows("O-1,EXAMPLE-2,5,2026-12-18\n"), "2:2", "did you mean `EXAMPLE-1`?");
    refused(
        &rows("A,EXAMPLE-1,5,2026-12-18\nA,EXAMPLE-1,5,2026-12-18\n"),
        "3:0",
        "the first one is at row 2",
    );
    refused(
        &csv("id,part,qty,promised\nA,EXAMPLE-1,5,2026-12-18\n", ""),
        "1:0",
        "no column is headed `quantity`",
    );
    refused(&csv("id,part,quantity,id,promised\n", ""), "1:4", "columns A, D are all headed as `id`");
    refused(&csv(HEADER, ""), "0:0", "there is no row below the heading");
    refused(&csv("", ""), "0:0", "there is no heading");
    refused(&imported("export.csv", b"id,part\nM\xFCller,x\n", "", &[], false), "2:2", "UTF-8");
    refused(&imported("export.pdf", b"%PDF", "", &[], false), "0:0", "neither a .csv nor an .xlsx");
}

#[test]
fn an_order_under_way_cannot_go() {
    let underway = ("underway.toml", "[[underway]]\norder = \"EXAMPLE-1\"\ndone = [\"cut\"]\n");
    let text = format!("{HEADER}O-1,EXAMPLE-1,5,2026-12-18\n");
    let found = imported("export.csv", text.as_bytes(), "", &[underway], false);
    refused(&found, "2:9", "there is no order of this id");
}

#[test]
fn too_many_rows_are_refused_and_twenty_thousand_are_not() {
    let rows = |count: usize| -> String {
        (0..count).fold(HEADER.to_owned(), |text, row| text + &format!("O-{row},EXAMPLE-1,5,2026-12-18\n"))
    };
    refused(&csv(&rows(200_001), ""), "0:0", "more rows than the 200000 that are read");
    let found = csv(&rows(20_000), "");
    assert_eq!((found.lists[0].rows, written(&found).lines().count()), (20_000, 20_001));
}

/// A workbook with a heading in row 3, real dates, numbers as ids, an empty row and a formula.
fn workbook(broken: &str) -> Vec<u8> {
    let mut book = Workbook::new();
    book.add_worksheet().set_name("Notes").unwrap();
    let sheet = book.add_worksheet().set_name("Open orders").unwrap();
    sheet.write(0, 1, "Open orders, printed on Monday").unwrap();
    for (column, title) in (1..).zip(["Order", "Item", "Qty", "Ship date"]) {
        sheet.write(2, column, title).unwrap();
    }
    let day = Format::new().set_num_format("dd/mm/yyyy");
    sheet.write(3, 1, 4711).unwrap();
    sheet.write(3, 2, "EXAMPLE-1").unwrap();
    sheet.write(3, 3, 12).unwrap();
    sheet.write_with_format(3, 4, ExcelDateTime::from_ymd(2026, 12, 18).unwrap(), &day).unwrap();
    sheet.write(5, 1, "O-2").unwrap();
    sheet.write(5, 2, "EXAMPLE-1").unwrap();
    sheet.write_formula(5, 3, Formula::new("=D4*2").set_result("24")).unwrap();
    sheet.write(5, 4, "2026-12-21").unwrap();
    match broken {
        "merged" => drop(sheet.merge_range(2, 3, 2, 4, "Qty", &Format::new()).unwrap()),
        "formula" => drop(sheet.write_formula(5, 3, Formula::new("=D4/0").set_result("#DIV/0!")).unwrap()),
        "serial" => drop(sheet.write(5, 4, 46_367).unwrap()),
        _ => {}
    }
    book.save_to_buffer().unwrap()
}

const ENGLISH: &str = "[orders]\nsheet = \"Open orders\"\n[orders.columns]\nid = \"Order\"\npart = \"Item\"\n\
                       quantity = \"Qty\"\npromised = \"Ship date\"\n";

#[test]
fn a_workbook_of_another_library_is_read() {
    let found = imported("orders.xlsx", &workbook(""), ENGLISH, &[], false);
    let lines: Vec<&str> = written(&found).lines().skip(1).collect();
    assert_eq!(lines, ["4711,EXAMPLE-1,12,2026-12-18,,,", "O-2,EXAMPLE-1,24,2026-12-21,,,"]);
}

#[test]
fn faults_of_a_workbook_are_placed_in_its_sheet() {
    let read = |broken| imported("orders.xlsx", &workbook(broken), ENGLISH, &[], false);
    refused(&read("merged"), "3:4", "cells D3:E3 of the heading are merged");
    refused(&read("formula"), "6:4", "row 6, column D, `quantity` holds the error #DIV/0! of a formula");
    refused(&read("serial"), "6:5", "it would be 2026-12-11");
    let whole = workbook("");
    let half = imported("orders.xlsx", &whole[..whole.len() / 2], ENGLISH, &[], false);
    refused(&half, "0:0", "it may still be being written");
    let other = ENGLISH.replace("Open orders", "Open order");
    refused(&imported("orders.xlsx", &whole, &other, &[], false), "0:0", "did you mean `Open orders`?");
}

/// A workbook that openpyxl wrote (a library from PyPI; `make_workbook.py` beside it).
fn of_openpyxl(sheet: &str) -> Imported {
    let bytes = include_bytes!("../cases/import/orders.xlsx");
    let mapping = format!(
        "[orders]\nsheet = \"{sheet}\"\ndate = \"d.m.y\"\ndecimal = \",\"\n[orders.columns]\nid = \"Order\"\n\
         part = \"Item\"\nquantity = \"Qty\"\npromised = \"Ship date\"\nlate_cost_per_day = \"Penalty\"\n"
    );
    imported("orders.xlsx", bytes, &mapping, &[], false)
}

#[test]
fn a_workbook_of_openpyxl_is_read_dates_as_cells_and_as_text() {
    let found = of_openpyxl("Orders");
    let lines: Vec<&str> = written(&found).lines().skip(1).collect();
    let expected = [
        "4711,EXAMPLE-1,12,2026-12-18,,,150.5",
        "O-2,EXAMPLE-1,1200,2026-12-21,,,99.5",
        "O-3,EXAMPLE-1,7,2026-12-22,,,",
    ];
    assert_eq!(lines, expected);
}

#[test]
fn every_fault_of_a_workbook_of_openpyxl_has_its_row_and_column() {
    let faults = of_openpyxl("Faults");
    refused(&faults, "4:4", "row 4, column D, `promised` is \"31.02.2026\"; there is no such day");
    refused(&faults, "5:3", "row 5, column C, `quantity` is 1.5; it must be a whole number");
    refused(&faults, "6:3", "row 6, column C, `quantity` holds the error #REF! of a formula");
    // openpyxl computes nothing: a formula that no spreadsheet has saved since has no value.
    refused(&faults, "8:4", "row 8, column D, `promised` is the number 46374, not a date");
    refused(&of_openpyxl("Merged"), "3:3", "cells C3:D3 of the heading are merged");
    // A dense table up to that cell would have 17 billion others.
    refused(&of_openpyxl("Far"), "0:0", "row 1048576, column XFD: there is something in this cell");
}

/// A formula whose cells are empty is no quantity, and nothing is imported.
#[test]
fn a_formula_of_nothing_is_no_quantity() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (column, title) in (0..).zip(["id", "part", "quantity", "promised"]) {
        sheet.write(0, column, title).unwrap();
    }
    sheet.write(1, 0, "O-1").unwrap();
    sheet.write(1, 1, "EXAMPLE-1").unwrap();
    sheet.write_formula(1, 2, Formula::new("=A9").set_result("")).unwrap();
    sheet.write(1, 3, "2026-12-18").unwrap();
    let found = imported("orders.xlsx", &book.save_to_buffer().unwrap(), "", &[], false);
    refused(&found, "2:3", "it must be a whole number from 1");
}

#[test]
fn a_workbook_of_more_than_200_000_rows_is_refused_plainly() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (column, title) in (0..).zip(["id", "part", "quantity", "promised"]) {
        sheet.write(0, column, title).unwrap();
    }
    for row in 1..=200_001 {
        sheet.write(row, 0, row).unwrap();
    }
    let found = imported("orders.xlsx", &book.save_to_buffer().unwrap(), "", &[], false);
    refused(&found, "0:0", "more rows than the 200000 that are read");
}

#[test]
fn a_text_file_that_is_still_being_written_is_noticed() {
    let cut = csv(&format!("{HEADER}O-1,EXAMPLE-1,5,2026-12-1"), "");
    let said = cut.findings.iter().map(ToString::to_string).collect::<String>();
    assert!(said.contains("row 2: the file ends without a line break behind it"), "{said}");
    assert!(said.contains("export.csv:2"), "{said}");
    let whole = csv(&format!("{HEADER}O-1,EXAMPLE-1,5,2026-12-18\n"), "");
    assert!(whole.findings.is_empty(), "{:?}", whole.findings);
    // A quotation mark that is never closed would swallow the orders behind it.
    let open = csv(&format!("{HEADER}O-1,\"EXAMPLE-1,5,2026-12-18\nO-2,EXAMPLE-1,5,2026-12-18\n"), "");
    refused(&open, "2:2", "row 2, column B: a quotation mark is opened here and never closed");
}

#[test]
fn the_tool_rack_with_inch_fractions() {
    let mapping =
        "[tools]\nlength_unit = \"in\"\n[tools.columns]\nid = \"No\"\nod = \"Dia\"\nclr = \"Radius\"\n";
    let text = "No,kind,Dia,Radius,pieces,fits\nBD-9,bend die,\"1-1/4\"\"\",3 1/2,2,bend-1\nCD-9,clamp die,1.25,,,\n";
    let found = csv(text, mapping);
    let file = written(&found).to_owned();
    let shop = read_raw(folder(&[("tools/imported.toml", &file)]), None);
    assert!(!shop.has_errors(), "{:?}", shop.findings);
    let tool = shop.shop.unwrap().tools.into_iter().find(|tool| tool.id == "BD-9").unwrap();
    assert_eq!((tool.spec.od, tool.spec.clr, tool.pieces), (Mm::new(31.75), Some(Mm::new(88.9)), 2));
    assert_eq!(tool.fits, Some(vec!["bend-1".to_owned()]));
    refused(&csv("id,kind,od\nX,bend dye,1 in\n", "[tools]\n"), "2:2", "did you mean `bend die`?");
    refused(&csv("id,kind,od\nX,ring,38.1\n", "[tools]\n"), "2:3", "length_unit = \"mm\"");
    refused(
        &csv("id,kind,od\nCD-38.1,ring,1 in\n", "[tools]\n"),
        "2:0",
        "there twice; the first one is at tooling.toml",
    );
    let kept = import(
        &|| folder(&[("tools/imported.toml", &file)]),
        &Export { name: "e.csv", bytes: b"No,kind,Dia,Radius\nCD-9,clamp die,1.5,\n" },
        &read_mapping("m.toml", mapping).unwrap(),
        true,
    );
    assert!(written(&kept).contains("BD-9") && written(&kept).contains("1.5 in"));
}

#[test]
fn parts_with_a_row_for_each_bend() {
    let head = "id,name,tube,straight,rotation,clr,angle,yearly_quantity\n";
    let text =
        format!("{head}P-1,Hook,T-38.1x1.65-w,200,,114.3,90,500\nP-1,,,300,180,114.3,45,\nP-1,,,150,,,,\n");
    let found = csv(&text, "[parts]\nlength_unit = \"mm\"\n");
    let shop = read_raw(folder(&[("parts/imported.toml", written(&found))]), None);
    assert!(!shop.has_errors(), "{:?}", shop.findings);
    let part = shop.shop.unwrap().parts.into_iter().find(|part| part.id == "P-1").unwrap();
    assert_eq!((part.name.as_str(), part.yearly_quantity, part.shape.bends().len()), ("Hook", Some(500), 2));
    assert_eq!((part.shape.end_straight(), part.shape.bends()[1].angle), (Mm::new(150.0), Deg::new(45.0)));
    let no_end = format!("{head}P-1,Hook,T-38.1x1.65-w,200,,114.3,90,\n");
    refused(
        &csv(&no_end, "[parts]\nlength_unit = \"mm\"\n"),
        "2:0",
        "the last row of a part has its last straight",
    );
    let apart =
        format!("{head}P-1,,T-38.1x1.65-w,1,,9,9,\nP-2,,T-38.1x1.65-w,1,,,,\nP-1,,T-38.1x1.65-w,1,,,,\n");
    refused(
        &csv(&apart, "[parts]\nlength_unit = \"mm\"\n"),
        "4:1",
        "the rows of part `P-1` are not together",
    );
    let tight = format!("{head}P-1,,T-38.1x1.65-w,200,,9,90,\nP-1,,,150,,,,\n");
    refused(&csv(&tight, "[parts]\nlength_unit = \"mm\"\n"), "2:0", "bend 1");
}

#[test]
fn a_mapping_is_read_strictly() {
    let faults = |text: &str| {
        let found = read_mapping("m.toml", text).unwrap_err();
        found.iter().map(|finding| format!("{} {}", finding.place, finding.message)).collect::<String>()
    };
    assert!(faults("[orders]\ndate = \"dmy\"\n").contains("m.toml:2"));
    assert!(faults("[orders.columns]\nquantty = \"Qty\"\n").contains("quantty"));
    assert!(faults("").contains("has no list"));
    assert!(faults("[orders\n").contains("m.toml:1"));
}

proptest! {
    #[test]
    fn no_export_is_too_odd(bytes in prop::collection::vec(any::<u8>(), 0..200), text in "[a-zO\\-0-9,;\"\n\u{e4}]{0,200}") {
        for name in ["a.csv", "a.xlsx"] {
            prop_assert!(imported(name, &bytes, "", &[], false).files.is_empty());
        }
        let with_header = format!("{HEADER}{text}");
        let found = csv(&with_header, "");
        prop_assert_eq!(found.has_errors(), found.files.is_empty());
    }

    /// A workbook cut off or spoiled anywhere is refused or read, never a panic.
    #[test]
    fn a_spoiled_workbook_is_no_reason_to_panic(at in 0.0..1.0_f64, byte in any::<u8>(), cut in any::<bool>()) {
        let mut bytes = workbook("");
        let at = (at * bytes.len() as f64) as usize;
        if cut { bytes.truncate(at) } else { bytes[at] = byte }
        let found = imported("orders.xlsx", &bytes, ENGLISH, &[], false);
        prop_assert_eq!(found.has_errors(), found.files.is_empty());
    }
}
