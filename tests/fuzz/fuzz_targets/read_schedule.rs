//! Any bytes are a schedule, which is then written and read back equal and judged, or have faults.
#![no_main]

use elbowroom_contract::{read_problem, read_schedule, write_schedule};
use elbowroom_problem::Problem;
use elbowroom_verify::verify;
use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

static PROBLEM: LazyLock<Problem> = LazyLock::new(|| {
    read_problem(include_bytes!("../../cases/small.problem.json")).expect("the case is right")
});

fuzz_target!(|bytes: &[u8]| match read_schedule(bytes, &PROBLEM) {
    Ok(schedule) => {
        let written = write_schedule(&PROBLEM, &schedule);
        assert_eq!(read_schedule(written.as_bytes(), &PROBLEM).as_ref(), Ok(&schedule));
        if let Err(rejected) = verify(&PROBLEM, schedule) {
            assert!(!rejected.to_string().is_empty());
        }
    }
    Err(faults) => assert!(!faults.is_empty()),
});
