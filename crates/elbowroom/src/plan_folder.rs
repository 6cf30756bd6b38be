//! The plan that a question is asked about: read back from its folder, or made quickly.

use crate::args::{PlanSource, SearchArgs};
use crate::commands::{read_bytes, solve::settings, tell_faults};
use crate::console;
use crate::exit::Exit;
use crate::watch::TerminalWatch;
use chrono::{NaiveDate, NaiveTime};
use chrono_tz::Tz;
use elbowroom_contract::{read_problem, read_schedule};
use elbowroom_files::read_outline;
use elbowroom_planner::compare::{Fate, Outline, compare};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::promise::{PlanMisfit, Recompiled, Standing};
use elbowroom_planner::{Near, PlanError, Request, plan_week};
use elbowroom_problem::{Problem, Schedule};
use elbowroom_shop::Shop;
use elbowroom_shop::calendar::PlanClock;
use elbowroom_units::{Minute, Minutes};
use std::path::Path;
use std::time::Duration;

/// The plan in a folder that `plan` wrote, held against the shop as it is now; or, where no folder
/// is named, a plan made in the seconds given.
pub fn standing(shop: &Shop, start: NaiveDate, source: &PlanSource) -> Result<Standing, Exit> {
    match &source.plan {
        Some(folder) => read(shop, folder, shop.terms.weeks),
        None => make(shop, Request { start, weeks: shop.terms.weeks }, source),
    }
}

fn make(shop: &Shop, request: Request, source: &PlanSource) -> Result<Standing, Exit> {
    let search = SearchArgs {
        seconds: source.seconds,
        threads: source.threads,
        seed: source.seed,
        steps: source.steps,
    };
    let watch = TerminalWatch::start(Duration::from_secs_f64(source.seconds));
    let planned = plan_week(shop, &request, &settings(&search), &watch);
    console::end_progress();
    let planned = planned.map_err(|error| tell_no_plan(&error))?;
    let schedule = planned.schedule.into_schedule();
    let recompiled = Recompiled::new(shop.clone(), request, &planned.problem);
    recompiled
        .and_then(|recompiled| recompiled.standing(schedule))
        .map_err(|misfit| tell_misfit(&misfit, None))
}

fn tell_no_plan(error: &PlanError) -> Exit {
    console::tell(&format!("error: {error}"));
    match error {
        PlanError::NothingToPlan { .. } | PlanError::NoneFound { .. } => Exit::NoSchedule,
        PlanError::OurFault { .. } => Exit::OurFault,
    }
}

fn read(shop: &Shop, folder: &Path, weeks: u32) -> Result<Standing, Exit> {
    let start = start_of(folder)?;
    let path = folder.join("problem.json");
    let problem = read_problem(&read_bytes(&path)?).map_err(|faults| tell_faults(&path, &faults))?;
    let recompiled = Recompiled::new(shop.clone(), Request { start, weeks }, &problem)
        .map_err(|misfit| tell_misfit(&misfit, Some(folder)))?;
    let path = folder.join("schedule.json");
    let schedule = read_schedule(&read_bytes(&path)?, recompiled.problem()).map_err(|faults| {
        tell_faults(&path, &faults);
        tell_plan_again(folder);
        Exit::BadInput
    })?;
    recompiled.standing(schedule).map_err(|misfit| tell_misfit(&misfit, Some(folder)))
}

/// A plan that was written earlier, as it was: the shop may have changed since.
pub struct Earlier {
    problem: Problem,
    schedule: Schedule,
    start: NaiveDate,
    outline: Outline,
}

impl Earlier {
    /// Reads it from its folder.
    pub fn read(folder: &Path) -> Result<Self, Exit> {
        let start = start_of(folder)?;
        let path = folder.join("problem.json");
        let problem = read_problem(&read_bytes(&path)?).map_err(|faults| tell_faults(&path, &faults))?;
        let path = folder.join("schedule.json");
        let schedule =
            read_schedule(&read_bytes(&path)?, &problem).map_err(|faults| tell_faults(&path, &faults))?;
        let path = folder.join("plan.json");
        let outline = read_outline(&read_bytes(&path)?).map_err(|faults| tell_faults(&path, &faults))?;
        Ok(Self { problem, schedule, start, outline })
    }

    /// As the plan that stood before one that starts on a day.
    pub fn near(&self, start: NaiveDate, zone: Tz) -> Near<'_> {
        let clock = PlanClock::new(zone, self.start);
        let shift = Minute::ZERO.until(clock.minute(start, NaiveTime::MIN));
        Near { problem: &self.problem, schedule: &self.schedule, shift }
    }

    /// How far a new plan is from it, in a sentence.
    pub fn against(&self, plan: &Plan) -> String {
        against(&self.outline, plan)
    }
}

/// How far a new plan is from one that stood, in a sentence.
pub fn against(stood: &Outline, plan: &Plan) -> String {
    let comparison = compare(stood, &Outline::of(plan), Minutes::new(60));
    let late = comparison.moved.iter().filter(|moved| moved.fate == Fate::NowLate).count();
    format!(
        "against the plan that stood: {} of {} orders moved by an hour or more, {late} of them became late; \
         `elbowroom compare` shows them",
        comparison.moved.len(),
        comparison.moved.len() + comparison.unchanged
    )
}

/// The first day of a plan in a folder.
pub fn start_of(folder: &Path) -> Result<NaiveDate, Exit> {
    let path = folder.join("plan.json");
    let bytes = read_bytes(&path)?;
    let value: Option<serde_json::Value> = serde_json::from_slice(&bytes).ok();
    let start = value.as_ref().and_then(|plan| plan.get("start")?.as_str()?.parse().ok());
    start.ok_or_else(|| {
        console::tell(&format!(
            "error: {} is no plan: it has no `start` date\n  hint: name a folder that `elbowroom plan` wrote",
            path.display()
        ));
        Exit::BadInput
    })
}

fn tell_misfit(misfit: &PlanMisfit, folder: Option<&Path>) -> Exit {
    console::tell(&format!("error: {misfit}"));
    match (misfit, folder) {
        (PlanMisfit::OurFault { .. }, _) | (_, None) => Exit::OurFault,
        (_, Some(folder)) => {
            tell_plan_again(folder);
            Exit::BadInput
        }
    }
}

fn tell_plan_again(folder: &Path) {
    console::tell(&format!(
        "  hint: the plan in {} was made from other data; plan again, or leave `--plan` out",
        folder.display()
    ));
}
