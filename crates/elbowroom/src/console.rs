//! Writing to the terminal: results on standard output, everything else on standard error.

use std::io::{IsTerminal, Write};

/// Whether progress is shown: only to a person at a terminal.
pub fn shows_progress() -> bool {
    std::io::stderr().is_terminal()
}

/// Overwrites the progress line.
pub fn progress(text: &str) {
    let mut err = std::io::stderr().lock();
    // Nobody is harmed where progress cannot be shown.
    let _ = write!(err, "\r\x1b[2K{text}");
    let _ = err.flush();
}

/// Takes the progress line away.
pub fn end_progress() {
    if shows_progress() {
        progress("");
    }
}

/// Prints a result. A reader that has gone away (a closed pipe) ends the output quietly.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes());
    if !text.ends_with('\n') {
        let _ = out.write_all(b"\n");
    }
    let _ = out.flush();
}

/// Prints a message for a person, apart from the results.
pub fn tell(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}

/// The width of text for a person: that of the terminal, or 100.
pub fn width() -> usize {
    std::env::var("COLUMNS")
        .ok()
        .and_then(|text| text.parse().ok())
        .map_or(100, |width: usize| width.clamp(60, 200))
}
