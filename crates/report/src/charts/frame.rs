//! What every chart has around its content: title, names of cells at the left.

use super::{BODY, MARGIN, NAME, SMALL, TITLE, wrapped};
use crate::clean::plain;
use crate::picture::lettering::{self, Weight};
use crate::picture::{Group, Ink, Text};
use elbowroom_planner::plan::{CellPlan, Plan};

/// Largest share of a picture's width that names of cells may take.
const LARGEST_SHARE: f64 = 0.2;
/// From line to line of a cell's name.
const PITCH: f64 = 14.0;

/// Adds title and subtitle; answers where the content may begin.
pub fn heading(group: &mut Group, width: f64, title: &str, subtitle: &str) -> f64 {
    let room = width - 2.0 * MARGIN;
    let mut y = MARGIN + TITLE * 0.6;
    for line in wrapped(&plain(title), TITLE, Weight::Bold, room) {
        group.text(Text::new((MARGIN, y), line, TITLE).bold());
        y += TITLE * 1.3;
    }
    for line in wrapped(&plain(subtitle), BODY, Weight::Regular, room) {
        group.text(Text::new((MARGIN, y), line, BODY).ink(Ink::Quiet));
        y += BODY * 1.4;
    }
    y
}

/// Where the content begins: right of the names of all cells.
pub fn content_left(plan: &Plan, width: f64) -> f64 {
    let widest = plan.cells.iter().map(name_width).fold(0.0, f64::max);
    let most = (width * LARGEST_SHARE).max(88.0);
    MARGIN + widest.clamp(60.0, most) + 8.0
}

fn name_width(cell: &CellPlan) -> f64 {
    let name = lettering::width(&plain(&cell.name), NAME, Weight::Bold);
    let note = lettering::width(&plain(&note(cell)), SMALL, Weight::Regular);
    name.max(note)
}

/// Id and kind of work of a cell; the kind alone where the id is the name.
fn note(cell: &CellPlan) -> String {
    if cell.id == cell.name { cell.work.name().to_owned() } else { format!("{} · {}", cell.id, cell.work) }
}

/// Adds a cell's name, and below it id and kind of work, right of the margin and around `middle`, on
/// `most` lines at most.
pub fn cell_name(group: &mut Group, cell: &CellPlan, middle: f64, right: f64, most: usize) {
    let room = right - 8.0 - MARGIN;
    let bold = |line| Text::new((MARGIN, 0.0), line, NAME).bold();
    let quiet = |line| Text::new((MARGIN, 0.0), line, SMALL).ink(Ink::Quiet);
    let mut texts: Vec<Text> =
        name_lines(cell, room, if most > 2 { 2 } else { 1 }).into_iter().map(bold).collect();
    texts.extend(note_lines(cell, room).into_iter().map(quiet));
    texts.truncate(most);
    let mut y = middle - (texts.len() as f64 - 1.0) * PITCH / 2.0;
    for mut text in texts {
        text.at.1 = y;
        y += PITCH;
        group.text(text);
    }
}

/// A cell's name on at most `most` lines, the last shortened where that is too little.
fn name_lines(cell: &CellPlan, room: f64, most: usize) -> Vec<String> {
    let name = plain(&cell.name);
    let mut lines = wrapped(&name, NAME, Weight::Bold, room);
    if lines.len() > most {
        let rest = lines.split_off(most - 1).join(" ");
        lines.extend(lettering::fit_start(&rest, NAME, Weight::Bold, room, 1));
    }
    lines
}

/// The note on one line, or id and kind on a line each.
fn note_lines(cell: &CellPlan, room: f64) -> Vec<String> {
    let note = plain(&note(cell));
    if lettering::width(&note, SMALL, Weight::Regular) <= room || cell.id == cell.name {
        return lettering::fit_start(&note, SMALL, Weight::Regular, room, 1).into_iter().collect();
    }
    let parts = [plain(&cell.id), cell.work.name().to_owned()];
    parts.iter().filter_map(|part| lettering::fit_start(part, SMALL, Weight::Regular, room, 1)).collect()
}
