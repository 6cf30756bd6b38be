//! Carrying a schedule out: never later than published where nothing is uncertain, the same at any
//! number of threads, and each kind of trouble does what it says.

use elbowroom_problem::{
    Availability, Cell, CellIdx, CellWork, Crew, CrewIdx, HeadCount, Job, JobIdx, Objective, Operation,
    OptionIdx, Parts, Place, Placement, Problem, Route, Schedule, Tool, ToolIdx, Window, Work,
};
use elbowroom_rehearsal::{
    Breakdown, Delay, Outcome, Scrap, Settings, Spread, Turns, Uncertainty, WorkChance, rehearse,
    rehearse_while,
};
use elbowroom_tests::chance::Chance;
use elbowroom_tests::serial_builder::build;
use elbowroom_tests::small_shop::small_shop;
use elbowroom_tests::spoil::spoil;
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};
use elbowroom_verify::{VerifiedSchedule, verify};

fn settings(runs: u32) -> Settings {
    Settings { runs, seed: 5, turns: Turns::Kept, threads: 2, marks: vec![Minute::new(500)] }
}

/// A valid schedule of a random small shop, as built or changed without breaking a rule.
fn some_schedule(seed: u64) -> Option<(Problem, VerifiedSchedule)> {
    let problem = small_shop(seed % 800);
    let mut chance = Chance::new(seed);
    let schedule = build(&problem, &mut chance)?;
    if chance.yes(0.5) {
        let spoiled = spoil(&problem, &schedule, &mut chance);
        if let Ok(verified) = verify(&spoiled.problem, spoiled.schedule) {
            return Some((spoiled.problem, verified));
        }
    }
    let verified = verify(&problem, schedule).expect("the builder keeps every rule");
    Some((problem, verified))
}

/// Turns kept to the letter, lost at once, lost after an hour.
const TURNS: [Turns; 3] = [Turns::Kept, Turns::LostAfter(Minutes::ZERO), Turns::LostAfter(Minutes::new(60))];

#[test]
fn without_uncertainty_nothing_ends_later_than_published() {
    TURNS.into_iter().for_each(nothing_ends_later_than_published);
}

fn nothing_ends_later_than_published(turns: Turns) {
    let (mut schedules, mut earlier) = (0, 0);
    for seed in 0..2500 {
        let Some((problem, schedule)) = some_schedule(seed) else { continue };
        let none = Uncertainty::none(&problem, schedule.schedule());
        let outcome = rehearse(&problem, &schedule, &none, &Settings { turns, ..settings(1) });
        for (job, completion) in schedule.figures().completions.iter().enumerate() {
            let (published, finish) = (completion.expect("it is complete"), outcome.jobs[job].quantile(1.0));
            assert!(
                finish <= published,
                "seed {seed}, job `{}`: {finish} after {published}",
                problem.jobs[job].id
            );
            earlier += usize::from(finish < published);
        }
        assert!(outcome.cells.iter().all(|cell| cell.missed == 0.0), "seed {seed}");
        schedules += 1;
    }
    assert!(schedules > 600 && earlier > 600, "{schedules} schedules, {earlier} jobs earlier");
}

/// Everything uncertain at once.
fn trouble(problem: &Problem, schedule: &Schedule) -> Uncertainty {
    let scrap = Some(Scrap { pieces: 50, spare: 2, share: 0.05 });
    let work = WorkChance { setup: Spread::lognormal(0.4), run: Spread::lognormal(0.3), scrap };
    let delay = Delay { probability: 0.3, mean: Minutes::new(120) };
    let breakdown = Breakdown { between: Minutes::new(400), repair: Minutes::new(60), repair_cv: 1.0 };
    Uncertainty {
        work: vec![work; schedule.operations.len()],
        releases: vec![delay; problem.jobs.len()],
        follows: vec![None; problem.jobs.len()],
        tools: vec![delay; problem.tools.len()],
        cells: vec![Some(breakdown); problem.cells.len()],
    }
}

#[test]
fn the_outcome_depends_on_seed_and_runs_and_not_on_threads() {
    for seed in [3, 17, 99, 1200] {
        let Some((problem, schedule)) = some_schedule(seed) else { continue };
        let trouble = trouble(&problem, schedule.schedule());
        let with = |threads, seed| {
            let settings = Settings { threads, seed, turns: TURNS[2], ..settings(101) };
            rehearse(&problem, &schedule, &trouble, &settings)
        };
        let one = with(1, 5);
        for threads in [2, 3, 7, 200] {
            assert_eq!(one, with(threads, 5), "seed {seed}, {threads} threads");
        }
        assert_ne!(one.jobs, with(1, 6).jobs, "seed {seed}: another seed is other luck");
    }
}

#[test]
fn a_rehearsal_that_is_stopped_says_how_often_it_was_done() {
    let (problem, schedule) =
        some_schedule(3).or_else(|| some_schedule(4)).expect("one of them has a schedule");
    let trouble = trouble(&problem, schedule.schedule());
    let stopped = rehearse_while(&problem, &schedule, &trouble, &settings(10_000), &|| false);
    assert!((1..200).contains(&stopped.runs), "{} runs", stopped.runs);
    assert!(stopped.jobs.iter().all(|finishes| finishes.sorted().len() == stopped.runs as usize));
}

#[test]
fn trouble_ends_every_run_and_makes_most_of_them_later() {
    TURNS.into_iter().for_each(trouble_makes_later);
}

fn trouble_makes_later(turns: Turns) {
    let (mut later, mut sooner) = (0, 0);
    for seed in 0..400 {
        let Some((problem, schedule)) = some_schedule(seed) else { continue };
        let calm = Uncertainty::none(&problem, schedule.schedule());
        let calm = rehearse(&problem, &schedule, &calm, &settings(1));
        let trouble = trouble(&problem, schedule.schedule());
        let outcome = rehearse(&problem, &schedule, &trouble, &Settings { turns, ..settings(40) });
        for (calm, troubled) in calm.jobs.iter().zip(&outcome.jobs) {
            if troubled.mean() > calm.mean() { later += 1 } else { sooner += 1 }
        }
    }
    assert!(later > 10 * sooner, "{later} later, {sooner} not");
}

/// A cell that is open from minute 0 to 480 of each of 28 days.
fn day_cell(id: &str) -> Cell {
    let day = |day: i64| Window { start: Minute::new(day * 1440), end: Minute::new(day * 1440 + 480) };
    Cell {
        id: id.to_owned(),
        windows: (0..28).map(day).collect(),
        run_rate: RatePerMinute::ZERO,
        setup_rate: RatePerMinute::ZERO,
        initial_setup: None,
        changeover: None,
    }
}

fn on(cell: usize, run: i64, tools: &[usize], run_crew: Option<usize>) -> Work {
    let place = CellWork {
        cell: CellIdx::new(cell),
        setup_key: "k".to_owned(),
        tools: tools.iter().copied().map(ToolIdx::new).collect(),
        setup_crew: None,
        run_crew: run_crew.map(CrewIdx::new),
    };
    Work { place: Place::Cell(place), run: Minutes::new(run), cost: Money::ZERO }
}

/// A job of one route, its operations without choice.
fn job(id: &str, release: i64, works: Vec<Work>) -> Job {
    let operation = |(at, work): (usize, Work)| Operation {
        id: format!("o{at}"),
        lag_after: Minutes::ZERO,
        options: vec![work],
    };
    let operations = works.into_iter().enumerate().map(operation).collect();
    Job {
        id: id.to_owned(),
        release: Minute::new(release),
        due: Minute::new(0),
        late_cost_per_day: Money::ZERO,
        routes: vec![Route { id: "r".to_owned(), cost: Money::ZERO, operations }],
    }
}

struct Bench {
    problem: Problem,
    schedule: VerifiedSchedule,
}

impl Bench {
    /// `times`: job, operation, run start and end.
    fn new(
        cells: usize,
        tools: Vec<Tool>,
        crews: Vec<Crew>,
        jobs: Vec<Job>,
        times: &[(usize, usize, i64, i64)],
    ) -> Self {
        let problem = Problem::new(Parts {
            name: "bench".to_owned(),
            objective: Objective::Cost,
            horizon: Minute::new(28 * 1440),
            cells: (0..cells).map(|at| day_cell(&format!("c{at}"))).collect(),
            tools,
            crews,
            jobs,
            pinned: Vec::new(),
            committed_purchases: Vec::new(),
        })
        .expect("the parts fit");
        let place = |&(job, operation, run_start, end): &(usize, usize, i64, i64)| Placement {
            option: OptionIdx { job: JobIdx::new(job), route: 0, operation, option: 0 },
            setup_start: Minute::new(run_start),
            run_start: Minute::new(run_start),
            end: Minute::new(end),
        };
        let operations = times.iter().map(place).collect();
        let schedule = verify(&problem, Schedule { operations, ..Schedule::default() })
            .unwrap_or_else(|rejected| panic!("{rejected}"));
        Self { problem, schedule }
    }

    fn carried_out(&self, runs: u32, enter: impl Fn(&mut Uncertainty)) -> Outcome {
        self.with_turns(Turns::Kept, runs, enter)
    }

    fn with_turns(&self, turns: Turns, runs: u32, enter: impl Fn(&mut Uncertainty)) -> Outcome {
        let mut uncertainty = Uncertainty::none(&self.problem, self.schedule.schedule());
        enter(&mut uncertainty);
        rehearse(&self.problem, &self.schedule, &uncertainty, &Settings { turns, ..settings(runs) })
    }
}

fn always(minutes: i64) -> Spread {
    Spread { mean: minutes as f64 / 100.0, ..Spread::NONE }
}

#[test]
fn the_order_on_a_cell_is_kept_even_if_the_first_is_late() {
    let jobs = vec![job("A", 60, vec![on(0, 100, &[], None)]), job("B", 0, vec![on(0, 100, &[], None)])];
    let bench = Bench::new(1, vec![], vec![], jobs, &[(0, 0, 60, 160), (1, 0, 160, 260)]);
    let outcome = bench.carried_out(200, |u| {
        u.releases[0] = Delay { probability: 1.0, mean: Minutes::new(30) };
    });
    for (a, b) in outcome.jobs[0].sorted().iter().zip(outcome.jobs[1].sorted()) {
        assert_eq!((*b - *a).count(), 100, "B follows A at once and never goes before it");
    }
    assert!(outcome.jobs[0].mean() > 185.0, "A came late");
}

/// A is late by the minutes given; B and C, behind it on the cell, are there.
fn behind_a_late_lot(late: i64, turns: Turns) -> [Minute; 3] {
    let lot = |id: &str, release| job(id, release, vec![on(0, 100, &[], None)]);
    let jobs = vec![lot("A", 0), lot("B", 0), lot("C", 0)];
    let bench = Bench::new(1, vec![], vec![], jobs, &[(0, 0, 0, 100), (1, 0, 100, 200), (2, 0, 200, 300)]);
    // A job before A, of one minute, takes as many times as long as A is to be late.
    let mut parts = bench.problem.clone().into_parts();
    parts.jobs.push(job(
        "Before",
        0,
        vec![Work { place: Place::Outside, run: Minutes::new(1), cost: Money::ZERO }],
    ));
    let problem = Problem::new(parts).expect("the parts fit");
    let mut schedule = bench.schedule.schedule().clone();
    let option = OptionIdx { job: JobIdx::new(3), route: 0, operation: 0, option: 0 };
    let [start, end] = [0, 1].map(Minute::new);
    schedule.operations.push(Placement { option, setup_start: start, run_start: start, end });
    let schedule = verify(&problem, schedule).unwrap_or_else(|rejected| panic!("{rejected}"));
    let mut uncertainty = Uncertainty::none(&problem, schedule.schedule());
    uncertainty.follows[0] = Some(JobIdx::new(3));
    uncertainty.work[3].run = Spread { mean: late as f64, ..Spread::NONE };
    let outcome = rehearse(&problem, &schedule, &uncertainty, &Settings { turns, ..settings(1) });
    [0, 1, 2].map(|job| outcome.jobs[job].quantile(1.0))
}

#[test]
fn a_lot_that_is_late_loses_its_turn_after_a_while() {
    let ends = |minutes: [i64; 3]| minutes.map(Minute::new);
    assert_eq!(behind_a_late_lot(150, Turns::Kept), ends([250, 350, 450]), "the cell waits for A");
    let after = |minutes| Turns::LostAfter(Minutes::new(minutes));
    assert_eq!(behind_a_late_lot(150, after(60)), ends([261, 161, 361]), "B goes first, then A has its turn");
    assert_eq!(behind_a_late_lot(50, after(60)), ends([150, 250, 350]), "A comes before its turn is lost");
    assert_eq!(behind_a_late_lot(500, after(60)), ends([1540, 161, 322]), "each turn is waited for anew");
}

#[test]
fn a_run_that_takes_longer_goes_on_when_the_cell_opens_again() {
    let jobs = vec![job("A", 0, vec![on(0, 480, &[], None)])];
    let bench = Bench::new(1, vec![], vec![], jobs, &[(0, 0, 0, 480)]);
    let outcome = bench.carried_out(1, |u| u.work[0].run = always(125));
    assert_eq!(outcome.jobs[0].quantile(1.0), Minute::new(1440 + 120));
    assert_eq!(outcome.cells[0].missed, 1.0, "the cell was to be done by minute 500");
}

#[test]
fn a_late_tool_holds_its_user_and_its_next_user_up() {
    let tool = Tool { id: "die".to_owned(), count: 1, availability: Availability::From(Minute::new(100)) };
    let jobs = vec![job("A", 0, vec![on(0, 100, &[0], None)]), job("B", 0, vec![on(1, 100, &[0], None)])];
    let bench = Bench::new(2, vec![tool], vec![], jobs, &[(0, 0, 100, 200), (1, 0, 200, 300)]);
    let outcome = bench.carried_out(300, |u| u.tools[0] = Delay { probability: 1.0, mean: Minutes::new(50) });
    let lateness = outcome.jobs[0].mean() - 200.0;
    assert!((40.0..80.0).contains(&lateness), "exponential with mean 50, nights aside: {lateness}");
    for (a, b) in outcome.jobs[0].sorted().iter().zip(outcome.jobs[1].sorted()) {
        assert!(*b >= *a + Minutes::new(100), "B has the die after A");
    }
}

fn crew(heads: u32) -> Crew {
    let day = |day: i64| HeadCount {
        window: Window { start: Minute::new(day * 1440), end: Minute::new(day * 1440 + 480) },
        heads,
    };
    Crew { id: "w".to_owned(), capacity: (0..28).map(day).collect() }
}

/// Two cells, one welder: A is to be served first, then B.
fn one_welder() -> Bench {
    let jobs = vec![job("A", 0, vec![on(0, 100, &[], Some(0))]), job("B", 0, vec![on(1, 100, &[], Some(0))])];
    Bench::new(2, vec![], vec![crew(1)], jobs, &[(0, 0, 0, 100), (1, 0, 100, 200)])
}

#[test]
fn a_job_that_goes_on_from_another_begins_when_that_has_ended() {
    let jobs = vec![job("A", 0, vec![on(0, 100, &[], None)]), job("B", 115, vec![on(1, 100, &[], None)])];
    let bench = Bench::new(2, vec![], vec![], jobs, &[(0, 0, 0, 100), (1, 0, 115, 215)]);
    let outcome = bench.carried_out(1, |u| {
        u.follows[1] = Some(JobIdx::new(0));
        u.work[0].run = always(130);
    });
    assert_eq!(outcome.jobs[1].quantile(1.0), Minute::new(130 + 15 + 100));
}

#[test]
fn a_crew_of_one_serves_one_after_the_other() {
    let outcome = one_welder().carried_out(1, |u| u.work[0].run = always(150));
    assert_eq!(outcome.jobs[0].quantile(1.0), Minute::new(150));
    assert_eq!(outcome.jobs[1].quantile(1.0), Minute::new(250));
}

#[test]
fn who_is_not_ready_at_his_time_loses_his_turn_at_the_crew() {
    let outcome = one_welder()
        .carried_out(200, |u| u.releases[0] = Delay { probability: 1.0, mean: Minutes::new(5000) });
    let together = outcome.together(&[JobIdx::new(0), JobIdx::new(1)]);
    assert_eq!(together.quantile(1.0), outcome.jobs[0].quantile(1.0).max(outcome.jobs[1].quantile(1.0)));
    let waited = outcome.jobs[1].quantile(0.9) - Minute::new(200);
    assert!(waited <= Minutes::ZERO, "B is served as soon as A has let its time pass, not {waited} later");
}

#[test]
fn breakdowns_add_their_share_of_the_running_time() {
    let jobs = vec![job("A", 0, vec![on(0, 4800, &[], None)])];
    let bench = Bench::new(1, vec![], vec![], jobs, &[(0, 0, 0, 9 * 1440 + 480)]);
    let open = |finish: &Minute| finish.get() / 1440 * 480 + (finish.get() % 1440).min(480);
    let breakdown = Breakdown { between: Minutes::new(400), repair: Minutes::new(60), repair_cv: 0.8 };
    let outcome = bench.carried_out(4000, |u| u.cells[0] = Some(breakdown));
    let worked: Vec<f64> = outcome.jobs[0].sorted().iter().map(|finish| open(finish) as f64).collect();
    let mean = worked.iter().sum::<f64>() / worked.len() as f64;
    // 12 failures on average, each 60 min: compound Poisson, mean 720 (mathematics).
    assert!((mean - 4800.0 - 720.0).abs() < 15.0, "{mean}");
}

#[test]
fn scrap_beyond_the_spare_pieces_is_made_again() {
    let jobs = vec![job("A", 0, vec![on(0, 100, &[], None)])];
    let bench = Bench::new(1, vec![], vec![], jobs, &[(0, 0, 0, 100)]);
    let with = |spare| {
        let scrap = Some(Scrap { pieces: 100, spare, share: 0.1 });
        bench.carried_out(4000, |u| u.work[0] = WorkChance { scrap, ..WorkChance::NONE })
    };
    // Each piece has to be made 1 / (1 - 0.1) times on average (mathematics).
    let mean = with(0).jobs[0].mean();
    assert!((mean - 100.0 / 0.9).abs() < 0.5, "{mean}");
    assert_eq!(with(100).jobs[0].quantile(1.0), Minute::new(100), "enough spare pieces");
}
