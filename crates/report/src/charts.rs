//! Charts of a plan, laid out as pictures.

mod axis;
pub mod chance;
mod frame;
mod legend;
pub mod load;
pub mod machine_time;
pub mod weeks;

use crate::picture::lettering::{self, Weight};

/// Room around everything, in pixels.
const MARGIN: f64 = 14.0;
/// Narrowest picture that is laid out; a narrower wish gets this.
const LEAST_WIDTH: f64 = 360.0;
/// Size of letters of titles.
const TITLE: f64 = 17.0;
/// Size of letters of names.
const NAME: f64 = 12.0;
/// Size of ordinary letters.
const BODY: f64 = 11.0;
/// Size of the smallest letters.
const SMALL: f64 = 9.5;

/// Words broken into lines that fit into `room`; a word that is too long is cut.
fn wrapped(words: &str, size: f64, weight: Weight, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match longer {
            Some(line) if lettering::width(&line, size, weight) <= room => {
                lines.pop();
                lines.push(line);
            }
            _ => lines.push(lettering::fit_start(word, size, weight, room, 0).unwrap_or_default()),
        }
    }
    lines
}
