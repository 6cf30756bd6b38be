//! How soon a solve ends when somebody asks it to stop, and how exactly it keeps its time.

use elbowroom_contract::read_problem;
use elbowroom_engine::{Settings, Watch, solve};
use elbowroom_problem::Problem;
use elbowroom_tests::referee::make_shop;
use elbowroom_tests::watches::WallClock;
use std::time::{Duration, Instant};

/// Jobs and weeks.
const SIZES: [(u32, u32); 3] = [(40, 3), (600, 8), (5000, 30)];
/// Stopped after so many seconds of a solve of [`WHOLE`]: reading, dispatching, search, bound.
const STOPS: [f64; 8] = [0.0, 0.05, 0.2, 0.5, 1.0, 2.0, 4.0, 7.0];
const WHOLE: f64 = 10.0;
/// Solves of so many seconds.
const LIMITS: [f64; 5] = [0.1, 0.5, 1.0, 2.0, 10.0];

/// Prints the page, each row as it comes.
pub fn run() {
    println!(
        "Milliseconds between the wish to stop and the answer, and over the time given; 2 threads, seed 1.\n"
    );
    let stops: String = STOPS.iter().map(|seconds| format!(" stopped after {seconds} s |")).collect();
    let limits: String = LIMITS.iter().map(|seconds| format!(" {seconds} s given |")).collect();
    println!("| jobs |{stops}{limits}\n|---|{}", "---|".repeat(STOPS.len() + LIMITS.len()));
    for (jobs, weeks) in SIZES {
        let text = make_shop(&["--jobs", &jobs.to_string(), "--weeks", &weeks.to_string(), "--seed", "900"]);
        let problem = read_problem(text.as_bytes()).expect("the generator makes valid problems");
        print!("| {jobs} |");
        for seconds in STOPS {
            print!(" {} |", stopped(&problem, Duration::from_secs_f64(seconds)));
        }
        for seconds in LIMITS {
            print!(" {} |", limited(&problem, Duration::from_secs_f64(seconds)));
        }
        println!();
    }
}

const SETTINGS: Settings = Settings { threads: 2, seed: 1, iterations: None };

/// Milliseconds from the wish to the answer; "(none)" where there was no schedule yet.
fn stopped(problem: &Problem, after: Duration) -> String {
    let clock = WallClock::new(Duration::from_secs_f64(WHOLE));
    std::thread::scope(|scope| {
        let solving = scope.spawn(|| {
            let answer = solve(problem, &SETTINGS, &clock);
            (Instant::now(), answer.is_ok())
        });
        std::thread::sleep(after);
        let wish = Instant::now();
        clock.stop();
        let (end, is_solved) = solving.join().expect("a solve does not panic");
        said(end.saturating_duration_since(wish).as_secs_f64(), is_solved)
    })
}

fn limited(problem: &Problem, limit: Duration) -> String {
    let clock = WallClock::new(limit);
    let answer = solve(problem, &SETTINGS, &clock);
    said(clock.elapsed().as_secs_f64() - limit.as_secs_f64(), answer.is_ok())
}

fn said(seconds: f64, is_solved: bool) -> String {
    format!("{:.0}{}", seconds * 1e3, if is_solved { "" } else { " (none)" })
}
