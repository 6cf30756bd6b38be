//! One small valid schedule, and variants of it that each break one rule.
//!
//! The case and its variants are those of the independent referee's own self-test
//! (`tests/referee/check_schedule.py --self-test`); the codes expected were derived by hand from
//! the text of the contract.

use elbowroom_contract::{read_problem, read_schedule};
use elbowroom_verify::verify;
use serde_json::{Value, json};
use std::collections::BTreeSet;

const PROBLEM: &str = include_str!("../cases/small.problem.json");
const SCHEDULE: &str = include_str!("../cases/small.schedule.json");

type Edit = fn(&mut Value, &mut Value);

/// The codes of the rules broken after an edit; `file` where a reader refused a file.
fn codes(edit: Edit) -> (Vec<String>, String) {
    let mut problem: Value = serde_json::from_str(PROBLEM).expect("the case is JSON");
    let mut schedule: Value = serde_json::from_str(SCHEDULE).expect("the case is JSON");
    edit(&mut problem, &mut schedule);
    let problem = match read_problem(problem.to_string().as_bytes()) {
        Ok(problem) => problem,
        Err(faults) => return (vec!["file".to_owned()], format!("{faults:?}")),
    };
    let schedule = match read_schedule(schedule.to_string().as_bytes(), &problem) {
        Ok(schedule) => schedule,
        Err(faults) => return (vec!["file".to_owned()], format!("{faults:?}")),
    };
    match verify(&problem, schedule) {
        Ok(_) => (vec![], String::new()),
        Err(rejected) => {
            let codes: BTreeSet<_> = rejected.violations.iter().map(|v| v.rule.code().to_owned()).collect();
            (codes.into_iter().collect(), rejected.to_string())
        }
    }
}

fn passes(label: &str, edit: Edit) {
    breaks(label, &[], "", edit);
}

/// The edit breaks exactly the rules of `expected`, and the messages hold `needle`.
fn breaks(label: &str, expected: &[&str], needle: &str, edit: Edit) {
    let (codes, text) = codes(edit);
    assert_eq!(codes, expected, "{label}: {text}");
    assert!(text.contains(needle), "{label}: `{needle}` is not in: {text}");
}

fn by_name<'v>(list: &'v mut Value, name: &str) -> &'v mut Value {
    let list = list.as_array_mut().expect("a list");
    list.iter_mut().find(|each| each["id"] == name).expect("the case has it")
}

/// Puts the operation at a position of the schedule's list elsewhere in time.
fn put(schedule: &mut Value, index: usize, setup_start: i64, run_start: i64, end: i64) {
    let operation = &mut schedule["operations"][index];
    operation["setup_start"] = json!(setup_start);
    operation["run_start"] = json!(run_start);
    operation["end"] = json!(end);
}

fn claim_more(schedule: &mut Value, amount: f64) {
    let claimed = schedule["objective"].as_f64().expect("a number");
    schedule["objective"] = json!(claimed + amount);
}

fn first_option<'v>(problem: &'v mut Value, job: &str) -> &'v mut Value {
    &mut by_name(&mut problem["jobs"], job)["routes"][0]["operations"][0]["options"][0]
}

// Positions in the schedule's list.
const PINNED_CUT: usize = 0;
const J1_CUT: usize = 1;
const J1_BEND: usize = 2;
const J2_BEND: usize = 3;
const J3_BEND: usize = 4;
const J4_BEND: usize = 5;
const J4_PLATE: usize = 6;

#[test]
fn the_unspoiled_schedule_and_its_figures() {
    let problem = read_problem(PROBLEM.as_bytes()).expect("right");
    let schedule = read_schedule(SCHEDULE.as_bytes(), &problem).expect("right");
    let verified = verify(&problem, schedule).expect("valid");
    let figures = verified.figures();
    // Routes 5 x 5, bending 2 x (60 + 60 + 60 + 100), saw 30 + 45, setups 40 + 50 + 20,
    // plating 7, die 300; no job is late.
    assert_eq!(figures.objective, 25.0 + 560.0 + 75.0 + 110.0 + 7.0 + 300.0);
    assert_eq!(figures.cost.running.amount(), 560.0 + 75.0);
    assert_eq!(figures.cost.changing_over.amount(), 110.0);
    assert_eq!(figures.cost.total().amount(), figures.objective);
    assert_eq!(figures.late_jobs, 0);
    assert_eq!(figures.setup_minutes.count(), 110);
    let setups: Vec<i64> = figures.setups.iter().map(|setup| setup.count()).collect();
    assert_eq!(setups, [0, 0, 0, 40, 50, 20, 0]);
}

#[test]
fn variants_that_are_valid() {
    passes("unchanged", |_, _| {});
    passes("lateness is paid by the minute", |p, s| {
        by_name(&mut p["jobs"], "J4")["due"] = json!(1220); // 10 minutes late, 0.1 a minute
        claim_more(s, 1.0);
    });
    passes("no bound", |_, s| s["lower_bound"] = json!(null));
    passes("makespan", |p, s| {
        p["objective"] = json!("makespan");
        s["objective"] = json!(1230);
    });
    passes("weighted tardiness", |p, s| {
        p["objective"] = json!("tardiness");
        by_name(&mut p["jobs"], "J4")["due"] = json!(1200);
        by_name(&mut p["jobs"], "J4")["late_cost_per_day"] = json!(3);
        s["objective"] = json!(90);
        s["lower_bound"] = json!(0);
    });
    passes("a committed purchase is free", |p, s| {
        p["committed_purchases"] = json!(["die-b"]);
        s["purchases"] = json!([]);
        claim_more(s, -300.0);
    });
    passes("a setup may be done ahead of its part", |p, s| {
        by_name(&mut p["jobs"], "J3")["release"] = json!(700);
        put(s, J3_BEND, 330, 700, 760);
        put(s, J4_BEND, 760, 780, 880);
        put(s, J4_PLATE, 890, 890, 1390);
    });
    passes("no remount while a piece is left", |p, s| {
        by_name(&mut p["tools"], "die-a")["count"] = json!(2);
        put(s, J3_BEND, 330, 330, 390);
        claim_more(s, -50.0);
    });
    passes("a setup and its crew stand still overnight", |p, s| {
        put(s, J4_BEND, 890, 1510, 1610); // setup 890-900 and 1500-1510
        put(s, J4_PLATE, 1620, 1620, 2120);
        by_name(&mut p["crews"], "setter")["capacity"] = json!([[0, 400, 1], [500, 900, 1], [1500, 1900, 1]]);
        by_name(&mut p["jobs"], "J4")["due"] = json!(2120);
    });
    passes("a tool held on the cell itself was not taken away", |p, s| {
        // Pinned work without length stands within J2 on rd-2 and so comes before J3 there. From
        // then to J3's setup the die was held, but on rd-2 itself: nothing has to be remounted.
        let mut job = by_name(&mut p["jobs"], "J2").clone();
        job["id"] = json!("P2");
        p["jobs"].as_array_mut().expect("a list").push(job);
        let mut pin = p["pinned"][0].clone();
        pin["job"] = json!("P2");
        pin["operation"] = json!("bend");
        for time in ["setup_start", "run_start", "end"] {
            pin[time] = json!(150);
        }
        p["pinned"].as_array_mut().expect("a list").push(pin.clone());
        s["operations"].as_array_mut().expect("a list").push(pin);
        s["operations"][J3_BEND]["option"] = json!(1);
        put(s, J3_BEND, 205, 205, 265);
        claim_more(s, 5.0 - 50.0); // P2's route, no setup for J3
    });
    passes("pinned work is exempt from rule 6", |p, _| {
        by_name(&mut p["crews"], "hand")["capacity"] = json!([[0, 45, 1]]);
    });
}

#[test]
fn files_that_are_refused() {
    breaks("unknown key", &["file"], "unknown key `dueDate`", |p, _| p["jobs"][0]["dueDate"] = json!(3));
    breaks("format", &["file"], "elbowroom-problem/1", |p, _| p["format"] = json!("other/1"));
    breaks("id twice", &["file"], "appears twice", |p, _| p["cells"][0]["id"] = json!("rd-1"));
    breaks("schedule key", &["file"], "unknown key `note`", |_, s| s["note"] = json!(""));
    breaks("schedule format", &["file"], "elbowroom-schedule/1", |p, s| s["format"] = p["format"].clone());
    breaks("other problem", &["file"], "is for problem", |_, s| s["problem"] = json!("other"));
    breaks("unknown purchase", &["file"], "no offer", |_, s| s["purchases"] = json!(["die-a"]));
    breaks("purchase twice", &["file"], "appears twice", |_, s| s["purchases"] = json!(["die-b", "die-b"]));
    breaks("bought and committed", &["file"], "committed purchase already", |p, _| {
        p["committed_purchases"] = json!(["die-b"]);
    });
    breaks("times out of order", &["file"], "no earlier than", |_, s| put(s, J1_BEND, 45, 44, 105));
    breaks("no such option", &["file"], "has 2 option(s)", |_, s| {
        s["operations"][J2_BEND]["option"] = json!(2);
    });
    breaks("no such route", &["file"], "no route `roll`", |_, s| {
        s["operations"][J2_BEND]["route"] = json!("roll");
    });
    breaks("no such job", &["file"], "unknown job `J9`", |_, s| {
        s["operations"][J2_BEND]["job"] = json!("J9")
    });
}

#[test]
fn rule_1_complete() {
    breaks("missing operation", &["V1"], "`J4/plate` is missing", |_, s| {
        s["operations"].as_array_mut().expect("a list").pop();
    });
    breaks("missing job", &["V1"], "job `J4` has no operations", |_, s| {
        s["operations"].as_array_mut().expect("a list").truncate(J4_BEND);
    });
    breaks("operation twice", &["V1"], "`J4/plate` appears 2 times", |_, s| {
        let again = s["operations"][J4_PLATE].clone();
        s["operations"].as_array_mut().expect("a list").push(again);
    });
    breaks("two routes", &["V1"], "more than one route: `draw` and `other`", |p, s| {
        let mut other = p["jobs"][0]["routes"][0].clone();
        other["id"] = json!("other");
        p["jobs"][0]["routes"].as_array_mut().expect("a list").push(other);
        s["operations"][J1_BEND]["route"] = json!("other");
    });
}

#[test]
fn rule_2_working_time() {
    breaks("outside a window", &["V2"], "begins its setup at 400, when cell `rd-2` does not work", |_, s| {
        put(s, J2_BEND, 400, 540, 600);
        // J3's die was on rd-2 before; now J3 comes first and needs no remount, hence is put later.
        put(s, J3_BEND, 105, 105, 165);
        claim_more(s, -50.0);
    });
    breaks("run too short", &["V2"], "runs 60 minutes, but cell `rd-2` works 59", |_, s| {
        put(s, J2_BEND, 105, 145, 204);
    });
    breaks("run too long", &["V2"], "runs 60 minutes, but cell `rd-2` works 61", |_, s| {
        put(s, J2_BEND, 105, 145, 206);
    });
    breaks("end not earliest", &["V2"], "is over before its end at 450", |_, s| {
        put(s, J3_BEND, 290, 340, 450);
    });
    breaks("nothing to set up", &["V2"], "has nothing to set up", |_, s| put(s, J1_BEND, 40, 45, 105));
    breaks("outside step too short", &["V2"], "takes 500 minutes outside", |_, s| {
        put(s, J4_PLATE, 730, 730, 1229);
    });
    breaks("outside step with setup", &["V2"], "has no setup", |_, s| put(s, J4_PLATE, 730, 740, 1240));
}

#[test]
fn rule_3_cell() {
    breaks(
        "overlap",
        &["V3"],
        "`J3/bend` and `J4/bend` both hold cell `rd-1` in minutes 530..540",
        |p, s| {
            by_name(&mut p["tools"], "die-b")["offer"]["lead"] = json!(530);
            put(s, J4_BEND, 530, 620, 720);
        },
    );
    breaks(
        "pin's cell is taken",
        &["V3"],
        "`J1/cut` and `P/cut` both hold cell `saw` in minutes 45..50",
        |p, s| {
            by_name(&mut p["crews"], "hand")["capacity"] = json!([[0, 1900, 2]]);
            put(s, J1_CUT, 20, 20, 50);
            put(s, J1_BEND, 55, 55, 115);
            put(s, J2_BEND, 115, 155, 215);
        },
    );
}

#[test]
fn rule_4_changeover() {
    breaks("setup too short", &["V4"], "needs 40 working minutes to set up `k-a`", |_, s| {
        put(s, J2_BEND, 105, 144, 204);
    });
    breaks("remount", &["V4"], "needs 50 working minutes", |_, s| put(s, J3_BEND, 380, 380, 540));
    breaks("remount of another program on the same die", &["V4"], "needs 50 working minutes", |p, s| {
        // 5 minutes of changing over, had the die not been away.
        first_option(p, "J3")["setup_key"] = json!("k-a2");
        let pairs = &mut by_name(&mut p["cells"], "rd-1")["changeover"]["pairs"];
        *pairs = json!([["k-a", "k-a2", 5], ["k-a2", "k-b", 20]]);
        put(s, J3_BEND, 375, 380, 540);
    });
    breaks("directed pair", &["V4"], "`J4/bend` needs 50 working minutes", |p, s| {
        by_name(&mut p["cells"], "rd-1")["changeover"]["pairs"] = json!([["k-b", "k-a", 20]]);
        claim_more(s, 30.0);
    });
    breaks("initial setup", &["V4"], "`J1/bend` needs 50 working minutes", |p, s| {
        by_name(&mut p["cells"], "rd-1")["initial_setup"] = json!(null);
        by_name(&mut p["crews"], "setter")["capacity"] = json!([[0, 400, 2], [500, 1900, 2]]);
        claim_more(s, 50.0);
    });
}

#[test]
fn rule_5_tools() {
    breaks(
        "die on two cells",
        &["V5"],
        "`J1/bend`, `J2/bend` hold 2 pieces of tool `die-a` in minutes 100..105",
        |_, s| {
            put(s, J2_BEND, 100, 145, 205);
        },
    );
    breaks("not bought", &["V5"], "neither owned nor bought", |_, s| {
        s["purchases"] = json!([]);
        claim_more(s, -300.0);
    });
    breaks(
        "before the lead",
        &["V5"],
        "holds tool `die-b` from 599, before it can be used from 600",
        |_, s| {
            put(s, J4_BEND, 599, 620, 720);
        },
    );
    breaks(
        "before available",
        &["V5"],
        "`J1/bend` holds tool `die-a` from 45, before it can be used from 46",
        |p, _| {
            p["tools"][0]["available_from"] = json!(46);
        },
    );
}

#[test]
fn rule_6_crews() {
    breaks(
        "no setter",
        &["V6"],
        "`J3/bend` need 1 head(s) of crew `setter` in minutes 350..360, and 0 are there",
        |p, _| {
            p["crews"][0]["capacity"] = json!([[0, 350, 1], [360, 900, 1]]);
        },
    );
    breaks("no setter at a break", &["V6"], "in minutes 350..351", |p, _| {
        p["crews"][0]["capacity"] = json!([[0, 350, 1], [351, 900, 1]]);
    });
    breaks("no hand", &["V6"], "`J1/cut` need 1 head(s) of crew `hand` in minutes 39..40", |p, _| {
        p["crews"][1]["capacity"] = json!([[0, 39, 1]]);
    });
    breaks(
        "one setter, two setups",
        &["V6"],
        "`J2/bend`, `J4/bend` need 2 head(s) of crew `setter` in minutes 600..620, and 1 are there",
        |p, s| {
            p["tools"][0]["count"] = json!(2);
            put(s, J3_BEND, 330, 330, 390); // a piece is left, so J3 needs no remount
            put(s, J2_BEND, 600, 640, 700); // while rd-1 is set up for J4
            claim_more(s, -50.0);
        },
    );
}

#[test]
fn rules_7_8_and_9() {
    breaks("release", &["V7"], "`J1/cut` runs from 10, before its release at 11", |p, _| {
        by_name(&mut p["jobs"], "J1")["release"] = json!(11);
    });
    breaks(
        "lag",
        &["V7"],
        "`J1/bend` runs from 44, before `cut` has ended and its lag has passed at 45",
        |_, s| {
            put(s, J1_BEND, 44, 44, 104);
        },
    );
    breaks("horizon", &["V8"], "`J4/plate` ends at 1230, after the horizon at 1229", |p, _| {
        p["horizon"] = json!(1229);
    });
    breaks(
        "pin moved",
        &["V9"],
        "`P/cut` is pinned to option 0, setup at 45, run at 45, end at 90",
        |_, s| {
            put(s, PINNED_CUT, 46, 46, 91);
        },
    );
    breaks("pinned on another route", &["V9"], "`P/cut` is pinned on route `draw`", |p, s| {
        let job = by_name(&mut p["jobs"], "P");
        let mut other = job["routes"][0].clone();
        other["id"] = json!("other");
        job["routes"].as_array_mut().expect("a list").push(other);
        s["operations"][PINNED_CUT]["route"] = json!("other");
        put(s, PINNED_CUT, 45, 45, 125);
        claim_more(s, 37.5); // 35 minutes more at 1.0 each, 25 minutes late at 0.1
    });
}

#[test]
fn the_claims() {
    breaks("wrong objective", &["VO"], "claimed as 1077.01, and is 1077", |_, s| {
        s["objective"] = json!(1077.01)
    });
    breaks("bound too high", &["VB"], "1077.01 is above the objective 1077", |_, s| {
        s["lower_bound"] = json!(1077.01);
    });
    passes("within the tolerance", |_, s| s["objective"] = json!(1077.001));
}
