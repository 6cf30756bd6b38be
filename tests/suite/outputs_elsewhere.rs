//! What `plan` writes, opened by other people's libraries: Python's csv module, openpyxl, icalendar.
//! The last two are skipped, and it is said, where they are not installed (`pip install openpyxl
//! icalendar`); `ELBOWROOM_PYTHON` names another interpreter, such as that of a virtual environment.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use chrono::{DateTime, Utc};
use elbowroom_tests::program::{repository, run};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

static OUT: LazyLock<(tempfile::TempDir, PathBuf, Value)> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let ran = run(&[
        "plan",
        "examples/ottergrund",
        "--steps",
        "50",
        "--seconds",
        "60",
        "--out",
        out.to_str().unwrap(),
    ]);
    assert_eq!(ran.code, 0, "{ran:?}");
    let found = opened(&out);
    (folder, out, found)
});

fn opened(out: &Path) -> Value {
    let python = std::env::var("ELBOWROOM_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = repository().join("tests/referee/read_outputs.py");
    let ran = Command::new(python).arg(script).arg(out).output().expect("the tests need python3");
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    let found: Value = serde_json::from_slice(&ran.stdout).unwrap();
    for missing in found["missing"].as_array().unwrap() {
        println!("skipped: {missing} is not installed");
    }
    found
}

fn plan() -> Value {
    serde_json::from_slice(&std::fs::read(OUT.1.join("plan.json")).unwrap()).unwrap()
}

fn tasks(plan: &Value) -> Vec<(String, &Value)> {
    let cells = plan["cells"].as_array().unwrap();
    let of = |cell: &'_ Value| cell["id"].as_str().unwrap().to_owned();
    cells
        .iter()
        .flat_map(|cell| cell["tasks"].as_array().unwrap().iter().map(move |t| (of(cell), t)))
        .collect()
}

#[test]
fn csv_files_are_read_strictly() {
    let found = &OUT.2["csv"];
    let files = found.as_object().unwrap();
    assert!(files.len() >= 7, "{:?}", files.keys());
    for (name, file) in files {
        assert_eq!(file["even"], true, "{name}: every row as long as the header");
    }
    assert_eq!(found["dispatch.csv"]["rows"].as_u64().unwrap() as usize, tasks(&plan()).len());
    let plan = plan();
    let listed = ["orders", "left_out"].map(|list| plan[list].as_array().unwrap().len());
    assert_eq!(found["orders.csv"]["rows"].as_u64().unwrap() as usize, listed.iter().sum::<usize>());
}

#[test]
fn the_workbook_opens_with_dates_numbers_and_no_formulas() {
    let Some(sheets) = OUT.2["workbook"].as_object() else { return };
    for (name, sheet) in sheets {
        assert_eq!(sheet["formulas"], 0, "{name}");
        assert!(
            sheet["header"].as_array().unwrap().iter().all(Value::is_string),
            "{name}: {}",
            sheet["header"]
        );
    }
    let kinds = &sheets["Orders"]["kinds"];
    let orders = plan()["orders"].as_array().unwrap().len() as u64;
    assert!(kinds["datetime"].as_u64().unwrap() >= 2 * orders, "promised and finished: {kinds}");
    assert_eq!(sheets["Orders"]["rows"].as_u64().unwrap(), orders);
    assert_eq!(sheets["Dispatch"]["rows"].as_u64().unwrap() as usize, tasks(&plan()).len());
}

#[test]
fn calendars_open_with_every_lot_at_its_time() {
    let calendars = OUT.2["calendars"].as_object().unwrap();
    if OUT.2["missing"].as_array().unwrap().iter().any(|missing| missing == "icalendar") {
        return;
    }
    let plan = plan();
    let utc = |text: &Value| text.as_str().unwrap().parse::<DateTime<Utc>>().unwrap();
    for (cell, task) in tasks(&plan) {
        let calendar = &calendars[&format!("calendar-{cell}.ics")];
        assert_eq!(calendar["errors"].as_array().map(Vec::len), Some(0), "{cell}");
        let (order, start, end) = (task["order"].as_str().unwrap(), &task["setup_start"], &task["end"]);
        let events = calendar["events"].as_array().unwrap().iter();
        let own: Vec<&Value> =
            events.filter(|event| event["summary"].as_str().unwrap().starts_with(order)).collect();
        assert!(own.iter().any(|event| utc(&event["start"]) == utc(start)), "{order} begins on {cell}");
        assert!(own.iter().any(|event| utc(&event["end"]) == utc(end)), "{order} ends on {cell}");
    }
}
