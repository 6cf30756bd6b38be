//! Rows, bars and marks of a chart. The names of the cells are a drawing of their own, which stays where
//! it is while the rest is moved under it.

use super::marks::Mark;
use super::{Charted, sign};
use crate::document::Cell;
use crate::page::axis::{Axis, Span, instant, open_spans};
use crate::page::words;
use crate::views::TaskView;
use elbowroom_store::StepState;
use maud::{Markup, html};

/// Free pixels at both ends of the time.
pub const MARGIN: f64 = 6.0;
/// Letters are about so wide, in pixels.
pub const LETTER: f64 = 6.4;

const HEAD: f64 = 30.0;
const ROW: f64 = 38.0;
const BAR: f64 = 24.0;
/// From one line of a name to the next.
const LINE: f64 = 13.0;
/// Bold letters are wider.
const BOLD: f64 = 7.5;

/// Sizes of a chart.
#[derive(Clone, Copy)]
pub struct Frame {
    /// What its parts are called by.
    pub id: &'static str,
    /// Width of the names.
    pub names: f64,
    /// Width of the time.
    pub width: f64,
}

/// A chart to be drawn.
pub struct Drawing<'a> {
    /// What is drawn.
    pub charted: &'a Charted<'a>,
    /// How large.
    pub frame: Frame,
    /// Moments to pixels.
    pub axis: Axis,
    /// The time that it shows.
    pub span: Span,
    /// Days or hours.
    pub marks: Vec<Mark>,
    /// What it is called.
    pub title: String,
}

impl Drawing<'_> {
    /// Names and chart, side by side.
    pub fn drawn(&self) -> Markup {
        let cells = &self.charted.published.plan.cells;
        let bottom = HEAD + ROW * cells.len() as f64;
        let (title, text) = (format!("{}-title", self.frame.id), format!("{}-text", self.frame.id));
        html! {
            svg.chart.names viewBox={ "0 0 " (self.frame.names) " " (bottom + 1.0) } preserveAspectRatio="xMaxYMin" aria-hidden="true" {
                @for (row, cell) in cells.iter().enumerate() { (self.name(row, cell)) }
                line.rule x1="0" x2=(self.frame.names) y1=(bottom) y2=(bottom) {}
            }
            svg.chart.time viewBox={ "0 0 " (self.frame.width) " " (bottom + 1.0) } preserveAspectRatio="xMinYMin" role="img" aria-labelledby={ (title) " " (text) } {
                title id=(title) { (self.title) }
                desc id=(text) { (self.description()) }
                @for (row, cell) in cells.iter().enumerate() { (self.ground(row, cell)) }
                (self.lines(bottom))
                @for (row, tasks) in self.charted.views.tasks.iter().enumerate() {
                    @for task in tasks { (self.bar(row, task)) }
                }
                (self.present(bottom))
            }
        }
    }

    fn description(&self) -> String {
        let shown = |task: &&TaskView| self.reach(task).is_some();
        let tasks: Vec<&TaskView> = self.charted.views.tasks.iter().flatten().filter(shown).collect();
        let count = |state: StepState| tasks.iter().filter(|task| task.progress.state == state).count();
        format!(
            "{} on {}: {} finished, {} running, {} stopped, {} of late orders. The pages of the cells say the same in words.",
            words::counted(tasks.len(), "lot"),
            words::counted(self.charted.published.plan.cells.len(), "cell"),
            count(StepState::Finished),
            count(StepState::Running),
            count(StepState::Stopped),
            tasks.iter().filter(|task| task.is_late).count()
        )
    }

    /// From where to where a lot reaches.
    fn reach(&self, task: &TaskView) -> Option<(f64, f64)> {
        self.axis.cut((instant(&task.task.setup_start)?, instant(&task.task.end)?))
    }

    fn name(&self, row: usize, cell: &Cell) -> Markup {
        let top = HEAD + ROW * row as f64;
        let lines = in_lines(&cell.name, self.frame.names - 8.0);
        html! {
            g {
                title { (cell.name) }
                @for (line, text) in lines.iter().enumerate() {
                    text.cell x="4" y=(top + ROW / 2.0 + 4.0 + LINE * (line as f64 - (lines.len() as f64 - 1.0) / 2.0)) { (text) }
                }
            }
            line.rule x1="0" x2=(self.frame.names) y1=(top) y2=(top) {}
        }
    }

    /// A cell's row, and when it is open.
    fn ground(&self, row: usize, cell: &Cell) -> Markup {
        let top = HEAD + ROW * row as f64;
        let open = open_spans(cell).into_iter().filter_map(|span| self.axis.cut(span));
        html! {
            rect.closed x="0" y=(top) width=(self.frame.width) height=(ROW) {}
            @for (left, right) in open {
                rect.open x=(px(left)) y=(top) width=(px(right - left)) height=(ROW) {}
            }
            line.rule x1="0" x2=(self.frame.width) y1=(top) y2=(top) {}
        }
    }

    fn lines(&self, bottom: f64) -> Markup {
        html! {
            @for mark in &self.marks {
                line.day x1=(px(mark.x)) x2=(px(mark.x)) y1=(HEAD - 6.0) y2=(bottom) {}
                @if !mark.text.is_empty() { text.day x=(px(mark.text_x)) y="20" { (mark.text) } }
            }
            line.rule x1="0" x2=(self.frame.width) y1=(bottom) y2=(bottom) {}
        }
    }

    fn bar(&self, row: usize, view: &TaskView) -> Markup {
        let Some((left, right)) = self.reach(view) else { return html! {} };
        let task = &view.task;
        let top = HEAD + ROW * row as f64 + (ROW - BAR) / 2.0 + 2.0;
        let run = instant(&task.run_start).map_or(left, |at| self.axis.x(at)).clamp(left, right);
        let state = view.progress.state;
        html! {
            g class={ "lot " (state.word()) } data-order=(task.order) data-step=(task.step) data-state=(state.word()) {
                title { (told(view)) }
                @if run - left > 0.5 { rect.setup x=(px(left)) y=(top) width=(px(run - left)) height=(BAR) {} }
                rect.run x=(px(run)) y=(top) width=(px((right - run).max(1.5))) height=(BAR) {}
                @if state == StepState::Finished || state == StepState::Stopped {
                    rect class={ "over-" (state.word()) } x=(px(run)) y=(top) width=(px((right - run).max(1.5))) height=(BAR) {}
                }
                @if view.is_late { path.flag d={ "M" (px(left)) " " (top - 7.0) "h9l-3 3.5l3 3.5h-9z" } {} }
                @if let Some(label) = label(sign(state), &task.order, right - run - 5.0) {
                    text x=(px(run + 3.0)) y=(top + BAR / 2.0 + 4.0) { (label) }
                }
            }
        }
    }

    /// Where now is, if it is in the time shown.
    fn present(&self, bottom: f64) -> Markup {
        let here = (self.span.0..self.span.1).contains(&self.charted.now);
        html! {
            @if here {
                @let x = self.axis.x(self.charted.now);
                line.now x1=(px(x)) x2=(px(x)) y1="22" y2=(bottom) {}
                path.now d={ "M" (px(x - 5.0)) " 22h10l-5 7z" } {}
            }
        }
    }
}

fn told(view: &TaskView) -> String {
    let task = &view.task;
    let setup = if task.changeover_min > 0 {
        format!(", changeover {}", words::length(task.changeover_min))
    } else {
        String::new()
    };
    format!(
        "{} {}: {} x {}, {} to {}{setup}; {}{}",
        task.order,
        task.step,
        task.quantity,
        view.part_name,
        words::moment(&task.setup_start),
        words::moment(&task.end),
        view.progress.state.word(),
        if view.is_late { "; its order will be late" } else { "" }
    )
}

/// A tenth of a pixel is enough.
fn px(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// What is written on a bar: sign and order, or the end of the order's name, in which orders differ, or the
/// sign alone, whatever has room.
fn label(sign: &str, order: &str, room: f64) -> Option<String> {
    let letters = (room / BOLD).max(0.0) as usize;
    let left = letters.saturating_sub(sign.chars().count());
    let long = order.chars().count();
    if long <= left {
        return Some(format!("{sign}{order}"));
    }
    if left > ENDING {
        let end: String = order.chars().skip(long - (left - 1)).collect();
        return Some(format!("{sign}\u{2026}{end}"));
    }
    (!sign.is_empty() && letters > 0).then(|| sign.trim().to_owned())
}

/// So many letters of an order's end tell it from others.
const ENDING: usize = 3;

/// A name in one line, or in two broken between words; what still has no room is left out.
fn in_lines(name: &str, room: f64) -> Vec<String> {
    let letters = (room / BOLD).max(1.0) as usize;
    if name.chars().count() <= letters {
        return vec![name.to_owned()];
    }
    let mut first = String::new();
    for word in name.split_inclusive([' ', '-']) {
        if (first.chars().count() + word.trim_end().chars().count()) > letters {
            break;
        }
        first.push_str(word);
    }
    let rest = name[first.len()..].to_owned();
    [first.trim_end().to_owned(), rest]
        .into_iter()
        .filter(|line| !line.is_empty())
        .map(|line| fitted(&line, letters))
        .collect()
}

/// What of a text fits into so many letters.
fn fitted(text: &str, letters: usize) -> String {
    if text.chars().count() <= letters {
        return text.to_owned();
    }
    let cut: String = text.chars().take(letters.saturating_sub(1)).collect();
    cut + "\u{2026}"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_tell_what_has_room() {
        assert_eq!(label("", "O-2588", 60.0).as_deref(), Some("O-2588"));
        assert_eq!(label("", "O-2588", 40.0).as_deref(), Some("\u{2026}2588"));
        assert_eq!(label("", "O-2588", 22.0), None);
        assert_eq!(label("\u{25b6} ", "O-2588", 47.0).as_deref(), Some("\u{25b6} \u{2026}588"));
        assert_eq!(label("\u{25b6} ", "O-2588", 12.0).as_deref(), Some("\u{25b6}"));
        assert_eq!(label("\u{25b6} ", "O-2588", 3.0), None);
    }

    #[test]
    fn names_of_cells_take_two_lines_where_they_must() {
        assert_eq!(in_lines("Dip tank", 120.0), ["Dip tank"]);
        assert_eq!(in_lines("Twin-head compression 1", 120.0), ["Twin-head", "compression 1"]);
        assert_eq!(in_lines("Twin-head compression 1", 78.0), ["Twin-head", "compressi\u{2026}"]);
        assert_eq!(in_lines("Hochdruckwasserstrahl", 78.0), ["Hochdruck\u{2026}"]);
    }
}
