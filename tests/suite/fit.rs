//! `fit` as a user meets it: the demo's parts, parts typed by hand, bad input, `--json`.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_tests::program::{Ran, program, repository, run};
use serde_json::Value;
use std::path::PathBuf;
use std::process::Command;

const DEMO: &str = "examples/ottergrund";

/// A part typed by somebody who has an inquiry on the desk.
const TYPED: &str = r#"
[[part]]
id = "INQUIRY-1"
name = "Towel rail"
tube = "T-25.4x1.65-304"
bends = [
  { straight = "120 mm", clr = "76.2 mm", angle = "90 deg" },
  { straight = "600 mm", rotation = "90 deg", clr = "76.2 mm", angle = "90 deg" },
]
end_straight = "120 mm"
"#;

/// A file with an inquiry, and asking about it.
struct Inquiry {
    folder: tempfile::TempDir,
}

impl Inquiry {
    fn of(text: &str) -> Self {
        let inquiry = Self { folder: tempfile::tempdir().unwrap() };
        std::fs::write(inquiry.file(), text).unwrap();
        inquiry
    }

    fn file(&self) -> PathBuf {
        self.folder.path().join("inquiry.toml")
    }

    fn ask(&self, more: &[&str]) -> Ran {
        let file = self.file();
        let mut arguments = vec!["fit", DEMO, "--bends", file.to_str().unwrap()];
        arguments.extend(more);
        run(&arguments)
    }

    /// The fault is told with its place in the file and these words; nothing is answered.
    fn is_refused(text: &str, words: &[&str]) {
        let asked = Self::of(text).ask(&[]);
        assert_eq!(asked.code, 2, "{text}: {asked:?}");
        assert!(asked.stdout.is_empty(), "{asked:?}");
        for word in words.iter().chain(&["inquiry.toml:"]) {
            assert!(asked.stderr.contains(word), "no `{word}` for {text}: {}", asked.stderr);
        }
    }
}

fn asked(part: &str, more: &[&str]) -> Ran {
    let mut arguments = vec!["fit", DEMO, "--part", part];
    arguments.extend(more);
    let ran = run(&arguments);
    assert_eq!(ran.code, 0, "{part}: {ran:?}");
    ran
}

/// The text on a terminal of so many columns.
fn shown(columns: &str, part: &str, more: &[&str]) -> String {
    let output = Command::new(program())
        .current_dir(repository())
        .env("COLUMNS", columns)
        .args(["fit", DEMO, "--part", part])
        .args(more)
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

fn cell<'a>(answer: &'a Value, id: &str) -> &'a Value {
    let cells = answer["cells"].as_array().unwrap();
    cells.iter().find(|cell| cell["cell"] == id).unwrap_or_else(|| panic!("no cell {id}"))
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_part_of_the_book_is_answered_in_words() {
    let text = words(&shown("200", "HR-704", &["--qty", "24"]));
    for part in [
        "part HR-704 (Ramp end loop), 24 pieces",
        "1 bend, CLR 126.5 mm",
        "Best free-form on push-1 costs",
        "2 900.00 less of tools",
        "Cells that can, the cheapest for 24 pieces first",
        "Time and cost of 24 pieces on push-1",
        "ring 42.164 mm RG-42.2 in the house",
        "to buy, here Mon 2027-01-04 2 900.00 28 days draw-2, draw-3",
        "Quality to expect at the hardest bend",
        "three-roll roll-1 bend 1: bend factor (CLR/OD) is 3, at least 8 is needed",
        "outside diameter is 42.164 mm, at most 30 mm is allowed",
        "the first article and the tooling maker decide",
    ] {
        assert!(text.contains(part), "no `{part}` in {text}");
    }
}

#[test]
fn lines_keep_to_the_terminal() {
    for width in ["60", "100", "160"] {
        let text = shown(width, "ST-953", &[]);
        let longest = text.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(longest <= width.parse().unwrap(), "{longest} columns of {width}");
    }
}

#[test]
fn the_same_as_json() {
    let answer = asked("BR-205", &["--qty", "3600", "--json"]).json();
    assert_eq!(answer["format"], "elbowroom-fit/1");
    assert_eq!((&answer["quantity"], &answer["today"]), (&3600.into(), &"2026-12-07".into()));
    assert_eq!(answer["part"]["od_mm"], 28.575);
    assert_eq!(answer["part"]["bends"][1]["clr_mm"], 85.8);
    assert_eq!(answer["cells"].as_array().unwrap().len(), 7, "every bending cell answers");
    let best = &answer["cells"][0];
    assert_eq!((&best["cell"], &best["can"]), (&"twin-1".into(), &"with purchase".into()));
    let offer = &best["offer"];
    assert_eq!(offer["ready_date"], "2026-12-28");
    assert_eq!(offer["tools"][0]["price"], 1150.0);
    assert_eq!(offer["tools"][0]["lead_min"], 3 * 7 * 1440);
    let sum = |key: &str| -> f64 { offer["cost"][key].as_f64().unwrap() };
    let total = ["tube", "setup", "run", "outside", "tools"].map(sum).iter().sum::<f64>();
    assert!((total - sum("total")).abs() < 1e-6);
    assert!((offer["cost_per_piece"].as_f64().unwrap() - (total - 1150.0) / 3600.0).abs() < 1e-9);
    assert_eq!(answer["at_once"], "push-1");
    let rolls = cell(&answer, "roll-1");
    assert_eq!((&rolls["can"], &rolls["offer"]), (&"no".into(), &Value::Null));
    let reason = &rolls["reasons"][0];
    assert_eq!(reason["bends"], serde_json::json!([1, 2]));
    assert_eq!(
        (reason["limit"]["ratio"].as_f64(), reason["rule"].as_str()),
        (Some(8.0), Some("bend factor (CLR/OD)"))
    );
    assert!(reason["remedy"].as_str().is_some_and(|remedy| remedy.contains("radius")));
}

/// What nobody can make is an answer, not a failure.
#[test]
fn a_part_that_no_cell_can_make() {
    let orders = std::fs::read_to_string(repository().join(DEMO).join("orders.csv")).unwrap();
    let order = orders.lines().find(|line| line.starts_with("O-2657,")).unwrap();
    let part = order.split(',').nth(1).unwrap();
    let answer = asked(part, &["--json"]).json();
    assert_eq!((&answer["can_be_made"], &answer["why_best"]), (&false.into(), &Value::Null));
    for cell in answer["cells"].as_array().unwrap() {
        assert!(!cell["reasons"].as_array().unwrap().is_empty(), "{cell}");
    }
    let text = words(&asked(part, &[]).stdout);
    assert!(text.contains("no cell of this shop can make it; every reason stands below"), "{text}");
    assert!(text.contains("no cell can make it"), "{text}");
}

#[test]
fn a_part_typed_by_hand() {
    let inquiry = Inquiry::of(TYPED);
    let text = inquiry.ask(&["--qty", "50"]);
    assert_eq!((text.code, text.stderr.as_str()), (0, ""), "{text:?}");
    let words = words(&text.stdout);
    assert!(words.contains("part INQUIRY-1 (Towel rail), 50 pieces"), "{words}");
    let answer = inquiry.ask(&["--qty", "50", "--json"]).json();
    // Straights and two quarter circles of 76.2 mm.
    let developed = 840.0 + 76.2 * std::f64::consts::PI;
    assert!((answer["part"]["developed_mm"].as_f64().unwrap() - developed).abs() < 1e-9);
    assert_eq!(answer["can_be_made"], true);
    assert_eq!(cell(&answer, "twin-1")["reasons"][0]["value"]["deg"], 90.0, "it leaves the plane");
}

#[test]
fn a_tube_that_the_shop_does_not_list() {
    let tube = "[[tube]]\nid = \"NEW\"\nod = \"1.25 in\"\nwall = \"0.065 in\"\nmaterial = \"stainless-304\"\n\
                stock_length = \"6 m\"\nprice_per_m = 9.5\n";
    let inquiry =
        Inquiry::of(&format!("{tube}{}", TYPED.replace("T-25.4x1.65-304", "NEW").replace("76.2", "95.25")));
    let answer = inquiry.ask(&["--part", "INQUIRY-1", "--json"]).json();
    assert_eq!((answer["part"]["od_mm"].as_f64(), &answer["can_be_made"]), (Some(31.75), &true.into()));
    let offer = &answer["cells"][0]["offer"];
    let blank = answer["cells"][0]["bending"]["blank_mm"].as_f64().unwrap();
    let tubes = 9.5 * blank / 1000.0 * offer["pieces_to_start"].as_f64().unwrap();
    assert!((offer["cost"]["tube"].as_f64().unwrap() - tubes).abs() < 1e-6);
}

#[test]
fn points_do_as_well() {
    let points = "[[part]]\nid = \"Z\"\ntube = \"T-25.4x1.65-304\"\nclr = \"76.2 mm\"\npoints = [[\"0 mm\", \"0 mm\", \"0 mm\"], \
                  [\"300 mm\", \"0 mm\", \"0 mm\"], [\"300 mm\", \"400 mm\", \"0 mm\"]]\n";
    let answer = Inquiry::of(points).ask(&["--json"]).json();
    assert!((answer["part"]["bends"][0]["straight_before_mm"].as_f64().unwrap() - 223.8).abs() < 1e-9);
}

/// What an inquiry can get wrong about its shape: the part, the bend, the values and a remedy are
/// named.
#[test]
fn impossible_bends_are_refused_with_their_number() {
    let second = |from: &str, to: &str| {
        let (head, tail) = TYPED.split_at(TYPED.find("600 mm").unwrap());
        format!("{head}{}", tail.replacen(from, to, 1))
    };
    let part = "part `INQUIRY-1`";
    Inquiry::is_refused(
        &second("90 deg\" },\n]", "0 deg\" },\n]"),
        &[part, "bend 2", "the angle is 0°", "less than 360 deg"],
    );
    Inquiry::is_refused(
        &second("90 deg\" },\n]", "360 deg\" },\n]"),
        &[part, "bend 2", "the angle is 360°", "coil"],
    );
    Inquiry::is_refused(
        &second("clr = \"76.2 mm", "clr = \"12.7 mm"),
        &[part, "bend 2", "12.7 mm", "larger than"],
    );
    Inquiry::is_refused(&second("clr = \"76.2 mm", "clr = \"0 mm"), &[part, "bend 2", "0 mm", "radius"]);
    Inquiry::is_refused(
        &second("600 mm", "-600 mm"),
        &[part, "bend 2: the straight before it is -600 mm", "tangent points"],
    );
    Inquiry::is_refused(
        &second("clr = \"76.2 mm", "clr = \"3 in"),
        &[part, "bend 2", "\"3 in\"", "\"120 mm\"", "25.4"],
    );
    Inquiry::is_refused(
        &second("clr = \"76.2 mm\"", "clr = 76.2"),
        &[part, "bend 2", "76.2", "without a unit"],
    );
}

#[test]
fn impossible_points_are_refused_with_their_number() {
    let points = |second: &str, third: &str, last: &str| {
        format!(
            "[[part]]\nid = \"Z\"\ntube = \"T-25.4x1.65-304\"\nclr = \"76.2 mm\"\n\
             points = [[\"0 mm\", \"0 mm\", \"0 mm\"], [{second}], [{third}], [{last}]]\n"
        )
    };
    let at = |x: u32, y: u32| format!("\"{x} mm\", \"{y} mm\", \"0 mm\"");
    Inquiry::is_refused(
        &points(&at(150, 0), &at(300, 0), &at(300, 400)),
        &["part `Z`", "bend 1", "point 2", "leave the point out"],
    );
    Inquiry::is_refused(
        &points(&at(300, 0), &at(300, 0), &at(300, 400)),
        &["part `Z`", "point 3", "leave the point out"],
    );
    let tight = points(&at(300, 0), &at(300, 100), &at(0, 100));
    Inquiry::is_refused(&tight, &["part `Z`", "bend 2", "100 mm", "lengthen the leg by", "radius smaller"]);
}

#[test]
fn impossible_tubes_and_materials_are_refused() {
    let tube = |wall: &str, material: &str| {
        format!(
            "[[tube]]\nid = \"NEW\"\nod = \"20 mm\"\nwall = \"{wall}\"\nmaterial = \"{material}\"\nstock_length = \"6 m\"\n{}",
            TYPED.replace("T-25.4x1.65-304", "NEW")
        )
    };
    let asked = Inquiry::of(&tube("10 mm", "stainless-304")).ask(&[]);
    assert_eq!(asked.code, 2);
    for word in ["tube `NEW`", "wall is 10 mm", "20 mm", "less than 10 mm", "inquiry.toml:4"] {
        assert!(asked.stderr.contains(word), "no {word}: {}", asked.stderr);
    }
    Inquiry::is_refused(
        &tube("1.5 mm", "stainles-304"),
        &["tube `NEW`", "stainles-304", "did you mean `stainless-304`?"],
    );
    Inquiry::is_refused(
        &TYPED.replace("T-25.4x1.65-304", "T-25.4x1.65-305"),
        &["T-25.4x1.65-305", "did you mean `T-25.4x1.65-304`?"],
    );
}

#[test]
fn a_part_that_is_not_there() {
    let ran = run(&["fit", DEMO, "--part", "HR-7O4"]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.stderr.contains("there is no part `HR-7O4`") && ran.stderr.contains("did you mean `HR-704`?"),
        "{ran:?}"
    );
    let missing = run(&["fit", DEMO, "--bends", "no-such.toml"]);
    assert_eq!(missing.code, 2);
    assert!(missing.stderr.contains("there is no file `no-such.toml`"), "{missing:?}");
    assert_eq!(run(&["fit", DEMO]).code, 2, "neither part nor bends");
    assert_eq!(run(&["fit", DEMO, "--part", "HR-704", "--qty", "0"]).code, 2);
    let none = Inquiry::of("# nothing yet\n").ask(&[]);
    assert!(none.code == 2 && none.stderr.contains("[[part]]"), "{none:?}");
}

#[test]
fn several_parts_in_a_file() {
    let both = format!("{TYPED}{}", TYPED.replace("INQUIRY-1", "INQUIRY-2"));
    let inquiry = Inquiry::of(&both);
    let open = inquiry.ask(&[]);
    assert!(open.code == 2 && open.stderr.contains("--part INQUIRY-1 or INQUIRY-2"), "{open:?}");
    assert_eq!(inquiry.ask(&["--part", "INQUIRY-2", "--json"]).json()["part"]["id"], "INQUIRY-2");
    assert_eq!(
        inquiry.ask(&["--part", "HR-704", "--json"]).json()["part"]["id"],
        "HR-704",
        "the book's parts are there too"
    );
    let again = Inquiry::of(&TYPED.replace("INQUIRY-1", "HR-704")).ask(&[]);
    assert!(again.code == 2 && again.stderr.contains("part `HR-704` is there twice"), "{again:?}");
}

#[test]
fn a_picture_is_drawn_beside_the_answer() {
    let inquiry = Inquiry::of(TYPED);
    let picture = inquiry.folder.path().join("inquiry.svg");
    let ran = inquiry.ask(&["--picture", picture.to_str().unwrap()]);
    assert!(ran.code == 0 && ran.stdout.contains("INQUIRY-1"), "{ran:?}");
    let svg = std::fs::read_to_string(&picture).unwrap();
    for words in ["<svg ", "INQUIRY-1 Towel rail", "Isometric", "From above", "From the side"] {
        assert!(svg.contains(words), "{words}");
    }
    let nowhere = inquiry.ask(&["--picture", "/no/such/folder/p.svg"]);
    assert!(nowhere.code == 4 && nowhere.stderr.contains("/no/such/folder"), "{nowhere:?}");
    assert!(nowhere.stdout.is_empty(), "{nowhere:?}");
}

/// What the README says to type is typed, and answers what it shows.
#[test]
fn the_readme_shows_what_comes() {
    let readme = std::fs::read_to_string(repository().join("README.md")).unwrap();
    let (_, section) = readme.split_once("## A part you are asked to quote").unwrap();
    let (_, after) = section.split_once("<<'END'\n").unwrap();
    let (typed, after) = after.split_once("END\n").unwrap();
    let (command, after) = after.split_once('\n').unwrap();
    assert_eq!(
        command,
        "$program fit examples/ottergrund --bends inquiry.toml --qty 250 --picture inquiry.svg"
    );
    let (_, after) = after.split_once("```text\n").unwrap();
    let (shown, _) = after.split_once("```").unwrap();
    let inquiry = Inquiry::of(typed);
    let picture = inquiry.folder.path().join("inquiry.svg");
    let answer = inquiry.ask(&["--qty", "250", "--picture", picture.to_str().unwrap()]);
    assert!(answer.stdout.starts_with(shown), "the README shows\n{shown}\nbut now comes\n{}", answer.stdout);
    // Another machine may round a coordinate otherwise.
    let strokes = |svg: String| -> String { svg.chars().filter(|c| !c.is_ascii_digit()).collect() };
    let read = |path: PathBuf| strokes(std::fs::read_to_string(path).unwrap());
    let kept = read(repository().join("reports/inquiry.svg"));
    assert!(kept == read(picture), "reports/inquiry.svg is not what is drawn now");
}
