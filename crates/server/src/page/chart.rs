//! The machine-time chart of a week: cells down, local time across.
//!
//! A bar is one lot on one cell: a hatched piece for changing over, then the run. How far it has
//! come is told by outline, pattern and a sign: a tick for finished, an arrow for running, two bars
//! for stopped. A flag stands over lots of late orders. The cells' pages say the same in words.

use super::axis::{Axis, Span, instant, open_spans, open_together};
use super::words;
use crate::document::Cell;
use crate::snapshot::Published;
use crate::views::{TaskView, Views, day_start};
use chrono::{DateTime, Datelike, Days, NaiveDate, Utc};
use elbowroom_shop::calendar::IsoWeek;
use elbowroom_store::StepState;
use maud::{Markup, html};

const WIDTH: f64 = 1200.0;
const NAMES: f64 = 128.0;
const HEAD: f64 = 30.0;
const ROW: f64 = 38.0;
const BAR: f64 = 24.0;
const LEGEND: f64 = 34.0;

/// Letters are about so wide, in pixels.
const LETTER: f64 = 6.4;

/// The weeks that the plan shows.
pub fn weeks(published: &Published) -> Vec<IsoWeek> {
    let start: NaiveDate = published.plan.start.parse().unwrap_or_default();
    let mut weeks = vec![IsoWeek::of(start)];
    let last = start.checked_add_days(Days::new(u64::from(published.plan.weeks.clamp(1, 53)) * 7 - 1));
    while let (Some(week), Some(last)) = (weeks.last().copied(), last)
        && week < IsoWeek::of(last)
    {
        weeks.push(week.next());
    }
    weeks
}

/// The week to show: the one asked for, else the present one, else the plan's first.
pub fn week(published: &Published, asked: Option<&str>, now: DateTime<Utc>) -> IsoWeek {
    let weeks = weeks(published);
    let present = IsoWeek::of(now.with_timezone(&published.zone).date_naive());
    let asked = weeks.iter().copied().find(|week| asked == Some(week.to_string().as_str()));
    asked.or_else(|| weeks.iter().copied().find(|week| *week == present)).unwrap_or(weeks[0])
}

struct Chart<'a> {
    published: &'a Published,
    views: &'a Views,
    axis: Axis,
    week: Span,
    monday: NaiveDate,
    now: DateTime<Utc>,
}

/// The chart of a week.
pub fn chart(published: &Published, views: &Views, week: IsoWeek, now: DateTime<Utc>) -> Markup {
    let monday = week.monday();
    let span = (day_start(published.zone, monday), day_start(published.zone, week.next().monday()));
    let open = open_together(&published.plan.cells);
    let axis = Axis::new(span, &open, NAMES, WIDTH - 4.0);
    Chart { published, views, axis, week: span, monday, now }.drawn()
}

impl Chart<'_> {
    fn drawn(&self) -> Markup {
        let cells = &self.published.plan.cells;
        let bottom = HEAD + ROW * cells.len() as f64;
        let height = bottom + LEGEND;
        html! {
            svg.chart viewBox={ "0 0 " (WIDTH) " " (height) } role="img" aria-labelledby="chart-title chart-text" {
                title #chart-title { "Machine time, week " (IsoWeek::of(self.monday)) }
                desc #chart-text { (self.description()) }
                (patterns())
                @for (row, cell) in cells.iter().enumerate() { (self.ground(row, cell)) }
                (self.days(bottom))
                @for (row, tasks) in self.views.tasks.iter().enumerate() {
                    @for task in tasks { (self.bar(row, task)) }
                }
                (self.present(bottom))
                (legend(bottom + 12.0))
            }
        }
    }

    fn description(&self) -> String {
        let shown = |task: &&TaskView| self.span(task).is_some();
        let tasks: Vec<&TaskView> = self.views.tasks.iter().flatten().filter(shown).collect();
        let count = |state: StepState| tasks.iter().filter(|task| task.progress.state == state).count();
        format!(
            "{} on {}: {} finished, {} running, {} stopped, {} of late orders. The pages of the cells say the same in words.",
            words::counted(tasks.len(), "lot"),
            words::counted(self.published.plan.cells.len(), "cell"),
            count(StepState::Finished),
            count(StepState::Running),
            count(StepState::Stopped),
            tasks.iter().filter(|task| task.is_late).count()
        )
    }

    fn span(&self, task: &TaskView) -> Option<(f64, f64)> {
        self.axis.cut((instant(&task.task.setup_start)?, instant(&task.task.end)?))
    }

    /// A cell's name, its row, and when it is open.
    fn ground(&self, row: usize, cell: &Cell) -> Markup {
        let top = HEAD + ROW * row as f64;
        let open = open_spans(cell).into_iter().filter_map(|span| self.axis.cut(span));
        html! {
            rect.closed x=(NAMES) y=(top) width=(WIDTH - 4.0 - NAMES) height=(ROW) {}
            @for (left, right) in open {
                rect.open x=(px(left)) y=(top) width=(px(right - left)) height=(ROW) {}
            }
            text.cell x="4" y=(top + ROW / 2.0 + 4.0) { (fitted(&cell.name, NAMES - 8.0)) title { (cell.name) } }
            line.rule x1="0" x2=(WIDTH - 4.0) y1=(top) y2=(top) {}
        }
    }

    fn days(&self, bottom: f64) -> Markup {
        let days = (0..7).filter_map(|day| self.monday.checked_add_days(Days::new(day)));
        html! {
            @for day in days {
                @let left = self.axis.x(day_start(self.published.zone, day));
                line.day x1=(px(left)) x2=(px(left)) y1="4" y2=(bottom) {}
                @if !matches!(day.weekday(), chrono::Weekday::Sun) {
                    text.day x=(px(left + 5.0)) y="20" { (day.format("%a %-d %b")) }
                }
            }
            line.rule x1="0" x2=(WIDTH - 4.0) y1=(bottom) y2=(bottom) {}
        }
    }

    fn bar(&self, row: usize, view: &TaskView) -> Markup {
        let Some((left, right)) = self.span(view) else { return html! {} };
        let task = &view.task;
        let top = HEAD + ROW * row as f64 + (ROW - BAR) / 2.0 + 2.0;
        let run = instant(&task.run_start).map_or(left, |at| self.axis.x(at)).clamp(left, right);
        let state = view.progress.state;
        let label = format!("{}{}", sign(state), task.order);
        html! {
            g class={ "lot " (state.word()) } data-order=(task.order) data-step=(task.step) data-state=(state.word()) {
                title { (told(view)) }
                @if run - left > 0.5 { rect.setup x=(px(left)) y=(top) width=(px(run - left)) height=(BAR) {} }
                rect.run x=(px(run)) y=(top) width=(px((right - run).max(1.5))) height=(BAR) {}
                @if state == StepState::Finished || state == StepState::Stopped {
                    rect class={ "over-" (state.word()) } x=(px(run)) y=(top) width=(px((right - run).max(1.5))) height=(BAR) {}
                }
                @if view.is_late { path.flag d={ "M" (px(left)) " " (top - 7.0) "h9l-3 3.5l3 3.5h-9z" } {} }
                @if right - run > LETTER * 4.0 {
                    text x=(px(run + 3.0)) y=(top + BAR / 2.0 + 4.0) { (fitted(&label, right - run - 4.0)) }
                } @else if state != StepState::Planned && right - run > LETTER {
                    text x=(px(run + 1.0)) y=(top + BAR / 2.0 + 4.0) { (sign(state).trim()) }
                }
            }
        }
    }

    /// Where now is, if it is in this week.
    fn present(&self, bottom: f64) -> Markup {
        let here = (self.week.0..self.week.1).contains(&self.now);
        html! {
            @if here {
                @let x = self.axis.x(self.now);
                line.now x1=(px(x)) x2=(px(x)) y1="22" y2=(bottom) {}
                path.now d={ "M" (px(x - 5.0)) " 22h10l-5 7z" } {}
            }
        }
    }
}

/// The sign of a state, with a gap after it.
pub const fn sign(state: StepState) -> &'static str {
    match state {
        StepState::Planned => "",
        StepState::Running => "\u{25b6} ",
        StepState::Stopped => "\u{2016} ",
        StepState::Finished => "\u{2713} ",
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

/// What of a text fits.
fn fitted(text: &str, room: f64) -> String {
    let letters = (room / LETTER).max(0.0) as usize;
    if text.chars().count() <= letters {
        return text.to_owned();
    }
    let cut: String = text.chars().take(letters.saturating_sub(1)).collect();
    if cut.is_empty() { cut } else { cut + "\u{2026}" }
}

fn patterns() -> Markup {
    html! {
        defs {
            pattern #hatch width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                rect.hatch-ground width="6" height="6" {}
                line.hatch-line x1="0" x2="0" y1="0" y2="6" {}
            }
            pattern #dots width="5" height="5" patternUnits="userSpaceOnUse" { circle.dot cx="2" cy="2" r="1" {} }
            pattern #crosses width="8" height="8" patternUnits="userSpaceOnUse" { path.cross d="M0 0l8 8M8 0l-8 8" {} }
        }
    }
}

fn legend(top: f64) -> Markup {
    let entries = [
        ("planned", "planned", 0.0),
        ("running", "\u{25b6} running", 110.0),
        ("stopped", "\u{2016} stopped", 230.0),
        ("finished", "\u{2713} finished", 350.0),
    ];
    html! {
        g.legend transform={ "translate(" (NAMES) " " (top) ")" } {
            @for (state, name, x) in entries {
                g class={ "lot " (state) } {
                    rect.run x=(x) y="0" width="22" height="14" {}
                    @if state == "finished" || state == "stopped" { rect class={ "over-" (state) } x=(x) y="0" width="22" height="14" {} }
                }
                text.day x=(x + 28.0) y="12" { (name) }
            }
            g.lot { rect.setup x="475" y="0" width="22" height="14" {} }
            text.day x="503" y="12" { "changing over" }
            path.flag d="M625 2h9l-3 3.5l3 3.5h-9z" {}
            text.day x="640" y="12" { "its order will be late" }
            rect.closed x="800" y="0" width="22" height="14" {}
            text.day x="828" y="12" { "closed; narrower where nobody works" }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::fitted;

    #[test]
    fn words_are_cut_to_their_room() {
        assert_eq!(fitted("O-2588", 60.0), "O-2588");
        assert_eq!(fitted("O-2588", 30.0), "O-2\u{2026}");
        assert_eq!(fitted("O-2588", 3.0), "");
    }
}
