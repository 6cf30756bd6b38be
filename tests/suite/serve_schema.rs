//! The interface judged by a published, schema-driven tester (PyPI, schemathesis): it makes up requests
//! from the OpenAPI document, right and wrong ones, and holds the answers against the document.

use elbowroom_tests::program::{ran, repository};
use elbowroom_tests::service::{TestService, serve};
use elbowroom_tests::serving::ask;
use elbowroom_tests::testers;

#[test]
fn a_schema_driven_tester_finds_no_fault() {
    let Some(mut tester) = testers::interface() else { return };
    let service = serve(TestService::unlimited);
    // It listens before its week is planned; the tester waits less long for the document.
    let served = ask(service.address, "GET", "/healthz", &[], "").expect("an answer");
    assert_eq!(served.status, 200);
    let folder = tempfile::tempdir().expect("a temporary folder");
    tester.current_dir(folder.path()).env("NO_COLOR", "1");
    tester.arg("--config-file").arg(repository().join("tests/testers/schemathesis.toml"));
    tester.args(["run", &service.url("/api/v1/openapi.json"), "--checks", "all", "--seed", "1"]);
    tester.args([
        "--phases",
        "examples,coverage,fuzzing,stateful",
        "--max-examples",
        "20",
        "--max-time",
        "60",
    ]);
    // Streams of events are no documents; other tests read them.
    tester.args(["--exclude-path", "/api/v1/events", "--exclude-path", "/api/v1/solves/{id}/events"]);
    // DELETE asks a re-plan to end; how it ended stays to be seen.
    tester.args(["--exclude-checks", "use_after_free"]);
    let run = ran(&tester.output().expect("the tester starts"));
    assert_eq!(run.code, 0, "{}\n{}", run.stdout, run.stderr);
}
