//! Rule 7: the first operation runs from the release at the earliest, each next one after the
//! end of the one before and its lag. Setups may begin before the part arrives.

use crate::layout::Layout;
use crate::verdict::{Rule, Violation};

pub(crate) fn check(layout: &Layout, found: &mut Vec<Violation>) {
    for (job, laid_out) in layout.problem.jobs.iter().zip(&layout.by_job) {
        let [route] = laid_out.routes[..] else { continue };
        let mut earliest = Some((job.release, "its release".to_owned()));
        for (operation, step) in job.routes[route].operations.iter().zip(&laid_out.steps) {
            for &index in step {
                let start = layout.placed[index].run_start;
                if let Some((minute, reason)) = earliest.as_ref().filter(|(minute, _)| start < *minute) {
                    let name = layout.name(index);
                    let what =
                        format!("`{name}` runs from {}, before {reason} at {}", start.get(), minute.get());
                    found.push(Violation { rule: Rule::Order, place: name, what });
                }
            }
            // Where the step is missing, the next one has nothing to wait for.
            earliest = step
                .iter()
                .map(|&index| layout.placed[index].end + operation.lag_after)
                .max()
                .map(|minute| (minute, format!("`{}` has ended and its lag has passed", operation.id)));
        }
    }
}
