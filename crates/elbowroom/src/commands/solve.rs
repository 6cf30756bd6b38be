use super::{gap, read_problem};
use crate::args::{SearchArgs, SolveArgs};
use crate::console;
use crate::exit::Exit;
use crate::watch::TerminalWatch;
use elbowroom_engine::{Failure, Settings};
use elbowroom_problem::Problem;
use elbowroom_verify::{VerifiedSchedule, verify};
use serde_json::json;
use std::time::Duration;

/// What helps a job that cannot be made.
const IMPOSSIBLE_HINT: &str = "hint: more working time or crew hours, a tool that comes earlier, another option or \
                               route, or a later horizon";
/// What helps where nothing was found.
const NONE_FOUND_HINT: &str = "hint: more --seconds, or a later horizon";

/// Solves one problem file.
pub fn run(args: &SolveArgs) -> Exit {
    match solve(args) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

fn solve(args: &SolveArgs) -> Result<(), Exit> {
    let problem = read_problem(&args.problem)?;
    let watch = TerminalWatch::start(Duration::from_secs_f64(args.search.seconds));
    let answer = elbowroom_engine::solve(&problem, &settings(&args.search), &watch);
    console::end_progress();
    let answer = answer.map_err(|failure| tell_failure(&problem, &failure))?;
    let schedule = verify(&problem, answer.schedule).map_err(|rejected| {
        console::tell(&format!("fault of the program: its own answer is not valid\n{rejected}"));
        Exit::OurFault
    })?;
    if let Some(path) = &args.out {
        let text = elbowroom_contract::write_schedule(&problem, schedule.schedule());
        elbowroom_files::write_file(path, text.as_bytes()).map_err(|error| {
            console::tell(&format!("error: {error}"));
            Exit::NotWritten
        })?;
    }
    let seconds = elbowroom_engine::Watch::elapsed(&watch).as_secs_f64();
    console::print(&if args.json { as_json(&schedule, seconds) } else { as_text(&schedule, seconds) });
    Ok(())
}

/// The engine's settings from the command line.
pub fn settings(args: &SearchArgs) -> Settings {
    let threads = match args.threads {
        Some(threads) => usize::from(threads),
        None => std::thread::available_parallelism().map_or(1, usize::from),
    };
    Settings { threads, seed: args.seed, iterations: args.steps }
}

/// Tells why there is no schedule.
fn tell_failure(problem: &Problem, failure: &Failure) -> Exit {
    console::tell(&match failure {
        Failure::Impossible { job, why } => {
            format!(
                "error: no valid schedule exists: job `{}` cannot be made: {why}\n{IMPOSSIBLE_HINT}",
                problem.job(*job).id
            )
        }
        Failure::NoneFound { job: Some(job), why } => {
            format!(
                "error: no valid schedule was found: job `{}`: {why}\n{NONE_FOUND_HINT}",
                problem.job(*job).id
            )
        }
        Failure::NoneFound { job: None, why } => {
            format!("error: no valid schedule was found: {why}\n{NONE_FOUND_HINT}")
        }
    });
    Exit::NoSchedule
}

fn as_json(verified: &VerifiedSchedule, seconds: f64) -> String {
    let schedule = verified.schedule();
    let gap = schedule.lower_bound.map(|bound| gap(schedule.objective, bound));
    json!({
        "objective": schedule.objective,
        "lower_bound": schedule.lower_bound,
        "gap": gap,
        "seconds": (seconds * 1000.0).round() / 1000.0,
        "late_jobs": verified.figures().late_jobs,
    })
    .to_string()
}

fn as_text(verified: &VerifiedSchedule, seconds: f64) -> String {
    let (schedule, figures) = (verified.schedule(), verified.figures());
    let mut text = format!(
        "valid schedule: objective {:.2}, {} late, {} changeover minutes, {} purchase(s), {seconds:.1} s\n",
        schedule.objective,
        figures.late_jobs,
        figures.setup_minutes.count(),
        schedule.purchases.len()
    );
    text += &match schedule.lower_bound {
        Some(bound) if gap(schedule.objective, bound) < 1e-6 => "no schedule is better (proved)\n".to_owned(),
        Some(bound) => format!(
            "no schedule is below {bound:.2}: this one is at most {:.1}% above the best possible\n",
            100.0 * gap(schedule.objective, bound)
        ),
        None => "nothing is proved about how much better a schedule could be\n".to_owned(),
    };
    text
}
