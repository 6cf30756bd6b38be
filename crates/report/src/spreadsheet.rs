//! The lists of a plan as CSV by RFC 4180: comma, CRLF, quotes where needed, UTF-8, one header.
//!
//! Meant for programs and spreadsheets: one value to a field, units in the header's names, local
//! times as `2026-12-07 06:00`. In the hour that comes twice a year two moments look the same;
//! the `_min` columns (minutes since the plan's start) tell them apart.

use crate::lists::chances::told;
use crate::lists::{orders, tooling as tooling_words, tube as tube_words};
use crate::when::stamp;
use csv::{Terminator, WriterBuilder};
use elbowroom_planner::plan::{Course, OrderPlan, Plan, Task};
use elbowroom_units::Minute;
use elbowroom_units::quantity::plain;

/// Writes a header and rows.
fn file(header: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> Vec<u8> {
    const IN_MEMORY: &str = "writing into memory cannot fail, and all rows are as long as the header";
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(header).expect(IN_MEMORY);
    for row in rows {
        writer.write_record(&row).expect(IN_MEMORY);
    }
    writer.into_inner().expect(IN_MEMORY)
}

fn at(plan: &Plan, minute: Minute) -> String {
    stamp(&plan.clock, minute)
}

fn yes(value: bool) -> String {
    if value { "yes" } else { "no" }.to_owned()
}

/// Ids in one field.
fn ids(list: &[String]) -> String {
    list.join(";")
}

/// All dispatch lists, cell by cell in order of time.
#[must_use]
pub fn dispatch(plan: &Plan) -> Vec<u8> {
    let header = [
        "cell",
        "position",
        "order",
        "part",
        "step",
        "quantity",
        "start_quantity",
        "setup_start",
        "run_start",
        "end",
        "setup_start_min",
        "run_start_min",
        "end_min",
        "changeover_min",
        "run_min",
        "mount",
        "tools",
        "setup_crew",
        "run_crew",
        "under_way",
    ];
    let rows = plan.cells.iter().flat_map(|cell| {
        cell.tasks.iter().enumerate().map(|(i, task)| task_row(plan, &cell.id, i + 1, task))
    });
    file(&header, rows)
}

fn task_row(plan: &Plan, cell: &str, position: usize, task: &Task) -> Vec<String> {
    vec![
        cell.to_owned(),
        position.to_string(),
        task.order.clone(),
        task.part.clone(),
        task.step.clone(),
        task.quantity.to_string(),
        task.start_quantity.to_string(),
        at(plan, task.setup_start),
        at(plan, task.run_start),
        at(plan, task.end),
        task.setup_start.get().to_string(),
        task.run_start.get().to_string(),
        task.end.get().to_string(),
        task.changeover.count().to_string(),
        task.run.count().to_string(),
        ids(&task.mount),
        ids(&task.tools),
        task.setup_crew.clone().unwrap_or_default(),
        task.run_crew.clone().unwrap_or_default(),
        yes(task.under_way),
    ]
}

/// All orders, those left out last with their reasons.
#[must_use]
pub fn orders(plan: &Plan) -> Vec<u8> {
    let header = [
        "order",
        "part",
        "part_name",
        "quantity",
        "customer",
        "planned",
        "promised",
        "finish",
        "finish_min",
        "late_min",
        "process",
        "bend_cell",
        "places",
        "cost",
        "late_cost",
        "currency",
        "late_cause",
        "reason",
    ];
    let planned = plan.orders.iter().map(|order| order_row(plan, order));
    let left_out = plan.left_out.iter().map(|order| {
        let mut row = vec![String::new(); header.len()];
        row[0].clone_from(&order.order);
        row[1].clone_from(&order.part);
        row[5] = yes(false);
        row[header.len() - 1] = order.reasons.join("; ");
        row
    });
    file(&header, planned.chain(left_out))
}

fn order_row(plan: &Plan, order: &OrderPlan) -> Vec<String> {
    vec![
        order.id.clone(),
        order.part.clone(),
        order.part_name.clone(),
        order.quantity.to_string(),
        order.customer.clone().unwrap_or_default(),
        yes(true),
        order.promised.to_string(),
        at(plan, order.finish),
        order.finish.get().to_string(),
        order.lateness().count().to_string(),
        order.process.map_or_else(String::new, |process| process.name().to_owned()),
        order.bend_cell.clone().unwrap_or_default(),
        orders::route(order),
        format!("{:.2}", order.cost.amount()),
        format!("{:.2}", order.late_cost.amount()),
        plan.currency.clone(),
        order.late.as_ref().map_or("", |late| orders::cause(late.cause)).to_owned(),
        order.late.as_ref().map_or_else(String::new, |late| late.text.clone()),
    ]
}

/// Tools to buy, the most urgent first.
#[must_use]
pub fn tooling(plan: &Plan) -> Vec<u8> {
    let header =
        ["tool", "kind", "price", "currency", "estimated", "lead_min", "order_by", "first_use", "orders"];
    let rows = tooling_words::most_urgent_first(plan).into_iter().map(|tool| {
        vec![
            tool.tool.clone(),
            tool.kind.to_string(),
            format!("{:.2}", tool.price.amount()),
            plan.currency.clone(),
            yes(tool.estimated),
            tool.lead.count().to_string(),
            tool.order_by.to_string(),
            at(plan, tool.first_use),
            ids(&tool.orders),
        ]
    });
    file(&header, rows)
}

/// Bars that must be had, what must be ordered first at the top.
#[must_use]
pub fn tube(plan: &Plan) -> Vec<u8> {
    let header = [
        "tube",
        "bar_mm",
        "bars",
        "metres",
        "price",
        "currency",
        "counted",
        "order_by",
        "too_late_arrival",
        "first_cut",
        "orders",
    ];
    let rows = plan.tube.buys.iter().map(|buy| {
        vec![
            buy.tube.clone(),
            plain(buy.bar.mm(), 1),
            buy.bars.to_string(),
            plain(buy.bar.metres() * f64::from(buy.bars), 4),
            buy.price.map_or_else(String::new, |price| format!("{:.2}", price.amount())),
            plan.currency.clone(),
            yes(buy.counted),
            buy.order_by.map_or_else(String::new, |day| day.to_string()),
            buy.too_late.map_or_else(String::new, |arrival| at(plan, arrival)),
            at(plan, buy.first_cut),
            ids(&buy.orders),
        ]
    });
    file(&header, rows)
}

/// The cutting plan: a row for each blank on each layout of a bar.
#[must_use]
pub fn cutting(plan: &Plan) -> Vec<u8> {
    let header = [
        "tube",
        "day",
        "layout",
        "bars",
        "bar_mm",
        "from",
        "order",
        "blank_mm",
        "pieces_per_bar",
        "left_mm",
        "kept",
    ];
    let rows = plan.tube.days.iter().flat_map(|cut_day| {
        cut_day.cuts.iter().enumerate().flat_map(move |(layout, cut)| {
            cut.pieces.iter().map(move |piece| {
                vec![
                    cut_day.tube.clone(),
                    cut_day.day.to_string(),
                    (layout + 1).to_string(),
                    cut.bars.to_string(),
                    plain(cut.bar.mm(), 1),
                    tube_words::from(cut_day, cut),
                    piece.order.clone(),
                    plain(piece.length.mm(), 3),
                    piece.count.to_string(),
                    plain(cut.rest.mm(), 1),
                    yes(cut.kept),
                ]
            })
        })
    });
    file(&header, rows)
}

/// Orders that could go without new tools, both ways.
#[must_use]
pub fn no_tooling(plan: &Plan) -> Vec<u8> {
    let header = [
        "order",
        "without_process",
        "without_cell",
        "without_finish",
        "without_cost",
        "waiting_process",
        "waiting_cell",
        "waiting_finish",
        "waiting_cost",
        "currency",
        "tools",
        "plan_waits",
        "decision",
    ];
    let rows = plan.no_tooling.iter().map(|flag| {
        let mut row = vec![flag.order.clone()];
        row.extend(course(plan, &flag.without));
        row.extend(course(plan, &flag.waiting));
        row.extend([
            plan.currency.clone(),
            ids(&flag.tools),
            yes(flag.plan_waits),
            tooling_words::decision(flag),
        ]);
        row
    });
    file(&header, rows)
}

fn course(plan: &Plan, course: &Course) -> [String; 4] {
    let cost = format!("{:.2}", course.cost.amount());
    [course.process.name().to_owned(), course.cell.clone(), at(plan, course.finish), cost]
}

/// How sure every order is, in the order of the book.
#[must_use]
pub fn chances(plan: &Plan) -> Vec<u8> {
    let header = ["order", "promised", "kept_share", "date_in_50", "date_in_80", "date_in_95", "remedy"];
    let sure = plan.confidence.iter().flat_map(|sure| sure.orders.iter().map(move |order| (sure, order)));
    let rows = sure.map(|(sure, chance)| {
        let order = plan.orders.iter().find(|order| order.id == chance.order);
        let risk = sure.risks.iter().find(|risk| risk.order == chance.order);
        let remedy = risk.and_then(|risk| risk.remedies.first());
        vec![
            chance.order.clone(),
            order.map_or_else(String::new, |order| order.promised.to_string()),
            format!("{:.3}", chance.kept),
            chance.dates.in_50.to_string(),
            chance.dates.in_80.to_string(),
            chance.dates.in_95.to_string(),
            remedy.map_or_else(String::new, |remedy| told(plan, remedy)),
        ]
    });
    file(&header, rows)
}

/// Load of every cell and week.
#[must_use]
pub fn load(plan: &Plan) -> Vec<u8> {
    let header = ["cell", "week", "run_min", "setup_min", "open_min"];
    let rows = plan.loads.iter().map(|load| {
        vec![
            load.cell.clone(),
            format!("{:04}-W{:02}", load.week.0, load.week.1),
            load.run.count().to_string(),
            load.setup.count().to_string(),
            load.open.count().to_string(),
        ]
    });
    file(&header, rows)
}
