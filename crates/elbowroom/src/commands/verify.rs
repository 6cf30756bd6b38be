use super::{read_bytes, read_problem, tell_faults};
use crate::args::VerifyArgs;
use crate::console;
use crate::exit::Exit;
use elbowroom_verify::{Rejected, VerifiedSchedule, verify};
use serde_json::json;

/// Checks a schedule against its problem.
pub fn run(args: &VerifyArgs) -> Exit {
    match judge(args) {
        Ok(exit) | Err(exit) => exit,
    }
}

fn judge(args: &VerifyArgs) -> Result<Exit, Exit> {
    let problem = read_problem(&args.problem)?;
    let bytes = read_bytes(&args.schedule)?;
    let schedule = elbowroom_contract::read_schedule(&bytes, &problem)
        .map_err(|faults| tell_faults(&args.schedule, &faults))?;
    Ok(match verify(&problem, schedule) {
        Ok(schedule) => {
            console::print(&valid(&schedule, args.json));
            Exit::Done
        }
        Err(rejected) => {
            console::print(&invalid(&rejected, args.json));
            Exit::Invalid
        }
    })
}

fn valid(verified: &VerifiedSchedule, json: bool) -> String {
    let figures = verified.figures();
    if json {
        return json!({
            "valid": true,
            "violations": [],
            "objective": figures.objective,
            "late_jobs": figures.late_jobs,
            "setup_minutes": figures.setup_minutes.count(),
        })
        .to_string();
    }
    format!(
        "valid: objective {:.6}, {} late, {} changeover minutes, {} purchase(s)",
        figures.objective,
        figures.late_jobs,
        figures.setup_minutes.count(),
        verified.schedule().purchases.len()
    )
}

fn invalid(rejected: &Rejected, json: bool) -> String {
    if json {
        let violations: Vec<_> = rejected
            .violations
            .iter()
            .map(|v| json!({ "rule": v.rule.code(), "place": v.place, "what": v.what }))
            .collect();
        return json!({ "valid": false, "violations": violations }).to_string();
    }
    let mut text = String::new();
    for violation in &rejected.violations {
        text += &format!("{violation}\n");
    }
    text + &format!("not valid: {} violation(s)", rejected.violations.len())
}
