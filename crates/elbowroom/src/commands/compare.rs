use super::read_bytes;
use crate::args::CompareArgs;
use crate::console;
use crate::exit::Exit;
use elbowroom_files::{comparison_json, read_outline};
use elbowroom_planner::compare::{Outline, compare};
use std::path::Path;

/// Holds one plan against another.
pub fn run(args: &CompareArgs) -> Exit {
    // Both are read before either fault ends it.
    let (old, new) = (read(&args.old), read(&args.new));
    let (old, new) = match (old, new) {
        (Ok(old), Ok(new)) => (old, new),
        (Err(exit), _) | (_, Err(exit)) => return exit,
    };
    let comparison = compare(&old, &new, args.least);
    console::print(&if args.json {
        comparison_json(&old, &new, &comparison).to_string()
    } else {
        elbowroom_report::comparison::comparison(&old, &new, &comparison, console::width())
    });
    Exit::Done
}

fn read(path: &Path) -> Result<Outline, Exit> {
    let file = if path.is_dir() { path.join("plan.json") } else { path.to_owned() };
    read_outline(&read_bytes(&file)?).map_err(|faults| super::tell_faults(&file, &faults))
}
