//! What recorded times say about the standard times, for other people's programs.

use chrono_tz::Tz;
use elbowroom_lookback::estimates::{Estimate, Estimates};
use elbowroom_lookback::learning::Learning;
use elbowroom_lookback::{Robust, Span};
use serde_json::{Value, json};

/// Estimates as JSON; factors are actual over standard time. `used` gives the factors on running and
/// changing over that are planned with now.
#[must_use]
pub fn estimates_json(
    found: &Estimates,
    least: usize,
    used: &dyn Fn(&Estimate) -> (f64, f64),
    period: Span,
    zone: Tz,
) -> Value {
    let robust = |robust: &Option<Robust>| {
        robust.as_ref().map(|robust| {
            json!({
                "lots": robust.count,
                "median": robust.median,
                "quartiles": [robust.quartiles.0, robust.quartiles.1],
                "sure_95": robust.sure.map(|(low, high)| [low, high]),
                "variation": robust.variation(),
                "offered": robust.count >= least,
            })
        })
    };
    let one = |estimate: &Estimate| {
        let (run, setup) = used(estimate);
        json!({
            "work": estimate.work,
            "tube": estimate.tube,
            "run": robust(&estimate.run),
            "run_variation": estimate.run_variation,
            "run_used_now": run,
            "setup": robust(&estimate.setup),
            "setup_used_now": setup,
        })
    };
    let learning = |one: &Learning| {
        json!({
            "part": one.part,
            "work": one.work,
            "lots": one.lots,
            "pieces": one.pieces,
            "rate": one.rate,
            "sure_95": one.sure.map(|(low, high)| [low, high]),
            "shows": one.shows(),
        })
    };
    json!({
        "from": period.0.with_timezone(&zone).to_rfc3339(),
        "until": period.1.with_timezone(&zone).to_rfc3339(),
        "least_lots": least,
        "lots": found.lots,
        "undivided": found.undivided,
        "unknown": found.unknown,
        "estimates": found.estimates.iter().map(one).collect::<Vec<_>>(),
        "learning": found.learning.iter().map(learning).collect::<Vec<_>>(),
    })
}
