//! Planning, publishing and planning anew from the command line, as a planner's week goes.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_store::{Outcome, Page, SqliteStore, Store, Version};
use elbowroom_tests::program::{Ran, program, ran, run};
use serde_json::Value;
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// The starter shop in a folder of its own, with more orders.
fn shop(orders: usize) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().join("shop");
    assert_eq!(run(&["new", at.to_str().unwrap()]).code, 0);
    let mut book = "id,part,quantity,promised\n".to_owned();
    (0..orders).for_each(|n| book += &format!("O-{n},EXAMPLE-1,60,2026-12-{:02}\n", 9 + n % 3));
    std::fs::write(at.join("orders.csv"), book).unwrap();
    folder
}

fn arguments(folder: &Path, out: &str, more: &[&str]) -> Vec<String> {
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let fixed = ["--threads", "1", "--start", "2026-12-07", "--out"];
    let first = ["plan".to_owned(), path("shop")];
    let rest = fixed.iter().map(|one| (*one).to_owned()).chain([path(out)]);
    first.into_iter().chain(rest).chain(more.iter().map(|one| (*one).to_owned())).collect()
}

fn plan(folder: &Path, out: &str, more: &[&str]) -> Ran {
    run(&arguments(folder, out, &[&["--steps", "50"], more].concat()))
}

fn store(folder: &Path) -> SqliteStore {
    SqliteStore::open(&folder.join("shop/elbowroom.store")).unwrap()
}

/// Saturday before the plan's first day.
const SATURDAY: &str = "2026-12-05T09:00:00+01:00";

#[test]
fn a_plan_is_published_by_somebody_and_the_next_is_made_near_it() {
    let folder = shop(6);
    let folder = folder.path();
    let first =
        plan(folder, "monday", &["--publish", "--by", "Kessler", "--why", "the week", "--now", SATURDAY]);
    assert_eq!(first.code, 0, "{first:?}");
    assert!(first.stderr.contains("published as plan 1 of the shop"), "{first:?}");
    let head = store(folder).current().unwrap().unwrap();
    assert_eq!((head.reason.as_str(), head.version()), ("the week", Some(Version(1))));
    let Outcome::Published { signature, .. } = &head.outcome else { panic!("{head:?}") };
    assert_eq!(signature.by, "Kessler");
    let names = store(folder).document_names(head.id).unwrap();
    for name in ["plan.json", "problem.json", "schedule.json", "making.json", "inputs/orders.csv"] {
        assert!(names.iter().any(|known| known == name), "{name} in {names:?}");
    }
    let kept = store(folder).document(head.id, "plan.json").unwrap();
    assert_eq!(kept, std::fs::read(folder.join("monday/plan.json")).unwrap());

    // Without a word the next plan is made near the published one, and nothing is published.
    let next = plan(folder, "next", &["--now", SATURDAY, "--frozen", "8 h", "--move-cost", "1000"]);
    assert_eq!(next.code, 0, "{next:?}");
    assert!(next.stderr.contains("begun from plan 1, which Kessler published on"), "{next:?}");
    assert!(next.stderr.contains("0 of 6 announced orders are finished more than"), "{next:?}");
    let told: Value = serde_json::from_slice(&std::fs::read(folder.join("next/kept.json")).unwrap()).unwrap();
    assert_eq!(
        (&told["could_not_stand"], &told["moved_orders"]),
        (&Value::from(Vec::<Value>::new()), &0.into())
    );
    assert!(told["frozen_steps"].as_u64().unwrap() > 0, "{told}");
    assert_eq!(store(folder).revision().unwrap().plan, 1, "nothing more is kept");
    let afresh = plan(folder, "afresh", &["--now", SATURDAY, "--afresh"]);
    assert!(afresh.code == 0 && !afresh.stderr.contains("begun from plan"), "{afresh:?}");
    assert!(!folder.join("afresh/kept.json").exists());
}

/// What if is asked of the plan that stands and of the shop as it is now, not of the files alone.
#[test]
fn cases_begin_from_the_published_plan_and_what_was_reported() {
    let folder = shop(4);
    let folder = folder.path();
    let at = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    assert_eq!(plan(folder, "monday", &["--publish", "--by", "Kessler", "--now", SATURDAY]).code, 0);
    let bytes = std::fs::read(folder.join("monday/plan.json")).unwrap();
    let made: Value = serde_json::from_slice(&bytes).unwrap();
    let order = made["orders"].as_array().unwrap().iter().find(|order| order["id"] == "O-0").unwrap();
    for step in order["steps"].as_array().unwrap() {
        let (step, end) = (step["name"].as_str().unwrap(), step["end"].as_str().unwrap());
        let shop = at("shop");
        let told = run(&["record", &shop, "finished", "O-0", step, "--good", "60", "--at", end]);
        assert_eq!(told.code, 0, "{told:?}");
    }
    let saturday = "[[case]]\nname = \"one on Saturday\"\n[[case.notice]]\nwhat = \"open\"\ncell = \"CELL\"\n\
                    from = \"2026-12-12\"\nhours = [\"06:00\", \"12:00\"]\n";
    let cell = made["cells"][0]["id"].as_str().unwrap();
    std::fs::write(at("cases.toml"), saturday.replace("CELL", cell)).unwrap();
    let ask = |more: &[&str]| {
        let (shop, cases) = (at("shop"), at("cases.toml"));
        let fixed = ["what-if", &shop, &cases, "--threads", "1", "--steps", "50", "--json"];
        let start = ["--start", "2026-12-07", "--now", "2026-12-10T06:00:00+01:00"];
        run(&[&fixed[..], &start, more].concat())
    };
    let told = ask(&[]);
    assert_eq!(told.code, 0, "{told:?}");
    assert!(told.stderr.contains("begun from plan 1, which Kessler published"), "{told:?}");
    assert_eq!(told.json()["as_it_is"]["orders"], 3, "what is done is not planned again");
    let afresh = ask(&["--afresh"]);
    assert!(afresh.code == 0 && !afresh.stderr.contains("begun from plan"), "{afresh:?}");
    assert_eq!(store(folder).revision().unwrap().plan, 1, "nothing is kept of it");
    assert!(!folder.join("shop/notices.toml").exists());
}

fn begin(folder: &Path, out: &str, by: &str) -> Child {
    let more = ["--seconds", "5", "--publish", "--by", by, "--now", SATURDAY];
    let mut command = Command::new(program());
    command.args(arguments(folder, out, &more)).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

#[test]
fn of_two_who_publish_at_once_the_second_is_told() {
    let folder = shop(3);
    let folder = folder.path();
    let all = [begin(folder, "a", "Anna"), begin(folder, "b", "Bert")];
    let all = all.map(|child| ran(&child.wait_with_output().unwrap()));
    let (done, told): (Vec<&Ran>, Vec<&Ran>) = all.iter().partition(|one| one.code == 0);
    let ([_], [told]) = (done.as_slice(), told.as_slice()) else { panic!("{all:?}") };
    assert_eq!(told.code, 4, "{told:?}");
    assert!(told.stderr.contains("version 1 of the plan is current, not version 0"), "{told:?}");
    assert!(told.stderr.contains("the new plan is kept as proposal 2"), "{told:?}");
    let store = store(folder);
    let outcomes: Vec<_> = store
        .plans(Page { before: None, limit: 10 })
        .unwrap()
        .iter()
        .map(|head| head.outcome.word())
        .collect();
    assert_eq!(outcomes, ["proposed", "published"]);
}

#[test]
fn what_was_reported_stands_in_the_next_plan() {
    let folder = shop(4);
    let folder = folder.path();
    let at = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let first = plan(folder, "monday", &["--publish", "--now", SATURDAY]);
    assert_eq!(first.code, 0, "{first:?}");
    let bytes = std::fs::read(folder.join("monday/plan.json")).unwrap();
    let made: Value = serde_json::from_slice(&bytes).unwrap();
    let mut tasks: Vec<&Value> =
        made["cells"].as_array().unwrap().iter().flat_map(|cell| cell["tasks"].as_array().unwrap()).collect();
    tasks.sort_by_key(|task| task["setup_start_minute"].as_i64());
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let (order, step) = (text(&tasks[0]["order"]), text(&tasks[0]["step"]));
    let record = |what: &str, more: &[&str]| {
        let fixed = ["record", &at("shop"), what, &order, &step, "--at", "2026-12-07T07:00:00+01:00"];
        let told = run(&[&fixed[..], more].concat());
        assert_eq!(told.code, 0, "{told:?}");
    };
    record("started", &[]);
    record("finished", &["--good", "60"]);
    record("withdrawn", &[]);
    record("counted", &["--good", "30"]);
    // Some minutes later it is running still, with some pieces to make; it is pinned there.
    let next = plan(folder, "next", &["--now", "2026-12-07T07:04:00+01:00"]);
    assert_eq!(next.code, 0, "{next:?}");
    let bytes = std::fs::read(folder.join("next/plan.json")).unwrap();
    let then: Value = serde_json::from_slice(&bytes).unwrap();
    let mut all = then["cells"].as_array().unwrap().iter().flat_map(|cell| cell["tasks"].as_array().unwrap());
    let running = all.clone().find(|task| task["order"] == order.as_str() && task["step"] == step.as_str());
    let running = running.expect("it is not done");
    assert_eq!((&running["under_way"], &running["run_start_minute"]), (&true.into(), &424.into()));
    // In proportion to the pieces, scrap and first articles among them, that were still to be made when they
    // were counted, less the minutes since.
    let number = |key: &str| tasks[0][key].as_i64().unwrap();
    let left = number("run_min") * (number("start_quantity") - 30) / number("start_quantity") - 4;
    assert_eq!(running["run_min"].as_i64(), Some(left), "{running}");
    assert!(all.all(|task| task["setup_start_minute"].as_i64() >= Some(424)), "nothing begins in the past");
    assert!(next.stderr.contains("should have begun by now and nothing is reported of them"), "{next:?}");
    let lost = run(&["record", &at("shop"), "withdrawn", "O-3", "weld"]);
    assert!(lost.code == 2 && lost.stderr.contains("nothing was reported of step `weld`"), "{lost:?}");
}
