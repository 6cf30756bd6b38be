//! Shops of growing size: seconds to the first valid schedule, memory, and how fast the search is.

use elbowroom_contract::read_problem;
use elbowroom_engine::{Progress, Settings, Watch, solve};
use elbowroom_tests::referee::make_shop;
use elbowroom_verify::verify;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Jobs and weeks.
const SIZES: [(u32, u32); 8] =
    [(15, 2), (40, 3), (80, 4), (150, 5), (300, 6), (600, 8), (1500, 12), (5000, 30)];

struct Clock {
    started: Instant,
    limit: Duration,
    first: Mutex<Option<Duration>>,
}

impl Watch for Clock {
    fn elapsed(&self) -> Duration {
        self.started.elapsed()
    }

    fn limit(&self) -> Duration {
        self.limit
    }

    fn cancelled(&self) -> bool {
        false
    }

    fn progress(&self, _: &Progress) {
        if let Ok(mut first) = self.first.lock() {
            first.get_or_insert(self.started.elapsed());
        }
    }
}

/// Prints the page.
pub fn run() {
    println!(
        "| jobs | operations | first valid schedule, s | evaluations a second and thread | cost after 10 s |"
    );
    println!("|---|---|---|---|---|");
    for (jobs, weeks) in SIZES {
        let text = make_shop(&["--jobs", &jobs.to_string(), "--weeks", &weeks.to_string(), "--seed", "900"]);
        let problem = read_problem(text.as_bytes()).expect("the generator makes valid problems");
        let clock =
            Clock { started: Instant::now(), limit: Duration::from_secs(10), first: Mutex::new(None) };
        let settings = Settings { threads: 2, seed: 1, iterations: None };
        let answer = solve(&problem, &settings, &clock).expect("a schedule exists");
        let figures = answer.figures;
        let verified = verify(&problem, answer.schedule).expect("the schedule is valid");
        println!(
            "| {jobs} | {} | {:.3} | {:.0} | {:.2} |",
            verified.schedule().operations.len(),
            figures.first_seconds,
            figures.evaluations as f64 / 2.0 / 10.0,
            verified.figures().objective,
        );
    }
}
