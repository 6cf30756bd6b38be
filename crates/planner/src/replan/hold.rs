//! Steps that stand are pinned while the rest is planned, and judged as any other step at the end.
//!
//! Pinned work is exempt from the rules on changeovers, tools and crews (rule 9 of the contract).
//! So that nothing comes between that would make a changeover of a step that stands longer than it
//! is, its changeover is held open for the longest that its cell has; where there is no room for
//! that, work that does nothing holds the gap before it. The finished schedule goes back into the
//! problem without these pins, and the verifier judges every step in full.

use crate::insertion::{mend_setups, purchases};
use crate::timeline::changeover::longest;
use elbowroom_problem::{
    CellIdx, CellWork, Job, JobIdx, Operation, OptionIdx, Parts, Pinned, Place, Placement, Problem, Route,
    Schedule, Work,
};
use elbowroom_shop::calendar::working_minutes;
use elbowroom_units::{Minute, Minutes, Money};
use elbowroom_verify::{Rejected, VerifiedSchedule, recompute, verify};

/// What may come between steps that stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Gaps {
    /// Other work, where a whole changeover fits in behind it.
    Open,
    /// Nothing, so that every changeover is as long as it was when all that stands was judged together: where
    /// several take longer at once, there may be too few people for them.
    Shut,
}

/// The problem with `steps` pinned where they stand.
pub(crate) fn held(problem: &Problem, steps: &[Placement], gaps: Gaps) -> Problem {
    if steps.is_empty() {
        return problem.clone();
    }
    let mut parts: Parts = problem.clone().into_parts();
    for cell in (0..problem.cells.len()).map(CellIdx::new) {
        hold_cell(problem, &mut parts, cell, steps, gaps);
    }
    let outside = steps.iter().filter(|step| problem.option(step.option).on_cell().is_none());
    parts.pinned.extend(outside.map(|step| pin(step, step.setup_start)));
    Problem::new(parts).expect("steps that keep the rules can be pinned")
}

fn pin(step: &Placement, setup_start: Minute) -> Pinned {
    Pinned { option: step.option, setup_start, run_start: step.run_start, end: step.end }
}

fn hold_cell(problem: &Problem, parts: &mut Parts, at: CellIdx, steps: &[Placement], gaps: Gaps) {
    let cell = problem.cell(at);
    let windows: Vec<(Minute, Minute)> =
        cell.windows.iter().map(|window| (window.start, window.end)).collect();
    for (step, work, since) in on_cell(problem, at, steps) {
        let most = longest(cell, &work.setup_key);
        let has = working_minutes(&windows, step.setup_start, step.run_start);
        let begin = if has >= most { step.setup_start } else { back(&windows, step.run_start, most) };
        if gaps == Gaps::Open && begin >= since {
            parts.pinned.push(pin(step, begin));
            continue;
        }
        parts.pinned.push(pin(step, step.setup_start));
        if since < step.setup_start {
            hold_gap(parts, work, since, step.setup_start);
        }
    }
}

/// The steps that stand on a cell, each with the end of what is before it.
fn on_cell<'a>(
    problem: &'a Problem,
    cell: CellIdx,
    steps: &'a [Placement],
) -> Vec<(&'a Placement, &'a CellWork, Minute)> {
    let here = |option: OptionIdx| problem.option(option).on_cell().filter(|work| work.cell == cell);
    let under_way = problem.pinned.iter().filter(|pin| here(pin.option).is_some());
    let mut ends: Vec<(Minute, Minute)> = under_way.map(|pin| (pin.setup_start, pin.end)).collect();
    ends.extend(steps.iter().filter(|s| here(s.option).is_some()).map(|s| (s.setup_start, s.end)));
    let since = |step: &Placement| {
        let before = ends.iter().filter(|(start, _)| *start < step.setup_start);
        before.map(|(_, end)| *end).max().unwrap_or(Minute::ZERO)
    };
    steps.iter().filter_map(|step| Some((step, here(step.option)?, since(step)))).collect()
}

/// The latest moment from which a cell works so many minutes until another; minute 0 less one where
/// there are not so many.
fn back(windows: &[(Minute, Minute)], until: Minute, work: Minutes) -> Minute {
    let mut left = work;
    for (open, close) in windows.iter().rev().filter(|(open, _)| *open < until) {
        let here = open.until((*close).min(until));
        if left <= here {
            return (*close).min(until) - left;
        }
        left = left - here;
    }
    Minute::new(-1)
}

/// Work that only holds a cell, and the tools of the step behind it, for a while.
fn hold_gap(parts: &mut Parts, next: &CellWork, from: Minute, to: Minute) {
    let job = JobIdx::new(parts.jobs.len());
    let mut id = format!("gap {} on {}", from.get(), parts.cells[next.cell.get()].id);
    while parts.jobs.iter().any(|other| other.id == id) {
        id.push('\'');
    }
    let holds = CellWork { setup_crew: None, run_crew: None, ..next.clone() };
    let work = Work { place: Place::Cell(holds), run: Minutes::new(1), cost: Money::ZERO };
    let hold = Operation { id: "hold".to_owned(), lag_after: Minutes::ZERO, options: vec![work] };
    parts.jobs.push(Job {
        id,
        release: Minute::ZERO,
        due: to,
        late_cost_per_day: Money::ZERO,
        routes: vec![Route { id: "hold".to_owned(), cost: Money::ZERO, operations: vec![hold] }],
    });
    let option = OptionIdx { job, route: 0, operation: 0, option: 0 };
    parts.pinned.push(Pinned { option, setup_start: from, run_start: from, end: to });
}

/// Changeovers that change in mending can change others; more often than this they never do.
const MOST_MENDINGS: usize = 8;

/// A schedule of the held problem as one of the problem itself, every step judged by every rule.
pub(crate) fn released(
    problem: &Problem,
    schedule: Schedule,
    steps: &[Placement],
) -> Result<VerifiedSchedule, Rejected> {
    let jobs = problem.jobs.len();
    let mut released = Schedule { lower_bound: None, ..schedule };
    released.operations.retain(|placed| placed.option.job.get() < jobs);
    for placed in &mut released.operations {
        let stands = steps.iter().find(|step| step.option == placed.option);
        if let Some(step) = stands {
            placed.setup_start = step.setup_start;
        }
    }
    for _ in 0..MOST_MENDINGS {
        let before = released.clone();
        mend_setups(problem, &mut released);
        if released == before {
            break;
        }
    }
    released.purchases = purchases(problem, &released);
    released.objective = recompute(problem, &released).objective;
    verify(problem, released)
}

#[cfg(test)]
mod tests {
    use super::*;
    use elbowroom_problem::{Cell, Changeover, Crew, CrewIdx, HeadCount, Objective, Window};
    use elbowroom_units::RatePerMinute;
    use elbowroom_verify::Rule;

    #[test]
    fn working_time_is_counted_back_over_nights() {
        let at = Minute::new;
        let windows = [(at(360), at(840)), (at(1800), at(2280))];
        let check =
            |until, work, expected| assert_eq!(back(&windows, at(until), Minutes::new(work)), at(expected));
        check(1830, 0, 1830);
        check(1830, 30, 1800);
        check(1830, 50, 820);
        check(400, 41, -1);
    }

    /// Three cells with `x` on them, which becomes `k` in 10 minutes and `y` at once; `y` becomes `k` in an hour.
    /// On each a step `k` stands from minute 100, its cell changed over from minute 40 by one of two setters, and
    /// a piece of `y` could be made before.
    fn three_cells() -> Problem {
        let window = Window { start: Minute::ZERO, end: Minute::new(1_000) };
        let pair = |from: &str, to: &str, minutes| (from.to_owned(), to.to_owned(), Minutes::new(minutes));
        let pairs = vec![pair("x", "k", 10), pair("x", "y", 0)];
        let cell = |id: &str| Cell {
            id: id.to_owned(),
            windows: vec![window],
            run_rate: RatePerMinute::per_hour(60.0),
            setup_rate: RatePerMinute::per_hour(60.0),
            initial_setup: Some("x".to_owned()),
            changeover: Some(Changeover {
                default: Minutes::new(60),
                same: Minutes::ZERO,
                pairs: pairs.clone().into(),
            }),
        };
        let work = |at: usize, key: &str, crew: Option<CrewIdx>| Work {
            place: Place::Cell(CellWork {
                cell: CellIdx::new(at),
                setup_key: key.to_owned(),
                tools: Vec::new(),
                setup_crew: crew,
                run_crew: None,
            }),
            run: Minutes::new(10),
            cost: Money::ZERO,
        };
        let job = |id: String, work: Work| Job {
            id,
            release: Minute::ZERO,
            due: window.end,
            late_cost_per_day: Money::ZERO,
            routes: vec![Route {
                id: "only".to_owned(),
                cost: Money::ZERO,
                operations: vec![Operation {
                    id: "bend".to_owned(),
                    lag_after: Minutes::ZERO,
                    options: vec![work],
                }],
            }],
        };
        let setters = Some(CrewIdx::new(0));
        let standing = (0..3).map(|at| job(format!("stands {at}"), work(at, "k", setters)));
        let free = (0..3).map(|at| job(format!("free {at}"), work(at, "y", None)));
        Problem::new(Parts {
            name: "three cells".to_owned(),
            objective: Objective::Cost,
            horizon: window.end,
            cells: ["a", "b", "c"].map(cell).to_vec(),
            tools: Vec::new(),
            crews: vec![Crew { id: "setters".to_owned(), capacity: vec![HeadCount { window, heads: 2 }] }],
            jobs: standing.chain(free).collect(),
            pinned: Vec::new(),
            committed_purchases: Vec::new(),
        })
        .expect("it holds together")
    }

    fn placed(job: usize, setup_start: i64, run_start: i64, end: i64) -> Placement {
        let option = OptionIdx { job: JobIdx::new(job), route: 0, operation: 0, option: 0 };
        let [setup_start, run_start, end] = [setup_start, run_start, end].map(Minute::new);
        Placement { option, setup_start, run_start, end }
    }

    /// The schedule of the held problem with a piece of `y` before each step that stands.
    fn with_free_work(held: &Problem) -> Schedule {
        let pins = held.pinned.iter().map(|pin| Placement {
            option: pin.option,
            setup_start: pin.setup_start,
            run_start: pin.run_start,
            end: pin.end,
        });
        let operations = pins.chain((3..6).map(|job| placed(job, 0, 0, 10))).collect();
        let mut schedule = Schedule { operations, ..Schedule::default() };
        schedule.objective = recompute(held, &schedule).objective;
        schedule
    }

    /// With gaps open the verifier lets the work before in, since pinned work answers to no crew; then three
    /// changeovers take an hour at once and two setters are there. With gaps shut it is not let in.
    #[test]
    fn changeovers_that_stand_never_become_longer_together_than_the_crew_allows() {
        let problem = three_cells();
        let steps: Vec<Placement> = (0..3).map(|job| placed(job, 40, 100, 110)).collect();
        let open = held(&problem, &steps, Gaps::Open);
        let let_in = verify(&open, with_free_work(&open)).expect("nothing is against it");
        let refused = released(&problem, let_in.into_schedule(), &steps).expect_err("two are not three");
        assert!(refused.violations.iter().all(|violation| violation.rule == Rule::Crews), "{refused:?}");
        let shut = held(&problem, &steps, Gaps::Shut);
        let refused = verify(&shut, with_free_work(&shut)).expect_err("the cells are held");
        assert!(refused.violations.iter().any(|violation| violation.rule == Rule::Cell), "{refused:?}");
    }
}
