use super::plan::{tell_findings, whole_shop};
use super::promise::{tell_standing, threads};
use crate::args::ToolingArgs;
use crate::console;
use crate::exit::Exit;
use crate::plan_folder;
use crate::shop_folder;
use elbowroom_files::tooling_json;
use elbowroom_planner::tooling::tooling;
use elbowroom_shop::calendar::PlanClock;

/// Answers the tooling question.
pub fn run(args: &ToolingArgs) -> Exit {
    match answer(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn answer(args: &ToolingArgs) -> Result<(), Exit> {
    let start = args.source.start.or(args.source.plan.as_deref().map(plan_folder::start_of).transpose()?);
    let read = shop_folder::read(&args.shop, start);
    tell_findings(&read.loaded.findings);
    let shop = whole_shop(&read)?;
    let standing = plan_folder::standing(shop, read.start, &args.source)?;
    tell_standing(&standing);
    let answer = tooling(&standing, threads(&args.source));
    let clock = PlanClock::new(shop.terms.time_zone, standing.start());
    console::print(&if args.json {
        tooling_json(&answer, &shop.terms.currency, &clock)
    } else {
        elbowroom_report::tooling::text(&answer, &shop.terms.currency, console::width())
    });
    Ok(())
}
