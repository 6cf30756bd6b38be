//! The files of a plan: names, CSV that reads back, HTML and SVG that are well formed and safe.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod common;

use common::{Wish, plan, sure};
use elbowroom_planner::plan::Plan;
use elbowroom_report::{OutFile, RenderOptions, render};

/// A plan whose every user-given text tries to be markup, to end a CSV field or to steer a terminal.
fn hostile() -> Plan {
    let mut plan = plan(Wish::new(3, 8, 2));
    let bad = "<script src=\"http://x\">alert('1')</script>&amp;,\"\r\n\u{1b}[2J=1+1";
    plan.shop = bad.into();
    plan.currency = "<b>".into();
    for cell in &mut plan.cells {
        cell.id = format!("{}{bad}", cell.id);
        cell.name = bad.into();
        for task in &mut cell.tasks {
            task.order = format!("{}{bad}", task.order);
            task.tools = vec![bad.into()];
            task.mount = vec![bad.into()];
            task.run_crew = Some(bad.into());
        }
    }
    for order in &mut plan.orders {
        order.id = format!("{}{bad}", order.id);
        order.part = bad.into();
        if let Some(late) = &mut order.late {
            late.text = bad.into();
        }
    }
    plan.left_out[0].reasons = vec![bad.into()];
    plan.purchases[0].tool = bad.into();
    plan.no_tooling[0].order = bad.into();
    let mut plan = sure(plan);
    let sure = plan.confidence.as_mut().unwrap();
    sure.risks[0].remedies[0].text = bad.into();
    sure.cells[0].cell = bad.into();
    plan
}

fn files(plan: &Plan) -> Vec<OutFile> {
    render(plan, &RenderOptions::default())
}

fn text<'a>(files: &'a [OutFile], name: &str) -> &'a str {
    let file = files.iter().find(|file| file.name == name).unwrap_or_else(|| panic!("no {name}"));
    std::str::from_utf8(&file.bytes).unwrap()
}

#[test]
fn every_list_and_chart_has_its_file() {
    let names: Vec<String> = files(&plan(Wish::new(3, 8, 2))).into_iter().map(|file| file.name).collect();
    let expected = [
        "summary.txt",
        "dispatch.txt",
        "orders.txt",
        "tooling.txt",
        "tube.txt",
        "no-tooling.txt",
        "load.txt",
        "dispatch.csv",
        "orders.csv",
        "tooling.csv",
        "tube.csv",
        "cutting.csv",
        "no-tooling.csv",
        "load.csv",
        "machine-time-2026-W50.svg",
        "machine-time-2026-W50.png",
        "machine-time-2026-W51.svg",
        "machine-time-2026-W51.png",
        "machine-time-overview.svg",
        "machine-time-overview.png",
        "load.svg",
        "load.png",
        "lists.xlsx",
        "calendar-rd-1.ics",
        "calendar-saw-1.ics",
        "calendar-ff-1.ics",
        "report.html",
    ];
    assert_eq!(names, expected);
}

#[test]
fn one_week_needs_no_overview_and_png_can_be_left_out() {
    let options = RenderOptions { png_scale: None, ..RenderOptions::default() };
    let files = render(&plan(Wish::new(3, 8, 1)), &options);
    assert!(files.iter().all(|file| !file.name.ends_with(".png") && !file.name.contains("overview")));
}

#[test]
fn a_plan_from_midweek_shows_both_weeks_it_touches() {
    let files = files(&plan(Wish { start: "2026-12-30", ..Wish::new(2, 4, 1) }));
    // By ISO 8601 2026 has 53 weeks; its last ends on Sunday 2027-01-03.
    for week in ["2026-W53", "2027-W01"] {
        assert!(text(&files, &format!("machine-time-{week}.svg")).contains("<title"));
    }
}

#[test]
fn rendering_is_repeatable() {
    let plan = plan(Wish::new(16, 60, 2));
    assert_eq!(files(&plan), files(&plan));
}

fn records(files: &[OutFile], name: &str) -> (csv::StringRecord, Vec<csv::StringRecord>) {
    let mut reader = csv::ReaderBuilder::new().from_reader(text(files, name).as_bytes());
    let header = reader.headers().unwrap().clone();
    (header, reader.records().map(Result::unwrap).collect())
}

#[test]
fn csv_reads_back_as_it_was_typed() {
    let plan = hostile();
    let files = files(&plan);
    let (header, rows) = records(&files, "dispatch.csv");
    let column = |name: &str| header.iter().position(|title| title == name).unwrap();
    let tasks: Vec<_> =
        plan.cells.iter().flat_map(|cell| cell.tasks.iter().map(move |task| (cell, task))).collect();
    assert_eq!(rows.len(), tasks.len());
    for (row, (cell, task)) in rows.iter().zip(tasks) {
        assert_eq!((&row[column("cell")], &row[column("order")]), (cell.id.as_str(), task.order.as_str()));
        assert_eq!(row[column("end_min")].parse(), Ok(task.end.get()));
        assert_eq!(row[column("changeover_min")].parse(), Ok(task.changeover.count()));
    }
    let (header, rows) = records(&files, "orders.csv");
    let column = |name: &str| header.iter().position(|title| title == name).unwrap();
    assert_eq!(rows.len(), plan.orders.len() + plan.left_out.len());
    for (row, order) in rows.iter().zip(&plan.orders) {
        assert_eq!(&row[column("order")], order.id);
        assert_eq!(row[column("promised")].parse(), Ok(order.promised));
        assert_eq!(row[column("late_min")].parse(), Ok(order.lateness().count()));
    }
    for name in ["tooling.csv", "no-tooling.csv", "load.csv"] {
        assert!(!records(&files, name).1.is_empty(), "{name}");
    }
}

#[test]
fn csv_lines_end_as_rfc_4180_wants() {
    let files = files(&plan(Wish::new(3, 8, 1)));
    let dispatch = text(&files, "dispatch.csv");
    assert!(dispatch.ends_with("\r\n"));
    assert_eq!(dispatch.matches('\n').count(), dispatch.matches("\r\n").count());
}

/// Parses as XML; the page is written so that it is both.
fn parsed(text: &str) -> roxmltree::Document<'_> {
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    roxmltree::Document::parse_with_options(text, options).unwrap()
}

#[test]
fn markup_is_well_formed_whatever_users_typed() {
    let files = files(&hostile());
    for file in files.iter().filter(|file| file.name.ends_with(".svg") || file.name.ends_with(".html")) {
        let text = text(&files, &file.name);
        let document = parsed(text);
        let names =
            document.descendants().filter(|node| node.is_element()).map(|node| node.tag_name().name());
        assert!(names.into_iter().all(|name| name != "script" && name != "b"), "{}", file.name);
        assert!(!text.contains('\u{1b}') && !text.contains("<script"), "{}", file.name);
    }
}

#[test]
fn the_page_asks_for_nothing_from_outside() {
    let files = files(&hostile());
    let document = parsed(text(&files, "report.html"));
    for node in document.descendants().filter(|node| node.is_element()) {
        for attribute in node.attributes() {
            let name = attribute.name();
            let inside =
                !matches!(name, "src" | "href" | "srcset" | "data") || attribute.value().starts_with('#');
            assert!(inside && !name.starts_with("on"), "{name}={}", attribute.value());
        }
        assert!(!matches!(node.tag_name().name(), "link" | "img" | "iframe" | "script" | "object"));
    }
    let style = document.descendants().find(|node| node.has_tag_name("style")).unwrap().text().unwrap();
    assert!(!style.contains("url(") && !style.contains("@import"));
}

#[test]
fn tables_have_captions_and_scopes_and_anchors_lead_somewhere() {
    let files = files(&plan(Wish::new(5, 30, 1)));
    let document = parsed(text(&files, "report.html"));
    let tables: Vec<_> = document.descendants().filter(|node| node.has_tag_name("table")).collect();
    assert!(tables.len() >= 5 + 4);
    for table in tables {
        assert!(table.descendants().any(|node| node.has_tag_name("caption")));
        let heads = table.descendants().filter(|node| node.has_tag_name("th"));
        assert!(heads.into_iter().all(|head| matches!(head.attribute("scope"), Some("col" | "row"))));
    }
    let ids: Vec<_> = document.descendants().filter_map(|node| node.attribute("id")).collect();
    let unique: std::collections::BTreeSet<_> = ids.iter().collect();
    assert_eq!(unique.len(), ids.len(), "ids are unique");
    for anchor in document.descendants().filter_map(|node| node.attribute("href")) {
        assert!(ids.contains(&anchor.trim_start_matches('#')), "{anchor}");
    }
}

#[test]
fn texts_keep_control_characters_from_the_terminal() {
    let files = files(&hostile());
    for file in files.iter().filter(|file| file.name.ends_with(".txt")) {
        let text = text(&files, &file.name);
        assert!(text.chars().all(|c| c == '\n' || !c.is_control()), "{}", file.name);
    }
}

#[test]
fn an_empty_plan_renders() {
    let mut plan = plan(Wish::new(1, 0, 1));
    plan.left_out.clear();
    plan.cells.clear();
    plan.loads.clear();
    let files = files(&plan);
    assert!(text(&files, "summary.txt").contains("0 planned: 0 on time, 0 late"));
    parsed(text(&files, "report.html"));
}

#[test]
fn how_sure_the_promises_are_has_its_files_and_its_place_on_the_page() {
    let files = files(&sure(plan(Wish::new(3, 8, 2))));
    let told = "Saturday shift on 2026-12-12, 06:00 to 12:00, on wash-1: kept in 91 of 100, +410.00";
    assert!(text(&files, "chances.csv").contains(told));
    assert!(text(&files, "chances.csv").contains("; puts O-7 at risk"));
    let page = text(&files, "report.html");
    assert!(page.contains("<section id=\"chances\">") && page.contains("Promises at risk"));
    assert!(text(&files, "chances.svg").contains("kept in"));
    let summary = text(&files, "summary.txt").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        summary.contains("At risk 3 promises are kept in fewer than 80 of 100 cases Remedy"),
        "{summary}"
    );
    assert!(summary.contains(": Saturday 2026-12-12 on wash-1: kept in 91 instead of "), "{summary}");
    assert!(text(&files, "chances.txt").contains("nothing that was tried helps"));
}
