//! The past, week by week: promises kept, how cells were used, what cost most lateness. A row for
//! each figure, a bar for each week; every bar has its figure written on it.

use super::{BODY, MARGIN, NAME, SMALL, frame, wrapped};
use crate::picture::lettering::{self, Weight};
use crate::picture::{Anchor, Frame, Group, Ink, Picture, Text};
use elbowroom_lookback::{Review, WeekReview};

/// Height of a row, and of the highest bar in it.
const ROW: f64 = 62.0;
const HIGHEST: f64 = 36.0;
/// Room for the names at the left.
const NAMES: f64 = 230.0;
/// Widest bar.
const WIDEST: f64 = 72.0;
/// Causes that get a row of their own.
const MOST_CAUSES: usize = 5;

/// One figure over the weeks.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// What it is.
    pub name: String,
    /// For each week; `None` where there is nothing to divide by.
    pub values: Vec<Option<f64>>,
    /// The value at which a bar is as high as it can be.
    pub full: f64,
    /// The words for each week.
    pub words: Vec<String>,
}

/// The shares of the weeks, then the lateness of the causes that cost most.
#[must_use]
pub fn series(weeks: &[WeekReview], whole: &Review) -> Vec<Series> {
    let share = |name: &str, of: &dyn Fn(&Review) -> Option<f64>| {
        let values: Vec<Option<f64>> = weeks.iter().map(|week| of(&week.review)).collect();
        let words = values.iter().map(|value| percent(*value)).collect();
        Series { name: name.to_owned(), values, full: 1.0, words }
    };
    let mut all = vec![
        share("Orders finished by their first promise", &|review| review.on_time.share()),
        share("Open hours in which cells were busy (allocation)", &|review| {
            review.whole.allocation_efficiency()
        }),
        share("Busy hours spent producing (utilization)", &|review| review.whole.utilization_efficiency()),
        share("Processing time spent setting up (setup ratio)", &|review| review.whole.setup_ratio()),
    ];
    all.extend(causes(weeks, whole));
    all
}

fn causes(weeks: &[WeekReview], whole: &Review) -> Vec<Series> {
    let hours = |review: &Review, of: &dyn Fn(&str) -> bool| -> f64 {
        review.causes.iter().filter(|cause| of(&cause.cause)).map(|cause| cause.minutes / 60.0).sum()
    };
    let named: Vec<&str> = whole.causes.iter().take(MOST_CAUSES).map(|cause| cause.cause.as_str()).collect();
    let mut rows: Vec<(String, Vec<f64>)> = named
        .iter()
        .map(|name| {
            let values = weeks.iter().map(|week| hours(&week.review, &|cause| cause == *name)).collect();
            (format!("Late: {name}"), values)
        })
        .collect();
    if whole.causes.len() > named.len() {
        let others = |cause: &str| !named.contains(&cause);
        rows.push((
            "Late: all other causes".to_owned(),
            weeks.iter().map(|w| hours(&w.review, &others)).collect(),
        ));
    }
    let full = rows.iter().flat_map(|(_, values)| values).copied().fold(1.0, f64::max);
    let row = |(name, values): (String, Vec<f64>)| Series {
        name,
        words: values.iter().map(|value| format!("{value:.0} h")).collect(),
        values: values.into_iter().map(Some).collect(),
        full,
    };
    rows.into_iter().map(row).collect()
}

fn percent(share: Option<f64>) -> String {
    share.map_or_else(|| "-".to_owned(), |share| format!("{:.0} %", 100.0 * share))
}

/// The chart, `width` pixels wide; `None` where there is no week.
#[must_use]
pub fn picture(shop: &str, weeks: &[WeekReview], whole: &Review, width: u32) -> Option<Picture> {
    let (first, last) = (weeks.first()?, weeks.last()?);
    let width = f64::from(width).max(NAMES + 240.0);
    let title = format!("{shop}: looking back, {}", named(first, last));
    let mut group = Group::default();
    let subtitle =
        "Week by week. Indicators by ISO 22400-2, all cells together; lateness in hours, summed over orders.";
    let top = frame::heading(&mut group, width, &title, subtitle) + 8.0;
    let all = series(weeks, whole);
    let step = (width - NAMES - 2.0 * MARGIN) / weeks.len() as f64;
    let mut y = top;
    for series in &all {
        draw(&mut group, series, (y, width), step);
        y += ROW;
    }
    for (i, week) in weeks.iter().enumerate() {
        let at = (middle(i, step), y + 12.0);
        if let Some(words) = lettering::fit_start(&name(week), NAME, Weight::Bold, step - 4.0, 2) {
            group.text(Text::new(at, words, NAME).bold().anchor(Anchor::Middle));
        }
    }
    let description = all.iter().map(|series| format!("{}: {}.", series.name, series.words.join(", ")));
    let description = description.collect::<Vec<_>>().join(" ");
    Some(Picture { width, height: y + 26.0, title, description, groups: vec![group] })
}

fn named(first: &WeekReview, last: &WeekReview) -> String {
    if first.week == last.week {
        format!("week {}", name(first))
    } else {
        format!("weeks {} to {}", name(first), name(last))
    }
}

fn name(week: &WeekReview) -> String {
    format!("{}-W{:02}", week.week.0, week.week.1)
}

fn middle(week: usize, step: f64) -> f64 {
    MARGIN + NAMES + step * (week as f64 + 0.5)
}

fn draw(group: &mut Group, series: &Series, (top, width): (f64, f64), step: f64) {
    let base = top + ROW - 8.0;
    for (i, line) in wrapped(&series.name, BODY, Weight::Regular, NAMES - 16.0).iter().take(4).enumerate() {
        group.text(Text::new((MARGIN, top + 14.0 + 13.0 * i as f64), line.clone(), BODY));
    }
    for (i, (value, words)) in series.values.iter().zip(&series.words).enumerate() {
        let height = value.map_or(0.0, |value| (value / series.full).clamp(0.0, 1.0) * HIGHEST);
        let half = (step * 0.35).min(WIDEST / 2.0);
        let x = middle(i, step);
        if height > 0.0 {
            let bar = Frame::new(x - half, base - height, x + half, base);
            group.area(bar, Ink::Draw);
            group.line(bar.outline(1.0), Ink::Text, 1.0);
        }
        let at = (x, base - height - 8.0);
        group.text(
            Text::new(at, words.clone(), if step < 40.0 { SMALL } else { BODY }).anchor(Anchor::Middle),
        );
    }
    group.line(vec![(MARGIN + NAMES, base), (width - MARGIN, base)], Ink::Text, 1.0);
}
