//! What is written reads back equal, and nothing that is read makes the readers panic.

use elbowroom_contract::{read_problem, read_schedule, write_problem, write_schedule};
use elbowroom_problem::{
    Availability, Cell, CellIdx, CellWork, Changeover, Crew, CrewIdx, HeadCount, Job, JobIdx, Objective,
    Operation, OptionIdx, Parts, Pinned, Place, Placement, Problem, Route, Schedule, Tool, ToolIdx, Window,
    Work,
};
use elbowroom_units::{Minute, Minutes, Money, RatePerMinute};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;

fn minute() -> impl Strategy<Value = Minute> {
    prop_oneof![0..2000i64, Just(1 << 30)].prop_map(Minute::new)
}

fn minutes(least: i64) -> impl Strategy<Value = Minutes> {
    prop_oneof![least..2000i64, Just(1 << 30)].prop_map(Minutes::new)
}

fn amount() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), 0.0..1e4, 0.0..=1e15, 0.0..1e-300, (0..100_000i64).prop_map(|n| n as f64 / 100.0)]
}

/// Distinct names: anything, then the position.
fn names(least: usize, most: usize) -> impl Strategy<Value = Vec<String>> {
    vec(any::<String>(), least..=most)
        .prop_map(|texts| texts.into_iter().enumerate().map(|(i, text)| format!("{text}{i}")).collect())
}

/// Intervals whose gaps are at least `gap`.
fn intervals(gap: i64) -> impl Strategy<Value = Vec<Window>> {
    vec((gap..50i64, 1..500i64), 0..5).prop_map(|lengths| {
        let mut end = 0;
        let window = |(before, length)| {
            let start = end + before;
            end = start + length;
            Window { start: Minute::new(start), end: Minute::new(end) }
        };
        lengths.into_iter().map(window).collect()
    })
}

fn changeover() -> impl Strategy<Value = Changeover> {
    let pairs = vec((any::<String>(), any::<String>(), minutes(0)), 0..4);
    (minutes(0), minutes(0), pairs).prop_map(|(default, same, pairs)| Changeover {
        default,
        same,
        pairs: pairs.into(),
    })
}

fn cell(id: String) -> impl Strategy<Value = Cell> {
    let rates = (amount(), amount());
    let initial = prop::option::of("[^\0]{1,8}");
    (intervals(1), rates, initial, prop::option::of(changeover())).prop_map(
        move |(windows, (run, setup), initial_setup, changeover)| Cell {
            id: id.clone(),
            windows,
            run_rate: RatePerMinute::per_minute(run),
            setup_rate: RatePerMinute::per_minute(setup),
            initial_setup,
            changeover,
        },
    )
}

fn tool(id: String) -> impl Strategy<Value = Tool> {
    let offer =
        (amount(), minute()).prop_map(|(price, lead)| Availability::Offer { price: Money::new(price), lead });
    let availability = prop_oneof![minute().prop_map(Availability::From), offer];
    (1..=u32::MAX, availability).prop_map(move |(count, availability)| Tool {
        id: id.clone(),
        count,
        availability,
    })
}

fn crew(id: String) -> impl Strategy<Value = Crew> {
    (intervals(0), any::<u32>()).prop_map(move |(windows, heads)| Crew {
        id: id.clone(),
        capacity: windows.into_iter().map(|window| HeadCount { window, heads }).collect(),
    })
}

/// How many cells, tools and crews options may refer to.
#[derive(Clone, Copy)]
struct Counts {
    cells: usize,
    tools: usize,
    crews: usize,
}

fn work(counts: Counts) -> BoxedStrategy<Work> {
    let outside = (minutes(0), amount()).prop_map(|(run, cost)| Work {
        place: Place::Outside,
        run,
        cost: Money::new(cost),
    });
    if counts.cells == 0 {
        return outside.boxed();
    }
    let tools = prop::sample::subsequence((0..counts.tools).collect::<Vec<_>>(), 0..=counts.tools);
    let crews = (prop::option::of(any::<Index>()), prop::option::of(any::<Index>()));
    let on_cell = (any::<Index>(), "[^\0]{1,8}", tools, crews, minutes(1), amount()).prop_map(
        move |(cell, setup_key, tools, (setup_crew, run_crew), run, cost)| {
            let crew = |index: Option<Index>| {
                index.filter(|_| counts.crews > 0).map(|i| CrewIdx::new(i.index(counts.crews)))
            };
            let place = Place::Cell(CellWork {
                cell: CellIdx::new(cell.index(counts.cells)),
                setup_key,
                tools: tools.into_iter().map(ToolIdx::new).collect(),
                setup_crew: crew(setup_crew),
                run_crew: crew(run_crew),
            });
            Work { place, run, cost: Money::new(cost) }
        },
    );
    prop_oneof![1 => outside, 4 => on_cell].boxed()
}

fn route(id: String, counts: Counts) -> impl Strategy<Value = Route> {
    let operations = names(1, 3).prop_flat_map(move |ids| {
        let each = |id: String| {
            (vec(work(counts), 1..3), minutes(0)).prop_map(move |(options, lag_after)| Operation {
                id: id.clone(),
                lag_after,
                options,
            })
        };
        ids.into_iter().map(each).collect::<Vec<_>>()
    });
    (operations, amount()).prop_map(move |(operations, cost)| Route {
        id: id.clone(),
        cost: Money::new(cost),
        operations,
    })
}

fn job(id: String, counts: Counts) -> impl Strategy<Value = Job> {
    let routes =
        names(1, 2).prop_flat_map(move |ids| ids.into_iter().map(|id| route(id, counts)).collect::<Vec<_>>());
    let due = prop_oneof![-2000..2000i64, Just(-(1 << 30))];
    (minute(), due, amount(), routes).prop_map(move |(release, due, late, routes)| Job {
        id: id.clone(),
        release,
        due: Minute::new(due),
        late_cost_per_day: Money::new(late),
        routes,
    })
}

/// Some option of the first operation of some jobs, at some times.
fn pins(jobs: &[Job], picks: Vec<(Index, [i64; 3])>) -> Vec<Pinned> {
    let mut pinned: Vec<Pinned> = Vec::new();
    for (pick, mut times) in picks {
        let job = JobIdx::new(pick.index(jobs.len()));
        if pinned.iter().all(|pin| pin.option.job != job) {
            times.sort_unstable();
            let [setup_start, run_start, end] = times.map(Minute::new);
            let option = OptionIdx { job, route: 0, operation: 0, option: 0 };
            pinned.push(Pinned { option, setup_start, run_start, end });
        }
    }
    pinned
}

fn problem() -> impl Strategy<Value = Problem> {
    let resources = (names(0, 3), names(0, 3), names(0, 2)).prop_flat_map(|(cells, tools, crews)| {
        (
            cells.into_iter().map(cell).collect::<Vec<_>>(),
            tools.into_iter().map(tool).collect::<Vec<_>>(),
            crews.into_iter().map(crew).collect::<Vec<_>>(),
        )
    });
    let whole = (resources, names(1, 4)).prop_flat_map(|((cells, tools, crews), ids)| {
        let counts = Counts { cells: cells.len(), tools: tools.len(), crews: crews.len() };
        let jobs = ids.into_iter().map(|id| job(id, counts)).collect::<Vec<_>>();
        let picks = vec((any::<Index>(), [0..3000i64, 0..3000, 0..3000]), 0..3);
        (Just((cells, tools, crews)), jobs, picks, any::<String>(), 1..1_000_000i64)
    });
    whole.prop_map(|((cells, tools, crews), jobs, picks, name, horizon)| {
        let committed = |tool: &Tool| matches!(tool.availability, Availability::Offer { .. });
        let committed_purchases = tools.iter().position(committed).map(ToolIdx::new).into_iter().collect();
        let pinned = pins(&jobs, picks);
        let objective = if horizon % 2 == 0 { Objective::Cost } else { Objective::Makespan };
        let horizon = Minute::new(horizon);
        let parts =
            Parts { name, objective, horizon, cells, tools, crews, jobs, pinned, committed_purchases };
        Problem::new(parts).expect("the parts were made to fit together")
    })
}

/// Every operation of every first route, anywhere in time; the offers taken that are not committed.
fn schedule(problem: &Problem, objective: f64, lower_bound: Option<f64>) -> Schedule {
    let mut schedule = Schedule { objective, lower_bound, ..Schedule::default() };
    for (j, job) in problem.jobs.iter().enumerate() {
        for (o, operation) in job.routes[0].operations.iter().enumerate() {
            let option = operation.options.len() - 1;
            let option = OptionIdx { job: JobIdx::new(j), route: 0, operation: o, option };
            let at = |minutes: usize| Minute::new(i64::try_from(minutes).expect("small"));
            let (setup_start, run_start, end) = (at(j), at(j + o), at(j + 2 * o));
            schedule.operations.push(Placement { option, setup_start, run_start, end });
        }
    }
    let offered = |tool: &ToolIdx| {
        let offer = matches!(problem.tool(*tool).availability, Availability::Offer { .. });
        offer && !problem.committed_purchases.contains(tool)
    };
    schedule.purchases = (0..problem.tools.len()).map(ToolIdx::new).filter(offered).collect();
    schedule
}

/// Overwrites, cuts out or repeats a few bytes.
fn damaged(text: &str, edits: &[(Index, Index, u8)]) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for (at, length, byte) in edits {
        let at = at.index(bytes.len().max(1));
        let end = (at + length.index(12)).min(bytes.len());
        match byte % 3 {
            0 if at < bytes.len() => bytes[at] = *byte,
            1 => drop(bytes.drain(at..end)),
            _ => {
                let again = bytes[at..end].to_vec();
                bytes.splice(at..at, again);
            }
        }
    }
    bytes
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn problems_are_read_as_they_were_written(problem in problem()) {
        let written = write_problem(&problem);
        prop_assert_eq!(read_problem(written.as_bytes()), Ok(problem), "{}", written);
    }

    #[test]
    fn schedules_are_read_as_they_were_written(
        problem in problem(),
        objective in -1e18..1e18f64,
        bound in prop::option::of(-1e18..1e18f64),
    ) {
        let schedule = schedule(&problem, objective, bound);
        let written = write_schedule(&problem, &schedule);
        prop_assert_eq!(read_schedule(written.as_bytes(), &problem), Ok(schedule), "{}", written);
    }

    #[test]
    fn damaged_files_are_read_or_refused(
        problem in problem(),
        edits in vec((any::<Index>(), any::<Index>(), any::<u8>()), 1..5),
    ) {
        let written = write_schedule(&problem, &schedule(&problem, 1.0, None));
        if let Err(faults) = read_schedule(&damaged(&written, &edits), &problem) {
            prop_assert!(!faults.is_empty());
        }
        match read_problem(&damaged(&write_problem(&problem), &edits)) {
            Ok(read) => prop_assert_eq!(read_problem(write_problem(&read).as_bytes()), Ok(read)),
            Err(faults) => prop_assert!(faults.iter().all(|fault| !fault.what.is_empty())),
        }
    }

    #[test]
    fn random_bytes_are_refused(bytes in vec(any::<u8>(), 0..200)) {
        prop_assert!(read_problem(&bytes).is_err());
    }
}

#[test]
fn a_claim_that_is_no_number_is_written_so_that_reading_refuses_it() {
    let text = br#"{"format":"elbowroom-problem/1","name":"","objective":"cost","horizon":1,"cells":[],
"jobs":[{"id":"a","release":0,"due":0,"late_cost_per_day":0,"routes":[{"id":"r","operations":[
{"id":"o","options":[{"cell":null,"run":0}]}]}]}]}"#;
    let problem = read_problem(text).expect("right");
    let schedule = Schedule { objective: f64::NAN, ..Schedule::default() };
    let faults = read_schedule(write_schedule(&problem, &schedule).as_bytes(), &problem);
    assert_eq!(faults.expect_err("no objective")[0].what, "is null, must be a number");
}
