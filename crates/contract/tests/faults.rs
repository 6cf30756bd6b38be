//! What the readers say of files that are wrong.

use elbowroom_contract::{Fault, read_problem, read_schedule};

/// A small problem that is right: two cells, an owned and an offered die, a crew, three jobs.
const PROBLEM: &str = r#"{"format":"elbowroom-problem/1","name":"small","objective":"cost","horizon":3000,
"cells":[
{"id":"saw","windows":[[0,400],[500,900]],"initial_setup":null},
{"id":"rd-1","windows":[[0,400],[500,900]],"run_rate":2.0,"setup_rate":1,"initial_setup":"k-a","changeover":{"default":50,"same":0,"pairs":[["k-a","k-b",20]]}}],
"tools":[
{"id":"die-a","count":1,"available_from":0},
{"id":"die-b","count":1,"offer":{"price":300.0,"lead":600}}],
"crews":[
{"id":"setter","capacity":[[0,400,1],[400,900,2]]}],
"jobs":[
{"id":"J1","release":10,"due":1000,"late_cost_per_day":144.0,"routes":[{"id":"draw","cost":5,"operations":[{"id":"cut","lag_after":5,"options":[{"cell":"saw","run":30,"setup_key":"cut"}]},{"id":"bend","options":[{"cell":"rd-1","run":60,"setup_key":"k-a","tools":["die-a"],"setup_crew":"setter","run_crew":null,"cost":1.5}]}]}]},
{"id":"J2","release":0,"due":-5,"late_cost_per_day":0,"routes":[{"id":"roll","operations":[{"id":"bend","options":[{"cell":"rd-1","run":60,"setup_key":"k-b","tools":["die-b"]}]},{"id":"plate","options":[{"cell":null,"run":500}]}]}]}],
"pinned":[
{"job":"J1","route":"draw","operation":"cut","option":0,"setup_start":0,"run_start":0,"end":25}],
"committed_purchases":[]}"#;

const SCHEDULE: &str = r#"{"format":"elbowroom-schedule/1","problem":"small","objective":0,"lower_bound":null,"purchases":["die-b"],
"operations":[
{"job":"J1","route":"draw","operation":"cut","option":0,"setup_start":0,"run_start":0,"end":25}]}"#;

fn lines(faults: Vec<Fault>) -> Vec<String> {
    faults.iter().map(Fault::to_string).collect()
}

/// The faults of the problem in which `from` is replaced by `to`.
fn problem_faults(from: &str, to: &str) -> Vec<String> {
    assert!(PROBLEM.contains(from), "nothing to replace: {from}");
    let text = PROBLEM.replacen(from, to, 1);
    lines(read_problem(text.as_bytes()).expect_err("the change is a fault"))
}

fn check(from: &str, to: &str, expected: &str) {
    assert_eq!(problem_faults(from, to), [expected], "{from} -> {to}");
}

fn check_schedule(from: &str, to: &str, expected: &str) {
    assert!(SCHEDULE.contains(from), "nothing to replace: {from}");
    let problem = read_problem(PROBLEM.as_bytes()).expect("the problem is right");
    let text = SCHEDULE.replacen(from, to, 1);
    let faults = read_schedule(text.as_bytes(), &problem).expect_err("the change is a fault");
    assert_eq!(lines(faults), [expected], "{from} -> {to}");
}

#[test]
fn the_unchanged_files_are_right() {
    let problem = read_problem(PROBLEM.as_bytes()).map_err(lines).expect("right");
    assert_eq!((problem.cells.len(), problem.jobs.len(), problem.pinned.len()), (2, 2, 1));
    let schedule = read_schedule(SCHEDULE.as_bytes(), &problem).map_err(lines).expect("right");
    assert_eq!((schedule.purchases.len(), schedule.operations.len()), (1, 1));
}

#[test]
fn keys() {
    check(
        r#""due":1000"#,
        r#""dueDate":1000,"due":1"#,
        "jobs[0]: unknown key `dueDate`; did you mean `due`? (line 11)",
    );
    check(r#""due":1000,"#, "", "jobs[0]: key `due` is missing (line 11)");
    check(
        r#""due":1000"#,
        r#""due":1000,"due":1000"#,
        "jobs[0]: key `due` appears twice in one object; leave one of them (line 11)",
    );
    check(r#""name":"small","#, "", "problem: key `name` is missing (line 1)");
    check(r#""same":0"#, r#""equal":0"#, "cells[1].changeover: unknown key `equal` (line 4)");
    check(
        r#","setup_key":"k-b""#,
        "",
        "jobs[1].routes[0].operations[0].options[0]: key `setup_key` is missing; an option on a cell has one \
         (line 12)",
    );
}

#[test]
fn numbers() {
    check(
        r#""run":30"#,
        r#""run":30.0"#,
        "jobs[0].routes[0].operations[0].options[0].run: is 30.0, must be an integer written without point: \
         write 30 (line 11)",
    );
    check(r#""release":10"#, r#""release":true"#, "jobs[0].release: is true, must be an integer (line 11)");
    check(
        r#""release":10"#,
        r#""release":-1"#,
        "jobs[0].release: is -1, must be from 0 to 1073741824 (line 11)",
    );
    check(
        r#""horizon":3000"#,
        r#""horizon":99999999999999999999"#,
        "horizon: is 99999999999999999999, must be from 1 to 1073741824 (line 1)",
    );
    check(
        r#""run":30"#,
        r#""run":0"#,
        "jobs[0].routes[0].operations[0].options[0].run: is 0, must be from 1 to 1073741824 (line 11)",
    );
    check(
        r#""price":300.0"#,
        r#""price":-1"#,
        "tools[1].offer.price: is -1.0, must be from 0 to 1e15 (line 7)",
    );
    check(
        r#""price":300.0"#,
        r#""price":1e999"#,
        "tools[1].offer.price: is 1e999, which is too large for a number (line 7)",
    );
    check(r#""count":1"#, r#""count":0"#, "tools[0].count: is 0, must be from 1 to 4294967295 (line 6)");
}

#[test]
fn references() {
    check(
        r#""cell":"rd-1","run":60,"setup_key":"k-a""#,
        r#""cell":"rd_2","run":60,"setup_key":"k-a""#,
        "jobs[0].routes[0].operations[1].options[0].cell: unknown cell `rd_2`; did you mean `rd-1`? (line 11)",
    );
    check(
        r#"["die-a"]"#,
        r#"["dye-b"]"#,
        "jobs[0].routes[0].operations[1].options[0].tools[0]: unknown tool `dye-b`; did you mean `die-b`? (line 11)",
    );
    check(
        r#"["die-a"]"#,
        r#"["die-a","die-a"]"#,
        "jobs[0].routes[0].operations[1].options[0].tools[1]: \"die-a\" appears twice; leave it once (line 11)",
    );
    check(
        r#""setup_crew":"setter""#,
        r#""setup_crew":"welder""#,
        "jobs[0].routes[0].operations[1].options[0].setup_crew: unknown crew `welder` (line 11)",
    );
    check(
        r#""committed_purchases":[]"#,
        r#""committed_purchases":["die-a"]"#,
        "committed_purchases[0]: tool \"die-a\" is owned and has no offer to commit to (line 15)",
    );
    check(
        r#""committed_purchases":[]"#,
        r#""committed_purchases":["die-b","die-b"]"#,
        "committed_purchases[1]: \"die-b\" appears twice; leave it once (line 15)",
    );
}

#[test]
fn ids() {
    check(
        r#""id":"roll""#,
        r#""id":"""#,
        "jobs[1].routes[0].id: is an empty string, must have at least one character (line 12)",
    );
    check(
        r#""id":"J2""#,
        r#""id":"J1""#,
        "jobs[1].id: job `J1` appears twice, first as number 0, counted from 0; give one another id (line 12)",
    );
    check(
        r#"{"id":"plate""#,
        r#"{"id":"bend""#,
        "jobs[1].routes[0].operations[1].id: operation `bend` appears twice, first as number 0, counted from 0; \
         give one another id (line 12)",
    );
}

#[test]
fn intervals() {
    let check_windows = |windows: &str, expected: &str| check("[[0,400],[500,900]]", windows, expected);
    check_windows(
        "[[0,400],[400,900]]",
        "cells[0].windows[1]: touches the interval before it at 400; make one of the two (line 3)",
    );
    check_windows(
        "[[0,400],[399,900]]",
        "cells[0].windows[1]: begins at 399, before the end 400 of the interval before it (line 3)",
    );
    check_windows(
        "[[400,400]]",
        "cells[0].windows[0]: begins at 400 and ends at 400, must end after it begins (line 3)",
    );
    check_windows("[[0,400,1]]", "cells[0].windows[0]: has 3 elements, must be 2 integers (line 3)");
    check_windows(
        "[[0,4.5]]",
        "cells[0].windows[0][1]: is 4.5, must be an integer written without point (line 3)",
    );
    check_windows("{}", "cells[0].windows: is an object, must be a list in brackets (line 3)");
    check(
        "[400,900,2]",
        "[399,900,2]",
        "crews[0].capacity[1]: begins at 399, before the end 400 of the interval before it (line 9)",
    );
    check(
        "[400,900,2]",
        "[400,900,-2]",
        "crews[0].capacity[1][2]: is -2, must be from 0 to 4294967295 (line 9)",
    );
}

#[test]
fn what_belongs_together() {
    check(
        r#""count":1,"available_from":0"#,
        r#""count":1"#,
        "tools[0]: must have either `available_from` or `offer`; neither is there (line 6)",
    );
    check(
        r#""count":1,"offer""#,
        r#""count":1,"available_from":0,"offer""#,
        "tools[1]: must have either `available_from` or `offer`; both are there (line 7)",
    );
    check(
        r#""cell":null,"#,
        r#""cell":null,"run_crew":"setter","#,
        "jobs[1].routes[0].operations[1].options[0].run_crew: is \"setter\", must be null or left out where `cell` is \
         null (line 12)",
    );
    check(
        r#""cell":null,"#,
        r#""cell":null,"tools":["die-a"],"#,
        "jobs[1].routes[0].operations[1].options[0].tools: must be empty where `cell` is null (line 12)",
    );
    check(
        r#"["k-a","k-b",20]"#,
        r#"["k-a",20]"#,
        "cells[1].changeover.pairs[0]: is a list, must be [from, to, minutes]: two setup keys and an integer (line 4)",
    );
    let weight = PROBLEM.replace("\"cost\",\"horizon\"", "\"tardiness\",\"horizon\"").replace("144.0", "0.5");
    let faults = read_problem(weight.as_bytes()).expect_err("a weight is whole");
    assert_eq!(
        lines(faults),
        ["jobs[0].late_cost_per_day: is 0.5, must be a whole number: a weight for \"tardiness\" (line 11)"]
    );
}

#[test]
fn words() {
    check(
        "elbowroom-problem/1",
        "elbowroom-problem/2",
        "format: is \"elbowroom-problem/2\", must be \"elbowroom-problem/1\"; did you mean `elbowroom-problem/1`? (line 1)",
    );
    check(
        r#""objective":"cost""#,
        r#""objective":"costs""#,
        "objective: is \"costs\", must be \"cost\" or \"makespan\" or \"tardiness\"; did you mean `cost`? (line 1)",
    );
}

#[test]
fn pinned_work() {
    let pin =
        r#"{"job":"J1","route":"draw","operation":"cut","option":0,"setup_start":0,"run_start":0,"end":25}"#;
    let check_pin = |from: &str, to: &str, expected: &str| check(pin, &pin.replacen(from, to, 1), expected);
    check_pin("J1", "J9", "pinned[0].job: unknown job `J9` (line 14)");
    check_pin(
        "draw",
        "drawn",
        "pinned[0].route: job `J1` has no route `drawn`; did you mean `draw`? (line 14)",
    );
    check_pin("cut", "plate", "pinned[0].operation: route `draw` has no operation `plate` (line 14)");
    check_pin(
        "0,\"setup",
        "1,\"setup",
        "pinned[0].option: is 1, but the operation has 1 option(s), counted from 0 (line 14)",
    );
    check_pin(":25", ":-1", "pinned[0].end: is -1, must be from 0 to 1073741824 (line 14)");
    check_pin(
        "\"run_start\":0",
        "\"run_start\":26",
        "pinned[0]: has setup_start 0, run_start 26, end 25; each must be no earlier than the one before (line 14)",
    );
    check(pin, &format!("{pin},\n{pin}"), "pinned[1]: the same operation is pinned twice (line 15)");
}

#[test]
fn bytes_that_are_no_document() {
    let check = |bytes: &[u8], expected: &str| {
        assert_eq!(lines(read_problem(bytes).expect_err("no document")), [expected]);
    };
    check(b"", "problem: the file is empty (line 1)");
    check(
        b"\xef\xbb\xbf{}",
        "problem: begins with a byte order mark; save the file as UTF-8 without one (line 1)",
    );
    check(b"\xff\xfe{\0}\0", "problem: looks like UTF-16; save the file as UTF-8 (line 1)");
    check(b"\x1f\x8b\x08\0\0", "problem: looks compressed; unpack the file first (line 1)");
    check(
        b"{\n\"name\": \"Stra\xdfe\"}",
        "problem: byte 15 (0xdf) is not UTF-8; save the file as UTF-8 (line 2)",
    );
    check(b"\0\0\0\0", "problem: is not JSON: found '\\0', expected a value (line 1)");
    check(b"{\"a\":1\n\"b\":2}", "problem: is not JSON: found '\"', expected `,` or `}` (line 2)");
    check(b"{\"a\":NaN}", "problem: is not JSON: NaN is not a JSON number (line 1)");
    check(b"{\"a\":-Infinity}", "problem: is not JSON: found 'I', expected a digit (line 1)");
    check(b"[1,2", "problem: is not JSON: the file ends, expected `,` or `]` (line 1)");
    check(b"7 8", "problem: is not JSON: found '8', expected nothing more after the document (line 1)");
    check(b"\n[]", "problem: is a list, must be an object in braces (line 2)");
    let deep = [b"[".repeat(5_000_000), b"]".repeat(5_000_000)].concat();
    check(&deep, "problem: is not JSON: lists and objects lie more than 64 deep in each other (line 1)");
}

#[test]
fn every_fault_is_found_in_one_reading() {
    let text = PROBLEM
        .replace(r#""horizon":3000"#, r#""horizon":3e3"#)
        .replace(r#"[500,900]],"initial"#, r#"[300,900]],"initial"#)
        .replace(r#""count":1,"available"#, r#""count":"1","available"#)
        .replace(r#""due":1000"#, r#""deu":1000"#)
        .replace(r#""cell":"saw""#, r#""cell":"swa""#)
        .replace(r#""lag_after":5"#, r#""lag_after":null"#)
        .replace(r#""setup_key":"k-b""#, r#""setup_key":"""#)
        .replace(r#""operation":"cut","option":0"#, r#""operation":"cut","option":"first""#);
    let faults = lines(read_problem(text.as_bytes()).expect_err("eight faults"));
    let places: Vec<_> = faults.iter().map(|line| line.split_once(": ").expect("a place").0).collect();
    assert_eq!(
        places,
        [
            "horizon",
            "cells[0].windows[1]",
            "tools[0].count",
            "jobs[0]", // `due` is missing
            "jobs[0]", // `deu` is unknown
            "jobs[0].routes[0].operations[0].lag_after",
            "jobs[0].routes[0].operations[0].options[0].cell",
            "jobs[1].routes[0].operations[0].options[0].setup_key",
            "pinned[0].option",
        ],
        "{faults:#?}"
    );
}

#[test]
fn schedules() {
    check_schedule(
        r#""small""#,
        r#""large""#,
        "problem: is for problem \"large\", not for \"small\" (line 1)",
    );
    check_schedule(
        r#""objective":0"#,
        r#""objective":null"#,
        "objective: is null, must be a number (line 1)",
    );
    check_schedule(r#","lower_bound":null"#, "", "schedule: key `lower_bound` is missing (line 1)");
    check_schedule(
        r#""lower_bound":null"#,
        r#""lower_bound":"none""#,
        "lower_bound: is \"none\", must be a number (line 1)",
    );
    check_schedule(
        r#"["die-b"]"#,
        r#"["die-a"]"#,
        "purchases[0]: tool \"die-a\" is owned and has no offer to take (line 1)",
    );
    check_schedule(
        r#"["die-b"]"#,
        r#"["die-b","die-b"]"#,
        "purchases[1]: \"die-b\" appears twice; leave it once (line 1)",
    );
    check_schedule(
        r#"["die-b"]"#,
        r#"[7]"#,
        "purchases[0]: is 7, must be a string in double quotes (line 1)",
    );
    check_schedule(r#""J1""#, r#""J3""#, "operations[0].job: unknown job `J3` (line 3)");
    check_schedule(r#""end":25"#, r#""end":25,"note":1"#, "operations[0]: unknown key `note` (line 3)");
    check_schedule(
        r#""run_start":0"#,
        r#""run_start":26"#,
        "operations[0]: has setup_start 0, run_start 26, end 25; each must be no earlier than the one before (line 3)",
    );
}

#[test]
fn a_purchase_that_is_committed_is_refused() {
    let text = PROBLEM.replace(r#""committed_purchases":[]"#, r#""committed_purchases":["die-b"]"#);
    let problem = read_problem(text.as_bytes()).map_err(lines).expect("right");
    let faults = read_schedule(SCHEDULE.as_bytes(), &problem).expect_err("bought twice");
    assert_eq!(
        lines(faults),
        ["purchases[0]: tool \"die-b\" is a committed purchase already; leave it out (line 1)"]
    );
}
