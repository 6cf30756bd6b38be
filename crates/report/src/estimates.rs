//! What recorded times say about the standard times, as text.

use crate::clean::plain;
use crate::table::{Table, number, prose, word};
use crate::text::render;
use crate::when::day;
use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use elbowroom_lookback::estimates::{Estimate, Estimates};
use elbowroom_lookback::learning::Learning;
use elbowroom_lookback::{Robust, Span};

/// Factors on running and changing over that are planned with now.
pub type InUse<'f> = &'f dyn Fn(&Estimate) -> (f64, f64);

/// Estimates as text; those that rest on fewer than `least` lots are marked.
#[must_use]
pub fn text(
    shop: &str,
    found: &Estimates,
    least: usize,
    used: InUse<'_>,
    period: Span,
    zone: Tz,
    width: usize,
) -> String {
    let date = |moment: DateTime<Utc>| day(moment.with_timezone(&zone).date_naive());
    let heading = format!(
        "{}: recorded times of lots finished from {} until {}",
        plain(shop),
        date(period.0),
        date(period.1 - chrono::TimeDelta::days(1))
    );
    let tables = [runs(found, least, used), setups(found, least, used), practice(found, least)];
    let tables = tables.map(|table| render::table(&table, width)).join("\n");
    let note = format!(
        "1.10 means that it took 10 % longer than by the standard times. Medians, so that a report forgotten or \
         mistyped does little harm; with 95 % certainty the true median lies between low and high. Offered from \
         {least} lots on. Nothing is used before you say so: --write keeps what is offered in \
         measured.toml. {}",
        left_out(found)
    );
    let wrap = |text: &str| render::wrap(text, width).join("\n") + "\n";
    format!("{}\n{tables}\n{}", wrap(&heading), wrap(&note))
}

fn left_out(found: &Estimates) -> String {
    let mut said = format!("{} lots were finished", found.lots);
    if found.undivided > 0 {
        said += &format!(
            "; {} of them are left out because nobody counted the first piece (record counted ... --good 1), so \
             that changing over and running cannot be told apart",
            found.undivided
        );
    }
    if found.unknown > 0 {
        said += &format!(
            "; {} are left out because their start, pieces or plan are not known or they ran on another cell",
            found.unknown
        );
    }
    said + "."
}

/// Running, by kind of work and size of tube.
fn runs(found: &Estimates, least: usize, used: InUse<'_>) -> Table {
    let mut table = empty("Running: times the standard", &["Work", "Tube"]);
    let mut too_few = 0;
    for estimate in &found.estimates {
        let Some(run) = &estimate.run else { continue };
        if estimate.tube.is_some() && run.count < least {
            too_few += 1;
            continue;
        }
        let tube = estimate.tube.clone().unwrap_or_else(|| "all".to_owned());
        let spread = if estimate.tube.is_none() { estimate.run_variation } else { run.variation() };
        table.push(row(&[estimate.work.clone(), tube], run, spread, used(estimate).0, least), false);
    }
    table.note = (too_few > 0).then(|| {
        format!("{too_few} sizes of tube with fewer than {least} lots are not shown; --json names them.")
    });
    table
}

/// Changing over, by kind of work.
fn setups(found: &Estimates, least: usize, used: InUse<'_>) -> Table {
    let mut table = empty("Changing over: times the standard", &["Work"]);
    for estimate in &found.estimates {
        let Some(setup) = &estimate.setup else { continue };
        let names = std::slice::from_ref(&estimate.work);
        table.push(row(names, setup, setup.variation(), used(estimate).1, least), false);
    }
    table
}

/// A table without rows: what the times are of, then the figures that [`row`] gives.
fn empty(title: &'static str, names: &[&'static str]) -> Table {
    let figures = ["Lots", "Median", "Low", "High", "Spread", "Used now"];
    let columns = names.iter().map(|name| word(name)).chain(figures.map(number)).chain([word("")]);
    Table::new(title, "no lot tells anything", &columns.collect::<Vec<_>>())
}

/// Whether repeats become faster.
fn practice(found: &Estimates, least: usize) -> Table {
    let columns = [
        word("Part"),
        word("Work"),
        number("Lots"),
        number("Pieces"),
        number("Twice the pieces"),
        number("Low"),
        number("High"),
        prose("Practice"),
    ];
    let none = format!("no part has {least} timed lots on one kind of work");
    let mut table = Table::new("Repeats", &none, &columns);
    for one in &found.learning {
        let factor = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |value| format!("{value:.2}"));
        let cells = vec![
            one.part.clone(),
            one.work.clone(),
            one.lots.to_string(),
            one.pieces.to_string(),
            factor(Some(one.rate)),
            factor(one.sure.map(|sure| sure.0)),
            factor(one.sure.map(|sure| sure.1)),
            shows(one),
        ];
        table.push(cells, one.shows());
    }
    table.note = Some(
        "Twice the pieces: each time the pieces made so far have doubled, one takes so many times as long (0.80: \
         a fifth less). Counted from the first lot of the period; what was made before makes the figure look \
         nearer to 1. Nothing is planned with it: the medians above look back, so a part that is still being \
         learnt takes less from now on than they say."
            .to_owned(),
    );
    table
}

fn shows(one: &Learning) -> String {
    match one.sure {
        Some((_, high)) if high < 1.0 => format!("{:.0} % less time each time", 100.0 * (1.0 - one.rate)),
        Some((low, _)) if low > 1.0 => "it becomes slower".to_owned(),
        _ => "none to be seen".to_owned(),
    }
}

fn row(names: &[String], robust: &Robust, spread: Option<f64>, used: f64, least: usize) -> Vec<String> {
    let factor = |value: f64| format!("{value:.2}");
    let or_dash = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), factor);
    let offered = if robust.count >= least { "offered" } else { "too few lots" };
    let figures = [
        robust.count.to_string(),
        factor(robust.median),
        or_dash(robust.sure.map(|sure| sure.0)),
        or_dash(robust.sure.map(|sure| sure.1)),
        or_dash(spread),
        factor(used),
        offered.to_owned(),
    ];
    names.iter().cloned().chain(figures).collect()
}
