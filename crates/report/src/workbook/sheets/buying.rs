//! What is to be bought: tools, tube, and how the bars are cut.

use crate::lists::{tooling, tube};
use crate::workbook::sheet::{Sheet, Value};
use elbowroom_planner::plan::Plan;
use elbowroom_planner::tube::{BarCut, TubeDay};

pub(super) fn tooling_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Order it by",
        "Tool",
        "Kind",
        "Price ¤",
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

pub(super) fn tube_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Order it by",
        "Tube",
        "Bar mm",
        "Bars",
        "Metres",
        "Price ¤",
        "First cut",
        "Would come",
        "For orders",
        "Note",
    ];
    let rows = plan.tube.buys.iter().map(|buy| {
        vec![
            buy.order_by.map_or(Value::Empty, Value::Date),
            Value::text(&buy.tube),
            Value::length(buy.bar),
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

pub(super) fn cutting_sheet(plan: &Plan) -> Sheet {
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
            Value::length(cut.bar),
            Value::text(tube::from(day, cut)),
            Value::text(&piece.order),
            Value::length(piece.length),
            Value::Count(piece.count.into()),
            Value::length(cut.rest),
            Value::yes(cut.kept),
        ]
    };
    cut.pieces.iter().map(row).collect()
}

pub(super) fn no_tooling_sheet(plan: &Plan) -> Sheet {
    let header = vec![
        "Order",
        "Without: how",
        "Without: on",
        "Without: finished",
        "Without: cost ¤",
        "Waiting: how",
        "Waiting: on",
        "Waiting: finished",
        "Waiting: cost ¤",
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
