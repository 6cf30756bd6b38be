//! What was, against what was planned, as text and as a page with charts.

use crate::clean::{markup, plain};
use crate::lists::ids;
use crate::picture::svg;
use crate::table::{Table, number, prose, word};
use crate::text::render;
use crate::when::day;
use crate::{OutFile, charts, html};
use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use elbowroom_lookback::{CauseOfLateness, CellReview, LotReview, OrderReview, Review, WeekReview};
use elbowroom_units::Minutes;
use std::fmt::Write;

/// Causes that are told.
const MOST_CAUSES: usize = 5;
/// Lots that are told: those that ran latest.
const MOST_LOTS: usize = 20;

/// Width of the chart in pixels.
const CHART_WIDTH: u32 = 1000;

/// A review as text.
#[must_use]
pub fn text(shop: &str, review: &Review, zone: Tz, width: usize) -> String {
    let heading = render::wrap(&heading(shop, review, zone), width).join("\n");
    let figures = figures(review).map(|(name, text)| format!("{name:13} {text}\n")).concat();
    let tables = tables(review, zone).map(|table| render::table(&table, width)).join("\n");
    format!("{heading}\n\n{figures}\n{tables}")
}

/// Files of a review: a page with charts that prints well, and the chart alone.
#[must_use]
pub fn files(shop: &str, review: &Review, weeks: &[WeekReview], zone: Tz) -> Vec<OutFile> {
    let chart = charts::weeks::picture(shop, weeks, review, CHART_WIDTH);
    let mut body = String::from("<section id=\"figures\">\n<dl>\n");
    for (name, text) in figures(review) {
        let _ = writeln!(body, "<div><dt>{name}</dt><dd>{}</dd></div>", markup(&text));
    }
    body += "</dl>\n</section>\n";
    body.extend(chart.iter().map(|picture| html::figure(picture, "weeks")));
    body.extend(tables(review, zone).iter().map(html::table));
    let page = html::document(&heading(shop, review, zone), "", &body);
    let mut files = vec![OutFile { name: "look-back.html".to_owned(), bytes: page.into_bytes() }];
    files.extend(chart.map(|picture| OutFile {
        name: "look-back.svg".to_owned(),
        bytes: svg::document(&picture).into_bytes(),
    }));
    files
}

fn heading(shop: &str, review: &Review, zone: Tz) -> String {
    let date = |moment: DateTime<Utc>| day(moment.with_timezone(&zone).date_naive());
    let last = review.period.1 - TimeDelta::minutes(1);
    format!("{}: looking back, {} to {}", plain(shop), date(review.period.0), date(last))
}

fn tables(review: &Review, zone: Tz) -> [Table; 4] {
    [causes(&review.causes), orders(&review.orders, zone), cells(review), lots(&review.lots, zone)]
}

fn figures(review: &Review) -> [(&'static str, String); 8] {
    let on_time = &review.on_time;
    let whole = &review.whole;
    let kept = match on_time.share() {
        Some(share) => format!(
            "{} of {} orders due were finished by their first promise ({:.0} %), {} by the last one given",
            on_time.kept,
            on_time.due,
            100.0 * share,
            on_time.kept_last
        ),
        None => "no order was due".to_owned(),
    };
    [
        ("Promises", kept),
        (
            "Late by",
            on_time.mean_tardiness_min.map_or_else(none, |mean| format!("{} on average", minutes(mean))),
        ),
        ("Adherence", format!("{} of lots began on the planned cell and day", percent(review.adherence()))),
        ("Availability", format!("{} of the open hours spent producing", percent(whole.availability()))),
        (
            "Utilization",
            format!(
                "{} of the open hours busy, {} of the busy hours producing",
                percent(whole.allocation_efficiency()),
                percent(whole.utilization_efficiency())
            ),
        ),
        (
            "Throughput",
            whole.throughput_rate().map_or_else(none, |rate| {
                format!("{:.0} pieces an hour from the beginning of lots to their end", 60.0 * rate)
            }),
        ),
        ("Setup ratio", format!("{} of processing time", percent(whole.setup_ratio()))),
        ("Scrap ratio", percent(whole.scrap_ratio())),
    ]
}

fn none() -> String {
    "-".to_owned()
}

fn percent(share: Option<f64>) -> String {
    share.map_or_else(none, |share| format!("{:.1} %", 100.0 * share))
}

fn minutes(minutes: f64) -> String {
    Minutes::new(minutes.round() as i64).to_string()
}

fn shift(shift: Option<f64>) -> String {
    match shift {
        None => none(),
        Some(shift) if shift.abs() < 1.0 => "as planned".to_owned(),
        Some(shift) if shift > 0.0 => format!("{} later", minutes(shift)),
        Some(shift) => format!("{} sooner", minutes(-shift)),
    }
}

fn causes(causes: &[CauseOfLateness]) -> Table {
    let columns = [number("Lateness"), prose("Cause"), prose("Orders")];
    let mut table = Table::new("What cost most lateness", "nothing was late", &columns);
    for cause in causes.iter().take(MOST_CAUSES) {
        table.push(vec![minutes(cause.minutes), cause.cause.clone(), ids(&cause.orders)], false);
    }
    table
}

fn orders(orders: &[OrderReview], zone: Tz) -> Table {
    let columns = [
        word("Order"),
        word("First promise"),
        word("Finished"),
        word("Against promise"),
        word("Against first plan"),
    ];
    let mut table = Table::new("Orders due in the period, the latest first", "none", &columns);
    for order in orders {
        let finished = order.facts.finished.map_or_else(|| "not yet".to_owned(), |at| moment(at, zone));
        let late = minutes(order.lateness_min.abs());
        let cells = vec![
            order.facts.id.clone(),
            moment(order.facts.first_due, zone),
            finished,
            if order.is_late() { format!("{late} LATE") } else { format!("{late} spare") },
            shift(Some(order.after_plan_min)),
        ];
        table.push(cells, order.is_late());
    }
    table
}

fn cells(review: &Review) -> Table {
    let columns = [
        word("Cell"),
        number("Lots"),
        number("Open h"),
        number("Alloc."),
        number("Util."),
        number("Avail."),
        number("Effect."),
        number("Quality"),
        number("OEE"),
        number("Setup"),
        number("Pieces/h"),
    ];
    let mut table = Table::new("Cells, by the indicators of ISO 22400-2", "no cell", &columns);
    let row = |cell: &CellReview| {
        let elements = &cell.elements;
        let shares = [
            elements.allocation_efficiency(),
            elements.utilization_efficiency(),
            elements.availability(),
            elements.effectiveness(),
            elements.quality_ratio(),
            elements.overall_effectiveness(),
            elements.setup_ratio(),
        ];
        let name =
            [cell.id.clone(), cell.finished.to_string(), format!("{:.1}", elements.planned_busy / 60.0)];
        let rate = elements.throughput_rate().map_or_else(none, |rate| format!("{:.0}", 60.0 * rate));
        name.into_iter().chain(shares.map(percent)).chain([rate]).collect()
    };
    review.cells.iter().for_each(|cell| table.push(row(cell), false));
    table.note = Some(
        "Of lots finished in the period. Allocation efficiency: busy of open time; utilization efficiency: \
         producing of busy time; availability: producing of open time; effectiveness: planned of actual time for \
         the pieces made; quality: good of all pieces; OEE: the last three together; setup: setup ratio, of \
         processing time; pieces/h: throughput rate, of the time from the beginning of lots to their end. Setup \
         times are those planned where nobody \
         counted the first piece."
            .to_owned(),
    );
    table
}

fn lots(lots: &[LotReview], zone: Tz) -> Table {
    let columns = [
        word("Order"),
        word("Step"),
        word("Cell"),
        prose("Begun"),
        prose("Begun against plan"),
        prose("Ended against plan"),
        number("Planned"),
        number("Took"),
    ];
    let mut latest: Vec<&LotReview> = lots.iter().filter(|lot| lot.actual.is_some()).collect();
    latest.sort_by(|a, b| b.end_shift_min.unwrap_or(0.0).total_cmp(&a.end_shift_min.unwrap_or(0.0)));
    let mut table =
        Table::new("Lots, those that ended latest against the plan first", "none has begun", &columns);
    for lot in latest.iter().take(MOST_LOTS) {
        let Some(actual) = &lot.actual else { continue };
        let planned = lot.planned.as_ref().map(|planned| planned.setup_min + planned.run_min);
        let cells = vec![
            actual.order.clone(),
            actual.step.clone(),
            actual.cell.clone(),
            moment(actual.started, zone),
            shift(lot.start_shift_min),
            shift(lot.end_shift_min),
            planned.map_or_else(none, minutes),
            lot.took_min.filter(|_| actual.finished.is_some()).map_or_else(none, minutes),
        ];
        table.push(cells, false);
    }
    table
}

fn moment(moment: DateTime<Utc>, zone: Tz) -> String {
    let local = moment.with_timezone(&zone);
    format!("{} {}", day(local.date_naive()), local.format("%H:%M"))
}
