//! Any bytes that are a problem are solved with a small budget: the schedule is valid and its bound
//! below its objective, or there is a reason why there is none.
#![no_main]

use elbowroom_contract::read_problem;
use elbowroom_engine::{Failure, Settings, Watch, solve};
use elbowroom_verify::verify;
use libfuzzer_sys::fuzz_target;
use std::time::{Duration, Instant};

struct Clock(Instant);

impl Watch for Clock {
    fn elapsed(&self) -> Duration {
        self.0.elapsed()
    }

    fn limit(&self) -> Duration {
        Duration::from_millis(200)
    }

    fn cancelled(&self) -> bool {
        false
    }
}

fuzz_target!(|bytes: &[u8]| {
    let Ok(problem) = read_problem(bytes) else { return };
    let settings = Settings { threads: 1, seed: 1, iterations: Some(64) };
    let clock = Clock(Instant::now());
    match solve(&problem, &settings, &clock) {
        Ok(answer) => {
            let objective = answer.schedule.objective;
            let verified = verify(&problem, answer.schedule).expect("every answer is valid");
            let bound = verified.schedule().lower_bound.unwrap_or(0.0);
            assert!(bound <= objective * (1.0 + 1e-9), "bound {bound} above {objective}");
        }
        Err(Failure::Impossible { why, .. } | Failure::NoneFound { why, .. }) => assert!(!why.is_empty()),
    }
    assert!(clock.elapsed() < Duration::from_secs(5), "it took {:?}", clock.elapsed());
});
