//! Calendars and workbook, read by other libraries.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod common;

use calamine::{Data, DataType, Range, Reader, Xlsx};
use common::{Wish, plan};
use elbowroom_planner::plan::Plan;
use elbowroom_report::{OutFile, RenderOptions, render};
use icalendar::{Calendar, CalendarComponent, Component};
use std::collections::BTreeSet;
use std::io::Cursor;

fn files(plan: &Plan) -> Vec<OutFile> {
    render(plan, &RenderOptions { png_scale: None, ..RenderOptions::default() })
}

/// Ids and names that would break a careless writer.
fn hostile() -> Plan {
    let mut plan = plan(Wish { start: "2026-10-19", ..Wish::new(4, 12, 2) });
    plan.cells[0].id = "RD;1,\u{fc}\\x".into();
    plan.cells[0].name = "Dr\u{fc}cken, \"Halle 1\"; Zug\r\nBEGIN:VEVENT".into();
    for task in &mut plan.cells[0].tasks {
        task.order = format!("=1+1;{}", task.order);
        task.part = "\u{7ba1}".repeat(60);
    }
    plan.orders[0].id = "=HYPERLINK(\"http://x\")".into();
    plan.orders[0].part_name = "line one\nline two\u{1}".into();
    plan
}

fn calendars(plan: &Plan) -> Vec<String> {
    let files = files(plan).into_iter().filter(|file| file.name.ends_with(".ics"));
    files.map(|file| String::from_utf8(file.bytes).unwrap()).collect()
}

#[test]
fn lines_of_calendars_are_short_and_end_as_the_standard_wants() {
    for text in calendars(&hostile()) {
        assert!(text.ends_with("\r\n"));
        for line in text.strip_suffix("\r\n").unwrap().split("\r\n") {
            assert!(line.len() <= 75 && !line.contains(['\r', '\n']), "{line:?}");
        }
    }
}

#[test]
fn another_library_reads_every_event_with_its_times() {
    let plan = hostile();
    let mut uids = BTreeSet::new();
    let busy: Vec<_> = plan.cells.iter().filter(|cell| !cell.tasks.is_empty()).collect();
    let texts = calendars(&plan);
    assert_eq!(texts.len(), busy.len());
    for (cell, text) in busy.iter().zip(&texts) {
        let calendar: Calendar = text.parse().unwrap();
        let events: Vec<_> = calendar.components.iter().filter_map(CalendarComponent::as_event).collect();
        assert_eq!(events.len(), calendar.components.len(), "only events");
        assert!(events.len() >= cell.tasks.len());
        for event in &events {
            assert!(uids.insert(event.get_uid().unwrap().to_owned()), "{:?} twice", event.get_uid());
            assert!(event.get_timestamp().is_some());
        }
        let starts: Vec<_> = events.iter().map(|event| utc(event.get_start().unwrap())).collect();
        let ends: Vec<_> = events.iter().map(|event| utc(event.get_end().unwrap())).collect();
        for task in &cell.tasks {
            let (from, to) =
                (plan.clock.local(task.setup_start).to_utc(), plan.clock.local(task.end).to_utc());
            assert!(starts.contains(&from), "{from} begins {}", task.order);
            assert!(ends.contains(&to), "{to} ends {}", task.order);
        }
        let order = &cell.tasks[0].order;
        assert!(
            events[0].get_summary().unwrap().starts_with(order.as_str()),
            "{:?}",
            events[0].get_summary()
        );
    }
}

fn utc(time: icalendar::DatePerhapsTime) -> chrono::DateTime<chrono::Utc> {
    match time {
        icalendar::DatePerhapsTime::DateTime(icalendar::CalendarDateTime::Utc(time)) => time,
        other => panic!("{other:?} is not in UTC"),
    }
}

/// A run over a night is two events, so that the closed hours stay free.
#[test]
fn closed_hours_are_in_no_event() {
    let plan = plan(Wish::new(6, 40, 2));
    for (cell, text) in plan.cells.iter().filter(|cell| !cell.tasks.is_empty()).zip(calendars(&plan)) {
        let calendar: Calendar = text.parse().unwrap();
        let minute = |time| plan.clock.minute_of(utc(time));
        let spans = calendar.components.iter().filter_map(CalendarComponent::as_event);
        for (from, to) in spans.map(|e| (minute(e.get_start().unwrap()), minute(e.get_end().unwrap()))) {
            let closed = cell.open.windows(2).map(|pair| (pair[0].1, pair[1].0));
            for (a, b) in closed.filter(|(a, b)| (*b - *a).count() >= 240) {
                assert!(to <= a || b <= from, "{} works {from}..{to} in {a}..{b}", cell.id);
            }
        }
    }
}

fn sheet(book: &mut Xlsx<Cursor<Vec<u8>>>, name: &str) -> Range<Data> {
    book.worksheet_range(name).unwrap()
}

fn column(range: &Range<Data>, title: &str) -> usize {
    let header: Vec<String> = range.rows().next().unwrap().iter().map(ToString::to_string).collect();
    header.iter().position(|name| name == title).unwrap_or_else(|| panic!("{title} in {header:?}"))
}

#[test]
fn another_library_reads_the_workbook_with_real_dates_and_numbers() {
    let plan = hostile();
    let file = files(&plan).into_iter().find(|file| file.name == "lists.xlsx").unwrap();
    let mut book: Xlsx<_> = calamine::open_workbook_from_rs(Cursor::new(file.bytes)).unwrap();
    let names = [
        "Summary",
        "Orders",
        "Dispatch",
        "Chances",
        "Tooling to buy",
        "Tube to buy",
        "Cutting plan",
        "No tooling",
        "Load",
        "Left out",
    ];
    assert_eq!(book.sheet_names(), names);
    let orders = sheet(&mut book, "Orders");
    assert_eq!(orders.height(), plan.orders.len() + 1);
    let at = |title| column(&orders, title);
    for (row, order) in orders.rows().skip(1).zip(&plan.orders) {
        assert_eq!(row[at("Order")].get_string().unwrap(), order.id, "text, and no formula");
        assert_eq!(row[at("Pieces")].get_float(), Some(f64::from(order.quantity)));
        assert!(row[at("Promised")].is_datetime() && row[at("Finished")].is_datetime(), "real dates");
        assert_eq!(row[at("Promised")].as_date().unwrap(), order.promised);
        let finish = plan.clock.local(order.finish).naive_local();
        assert_eq!(row[at("Finished")].as_datetime().unwrap(), finish);
        let cost = row[at("Cost EUR")].get_float().unwrap();
        assert!((cost - order.cost.amount()).abs() <= 0.005, "{cost}");
    }
    assert_eq!(
        orders.rows().nth(1).unwrap()[at("Part name")].get_string(),
        Some("line one\nline two\u{fffd}")
    );
    assert!(book.worksheet_formula("Orders").unwrap().is_empty());
    let dispatch = sheet(&mut book, "Dispatch");
    assert_eq!(dispatch.height(), plan.cells.iter().map(|cell| cell.tasks.len()).sum::<usize>() + 1);
    let tube = sheet(&mut book, "Tube to buy");
    let bars = column(&tube, "Bars");
    assert_eq!(tube.rows().nth(1).unwrap()[bars].get_float(), Some(3.0));
}

#[test]
fn the_same_plan_gives_the_same_workbook() {
    let plan = plan(Wish::new(3, 10, 1));
    assert_eq!(files(&plan), files(&plan));
}
