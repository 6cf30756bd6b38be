//! A solve ends when its time is up or when somebody asks it to stop, whatever it is doing.
//!
//! Time is the processor time of this process, shared out among the solve's threads: on a machine
//! with nothing else to do that is the time on the wall, and on a busy one the test means the same.

use elbowroom_contract::read_problem;
use elbowroom_engine::{Settings, Watch, solve};
use elbowroom_problem::Problem;
use elbowroom_tests::referee::make_shop;
use elbowroom_verify::verify;
use std::time::Duration;

const THREADS: usize = 2;
/// The system counts processor time in steps of this.
const TICK: Duration = Duration::from_millis(10);
/// A solve may take so much longer than its limit.
const LATE: Duration = Duration::from_millis(200);
/// It ends so soon after it is cancelled.
const SOON: Duration = Duration::from_millis(100);

/// Processor time of this process, in the system's steps.
fn processor_time() -> Duration {
    let text = std::fs::read_to_string("/proc/self/stat").expect("the system tells processor times");
    // Behind the name in brackets come the state and then the numbers.
    let fields: Vec<&str> = text.rsplit(')').next().unwrap_or("").split_whitespace().collect();
    let ticks = |field: usize| fields[field].parse::<u32>().expect("a count of steps");
    TICK * (ticks(11) + ticks(12))
}

struct Clock {
    begun: Duration,
    limit: Duration,
    /// Somebody asks to stop then.
    cancel: Duration,
}

impl Clock {
    fn new(limit: Duration, cancel: Duration) -> Self {
        Self { begun: processor_time(), limit, cancel }
    }
}

impl Watch for Clock {
    fn elapsed(&self) -> Duration {
        (processor_time() - self.begun) / THREADS as u32
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        self.elapsed() >= self.cancel
    }
}

/// How long the solve takes; its answer must be valid.
fn time(problem: &Problem, limit: Duration, cancel: Duration) -> Duration {
    let clock = Clock::new(limit, cancel);
    let settings = Settings { threads: THREADS, seed: 3, iterations: None };
    let answer = solve(problem, &settings, &clock).expect("a schedule exists");
    let taken = clock.elapsed();
    verify(problem, answer.schedule).expect("the schedule is valid");
    taken
}

// One test: processor time is that of the whole process.
#[test]
fn never_late_and_soon_cancelled() {
    let never = Duration::from_secs(3600);
    for call in ["--jobs 15 --weeks 2 --seed 31", "--jobs 120 --weeks 5 --seed 33"] {
        let words: Vec<&str> = call.split(' ').collect();
        let problem = read_problem(make_shop(&words).as_bytes()).expect("the generator makes valid problems");
        for limit in [300, 900].map(Duration::from_millis) {
            let taken = time(&problem, limit, never);
            assert!(taken <= limit + LATE + TICK, "{call}: {taken:?} of {limit:?}");
        }
        // The dispatching, the search and the bound, each interrupted.
        for cancel in [200, 1300].map(Duration::from_millis) {
            let taken = time(&problem, Duration::from_millis(1500), cancel);
            assert!(taken <= cancel + SOON + 2 * TICK, "{call}: {taken:?}, cancelled after {cancel:?}");
        }
    }
}
