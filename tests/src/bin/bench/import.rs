//! How long it takes to read an order system's export.

use crate::measure::median;
use elbowroom_files::{Export, Mapping, RawFolder, import};
use elbowroom_tests::program::repository;
use rust_xlsxwriter::{ExcelDateTime, Format, Workbook};
use std::time::{Duration, Instant};

const DEMO: &str = "examples/ottergrund";
const RUNS: usize = 5;

/// Prints the page.
pub fn run() {
    println!("| import into the demo shop, median of {RUNS} | figure |\n|---|---|");
    for rows in [20_000, 200_000] {
        let book = workbook(rows);
        println!(
            "| workbook of {rows} orders, {:.1} MB | {} |",
            book.len() as f64 / 1e6,
            timed("x.xlsx", &book)
        );
        let text = text(rows);
        println!("| CSV of {rows} orders, {:.1} MB | {} |", text.len() as f64 / 1e6, timed("x.csv", &text));
    }
    println!("| workbook of 200,001 orders, refused | {} |", timed("x.xlsx", &workbook(200_001)));
}

fn timed(name: &str, bytes: &[u8]) -> String {
    let folder = || RawFolder::open(&repository().join(DEMO));
    let run = || {
        let begun = Instant::now();
        let imported = import(&folder, &Export { name, bytes }, &Mapping::default(), true);
        let taken = begun.elapsed();
        let said =
            imported.findings.iter().find(|finding| finding.severity == elbowroom_files::Severity::Error);
        (taken, said.map(|finding| finding.message.clone()))
    };
    let all: Vec<(Duration, Option<String>)> = (0..RUNS).map(|_| run()).collect();
    let refused = all[0].1.as_ref().map_or_else(String::new, |why| format!("; \"{why}\""));
    let time = median(all.into_iter().map(|(time, _)| time).collect());
    format!("{:.2} s{refused}", time.as_secs_f64())
}

const HEADING: [&str; 6] = ["id", "part", "quantity", "promised", "customer", "late_cost_per_day"];

/// Orders of a part of the demo with real dates and numbers.
fn workbook(rows: u32) -> Vec<u8> {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let day = Format::new().set_num_format("yyyy-mm-dd");
    let write = "a workbook in memory can be written";
    for (column, title) in (0..).zip(HEADING) {
        sheet.write(0, column, title).expect(write);
    }
    for row in 1..=rows {
        sheet.write(row, 0, format!("E-{row}")).expect(write);
        sheet.write(row, 1, "HR-704").expect(write);
        sheet.write(row, 2, 5 + row % 90).expect(write);
        let date = ExcelDateTime::from_ymd(2027, 1, 1 + (row % 28) as u8).expect("a day of January");
        sheet.write_with_format(row, 3, date, &day).expect(write);
        sheet.write(row, 4, "Export customer").expect(write);
        sheet.write(row, 5, f64::from(row % 7) + 0.5).expect(write);
    }
    book.save_to_buffer().expect(write)
}

fn text(rows: u32) -> Vec<u8> {
    let mut text = HEADING.join(",") + "\n";
    for row in 1..=rows {
        let day = 1 + row % 28;
        text += &format!("E-{row},HR-704,{},2027-01-{day:02},Export customer,{}.5\n", 5 + row % 90, row % 7);
    }
    text.into_bytes()
}
