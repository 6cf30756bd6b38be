//! Whole processes, measured from outside.

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// One finished process.
pub struct Measured {
    /// Wall-clock time.
    pub wall: Duration,
    /// Largest resident memory in bytes; 0 where the system does not tell.
    pub memory: u64,
}

/// Runs a command to its end; its peak memory is read while it runs.
///
/// # Panics
/// If it cannot be started or fails: a benchmark of a failure says nothing.
pub fn measure(command: &mut Command) -> Measured {
    let started = Instant::now();
    let child =
        command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the command can be started");
    let status = format!("/proc/{}/status", child.id());
    let waiting = std::thread::spawn(move || child.wait_with_output());
    let mut memory = 0;
    while !waiting.is_finished() {
        memory = memory.max(peak_memory(&status));
        std::thread::sleep(Duration::from_millis(2));
    }
    let wall = started.elapsed();
    let output = waiting.join().expect("the waiter does not panic").expect("the command can be waited for");
    assert!(output.status.success(), "{command:?} failed");
    Measured { wall, memory }
}

/// The high-water mark that the system keeps, in bytes.
fn peak_memory(status: &str) -> u64 {
    let text = std::fs::read_to_string(status).unwrap_or_default();
    let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kib = line.and_then(|rest| rest.trim().trim_end_matches("kB").trim().parse::<u64>().ok());
    kib.unwrap_or(0) * 1024
}

/// The middle one of several durations.
pub fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}
