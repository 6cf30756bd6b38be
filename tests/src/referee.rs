//! The independent referee, a program in another language, asked many questions at once.

use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, Command, Output, Stdio};

/// What the referee said of one schedule.
#[derive(Clone, Debug)]
pub struct Opinion {
    /// `unreadable`, `problem`, `schedule`, `rules` or `valid`: where the judging ended.
    pub stage: String,
    /// Its words.
    pub lines: Vec<String>,
    /// Where valid: objective, late jobs, setup minutes.
    pub figures: Option<(f64, u64, i64)>,
}

impl Opinion {
    fn of(value: &Value) -> Self {
        let text = |value: &Value| value.as_str().expect("the referee's words are strings").to_owned();
        let figures = (value["stage"] == "valid").then(|| {
            let objective = value["objective"].as_f64().expect("a number");
            let late = value["late_jobs"].as_u64().expect("a count");
            (objective, late, value["setup_minutes"].as_i64().expect("minutes"))
        });
        let lines = value["lines"].as_array().expect("a list").iter().map(text).collect();
        Self { stage: text(&value["stage"]), lines, figures }
    }

    /// Whether the referee found nothing wrong.
    #[must_use]
    pub fn is_valid(&self) -> bool {
        self.stage == "valid"
    }

    /// The rules that its lines name: `1` to `9`, `objective`, `bound`.
    #[must_use]
    pub fn rules(&self) -> BTreeSet<String> {
        let rule = |line: &String| {
            if line.contains("objective is claimed") {
                "objective".to_owned()
            } else if line.contains("lower_bound") {
                "bound".to_owned()
            } else {
                let after = line.split(": rule ").nth(1).expect("a line names its rule");
                after.chars().take(1).collect()
            }
        };
        self.lines.iter().map(rule).collect()
    }
}

/// The folder of the referee and its companions.
#[must_use]
pub fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("referee")
}

/// The referee's opinions of pairs of a problem file and a schedule file.
///
/// # Panics
/// If `python3` is missing or the referee fails: a comparison that cannot be made has failed.
#[must_use]
pub fn judge(pairs: &[(String, String)]) -> Vec<Opinion> {
    let questions: String = pairs.iter().map(|(p, s)| format!("{}\n", json!([p, s]))).collect();
    let output = python("judge_many.py", &[], questions);
    let text = String::from_utf8(output.stdout).expect("the referee writes UTF-8");
    let opinions: Vec<Opinion> = text
        .lines()
        .map(|line| Opinion::of(&serde_json::from_str(line).expect("the referee writes JSON")))
        .collect();
    assert_eq!(opinions.len(), pairs.len(), "the referee answers every question");
    opinions
}

/// A problem file from the generator of invented shops.
///
/// # Panics
/// As [`judge`].
#[must_use]
pub fn make_shop(arguments: &[&str]) -> String {
    String::from_utf8(python("make_shop.py", arguments, String::new()).stdout).expect("UTF-8")
}

/// The least cost of each market of purchases, a whole number as text, or what was not proved.
///
/// # Panics
/// As [`judge`]; without the `ortools` package it does.
#[must_use]
pub fn buy_many(questions: &[String]) -> Vec<String> {
    let output = python("buy_many.py", &[], questions.join("\n") + "\n");
    let text = String::from_utf8(output.stdout).expect("the program writes UTF-8");
    text.lines().map(str::to_owned).collect()
}

/// What the general constraint solver says of one problem.
#[derive(Clone, Debug)]
pub struct Answer {
    /// `OPTIMAL`, or why not.
    pub status: String,
    /// Objective of its best schedule, which the referee has found valid.
    pub objective: Option<f64>,
    /// What it proves no schedule can beat.
    pub bound: Option<f64>,
}

impl Answer {
    fn of(value: &Value) -> Self {
        Self {
            status: value["status"].as_str().unwrap_or("").to_owned(),
            objective: value["objective"].as_f64(),
            bound: value["bound"].as_f64(),
        }
    }
}

/// Solves problem files with the general constraint solver, and tells each answer as it comes.
///
/// # Panics
/// If `python3` is missing or the program fails; without the `ortools` package it does.
pub fn solve_many(problems: Vec<String>, seconds: f64, threads: u32, mut tell: impl FnMut(&Answer)) {
    let mut child = start("solve_many.py", &[&seconds.to_string(), &threads.to_string()], Stdio::inherit());
    let mut stdin = child.stdin.take().expect("the input is piped");
    let writer = std::thread::spawn(move || {
        problems.iter().try_for_each(|problem| writeln!(stdin, "{}", Value::from(problem.as_str())))
    });
    let lines = BufReader::new(child.stdout.take().expect("the output is piped")).lines();
    for line in lines {
        let line = line.expect("the program writes UTF-8");
        tell(&Answer::of(&serde_json::from_str(&line).expect("the program writes JSON")));
    }
    let status = child.wait().expect("python3 can be waited for");
    assert!(status.success(), "solve_many.py failed");
    writer.join().expect("the writer does not panic").expect("the program reads its input");
}

/// Starts a program of the referee's folder.
fn start(program: &str, arguments: &[&str], errors: Stdio) -> Child {
    Command::new("python3")
        .arg(folder().join(program))
        .args(arguments)
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(errors)
        .spawn()
        .expect("python3 runs the independent referee of this test; install it: apt-get install python3")
}

/// Runs a program of the referee's folder to its end.
fn python(program: &str, arguments: &[&str], input: String) -> Output {
    let mut child = start(program, arguments, Stdio::piped());
    let mut stdin = child.stdin.take().expect("the input is piped");
    // Written beside the reading: both pipes are shorter than the questions.
    let writer = std::thread::spawn(move || stdin.write_all(input.as_bytes()));
    let output = child.wait_with_output().expect("python3 can be waited for");
    let written = writer.join().expect("the writer does not panic");
    let words = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{program} failed: {words}");
    written.expect("the program reads its input");
    output
}
