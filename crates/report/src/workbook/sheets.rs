//! The lists of a plan with typed values.

use super::sheet::{Sheet, Value};
use crate::lists::{dispatch, orders, tooling, tube};
use crate::text::summary;
use elbowroom_planner::plan::{OrderPlan, Plan, Task};
use elbowroom_planner::tube::{BarCut, TubeDay};
use elbowroom_shop::calendar::IsoWeek;

/// Every list, the most wanted first.
pub(super) fn all(plan: &Plan) -> Vec<Sheet> {
    vec![
        facts(plan),
        orders_sheet(plan),
        dispatch_sheet(plan),
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
        "Cost",
        "Cost of lateness",
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
        if order.is_late() { Value::hours(order.lateness()) } else { Value::Empty },
        Value::text(orders::how(order)),
        Value::of(order.bend_cell.as_deref()),
        Value::text(orders::route(order)),
        order.blank.map_or(Value::Empty, |blank| Value::Number(blank.mm())),
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
    let rows = plan.cells.iter().flat_map(|cell| {
        cell.tasks.iter().map(|task| task_row(plan, &dispatch::caption(cell), cell.work.name(), task))
    });
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

fn tooling_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Order it by",
        "Tool",
        "Kind",
        "Price",
        "Estimated",
        "Lead time days",
        "First used",
        "For orders",
    ];
    let rows = tooling::most_urgent_first(plan).into_iter().map(|tool| {
        vec![
            Value::Date(tool.order_by),
            Value::text(&tool.tool),
            Value::text(tool.kind.to_string()),
            Value::Money(tool.price),
            Value::yes(tool.estimated),
            Value::Number(tool.lead.in_days()),
            Value::moment(plan, tool.first_use),
            Value::ids(&tool.orders),
        ]
    });
    Sheet { name: "Tooling to buy", header, rows: rows.collect() }
}

fn tube_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Order it by",
        "Tube",
        "Bar mm",
        "Bars",
        "Metres",
        "Price",
        "First cut",
        "Would come",
        "For orders",
        "Note",
    ];
    let rows = plan.tube.buys.iter().map(|buy| {
        vec![
            buy.order_by.map_or(Value::Empty, Value::Date),
            Value::text(&buy.tube),
            Value::Number(buy.bar.mm()),
            Value::Count(buy.bars.into()),
            Value::Number(buy.bar.metres() * f64::from(buy.bars)),
            buy.price.map_or(Value::Empty, Value::Money),
            Value::moment(plan, buy.first_cut),
            buy.too_late.map_or(Value::Empty, |arrival| Value::moment(plan, arrival)),
            Value::ids(&buy.orders),
            Value::text(tube::buy_note(plan, buy)),
        ]
    });
    Sheet { name: "Tube to buy", header, rows: rows.collect() }
}

fn cutting_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Day",
        "Tube",
        "Layout",
        "Bars",
        "Bar mm",
        "From",
        "Order",
        "Blank mm",
        "Pieces per bar",
        "Left mm",
        "Keep",
    ];
    let rows =
        plan.tube.days.iter().flat_map(|day| (1..).zip(&day.cuts).flat_map(move |cut| cut_rows(day, cut)));
    Sheet { name: "Cutting plan", header, rows: rows.collect() }
}

/// A row for each blank on a layout.
fn cut_rows(day: &TubeDay, (layout, cut): (i64, &BarCut)) -> Vec<Vec<Value>> {
    let row = |piece: &elbowroom_planner::tube::CutPiece| {
        vec![
            Value::Date(day.day),
            Value::text(&day.tube),
            Value::Count(layout),
            Value::Count(cut.bars.into()),
            Value::Number(cut.bar.mm()),
            Value::text(tube::from(day, cut)),
            Value::text(&piece.order),
            Value::Number(piece.length.mm()),
            Value::Count(piece.count.into()),
            Value::Number(cut.rest.mm()),
            Value::yes(cut.kept),
        ]
    };
    cut.pieces.iter().map(row).collect()
}

fn no_tooling_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Order",
        "Without: how",
        "Without: on",
        "Without: finished",
        "Without: cost",
        "Waiting: how",
        "Waiting: on",
        "Waiting: finished",
        "Waiting: cost",
        "Tools to wait for",
        "Without them it is",
        "The plan",
    ];
    let rows = plan.no_tooling.iter().map(|flag| {
        let course = |course: &elbowroom_planner::plan::Course| {
            [
                Value::text(course.process.name()),
                Value::text(&course.cell),
                Value::moment(plan, course.finish),
                Value::Money(course.cost),
            ]
        };
        let mut row = vec![Value::text(&flag.order)];
        row.extend(course(&flag.without));
        row.extend(course(&flag.waiting));
        row.push(Value::ids(&flag.tools));
        row.push(Value::text(tooling::gain(plan, flag)));
        row.push(Value::text(tooling::decision(flag)));
        row
    });
    Sheet { name: "No tooling", header, rows: rows.collect() }
}

fn load_sheet(plan: &Plan) -> Sheet {
    let header = vec!["Cell", "Week", "Running h", "Changing over h", "Open h"];
    let rows = plan.loads.iter().map(|load| {
        let week = IsoWeek::new(load.week.0, load.week.1).map(|week| week.to_string()).unwrap_or_default();
        vec![
            Value::text(&load.cell),
            Value::Text(week),
            Value::hours(load.run),
            Value::hours(load.setup),
            Value::hours(load.open),
        ]
    });
    Sheet { name: "Load", header, rows: rows.collect() }
}

fn left_out_sheet(plan: &Plan) -> Sheet {
    let rows = plan.left_out.iter().map(|out| {
        vec![Value::text(&out.order), Value::text(&out.part), Value::Text(out.reasons.join("; "))]
    });
    Sheet { name: "Left out", header: vec!["Order", "Part", "Why it cannot be made"], rows: rows.collect() }
}
