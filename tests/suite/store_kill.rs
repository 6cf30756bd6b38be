//! A program killed in the middle of writing loses nothing that it had acknowledged.

use elbowroom_tests::store_soak::kill_one;
use std::process::Command;
use std::time::Duration;

#[test]
fn eight_kills_lose_nothing_that_was_acknowledged() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.store");
    let (mut reports, mut published) = (0, 0);
    for run in 0..8 {
        let writer = &mut Command::new(env!("CARGO_BIN_EXE_store_soak"));
        let after = Duration::from_millis(40 + 37 * run);
        let kill = kill_one(writer.arg("--write"), &path, &format!("r{run}"), after).unwrap();
        reports += kill.reports;
        published += kill.published;
    }
    // Otherwise every kill came before the first write, and nothing was tried.
    assert!(reports > 0 && published > 0, "{reports} reports, {published} publications");
}
