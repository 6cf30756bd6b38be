//! Problems that nobody should ask: each is refused with its culprit, shown to be impossible with a
//! reason, or solved with a schedule that the verifier and the independent referee accept.

use elbowroom_contract::{read_problem, write_problem, write_schedule};
use elbowroom_engine::{Answer, Failure, Settings, Watch, solve};
use elbowroom_problem::Problem;
use elbowroom_tests::extremes::odd_parts;
use elbowroom_tests::program::run;
use elbowroom_tests::referee::judge;
use elbowroom_tests::watches::{Unhurried, WallClock};
use elbowroom_verify::verify;
use serde_json::{Value, json};
use std::time::Duration;

const STEPS: u64 = 400;
/// The referee counts minute by minute, so that it is asked about ordinary horizons only.
const REFEREE_HORIZON: i64 = 100_000;
const LAST: i64 = 1 << 30;

/// A sound little shop: J-1 is cut on `saw` and bent on `bender` with the die, J-2 is bent.
fn shop() -> Value {
    let option = |cell: &str, run: i64, key: &str, tools: &[&str], setup_crew: Option<&str>| json!({ "cell": cell, "run": run, "setup_key": key, "tools": tools, "setup_crew": setup_crew });
    let open = json!([[0, 480], [1440, 1920]]);
    json!({
        "format": "elbowroom-problem/1", "name": "odd", "objective": "cost", "horizon": 3000,
        "cells": [
            { "id": "saw", "windows": open },
            { "id": "bender", "windows": open, "run_rate": 1.0, "setup_rate": 0.5,
              "changeover": { "default": 20, "same": 0 } },
        ],
        "tools": [{ "id": "die", "count": 1, "available_from": 0 }],
        "crews": [{ "id": "setter", "capacity": [[0, 1920, 1]] }],
        "jobs": [
            { "id": "J-1", "release": 0, "due": 300, "late_cost_per_day": 144.0, "routes": [{ "id": "r", "operations": [
                { "id": "cut", "options": [option("saw", 30, "cut", &[], None)] },
                { "id": "bend", "options": [option("bender", 100, "k-1", &["die"], Some("setter"))] },
            ] }] },
            { "id": "J-2", "release": 0, "due": 200, "late_cost_per_day": 14.4, "routes": [{ "id": "r", "operations": [
                { "id": "bend", "options": [option("bender", 60, "k-2", &[], Some("setter"))] },
            ] }] },
        ],
    })
}

/// What becomes of a problem.
enum Expected {
    /// A fault of the file, with these words.
    Refused(&'static [&'static str]),
    /// There is no schedule because of this job, with these words.
    Impossible(&'static str, &'static [&'static str]),
    /// A schedule of this objective.
    Solved(f64),
    /// Some valid schedule.
    Valid,
}
use Expected::{Impossible, Refused, Solved, Valid};

/// Checks a problem that differs from [`shop`].
fn check(label: &str, change: impl FnOnce(&mut Value), expected: &Expected) {
    let mut value = shop();
    change(&mut value);
    check_text(label, value.to_string().as_bytes(), expected);
}

fn check_text(label: &str, text: &[u8], expected: &Expected) {
    let contains = |text: &str, words: &[&str]| {
        for word in words {
            assert!(text.contains(word), "{label}: `{word}` is not said: {text}");
        }
    };
    let problem = match (read_problem(text), expected) {
        (Ok(problem), _) => problem,
        (Err(faults), Refused(words)) => return contains(&format!("{faults:?}"), words),
        (Err(faults), _) => panic!("{label}: refused: {faults:?}"),
    };
    let settings = Settings { threads: 1, seed: 1, iterations: Some(STEPS) };
    match (solve(&problem, &settings, &Unhurried), expected) {
        (Err(Failure::Impossible { job, why }), Impossible(id, words)) => {
            assert_eq!(problem.job(job).id, *id, "{label}: {why}");
            contains(&why, words);
        }
        (Ok(answer), Solved(_) | Valid) => {
            let found = answer.schedule.objective;
            accepted(label, &problem, answer);
            if let Solved(objective) = expected {
                assert!((found - objective).abs() <= 1e-6 * objective.abs(), "{label}: {found}");
            }
        }
        (Ok(_), _) => panic!("{label}: there is a schedule"),
        (Err(failure), _) => panic!("{label}: {failure:?}"),
    }
}

/// The schedule is valid for the verifier and, where it can say so soon, for the referee.
fn accepted(label: &str, problem: &Problem, answer: Answer) {
    let claimed = answer.schedule.objective;
    let verified = verify(problem, answer.schedule).unwrap_or_else(|why| panic!("{label}: {why}"));
    if let Some(bound) = verified.schedule().lower_bound {
        assert!(bound <= claimed * (1.0 + 1e-9), "{label}: bound {bound} above {claimed}");
    }
    if problem.horizon.get() <= REFEREE_HORIZON {
        let pair = (write_problem(problem), write_schedule(problem, verified.schedule()));
        let opinion = &judge(&[pair])[0];
        assert!(opinion.is_valid(), "{label}: {opinion:?}");
    }
}

#[test]
fn the_unchanged_shop_is_solved() {
    // J-2 first: set up 0 to 20, run to 80, set up to 100, run to 200. 160 minutes of running,
    // 40 of changing over at 0.5, nobody late. By hand.
    check("unchanged", |_| {}, &Solved(180.0));
}

#[test]
fn nothing_to_do_or_nowhere_to_do_it() {
    check("no jobs", |p| p["jobs"] = json!([]), &Refused(&["jobs", "at least 1"]));
    check("no routes", |p| p["jobs"][0]["routes"] = json!([]), &Refused(&["routes", "at least 1"]));
    let no_operations = |p: &mut Value| p["jobs"][0]["routes"][0]["operations"] = json!([]);
    check("no operations", no_operations, &Refused(&["operations", "at least 1"]));
    check("no cells", |p| p["cells"] = json!([]), &Refused(&["saw", "bender"]));
    check(
        "no cells, all outside",
        |p| {
            p["cells"] = json!([]);
            for job in [0, 1] {
                p["jobs"][job]["routes"][0]["operations"] =
                    json!([{ "id": "away", "options": [{ "cell": null, "run": 300 }] }]);
            }
        },
        // J-2 is 100 minutes late at 0.01 a minute.
        &Solved(1.0),
    );
    check_text("empty file", b"", &Refused(&["empty"]));
    check_text("empty object", b"{}", &Refused(&["format"]));
    check_text("no text", b"\xff\xfe", &Refused(&["UTF-8"]));
}

#[test]
fn time_that_is_not_there() {
    let closed = |p: &mut Value| p["cells"][1]["windows"] = json!([]);
    check("a cell without windows", closed, &Impossible("J-1", &["bend", "`bender`"]));
    let one_minute = |p: &mut Value| p["cells"][1]["windows"] = json!([[0, 1]]);
    check("a cell open for a minute", one_minute, &Impossible("J-1", &["bend", "`bender`"]));
    check("a horizon of a minute", |p| p["horizon"] = json!(1), &Impossible("J-1", &["cut", "minute 1"]));
    let released = |p: &mut Value| p["jobs"][1]["release"] = json!(2999);
    check("released too late", released, &Impossible("J-2", &["bend"]));
    let lag = |p: &mut Value| p["jobs"][0]["routes"][0]["operations"][0]["lag_after"] = json!(LAST);
    check("an endless lag", lag, &Impossible("J-1", &["bend"]));
    let die = |p: &mut Value| p["tools"][0]["available_from"] = json!(LAST);
    check("a die that comes too late", die, &Impossible("J-1", &["bend", "minute 1073741824"]));
    let offer = |p: &mut Value| {
        p["tools"][0] = json!({ "id": "die", "count": 1, "offer": { "price": 10.0, "lead": 3000 } });
    };
    check("an offer that comes too late", offer, &Impossible("J-1", &["bend", "minute 3000"]));
    let other_way = |p: &mut Value| {
        p["cells"][1]["windows"] = json!([]);
        for (job, k) in [(0, 1), (1, 0)] {
            let options = &mut p["jobs"][job]["routes"][0]["operations"][k]["options"];
            options.as_array_mut().unwrap().push(json!({ "cell": null, "run": 10, "cost": 5.0 }));
        }
    };
    check("a closed cell, and another way", other_way, &Solved(10.0));
}

#[test]
fn nobody_is_there() {
    let nobody = |p: &mut Value| p["crews"][0]["capacity"] = json!([]);
    check("no hours of the setters", nobody, &Impossible("J-1", &["bend", "`setter`"]));
    let no_heads = |p: &mut Value| p["crews"][0]["capacity"] = json!([[0, 3000, 0]]);
    check("no heads", no_heads, &Impossible("J-1", &["bend", "`setter`"]));
    let at_night = |p: &mut Value| p["crews"][0]["capacity"] = json!([[480, 1440, 3]]);
    check("only when the cell is closed", at_night, &Impossible("J-1", &["bend", "`setter`"]));
    let runs = |p: &mut Value| {
        p["crews"][0]["capacity"] = json!([]);
        let option = &mut p["jobs"][1]["routes"][0]["operations"][0]["options"][0];
        (option["setup_crew"], option["run_crew"]) = (Value::Null, json!("setter"));
        p["jobs"].as_array_mut().unwrap().remove(0);
    };
    check("nobody to run it", runs, &Impossible("J-2", &["bend", "`setter`"]));
    let mounted = |p: &mut Value| {
        p["crews"][0]["capacity"] = json!([]);
        p["cells"][1]["initial_setup"] = json!("k-2");
        p["jobs"].as_array_mut().unwrap().remove(0);
    };
    check("nobody to set up what is mounted", mounted, &Solved(60.0));
    let crowd = |p: &mut Value| p["crews"][0]["capacity"] = json!([[0, 1920, u32::MAX]]);
    check("four billion setters", crowd, &Solved(180.0));
    let one_more = |p: &mut Value| p["crews"][0]["capacity"] = json!([[0, 1920, 1_u64 << 32]]);
    check("too many setters", one_more, &Refused(&["4294967296", "4294967295"]));
}

#[test]
fn work_of_no_length_or_without_end() {
    let run = |run: i64| {
        move |p: &mut Value| {
            p["jobs"][0]["routes"][0]["operations"][0]["options"][0]["run"] = json!(run);
        }
    };
    check("a run of nothing", run(0), &Refused(&["run", "0", "from 1"]));
    check("a run before it begins", run(-5), &Refused(&["run", "-5"]));
    check("a run longer than all windows", run(961), &Impossible("J-1", &["cut", "`saw`", "961", "960"]));
    check("a run of 2,000 years", run(LAST), &Impossible("J-1", &["cut", "`saw`"]));
    check("a run of more", run(LAST + 1), &Refused(&["1073741825", "1073741824"]));
    let outside = |p: &mut Value| {
        p["jobs"][1]["routes"][0]["operations"] =
            json!([{ "id": "away", "options": [{ "cell": null, "run": 0 }] }]);
    };
    // 100 minutes of bending, 20 of changing over.
    check("an outside step of nothing", outside, &Solved(110.0));
    let setup = |p: &mut Value| p["cells"][1]["changeover"]["default"] = json!(LAST);
    check("a giant changeover", setup, &Impossible("J-1", &["bend", "`bender`", "1073741824"]));
    let tiny = |p: &mut Value| {
        let windows: Vec<[i64; 2]> = (0..3000).map(|i| [2 * i, 2 * i + 1]).collect();
        p["cells"][1]["windows"] = json!(windows);
        p["horizon"] = json!(6000);
    };
    check("3,000 windows of a minute", tiny, &Valid);
}

#[test]
fn numbers_at_the_edge() {
    let set = |key: &'static str, text: &str| shop().to_string().replacen(key, text, 1);
    let horizon = |text: &str| set("\"horizon\":3000", &format!("\"horizon\":{text}"));
    let refused = |label: &str, text: String, words| check_text(label, text.as_bytes(), &Refused(words));
    refused("2^63", horizon("9223372036854775808"), &["horizon"]);
    refused("2^63 - 1", horizon("9223372036854775807"), &["horizon", "9223372036854775807"]);
    refused("too long by a minute", horizon("1073741825"), &["horizon", "1073741825", "1073741824"]);
    refused("nothing", horizon("0"), &["horizon", "0"]);
    refused("no integer", horizon("3000.0"), &["horizon", "3000.0"]);
    refused("NaN", horizon("NaN"), &["JSON"]);
    refused("Infinity", horizon("-Infinity"), &["JSON"]);
    refused("an infinite rate", set("\"run_rate\":1.0", "\"run_rate\":1e999"), &["run_rate"]);
    refused("a negative rate", set("\"run_rate\":1.0", "\"run_rate\":-0.1"), &["run_rate", "-0.1"]);
    refused("too much money", set("\"run_rate\":1.0", "\"run_rate\":1.1e15"), &["run_rate", "1e15"]);
    check("the longest horizon", |p| p["horizon"] = json!(LAST), &Solved(180.0));
    let always = |p: &mut Value| {
        p["horizon"] = json!(LAST);
        for cell in [0, 1] {
            p["cells"][cell]["windows"] = json!([[0, LAST]]);
        }
        p["jobs"][0]["due"] = json!(-LAST);
    };
    // J-1 first: it ends at 150 after 2^30 minutes of lateness at 0.1. J-2 then ends at 230, 30 late at 0.01.
    let late = (LAST as f64 + 150.0) * 0.1;
    check("2,000 years late", always, &Solved(late + 180.0 + 0.3));
    // Six runs of half the longest horizon on three cells: two on each.
    let giant = |p: &mut Value| {
        let names = ["a", "b", "c"];
        let options = names.map(|cell| json!({ "cell": cell, "run": LAST / 2, "setup_key": "any" }));
        let job = |j: i64| {
            json!({ "id": format!("J-{j}"), "release": 0, "due": 0, "late_cost_per_day": 0, "routes": [
                { "id": "r", "cost": 0, "operations": [{ "id": "o", "options": options }] }] })
        };
        p["objective"] = json!("makespan");
        p["horizon"] = json!(LAST);
        p["cells"] = json!(names.map(|cell| json!({ "id": cell, "windows": [[0, LAST]] })));
        p["jobs"] = (0..6).map(job).collect();
    };
    check("giant runs beside each other", giant, &Solved(LAST as f64));
}

#[test]
fn money_of_nothing_and_of_everything() {
    let free = |p: &mut Value| {
        for key in ["run_rate", "setup_rate"] {
            p["cells"][1][key] = json!(0.0);
        }
        for job in [0, 1] {
            p["jobs"][job]["late_cost_per_day"] = json!(0);
        }
    };
    check("nothing costs anything", free, &Solved(0.0));
    let dear = |p: &mut Value| {
        for key in ["run_rate", "setup_rate"] {
            p["cells"][1][key] = json!(1e15);
        }
        for job in [0, 1] {
            p["jobs"][job]["late_cost_per_day"] = json!(1e15);
        }
    };
    check("everything is as dear as can be", dear, &Solved(200.0 * 1e15));
    let tiny = |p: &mut Value| p["cells"][1]["setup_rate"] = json!(5e-324);
    check("the smallest number there is", tiny, &Solved(160.0));
}

#[test]
fn pinned_work_that_contradicts() {
    let pins = |pins: Value| move |p: &mut Value| p["pinned"] = pins;
    let pin = |job: &str, operation: &str, setup: i64, run: i64, end: i64| {
        json!({ "job": job, "route": "r", "operation": operation, "option": 0,
                "setup_start": setup, "run_start": run, "end": end })
    };
    let both = json!([pin("J-1", "bend", 50, 50, 100), pin("J-2", "bend", 90, 90, 120)]);
    check("two at once on a cell", pins(both), &Impossible("J-2", &["`bender`", "minute 90"]));
    let beyond = json!([pin("J-2", "bend", 2900, 2900, 3001)]);
    check("beyond the horizon", pins(beyond), &Impossible("J-2", &["3001", "3000"]));
    let early = json!([pin("J-1", "bend", 10, 10, 110)]);
    check("before its part", pins(early), &Impossible("J-1", &["cut"]));
    let crossed = json!([pin("J-1", "cut", 200, 200, 230), pin("J-1", "bend", 10, 10, 110)]);
    check("bent before it is cut", pins(crossed), &Impossible("J-1", &["cut", "minute 230", "minute 10"]));
    let twice = json!([pin("J-2", "bend", 0, 0, 60), pin("J-2", "bend", 100, 100, 160)]);
    check("pinned twice", pins(twice), &Refused(&["pinned[1]", "twice"]));
    let backwards = json!([pin("J-2", "bend", 60, 30, 10)]);
    check("ends before it begins", pins(backwards), &Refused(&["pinned", "30"]));
    let nothing = json!([pin("J-2", "bend", 0, 0, 0)]);
    // 100 minutes of bending, 20 of changing over.
    check("over at once", pins(nothing), &Solved(110.0));
    let closed = json!([pin("J-2", "bend", 600, 600, 700)]);
    check("while the cell is closed", pins(closed), &Valid);
}

#[test]
fn one_cell_and_five_hundred() {
    let one = |p: &mut Value| {
        p["cells"].as_array_mut().unwrap().remove(0);
        p["jobs"][0]["routes"][0]["operations"].as_array_mut().unwrap().remove(0);
    };
    check("one cell", one, &Solved(180.0));
    let many = |p: &mut Value| {
        let bender = p["cells"][1].clone();
        for i in 0..500 {
            let mut cell = bender.clone();
            cell["id"] = json!(format!("bender-{i}"));
            p["cells"].as_array_mut().unwrap().push(cell);
        }
        let option = p["jobs"][1]["routes"][0]["operations"][0]["options"][0].clone();
        let options: Vec<Value> = (0..500)
            .map(|i| {
                let mut option = option.clone();
                option["cell"] = json!(format!("bender-{i}"));
                option["setup_crew"] = Value::Null;
                option
            })
            .collect();
        let job = p["jobs"][1].clone();
        for i in 0..60 {
            let mut job = job.clone();
            job["id"] = json!(format!("K-{i}"));
            job["routes"][0]["operations"][0]["options"] = json!(options);
            p["jobs"].as_array_mut().unwrap().push(job);
        }
    };
    check("500 cells", many, &Valid);
}

#[test]
fn too_much_work_for_the_horizon_names_a_job() {
    let mut value = shop();
    value["jobs"][0]["routes"][0]["operations"][1]["options"][0]["run"] = json!(900);
    value["jobs"][1]["routes"][0]["operations"][0]["options"][0]["run"] = json!(900);
    let problem = read_problem(value.to_string().as_bytes()).unwrap();
    let settings = Settings { threads: 1, seed: 1, iterations: Some(STEPS) };
    let failure = solve(&problem, &settings, &Unhurried).expect_err("1,800 minutes in 960");
    assert!(matches!(failure, Failure::Impossible { .. }), "{failure:?}");
}

#[test]
fn the_program_says_what_is_impossible_and_what_would_help() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("closed.json");
    let mut value = shop();
    value["cells"][1]["windows"] = json!([]);
    std::fs::write(&file, value.to_string()).unwrap();
    let ran = run(&["solve", file.to_str().unwrap(), "--seconds", "5"]);
    assert_eq!(ran.code, 3, "{ran:?}");
    for word in ["`J-1`", "`bend`", "`bender`", "hint: "] {
        assert!(ran.stderr.contains(word), "`{word}` is not said: {}", ran.stderr);
    }
}

/// A watch that asks to stop after a number of looks at it.
struct Impatient(std::sync::atomic::AtomicU32);

impl Watch for Impatient {
    fn elapsed(&self) -> Duration {
        Duration::ZERO
    }

    fn limit(&self) -> Duration {
        Duration::from_secs(3600)
    }

    fn cancelled(&self) -> bool {
        use std::sync::atomic::Ordering::Relaxed;
        self.0.fetch_update(Relaxed, Relaxed, |left| Some(left.saturating_sub(1))) == Ok(0)
    }
}

/// What was made of an odd problem, in whichever way it was asked.
fn outcome(label: &str, problem: &Problem, seed: u64) -> Option<(String, String)> {
    let steps = Settings { threads: 1 + seed as usize % 2, seed, iterations: Some(STEPS / 2) };
    let answer = match seed % 4 {
        0 => {
            let limit = Duration::from_millis(50);
            let clock = WallClock::new(limit);
            let answer = solve(problem, &Settings { iterations: None, ..steps }, &clock);
            // The machine may be busy; how exactly time is kept is another test's question.
            assert!(clock.elapsed() < limit + Duration::from_secs(5), "{label}: {:?}", clock.elapsed());
            answer
        }
        1 => solve(problem, &steps, &Impatient((seed as u32 % 97).into())),
        _ => solve(problem, &steps, &Unhurried),
    };
    let answer = match answer {
        Ok(answer) => answer,
        Err(Failure::Impossible { why, .. } | Failure::NoneFound { why, .. }) => {
            assert!(!why.is_empty(), "{label}: no reason");
            return None;
        }
    };
    let claimed = answer.schedule.objective;
    let verified = verify(problem, answer.schedule).unwrap_or_else(|why| panic!("{label}: {why}"));
    if let Some(bound) = verified.schedule().lower_bound {
        assert!(bound <= claimed * (1.0 + 1e-9), "{label}: bound {bound} above {claimed}");
    }
    let judged = problem.horizon.get() <= REFEREE_HORIZON;
    judged.then(|| (write_problem(problem), write_schedule(problem, verified.schedule())))
}

/// No panic, no hang; every schedule valid; every bound below it; every refusal with its reasons.
#[test]
fn small_shops_made_odd() {
    let (mut refused, mut labels, mut pairs) = (0, Vec::new(), Vec::new());
    for seed in 0..600 {
        let label = format!("odd shop {seed}");
        match Problem::new(odd_parts(seed)) {
            Err(faults) => {
                refused += 1;
                assert!(!faults.is_empty(), "{label}");
                assert!(
                    faults.iter().all(|f| !f.place.is_empty() && !f.what.is_empty()),
                    "{label}: {faults:?}"
                );
            }
            Ok(problem) => {
                let again = read_problem(write_problem(&problem).as_bytes());
                assert!(again.as_ref() == Ok(&problem), "{label}: read back differently: {again:?}");
                if let Some(pair) = outcome(&label, &problem, seed) {
                    labels.push(label);
                    pairs.push(pair);
                }
            }
        }
    }
    println!("600 odd shops: {refused} refused, {} solved and judged", pairs.len());
    for (label, opinion) in labels.iter().zip(judge(&pairs)) {
        assert!(opinion.is_valid(), "{label}: {opinion:?}");
    }
    assert!(pairs.len() >= 100, "only {} schedules were judged: the changes are too harsh", pairs.len());
}
