//! Recording and looking back, as a user does it: a plan is published, its first lots are reported,
//! and what comes out is what went in.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use chrono::{DateTime, FixedOffset, TimeDelta, Utc};
use elbowroom_store::{Document, NewPlan, PlanFigures, Signature, SqliteStore, Store, Version};
use elbowroom_tests::program::{Ran, run};
use serde_json::Value;
use std::path::Path;

const DEMO: &str = "examples/ottergrund";

struct Shop {
    folder: tempfile::TempDir,
    plan: Value,
}

/// A lot of the plan.
struct Lot {
    order: String,
    step: String,
    part: String,
    start: DateTime<FixedOffset>,
    end: DateTime<FixedOffset>,
    changeover: i64,
    run: i64,
    pieces: u64,
}

impl Shop {
    /// The demo shop, planned and published before its first day.
    fn published() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("out");
        let ran = run(&["plan", DEMO, "--steps", "100", "--out", out.to_str().unwrap()]);
        assert_eq!(ran.code, 0, "{ran:?}");
        let bytes = std::fs::read(out.join("plan.json")).unwrap();
        publish(&folder.path().join("floor.store"), &bytes);
        Self { folder, plan: serde_json::from_slice(&bytes).unwrap() }
    }

    fn store(&self) -> String {
        self.folder.path().join("floor.store").to_str().unwrap().to_owned()
    }

    /// The first lots of a cell that had not begun when the plan was made.
    fn lots(&self, cell: &str) -> Vec<Lot> {
        let cells = self.plan["cells"].as_array().unwrap();
        let tasks = cells.iter().find(|c| c["id"] == cell).unwrap()["tasks"].as_array().unwrap();
        let moment = |value: &Value| value.as_str().unwrap().parse().unwrap();
        let lot = |task: &Value| Lot {
            order: task["order"].as_str().unwrap().to_owned(),
            step: task["step"].as_str().unwrap().to_owned(),
            part: task["part"].as_str().unwrap().to_owned(),
            start: moment(&task["setup_start"]),
            end: moment(&task["end"]),
            changeover: task["changeover_min"].as_i64().unwrap(),
            run: task["run_min"].as_i64().unwrap(),
            pieces: task["start_quantity"].as_u64().unwrap(),
        };
        tasks.iter().filter(|task| task["under_way"] == false).map(lot).collect()
    }

    fn record(&self, what: &str, lot: &Lot, at: DateTime<FixedOffset>, more: &[&str]) -> Ran {
        let (store, at) = (self.store(), at.to_rfc3339());
        let fixed =
            ["record", DEMO, what, &lot.order, &lot.step, "--at", &at, "--by", "Kessler", "--store", &store];
        run(&[&fixed, more].concat())
    }

    fn look_back(&self, more: &[&str]) -> Ran {
        let store = self.store();
        run(&[&["look-back", DEMO, "--store", &store, "--from", "2026-12-07", "--until", "2026-12-13"], more]
            .concat())
    }
}

fn publish(store: &Path, plan: &[u8]) {
    let store = SqliteStore::open(store).unwrap();
    let at: DateTime<Utc> = "2026-12-06T18:00:00Z".parse().unwrap();
    let signature = Signature { by: "planner".to_owned(), at };
    let figures = PlanFigures { orders: 79, late_orders: 8, total_cost: 1.0, currency: "EUR".to_owned() };
    let document = Document { name: "plan.json".to_owned(), bytes: plan.to_vec() };
    let new = NewPlan {
        made: signature.clone(),
        based_on: Version::NONE,
        reason: "the week".to_owned(),
        figures,
        documents: vec![document],
    };
    let head = store.propose(&new).unwrap();
    store.publish(head.id, Version::NONE, &signature).unwrap();
}

#[test]
fn what_was_recorded_is_looked_back_at() {
    let shop = Shop::published();
    let lots = shop.lots("saw-2");
    let (first, second) = (&lots[0], &lots[1]);
    let hour = TimeDelta::hours(1);
    assert_eq!(shop.record("started", first, first.start, &[]).code, 0);
    let stopped = shop.record("stopped", first, first.start + TimeDelta::minutes(5), &["--reason", "blade"]);
    assert_eq!(stopped.code, 0, "{stopped:?}");
    assert_eq!(shop.record("started", first, first.start + TimeDelta::minutes(15), &[]).code, 0);
    let pieces = (first.pieces - 1).to_string();
    let done = shop.record(
        "finished",
        first,
        first.end + TimeDelta::minutes(10),
        &["--good", &pieces, "--scrap", "1", "--json"],
    );
    assert_eq!(done.code, 0, "{done:?}");
    assert_eq!(
        (&done.json()["event"], &done.json()["by"]),
        (&Value::from("finished"), &Value::from("Kessler"))
    );
    assert_eq!(shop.record("started", second, second.start + hour, &["--cell", "saw-1"]).code, 0);

    let told = shop.look_back(&["--json"]).json();
    let lot = |lot: &Lot| {
        let all = told["lots"].as_array().unwrap();
        all.iter().find(|l| l["order"] == lot.order && l["step"] == lot.step).unwrap().clone()
    };
    let (one, two) = (lot(first), lot(second));
    assert_eq!((&one["as_planned"], &one["cell"]), (&Value::from(true), &Value::from("saw-2")));
    assert_eq!((&one["good"], &one["scrap"]), (&Value::from(first.pieces - 1), &Value::from(1)));
    assert_eq!(
        (&two["as_planned"], &two["cell"], &two["finished"]),
        (&Value::from(false), &Value::from("saw-1"), &Value::Null)
    );
    let saw = told["cells"].as_array().unwrap().iter().find(|cell| cell["cell"] == "saw-2").unwrap();
    assert_eq!(
        (&saw["lots_finished"], &saw["indicators"]["delay_min"]),
        (&Value::from(1), &Value::from(10.0))
    );
    let took = one["took_min"].as_f64().unwrap();
    let parts =
        ["production_min", "setup_min", "delay_min"].map(|name| saw["indicators"][name].as_f64().unwrap());
    assert!((parts.iter().sum::<f64>() - took).abs() < 1e-9, "{saw}");
    let text = shop.look_back(&[]);
    assert_eq!(text.code, 0, "{text:?}");
    for words in
        ["Promises", &first.order, "Cells, by the indicators of ISO 22400-2", "What cost most lateness"]
    {
        assert!(text.stdout.contains(words), "{words}: {text:?}");
    }
}

#[test]
fn what_cannot_have_happened_is_refused_and_not_kept() {
    let shop = Shop::published();
    let lots = shop.lots("saw-2");
    let lot = &lots[0];
    let refused = |ran: Ran, words: &str| {
        assert_eq!(ran.code, 2, "{ran:?}");
        assert!(ran.stderr.contains(words), "{words}: {ran:?}");
    };
    refused(shop.record("stopped", lot, lot.start, &["--reason", "x"]), "has not been started");
    refused(shop.record("stopped", lot, lot.start, &[]), "--reason");
    refused(shop.record("finished", lot, lot.end, &[]), "--good");
    refused(
        shop.record("started", lot, lot.start, &["--cell", "saw-9"]),
        "there is no cell or vendor `saw-9`",
    );
    let nobody = Lot { order: "O-1".to_owned(), step: "bend".to_owned(), ..shop.lots("saw-1").remove(0) };
    refused(
        shop.record("started", &nobody, lot.start, &[]),
        "neither the order book nor a plan has an order `O-1`",
    );
    assert_eq!(
        shop.record("finished", lot, lot.end, &["--good", "5"]).code,
        0,
        "a start that nobody reported"
    );
    refused(shop.record("finished", lot, lot.end, &["--good", "5"]), "is finished already");
    let store = SqliteStore::open(Path::new(&shop.store())).unwrap();
    assert_eq!(store.revision().unwrap().report, 1);
    refused(shop.look_back(&["--until", "2026-12-01"]), "cannot be used multiple times");
    let nowhere = run(&["look-back", DEMO, "--store", "nowhere.store"]);
    refused(nowhere, "nothing has been published or recorded");
}

/// The open minutes from a moment on are so many without a break.
fn opens_for(plan: &Value, cell: &str, from: DateTime<FixedOffset>, minutes: i64) -> bool {
    let cells = plan["cells"].as_array().unwrap();
    let open = cells.iter().find(|c| c["id"] == cell).unwrap()["open"].as_array().unwrap();
    let moment = |value: &Value| value.as_str().unwrap().parse::<DateTime<FixedOffset>>().unwrap();
    let to = from + TimeDelta::minutes(minutes);
    open.iter().any(|span| moment(&span[0]) <= from && to <= moment(&span[1]))
}

/// Eight lots on the saws took half as long again as planned, one of them forgotten for a while. What
/// is shown is that half; it is used only once it has been kept, and then by the next quote.
#[test]
fn recorded_times_are_shown_and_used_only_when_kept() {
    let shop = Shop::published();
    let copy = shop.folder.path().join("shop");
    copy_folder(Path::new(DEMO), &copy);
    let copy = copy.to_str().unwrap();
    let mut recorded = 0;
    for cell in ["saw-1", "saw-2"] {
        let lots = shop.lots(cell);
        let whole = |lot: &&Lot| {
            let all = lot.changeover + 3 * lot.run;
            lot.step == "cut" && lot.run >= 10 && opens_for(&shop.plan, cell, lot.start, all)
        };
        for lot in lots.iter().filter(whole).take(8 - recorded) {
            let changed_over = lot.start + TimeDelta::minutes(lot.changeover);
            let took = if recorded == 0 { 3 * lot.run } else { lot.run * 3 / 2 };
            assert_eq!(shop.record("started", lot, lot.start, &[]).code, 0);
            assert_eq!(shop.record("counted", lot, changed_over, &["--good", "1"]).code, 0);
            let good = lot.pieces.to_string();
            let done = changed_over + TimeDelta::minutes(took);
            assert_eq!(shop.record("finished", lot, done, &["--good", &good]).code, 0);
            recorded += 1;
        }
    }
    assert_eq!(recorded, 8, "the demo's saws have lots enough");
    let store = shop.store();
    let estimates = |more: &[&str]| {
        let fixed = ["estimates", copy, "--store", &store, "--from", "2026-12-07", "--until", "2026-12-20"];
        run(&[&fixed, more].concat())
    };
    let cut = |told: &Value| {
        let all = told["estimates"].as_array().unwrap();
        all.iter().find(|one| one["work"] == "cut" && one["tube"].is_null()).unwrap().clone()
    };
    let before = cut(&estimates(&["--json"]).json());
    let median = before["run"]["median"].as_f64().unwrap();
    assert!((1.45..=1.5).contains(&median), "{before}");
    assert_eq!((&before["run"]["lots"], &before["run_used_now"]), (&Value::from(8), &Value::from(1.0)));
    let text = estimates(&[]);
    assert!(text.stdout.contains("offered"), "{text:?}");
    assert!(!Path::new(copy).join("measured.toml").exists(), "nothing is used before it is kept");

    let part = shop.lots("saw-1")[0].part.clone();
    let cutting = || {
        let told = run(&["fit", copy, "--part", &part, "--qty", "500", "--json"]).json();
        let best = told["cells"].as_array().unwrap()[0]["offer"]["steps"].as_array().unwrap().clone();
        best.iter().find(|step| step["step"] == "cut").unwrap()["run_min"].as_f64().unwrap()
    };
    let standard = cutting();
    let kept = estimates(&["--write"]);
    assert_eq!(kept.code, 0, "{kept:?}");
    let file = std::fs::read_to_string(Path::new(copy).join("measured.toml")).unwrap();
    assert!(file.contains("median of 8 lots") && file.contains("work = \"cut\""), "{file}");
    assert!((cutting() / standard - median).abs() < 0.02, "{} {standard}", cutting());
    assert_eq!(run(&["check", copy]).code, 0);
    // What was planned by the standard still counts as such.
    let after = cut(&estimates(&["--json"]).json());
    assert_eq!(after["run"]["median"], before["run"]["median"]);
    assert_eq!(after["run_used_now"].as_f64(), Some((median * 1000.0).round() / 1000.0));
}

fn copy_folder(from: &Path, to: &Path) {
    let from = elbowroom_tests::program::repository().join(from);
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(&from).unwrap() {
        let entry = entry.unwrap();
        let (source, target) = (entry.path(), to.join(entry.file_name()));
        if source.is_dir() {
            copy_folder(&source, &target);
        } else {
            std::fs::copy(&source, &target).unwrap();
        }
    }
}
