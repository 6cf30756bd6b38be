//! Files that cannot serve: each is named for what it is, and left as it was.

use elbowroom_store::{
    Document, Event, NewPlan, Outcome, Page, PlanFigures, Report, Seq, Signature, SqliteStore, Store,
    StoreError, Version,
};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

fn folder() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("shop.store");
    (folder, path)
}

fn signed() -> Signature {
    Signature { by: "Ada".to_owned(), at: "2026-12-07T05:10:00Z".parse().expect("a moment") }
}

/// A plan of some size that gzip cannot make smaller.
fn bulky(seed: u64) -> NewPlan {
    let mut state = seed | 1;
    let mut byte = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state.to_le_bytes()[3]
    };
    let bytes = (0..100_000).map(|_| byte()).collect();
    NewPlan {
        made: signed(),
        based_on: Version::NONE,
        reason: "test".to_owned(),
        figures: PlanFigures { orders: 1, late_orders: 0, total_cost: 1.0, currency: "EUR".to_owned() },
        documents: vec![Document { name: "plan.json".to_owned(), bytes }],
    }
}

fn started(order: &str) -> Report {
    Report {
        key: None,
        order: order.to_owned(),
        step: "bend".to_owned(),
        cell: None,
        event: Event::Started,
        happened: signed().at,
        recorded: signed(),
    }
}

fn refusal(path: &Path) -> StoreError {
    SqliteStore::open(path).expect_err("this file must be refused")
}

#[test]
fn a_folder_that_is_not_there_is_named() {
    let error = refusal(Path::new("/nowhere/at/all/shop.store"));
    assert!(matches!(error, StoreError::Unreachable { .. }), "{error}");
    assert!(error.to_string().contains("/nowhere/at/all/shop.store"));
}

#[test]
fn another_kind_of_file_is_refused_and_left_alone() {
    let (_folder, path) = folder();
    let text = "order,part,quantity\nO-1,P-1,20\n".repeat(500);
    std::fs::write(&path, &text).unwrap();
    assert_eq!(refusal(&path), StoreError::NotAStore { path: path.clone() });
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn the_database_of_another_program_is_refused_and_left_alone() {
    let (_folder, path) = folder();
    Connection::open(&path).unwrap().execute_batch("CREATE TABLE mine (x); PRAGMA user_version = 1").unwrap();
    let before = std::fs::read(&path).unwrap();
    assert_eq!(refusal(&path), StoreError::NotAStore { path: path.clone() });
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn a_newer_layout_is_refused_and_left_alone() {
    let (_folder, path) = folder();
    drop(SqliteStore::open(&path).unwrap());
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 99).unwrap();
    let before = std::fs::read(&path).unwrap();
    let error = refusal(&path);
    assert!(matches!(error, StoreError::Newer { found: 99, known: 1, .. }), "{error}");
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

#[test]
fn a_damaged_file_is_called_damaged() {
    let (_folder, path) = folder();
    let store = SqliteStore::open(&path).unwrap();
    for seed in 1..6 {
        store.propose(&bulky(seed)).unwrap();
    }
    drop(store);
    let mut bytes = std::fs::read(&path).unwrap();
    let length = bytes.len();
    for byte in &mut bytes[8_192..length - 4_096] {
        *byte = !*byte;
    }
    std::fs::write(&path, &bytes).unwrap();
    let examined = SqliteStore::open(&path).and_then(|store| store.examine());
    assert!(matches!(examined, Err(StoreError::Damaged { .. })), "{examined:?}");
}

#[test]
fn one_changed_byte_inside_a_document_is_found_when_it_is_read() {
    let (_folder, path) = folder();
    let store = SqliteStore::open(&path).unwrap();
    let plan = store.propose(&bulky(7)).unwrap();
    drop(store);
    let mut bytes = std::fs::read(&path).unwrap();
    let middle = bytes.len() - 40_000;
    bytes[middle] ^= 0x10;
    std::fs::write(&path, &bytes).unwrap();
    let read = SqliteStore::open(&path).unwrap().document(plan.id, "plan.json");
    assert!(matches!(read, Err(StoreError::Damaged { .. })), "{:?}", read.map(|bytes| bytes.len()));
}

/// Fills a store until it refuses; checks that nothing half was written and nothing was lost.
fn fill_up(store: &SqliteStore) {
    let mut kept = Vec::new();
    let refused = loop {
        match store.propose(&bulky(kept.len() as u64 + 1)) {
            Ok(head) => kept.push(head),
            Err(error) => break error,
        }
        assert!(kept.len() < 200, "the store never said that it is full");
    };
    assert!(matches!(refused, StoreError::Full { .. }), "{refused}");
    assert!(!kept.is_empty());
    let listed = store.plans(Page { before: None, limit: 1000 }).expect("readable");
    assert_eq!(listed.len(), kept.len());
    for head in &listed {
        assert_eq!(head.outcome, Outcome::Proposed);
        assert_eq!(store.document(head.id, "plan.json").expect("readable").len(), 100_000);
    }
    store.examine().expect("undamaged");
}

#[test]
fn a_store_at_its_largest_size_refuses_and_keeps_what_it_has() {
    let (_folder, path) = folder();
    let store = SqliteStore::open(&path).unwrap();
    store.limit_size(1 << 20).unwrap();
    fill_up(&store);
    store.limit_size(8 << 20).unwrap();
    assert!(store.propose(&bulky(99)).is_ok());
}

/// Mounts a small file system in memory; `None` where this user may not.
struct SmallDisk(TempDir);

impl SmallDisk {
    fn mount() -> Option<Self> {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=2m", "tmpfs"])
            .arg(folder.path())
            .output()
            .is_ok_and(|output| output.status.success());
        if !mounted {
            println!("skipped: no file system can be mounted here");
        }
        mounted.then(|| Self(folder))
    }

    fn remount(&self, options: &str) {
        let done = Command::new("mount")
            .args(["-o", &format!("remount,{options}")])
            .arg(self.0.path())
            .status()
            .expect("mount can be started");
        assert!(done.success());
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0.path()).status();
    }
}

#[test]
fn a_full_disk_is_said_plainly_and_nothing_is_lost() {
    let Some(disk) = SmallDisk::mount() else { return };
    let store = SqliteStore::open(&disk.0.path().join("shop.store")).unwrap();
    fill_up(&store);
}

#[test]
fn a_disk_that_turns_read_only_is_said_plainly() {
    let Some(disk) = SmallDisk::mount() else { return };
    let path = disk.0.path().join("shop.store");
    let store = SqliteStore::open(&path).unwrap();
    store.record(&started("O-1")).unwrap();
    drop(store);
    disk.remount("ro");
    let error = refusal(&path);
    assert!(matches!(error, StoreError::ReadOnly { .. }), "{error}");
    assert!(error.remedy().contains("writable"));
    let (store, refusal) = SqliteStore::open_to_show(&path).unwrap();
    assert_eq!(refusal, Some(error));
    assert_eq!(store.reports(Seq(0), 10).unwrap().len(), 1);
    let refused = store.record(&started("O-2"));
    assert!(matches!(refused, Err(StoreError::ReadOnly { .. })), "{refused:?}");
    disk.remount("rw");
    store.record(&started("O-2")).unwrap();
    assert_eq!(store.reports(Seq(0), 10).unwrap().len(), 2);
}

#[test]
fn only_a_store_that_is_there_is_opened_to_show() {
    let (_folder, path) = folder();
    let (store, refusal) = SqliteStore::open_to_show(&path).unwrap();
    assert!(
        refusal.is_none() && store.record(&started("O-1")).is_ok(),
        "what can be written is opened as usual"
    );
    std::fs::write(path.with_extension("txt"), "Dear Sir or Madam, ".repeat(400)).unwrap();
    let foreign = SqliteStore::open_to_show(&path.with_extension("txt"));
    assert!(matches!(foreign, Err(StoreError::NotAStore { .. })));
    let nowhere = SqliteStore::open_to_show(Path::new("/nowhere/at/all/shop.store"));
    assert!(matches!(nowhere, Err(StoreError::Unreachable { .. })));
}

#[test]
fn the_file_itself_refuses_to_change_what_was_recorded() {
    let (_folder, path) = folder();
    let store = SqliteStore::open(&path).unwrap();
    store.record(&started("O-1")).unwrap();
    let plan = store.propose(&bulky(1)).unwrap();
    store.publish(plan.id, Version::NONE, &signed()).unwrap();
    drop(store);
    let raw = Connection::open(&path).unwrap();
    for change in [
        "DELETE FROM report",
        "UPDATE report SET order_id = 'O-2'",
        "DELETE FROM document",
        "UPDATE document SET name = 'x'",
        "DELETE FROM plan",
        "UPDATE plan SET settled_by = 'Ben'",
        "UPDATE plan SET reason = 'x'",
    ] {
        assert!(raw.execute(change, []).is_err(), "{change}");
    }
}
