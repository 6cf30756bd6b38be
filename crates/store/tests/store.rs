//! What the store promises: nothing lost, nothing overwritten, nothing half.

use chrono::{DateTime, Utc};
use elbowroom_store::{
    Document, Event, InquiryId, NewInquiry, NewPlan, NewPromise, Outcome, Page, PlanFigures, PlanId, Report,
    Seq, Signature, SqliteStore, Store, StoreError, Version,
};
use std::sync::Barrier;
use tempfile::TempDir;

fn new_store() -> (TempDir, SqliteStore) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let store = SqliteStore::open(&folder.path().join("shop.store")).expect("a new store");
    (folder, store)
}

fn at(text: &str) -> DateTime<Utc> {
    text.parse().expect("a moment")
}

fn signed(by: &str) -> Signature {
    Signature { by: by.to_owned(), at: at("2026-12-07T05:10:00.250Z") }
}

fn new_plan(by: &str, based_on: Version) -> NewPlan {
    let document =
        |name: &str, text: &str| Document { name: name.to_owned(), bytes: text.repeat(50).into_bytes() };
    NewPlan {
        made: signed(by),
        based_on,
        reason: "die late".to_owned(),
        figures: PlanFigures { orders: 62, late_orders: 3, total_cost: 28_114.5, currency: "EUR".to_owned() },
        documents: vec![document("plan.json", by), document("inputs/shop.toml", "name = 'x'\n")],
    }
}

fn report(key: Option<&str>, event: Event) -> Report {
    Report {
        key: key.map(str::to_owned),
        order: "O-2588".to_owned(),
        step: "bend".to_owned(),
        cell: Some("draw-1".to_owned()),
        event,
        happened: at("2026-12-07T05:05:00Z"),
        recorded: signed("draw-1"),
    }
}

const ALL: Page = Page { before: None, limit: 1000 };

#[test]
fn a_proposal_is_read_back_with_every_document() {
    let (_folder, store) = new_store();
    let plan = new_plan("Ada", Version::NONE);
    let head = store.propose(&plan).unwrap();
    assert_eq!(head.outcome, Outcome::Proposed);
    assert_eq!((&head.made, &head.figures, &head.reason), (&plan.made, &plan.figures, &plan.reason));
    assert_eq!(store.plan(head.id).unwrap(), head);
    assert_eq!(store.document_names(head.id).unwrap(), ["inputs/shop.toml", "plan.json"]);
    for document in &plan.documents {
        assert_eq!(store.document(head.id, &document.name).unwrap(), document.bytes);
    }
    assert_eq!(store.current().unwrap(), None);
}

#[test]
fn everything_is_there_after_opening_again() {
    let (folder, store) = new_store();
    let first = store.propose(&new_plan("Ada", Version::NONE)).unwrap();
    let published = store.publish(first.id, Version::NONE, &signed("Ada")).unwrap();
    let recorded = store.record(&report(None, Event::Finished { good: 118, scrap: 2 })).unwrap();
    let revision = store.revision().unwrap();
    drop(store);
    let store = SqliteStore::open(&folder.path().join("shop.store")).unwrap();
    assert_eq!(store.current().unwrap(), Some(published));
    assert_eq!(store.reports(Seq(0), 10).unwrap(), [recorded]);
    assert_eq!(store.revision().unwrap(), revision);
}

#[test]
fn the_second_of_two_planners_is_told_and_nothing_is_overwritten() {
    let (_folder, store) = new_store();
    let ada = store.propose(&new_plan("Ada", Version::NONE)).unwrap();
    let ben = store.propose(&new_plan("Ben", Version::NONE)).unwrap();
    let published = store.publish(ada.id, Version::NONE, &signed("Ada")).unwrap();
    assert_eq!(published.version(), Some(Version(1)));
    let refused = store.publish(ben.id, Version::NONE, &signed("Ben"));
    assert_eq!(refused, Err(StoreError::Moved { expected: Version::NONE, found: Version(1) }));
    assert_eq!(store.current().unwrap(), Some(published));
    assert_eq!(store.plan(ben.id).unwrap().outcome, Outcome::Proposed);
    assert!(store.publish(ben.id, Version(1), &signed("Ben")).is_ok());
}

#[test]
fn of_many_publishing_at_once_through_two_programs_one_wins_each_time() {
    let (folder, store) = new_store();
    let other = SqliteStore::open(&folder.path().join("shop.store")).unwrap();
    for round in 0..5 {
        let plans: Vec<PlanId> =
            ["a", "b", "c", "d"].map(|by| store.propose(&new_plan(by, Version(round))).unwrap().id).to_vec();
        let barrier = Barrier::new(plans.len());
        let won = std::thread::scope(|scope| {
            let threads: Vec<_> = plans
                .iter()
                .enumerate()
                .map(|(i, plan)| {
                    let (store, barrier) = (if i % 2 == 0 { &store } else { &other }, &barrier);
                    scope.spawn(move || {
                        barrier.wait();
                        store.publish(*plan, Version(round), &signed("x"))
                    })
                })
                .collect();
            threads.into_iter().map(|thread| thread.join().unwrap()).collect::<Vec<_>>()
        });
        assert_eq!(won.iter().filter(|outcome| outcome.is_ok()).count(), 1);
        let told = StoreError::Moved { expected: Version(round), found: Version(round + 1) };
        assert_eq!(won.iter().filter(|outcome| outcome.as_ref() == Err(&told)).count(), 3);
    }
    assert_eq!(other.current().unwrap().unwrap().version(), Some(Version(5)));
}

/// Two planners who publish the first plan of a shop make its store together.
#[test]
fn many_who_make_the_store_at_once_open_the_same() {
    for _ in 0..40 {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("shop.store");
        let barrier = Barrier::new(8);
        let first = || {
            barrier.wait();
            SqliteStore::open(&path)?.propose(&new_plan("x", Version::NONE)).map(|head| head.id.0)
        };
        let mut all = std::thread::scope(|scope| {
            let threads = [(); 8].map(|()| scope.spawn(first));
            threads.map(|thread| thread.join().unwrap().unwrap())
        });
        all.sort_unstable();
        assert_eq!(all, [1, 2, 3, 4, 5, 6, 7, 8]);
    }
}

#[test]
fn a_plan_is_published_or_discarded_once() {
    let (_folder, store) = new_store();
    let plan = store.propose(&new_plan("Ada", Version::NONE)).unwrap();
    let discarded = store.discard(plan.id, &signed("Ben")).unwrap();
    assert_eq!(discarded.outcome, Outcome::Discarded(signed("Ben")));
    let settled = Err(StoreError::Settled { outcome: "discarded" });
    assert_eq!(store.publish(plan.id, Version::NONE, &signed("Ada")), settled);
    assert_eq!(store.discard(plan.id, &signed("Ada")), settled);
    assert!(matches!(store.discard(PlanId(77), &signed("Ada")), Err(StoreError::NotFound { .. })));
}

#[test]
fn plans_are_listed_newest_first_by_pages() {
    let (_folder, store) = new_store();
    for _ in 0..5 {
        store.propose(&new_plan("Ada", Version::NONE)).unwrap();
    }
    let ids = |page| store.plans(page).unwrap().iter().map(|plan| plan.id.0).collect::<Vec<_>>();
    assert_eq!(ids(Page { before: None, limit: 2 }), [5, 4]);
    assert_eq!(ids(Page { before: Some(4), limit: 2 }), [3, 2]);
    assert_eq!(ids(Page { before: Some(2), limit: 2 }), [1]);
}

#[test]
fn reports_of_every_kind_come_back_as_they_were() {
    let (_folder, store) = new_store();
    let events = [
        Event::Started,
        Event::Stopped { reason: "mandrel picked up".to_owned() },
        Event::Counted { good: 40, scrap: 1 },
        Event::Finished { good: 118, scrap: 2 },
        Event::Withdrawn { report: Seq(4) },
    ];
    let kept: Vec<_> =
        events.iter().map(|event| store.record(&report(None, event.clone())).unwrap()).collect();
    assert_eq!(store.reports(Seq(0), 100).unwrap(), kept);
    assert_eq!(store.reports(Seq(3), 1).unwrap(), kept[3..4]);
}

#[test]
fn a_report_sent_twice_counts_once() {
    let (_folder, store) = new_store();
    let first = store.record(&report(Some("k1"), Event::Started)).unwrap();
    let again = store.record(&report(Some("k1"), Event::Started)).unwrap();
    assert_eq!(first, again);
    let other = store.record(&report(Some("k1"), Event::Counted { good: 1, scrap: 0 }));
    assert_eq!(other, Err(StoreError::KeyReused { key: "k1".to_owned() }));
    assert_eq!(store.reports(Seq(0), 100).unwrap().len(), 1);
}

#[test]
fn only_a_standing_report_of_the_same_step_can_be_withdrawn() {
    let (_folder, store) = new_store();
    let started = store.record(&report(None, Event::Started)).unwrap();
    let withdrawn = report(None, Event::Withdrawn { report: started.seq });
    let elsewhere = Report { step: "cut".to_owned(), ..withdrawn.clone() };
    assert!(matches!(store.record(&elsewhere), Err(StoreError::NotFound { .. })));
    assert!(store.record(&withdrawn).is_ok());
    assert!(matches!(store.record(&withdrawn), Err(StoreError::NotFound { .. })));
}

fn inquiry(version: Version) -> NewInquiry {
    NewInquiry {
        asked: signed("Ada"),
        customer: Some("Seilbahn Tal".to_owned()),
        part: "P-104".to_owned(),
        quantity: 80,
        wanted: Some("2026-12-18".parse().expect("a date")),
        version,
        answer: "{\"ways\": []}".to_owned(),
    }
}

fn promise(inquiry: InquiryId, order: &str) -> NewPromise {
    NewPromise {
        inquiry,
        given: signed("Ada"),
        order: order.to_owned(),
        date: "2026-12-17".parse().expect("a date"),
        way: "rotary draw on draw-1".to_owned(),
    }
}

#[test]
fn what_was_promised_and_why_can_be_read_back() {
    let (_folder, store) = new_store();
    let plan = store.propose(&new_plan("Ada", Version::NONE)).unwrap();
    store.publish(plan.id, Version::NONE, &signed("Ada")).unwrap();
    let asked = store.keep_inquiry(&inquiry(Version(1))).unwrap();
    let given = store.promise(&promise(asked.id, "O-3000")).unwrap();
    assert_eq!((given.version, &given.promise), (Version(1), &promise(asked.id, "O-3000")));
    assert_eq!(store.promises(ALL).unwrap(), std::slice::from_ref(&given));
    let read = store.inquiry(asked.id).unwrap();
    assert_eq!((read.inquiry, read.promise), (inquiry(Version(1)), Some(given.id)));
    assert_eq!(store.inquiries(ALL).unwrap().len(), 1);
}

#[test]
fn a_promise_is_given_once_and_only_on_the_plan_it_was_worked_out_on() {
    let (_folder, store) = new_store();
    let old = store.keep_inquiry(&inquiry(Version::NONE)).unwrap();
    let plan = store.propose(&new_plan("Ada", Version::NONE)).unwrap();
    store.publish(plan.id, Version::NONE, &signed("Ada")).unwrap();
    let moved = StoreError::Moved { expected: Version::NONE, found: Version(1) };
    assert_eq!(store.promise(&promise(old.id, "O-3000")), Err(moved));
    let asked = store.keep_inquiry(&inquiry(Version(1))).unwrap();
    let given = store.promise(&promise(asked.id, "O-3000")).unwrap();
    let twice = StoreError::AlreadyPromised { inquiry: asked.id, promise: given.id };
    assert_eq!(store.promise(&promise(asked.id, "O-3001")), Err(twice));
    let other = store.keep_inquiry(&inquiry(Version(1))).unwrap();
    let taken = StoreError::OrderTaken { order: "O-3000".to_owned() };
    assert_eq!(store.promise(&promise(other.id, "O-3000")), Err(taken));
}

#[test]
fn the_revision_changes_with_everything_that_is_written() {
    let (_folder, store) = new_store();
    let mut seen = vec![store.revision().unwrap()];
    let mut changed = |what: &str| {
        let now = store.revision().unwrap();
        assert!(!seen.contains(&now), "{what}");
        seen.push(now);
    };
    let plan = store.propose(&new_plan("Ada", Version::NONE)).unwrap();
    changed("a proposal");
    store.publish(plan.id, Version::NONE, &signed("Ada")).unwrap();
    changed("a publication");
    store.record(&report(None, Event::Started)).unwrap();
    changed("a report");
    let asked = store.keep_inquiry(&inquiry(Version(1))).unwrap();
    changed("an inquiry");
    store.promise(&promise(asked.id, "O-1")).unwrap();
    changed("a promise");
}
