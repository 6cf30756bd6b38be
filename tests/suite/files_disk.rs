//! Shop folders and out folders on a real disk: what cannot be opened, what is no text, and that an
//! out folder is written whole or not at all.
#![allow(clippy::unwrap_used, reason = "a test that cannot use its own temporary folder should stop")]

use elbowroom_files::{Finding, MANIFEST, RawFolder, WriteError, read_raw, read_shop, write_folder};
use elbowroom_tests::shop_cases::base;
use std::fs;
use std::io::{Error, ErrorKind};
use std::path::Path;
use tempfile::TempDir;

/// The small shop on disk.
fn shop_on_disk() -> TempDir {
    let folder = TempDir::new().unwrap();
    for (name, text) in base() {
        fs::write(folder.path().join(name), text).unwrap();
    }
    folder
}

/// The one finding, as shown.
fn only(findings: &[Finding]) -> String {
    assert_eq!(findings.len(), 1, "{findings:?}");
    findings[0].to_string()
}

/// What is said of the small shop whose order book has these bytes.
fn with_orders(bytes: &[u8]) -> Vec<Finding> {
    let others = base().into_iter().filter(|(name, _)| name != "orders.csv" && name != "underway.toml");
    let files = others.map(|(name, text)| (name, text.into_bytes()));
    read_raw(RawFolder::from_files(files.chain([("orders.csv".to_owned(), bytes.to_vec())])), None).findings
}

#[test]
fn a_shop_on_disk_is_read_as_one_in_memory() {
    let folder = shop_on_disk();
    fs::create_dir(folder.path().join("parts")).unwrap();
    fs::rename(folder.path().join("parts.toml"), folder.path().join("parts/rails.toml")).unwrap();
    let loaded = read_shop(folder.path());
    assert_eq!(loaded.findings, []);
    let in_memory = read_raw(RawFolder::from_files(base()), None);
    assert_eq!(loaded.shop, in_memory.shop);
}

#[test]
fn a_folder_that_is_not_there_or_is_a_file_is_said_so() {
    let folder = shop_on_disk();
    let said = only(&read_shop(&folder.path().join("nowhere")).findings);
    assert!(said.starts_with("error[F101]: there is no such folder\n"), "{said}");
    let said = only(&read_shop(&folder.path().join("shop.toml")).findings);
    assert!(said.starts_with("error[F105]: this is a file, not a shop folder\n"), "{said}");
}

#[test]
fn a_folder_where_a_file_belongs_is_one_fault() {
    let folder = shop_on_disk();
    fs::remove_file(folder.path().join("tubes.toml")).unwrap();
    fs::create_dir(folder.path().join("tubes.toml")).unwrap();
    let said = only(&read_shop(folder.path()).findings);
    assert_eq!(said, "error[F105]: `tubes.toml` is a folder, not a file\n  --> tubes.toml");
}

#[cfg(unix)]
#[test]
fn links_that_lead_nowhere_and_devices_are_faults() {
    let folder = shop_on_disk();
    for (target, expected) in
        [("nowhere", "is a link that leads nowhere"), ("/dev/zero", "is a device or pipe")]
    {
        let link = folder.path().join("orders.csv");
        fs::remove_file(&link).unwrap();
        std::os::unix::fs::symlink(target, &link).unwrap();
        let said = only(&read_shop(folder.path()).findings);
        assert!(said.contains(expected), "{said}");
    }
}

/// A file of 200 MB is refused by its size, unread: the test has a hole for a file and would have
/// to wait otherwise.
#[test]
fn a_file_of_200_mb_is_refused_unread() {
    let folder = shop_on_disk();
    let file = fs::File::options().write(true).open(folder.path().join("orders.csv")).unwrap();
    file.set_len(200 << 20).unwrap();
    let said = only(&read_shop(folder.path()).findings);
    assert_eq!(
        said,
        "error[F102]: `orders.csv` has 200 MB; a file of a shop has at most 16 MB, and it was not read\n  \
         --> orders.csv\n  hint: is it the right file? export only open orders"
    );
}

#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read_is_a_fault() {
    use std::os::unix::fs::PermissionsExt;
    let folder = shop_on_disk();
    let path = folder.path().join("tubes.toml");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).unwrap();
    let findings = read_shop(folder.path()).findings;
    // The system's administrator may read everything.
    let expected = usize::from(fs::read(&path).is_err());
    assert_eq!(findings.len(), expected);
    assert!(findings.iter().all(|f| f.code == "F106" && f.message.contains("no permission")), "{findings:?}");
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_are_no_fault() {
    let text = base()["orders.csv"].replace('\n', "\r\n");
    assert_eq!(with_orders(format!("\u{FEFF}{text}").as_bytes()), []);
    // And faults are still found where they are.
    let spoiled = text.replace("P-2,80", "P-2,eighty");
    let said = only(&with_orders(format!("\u{FEFF}{spoiled}").as_bytes()));
    assert!(said.contains("--> orders.csv:3:9"), "{said}");
    let toml =
        base().into_iter().map(|(name, text)| (name, format!("\u{FEFF}{}", text.replace('\n', "\r\n"))));
    assert_eq!(read_raw(RawFolder::from_files(toml), None).findings, []);
}

#[test]
fn latin_1_and_utf_16_are_named_with_the_remedy() {
    let said = only(&with_orders(b"id,part,quantity,promised,customer\nO-1,P-1,5,2026-12-11,M\xFCller\n"));
    assert_eq!(
        said,
        "error[F103]: `orders.csv` is not UTF-8 text: line 2 has the byte 0xFC, which would be `ü` in Latin-1\n  \
         --> orders.csv:2:23\n  \
         hint: save the file as UTF-8: in a spreadsheet \"CSV UTF-8\", in an editor the encoding UTF-8"
    );
    let said = only(&with_orders(b"\xFF\xFEi\0d\0"));
    assert!(said.starts_with("error[F103]: `orders.csv` is UTF-16 text; expected UTF-8\n"), "{said}");
}

#[test]
fn of_many_faults_the_first_fifty_are_shown_and_the_others_counted() {
    let mut text = String::from("id,part,quantity,promised\n");
    text.extend((0..1_000).map(|n| format!("O-{n},P-1,0,2026-12-11\n")));
    let findings = with_orders(text.as_bytes());
    assert_eq!(findings.len(), 51);
    assert_eq!(
        findings[50].to_string().lines().next(),
        Some("note[F109]: 950 more findings of this file are not shown")
    );
}

#[test]
fn places_lead_back_to_the_line() {
    let loaded = read_raw(RawFolder::from_files(base()), None);
    use elbowroom_files::Kind;
    let place = |place: Option<&elbowroom_files::Place>| place.map(ToString::to_string).unwrap_or_default();
    assert_eq!(place(loaded.places.of(Kind::Part, "P-2")), "parts.toml:12:1");
    assert_eq!(place(loaded.places.key(Kind::Part, "P-1", "tube")), "parts.toml:4:8");
    assert_eq!(place(loaded.places.bend("P-1", 2)), "parts.toml:7:3");
    assert_eq!(place(loaded.places.bend("P-2", 1)), "parts.toml:16:37");
    assert_eq!(place(loaded.places.bend("P-1", 9)), "parts.toml:1:1");
    assert_eq!(place(loaded.places.key(Kind::Order, "O-2", "quantity")), "orders.csv:3");
    assert_eq!(place(loaded.places.key(Kind::Cell, "saw-1", "clr")), "cells.toml:13:1");
    assert_eq!(loaded.places.of(Kind::Part, "P-9"), None);
}

// --- out folders

fn files(all: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
    all.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect()
}

/// Every file below a folder with its text, and nothing hidden.
fn listing(folder: &Path) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            found.push((format!("{name}/"), String::new()));
            found.extend(listing(&path).into_iter().map(|(inner, text)| (format!("{name}/{inner}"), text)));
        } else if name != MANIFEST {
            found.push((name, fs::read_to_string(&path).unwrap()));
        }
    }
    found.sort();
    found
}

fn expect(folder: &Path, all: &[(&str, &str)]) {
    let expected: Vec<(String, String)> =
        all.iter().map(|(n, t)| ((*n).to_owned(), (*t).to_owned())).collect();
    assert_eq!(listing(folder), expected);
}

#[test]
fn a_new_out_folder_appears_whole_with_its_parents() {
    let parent = TempDir::new().unwrap();
    let out = parent.path().join("a/b/out");
    write_folder(&out, &files(&[("plan.json", "{}"), ("cells/draw-1.txt", "x")])).unwrap();
    expect(&out, &[("cells/", ""), ("cells/draw-1.txt", "x"), ("plan.json", "{}")]);
    expect(
        parent.path().join("a/b").as_path(),
        &[("out/", ""), ("out/cells/", ""), ("out/cells/draw-1.txt", "x"), ("out/plan.json", "{}")],
    );
}

#[test]
fn the_next_plan_replaces_what_the_last_one_wrote_and_nothing_else() {
    let parent = TempDir::new().unwrap();
    let out = parent.path();
    fs::write(out.join("my-notes.txt"), "mine").unwrap();
    write_folder(out, &files(&[("plan.json", "1"), ("cells/draw-1.txt", "1"), ("cells/saw-1.txt", "1")]))
        .unwrap();
    write_folder(out, &files(&[("plan.json", "2"), ("load.svg", "2")])).unwrap();
    expect(out, &[("load.svg", "2"), ("my-notes.txt", "mine"), ("plan.json", "2")]);
}

#[test]
fn a_file_of_somebody_else_is_not_overwritten() {
    let parent = TempDir::new().unwrap();
    let out = parent.path();
    fs::write(out.join("plan.json"), "mine").unwrap();
    let fault = write_folder(out, &files(&[("load.svg", "2"), ("plan.json", "2")])).unwrap_err();
    assert!(matches!(&fault, WriteError::Foreign { path } if path.ends_with("plan.json")), "{fault}");
    expect(out, &[("plan.json", "mine")]);
}

#[test]
fn a_failure_halfway_moves_everything_back() {
    let parent = TempDir::new().unwrap();
    let out = parent.path();
    write_folder(out, &files(&[("a.txt", "1"), ("z.txt", "1")])).unwrap();
    // A file stands where the plan needs a folder; this is found out while moving.
    fs::write(out.join("cells"), "mine").unwrap();
    let fault = write_folder(out, &files(&[("a.txt", "2"), ("cells/draw-1.txt", "2")])).unwrap_err();
    assert!(matches!(fault, WriteError::Io { .. }), "{fault}");
    expect(out, &[("a.txt", "1"), ("cells", "mine"), ("z.txt", "1")]);
    // And the next plan that fits is written.
    write_folder(out, &files(&[("a.txt", "3")])).unwrap();
    expect(out, &[("a.txt", "3"), ("cells", "mine")]);
}

#[test]
fn an_out_folder_that_is_a_file_or_lies_below_one_is_refused() {
    let parent = TempDir::new().unwrap();
    let file = parent.path().join("out");
    fs::write(&file, "mine").unwrap();
    let fault = write_folder(&file, &files(&[("plan.json", "{}")])).unwrap_err();
    assert!(matches!(fault, WriteError::NotAFolder { .. }), "{fault}");
    let fault = write_folder(&file.join("deeper"), &files(&[("plan.json", "{}")])).unwrap_err();
    assert_eq!(fault.remedy(), "a file stands where a folder of this path should be");
    expect(parent.path(), &[("out", "mine")]);
}

#[test]
fn names_that_lead_out_of_the_folder_are_refused() {
    let parent = TempDir::new().unwrap();
    let out = parent.path().join("out");
    for name in ["../x", "/etc/x", "", "a/../../x", MANIFEST] {
        let fault = write_folder(&out, &files(&[("plan.json", "{}"), (name, "x")])).unwrap_err();
        assert!(matches!(fault, WriteError::Name { .. }), "{name}: {fault}");
    }
    let fault = write_folder(&out, &files(&[("a", "1"), ("a", "2")])).unwrap_err();
    assert!(matches!(fault, WriteError::Name { .. }), "{fault}");
    expect(parent.path(), &[]);
}

#[test]
fn a_manifest_of_somebody_else_is_left_alone() {
    let parent = TempDir::new().unwrap();
    fs::write(parent.path().join(MANIFEST), "plan.json\n").unwrap();
    fs::write(parent.path().join("plan.json"), "mine").unwrap();
    let fault = write_folder(parent.path(), &files(&[("load.svg", "x")])).unwrap_err();
    assert!(matches!(fault, WriteError::Foreign { .. }), "{fault}");
    expect(parent.path(), &[("plan.json", "mine")]);
}

#[test]
fn what_the_disk_refuses_is_said_with_a_remedy() {
    for (kind, remedy) in [
        (ErrorKind::StorageFull, "free some space"),
        (ErrorKind::ReadOnlyFilesystem, "on a disk that can be written"),
        (ErrorKind::PermissionDenied, "in which you may write"),
        (ErrorKind::Other, "nothing was changed"),
    ] {
        let fault = WriteError::Io {
            doing: elbowroom_files::Doing::Write,
            path: "out/plan.json".into(),
            error: Error::from(kind),
        };
        assert!(fault.remedy().contains(remedy), "{fault}");
        assert!(fault.to_string().starts_with("cannot write `out/plan.json`: "), "{fault}");
    }
}
