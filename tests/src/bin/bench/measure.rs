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

/// The most memory that this process has used so far, in bytes; 0 where the system does not tell.
pub fn own_peak_memory() -> u64 {
    peak_memory("/proc/self/status")
}

/// The middle one of several durations.
pub fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

/// Processor time that this process has used so far; zero where the system does not tell. On a busy
/// machine it says more than the clock.
pub fn processor_time() -> Duration {
    // Ticks of a hundredth of a second, in user mode and in the system (proc(5), fields 14 and 15).
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = text.rsplit_once(')').map_or("", |(_, rest)| rest);
    let ticks = after_name.split_whitespace().skip(11).take(2).filter_map(|field| field.parse::<u64>().ok());
    Duration::from_millis(ticks.sum::<u64>() * 10)
}
