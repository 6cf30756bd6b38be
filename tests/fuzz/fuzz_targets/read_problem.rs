//! Any bytes are a problem, which is then written and read back equal, or have faults.
#![no_main]

use elbowroom_contract::{read_problem, write_problem};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| match read_problem(bytes) {
    Ok(problem) => assert_eq!(read_problem(write_problem(&problem).as_bytes()), Ok(problem)),
    Err(faults) => assert!(!faults.is_empty()),
});
