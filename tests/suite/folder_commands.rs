//! `new` and `import` as a user meets them.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_tests::program::run;
use serde_json::json;
use std::fs;

#[test]
fn a_new_shop_can_be_checked_planned_and_filled_by_an_import() {
    let folder = tempfile::tempdir().unwrap();
    let shop = folder.path().join("shop");
    let shop = shop.to_str().unwrap();
    let made = run(&["new", shop, "--json"]);
    assert_eq!((made.code, made.json()["files"][0].as_str()), (0, Some("shop.toml")), "{made:?}");
    let again = run(&["new", shop]);
    assert_eq!(again.code, 4, "a folder with files in it is left alone: {again:?}");
    let checked = run(&["check", shop, "--json"]).json();
    assert_eq!((&checked["can_be_planned"], &checked["findings"]), (&json!(true), &json!([])));
    let out = folder.path().join("plan");
    let planned = run(&["plan", shop, "--steps", "50", "--threads", "1", "--out", out.to_str().unwrap()]);
    assert_eq!(planned.code, 0, "{planned:?}");
    for name in ["lists.xlsx", "calendar-bend-1.ics", "tube.csv", "cutting.csv"] {
        assert!(out.join(name).exists(), "{name}");
    }

    let export = folder.path().join("export.csv");
    fs::write(&export, "Order no.;Item;Quantity;Delivery date\nO-1;EXAMPLE-1;1.200;18.12.2037\n").unwrap();
    let mapping = folder.path().join("mapping.toml");
    fs::copy(format!("{shop}/mapping.toml.example"), &mapping).unwrap();
    let arguments = ["import", shop, export.to_str().unwrap(), "--mapping", mapping.to_str().unwrap()];
    let orders = format!("{shop}/orders.csv");
    let before = fs::read(&orders).unwrap();
    let tried = run(&arguments);
    assert_eq!(tried.code, 0, "{tried:?}");
    assert!(
        tried.stdout.contains("1 new, 0 changed, 1 gone") && tried.stdout.contains("nothing was changed")
    );
    assert_eq!(fs::read(&orders).unwrap(), before, "a dry run writes nothing");
    let applied = run(&[&arguments[..], &["--apply", "--json"]].concat());
    let list = json!({
        "list": "orders", "file": "orders.csv", "rows": 1, "new": ["O-1"], "changed": [], "gone": ["EXAMPLE-1"],
    });
    assert_eq!((applied.code, &applied.json()["lists"][0]), (0, &list), "{applied:?}");
    assert_eq!(run(&["check", shop, "--json"]).json()["counts"]["orders"], 1);
    assert!(fs::read_to_string(&orders).unwrap().contains("O-1,EXAMPLE-1,1200,2037-12-18"));

    let now = fs::read(&orders).unwrap();
    fs::write(&export, "Order no.;Item;Quantity;Delivery date\nO-1;EXAMPLE-1;5;31.02.2037\n").unwrap();
    let refused = run(&[&arguments[..], &["--apply"]].concat());
    assert_eq!(refused.code, 2, "{refused:?}");
    assert!(
        refused.stdout.contains("export.csv:2:4") && refused.stdout.contains("no such day"),
        "{refused:?}"
    );
    assert_eq!(fs::read(&orders).unwrap(), now, "nothing is half imported");
}
