//! The worked story of `examples/die-or-no-die.sh`: two customers call, one order goes without a new
//! die, one buys it. What is promised, booked, planned and said of the tools is one and the same.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_tests::program::{program, repository, run};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// What stands behind a word in an answer: a date of ten letters, or an amount with spaces between
/// thousands.
fn date_behind(text: &str, word: &str) -> String {
    let at = text.find(word).unwrap_or_else(|| panic!("no `{word}` in {text}")) + word.len();
    text[at..].chars().skip_while(|letter| !letter.is_ascii_digit()).take(10).collect()
}

fn amount_behind(text: &str, word: &str) -> f64 {
    let at = text.find(word).unwrap_or_else(|| panic!("no `{word}` in {text}")) + word.len();
    let digits =
        text[at..].trim_start().chars().take_while(|one| one.is_ascii_digit() || " .".contains(*one));
    digits.filter(|one| *one != ' ').collect::<String>().parse().unwrap()
}

fn list(value: &Value) -> Vec<Value> {
    value.as_array().unwrap().clone()
}

#[test]
fn what_is_promised_is_booked_and_planned_and_the_tooling_question_agrees() {
    let folder = tempfile::tempdir().unwrap();
    let output = Command::new("sh")
        .current_dir(repository())
        .arg("examples/die-or-no-die.sh")
        .env("ELBOWROOM", program())
        .env("STORY_OUT", folder.path())
        .env("STORY_STEPS", "400")
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{}\n{told}", String::from_utf8_lossy(&output.stdout));

    let (shop, after) = (folder.path().join("shop"), folder.path().join("after"));
    let book = text(&shop.join("orders.csv"));
    let plan: Value = serde_json::from_str(&text(&after.join("plan.json"))).unwrap();
    let asked = ["tooling", shop.to_str().unwrap(), "--plan", after.to_str().unwrap(), "--json"];
    let tooling = run(&asked).json();
    let sets = list(&tooling["sets"]);
    for (order, part, pieces, die, buys) in
        [("O-2614", "HR-704", 24, "BD-42.2x126.5", false), ("O-2659", "BR-205", 3600, "CP-28.6x85.8", true)]
    {
        let answer = text(&folder.path().join(format!("{order}.txt")));
        let promised = date_behind(&answer, "Promise ");
        let line = format!("{order},{part},{pieces},{promised},");
        assert!(book.contains(&line), "no `{line}` in {book}");

        let planned = list(&plan["orders"]).into_iter().find(|one| one["id"] == order).unwrap();
        assert_eq!(
            (&planned["promised"], &planned["is_late"]),
            (&Value::from(promised), &Value::from(false))
        );
        let bought = list(&plan["purchases"]).into_iter().find(|one| one["tool"] == die);
        assert_eq!(bought.is_some(), buys, "{order}: {}", plan["purchases"]);
        let how =
            format!("{} on {}", planned["process"].as_str().unwrap(), planned["bend_cell"].as_str().unwrap());
        assert!(answer.contains(&format!("Made how: {how}")), "{order} is planned by {how}: {answer}");

        let set = sets.iter().find(|set| list(&set["tools"]).iter().any(|tool| tool["tool"] == die)).unwrap();
        assert_eq!(set["buy"], buys, "{set}");
        let case = list(&set["orders"]).into_iter().find(|case| case["order"] == order).unwrap();
        let verdict = if buys { "wait" } else { "without" };
        assert_eq!(case["decision"], verdict, "{case}");
        if let Some(bought) = bought {
            let price = amount_behind(&answer, ", tools ");
            assert_eq!((bought["price"].as_f64(), set["price"].as_f64()), (Some(price), Some(price)));
        }
        // The same work in three plans: a changeover differs with what stands before.
        let made = planned["cost"].as_f64().unwrap() - planned["late_cost"].as_f64().unwrap();
        let others = [amount_behind(&answer, ": making "), case[verdict]["making"].as_f64().unwrap()];
        for other in others {
            assert!((other - made).abs() < 0.15 * made, "{order}: {made} planned, {other}");
        }
    }
}
