//! Rule 1: every job has exactly one route; every operation of it stands once, with a valid
//! option; nothing else appears.

use crate::layout::{JobLayout, Layout};
use crate::verdict::{Rule, Violation};
use elbowroom_problem::Job;

pub(crate) fn check(layout: &Layout, found: &mut Vec<Violation>) {
    for position in &layout.strangers {
        let what = format!("operation number {position} of the schedule names no option of the problem");
        found.push(violation(format!("operations[{position}]"), what));
    }
    for (job, laid_out) in layout.problem.jobs.iter().zip(&layout.by_job) {
        check_job(job, laid_out, found);
    }
}

fn violation(place: impl Into<String>, what: String) -> Violation {
    Violation { rule: Rule::Complete, place: place.into(), what }
}

fn check_job(job: &Job, laid_out: &JobLayout, found: &mut Vec<Violation>) {
    match laid_out.routes[..] {
        [] => found.push(violation(&job.id, format!("job `{}` has no operations", job.id))),
        [route] => {
            for (operation, placed) in job.routes[route].operations.iter().zip(&laid_out.steps) {
                let name = format!("{}/{}", job.id, operation.id);
                match placed.len() {
                    0 => found.push(violation(&name, format!("`{name}` is missing"))),
                    1 => {}
                    times => found.push(violation(&name, format!("`{name}` appears {times} times"))),
                }
            }
        }
        [first, second, ..] => {
            let (first, second) = (&job.routes[first].id, &job.routes[second].id);
            let what = format!("job `{}` uses more than one route: `{first}` and `{second}`", job.id);
            found.push(violation(&job.id, what));
        }
    }
}
