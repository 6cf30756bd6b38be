//! The reason why an order is late, on schedules made by hand, one for each cause.
//!
//! Cells are open from 06:00 to 14:00 (minutes 360 to 840 of each day) unless a test says
//! otherwise; Monday is 7 December 2026. Every schedule passes the verifier first.

use elbowroom_bending::tooling::ToolKind;
use elbowroom_planner::plan::{Cause, Late};
use elbowroom_planner::{
    Compiled, JobKey, JobRole, Key, ReleaseReason, RouteKey, StepKey, StepKind, ToolKey, read_back,
};
use elbowroom_problem::{
    Availability, Cell, CellIdx, CellWork, Changeover, Crew, CrewIdx, HeadCount, Job, JobIdx, Objective,
    Operation, OptionIdx, Pairs, Parts, Place, Placement, Problem, Route, Schedule, Tool, ToolIdx, Window,
    Work,
};
use elbowroom_shop::calendar::PlanClock;
use elbowroom_shop::cell::WorkKind;
use elbowroom_tests::trial_shop::{cell, date, empty_shop, order};
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};
use elbowroom_verify::{recompute, verify};

const DAY: i64 = 1440;

fn at(minute: i64) -> Minute {
    Minute::new(minute)
}

/// Working days of a cell or crew, Monday to Friday.
fn days(from: i64, to: i64) -> Vec<Window> {
    (0..5).map(|day| Window { start: at(day * DAY + from), end: at(day * DAY + to) }).collect()
}

/// A problem in the making: cells `c-0`, `c-1` with changeovers of 30 minutes.
struct Bench {
    parts: Parts,
    keys: Vec<JobKey>,
    placed: Vec<Placement>,
}

impl Bench {
    fn new() -> Self {
        let one = |id: &str| Cell {
            id: id.to_owned(),
            windows: days(360, 840),
            run_rate: RatePerMinute::per_hour(60.0),
            setup_rate: RatePerMinute::per_hour(60.0),
            initial_setup: None,
            changeover: Some(Changeover {
                default: Minutes::new(30),
                same: Minutes::ZERO,
                pairs: Pairs::default(),
            }),
        };
        let parts = Parts {
            name: "bench".to_owned(),
            objective: Objective::Cost,
            horizon: at(7 * DAY),
            cells: vec![one("c-0"), one("c-1")],
            tools: Vec::new(),
            crews: Vec::new(),
            jobs: Vec::new(),
            pinned: Vec::new(),
            committed_purchases: Vec::new(),
        };
        Self { parts, keys: Vec::new(), placed: Vec::new() }
    }

    fn tool(mut self, id: &str, availability: Availability) -> Self {
        self.parts.tools.push(Tool { id: id.to_owned(), count: 1, availability });
        self
    }

    fn crew(mut self, id: &str, from: i64, to: i64) -> Self {
        let capacity = days(from, to).into_iter().map(|window| HeadCount { window, heads: 1 }).collect();
        self.parts.crews.push(Crew { id: id.to_owned(), capacity });
        self
    }

    /// A job of one step, bending.
    fn job(self, id: &str, (release, due): (i64, i64), work: Work, times: [i64; 3]) -> Self {
        let placed = (0, 0, times);
        self.job_of_routes(id, (release, due), vec![vec![("bend", work)]], &[placed])
    }

    /// A job of several routes of steps; `placed`: route, operation and times of each step that stands.
    fn job_of_routes(
        mut self,
        id: &str,
        (release, due): (i64, i64),
        routes: Vec<Vec<(&str, Work)>>,
        placed: &[(usize, usize, [i64; 3])],
    ) -> Self {
        let job = JobIdx::new(self.parts.jobs.len());
        let reason = if release > 0 { ReleaseReason::Material } else { ReleaseReason::Nothing };
        let step = |(_, work): &(&str, Work)| StepKey {
            kind: StepKind::Bend,
            pieces: 1,
            places: vec![work.on_cell().map_or_else(String::new, |on| format!("c-{}", on.cell.get()))],
        };
        self.keys.push(JobKey {
            order: job.get(),
            role: JobRole::Rest,
            release: reason,
            routes: routes
                .iter()
                .map(|steps| RouteKey { process: None, blank: None, steps: steps.iter().map(step).collect() })
                .collect(),
        });
        let operation = |(id, work): (&str, Work)| Operation {
            id: id.to_owned(),
            lag_after: Minutes::ZERO,
            options: vec![work],
        };
        let route = |(number, steps): (usize, Vec<(&str, Work)>)| Route {
            id: format!("r-{number}"),
            cost: Money::ZERO,
            operations: steps.into_iter().map(operation).collect(),
        };
        self.parts.jobs.push(Job {
            id: id.to_owned(),
            release: at(release),
            due: at(due),
            late_cost_per_day: Money::new(100.0),
            routes: routes.into_iter().enumerate().map(route).collect(),
        });
        for &(route, operation, [setup_start, run_start, end]) in placed {
            let option = OptionIdx { job, route, operation, option: 0 };
            self.placed.push(Placement {
                option,
                setup_start: at(setup_start),
                run_start: at(run_start),
                end: at(end),
            });
        }
        self
    }

    /// Why the last job is late.
    fn why(self) -> Late {
        let mut shop = empty_shop();
        shop.cells = vec![cell("c-0", WorkKind::Cut), cell("c-1", WorkKind::Cut)];
        shop.orders = self.parts.jobs.iter().map(|job| order(&job.id, "P", 1, "2026-12-11")).collect();
        let tool = |tool: &Tool| ToolKey {
            kind: ToolKind::BendDie,
            lead: matches!(tool.availability, Availability::Offer { .. }).then_some(Minutes::days(1)),
            estimated: false,
        };
        let key = Key { jobs: self.keys, tools: self.parts.tools.iter().map(tool).collect() };
        let problem = Problem::new(self.parts).expect("the parts fit together");
        let mut schedule = Schedule { operations: self.placed, ..Schedule::default() };
        schedule.objective = recompute(&problem, &schedule).objective;
        let schedule = verify(&problem, schedule).unwrap_or_else(|rejected| panic!("{rejected}"));
        let clock = PlanClock::new(chrono_tz::Europe::Vienna, date("2026-12-07"));
        let compiled = Compiled { problem, key, clock, left_out: Vec::new(), findings: Vec::new() };
        let plan = read_back(&shop, 1, &compiled, &schedule);
        plan.orders.last().and_then(|order| order.late.clone()).expect("the last order is late")
    }
}

/// Work on a cell, with its own setup key.
fn work(cell: usize, key: &str, run: i64) -> Work {
    let on = CellWork {
        cell: CellIdx::new(cell),
        setup_key: key.to_owned(),
        tools: Vec::new(),
        setup_crew: None,
        run_crew: None,
    };
    Work { place: Place::Cell(on), run: Minutes::new(run), cost: Money::ZERO }
}

fn with(mut work: Work, change: impl Fn(&mut CellWork)) -> Work {
    if let Place::Cell(on) = &mut work.place {
        change(on);
    }
    work
}

fn with_die(work: Work) -> Work {
    with(work, |on| on.tools = vec![ToolIdx::new(0)])
}

fn with_setter(work: Work) -> Work {
    with(work, |on| on.setup_crew = Some(CrewIdx::new(0)))
}

fn with_operator(work: Work) -> Work {
    with(work, |on| on.run_crew = Some(CrewIdx::new(0)))
}

#[track_caller]
fn check(bench: Bench, cause: Cause, waited: i64, text: &str) {
    let late = bench.why();
    assert_eq!((late.cause, late.waited, late.text.as_str()), (cause, Minutes::new(waited), text));
}

#[test]
fn not_enough_days_left() {
    // Overdue since Sunday; alone it would be set up from 06:00 and run from 06:30 to 07:30.
    let bench = Bench::new().job("O-1", (0, -60), work(0, "a", 60), [360, 390, 450]);
    check(
        bench,
        Cause::DaysLeft,
        510,
        "not enough days left: even alone in an empty shop it would be finished Mon 2026-12-07 07:30, \
         8 h 30 min too late",
    );
}

#[test]
fn what_other_work_adds_is_told() {
    let bench = Bench::new().job("O-1", (0, 2000), work(0, "a", 100), [360, 390, 490]).job(
        "O-2",
        (0, 400),
        work(0, "b", 60),
        [490, 520, 580],
    );
    check(
        bench,
        Cause::DaysLeft,
        50,
        "not enough days left: even alone in an empty shop it would be finished Mon 2026-12-07 07:30, \
         50 min too late; other work adds 2 h 10 min",
    );
}

#[test]
fn material() {
    // Set up ahead; the tube comes on Tuesday at 07:00, one hour of work after the due minute.
    let release = DAY + 420;
    let bench = Bench::new().job("O-1", (release, DAY + 430), work(0, "a", 60), [360, release, release + 60]);
    check(
        bench,
        Cause::Material,
        DAY + 30,
        "its tube is in the house only Tue 2026-12-08 07:00; even alone in an empty shop it would be \
         finished Tue 2026-12-08 08:00",
    );
}

#[test]
fn die_on_order() {
    let arrives = 2 * DAY + 420;
    let bench = Bench::new().tool("BD-1", Availability::From(at(arrives))).job(
        "O-1",
        (0, 900),
        with_die(work(0, "a", 60)),
        [arrives, arrives + 30, arrives + 90],
    );
    check(
        bench,
        Cause::DieArrival,
        2 * DAY + 60,
        "bend die BD-1 arrives only Wed 2026-12-09 07:00; even alone in an empty shop it would be \
         finished Wed 2026-12-09 08:30",
    );
}

#[test]
fn die_in_use() {
    // O-1 holds the die on c-0 until Tuesday 07:50: 450 min on Monday, 110 on Tuesday.
    let bench = Bench::new()
        .tool("BD-1", Availability::From(at(0)))
        .job("O-1", (0, 9000), with_die(work(0, "a", 560)), [360, 390, DAY + 470])
        .job("O-2", (0, 900), with_die(work(1, "b", 60)), [DAY + 470, DAY + 500, DAY + 560]);
    // Alone its run would begin at Monday 06:30; it begins at Tuesday 08:20.
    check(
        bench,
        Cause::DieInUse,
        DAY + 110,
        "bend waits for bend die BD-1, in use for O-1 until Tue 2026-12-08 07:50; with that free for this \
         order it would be finished Mon 2026-12-07 07:30, in time",
    );
}

#[test]
fn cell_busy() {
    let bench = Bench::new()
        .job("O-1", (0, 9000), work(0, "a", 200), [360, 390, 590])
        .job("O-2", (0, 9000), work(0, "b", 100), [590, 620, 720])
        .job("O-3", (0, 480), work(0, "c", 60), [720, 750, 810]);
    check(
        bench,
        Cause::Cell,
        360,
        "bend waits for c-0, busy with O-1 and O-2 until Mon 2026-12-07 12:00; with that free for this \
         order it would be finished Mon 2026-12-07 07:30, in time",
    );
}

#[test]
fn setter_busy_elsewhere() {
    // The setter changes c-0 over first and is free at 06:30.
    let bench = Bench::new()
        .crew("setters", 360, 840)
        .job("O-1", (0, 9000), with_setter(work(0, "a", 400)), [360, 390, 790])
        .job("O-2", (0, 450), with_setter(work(1, "b", 60)), [390, 420, 480]);
    check(
        bench,
        Cause::Setter,
        30,
        "bend waits for crew setters, all busy with O-1 until Mon 2026-12-07 06:30; with one person more \
         for this order it would be finished Mon 2026-12-07 07:30, in time",
    );
}

#[test]
fn setter_off_shift_holds_a_cell_that_works_late() {
    // c-1 works until 22:00, the setter only until 14:00. O-1 ends at 13:50, and a changeover of 30
    // minutes can begin no later than 13:30, so O-2 waits for Tuesday. Alone it would be ready on
    // Monday.
    let mut bench = Bench::new().crew("setters", 360, 840);
    bench.parts.cells[1].windows = days(360, 1320);
    let bench = bench.job("O-1", (0, 9000), with_setter(work(1, "a", 440)), [360, 390, 830]).job(
        "O-2",
        (0, 1000),
        with_setter(work(1, "b", 60)),
        [DAY + 360, DAY + 390, DAY + 450],
    );
    check(
        bench,
        Cause::Setter,
        970,
        "bend waits for crew setters, off shift until Tue 2026-12-08 06:00; with one person more for this \
         order it would be finished Mon 2026-12-07 15:20, in time",
    );
}

#[test]
fn operator_busy_elsewhere() {
    // One welder runs c-0 until 10:00; c-1 was set up at once and waits.
    let bench = Bench::new()
        .crew("welders", 360, 840)
        .job("O-1", (0, 9000), with_operator(work(0, "a", 210)), [360, 390, 600])
        .job("O-2", (0, 500), with_operator(work(1, "b", 60)), [360, 600, 660]);
    check(
        bench,
        Cause::Operator,
        210,
        "bend waits for crew welders, all busy with O-1 until Mon 2026-12-07 10:00; with one person more \
         for this order it would be finished Mon 2026-12-07 07:30, in time",
    );
}

#[test]
fn operator_busy_elsewhere_while_the_changeover_is_put_off() {
    let bench = Bench::new()
        .crew("welders", 360, 840)
        .job("O-1", (0, 9000), with_operator(work(0, "a", 210)), [360, 390, 600])
        .job("O-2", (0, 500), with_operator(work(1, "b", 60)), [570, 600, 660]);
    check(
        bench,
        Cause::Operator,
        210,
        "bend waits for crew welders, all busy with O-1 until Mon 2026-12-07 10:00; with one person more \
         for this order it would be finished Mon 2026-12-07 07:30, in time",
    );
}

#[test]
fn nothing_forced_it() {
    let bench = Bench::new().job("O-1", (0, 480), work(0, "a", 60), [420, 450, 510]);
    let late = bench.why();
    assert_eq!((late.cause, late.waited), (Cause::Choice, Minutes::new(60)));
}

#[test]
fn a_slow_way_although_a_quick_one_would_be_in_time_is_a_choice() {
    let routes = vec![vec![("bend", work(0, "a", 60))], vec![("bend", work(1, "a", 300))]];
    let bench = Bench::new().job_of_routes("O-1", (0, 480), routes, &[(1, 0, [360, 390, 690])]);
    assert_eq!(bench.why().cause, Cause::Choice);
}

#[test]
fn the_step_that_would_have_to_find_its_cell_free_is_named() {
    // `cut` waits 40 minutes for c-0, then `bend` 210 for c-1.
    let routes = vec![vec![("cut", work(0, "x", 60)), ("bend", work(1, "y", 60))]];
    let bench = Bench::new()
        .job("O-1", (0, 9000), work(0, "a", 10), [360, 390, 400])
        .job("O-2", (0, 9000), work(1, "b", 280), [360, 390, 670])
        .job_of_routes("O-3", (0, 700), routes, &[(0, 0, [400, 430, 490]), (0, 1, [670, 700, 760])]);
    // Ready at 08:10 with the cell set up ahead, it begins at 11:40.
    check(
        bench,
        Cause::Cell,
        210,
        "bend waits for c-1, busy with O-2 until Mon 2026-12-07 11:10; with that free for this order it \
         would be finished Mon 2026-12-07 09:10, in time",
    );
}

/// `cut` waits 200 minutes for c-0, then `bend` 150 for c-1; bending ends 50 minutes into Tuesday.
fn two_steps_that_wait(due: i64) -> Bench {
    let routes = vec![vec![("cut", work(0, "x", 60)), ("bend", work(1, "y", 60))]];
    Bench::new()
        .job("O-1", (0, 9000), work(0, "a", 200), [360, 390, 590])
        .job("O-2", (0, 9000), work(1, "b", 410), [360, 390, 800])
        .job_of_routes("O-3", (0, due), routes, &[(0, 0, [590, 620, 680]), (0, 1, [800, 830, DAY + 410])])
}

#[test]
fn a_long_wait_that_does_not_bind_is_not_blamed() {
    check(
        two_steps_that_wait(780),
        Cause::Cell,
        DAY + 410 - 740,
        "bend waits for c-1, busy with O-2 until Mon 2026-12-07 13:20; with that free for this order it \
         would be finished Mon 2026-12-07 12:20, in time",
    );
}

#[test]
fn two_things_that_hold_it_together_are_both_named() {
    check(
        two_steps_that_wait(510),
        Cause::Cell,
        DAY + 410 - 510,
        "cut waits for c-0, busy with O-1 until Mon 2026-12-07 09:50; bend waits for c-1, busy with O-2 \
         until Mon 2026-12-07 13:20; with both free for this order it would be finished Mon 2026-12-07 \
         08:30, in time",
    );
}
