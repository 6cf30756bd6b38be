//! The worked week of `examples/week.md`, command by command as a newcomer copies it.
//!
//! What is expected of it follows from the files it is played with: the export of Monday, the sheets
//! of the shop floor (`examples/week/floor.sh`: every changeover a fifth longer than planned), the
//! machine that stands still on Wednesday.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_tests::program::{program, repository};
use std::path::Path;
use std::process::Command;

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[test]
fn a_newcomer_goes_from_the_import_to_the_look_back() {
    let folder = tempfile::tempdir().unwrap();
    let output = Command::new("sh")
        .current_dir(repository())
        .arg("examples/week.sh")
        .env("ELBOWROOM", program())
        .env("WEEK_OUT", folder.path())
        .env("WEEK_SEARCH", "--seconds 120 --steps 200 --threads 2 --seed 1")
        .output()
        .unwrap();
    let printed = String::from_utf8_lossy(&output.stdout);
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{printed}\n{told}");

    // Monday: a look changes nothing and says what would change; then the orders are there.
    assert!(printed.contains("2 new, 2 changed, 1 gone"), "{printed}");
    let orders = text(&folder.path().join("shop/orders.csv"));
    assert!(orders.contains("O-2673") && !orders.contains("O-2670"), "{orders}");
    assert!(text(&folder.path().join("monday/sheet-draw-2.html")).contains("draw-2"));

    // Wednesday: what has begun stands, what the notice makes impossible is named with the reason.
    assert!(told.contains("steps stand where they were"), "{told}");
    let dispatch = text(&folder.path().join("wednesday/dispatch.csv"));
    let on_the_ninth = |line: &&str| line.starts_with("draw-1,") && line.contains(",2026-12-10 ");
    assert_eq!(dispatch.lines().find(on_the_ninth), None, "draw-1 is down on the tenth");
    assert!(printed.contains("Orders that are not as they were"), "{printed}");

    // Work goes to vendors without anybody reporting it, and is taken as sent.
    assert!(told.contains("taken as sent out when planned, as nothing is reported: "), "{told}");

    // Thursday: cases begin from Wednesday's plan, of which two days are done.
    let cases = printed.split("== Thursday").nth(1).unwrap_or_default();
    assert!(cases.contains("draw-1 on Saturday") && cases.contains("200 scooter loops"), "{printed}");
    assert!(told.matches("begun from plan 2, which planner published").count() >= 2, "{told}");

    // Friday: the floor took a fifth longer to change the saws over, and that is noticed.
    let look_back = text(&folder.path().join("friday/look-back.html"));
    assert!(look_back.contains("O-26") && look_back.contains("Throughput"), "{look_back}");
    assert!(!printed.contains("-0 %") && !printed.contains("NaN"), "{printed}");
    let measured = text(&folder.path().join("shop/measured.toml"));
    assert!(measured.contains("1.2"), "{measured}");
    for plan in ["monday", "wednesday", "next"] {
        let plan = folder.path().join(plan);
        let judged = Command::new(program())
            .arg("verify")
            .args([plan.join("problem.json"), plan.join("schedule.json")])
            .output()
            .unwrap();
        assert!(judged.status.success(), "{}", String::from_utf8_lossy(&judged.stdout));
    }
}
