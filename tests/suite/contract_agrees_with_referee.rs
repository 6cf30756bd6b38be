//! Our readers of problem and schedule files against the independent referee's: both accept a
//! file or both refuse it, on files that are right and on files with one or two things changed.

use elbowroom_contract::{read_problem, read_schedule, write_problem, write_schedule};
use elbowroom_tests::chance::Chance;
use elbowroom_tests::referee;
use elbowroom_tests::serial_builder::build;
use elbowroom_tests::small_shop::small_shop;
use serde_json::{Map, Value, json};

/// Every value of a document, addressed by a pointer.
fn pointers(value: &Value, here: &str, found: &mut Vec<String>) {
    found.push(here.to_owned());
    match value {
        Value::Array(list) => {
            for (i, each) in list.iter().enumerate() {
                pointers(each, &format!("{here}/{i}"), found);
            }
        }
        Value::Object(members) => {
            for (key, each) in members {
                pointers(each, &format!("{here}/{key}"), found);
            }
        }
        _ => {}
    }
}

/// Values of every kind, among them some that are right in many places.
fn odd_value(chance: &mut Chance) -> Value {
    let values = [
        json!(null),
        json!(true),
        json!(0),
        json!(1),
        json!(-1),
        json!(300),
        json!(60.0),
        json!(2.5),
        json!(-0.5),
        json!(""),
        json!("k-1"),
        json!("c0"),
        json!("t0"),
        json!("w0"),
        json!("o0"),
        json!("cost"),
        json!([]),
        json!([0, 10]),
        json!([[0, 10]]),
        json!([[0, 10], [10, 20]]),
        json!([[0, 10, 1], [10, 20, 0]]),
        json!(["t0"]),
        json!(["t0", "t0"]),
        json!({}),
        json!({"default": 5}),
        json!({"price": 5, "lead": 3}),
    ];
    values[chance.below(values.len())].clone()
}

/// Changes one thing somewhere in the document.
fn change(document: &mut Value, chance: &mut Chance) {
    let mut found = Vec::new();
    pointers(document, "", &mut found);
    let pointer = &found[chance.below(found.len())];
    let target = document.pointer_mut(pointer).expect("the pointer was just found");
    match target {
        Value::Object(members) if chance.yes(0.8) => change_members(members, chance),
        Value::Array(list) if chance.yes(0.7) && !list.is_empty() => {
            let index = chance.below(list.len());
            match chance.below(3) {
                0 => drop(list.remove(index)),
                1 => list.push(list[index].clone()),
                _ => list.swap(0, index),
            }
        }
        _ => *target = odd_value(chance),
    }
}

/// Takes a key away, adds one, or exchanges the values of two.
fn change_members(members: &mut Map<String, Value>, chance: &mut Chance) {
    let keys: Vec<String> = members.keys().cloned().collect();
    if keys.is_empty() {
        return;
    }
    let key = &keys[chance.below(keys.len())];
    match chance.below(4) {
        0 => drop(members.remove(key)),
        1 => drop(members.insert(format!("{key}s"), json!(1))),
        2 => {
            let optional = ["cost", "tools", "lag_after", "same", "offer", "available_from", "setup_crew"];
            members.insert(chance.one_of(&optional).to_owned(), odd_value(chance));
        }
        _ => {
            let other = members[&keys[chance.below(keys.len())]].clone();
            members.insert(key.clone(), other);
        }
    }
}

/// Changes the text itself: a key twice, a number in another notation, something cut off.
fn change_text(text: &str, chance: &mut Chance) -> String {
    let pairs = [
        ("\"id\":", "\"id\":\"x\",\"id\":"),
        ("\"run\":", "\"run\":1,\"run\":"),
        (":0,", ":-0,"),
        (":0.0", ":0e0"),
        (":0.0", ":-0.0"),
        (":0,", ":0.0,"),
        (":0,", ":00,"),
        (":0,", ":NaN,"),
        (":0,", ":1e3,"),
        ("null", "None"),
        ("]}", "],}"),
        ("\"c0\"", "\"\\u0063\\u0030\""),
        ("\"J0\"", "\"J\t0\""),
        ("{", "{\n\r\t "),
        ("}\n", "} x"),
        ("\n", "\u{a0}"),
    ];
    let (from, to) = chance.one_of(&pairs);
    let places: Vec<usize> = text.match_indices(from).map(|(at, _)| at).collect();
    if places.is_empty() {
        return text.to_owned();
    }
    let at = chance.one_of(&places);
    format!("{}{to}{}", &text[..at], &text[at + from.len()..])
}

/// The file after one or two changes, or as it is.
fn changed(text: &str, chance: &mut Chance) -> String {
    if chance.yes(0.25) {
        return change_text(text, chance);
    }
    let mut document: Value = serde_json::from_str(text).expect("the file is JSON");
    for _ in 0..chance.from_to(1, 2) {
        change(&mut document, chance);
    }
    document.to_string()
}

/// A problem file and a schedule file, one of them changed.
fn cases() -> Vec<(String, String)> {
    let mut cases = Vec::new();
    for seed in 0..150 {
        let mut chance = Chance::new(seed);
        let problem = small_shop(seed);
        let Some(schedule) = build(&problem, &mut chance) else { continue };
        let files = (write_problem(&problem), write_schedule(&problem, &schedule));
        for _ in 0..12 {
            cases.push((changed(&files.0, &mut chance), files.1.clone()));
        }
        for _ in 0..4 {
            cases.push((files.0.clone(), changed(&files.1, &mut chance)));
        }
        cases.push(files);
    }
    cases
}

/// How far our readers come, in the referee's words.
fn our_stage((problem, schedule): &(String, String)) -> Result<(), (&'static str, String)> {
    let problem = read_problem(problem.as_bytes()).map_err(|faults| ("problem", format!("{faults:?}")))?;
    read_schedule(schedule.as_bytes(), &problem).map_err(|faults| ("schedule", format!("{faults:?}")))?;
    Ok(())
}

#[test]
fn both_accept_or_both_refuse() {
    let cases = cases();
    let opinions = referee::judge(&cases);
    let (mut accepted, mut refused) = (0, 0);
    for (case, opinion) in cases.iter().zip(&opinions) {
        let ours = our_stage(case);
        // A schedule that names what the problem does not have is refused by our reader, and
        // breaks rule 1 for the referee.
        let names_nothing = opinion.stage == "rules" && opinion.rules().contains("1");
        let refuses = ["unreadable", "problem", "schedule"].contains(&opinion.stage.as_str());
        match &ours {
            Ok(()) => assert!(!refuses, "we accept, {opinion:?}\n{case:?}"),
            Err((stage, faults)) => {
                assert!(refuses || names_nothing, "{faults}, {opinion:?}\n{case:?}");
                let same = opinion.stage == *stage || opinion.stage == "unreadable" || names_nothing;
                assert!(same, "{stage}: {faults}, {opinion:?}\n{case:?}");
            }
        }
        accepted += usize::from(ours.is_ok());
        refused += usize::from(ours.is_err());
    }
    println!("{} pairs of files: {accepted} accepted, {refused} refused", cases.len());
    assert!(accepted > 300 && refused > 600, "{accepted} accepted, {refused} refused");
}
