//! Rule 9: pinned operations stand exactly as given. What they are exempt from is said in the
//! rules concerned.

use crate::layout::Layout;
use crate::verdict::{Rule, Violation};

pub(crate) fn check(layout: &Layout, found: &mut Vec<Violation>) {
    for (index, placed) in layout.placed.iter().enumerate() {
        let Some(pin) = placed.pin else { continue };
        let given = (pin.option.option, pin.setup_start, pin.run_start, pin.end);
        if (placed.at.option, placed.setup_start, placed.run_start, placed.end) != given {
            let name = layout.name(index);
            let [setup, run, end] = [pin.setup_start, pin.run_start, pin.end].map(|minute| minute.get());
            let what = format!(
                "`{name}` is pinned to option {}, setup at {setup}, run at {run}, end at {end}, and stands otherwise",
                pin.option.option
            );
            found.push(Violation { rule: Rule::Pinned, place: name, what });
        }
    }
    check_routes(layout, found);
}

/// A pinned operation fixes its job's route.
fn check_routes(layout: &Layout, found: &mut Vec<Violation>) {
    for pin in &layout.problem.pinned {
        let used = &layout.by_job[pin.option.job.get()].routes;
        if used.iter().any(|route| *route != pin.option.route) {
            let (name, job) = (layout.name_of(pin.option), layout.problem.job(pin.option.job));
            let route = &job.routes[pin.option.route].id;
            let what = format!("`{name}` is pinned on route `{route}`, and its job uses another");
            found.push(Violation { rule: Rule::Pinned, place: name, what });
        }
    }
}
