//! The plan as one HTML page that needs nothing else: styles and charts are inside it, and no
//! request leaves it. It prints on A4 and Letter, fits a phone, and follows the reader's choice of
//! dark or light.

use crate::charts::{chance, load, machine_time};
use crate::clean::markup;
use crate::lists;
use crate::picture::{Picture, svg};
use crate::table::{ColumnKind, Row, Table};
use crate::text::summary;
use elbowroom_bending::cautions;
use elbowroom_planner::plan::Plan;
use std::fmt::Write;

const STYLE: &str = include_str!("html/report.css");

/// What anybody who works by a plan should bear in mind.
const CAUTIONS: [&str; 4] = [
    cautions::ADVICE,
    "Clamps, pressure dies, bend arms and the sweeping tube crush and trap: keep guards closed and the swing area \
     clear, and lock out the drive before hands go in. No changeover time here is a reason to hurry.",
    cautions::ESTIMATES,
    "Finish and promised dates are estimates from standard times and today's facts; scrap, breakdowns and late \
     material move them.",
];

/// The page.
#[must_use]
pub fn page(plan: &Plan, chart_width: u32) -> String {
    let mut body = facts(plan);
    body.push_str(&chances(plan, chart_width));
    body.push_str(&charts(plan, chart_width));
    body.push_str(&order_lists(plan));
    body.push_str(&tooling(plan));
    body.push_str(&tube(plan));
    body.push_str(&dispatch(plan));
    body.push_str(&cautions_section());
    document(&summary::headline(plan), &contents(plan), &body)
}

/// A page that needs nothing else: its heading, links within it, and its sections.
pub(crate) fn document(heading: &str, links: &str, sections: &str) -> String {
    let title = markup(heading);
    format!(
        "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <meta name=\"referrer\" content=\"no-referrer\"/>\n<title>{title}</title>\n\
         <style>\n{STYLE}@media screen and (prefers-color-scheme: dark) {{\n{}}}\n</style>\n</head>\n<body>\n\
         <header>\n<h1>{title}</h1>\n{links}</header>\n<main>\n{sections}</main>\n</body>\n</html>\n",
        svg::dark_rules()
    )
}

/// Sections by anchor and heading.
const SECTIONS: [(&str, &str); 8] = [
    ("summary", "Summary"),
    ("chances", "How sure the promises are"),
    ("charts", "Charts"),
    ("orders", "Orders"),
    ("tooling", "Tooling"),
    ("tube", "Tube"),
    ("dispatch", "Dispatch lists"),
    ("cautions", "Cautions"),
];

fn contents(plan: &Plan) -> String {
    let mut out = String::from("<nav aria-label=\"On this page\">\n<ul>\n");
    for (anchor, heading) in SECTIONS {
        let _ = writeln!(out, "<li><a href=\"#{anchor}\">{heading}</a></li>");
    }
    out.push_str("</ul>\n<ul class=\"cells\" aria-label=\"Dispatch list of\">\n");
    for (i, cell) in plan.cells.iter().enumerate() {
        let _ = writeln!(out, "<li><a href=\"#cell-{i}\">{}</a></li>", markup(&cell.name));
    }
    out + "</ul>\n</nav>\n"
}

fn section(anchor: &str, body: &str) -> String {
    let heading = SECTIONS.iter().find(|section| section.0 == anchor).map_or("", |section| section.1);
    format!("<section id=\"{anchor}\">\n<h2>{heading}</h2>\n{body}</section>\n")
}

fn facts(plan: &Plan) -> String {
    let mut body = String::from("<dl>\n");
    for (heading, text) in summary::facts(plan) {
        let _ = writeln!(body, "<div><dt>{heading}</dt><dd>{}</dd></div>", markup(&text));
    }
    section("summary", &(body + "</dl>\n"))
}

/// Promises at risk that get a panel of their own on the page; `chances.svg` has all orders.
const MOST_PANELS: usize = 12;

fn chances(plan: &Plan, width: u32) -> String {
    if plan.confidence.is_none() {
        return section("chances", "<p>It was not asked how sure they are.</p>\n");
    }
    let mut body = table(&lists::chances::risks(plan));
    if let Some(picture) = chance::at_risk(plan, width, MOST_PANELS) {
        body.push_str(&figure(&picture, "chances"));
    }
    body.push_str(&table(&lists::chances::chances(plan)));
    body.push_str(&table(&lists::chances::out_of_time(plan)));
    section("chances", &body)
}

fn charts(plan: &Plan, width: u32) -> String {
    let mut body = String::new();
    for week in machine_time::weeks(plan) {
        let picture = machine_time::week(plan, week, width);
        body.push_str(&figure(&picture, &format!("machine-time-{week}")));
    }
    body.push_str(&figure(&load::picture(plan, width), "load"));
    body.push_str(&table(&lists::load::table(plan)));
    section("charts", &body)
}

pub(crate) fn figure(picture: &Picture, id: &str) -> String {
    format!(
        "<figure>\n<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{title}\">\n{}</div>\n\
         <figcaption>{}</figcaption>\n</figure>\n",
        svg::element(picture, id),
        markup(&picture.description),
        title = markup(&picture.title),
    )
}

fn order_lists(plan: &Plan) -> String {
    let tables = [lists::orders::late(plan), lists::orders::left_out(plan), lists::orders::all(plan)];
    section("orders", &tables.iter().map(table).collect::<String>())
}

fn tooling(plan: &Plan) -> String {
    let tables = [lists::tooling::purchases(plan), lists::tooling::no_tooling(plan)];
    section("tooling", &tables.iter().map(table).collect::<String>())
}

fn tube(plan: &Plan) -> String {
    let tables = [lists::tube::to_buy(plan), lists::tube::cutting(plan)];
    section("tube", &tables.iter().map(table).collect::<String>())
}

fn dispatch(plan: &Plan) -> String {
    let mut body = String::new();
    for (i, cell) in plan.cells.iter().enumerate() {
        let list = table(&lists::dispatch::of_cell(plan, cell));
        let name = markup(&cell.name);
        let _ = write!(body, "<section class=\"cell\" id=\"cell-{i}\">\n<h3>{name}</h3>\n{list}</section>\n");
    }
    section("dispatch", &body)
}

fn cautions_section() -> String {
    let items: String = CAUTIONS.iter().map(|text| format!("<li>{}</li>\n", markup(text))).collect();
    section("cautions", &format!("<ul>\n{items}</ul>\n"))
}

/// A table, or a sentence where it has no rows.
pub(crate) fn table(table: &Table) -> String {
    let caption = markup(&table.caption);
    if table.rows.is_empty() {
        return format!("<p><strong>{caption}:</strong> {}.</p>\n", markup(&table.empty));
    }
    let mut out = format!(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{caption}\">\n<table>\n\
         <caption>{caption}</caption>\n<thead>\n<tr>"
    );
    for column in &table.columns {
        let _ = write!(out, "<th scope=\"col\"{}>{}</th>", class(column.kind), markup(column.title));
    }
    out.push_str("</tr>\n</thead>\n<tbody>\n");
    table.rows.iter().for_each(|row| push_row(&mut out, table, row));
    out.push_str("</tbody>\n</table>\n</div>\n");
    if let Some(note) = &table.note {
        let _ = writeln!(out, "<p>{}</p>", markup(note));
    }
    out
}

fn push_row(out: &mut String, table: &Table, row: &Row) {
    out.push_str(if row.notable { "<tr class=\"notable\">" } else { "<tr>" });
    let heads_row = table.columns.iter().position(|column| column.title == "Order").unwrap_or(0);
    for (i, (text, column)) in row.cells.iter().zip(&table.columns).enumerate() {
        let (class, text) = (class(column.kind), markup(text));
        let _ = if i == heads_row {
            write!(out, "<th scope=\"row\"{class}>{text}</th>")
        } else {
            write!(out, "<td{class}>{text}</td>")
        };
    }
    out.push_str("</tr>\n");
    if let Some(below) = &row.below {
        let columns = table.columns.len();
        let _ = writeln!(out, "<tr><td class=\"prose\" colspan=\"{columns}\">{}</td></tr>", markup(below));
    }
}

const fn class(kind: ColumnKind) -> &'static str {
    match kind {
        ColumnKind::Word => "",
        ColumnKind::Number => " class=\"number\"",
        ColumnKind::Prose => " class=\"prose\"",
    }
}
