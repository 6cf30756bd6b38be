//! One job fitted anew among lots that stay where they are, on random small shops: what is found
//! can be had, nothing earlier is overlooked, and taking hindrances away never does harm.

use elbowroom_planner::insertion::{Relaxed, Resource, earliest_finish, moved_forward};
use elbowroom_problem::{
    Availability, CellIdx, CrewIdx, JobIdx, Operation, OptionIdx, Pinned, Placement, Problem, Schedule,
    ToolIdx, Work,
};
use elbowroom_tests::chance::Chance;
use elbowroom_tests::serial_builder::build;
use elbowroom_tests::small_shop::small_shop;
use elbowroom_units::Minute;
use elbowroom_verify::{recompute, verify};
use std::collections::BTreeSet;

/// Random problems, each with a valid schedule.
fn cases(count: usize) -> impl Iterator<Item = (Problem, Schedule)> {
    let seeds = 0u64..;
    let tried = seeds.map(|seed| {
        let problem = small_shop(seed);
        let schedule = build(&problem, &mut Chance::new(seed + 1_000_000));
        schedule.map(|schedule| (problem, schedule))
    });
    tried.flatten().take(count)
}

fn jobs(problem: &Problem) -> impl Iterator<Item = JobIdx> + use<> {
    (0..problem.jobs.len()).map(JobIdx::new)
}

fn finish(schedule: &Schedule, job: JobIdx) -> Minute {
    let steps = schedule.operations.iter().filter(|placed| placed.option.job == job);
    let last = steps.max_by_key(|placed| placed.option.operation);
    last.expect("every job stands").end
}

/// Everything that a job of a small shop can wait for.
fn resources(problem: &Problem) -> Vec<Resource> {
    let cells = (0..problem.cells.len()).map(|cell| Resource::Cell(CellIdx::new(cell)));
    let tools = (0..problem.tools.len()).map(|tool| Resource::Tool(ToolIdx::new(tool)));
    let crews = (0..problem.crews.len()).map(|crew| Resource::Crew(CrewIdx::new(crew)));
    cells.chain(tools).chain(crews).chain([Resource::Material]).collect()
}

#[test]
fn what_is_found_can_be_had_and_is_no_later_than_planned() {
    let (mut moved, mut refused, mut later) = (0, 0, 0);
    for (problem, schedule) in cases(600) {
        for job in jobs(&problem) {
            let Some(found) = earliest_finish(&problem, &schedule, job, Relaxed::default()) else {
                later += 1;
                continue;
            };
            later += usize::from(found > finish(&schedule, job));
            match moved_forward(&problem, &schedule, job) {
                Some(verified) => {
                    assert_eq!(finish(verified.schedule(), job), found, "{}", problem.name);
                    moved += 1;
                }
                None => refused += 1,
            }
        }
    }
    assert!(refused * 20 < moved, "{refused} refused, {moved} moved");
    assert!(later * 50 < moved, "{later} later than planned, {moved} moved");
}

/// Where a job of one step would end before `limit`, tried minute by minute with the verifier as
/// the judge; `None` if nowhere.
fn ends_sooner(problem: &Problem, schedule: &Schedule, option: OptionIdx, limit: i64) -> Option<Placement> {
    let mut trial = schedule.clone();
    trial.operations.retain(|placed| placed.option.job != option.job);
    trial.purchases = offers(problem);
    let others = trial.operations.len();
    let starts = (0..limit).flat_map(|run| (0..=run).rev().map(move |setup| (setup, run)));
    let placements = starts.filter_map(|(setup_start, run_start)| {
        let end = end_of_run(problem, option, run_start)?;
        let [setup_start, run_start, end] = [setup_start, run_start, end].map(Minute::new);
        (end < Minute::new(limit)).then_some(Placement { option, setup_start, run_start, end })
    });
    placements.into_iter().find(|placed| {
        trial.operations.truncate(others);
        trial.operations.push(*placed);
        trial.objective = recompute(problem, &trial).objective;
        verify(problem, trial.clone()).is_ok()
    })
}

fn end_of_run(problem: &Problem, option: OptionIdx, run_start: i64) -> Option<i64> {
    let work = problem.option(option);
    let Some(on_cell) = work.on_cell() else { return Some(run_start + work.run.count()) };
    let windows = problem.cell(on_cell.cell).windows.iter();
    let open = windows.flat_map(|window| window.start.get()..window.end.get());
    let mut worked = open.filter(|minute| *minute >= run_start);
    let count = usize::try_from(work.run.count() - 1).expect("a run on a cell takes time");
    worked.nth(count).map(|last| last + 1)
}

/// Every offer that is not ordered yet.
fn offers(problem: &Problem) -> Vec<ToolIdx> {
    let all = (0..problem.tools.len()).map(ToolIdx::new);
    let offered = |tool: &ToolIdx| matches!(problem.tool(*tool).availability, Availability::Offer { .. });
    all.filter(|tool| offered(tool) && !problem.committed_purchases.contains(tool)).collect()
}

#[test]
fn nothing_earlier_is_overlooked_for_a_job_of_one_step() {
    let mut checked = 0;
    for (problem, schedule) in cases(500) {
        for job in jobs(&problem) {
            let asked = problem.job(job);
            let one_step = asked.routes.iter().all(|route| route.operations.len() == 1);
            let pinned = problem.pinned.iter().any(|pin| pin.option.job == job);
            let Some(found) = earliest_finish(&problem, &schedule, job, Relaxed::default()) else { continue };
            if !one_step || pinned || found > Minute::new(140) {
                continue;
            }
            checked += 1;
            for (route, steps) in asked.routes.iter().enumerate() {
                for option in 0..steps.operations[0].options.len() {
                    let option = OptionIdx { job, route, operation: 0, option };
                    let sooner = ends_sooner(&problem, &schedule, option, found.get());
                    assert_eq!(sooner, None, "{}, found {found}", problem.name);
                }
            }
        }
    }
    assert!(checked > 30, "only {checked} checked");
}

/// The problem and schedule of one job, nobody else being in the shop.
fn without_rivals(problem: &Problem, schedule: &Schedule, job: JobIdx) -> (Problem, Schedule) {
    let first = |option: OptionIdx| OptionIdx { job: JobIdx::new(0), ..option };
    let mut parts = problem.clone().into_parts();
    parts.jobs = vec![problem.job(job).clone()];
    parts.pinned.retain(|pin| pin.option.job == job);
    parts.pinned = parts.pinned.iter().map(|pin| Pinned { option: first(pin.option), ..*pin }).collect();
    let own = schedule.operations.iter().filter(|placed| placed.option.job == job);
    let operations = own.map(|placed| Placement { option: first(placed.option), ..*placed }).collect();
    let schedule = Schedule { operations, ..Schedule::default() };
    (Problem::new(parts).expect("part of a problem that fits together"), schedule)
}

#[test]
fn with_all_rivals_gone_it_is_as_in_a_shop_without_them() {
    for (problem, schedule) in cases(300) {
        for job in jobs(&problem) {
            let gone = Relaxed { rivals_gone: true, free: &[] };
            let found = earliest_finish(&problem, &schedule, job, gone);
            let (alone, only) = without_rivals(&problem, &schedule, job);
            let expected = earliest_finish(&alone, &only, JobIdx::new(0), Relaxed::default());
            assert_eq!(found, expected, "{} {job:?}", problem.name);
        }
    }
}

/// Whether no two steps of a route can want the same cell, tool or crew: two that do can be in
/// each other's way.
fn steps_share_nothing(problem: &Problem, job: JobIdx) -> bool {
    let wants = |operation: &Operation| -> BTreeSet<Resource> {
        let works = operation.options.iter().filter_map(Work::on_cell);
        let wants = works.flat_map(|work| {
            let tools = work.tools.iter().map(|tool| Resource::Tool(*tool));
            let crews = [work.setup_crew, work.run_crew].into_iter().flatten().map(Resource::Crew);
            tools.chain(crews).chain([Resource::Cell(work.cell)])
        });
        wants.collect()
    };
    problem.job(job).routes.iter().all(|route| {
        let all: Vec<_> = route.operations.iter().map(wants).collect();
        (1..all.len()).all(|later| all[..later].iter().all(|earlier| earlier.is_disjoint(&all[later])))
    })
}

#[test]
fn taking_a_hindrance_away_never_makes_it_later() {
    for (problem, schedule) in cases(1000) {
        for job in jobs(&problem).filter(|job| steps_share_nothing(&problem, *job)) {
            let finish = |free: &[Resource]| {
                let relaxed = Relaxed { rivals_gone: false, free };
                earliest_finish(&problem, &schedule, job, relaxed).unwrap_or(problem.horizon)
            };
            let mut order = resources(&problem);
            let mut chance = Chance::new(job.get() as u64);
            order = chance.order(order.len()).into_iter().map(|i| order[i]).collect();
            for free in 1..=order.len() {
                let (less, more) = (finish(&order[..free - 1]), finish(&order[..free]));
                assert!(more <= less, "{} {job:?}: {:?} makes {less} {more}", problem.name, &order[..free]);
            }
        }
    }
}
