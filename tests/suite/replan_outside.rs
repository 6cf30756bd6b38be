//! Work that is sent out, from the command line: nobody reports that it went, so what was to be sent by now is
//! taken as sent, until somebody says otherwise.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use chrono::{DateTime, TimeDelta};
use elbowroom_tests::program::{Ran, run};
use serde_json::Value;
use std::path::Path;

/// The starter shop, its part zinc-plated in two days by a vendor, with two orders.
fn shop() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().join("shop");
    assert_eq!(run(&["new", at.to_str().unwrap()]).code, 0);
    let zinc = "[[vendor]]\nid = \"Zinc\"\nservice = \"zinc\"\nturnaround = \"2 days\"\n\
                cost_per_order = 50.0\ncost_per_piece = 1.0\n";
    std::fs::write(at.join("vendors.toml"), zinc).unwrap();
    let parts = std::fs::read_to_string(at.join("parts.toml")).unwrap();
    std::fs::write(at.join("parts.toml"), parts + "outside = [\"zinc\"]\n").unwrap();
    let book = "id,part,quantity,promised\nO-1,EXAMPLE-1,20,2026-12-11\nO-2,EXAMPLE-1,20,2026-12-14\n";
    std::fs::write(at.join("orders.csv"), book).unwrap();
    folder
}

fn plan(folder: &Path, out: &str, more: &[&str]) -> (Ran, Value) {
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let fixed = ["--threads", "1", "--steps", "50", "--start", "2026-12-07", "--out"];
    let mut all = vec!["plan".to_owned(), path("shop")];
    all.extend(fixed.map(str::to_owned));
    all.push(path(out));
    all.extend(more.iter().map(|one| (*one).to_owned()));
    let ran = run(&all);
    assert_eq!(ran.code, 0, "{ran:?}");
    let bytes = std::fs::read(folder.join(out).join("plan.json")).unwrap();
    (ran, serde_json::from_slice(&bytes).unwrap())
}

fn steps(plan: &Value, order: &str) -> Vec<Value> {
    let orders = plan["orders"].as_array().unwrap();
    orders.iter().find(|one| one["id"] == order).unwrap()["steps"].as_array().unwrap().clone()
}

fn step(plan: &Value, order: &str, name: &str) -> Value {
    steps(plan, order).into_iter().find(|step| step["name"] == name).unwrap()
}

fn later(moment: &Value, minutes: i64) -> String {
    let moment = DateTime::parse_from_rfc3339(moment.as_str().unwrap()).unwrap();
    (moment + TimeDelta::minutes(minutes)).to_rfc3339()
}

fn record(folder: &Path, what: &str, order: &str, step: &str, at: &str, more: &[&str]) -> Ran {
    let shop = folder.join("shop");
    let first = ["record", shop.to_str().unwrap(), what, order, step, "--at", at];
    run(&[&first[..], more].concat())
}

/// Everything before the zinc is reported as done when it was to be.
fn made(folder: &Path, plan: &Value, order: &str) {
    for step in steps(plan, order).iter().take_while(|step| step["outside"] == false) {
        let (name, end) = (step["name"].as_str().unwrap(), step["end"].as_str().unwrap());
        let told = record(folder, "finished", order, name, end, &["--good", "20"]);
        assert_eq!(told.code, 0, "{told:?}");
    }
}

const SATURDAY: &str = "2026-12-05T09:00:00+01:00";

#[test]
fn what_was_to_be_sent_by_now_is_taken_as_sent_until_somebody_says_otherwise() {
    let folder = shop();
    let folder = folder.path();
    let (_, first) = plan(folder, "first", &["--publish", "--now", SATURDAY]);
    made(folder, &first, "O-1");
    let sent = step(&first, "O-1", "zinc");
    let now = later(&sent["run_start"], 300);
    let (told, then) = plan(folder, "then", &["--now", &now]);
    assert!(told.stderr.contains("as nothing is reported: O-1 zinc (Zinc) ("), "{}", told.stderr);
    assert_eq!(step(&then, "O-1", "zinc")["end"], sent["end"], "it is back when it was to be");
    // Of the other order nothing is reported at all: it cannot have gone.
    assert!(!told.stderr.contains("O-2 zinc"), "{}", told.stderr);
    // Overdue and not reported as back: it comes back now at the soonest.
    let overdue = later(&sent["end"], 90);
    let (_, late) = plan(folder, "late", &["--now", &overdue]);
    let back = step(&late, "O-1", "zinc")["end"].clone();
    assert_eq!(later(&back, 0), overdue);

    // It is still here: it is sent anew, for the whole turnaround.
    let said = record(folder, "stopped", "O-1", "zinc", &now, &["--reason", "no lorry", "--cell", "Zinc"]);
    assert_eq!(said.code, 0, "{said:?}");
    let (told, here) = plan(folder, "here", &["--now", &now]);
    assert!(!told.stderr.contains("taken as sent out"), "{}", told.stderr);
    let zinc = step(&here, "O-1", "zinc");
    assert!(zinc["run_start_minute"].as_i64() >= sent["run_start_minute"].as_i64().map(|at| at + 300));
    assert_eq!(later(&zinc["run_start"], 2 * 1440), later(&zinc["end"], 0));
    // Sent at last: back two days after that, to the minute.
    let went = later(&sent["run_start"], 360);
    let said = record(folder, "started", "O-1", "zinc", &went, &[]);
    assert_eq!(said.code, 0, "{said:?}");
    let (told, out) = plan(folder, "out", &["--now", &later(&sent["run_start"], 1000)]);
    assert!(!told.stderr.contains("taken as sent out"), "{}", told.stderr);
    assert_eq!(later(&step(&out, "O-1", "zinc")["end"], 0), later(&sent["run_start"], 360 + 2 * 1440));
    let nobody = record(folder, "started", "O-1", "zinc", &went, &["--cell", "Tin"]);
    assert!(nobody.code == 2 && nobody.stderr.contains("no cell or vendor `Tin`"), "{nobody:?}");
}

/// Before its date work that is to be sent stands in the frozen zone like any other.
#[test]
fn what_is_to_be_sent_within_the_frozen_zone_stands() {
    let folder = shop();
    let folder = folder.path();
    let (_, first) = plan(folder, "first", &["--publish", "--now", SATURDAY]);
    let (_, then) = plan(folder, "then", &["--now", SATURDAY, "--frozen", "5 days"]);
    for order in ["O-1", "O-2"] {
        assert_eq!(step(&then, order, "zinc"), step(&first, order, "zinc"));
    }
}
