//! The program as a user meets it: verbs, exit codes, bad input, whole or no out folder.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_tests::program::{Ran, repository, run};
use serde_json::Value;
use std::path::{Path, PathBuf};

const DEMO: &str = "examples/ottergrund";

/// A copy of the demo shop that a test may spoil.
struct Copied {
    folder: tempfile::TempDir,
}

impl Copied {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(&repository().join(DEMO), folder.path());
        Self { folder }
    }

    fn path(&self) -> &str {
        self.folder.path().to_str().unwrap()
    }

    fn out(&self) -> PathBuf {
        self.folder.path().join("out")
    }

    fn file(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn replace(&self, name: &str, from: &str, to: &str) {
        let path = self.file(name);
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{name} has no `{from}`");
        std::fs::write(path, text.replacen(from, to, 1)).unwrap();
    }

    fn check(&self) -> Ran {
        run(&["check", self.path()])
    }

    fn plan(&self) -> Ran {
        run(&["plan", self.path(), "--steps", "200", "--out", self.out().to_str().unwrap()])
    }

    /// A fault is told with its file and words, by `check` and by `plan`; nothing is written.
    fn is_refused(&self, file: &str, words: &[&str]) {
        let checked = self.check();
        assert_eq!(checked.code, 2, "{checked:?}");
        let planned = self.plan();
        assert_eq!(planned.code, 2, "{planned:?}");
        assert!(!self.out().exists(), "nothing may be written for a faulty shop");
        for text in [&checked.stdout, &planned.stderr] {
            assert!(text.contains(&format!("--> {file}:")), "no place in {file}: {text}");
            for word in words {
                assert!(text.contains(word), "no `{word}` in: {text}");
            }
        }
    }
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

#[test]
fn the_demo_is_planned_and_every_judge_accepts_it() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("plan");
    let out = out.to_str().unwrap();
    let ran = run(&["plan", DEMO, "--seconds", "60", "--steps", "20000", "--threads", "2", "--out", out]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    for name in [
        "plan.json",
        "problem.json",
        "schedule.json",
        "report.html",
        "summary.txt",
        "dispatch.txt",
        "dispatch.csv",
        "orders.txt",
        "tooling.txt",
        "no-tooling.txt",
        "chances.txt",
        "chances.csv",
        "chances.svg",
        "load.svg",
        "load.png",
        "machine-time-2026-W50.svg",
        "machine-time-2026-W50.png",
    ] {
        let length =
            std::fs::metadata(format!("{out}/{name}")).unwrap_or_else(|_| panic!("{name} is missing")).len();
        assert!(length > 0, "{name} is empty");
    }
    let (problem, schedule) = (format!("{out}/problem.json"), format!("{out}/schedule.json"));
    let ours = run(&["verify", &problem, &schedule, "--json"]);
    assert_eq!(ours.code, 0, "{}", ours.stdout);
    let pair = (std::fs::read_to_string(problem).unwrap(), std::fs::read_to_string(schedule).unwrap());
    let theirs = elbowroom_tests::referee::judge(&[pair]);
    assert!(theirs[0].is_valid(), "{:?}", theirs[0]);
    let plan: Value =
        serde_json::from_str(&std::fs::read_to_string(format!("{out}/plan.json")).unwrap()).unwrap();
    let total = plan["money"]["total"].as_f64().unwrap();
    assert!(
        (total - ours.json()["objective"].as_f64().unwrap()).abs() < 1e-6 * total,
        "the plan's money is the schedule's"
    );
}

#[test]
fn same_steps_same_plan() {
    let folder = tempfile::tempdir().unwrap();
    let plans: Vec<String> = ["a", "b"]
        .map(|name| {
            let out = folder.path().join(name);
            let out = out.to_str().unwrap();
            let ran = run(&[
                "plan",
                DEMO,
                "--seconds",
                "60",
                "--steps",
                "3000",
                "--threads",
                "2",
                "--seed",
                "5",
                "--out",
                out,
            ]);
            assert_eq!(ran.code, 0, "{}", ran.stderr);
            std::fs::read_to_string(format!("{out}/plan.json")).unwrap()
        })
        .into();
    assert!(plans[0] == plans[1], "two runs with the same seed, threads and steps differ");
}

#[test]
fn a_second_plan_replaces_the_first_and_leaves_foreign_files_alone() {
    let shop = Copied::new();
    assert_eq!(shop.plan().code, 0);
    std::fs::write(shop.out().join("notes-of-the-planner.txt"), "keep").unwrap();
    let again = shop.plan();
    assert_eq!(again.code, 0, "{}", again.stderr);
    assert_eq!(std::fs::read(shop.out().join("notes-of-the-planner.txt")).unwrap(), b"keep");
}

#[test]
fn faults_have_place_value_and_remedy() {
    let cases: [(&str, &str, &str, &[&str]); 9] = [
        ("shop.toml", "time_zone = ", "time_zoen = ", &["time_zoen", "time_zone"]),
        ("shop.toml", "Europe/Vienna", "Europe/Wien", &["Europe/Wien"]),
        ("shop.toml", "\"16:00\"", "\"25:00\"", &["25:00"]),
        ("cells.toml", "calendar = \"day\"", "calendar = \"dya\"", &["dya", "day"]),
        ("cells.toml", "max_length = \"4000 mm\"", "max_length = 4000", &["4000", "mm"]),
        ("parts/brewery.toml", "id = \"BP-302\"", "id = \"BP-301\"", &["BP-301"]),
        ("orders.csv", "O-2587,HB-401,800", "O-2587,HB-401,-800", &["-800"]),
        ("orders.csv", "O-2587,HB-401,800", "O-2587,HB-4O1,800", &["HB-4O1", "HB-401"]),
        ("orders.csv", "800,2026-12-14", "800,2026-02-30", &["2026-02-30"]),
    ];
    for (file, from, to, words) in cases {
        let shop = Copied::new();
        shop.replace(file, from, to);
        shop.is_refused(file, words);
    }
}

#[test]
fn all_faults_come_in_one_go() {
    let shop = Copied::new();
    shop.replace("shop.toml", "\"16:00\"", "\"25:00\"");
    shop.replace("orders.csv", "O-2587,HB-401,800", "O-2587,HB-401,0");
    shop.replace("cells.toml", "max_length = \"4000 mm\"", "max_length = \"4000\"");
    let text = shop.check().stdout;
    for file in ["shop.toml", "orders.csv", "cells.toml"] {
        assert!(text.contains(&format!("--> {file}:")), "no fault of {file}: {text}");
    }
}

#[test]
fn odd_order_files() {
    let shop = Copied::new();
    let orders = std::fs::read_to_string(shop.file("orders.csv")).unwrap();
    // A byte order mark and line ends of another system are no fault.
    std::fs::write(shop.file("orders.csv"), format!("\u{feff}{}", orders.replace('\n', "\r\n"))).unwrap();
    assert_eq!(shop.check().code, 0, "{}", shop.check().stdout);
    // Bytes of an old single-byte encoding are one, and its row is named.
    let mut bytes = orders.clone().into_bytes();
    let at = orders.find("Orsel").unwrap();
    bytes[at] = 0xd6;
    std::fs::write(shop.file("orders.csv"), bytes).unwrap();
    let checked = shop.check();
    assert_eq!(checked.code, 2);
    assert!(
        checked.stdout.contains("orders.csv:2") && checked.stdout.contains("UTF-8"),
        "{}",
        checked.stdout
    );
}

#[test]
fn a_huge_file_is_refused_unread() {
    let shop = Copied::new();
    let file = std::fs::File::create(shop.file("orders.csv")).unwrap();
    file.set_len(200 << 20).unwrap(); // sparse: takes no room on the disk
    let checked = shop.check();
    assert_eq!(checked.code, 2);
    assert!(
        checked.stdout.contains("orders.csv") && checked.stdout.contains("at most 16 MB"),
        "{}",
        checked.stdout
    );
}

#[test]
fn missing_folders_and_files_are_told() {
    let checked = run(&["check", "no/such/folder"]);
    assert_eq!(checked.code, 2);
    assert!(checked.stdout.contains("no/such/folder"), "{checked:?}");
    for verb in [&["solve", "no-such.json"][..], &["verify", "no-such.json", "neither.json"]] {
        let ran = run(verb);
        assert_eq!(ran.code, 2, "{ran:?}");
        assert!(ran.stderr.contains("no-such.json"), "{ran:?}");
    }
    assert_eq!(run(&["plan"]).code, 2, "an incomplete command line");
    assert_eq!(run(&["plan", DEMO, "--seconds", "-3"]).code, 2);
    assert_eq!(run(&["plan", DEMO, "--start", "2026-13-01"]).code, 2);
}

#[test]
fn an_out_folder_that_cannot_be_written_is_told() {
    let shop = Copied::new();
    std::fs::write(shop.out(), "a file, not a folder").unwrap();
    let ran = shop.plan();
    assert_eq!(ran.code, 4, "{ran:?}");
    assert_eq!(std::fs::read(shop.out()).unwrap(), b"a file, not a folder");
}

#[test]
fn an_impossible_problem_names_the_job() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("p.json");
    let problem = r#"{"format":"elbowroom-problem/1","name":"too much","objective":"cost","horizon":100,
        "cells":[{"id":"m","windows":[[0,60]]}],
        "jobs":[{"id":"J-long","release":0,"due":50,"late_cost_per_day":1,
          "routes":[{"id":"r","operations":[{"id":"o","options":[{"cell":"m","run":61,"setup_key":"k"}]}]}]}]}"#;
    std::fs::write(&path, problem).unwrap();
    let ran = run(&["solve", path.to_str().unwrap(), "--seconds", "5", "--json"]);
    assert_eq!(ran.code, 3, "{ran:?}");
    assert!(ran.stderr.contains("J-long"), "{ran:?}");
    assert!(ran.stdout.is_empty(), "no half answer");
}

#[test]
fn help_and_completions() {
    for verb in ["plan", "solve", "verify", "check", "completions"] {
        let ran = run(&[verb, "--help"]);
        assert_eq!(ran.code, 0);
        assert!(ran.stdout.contains("Usage: elbowroom"), "{}", ran.stdout);
    }
    let script = run(&["completions", "bash"]);
    assert!(script.stdout.contains("--seconds"), "the script knows the options");
}

#[test]
fn notices_are_posted_listed_and_taken_down() {
    let shop = Copied::new();
    let posted = run(&[
        "notice",
        shop.path(),
        "down",
        "draw-1",
        "--from",
        "2026-12-09",
        "--until",
        "2026-12-10",
        "--why",
        "bearing",
    ]);
    assert_eq!(posted.code, 0, "{posted:?}");
    assert_eq!(posted.stdout, "  1  draw-1 is down from 2026-12-09 to 2026-12-10 (bearing)\n");
    let refused = run(&["notice", shop.path(), "tool", "MD-50.8x1.65-33", "2026-12-14"]);
    assert_eq!(refused.code, 2, "{refused:?}");
    assert!(refused.stderr.contains("did you mean `MD-50.8x1.65-3`?"), "{refused:?}");
    let listed = run(&["notice", shop.path(), "--json"]).json();
    assert_eq!(listed["notices"].as_array().unwrap().len(), 1);
    assert_eq!(listed["notices"][0]["text"], "draw-1 is down from 2026-12-09 to 2026-12-10");
    assert_eq!(run(&["notice", shop.path(), "--remove", "2"]).code, 2);
    let removed = run(&["notice", shop.path(), "--remove", "1"]);
    assert_eq!(
        (removed.code, removed.stdout.as_str()),
        (0, "no notice stands: the shop is as its files say\n")
    );
}

#[test]
fn a_plan_is_held_against_another() {
    let shop = Copied::new();
    assert_eq!(shop.plan().code, 0);
    let first = shop.file("first");
    std::fs::rename(shop.out(), &first).unwrap();
    let first = first.to_str().unwrap();
    let same = run(&["compare", first, first]);
    assert_eq!(same.code, 0, "{same:?}");
    assert!(same.stdout.contains("Moved   0 orders; 79 as they were"), "{same:?}");
    let late = run(&["notice", shop.path(), "tool", "MD-50.8x1.65-3", "2026-12-16"]);
    assert_eq!(late.code, 0, "{late:?}");
    assert_eq!(shop.plan().code, 0);
    let moved = run(&["compare", first, shop.out().to_str().unwrap(), "--json"]).json();
    let of = |id: &str| moved["moved"].as_array().unwrap().iter().find(|m| m["order"] == id).unwrap().clone();
    // It was late for want of this mandrel, and the mandrel comes a week later.
    assert_eq!(of("O-2601")["fate"], "later_still");
    assert!(of("O-2601")["shift_min"].as_i64().unwrap() > 3 * 1440, "{moved}");
    assert!(of("O-2601")["why"].as_str().unwrap().contains("MD-50.8x1.65-3"), "{moved}");
}

#[test]
fn a_plan_near_another_moves_no_more_than_it_must() {
    let shop = Copied::new();
    assert_eq!(shop.plan().code, 0);
    let first = shop.file("first");
    std::fs::rename(shop.out(), &first).unwrap();
    let (first, out) = (first.to_str().unwrap(), shop.out());
    let near = run(&["plan", shop.path(), "--near", first, "--steps", "1", "--out", out.to_str().unwrap()]);
    assert_eq!(near.code, 0, "{near:?}");
    assert!(near.stderr.contains("against the plan that stood: "), "{near:?}");
    let cost = |folder: &Path| {
        let text = std::fs::read_to_string(folder.join("plan.json")).unwrap();
        serde_json::from_str::<Value>(&text).unwrap()["money"]["total"].as_f64().unwrap()
    };
    assert!(cost(&out) <= cost(Path::new(first)) * (1.0 + 1e-9), "it begins where the other ended");
    let nowhere = run(&["plan", shop.path(), "--near", "nowhere", "--out", out.to_str().unwrap()]);
    assert_eq!(nowhere.code, 2, "{nowhere:?}");
}

#[test]
fn what_is_no_plan_cannot_be_compared() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let other = file("other.json", r#"{"format": "elbowroom-problem/1", "orders": [{"id": 7}]}"#);
    let text = file("text.json", "no JSON");
    let ran = run(&["compare", &other, &text]);
    assert_eq!(ran.code, 2, "{ran:?}");
    for words in ["`format` is \"elbowroom-problem/1\"", "`orders[0].id` is 7; expected text", "no JSON"] {
        assert!(ran.stderr.contains(words), "{words}: {ran:?}");
    }
    assert_eq!(run(&["compare", "nowhere", &text]).code, 2);
}

#[test]
fn cases_are_tried_side_by_side_and_change_nothing() {
    let shop = Copied::new();
    let cases = repository().join("examples/what-if.toml");
    let before = std::fs::read_dir(shop.path()).unwrap().count();
    let ran = run(&["what-if", shop.path(), cases.to_str().unwrap(), "--steps", "60", "--json"]);
    assert_eq!(ran.code, 0, "{ran:?}");
    let told = ran.json();
    let all = told["cases"].as_array().unwrap();
    assert_eq!(all.len(), 6);
    assert!(all.iter().all(|case| case["plan"]["orders"].as_u64().unwrap() >= 79), "{told}");
    assert_eq!(all[5]["plan"]["orders"], 80, "an order more");
    assert_eq!(std::fs::read_dir(shop.path()).unwrap().count(), before);
    let spoiled = shop.file("cases.toml");
    std::fs::write(&spoiled, "[[case]]\nname = \"x\"\n[[case.notice]]\nwhat = \"down\"\ncell = \"saw-9\"\n")
        .unwrap();
    let refused = run(&["what-if", shop.path(), spoiled.to_str().unwrap()]);
    assert_eq!(refused.code, 2, "{refused:?}");
    assert!(
        refused.stderr.contains("cases.toml:5:8") && refused.stderr.contains("key `from` is missing"),
        "{refused:?}"
    );
}
