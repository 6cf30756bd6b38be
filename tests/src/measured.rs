//! What every page of measurements says first.

use std::process::Command;

/// Machine, versions and date.
pub fn heading() {
    let cores = std::thread::available_parallelism().map_or(0, usize::from);
    println!("- date: {}", output("date", &["-u", "+%Y-%m-%d"]));
    println!("- machine: {cores} cores, {}", processor());
    println!("- {}", output("rustc", &["--version"]));
    println!("- revision: {}\n", output("git", &["rev-parse", "--short", "HEAD"]));
}

fn processor() -> String {
    let text = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = text.lines().find_map(|line| line.strip_prefix("model name"));
    name.map_or_else(
        || "processor unknown".to_owned(),
        |rest| rest.trim_start_matches([' ', '\t', ':']).to_owned(),
    )
}

/// What a program prints, or `unknown`.
pub fn output(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program).args(arguments).output();
    output.map_or_else(
        |_| "unknown".to_owned(),
        |output| String::from_utf8_lossy(&output.stdout).trim().to_owned(),
    )
}
