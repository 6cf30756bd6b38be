//! The tooling question, for whoever signs the purchases.

use crate::clean::plain;
use crate::lists::money;
use crate::table::{Table, number, prose, word};
use crate::text::render;
use crate::when::day;
use elbowroom_planner::tooling::{Course, DieSet, LateCase, OrderCase, PartCase, Tooling, Verdict};
use elbowroom_units::{Minutes, Money};

/// The answer as text no wider than `width`.
#[must_use]
pub fn text(answer: &Tooling, currency: &str, width: usize) -> String {
    let mut out = wrapped(&heading(answer, currency), width);
    for set in &answer.sets {
        out.push('\n');
        out += &wrapped(&title(set, currency), width);
        out += &wrapped(&format!("{}.", capital(&set.reason)), width);
        if let Some(date) = set.order_by {
            out +=
                &wrapped(&format!("Order by {} to keep the promises that wait for them.", day(date)), width);
        }
        for table in [orders(set, currency), parts(set, currency), late(set, currency)].into_iter().flatten()
        {
            out += &render::table(&table, width);
        }
    }
    for table in [seconds(answer, currency), worn(answer), idle(answer)] {
        out.push('\n');
        out += &render::table(&table, width);
    }
    out
}

fn wrapped(line: &str, width: usize) -> String {
    render::wrap(&plain(line), width).join("\n") + "\n"
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

fn heading(answer: &Tooling, currency: &str) -> String {
    if answer.sets.is_empty() {
        return "No order or forecast wants tools that the shop lacks.".to_owned();
    }
    let buy = if answer.buy.is_empty() { "nothing".to_owned() } else { answer.buy.join(", ") };
    let without = answer.cost_without.map_or_else(
        || "some orders cannot be made without".to_owned(),
        |cost| format!("without any purchase {}", money(cost, currency)),
    );
    format!(
        "Worth buying for all orders and a year of forecast together: {buy}. Making what could use new tools \
         costs {} with it; {without}.",
        money(answer.cost, currency)
    )
}

fn title(set: &DieSet, currency: &str) -> String {
    let estimated = if set.tools.iter().any(|tool| tool.estimated) { "~" } else { "" };
    let names: Vec<&str> = set.tools.iter().map(|tool| tool.tool.as_str()).collect();
    let lead = set.tools.iter().map(|tool| tool.lead).max().unwrap_or_default();
    let plan = if set.plan_buys { "the plan buys them" } else { "the plan does not buy them" };
    format!("== {} ({estimated}{}, {estimated}{lead}; {plan})", names.join(" + "), money(set.price, currency))
}

fn orders(set: &DieSet, currency: &str) -> Option<Table> {
    let columns = [
        word("Order"),
        number("Pieces"),
        word("Promised"),
        prose("Wait for them"),
        prose("Go without"),
        prose("Both"),
        word("Best"),
    ];
    let caption = format!("Orders that could use them (made for, and tools to buy, in {currency})");
    let mut table = Table::new(caption, "none", &columns);
    for case in &set.orders {
        let course = |course: &Option<Course>| course.as_ref().map_or_else(|| "-".to_owned(), told);
        let cells = vec![
            case.order.clone(),
            case.quantity.to_string(),
            day(case.promised),
            course(&case.wait),
            course(&case.without),
            course(&case.both),
            verdict(case).to_owned(),
        ];
        table.push(cells, matches!(case.decision, Verdict::Wait | Verdict::Both));
    }
    (!set.orders.is_empty()).then_some(table)
}

fn verdict(case: &OrderCase) -> &'static str {
    match case.decision {
        Verdict::Wait => "wait",
        Verdict::Without => "without",
        Verdict::Both => "both",
        Verdict::Other => "other tools",
    }
}

fn told(course: &Course) -> String {
    let late = if course.late > Minutes::ZERO {
        format!(", {} late ({})", course.late, course.late_cost)
    } else {
        String::new()
    };
    let lots: Vec<String> = course
        .lots
        .iter()
        .map(|lot| match course.lots.len() {
            1 => format!("{} on {}", lot.process, lot.cell),
            _ => format!("{} by {} on {}", lot.quantity, lot.process, lot.cell),
        })
        .collect();
    let tools = if course.tools > Money::ZERO { format!(" + {}", course.tools) } else { String::new() };
    format!("{}{late}: {}{tools}, {}", day(course.date), course.making, lots.join(", then "))
}

fn parts(set: &DieSet, currency: &str) -> Option<Table> {
    let columns = [
        word("Part"),
        number("In the book"),
        number("A year"),
        word("With them a piece"),
        number("Pays from"),
        word("Chance"),
    ];
    let caption = format!("When they pay for themselves (money in {currency})");
    let mut table = Table::new(caption, "no part", &columns);
    for part in &set.parts {
        table.push(part_row(part), false);
    }
    (!set.parts.is_empty()).then_some(table)
}

fn part_row(part: &PartCase) -> Vec<String> {
    let pays = match (part.saving, part.break_even) {
        (None, _) => "no other way".to_owned(),
        (_, None) => "never".to_owned(),
        (_, Some(pieces)) => format!("{pieces} a year"),
    };
    vec![
        part.part.clone(),
        part.booked.to_string(),
        part.yearly.map_or_else(|| "-".to_owned(), |yearly| yearly.to_string()),
        part.saving.map_or_else(|| "-".to_owned(), each),
        pays,
        part.chance.map_or_else(String::new, |chance| format!("{:.0} %", chance * 100.0)),
    ]
}

/// What tools do for a piece: `saves 0.55`, `costs 0.12 more`, `costs the same`.
fn each(saving: Money) -> String {
    match saving.cmp(&Money::ZERO) {
        _ if saving.abs() < Money::new(0.005) => "costs the same".to_owned(),
        std::cmp::Ordering::Less => format!("costs {} more", saving.abs()),
        _ => format!("saves {saving}"),
    }
}

/// What lateness costs more: `240.00 EUR more`, `nothing more`, where others come sooner `12.00 EUR less`.
fn extra(cost: Money, currency: &str) -> String {
    match cost.cmp(&Money::ZERO) {
        _ if cost.abs() < Money::new(0.005) => "nothing more".to_owned(),
        std::cmp::Ordering::Less => format!("{} less", money(cost.abs(), currency)),
        _ => format!("{} more", money(cost, currency)),
    }
}

fn late(set: &DieSet, currency: &str) -> Option<Table> {
    let mut table = Table::new(
        "If they come two weeks late",
        "nothing",
        &[word("Order"), prose("Late by"), number("It costs")],
    );
    for LateCase { order, finish, late, extra_cost } in &set.two_weeks_late {
        let told = match (finish, *late > Minutes::ZERO) {
            (None, _) => "not finished within the plan".to_owned(),
            (_, false) => "still in time".to_owned(),
            _ => late.to_string(),
        };
        table.push(vec![order.clone(), told, extra(*extra_cost, currency)], *late > Minutes::ZERO);
    }
    (!set.two_weeks_late.is_empty()).then_some(table)
}

fn seconds(answer: &Tooling, currency: &str) -> Table {
    let columns = [
        word("Tool"),
        prose("Late orders that wait for it"),
        number("Would save"),
        number("Price"),
        word("Lead"),
    ];
    let caption = format!("A second one would help (money in {currency}; prices and leads are usual ones)");
    let mut table = Table::new(caption, "no late order waits for a tool that is in use", &columns);
    for second in &answer.seconds {
        let orders: Vec<String> =
            second.orders.iter().map(|(order, gain)| format!("{order} ({gain})")).collect();
        let cells = vec![
            second.tool.clone(),
            orders.join(", "),
            second.saved.to_string(),
            second.price.to_string(),
            second.lead.to_string(),
        ];
        table.push(cells, second.saved > second.price);
    }
    table
}

fn worn(answer: &Tooling) -> Table {
    let columns = [
        word("Tool"),
        number("Bends"),
        number("Limit"),
        number("This plan"),
        number("A year more"),
        word("Worn out"),
        word("Order by"),
    ];
    let mut table = Table::new(
        "Wear (! is soon)",
        "no tool has a wear limit (`wear_limit` and `bends` in tooling.toml)",
        &columns,
    );
    for tool in &answer.worn {
        let date = |date: Option<chrono::NaiveDate>| date.map_or_else(|| "far off".to_owned(), day);
        let mark = if tool.near { "! " } else { "" };
        let cells = vec![
            format!("{mark}{}", tool.tool),
            tool.bends.to_string(),
            tool.limit.to_string(),
            tool.planned.to_string(),
            tool.yearly.to_string(),
            date(tool.worn_out),
            date(tool.order_by),
        ];
        table.push(cells, tool.near);
    }
    table
}

fn idle(answer: &Tooling) -> Table {
    let columns = [word("Tool"), word("Kind"), prose("Would serve")];
    let mut table =
        Table::new("Standing idle", "every tool serves a part that is ordered or forecast", &columns);
    for tool in &answer.idle {
        let serves =
            if tool.parts.is_empty() { "no part of the book".to_owned() } else { tool.parts.join(", ") };
        table.push(vec![tool.tool.clone(), tool.kind.to_string(), serves], false);
    }
    table
}
