//! One plan held against another, and cases tried side by side, as text.

use crate::clean::plain;
use crate::table::{Table, number, prose, word};
use crate::text::render;
use crate::when::day;
use chrono::{DateTime, FixedOffset};
use elbowroom_planner::compare::{Comparison, Fate, Moved, OrderOutline, Outline};
use elbowroom_planner::what_if::Tried;
use elbowroom_units::{Minutes, Money};

/// What is different from an older plan to a newer one.
#[must_use]
pub fn comparison(old: &Outline, new: &Outline, comparison: &Comparison, width: usize) -> String {
    let heading =
        format!("{}: plan from {} held against the plan from {}", new.shop, day(new.start), day(old.start));
    let (was, is) = (old.money.total, new.money.total);
    let currency = plain(&new.currency);
    let mut out = render::wrap(&plain(&heading), width).join("\n") + "\n\n";
    out += &format!("Late    {} before, {} now, of {} orders\n", old.late(), new.late(), new.orders.len());
    // What was done meanwhile is in the older plan's cost only.
    let left = if old.start < new.start { ", of what is left to do" } else { "" };
    out += &format!("Cost    {was} {currency} before, {is} now{left}: {}\n", more(comparison.extra_cost));
    out += &format!("Moved   {} orders; {} as they were\n\n", comparison.moved.len(), comparison.unchanged);
    out + &render::table(&table(&comparison.moved), width)
}

fn table(moved: &[Moved]) -> Table {
    let columns = [
        word("Order"),
        word("Now"),
        word("Finished before"),
        word("Finished now"),
        number("Moved"),
        prose("Bent on"),
    ];
    let mut table = Table::new("Orders that are not as they were, the worst news first", "none", &columns);
    for order in moved {
        let cells = vec![
            order.id.clone(),
            fate(order.fate).to_owned(),
            order.old.as_ref().map_or_else(|| "-".to_owned(), finish),
            order.new.as_ref().map_or_else(|| "-".to_owned(), finish),
            order.shift().map_or_else(|| "-".to_owned(), shift),
            place(order),
        ];
        table.push_with(cells, order.fate <= Fate::LaterStill, below(order));
    }
    table
}

/// What became of an order, in a few words.
#[must_use]
pub const fn fate(fate: Fate) -> &'static str {
    match fate {
        Fate::LeftOut => "cannot be made",
        Fate::NowLate => "LATE now",
        Fate::LaterStill => "LATE, and more",
        Fate::NowInTime => "in time now",
        Fate::LessLate => "LATE, but less",
        Fate::Later => "later, in time",
        Fate::Sooner => "sooner",
        Fate::Elsewhere => "bent elsewhere",
        Fate::New => "new",
        Fate::Gone => "gone",
    }
}

fn finish(order: &OrderOutline) -> String {
    moment(order.finish)
}

/// What the reason of an order that is in time now begins with.
const BECAUSE: &str = "it was late because ";

/// How late it is now, or was, and why.
fn below(order: &Moved) -> Option<String> {
    let late = |order: &OrderOutline| order.is_late().then(|| order.lateness());
    let was = order.old.as_ref().and_then(late);
    let is = order.new.as_ref().and_then(late);
    let lateness = match (was, is) {
        (None, None) => None,
        (None, Some(is)) => Some(format!("{is} late")),
        (Some(was), None) => Some(format!("was {was} late")),
        (Some(was), Some(is)) => Some(format!("{is} late, was {was}")),
    };
    match (lateness, order.why.as_deref()) {
        (Some(lateness), Some(why)) => Some(match why.strip_prefix(BECAUSE) {
            Some(cause) => format!("{lateness} because {cause}"),
            None => format!("{lateness}: {why}"),
        }),
        (Some(lateness), None) => Some(lateness),
        (None, why) => why.map(str::to_owned),
    }
}

fn moment(moment: DateTime<FixedOffset>) -> String {
    format!("{} {}", day(moment.date_naive()), moment.format("%H:%M"))
}

fn shift(shift: Minutes) -> String {
    match shift.count() {
        0 => "0 min".to_owned(),
        1.. => format!("+{shift}"),
        _ => format!("-{}", Minutes::ZERO - shift),
    }
}

fn place(order: &Moved) -> String {
    let cell = |order: &Option<OrderOutline>| order.as_ref().and_then(|order| order.bent.clone());
    match (cell(&order.old), cell(&order.new)) {
        (Some((_, was)), Some((_, is))) if was == is => is,
        (Some((_, was)), Some((process, is))) => format!("{is} ({process}), not {was}"),
        (None, Some((_, is))) => is,
        (Some((_, was)), None) => was,
        (None, None) => "-".to_owned(),
    }
}

/// `12.30 more`, `12.30 less`, `as much`.
fn more(extra: Money) -> String {
    if extra.same_as(Money::ZERO) {
        "as much".to_owned()
    } else if extra > Money::ZERO {
        format!("{extra} more")
    } else {
        format!("{} less", Money::ZERO - extra)
    }
}

/// A case tried out: its name, what would be different, and the plan or why there is none.
pub struct Case<'a> {
    /// Name.
    pub name: &'a str,
    /// What would be different, a line each.
    pub changes: Vec<String>,
    /// The plan, or why there is none.
    pub outcome: Result<&'a Tried, String>,
}

/// Cases side by side, then what each would mean for single orders.
#[must_use]
pub fn cases(today: &Tried, cases: &[Case<'_>], width: usize) -> String {
    let mut out = render::table(&side_by_side(today, cases), width);
    for case in cases {
        let meaning = match &case.outcome {
            Ok(tried) => meaning(&tried.comparison),
            Err(why) => vec![format!("there is no plan: {why}")],
        };
        out += &format!("\n{}\n", plain(case.name));
        for line in case.changes.iter().chain(&meaning) {
            let lines = render::wrap(&plain(line), width.saturating_sub(6));
            out += &format!("  {}\n", lines.join("\n      "));
        }
    }
    out
}

fn side_by_side(today: &Tried, cases: &[Case<'_>]) -> Table {
    let columns = [
        prose("Case"),
        number("Cost"),
        number("Against today"),
        number("Orders late"),
        prose("Worst"),
        prose("Busiest cell"),
    ];
    let caption = format!("{}: what if (costs in {})", today.outline.shop, today.outline.currency);
    let mut table = Table::new(caption, "no case", &columns);
    table.push(row("as it is", today, Money::ZERO), false);
    for case in cases {
        match &case.outcome {
            Ok(tried) => table.push(row(case.name, tried, tried.comparison.extra_cost), false),
            Err(_) => {
                let mut cells = vec!["-".to_owned(); columns.len()];
                case.name.clone_into(&mut cells[0]);
                "no plan".clone_into(&mut cells[1]);
                table.push(cells, true);
            }
        }
    }
    table.note = Some(
        "Each case is searched for as long as today's plan, so small differences are chance; what is bought or paid \
         outside the plan (overtime, a tool, people) is not in the cost."
            .to_owned(),
    );
    table
}

fn row(name: &str, tried: &Tried, extra: Money) -> Vec<String> {
    let late = tried.outline.orders.iter().filter(|order| order.is_late());
    let worst = late.max_by_key(|order| order.lateness());
    vec![
        name.to_owned(),
        tried.outline.money.total.to_string(),
        if extra > Money::ZERO { format!("+{extra}") } else { extra.to_string() },
        format!("{} of {}", tried.outline.late(), tried.outline.orders.len()),
        worst.map_or_else(|| "-".to_owned(), |order| format!("{}, {} late", order.id, order.lateness())),
        tried.busiest.as_ref().map_or_else(
            || "-".to_owned(),
            |busiest| {
                format!("{}, {:.0} % of {:.1} h", busiest.cell, busiest.percent(), busiest.open.hours())
            },
        ),
    ]
}

/// Which orders become late or come in time.
fn meaning(comparison: &Comparison) -> Vec<String> {
    let with = |fates: &[Fate]| {
        let ids: Vec<&str> =
            comparison.moved.iter().filter(|m| fates.contains(&m.fate)).map(|m| m.id.as_str()).collect();
        ids.join(", ")
    };
    let told = [
        ("cannot be made", with(&[Fate::LeftOut])),
        ("late then", with(&[Fate::NowLate])),
        ("later still", with(&[Fate::LaterStill])),
        ("in time then", with(&[Fate::NowInTime])),
        ("less late", with(&[Fate::LessLate])),
    ];
    let lines: Vec<String> = told
        .into_iter()
        .filter(|(_, ids)| !ids.is_empty())
        .map(|(what, ids)| format!("{what}: {ids}"))
        .collect();
    if lines.is_empty() { vec!["no order becomes late, none comes in time".to_owned()] } else { lines }
}
