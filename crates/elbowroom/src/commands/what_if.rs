use super::plan::tell_findings;
use super::solve::settings;
use super::{plan, read_bytes};
use crate::args::WhatIfArgs;
use crate::console;
use crate::exit::Exit;
use crate::stood::Stood;
use crate::watch::TerminalWatch;
use elbowroom_engine::Settings;
use elbowroom_files::{WhatIf, comparison_json, read_what_if};
use elbowroom_planner::compare::Outline;
use elbowroom_planner::what_if::{Tried, tried};
use elbowroom_planner::{Near, PlanError, Planned, Request, plan_week, plan_week_near, replan_week};
use elbowroom_report::comparison::{Case, cases};
use elbowroom_shop::Shop;
use elbowroom_units::Minutes;
use serde_json::{Value, json};
use std::time::Duration;

/// Plans the shop as it is and as each case would have it, and shows them side by side.
pub fn run(args: &WhatIfArgs) -> Exit {
    match what_if(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn what_if(args: &WhatIfArgs) -> Result<(), Exit> {
    let stood = Stood::read(&args.into())?;
    let read = stood.shop_folder(&args.shop, args.start);
    tell_findings(&read.loaded.findings);
    let shop = plan::whole_shop(&read)?;
    let request = Request { start: read.start, weeks: shop.terms.weeks };
    let shop = &stood.shop(shop.clone(), request);
    let file = args.cases.display().to_string();
    let bytes = read_bytes(&args.cases)?;
    let all = read_what_if(&file, &bytes, shop, &read.loaded.places).map_err(|findings| {
        tell_findings(&findings);
        Exit::BadInput
    })?;
    stood.named().iter().for_each(|named| console::tell(named));
    // Every plan begins from the same one and is searched for as long: only so do they compare.
    let first;
    let (near, is_published) = match stood.near(shop, &request) {
        Some(published) => (published, true),
        None => {
            let alone =
                |settings: &Settings, watch: &TerminalWatch| plan_week(shop, &request, settings, watch);
            first = searched(args, "the shop as it is, to begin from", alone)
                .map_err(|error| plan::tell_failure(&error))?;
            let schedule = first.schedule.schedule();
            (Near { problem: &first.problem, schedule, shift: Minutes::ZERO }, false)
        }
    };
    let planned = |shop: &Shop, name: &str| {
        searched(args, name, |settings, watch| {
            if is_published {
                replan_week(shop, &request, settings, watch, near, &shop.terms.steadiness)
                    .map(|replanned| replanned.planned)
            } else {
                plan_week_near(shop, &request, settings, watch, near)
            }
        })
    };
    let today = planned(shop, "the shop as it is").map_err(|error| plan::tell_failure(&error))?;
    let today = tried(&Outline::of(&today.plan), &today.plan);
    let outcomes: Vec<Result<Tried, PlanError>> = all
        .iter()
        .map(|case| {
            let planned = planned(&case.shop, &case.name)?;
            Ok(tried(&today.outline, &planned.plan))
        })
        .collect();
    console::print(&if args.json {
        as_json(&today, &all, &outcomes)
    } else {
        as_text(&today, &all, &outcomes)
    });
    Ok(())
}

/// Searches, and says for what where somebody looks on.
fn searched(
    args: &WhatIfArgs,
    name: &str,
    search: impl Fn(&Settings, &TerminalWatch) -> Result<Planned, PlanError>,
) -> Result<Planned, PlanError> {
    if console::shows_progress() {
        console::tell(&format!("planning {name}"));
    }
    let watch = TerminalWatch::start(Duration::from_secs_f64(args.search.seconds));
    let planned = search(&settings(&args.search), &watch);
    console::end_progress();
    planned
}

fn as_text(today: &Tried, all: &[WhatIf], outcomes: &[Result<Tried, PlanError>]) -> String {
    let listed: Vec<Case<'_>> = all
        .iter()
        .zip(outcomes)
        .map(|(case, outcome)| Case {
            name: &case.name,
            changes: case.notices.iter().map(|notice| notice.change.to_string()).collect(),
            outcome: outcome.as_ref().map_err(ToString::to_string),
        })
        .collect();
    cases(today, &listed, console::width())
}

fn as_json(today: &Tried, all: &[WhatIf], outcomes: &[Result<Tried, PlanError>]) -> String {
    let case = |(case, outcome): (&WhatIf, &Result<Tried, PlanError>)| {
        let changes: Vec<String> = case.notices.iter().map(|notice| notice.change.to_string()).collect();
        match outcome {
            Ok(tried) => json!({
                "name": case.name,
                "changes": changes,
                "plan": figures(tried),
                "comparison": comparison_json(&today.outline, &tried.outline, &tried.comparison),
            }),
            Err(error) => json!({ "name": case.name, "changes": changes, "no_plan": error.to_string() }),
        }
    };
    json!({
        "currency": today.outline.currency,
        "as_it_is": figures(today),
        "cases": all.iter().zip(outcomes).map(case).collect::<Vec<Value>>(),
    })
    .to_string()
}

fn figures(tried: &Tried) -> Value {
    json!({
        "cost": tried.outline.money.total.amount(),
        "late_cost": tried.outline.money.late.amount(),
        "lower_bound": tried.lower_bound.map(elbowroom_units::Money::amount),
        "orders": tried.outline.orders.len(),
        "late_orders": tried.outline.late(),
        "busiest_cell": tried.busiest.as_ref().map(|busiest| json!({
            "cell": busiest.cell,
            "worked_min": busiest.worked.count(),
            "open_min": busiest.open.count(),
        })),
    })
}
