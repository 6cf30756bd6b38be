//! A part held up to every bending cell, as tables.

use crate::lists::{NO_BREAK, money};
use crate::table::{Table, number, prose, word};
use crate::when::day;
use elbowroom_bending::fit::{Assessment, Refusal, Way, sentences};
use elbowroom_bending::process::Process;
use elbowroom_planner::fit::{Barrier, CellFit, Fit, Offer, Ready, StepFit, ToolFit, ToolSource};
use elbowroom_units::quantity::plain;
use elbowroom_units::{Minutes, Money};

/// The cells that can make it, the best first.
#[must_use]
pub fn able(fit: &Fit) -> Table {
    let mut columns = vec![
        word("Cell"),
        prose("Way of bending"),
        prose("Tools"),
        number("Setup min"),
        number("Cycle"),
        number("Work"),
        number("Blank"),
        number("Cost"),
    ];
    columns.extend(fit.margin_percent.map(|_| number("Price")));
    let caption = format!("Cells that can, the cheapest for {} first", pieces(fit.quantity));
    let mut table = Table::new(caption, "no cell can make it", &columns);
    for (cell, offer) in fit.able() {
        table.push(able_row(fit, cell, offer), false);
    }
    table.note = (!table.rows.is_empty()).then(|| able_note(fit));
    table
}

fn able_row(fit: &Fit, cell: &CellFit, offer: &Offer) -> Vec<String> {
    let mut cells = vec![
        cell.cell.clone(),
        cell.assessment.way.to_string(),
        tools(offer),
        setup(offer),
        format!("{:.0}{NO_BREAK}s", cell.assessment.cycle.seconds()),
        format!("{:.1}{NO_BREAK}h", offer.work().hours()),
        format!("{:.1}{NO_BREAK}mm", cell.assessment.blank.mm()),
        (offer.cost.of_pieces() / f64::from(fit.quantity)).to_string(),
    ];
    cells.extend(fit.margin_percent.map(|_| fit.price_per_piece(offer).to_string()));
    cells
}

/// A full change, and the one from what stands on the cell today where that is another.
fn setup(offer: &Offer) -> String {
    let (full, today) = (offer.bending().setup, offer.setup_today);
    if full == today { full.count().to_string() } else { format!("{} ({})", full.count(), today.count()) }
}

fn able_note(fit: &Fit) -> String {
    let mut note = format!(
        "Setup: a full change (in brackets: from what stands on the cell today). Work: all steps in the house \
         with their changeovers. Cost: {} for a piece, without tools to buy.",
        fit.currency
    );
    if fit.part.tube.price_per_metre.is_none() {
        note += " The tube's price is not known and not in it.";
    }
    if let Some(margin) = fit.margin_percent {
        note += &format!(" Price: cost and {} % margin.", plain(margin, 1));
    }
    note
}

/// Whether the tools are there, else when, and for what money.
fn tools(offer: &Offer) -> String {
    match offer.ready {
        Ready::Now => "in the house".to_owned(),
        Ready::OnOrder(date) => format!("on order, here {}", unbroken_day(date)),
        Ready::ToBuy(date) => format!("to buy for {}, here {}", tools_price(offer), unbroken_day(date)),
    }
}

fn unbroken_day(date: chrono::NaiveDate) -> String {
    day(date).replace(' ', &NO_BREAK.to_string())
}

fn tools_price(offer: &Offer) -> String {
    let estimated = |tool: &ToolFit| matches!(tool.source, ToolSource::ToBuy { estimated: true, .. });
    let about = if offer.tools.iter().any(estimated) { "~" } else { "" };
    format!("{about}{}", offer.cost.tools).replace(' ', &NO_BREAK.to_string())
}

/// The steps of the best way.
#[must_use]
pub fn steps(fit: &Fit) -> Option<Table> {
    let (cell, offer) = fit.able().next()?;
    let columns =
        [word("Step"), word("Where"), number("Pieces"), number("Setup"), number("Run"), number("Cost")];
    let caption = format!("Time and cost of {} on {}", pieces(fit.quantity), cell.cell);
    let mut table = Table::new(caption, "", &columns);
    offer.steps.iter().for_each(|step| table.push(step_row(step), false));
    let extra = |name: &str, amount: Money| {
        vec![name.to_owned(), String::new(), String::new(), String::new(), String::new(), amount.to_string()]
    };
    table.rows.extend(
        offer
            .cost
            .tube
            .map(|tube| crate::table::Row { cells: extra("tube", tube), ..crate::table::Row::default() }),
    );
    if offer.cost.tools != Money::ZERO {
        table.push(extra("tools to buy", offer.cost.tools), false);
    }
    table.push(total_row(offer), false);
    Some(table)
}

fn step_row(step: &StepFit) -> Vec<String> {
    vec![
        step.name.clone(),
        step.place.clone(),
        step.pieces.to_string(),
        if step.setup == Minutes::ZERO { String::new() } else { working(step.setup) },
        if step.is_outside() { unbroken(step.run) } else { working(step.run) },
        step.cost().to_string(),
    ]
}

fn total_row(offer: &Offer) -> Vec<String> {
    let setup: Minutes = offer.steps.iter().map(|step| step.setup).sum();
    let run = offer.work() - setup;
    let away = offer.away();
    let outside = if away == Minutes::ZERO { String::new() } else { format!("+ {away} outside") };
    vec![
        "total".to_owned(),
        outside.replace(' ', &NO_BREAK.to_string()),
        String::new(),
        working(setup),
        working(run),
        offer.cost.total().to_string(),
    ]
}

/// Every tool that some cell needs, with where it is or what it costs.
#[must_use]
pub fn tooling(fit: &Fit) -> Table {
    let columns = [
        prose("Needed"),
        prose("Tool"),
        prose("Where it is"),
        number("Price"),
        word("Lead time"),
        prose("For"),
    ];
    let caption = format!(
        "Tooling ({}; ~ is an estimate, ask the tool maker), ordered on {}",
        fit.currency,
        day(fit.today)
    );
    let mut table = Table::new(caption, "no tools are needed", &columns);
    let mut rows: Vec<(Vec<String>, Vec<&str>)> = Vec::new();
    for (cell, offer) in fit.able() {
        for tool in &offer.tools {
            let row = tool_row(tool);
            match rows.iter_mut().find(|(known, _)| *known == row) {
                Some((_, cells)) if cells.contains(&cell.cell.as_str()) => {}
                Some((_, cells)) => cells.push(&cell.cell),
                None => rows.push((row, vec![&cell.cell])),
            }
        }
    }
    for (mut row, cells) in rows {
        row.push(cells.join(", "));
        table.push(row, false);
    }
    table
}

fn tool_row(tool: &ToolFit) -> Vec<String> {
    let (place, price, lead) = match tool.source {
        ToolSource::Mounted | ToolSource::Rack => ("in the house".to_owned(), String::new(), String::new()),
        ToolSource::OnOrder { usable } => {
            (format!("on order, here {}", day(usable)), String::new(), String::new())
        }
        ToolSource::ToBuy { price, lead, usable, estimated } => {
            let about = if estimated { "~" } else { "" };
            let place = format!("to buy, here {}", day(usable));
            (place, format!("{about}{price}"), format!("{about}{lead}"))
        }
    };
    vec![tool.need.to_string(), tool.tool.clone(), place + &instead(tool), price, lead]
}

/// Tools of the house that may be tried instead.
fn instead(tool: &ToolFit) -> String {
    let one = |other: &elbowroom_planner::fit::Substitute| {
        let differences: Vec<String> = other.differences.iter().map(ToString::to_string).collect();
        format!("{} ({})", other.tool, differences.join(", "))
    };
    let list: Vec<String> = tool.substitutes.iter().map(one).collect();
    if list.is_empty() { String::new() } else { format!("; ask the tool maker about {}", list.join(" or ")) }
}

/// What to expect of each way that can.
#[must_use]
pub fn quality(fit: &Fit) -> Table {
    let columns = [
        prose("Way of bending"),
        number("Wall outside"),
        number("inside"),
        number("Ovality"),
        number("Springback"),
        word("Wrinkles"),
        word("Marks"),
        word("Bore"),
    ];
    let mut table = Table::new("Quality to expect at the hardest bend", "", &columns);
    let mut shown: Vec<Way> = Vec::new();
    for (cell, _) in fit.able() {
        if !shown.contains(&cell.assessment.way) {
            shown.push(cell.assessment.way);
            table.push(quality_row(&cell.assessment), false);
        }
    }
    table
}

fn quality_row(found: &Assessment) -> Vec<String> {
    let expected = &found.expected;
    let percent = |value: f64| format!("{}{NO_BREAK}%", plain(value, 1));
    vec![
        found.way.to_string(),
        format!("-{}", percent(expected.thinning_percent)),
        format!("+{}", percent(expected.thickening_percent)),
        percent(expected.ovality_percent),
        format!("{:.1}°", expected.springback.degrees()),
        expected.wrinkling.name().to_owned(),
        expected.marks.name().to_owned(),
        if found.lubricated_inside { "lubricated" } else { "dry" }.to_owned(),
    ]
}

/// Things to watch, each once with the ways that it holds for.
#[must_use]
pub fn watch(fit: &Fit) -> Table {
    let columns = [prose("Watch"), prose("Remedy"), prose("For")];
    let mut table = Table::new("To watch", "nothing out of the ordinary", &columns);
    for ((what, remedy), ways) in grouped(fit.able().flat_map(|(cell, _)| remarks(fit, cell))) {
        table.push(vec![what, remedy.to_owned(), ways.join(", ")], false);
    }
    table
}

/// Remarks about a cell: what, remedy, and the way of bending.
fn remarks<'f>(fit: &Fit, cell: &'f CellFit) -> Vec<((String, &'static str), &'f str)> {
    let found = &cell.assessment;
    let way = found.way.name();
    let mut remarks: Vec<((String, &str), &str)> =
        sentences(&found.cautions).into_iter().map(|caution| (caution, way)).collect();
    let support = sentences(&found.unsupported).into_iter();
    remarks.extend(support.map(|(why, _)| ((format!("why with mandrel: without one, {why}"), ""), way)));
    let bar = fit.part.tube.stock_length;
    if found.blank > bar {
        let what = format!("the blank is {}, a bar {bar}", found.blank);
        remarks.push(((what, "order longer bars, or make the part of two pieces"), way));
    }
    remarks
}

/// Why the other cells cannot: for each process the cells that share their reasons.
#[must_use]
pub fn unable(fit: &Fit) -> Table {
    let columns = [word("Process"), prose("Cells"), prose("Why not"), prose("What would help")];
    let mut table = Table::new("Cells that cannot, with every reason", "every bending cell can", &columns);
    for process in Process::ALL {
        let of_process = fit.cells.iter().filter(|cell| cell.process == process);
        let mut title = process.to_string();
        for (cells, whys) in by_cells(grouped(of_process.flat_map(barriers))) {
            let reasons: Vec<String> = whys.iter().map(|(why, _)| why.clone()).collect();
            let help = grouped(whys.iter().map(|(_, help)| (*help, "")));
            let help: Vec<&str> = help.into_iter().map(|(help, _)| help).collect();
            table.push(
                vec![std::mem::take(&mut title), cells.join(", "), reasons.join("; "), help.join("; ")],
                false,
            );
        }
    }
    table
}

type Why = (String, &'static str);

fn barriers(cell: &CellFit) -> Vec<(Why, &str)> {
    let Err(barriers) = &cell.offer else { return Vec::new() };
    let rules: Vec<Refusal> = barriers
        .iter()
        .filter_map(|barrier| match barrier {
            Barrier::Rule(refusal) => Some(refusal.clone()),
            _ => None,
        })
        .collect();
    let others = barriers.iter().filter(|barrier| !matches!(barrier, Barrier::Rule(_)));
    let others = others.map(|barrier| (barrier.to_string(), barrier.remedy()));
    others.chain(sentences(&rules)).map(|why| (why, cell.cell.as_str())).collect()
}

/// Reasons that hold for the same cells, together.
fn by_cells(reasons: Vec<(Why, Vec<&str>)>) -> Vec<(Vec<&str>, Vec<Why>)> {
    let mut groups: Vec<(Vec<&str>, Vec<Why>)> = Vec::new();
    for (why, cells) in reasons {
        match groups.iter_mut().find(|(known, _)| *known == cells) {
            Some((_, whys)) => whys.push(why),
            None => groups.push((cells, vec![why])),
        }
    }
    groups
}

/// Equal sayings become one, with everybody it holds for, in the order in which they first come.
fn grouped<'f, K: PartialEq>(sayings: impl IntoIterator<Item = (K, &'f str)>) -> Vec<(K, Vec<&'f str>)> {
    let mut groups: Vec<(K, Vec<&str>)> = Vec::new();
    for (saying, who) in sayings {
        match groups.iter_mut().find(|(known, _)| *known == saying) {
            Some((_, all)) if all.contains(&who) => {}
            Some((_, all)) => all.push(who),
            None => groups.push((saying, vec![who])),
        }
    }
    groups
}

/// `1 piece`, `200 pieces`.
#[must_use]
pub fn pieces(count: u32) -> String {
    if count == 1 { "1 piece".to_owned() } else { format!("{count} pieces") }
}

/// Working time, which has no days: `27 h 05 min`.
fn working(time: Minutes) -> String {
    let (hours, minutes) = (time.count() / 60, time.count() % 60);
    if hours == 0 {
        format!("{minutes}{NO_BREAK}min")
    } else {
        format!("{hours}{NO_BREAK}h{NO_BREAK}{minutes:02}{NO_BREAK}min")
    }
}

fn unbroken(time: Minutes) -> String {
    time.to_string().replace(' ', &NO_BREAK.to_string())
}

/// What a piece costs, with the tools to buy beside it where there are any.
#[must_use]
pub fn cost_in_words(fit: &Fit, offer: &Offer) -> String {
    let piece = money(offer.cost.of_pieces() / f64::from(fit.quantity), &fit.currency);
    match offer.cost.tools {
        Money::ZERO => format!("{piece} a piece"),
        tools => format!("{piece} a piece and {} of tools", money(tools, &fit.currency)),
    }
}
