//! A solve ends when its time is up or when somebody asks it to stop, whatever it is doing.
//!
//! Time is the processor time of this process, shared out among the solve's threads: on a machine
//! with nothing else to do that is the time on the wall, and on a busy one the test means the same.

use elbowroom_contract::read_problem;
use elbowroom_engine::{Failure, Progress, Settings, Watch, solve};
use elbowroom_problem::Problem;
use elbowroom_tests::referee::make_shop;
use elbowroom_verify::verify;
use std::sync::Mutex;
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
    seen: Mutex<Vec<Progress>>,
}

impl Clock {
    fn new(limit: Duration, cancel: Duration) -> Self {
        Self { begun: processor_time(), limit, cancel, seen: Mutex::default() }
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

    fn progress(&self, progress: &Progress) {
        self.seen.lock().expect("nobody panics with the lock").push(*progress);
    }
}

/// How long the solve takes; its answer must be valid, and what it told on the way consistent.
fn time(problem: &Problem, limit: Duration, cancel: Duration) -> Duration {
    let clock = Clock::new(limit, cancel);
    let settings = Settings { threads: THREADS, seed: 3, iterations: None };
    let answer = solve(problem, &settings, &clock);
    let taken = clock.elapsed();
    match answer {
        Ok(answer) => {
            let objective = answer.schedule.objective;
            verify(problem, answer.schedule).expect("the schedule is valid");
            told(&clock.seen.lock().expect("nobody panics with the lock"), objective);
        }
        // A large shop need not have a schedule after a moment.
        Err(Failure::NoneFound { .. }) if problem.jobs.len() > 500 => {}
        Err(failure) => panic!("a schedule exists: {failure:?}"),
    }
    taken
}

/// Best values only fall, bounds only rise and stay below them, and the answer is the last best or better.
fn told(events: &[Progress], objective: f64) {
    for pair in events.windows(2) {
        assert!(pair[1].best <= pair[0].best, "{pair:?}");
        assert!(pair[1].evaluations >= pair[0].evaluations, "{pair:?}");
        if let (Some(before), Some(after)) = (pair[0].bound, pair[1].bound) {
            assert!(after >= before, "{pair:?}");
        }
    }
    for event in events {
        assert!(event.bound.is_none_or(|bound| bound <= objective * (1.0 + 1e-9)), "{event:?}, {objective}");
        assert!(objective <= event.best * (1.0 + 1e-9), "{event:?}, {objective}");
    }
}

/// Debug builds decode the whole list after every kept change, which a large shop shows.
const IS_DEBUG: bool = cfg!(debug_assertions);

/// How a shop is made, times given in milliseconds, and moments at which it is stopped.
const CASES: [(&str, &[u64], &[u64]); 4] = [
    // The dispatching, the search and the bound, each interrupted.
    ("--jobs 15 --weeks 2 --seed 31", &[300, 900], &[200, 1300]),
    ("--jobs 120 --weeks 5 --seed 33", &[300, 900], &[200, 1300]),
    ("--jobs 600 --weeks 8 --seed 34", &[1000, 2000], &[150, 1300]),
    ("--jobs 5000 --weeks 30 --seed 35", &[1000, 2000], &[50, 400, 1300]),
];

// One test: processor time is that of the whole process.
#[test]
fn never_late_and_soon_cancelled() {
    let never = Duration::from_secs(3600);
    let some = if IS_DEBUG { 3 } else { CASES.len() };
    for (call, limits, stops) in &CASES[..some] {
        let words: Vec<&str> = call.split(' ').collect();
        let problem = read_problem(make_shop(&words).as_bytes()).expect("the generator makes valid problems");
        let tick = TICK * if IS_DEBUG && problem.jobs.len() > 500 { 10 } else { 1 };
        for limit in limits.iter().copied().map(Duration::from_millis) {
            let taken = time(&problem, limit, never);
            assert!(taken <= limit + LATE + tick, "{call}: {taken:?} of {limit:?}");
        }
        for cancel in stops.iter().copied().map(Duration::from_millis) {
            let taken = time(&problem, Duration::from_millis(1500), cancel);
            assert!(taken <= cancel + SOON + 2 * tick, "{call}: {taken:?}, cancelled after {cancel:?}");
        }
    }
}
