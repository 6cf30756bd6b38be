//! Published instances: how far from the best known values.

use crate::shops::ours;
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

/// One row of the list of best known values.
struct Row {
    set: String,
    instance: String,
    best: f64,
}

/// Prints the page: a row for each set, the instances that miss the best value below it.
pub fn run(published: &Path, seconds: f64) {
    println!("{seconds} s each, 2 threads, seed 1. Gap: (ours - best known) / best known.\n");
    println!("| set | instances | mean gap | largest gap | best known reached |\n|---|---|---|---|---|");
    let work = tempfile::tempdir().expect("a temporary folder");
    let mut misses = Vec::new();
    for (set, rows) in by_set(published) {
        let gaps: Vec<(String, f64)> = rows
            .iter()
            .filter_map(|row| Some((row.instance.clone(), gap(published, row, work.path(), seconds)?)))
            .collect();
        if gaps.is_empty() {
            continue;
        }
        let mean = gaps.iter().map(|(_, gap)| gap).sum::<f64>() / gaps.len() as f64;
        let largest = gaps.iter().map(|(_, gap)| *gap).fold(0.0, f64::max);
        let reached = gaps.iter().filter(|(_, gap)| *gap < 1e-9).count();
        println!("| {set} | {} | {:.2} % | {:.2} % | {reached} |", gaps.len(), mean * 100.0, largest * 100.0);
        misses.extend(
            gaps.into_iter().filter(|(_, gap)| *gap >= 1e-9).map(|(name, gap)| (set.clone(), name, gap)),
        );
    }
    println!("\n| set | instance | gap |\n|---|---|---|");
    for (set, instance, gap) in misses {
        println!("| {set} | {instance} | {:.2} % |", gap * 100.0);
    }
}

fn by_set(published: &Path) -> BTreeMap<String, Vec<Row>> {
    let text = std::fs::read_to_string(published.join("best_known.csv")).unwrap_or_default();
    let mut sets: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    for line in text.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        if let (Some(set), Some(instance), Some(Ok(best))) =
            (fields.first(), fields.get(1), fields.get(7).map(|t| t.parse()))
        {
            let row = Row { set: (*set).to_owned(), instance: (*instance).to_owned(), best };
            sets.entry(row.set.clone()).or_default().push(row);
        }
    }
    sets
}

/// (ours - best) / best; where the best is 0, 0 or 1.
fn gap(published: &Path, row: &Row, work: &Path, seconds: f64) -> Option<f64> {
    let file = problem(published, row, work)?;
    let value = ours(&file, seconds)["objective"].as_f64()?;
    Some(if row.best > 0.0 { value / row.best - 1.0 } else { f64::from(value > 0.0) })
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
