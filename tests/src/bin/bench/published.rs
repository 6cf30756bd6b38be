//! Published instances: how far from the best known values.

use crate::shops::ours;
use crate::targets::target;
use elbowroom_tests::referee::folder;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

/// How the converter calls the layout of a set, by the beginning of the set's name.
const LAYOUTS: [(&str, &str); 7] = [
    ("fjsp_workers", "workers"),
    ("fjsp_sdst", "fjsp-sdst"),
    ("fjsp", "fjsp"),
    ("jsp_total_tardiness", "jsp-tt"),
    ("jsp", "jsp"),
    ("wtsds", "wtsds"),
    ("wt", "wt"),
];

/// Which of the instances are run.
pub struct Part {
    /// Beginning of the set's name; empty for all.
    pub set: String,
    /// Each one of so many of a set.
    pub every: usize,
}

/// One row of the list of best known values.
struct Row {
    set: String,
    instance: String,
    best: f64,
    is_proven: bool,
}

/// What came out for a set, or for a part of one.
#[derive(Default)]
struct Sum {
    asked: &'static str,
    gaps: Vec<f64>,
    reached: usize,
    proven: usize,
    proven_reached: usize,
}

/// Prints the page: a row for each instance as it comes, then a row for each set.
pub fn run(published: &Path, seconds: f64, part: &Part) {
    println!("{seconds} s each, 2 threads, seed 1. Gap: (ours - best known) / best known.\n");
    println!("| set | instance | ours | best known | gap |\n|---|---|---|---|---|");
    let work = tempfile::tempdir().expect("a temporary folder");
    let mut sums: BTreeMap<String, Sum> = BTreeMap::new();
    for row in rows(published, part) {
        let Some(value) = ours_of(published, &row, work.path(), seconds) else {
            println!("| {} | {} | - | {} | - |", row.set, row.instance, row.best);
            continue;
        };
        let gap = gap(value, row.best);
        println!("| {} | {} | {value} | {} | {:.2} % |", row.set, row.instance, row.best, gap * 100.0);
        let (name, asked) = target(&row.set, &row.instance);
        let sum = sums.entry(name).or_insert_with(|| Sum { asked, ..Sum::default() });
        let is_reached = gap < 1e-9;
        sum.gaps.push(gap);
        sum.reached += usize::from(is_reached);
        sum.proven += usize::from(row.is_proven);
        sum.proven_reached += usize::from(row.is_proven && is_reached);
    }
    summary(&sums, seconds);
}

fn summary(sums: &BTreeMap<String, Sum>, seconds: f64) {
    println!(
        "\n| set | instances | mean gap | largest gap | best known reached | proven optima met | \
         in {seconds} s asked |\n|---|---|---|---|---|---|---|"
    );
    for (name, sum) in sums {
        let count = sum.gaps.len();
        let mean = sum.gaps.iter().sum::<f64>() / count.max(1) as f64;
        let largest = sum.gaps.iter().copied().fold(0.0, f64::max);
        println!(
            "| {name} | {count} | {:.2} % | {:.2} % | {} | {} of {} | {} |",
            mean * 100.0,
            largest * 100.0,
            sum.reached,
            sum.proven_reached,
            sum.proven,
            sum.asked
        );
    }
}

/// The wanted rows of the list, set by set.
fn rows(published: &Path, part: &Part) -> Vec<Row> {
    let text = std::fs::read_to_string(published.join("best_known.csv")).unwrap_or_default();
    let mut sets: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    for line in text.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let [set, instance, .., _] = fields[..] else { continue };
        let Some(Ok(best)) = fields.get(7).map(|text| text.parse()) else { continue };
        let is_proven = fields.get(8) == Some(&"yes");
        if set.starts_with(&part.set) {
            let row = Row { set: set.to_owned(), instance: instance.to_owned(), best, is_proven };
            sets.entry(row.set.clone()).or_default().push(row);
        }
    }
    sets.into_values().flat_map(|rows| rows.into_iter().step_by(part.every.max(1))).collect()
}

/// Our value.
fn ours_of(published: &Path, row: &Row, work: &Path, seconds: f64) -> Option<f64> {
    let file = problem(published, row, work)?;
    ours(&file, seconds, 1)["objective"].as_f64()
}

/// (ours - best) / best; where the best is 0, 0 or 1.
fn gap(value: f64, best: f64) -> f64 {
    if best > 0.0 { value / best - 1.0 } else { f64::from(value > 0.0) }
}

/// The instance as a problem file.
fn problem(published: &Path, row: &Row, work: &Path) -> Option<PathBuf> {
    let layout =
        LAYOUTS.iter().find(|(set, _)| row.set.starts_with(set)).map_or("upmsp", |(_, layout)| layout);
    // Instances with shared operators are written NAME+Koperators and use the classic files.
    let (name, operators) = match row.instance.split_once('+') {
        Some((name, rest)) => (name, rest.trim_end_matches("operators")),
        None => (row.instance.as_str(), "0"),
    };
    let folder_name = if row.set == "jsp_operators" { "jsp_classic" } else { &row.set };
    let source = std::fs::read_dir(published.join(folder_name)).ok()?.flatten().map(|entry| entry.path());
    let source = source.into_iter().find(|path| path.file_stem().is_some_and(|stem| stem == name))?;
    let mut command = Command::new("python3");
    command.arg(folder().join("to_problem.py")).arg(layout).arg(source);
    if operators != "0" {
        command.args(["-k", operators]);
    }
    let output = command.output().ok().filter(|output| output.status.success())?;
    let file = work.join(format!("{}-{}.json", row.set, row.instance.replace('+', "-")));
    std::fs::write(&file, output.stdout).ok()?;
    Some(file)
}
