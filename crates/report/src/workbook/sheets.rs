//! The lists of a plan with typed values.

mod buying;

use super::sheet::{Sheet, Value};
use crate::lists::{chances, orders};
use crate::text::summary;
use buying::{cutting_sheet, no_tooling_sheet, tooling_sheet, tube_sheet};
use elbowroom_planner::plan::{OrderPlan, Plan, Task};
use elbowroom_shop::calendar::IsoWeek;
use elbowroom_units::Minutes;

/// Every list, the most wanted first.
pub(super) fn all(plan: &Plan) -> Vec<Sheet> {
    vec![
        facts(plan),
        orders_sheet(plan),
        dispatch_sheet(plan),
        chances_sheet(plan),
        tooling_sheet(plan),
        tube_sheet(plan),
        cutting_sheet(plan),
        no_tooling_sheet(plan),
        load_sheet(plan),
        left_out_sheet(plan),
    ]
}

fn facts(plan: &Plan) -> Sheet {
    let row = |(heading, text): (&str, String)| vec![Value::text(heading), Value::Text(text)];
    let plan_of = ("Plan", summary::headline(plan));
    Sheet {
        name: "Summary",
        header: vec!["What", "In short"],
        rows: std::iter::once(plan_of).chain(summary::facts(plan)).map(row).collect(),
    }
}

fn orders_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Order",
        "Part",
        "Part name",
        "Pieces",
        "Customer",
        "Promised",
        "Finished",
        "Late h",
        "How",
        "Bent on",
        "Where",
        "Blank mm",
        "Cost ¤",
        "Cost of lateness ¤",
        "Held up by",
        "Why",
    ];
    Sheet { name: "Orders", header, rows: plan.orders.iter().map(|order| order_row(plan, order)).collect() }
}

fn order_row(plan: &Plan, order: &OrderPlan) -> Vec<Value> {
    let late = order.late.as_ref();
    vec![
        Value::text(&order.id),
        Value::text(&order.part),
        Value::text(&order.part_name),
        Value::Count(order.quantity.into()),
        Value::of(order.customer.as_deref()),
        Value::Date(order.promised),
        Value::moment(plan, order.finish),
        if order.is_late() { Value::Late(order.lateness()) } else { Value::Empty },
        Value::text(orders::how(order)),
        Value::of(order.bend_cell.as_deref()),
        Value::text(orders::route(order)),
        order.blank.map_or(Value::Empty, Value::length),
        Value::Money(order.cost),
        Value::Money(order.late_cost),
        late.map_or(Value::Empty, |late| Value::text(orders::cause(late.cause))),
        late.map_or(Value::Empty, |late| Value::text(&late.text)),
    ]
}

fn dispatch_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Cell",
        "Work",
        "Setup starts",
        "Run starts",
        "Ends",
        "Order",
        "Part",
        "Step",
        "Pieces",
        "Pieces to start",
        "Changeover min",
        "Run min",
        "Put on",
        "Tools",
        "Setup crew",
        "Run crew",
        "Under way",
    ];
    let rows = plan
        .cells
        .iter()
        .flat_map(|cell| cell.tasks.iter().map(|task| task_row(plan, &cell.id, cell.work.name(), task)));
    Sheet { name: "Dispatch", header, rows: rows.collect() }
}

fn task_row(plan: &Plan, cell: &str, work: &str, task: &Task) -> Vec<Value> {
    vec![
        Value::text(cell),
        Value::text(work),
        Value::moment(plan, task.setup_start),
        Value::moment(plan, task.run_start),
        Value::moment(plan, task.end),
        Value::text(&task.order),
        Value::text(&task.part),
        Value::text(&task.step),
        Value::Count(task.quantity.into()),
        Value::Count(task.start_quantity.into()),
        Value::minutes(task.changeover),
        Value::minutes(task.run),
        Value::ids(&task.mount),
        Value::ids(&task.tools),
        Value::of(task.setup_crew.as_deref()),
        Value::of(task.run_crew.as_deref()),
        Value::yes(task.under_way),
    ]
}

fn load_sheet(plan: &Plan) -> Sheet {
    let header = vec!["Cell", "Week", "Running h", "Changing over h", "Open h", "Load"];
    let rows = plan.loads.iter().map(|load| {
        let week = IsoWeek::new(load.week.0, load.week.1).map(|week| week.to_string()).unwrap_or_default();
        vec![
            Value::text(&load.cell),
            Value::Text(week),
            Value::hours(load.run),
            Value::hours(load.setup),
            Value::hours(load.open),
            share(load.run + load.setup, load.open),
        ]
    });
    Sheet { name: "Load", header, rows: rows.collect() }
}

/// Nothing where a cell is never open.
fn share(of: Minutes, all: Minutes) -> Value {
    if all > Minutes::ZERO { Value::Share(of.count() as f64 / all.count() as f64) } else { Value::Empty }
}

/// How sure every order is, the least sure first; empty where that was not asked.
fn chances_sheet(plan: &Plan) -> Sheet {
    let header =
        vec!["Order", "Promised", "Kept in 100", "Date in 50", "Date in 80", "Date in 95", "What helps"];
    let mut all: Vec<_> = plan.confidence.iter().flat_map(|sure| &sure.orders).collect();
    all.sort_by(|a, b| a.kept.total_cmp(&b.kept));
    let risks: Vec<_> = plan.confidence.iter().flat_map(|sure| &sure.risks).collect();
    let rows = all.into_iter().map(|chance| {
        let order = plan.orders.iter().find(|order| order.id == chance.order);
        let risk = risks.iter().find(|risk| risk.order == chance.order);
        let remedy = risk.and_then(|risk| risk.remedies.first());
        vec![
            Value::text(&chance.order),
            order.map_or(Value::Empty, |order| Value::Date(order.promised)),
            Value::Number((1_000.0 * chance.kept).round() / 10.0),
            Value::Date(chance.dates.in_50),
            Value::Date(chance.dates.in_80),
            Value::Date(chance.dates.in_95),
            remedy.map_or(Value::Empty, |remedy| Value::text(chances::told(plan, remedy))),
        ]
    });
    Sheet { name: "Chances", header, rows: rows.collect() }
}

fn left_out_sheet(plan: &Plan) -> Sheet {
    let rows = plan.left_out.iter().map(|out| {
        vec![Value::text(&out.order), Value::text(&out.part), Value::Text(out.reasons.join("; "))]
    });
    Sheet { name: "Left out", header: vec!["Order", "Part", "Why it cannot be made"], rows: rows.collect() }
}
