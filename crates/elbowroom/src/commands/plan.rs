use super::solve::settings;
use crate::args::PlanArgs;
use crate::console;
use crate::exit::Exit;
use crate::shop_folder::{self, Read};
use crate::stood::Stood;
use crate::watch::TerminalWatch;
use chrono::Utc;
use elbowroom_files::{Finding, Severity, kept_json, plan_json, write_folder};
use elbowroom_planner::confidence::{Asked, Shares, assess, runs_within};
use elbowroom_planner::plan::Confidence;
use elbowroom_planner::sheets::sheets;
use elbowroom_planner::{Kept, PlanError, Planned, Replanned, Request};
use elbowroom_report::{RenderOptions, render, render_sheets, summary};
use elbowroom_shop::{Shop, Terms};

/// Plans a shop folder.
pub fn run(args: &PlanArgs) -> Exit {
    match plan(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn plan(args: &PlanArgs) -> Result<(), Exit> {
    let stood = Stood::read(&args.into())?;
    let read = stood.shop_folder(&args.shop, args.start);
    tell_findings(&read.loaded.findings);
    let shop = whole_shop(&read)?;
    let request = Request { start: read.start, weeks: args.weeks.unwrap_or(shop.terms.weeks) };
    let shop = &stood.shop(shop.clone(), request);
    stood.named().iter().for_each(|named| console::tell(named));
    let shares = Shares::of(args.search.seconds);
    let watch = TerminalWatch::start(shares.search);
    let steadiness = args.steady.over(shop.terms.steadiness);
    let replanned = stood.plan(shop, &request, &settings(&args.search), &watch, &steadiness);
    console::end_progress();
    let Replanned { mut planned, kept } = replanned.map_err(|error| tell_failure(&error))?;
    planned.plan.confidence = Some(sure(args, shop, &planned, &shares, &watch));
    let terms = Terms { steadiness, ..shop.terms.clone() };
    kept.sentences(&planned.plan.clock, &terms).iter().for_each(|sentence| console::tell(sentence));
    stood.against(&planned.plan).iter().for_each(|against| console::tell(against));
    if watch.interrupted() {
        console::tell("stopped early: this is the best plan so far");
    }
    tell_findings(&shop_folder::placed(&planned.findings, &[], &read.loaded.places));
    finish(args, shop, &planned, &kept)?;
    if args.publish.publish {
        let head = stood.publish(args, &planned, request)?;
        console::tell(&format!("published as plan {} of the shop", head.id));
    }
    Ok(())
}

/// Promises at risk for which remedies are tried.
const REMEDIED: usize = 5;

/// How sure the plan's dates are: half of the time for carrying it out, the rest for remedies.
fn sure(
    args: &PlanArgs,
    shop: &Shop,
    planned: &Planned,
    shares: &Shares,
    watch: &TerminalWatch,
) -> Confidence {
    let settings = settings(&args.search);
    let operations = planned.schedule.schedule().operations.len();
    let asked = Asked {
        runs: runs_within(operations, shares.sure / 2.0),
        seed: settings.seed,
        threads: settings.threads,
        remedied: REMEDIED,
    };
    assess(shop, planned, &asked, &watch.until(shares.remedies))
}

/// Tells faults and warnings; remarks are only counted, since `check` shows them.
pub fn tell_findings(findings: &[Finding]) {
    for finding in findings.iter().filter(|finding| finding.severity != Severity::Note) {
        console::tell(&format!("{finding}\n"));
    }
    let notes = shop_folder::count(findings, Severity::Note);
    if notes > 0 {
        console::tell(&format!("{}: `elbowroom check` shows them\n", shop_folder::counted(notes, "remark")));
    }
}

/// The shop, if its files have no fault.
pub fn whole_shop(read: &Read) -> Result<&Shop, Exit> {
    match &read.loaded.shop {
        Some(shop) if !read.loaded.has_errors() => Ok(shop),
        _ => {
            console::tell("nothing was planned: mend the faults above (`elbowroom check` lists them again)");
            Err(Exit::BadInput)
        }
    }
}

/// Writes the out folder and prints the result.
fn finish(args: &PlanArgs, shop: &Shop, planned: &Planned, kept: &Kept) -> Result<(), Exit> {
    let as_json = plan_json(&planned.plan);
    let mut files: Vec<(String, Vec<u8>)> = vec![
        ("plan.json".to_owned(), as_json.clone().into_bytes()),
        ("problem.json".to_owned(), elbowroom_contract::write_problem(&planned.problem).into_bytes()),
        (
            "schedule.json".to_owned(),
            elbowroom_contract::write_schedule(&planned.problem, planned.schedule.schedule()).into_bytes(),
        ),
    ];
    if kept.announced > 0 {
        let text = format!("{:#}\n", kept_json(kept, &planned.plan.clock));
        files.push(("kept.json".to_owned(), text.into_bytes()));
    }
    let options = RenderOptions { made: Some(Utc::now()), ..RenderOptions::default() };
    let rendered = render(&planned.plan, &options);
    let for_cells = render_sheets(&planned.plan, &sheets(shop, &planned.plan));
    files.extend(rendered.into_iter().chain(for_cells).map(|file| (file.name, file.bytes)));
    write_folder(&args.out, &files).map_err(|error| {
        console::tell(&format!("error: {error}\n  hint: {}", error.remedy()));
        Exit::NotWritten
    })?;
    if args.json {
        console::print(&as_json);
    } else {
        console::print(&summary(&planned.plan, console::width()));
        console::print(&format!(
            "\nwritten to {}; begin with {}",
            args.out.display(),
            args.out.join("report.html").display()
        ));
    }
    Ok(())
}

pub(super) fn tell_failure(error: &PlanError) -> Exit {
    console::tell(&format!("error: {error}"));
    match error {
        PlanError::NothingToPlan { .. } | PlanError::NoneFound { .. } => Exit::NoSchedule,
        PlanError::OurFault { .. } => Exit::OurFault,
    }
}
