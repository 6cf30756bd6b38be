//! Carrying out against formulas that others have worked out: waiting at a single server
//! (Pollaczek and Khinchine), sums of independent steps, kits, and quantiles.
//!
//! Numbers in front of the cases: rows of the table of published check values.

use elbowroom_problem::{
    Availability, Cell, CellIdx, CellWork, Job, JobIdx, Objective, Operation, OptionIdx, Parts, Place,
    Placement, Problem, Route, Schedule, Tool, ToolIdx, Window, Work,
};
use elbowroom_rehearsal::{Delay, Finishes, Settings, Shape, Spread, Turns, Uncertainty, rehearse};
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};
use elbowroom_verify::{VerifiedSchedule, verify};
use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

const HORIZON: i64 = 1 << 29;

fn job(id: String, release: i64, works: Vec<Work>) -> Job {
    let operation = |(at, work): (usize, Work)| Operation {
        id: format!("o{at}"),
        lag_after: Minutes::ZERO,
        options: vec![work],
    };
    let operations = works.into_iter().enumerate().map(operation).collect();
    Job {
        id,
        release: Minute::new(release),
        due: Minute::new(0),
        late_cost_per_day: Money::ZERO,
        routes: vec![Route { id: "r".to_owned(), cost: Money::ZERO, operations }],
    }
}

/// One cell that is always open; every operation begins as soon as it can, the jobs in their order.
fn always_open(tools: Vec<Tool>, jobs: Vec<Job>) -> (Problem, VerifiedSchedule) {
    let window = Window { start: Minute::new(0), end: Minute::new(HORIZON) };
    let cell = Cell {
        id: "server".to_owned(),
        windows: vec![window],
        run_rate: RatePerMinute::ZERO,
        setup_rate: RatePerMinute::ZERO,
        initial_setup: None,
        changeover: None,
    };
    let problem = Problem::new(Parts {
        name: "one cell".to_owned(),
        objective: Objective::Cost,
        horizon: Minute::new(HORIZON),
        cells: vec![cell],
        tools,
        crews: vec![],
        jobs,
        pinned: vec![],
        committed_purchases: vec![],
    })
    .expect("the parts fit");
    let schedule = Schedule { operations: in_order(&problem), ..Schedule::default() };
    let schedule = verify(&problem, schedule).unwrap_or_else(|rejected| panic!("{rejected}"));
    (problem, schedule)
}

fn in_order(problem: &Problem) -> Vec<Placement> {
    let (mut placed, mut free) = (Vec::new(), Minute::new(0));
    for (at, job) in problem.jobs.iter().enumerate() {
        let mut ready = job.release;
        for (operation, step) in job.routes[0].operations.iter().enumerate() {
            let work = &step.options[0];
            let start = if work.on_cell().is_some() { ready.max(free) } else { ready };
            ready = start + work.run;
            free = if work.on_cell().is_some() { ready } else { free };
            let option = OptionIdx { job: JobIdx::new(at), route: 0, operation, option: 0 };
            placed.push(Placement { option, setup_start: start, run_start: start, end: ready });
        }
    }
    placed
}

fn on_cell(run: i64, tools: usize) -> Work {
    let place = CellWork {
        cell: CellIdx::new(0),
        setup_key: "k".to_owned(),
        tools: (0..tools).map(ToolIdx::new).collect(),
        setup_crew: None,
        run_crew: None,
    };
    Work { place: Place::Cell(place), run: Minutes::new(run), cost: Money::ZERO }
}

/// Service in minutes, so long that whole minutes do not matter.
const SERVICE: i64 = 10_000;
const CUSTOMERS: usize = 6000;
/// The queue is empty at first; those who come then are not counted.
const FIRST: usize = 1500;

/// Mean wait in multiples of the service time in one long day of a single server: Poisson arrivals,
/// gamma service with this squared coefficient of variation.
fn mean_wait(seed: u64, load: f64, squared: f64) -> f64 {
    let mut dice = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut clock = 0.0;
    let arrive = |number: usize| {
        clock -= (1.0 - dice.random::<f64>()).ln() * SERVICE as f64 / load;
        job(format!("J{number}"), clock as i64, vec![on_cell(SERVICE, 0)])
    };
    let (problem, schedule) = always_open(vec![], (0..CUSTOMERS).map(arrive).collect());
    let mut uncertainty = Uncertainty::none(&problem, schedule.schedule());
    let run = Spread { shape: Shape::Gamma, mean: 1.0, cv: squared.sqrt() };
    uncertainty.work.iter_mut().for_each(|work| work.run = run);
    let settings = Settings { runs: 2, seed, threads: 2, turns: Turns::Kept, marks: vec![] };
    let outcome = rehearse(&problem, &schedule, &uncertainty, &settings);
    let stays = problem.jobs.iter().zip(&outcome.jobs).skip(FIRST);
    let total: f64 = stays.map(|(job, finish)| finish.mean() - job.release.get() as f64).sum();
    total / (CUSTOMERS - FIRST) as f64 / SERVICE as f64 - 1.0
}

/// Mean and standard error of independent values.
fn mean_and_error(values: &[f64]) -> (f64, f64) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    (mean, (squares / (count - 1.0) / count).sqrt())
}

#[test]
fn waiting_at_a_single_cell_is_that_of_pollaczek_and_khinchine() {
    // Wq = rho tau (1 + c2) / (2 (1 - rho)) (F-71); expected values in service times.
    let cases = [
        ("F-72: exponential service, 1.6 h of 0.4 h", 0.8, 1.0, 1.6 / 0.4),
        ("F-73: constant service, 0.8 h of 0.4 h", 0.8, 0.0, 0.8 / 0.4),
        ("F-74: variable service, 2.6 h of 0.4 h", 0.8, 2.25, 2.6 / 0.4),
        ("F-75: load 0.25, 20 min of 60", 0.25, 1.0, 20.0 / 60.0),
        ("F-75: load 0.5, 60 min of 60", 0.5, 1.0, 1.0),
        ("F-75: load 0.7, 140 min of 60", 0.7, 1.0, 140.0 / 60.0),
        ("F-76: Kingman with Poisson arrivals, 141.666667 min of 40", 0.85, 0.25, 141.666_667 / 40.0),
    ];
    for (case, load, squared, expected) in cases {
        let waits: Vec<f64> = (0..24).map(|day| mean_wait(9000 + day, load, squared)).collect();
        let (mean, error) = mean_and_error(&waits);
        assert!(error < 0.05 * expected, "{case}: the interval is too wide to say anything: {error}");
        // 3.5 standard errors: a right program fails once in some 500 cases, and the seeds are fixed.
        assert!(
            (mean - expected).abs() < 3.5 * error,
            "{case}: {mean:.4} +- {error:.4}, expected {expected:.4}"
        );
    }
}

fn outside(minutes: i64) -> Work {
    Work { place: Place::Outside, run: Minutes::new(minutes), cost: Money::ZERO }
}

/// The finishes of one job of outside steps, each with its mean and standard deviation in minutes.
fn finishes(shape: Shape, steps: &[(i64, i64)], runs: u32) -> Finishes {
    let works = steps.iter().map(|(mean, _)| outside(*mean)).collect();
    let (problem, schedule) = always_open(vec![], vec![job("J".to_owned(), 0, works)]);
    let mut uncertainty = Uncertainty::none(&problem, schedule.schedule());
    for (work, (mean, deviation)) in uncertainty.work.iter_mut().zip(steps) {
        work.run = Spread { shape, mean: 1.0, cv: *deviation as f64 / *mean as f64 };
    }
    let settings = Settings { runs, seed: 3, threads: 2, turns: Turns::Kept, marks: vec![] };
    rehearse(&problem, &schedule, &uncertainty, &settings).jobs.remove(0)
}

#[test]
fn independent_steps_add_up_in_mean_and_variance() {
    // F-67: means 12, 8, 20 and standard deviations 3, 2, 4 make mean 40 and sqrt(29) = 5.385165.
    for shape in [Shape::Lognormal, Shape::Gamma] {
        let steps = [(12_000, 3_000), (8_000, 2_000), (20_000, 4_000)];
        let finishes = finishes(shape, &steps, 40_000);
        let values: Vec<f64> = finishes.sorted().iter().map(|finish| finish.get() as f64 / 1000.0).collect();
        let (mean, error) = mean_and_error(&values);
        let deviation = error * (values.len() as f64).sqrt();
        assert!((mean - 40.0).abs() < 3.5 * error, "{shape:?}: mean {mean}");
        assert!((deviation - 5.385_165).abs() < 0.1, "{shape:?}: standard deviation {deviation}");
    }
}

#[test]
fn a_date_promised_at_a_share_is_the_quantile() {
    // F-66: normal quantiles 0.8416212, 1.2815516, 1.6448536. A lognormal time of mean m and
    // coefficient of variation c has the quantile exp(mu + z s), s2 = ln(1 + c2), mu = ln m - s2 / 2
    // (mathematics).
    let finishes = finishes(Shape::Lognormal, &[(100_000, 30_000)], 100_000);
    let variance = (1.0_f64 + 0.09).ln();
    let (location, scale) = (100_000_f64.ln() - variance / 2.0, variance.sqrt());
    for (share, normal) in [(0.5, 0.0), (0.8, 0.841_621_2), (0.9, 1.281_551_6), (0.95, 1.644_853_6)] {
        let (found, expected) = (finishes.quantile(share).get() as f64, (location + scale * normal).exp());
        assert!((found / expected - 1.0).abs() < 0.006, "{share}: {found} against {expected}");
    }
}

#[test]
fn a_kit_of_three_is_there_as_often_as_all_of_its_parts() {
    // F-68: three parts, each on time with 0.9, independent: 0.729.
    let from = Availability::From(Minute::new(100));
    let tool = |at: usize| Tool { id: format!("t{at}"), count: 1, availability: from };
    let jobs = vec![job("J".to_owned(), 100, vec![on_cell(50, 3)])];
    let (problem, schedule) = always_open((0..3).map(tool).collect(), jobs);
    let mut uncertainty = Uncertainty::none(&problem, schedule.schedule());
    uncertainty.tools = vec![Delay { probability: 0.1, mean: Minutes::new(100_000) }; 3];
    let settings = Settings { runs: 40_000, seed: 8, threads: 2, turns: Turns::Kept, marks: vec![] };
    let outcome = rehearse(&problem, &schedule, &uncertainty, &settings);
    let on_time = outcome.jobs[0].share_by(Minute::new(150));
    // Standard error sqrt(0.729 0.271 / 40000) = 0.0022.
    assert!((on_time - 0.729).abs() < 0.008, "{on_time}");
}
