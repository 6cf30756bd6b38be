//! Kills the service while clients record and publish, and looks for what had been acknowledged.

use crate::serving::Serving;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;

/// What the service has acknowledged so far.
#[derive(Debug, Default)]
pub struct Acknowledged {
    /// Reports by their number.
    pub reports: BTreeMap<i64, Value>,
    /// Published plans: number and version.
    pub published: BTreeMap<i64, i64>,
}

/// Starts the service, looks whether everything acknowledged before is there, has clients record and
/// publish until it is killed, and notes what was acknowledged.
///
/// # Errors
/// What was missing or half.
pub fn kill_one(store: &Path, known: &mut Acknowledged, run: u64, after: Duration) -> Result<(), String> {
    let service = Serving::start(store, &["--threads", "1"], None);
    is_whole(&service, known)?;
    let (reports, published) = std::thread::scope(|scope| {
        let recording = scope.spawn(|| record_until_gone(&service, run));
        let publishing = scope.spawn(|| publish_until_gone(&service));
        std::thread::sleep(after);
        service.kill_now();
        (recording.join().expect("it does not panic"), publishing.join().expect("it does not panic"))
    });
    known.reports.extend(reports);
    known.published.extend(published);
    Ok(())
}

/// Whether everything acknowledged is there, and every plan whole.
///
/// # Errors
/// What is missing or half.
pub fn is_whole(service: &Serving, known: &Acknowledged) -> Result<(), String> {
    let reports = whole_list(service, "/api/v1/reports?limit=500")?;
    for (id, told) in &known.reports {
        let kept = reports.iter().find(|kept| kept["id"] == *id);
        if kept != Some(told) {
            return Err(format!("report {id} was acknowledged as {told} and is kept as {kept:?}"));
        }
    }
    let plans = whole_list(service, "/api/v1/plans?limit=500")?;
    for (id, version) in &known.published {
        let kept = plans.iter().find(|plan| plan["id"] == *id);
        if kept.is_none_or(|plan| plan["version"] != *version) {
            return Err(format!("plan {id} was published as version {version} and is kept as {kept:?}"));
        }
    }
    versions_follow_each_other(&plans)?;
    plans.first().map_or(Ok(()), |newest| has_documents(service, &newest["id"]))
}

fn versions_follow_each_other(plans: &[Value]) -> Result<(), String> {
    let mut versions: Vec<i64> = plans.iter().filter_map(|plan| plan["version"].as_i64()).collect();
    versions.sort_unstable();
    let whole: Vec<i64> = (1..).take(versions.len()).collect();
    if versions == whole { Ok(()) } else { Err(format!("versions have gaps: {versions:?}")) }
}

/// The newest plan is the one that a kill could have halved.
fn has_documents(service: &Serving, id: &Value) -> Result<(), String> {
    let plan = service.get(&format!("/api/v1/plans/{id}")).map_err(|error| error.to_string())?.json();
    let names: Vec<&str> =
        plan["documents"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    for name in ["plan.json", "problem.json", "schedule.json", "making.json", "inputs/shop.toml"] {
        let document = service.get(&format!("/api/v1/plans/{id}/documents/{name}"));
        if !names.contains(&name)
            || document.is_err()
            || document.is_ok_and(|document| document.status != 200)
        {
            return Err(format!("plan {id} has no whole {name}, only {names:?}"));
        }
    }
    Ok(())
}

/// Every part of a list.
fn whole_list(service: &Serving, first: &str) -> Result<Vec<Value>, String> {
    let (mut path, mut all) = (first.to_owned(), Vec::new());
    loop {
        let answer = service.get(&path).map_err(|error| format!("{path}: {error}"))?;
        if answer.status != 200 {
            return Err(format!("{path}: {answer:?}"));
        }
        let part = answer.json();
        all.extend(part["items"].as_array().cloned().unwrap_or_default());
        match part["next"].as_str() {
            Some(next) => next.clone_into(&mut path),
            None => return Ok(all),
        }
    }
}

/// Starts and stops a lot again and again; returns what was acknowledged.
fn record_until_gone(service: &Serving, run: u64) -> Vec<(i64, Value)> {
    let mut acknowledged = Vec::new();
    for number in 0.. {
        let Ok(cells) = service.get("/api/v1/cells") else { break };
        let Some((lot, event)) = next_report(&cells.json()) else { break };
        let mut body = json!({ "order": lot["order"], "step": lot["step"], "event": event, "key": format!("{run}-{number}") });
        if event == "stopped" {
            body["reason"] = json!("soak");
        }
        match service.post("/api/v1/reports", &[], &body) {
            Ok(answer) if answer.status == 201 => {
                let view = answer.json();
                acknowledged.push((view["id"].as_i64().unwrap_or_default(), view));
            }
            // Refused for a while, or another plan has been published meanwhile.
            Ok(_) => std::thread::sleep(Duration::from_millis(20)),
            Err(_) => break,
        }
    }
    acknowledged
}

/// A lot, and what can be reported on it.
fn next_report(cells: &Value) -> Option<(Value, &'static str)> {
    let mut cells = cells["cells"].as_array()?.iter();
    let cell = cells.find(|cell| !cell["now"][0].is_null() || !cell["next"][0].is_null())?;
    match &cell["now"][0] {
        Value::Null => Some((cell["next"][0].clone(), "started")),
        lot if lot["progress"]["state"] == "running" => Some((lot.clone(), "stopped")),
        lot => Some((lot.clone(), "started")),
    }
}

/// Plans anew and publishes again and again; returns the plans whose publication was acknowledged.
fn publish_until_gone(service: &Serving) -> Vec<(i64, i64)> {
    let mut acknowledged = Vec::new();
    while let Some(published) = publish_one(service) {
        acknowledged.extend(published);
    }
    acknowledged
}

/// `None` if the service is gone; the plan's number and version if it was published.
fn publish_one(service: &Serving) -> Option<Option<(i64, i64)>> {
    let begun = service.post("/api/v1/solves", &[], &json!({ "seconds": 0.1 })).ok()?;
    if begun.status != 202 {
        // Refused for a while.
        std::thread::sleep(Duration::from_millis(20));
        return Some(None);
    }
    let place = begun.header("location").to_owned();
    let plan = loop {
        let solve = service.get(&place).ok()?.json();
        match solve["state"].as_str() {
            Some("running") => std::thread::sleep(Duration::from_millis(20)),
            Some("done") => break solve["plan"].clone(),
            _ => return Some(None),
        }
    };
    let seen = service.get("/api/v1/plan").ok()?.header("etag").to_owned();
    let path = format!("/api/v1/plans/{plan}/publish");
    let published = service.post(&path, &[("If-Match", &seen)], &json!({})).ok()?;
    let view = if published.status == 200 { published.json() } else { return Some(None) };
    Some(view["id"].as_i64().zip(view["version"].as_i64()))
}
