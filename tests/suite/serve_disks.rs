//! The running service on disks that are full, read-only or fail under it: it says so, shows what it
//! has, loses nothing, and records again as soon as that is possible.

use elbowroom_tests::disks::Disk;
use elbowroom_tests::service::write_planned_store;
use elbowroom_tests::serving::{Answer, Serving};
use serde_json::{Value, json};
use std::fs::File;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Puts a store with the demo week published on a disk.
fn store_on(disk: &Disk) -> PathBuf {
    let store = disk.path().join("shop.store");
    write_planned_store(&store);
    store
}

/// By RFC 9457, 3.1, and with a remedy in words.
fn is_problem(answer: &Answer, status: u16, name: &str) {
    assert_eq!(
        (answer.status, answer.header("content-type")),
        (status, "application/problem+json"),
        "{answer:?}"
    );
    let problem = answer.json();
    assert_eq!(
        (&problem["type"], &problem["status"]),
        (&json!(format!("urn:elbowroom:problem:{name}")), &json!(status))
    );
    assert!(
        ["title", "detail", "remedy"]
            .iter()
            .all(|key| problem[key].as_str().is_some_and(|text| text.len() > 10))
    );
}

/// What a client knows of a service before something happens to its disk.
struct Known {
    plan: Answer,
    lot: Value,
    reports: Vec<Value>,
    proposal: Value,
}

impl Known {
    /// Looks around, records a report and has a plan made that waits for a decision.
    fn of(service: &Serving) -> Self {
        let cells = service.get("/api/v1/cells").expect("an answer").json();
        let mut cells = cells["cells"].as_array().expect("a list").iter();
        let lot = cells
            .find_map(|cell| Some(&cell["next"][0]).filter(|lot| !lot.is_null()))
            .expect("a lot")
            .clone();
        let (plan, proposal) =
            (service.get("/api/v1/plan").expect("an answer"), made(service)["plan"].clone());
        assert!(proposal.is_i64(), "a plan is made");
        let mut known = Self { plan, lot, reports: Vec::new(), proposal };
        known.is_recorded(service, "started");
        known
    }

    fn report(&self, service: &Serving, event: &str) -> Answer {
        let mut body = json!({ "order": self.lot["order"], "step": self.lot["step"], "event": event });
        if event == "stopped" {
            body["reason"] = json!("waiting for tube");
        }
        service.post("/api/v1/reports", &[], &body).expect("an answer")
    }

    fn is_recorded(&mut self, service: &Serving, event: &str) {
        let recorded = self.report(service, event);
        assert_eq!(recorded.status, 201, "{recorded:?}");
        self.reports.push(recorded.json());
    }

    fn publish(&self, service: &Serving) -> Answer {
        let path = format!("/api/v1/plans/{}/publish", self.proposal);
        service
            .post(&path, &[("If-Match", self.plan.header("etag"))], &json!({ "by": "Ada" }))
            .expect("an answer")
    }

    /// Nothing can be recorded or published, a re-plan says why its plan is lost, and everything earlier is
    /// shown: to programs, on the page, and with `304` to those who have it.
    fn is_shown_and_nothing_else_taken(&mut self, service: &Serving, status: u16, name: &str) {
        // What fits into the last page of the log may still be taken.
        let events = ["stopped", "started"].into_iter().cycle();
        let refused = events.take(20).find_map(|event| {
            let answer = self.report(service, event);
            if answer.status != 201 {
                return Some(answer);
            }
            self.reports.push(answer.json());
            None
        });
        is_problem(&refused.expect("nothing more can be recorded"), status, name);
        is_problem(&self.publish(service), status, name);
        let ended = made(service);
        assert!(
            ended["state"] == "failed"
                && ended["problem"].as_str().expect("a text").contains("cannot be kept"),
            "{ended}"
        );
        self.is_shown(service, 1);
        for path in ["/healthz", "/readyz", "/", "/cells", "/promises", "/plans"] {
            assert_eq!(service.get(path).expect("an answer").status, 200, "{path}");
        }
    }

    /// Everything that was acknowledged is there; the version of the plan is this.
    fn is_shown(&self, service: &Serving, version: i64) {
        let status = service.get("/api/v1/status").expect("an answer").json();
        assert_eq!(status["plan"]["version"], version);
        let first = service.get("/api/v1/plans/1/documents/plan.json").expect("an answer");
        assert_eq!(first.body, self.plan.body);
        assert_eq!(
            service.get("/api/v1/reports?limit=500").expect("an answer").json()["items"],
            json!(self.reports)
        );
    }

    /// The next report in turn, and the proposal published.
    fn is_taken_again(&mut self, service: &Serving) {
        let last = self.reports.last().map(|report| report["event"].clone());
        self.is_recorded(service, if last == Some(json!("started")) { "stopped" } else { "started" });
        let published = self.publish(service);
        assert_eq!(published.status, 200, "{published:?}");
        self.is_shown(service, 2);
    }
}

/// How a short re-plan ends.
fn made(service: &Serving) -> Value {
    let begun = service.post("/api/v1/solves", &[], &json!({ "seconds": 0.2 })).expect("an answer");
    assert_eq!(begun.status, 202, "{begun:?}");
    loop {
        let solve = service.get(begun.header("location")).expect("an answer").json();
        if solve["state"] != "running" {
            return solve;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn a_disk_that_fills_up_under_the_service() {
    let Some(disk) = Disk::in_memory(16) else { return };
    let store = store_on(&disk);
    let service = Serving::start(&store, &[], None);
    let mut known = Known::of(&service);
    disk.fill();
    known.is_shown_and_nothing_else_taken(&service, 507, "store-full");
    disk.make_room();
    known.is_taken_again(&service);
    service.kill_now();
    drop(service);
    known.is_shown(&Serving::start(&store, &[], None), 2);
}

#[test]
fn a_disk_that_turns_read_only_under_the_service() {
    let Some(disk) = Disk::that_can_fail() else { return };
    let store = store_on(&disk);
    let service = Serving::start(&store, &[], None);
    let mut known = Known::of(&service);
    disk.fail();
    known.is_shown_and_nothing_else_taken(&service, 503, "store-read-only");
    drop(service);
    disk.repair();
    let service = Serving::start(&store, &[], None);
    known.is_shown(&service, 1);
    known.is_taken_again(&service);
}

/// A service that was ended and is started on the disk as it is now; its log.
fn started_again(store: &Path) -> (Serving, PathBuf, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let log = folder.path().join("log");
    let service = Serving::start(store, &[], Some(File::create(&log).expect("a log")));
    (service, log, folder)
}

#[test]
fn started_on_a_read_only_disk_it_shows_what_is_there() {
    let Some(disk) = Disk::in_memory(16) else { return };
    let store = store_on(&disk);
    let service = Serving::start(&store, &[], None);
    let mut known = Known::of(&service);
    assert!(service.terminate().0.success());
    disk.remount("ro");
    let (service, log, _folder) = started_again(&store);
    let log = std::fs::read_to_string(log).expect("an answer");
    assert!(log.contains("nothing can be recorded") && log.contains("cannot be written"), "{log}");
    known.is_shown_and_nothing_else_taken(&service, 503, "store-read-only");
    disk.remount("rw");
    known.is_taken_again(&service);
}

/// Killed, it leaves a log of what is not in the file yet; that is read too.
#[test]
fn killed_and_started_on_a_read_only_disk_it_shows_the_last_report() {
    let Some(disk) = Disk::in_memory(16) else { return };
    let store = store_on(&disk);
    let service = Serving::start(&store, &[], None);
    let mut known = Known::of(&service);
    service.kill_now();
    drop(service);
    disk.remount("ro");
    let (service, ..) = started_again(&store);
    known.is_shown_and_nothing_else_taken(&service, 503, "store-read-only");
    drop(service);
    disk.remount("rw");
    known.is_taken_again(&Serving::start(&store, &[], None));
}

#[test]
fn started_on_a_full_disk_it_shows_what_is_there() {
    let Some(disk) = Disk::in_memory(16) else { return };
    let store = store_on(&disk);
    let service = Serving::start(&store, &[], None);
    let mut known = Known::of(&service);
    assert!(service.terminate().0.success());
    disk.fill();
    let (service, ..) = started_again(&store);
    known.is_shown_and_nothing_else_taken(&service, 507, "store-full");
    disk.make_room();
    known.is_taken_again(&service);
}
