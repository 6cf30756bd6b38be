//! Dispatch sheets: what is pinned to a cell is what the plan and bending knowledge say.

#![allow(clippy::unwrap_used, reason = "a failure here is a failed test")]

use elbowroom_bending::fit::Direction;
use elbowroom_engine::Settings;
use elbowroom_files::read_shop;
use elbowroom_planner::sheets::{Bending, CellSheet, JobSheet, ToolFrom, sheets};
use elbowroom_planner::{Planned, Request, plan_week};
use elbowroom_shop::Shop;
use elbowroom_shop::cell::WorkKind;
use elbowroom_tests::program::{repository, run};
use elbowroom_tests::trial_shop::date;
use elbowroom_tests::watches::Unhurried;
use serde_json::Value;
use std::sync::LazyLock;

const DEMO: &str = "examples/ottergrund";

/// The demo shop and a quick plan of it.
static PLANNED: LazyLock<(Shop, Planned)> = LazyLock::new(|| {
    let shop = read_shop(&repository().join(DEMO)).shop.expect("the demo can be read");
    let request = Request { start: date("2026-12-07"), weeks: 2 };
    let settings = Settings { threads: 1, seed: 1, iterations: Some(50) };
    let planned = plan_week(&shop, &request, &settings, &Unhurried).expect("it can be planned");
    (shop, planned)
});

fn demo() -> (&'static Planned, Vec<CellSheet<'static>>) {
    let (shop, planned) = &*PLANNED;
    (planned, sheets(shop, &planned.plan))
}

fn bent() -> Vec<(&'static str, JobSheet<'static>, Bending)> {
    let jobs =
        demo().1.into_iter().flat_map(|sheet| sheet.jobs.into_iter().map(move |job| (sheet.cell, job)));
    let bent = jobs.filter_map(|(cell, job)| {
        let bending = job.bending.clone()?;
        Some((cell.id.as_str(), job, bending))
    });
    bent.collect()
}

#[test]
fn every_lot_of_the_weeks_is_on_the_sheet_of_its_cell() {
    let (planned, sheets) = demo();
    for cell in planned.plan.cells.iter().filter(|cell| !cell.tasks.is_empty()) {
        let sheet = sheets.iter().find(|sheet| sheet.cell.id == cell.id).unwrap();
        assert_eq!(sheet.jobs.len() + sheet.later, cell.tasks.len(), "{}", cell.id);
        for (job, task) in sheet.jobs.iter().zip(&cell.tasks) {
            assert_eq!((&job.task.order, &job.task.step), (&task.order, &task.step));
            assert_eq!(job.bending.is_some(), matches!(cell.work, WorkKind::Bend(_)), "{}", task.order);
            let next = job.next.map(|step| step.run_start);
            assert!(next.is_none_or(|next| next >= task.end), "{}", task.order);
        }
    }
}

/// Straights and arcs of the rows together are the part's centreline, from whichever end it is bent;
/// the order in which bends are numbered says the same.
#[test]
fn rows_add_up_to_the_part() {
    let mut turned = 0;
    for (cell, job, bending) in bent() {
        let part = job.part.as_ref().unwrap();
        let arcs = bending.rows.iter().map(|row| row.clr.mm() * row.angle.degrees().to_radians());
        let straights =
            bending.rows.iter().map(|row| row.straight.mm()).sum::<f64>() + bending.last_straight.mm();
        let length = straights + arcs.sum::<f64>();
        assert!((length - part.developed.mm()).abs() < 1e-6, "{} on {cell}: {length}", job.task.order);
        let drawn: Vec<usize> = bending.rows.iter().map(|row| row.drawn).collect();
        let count = drawn.len();
        let expected: Vec<usize> = match bending.direction {
            Direction::FromStart => (1..=count).collect(),
            Direction::FromEnd => (1..=count).rev().collect(),
        };
        assert_eq!(drawn, expected);
        turned += usize::from(bending.direction == Direction::FromEnd);
        for row in &bending.rows {
            let bend = &part.shape.bends()[row.drawn - 1];
            assert_eq!((row.clr, row.angle), (bend.clr, bend.angle), "bend {} of {}", row.drawn, part.id);
        }
    }
    println!("{turned} jobs begin at the other end");
}

/// A bend keeps the length of its arc when it springs back: loaded radius times loaded angle is radius
/// times angle (elementary theory of springback, as in textbooks of sheet and tube forming; from memory).
#[test]
fn springback_keeps_the_length_of_the_arc() {
    for (cell, job, bending) in bent() {
        for row in &bending.rows {
            let (angle, radius) = (row.bend_to.unwrap(), row.loaded_radius.unwrap());
            assert!(angle > row.angle && radius < row.clr, "{} on {cell}", job.task.order);
            let (loaded, drawn) = (angle.degrees() * radius.mm(), row.angle.degrees() * row.clr.mm());
            assert!((loaded / drawn - 1.0).abs() < 1e-9, "{loaded} {drawn}");
        }
    }
}

#[test]
fn tools_come_from_where_the_plan_left_them() {
    let plan = &demo().0.plan;
    let mut moved = 0;
    for (cell, job, _) in bent() {
        let ids: Vec<&String> = job.tools.iter().map(|tool| &tool.id).collect();
        assert_eq!(ids.len(), job.task.tools.len());
        assert!(job.task.tools.iter().all(|tool| ids.contains(&tool)));
        for tool in &job.tools {
            let mounted = job.task.mount.contains(&tool.id);
            assert_eq!(tool.from == ToolFrom::OnTheCell, !mounted, "{} on {cell}", tool.id);
            if let ToolFrom::OtherCell { cell: from, order: Some(order) } = &tool.from {
                let tasks = &plan.cells.iter().find(|other| other.id == *from).unwrap().tasks;
                let last =
                    tasks.iter().rfind(|task| task.order == *order && task.tools.contains(&tool.id)).unwrap();
                assert!(last.end <= job.task.setup_start, "{} is still on {from}", tool.id);
                moved += 1;
            }
        }
    }
    println!("{moved} tools come from another cell");
}

/// What the program writes: a page for every busy cell that needs nothing else, with every job and
/// the angle that `fit` says.
#[test]
fn pages_are_written_beside_the_plan() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let ran = run(&["plan", DEMO, "--steps", "50", "--seconds", "60", "--out", out.to_str().unwrap()]);
    assert_eq!(ran.code, 0, "{ran:?}");
    let plan: Value = serde_json::from_slice(&std::fs::read(out.join("plan.json")).unwrap()).unwrap();
    for cell in plan["cells"].as_array().unwrap() {
        let tasks = cell["tasks"].as_array().unwrap();
        if tasks.is_empty() {
            continue;
        }
        let id = cell["id"].as_str().unwrap();
        let page = std::fs::read_to_string(out.join(format!("sheet-{id}.html"))).unwrap();
        // Nothing is fetched: the one address is the name space of SVG.
        assert_eq!(page.matches("http").count(), page.matches("http://www.w3.org/2000/svg").count(), "{id}");
        assert!(!page.contains("<script") && !page.contains("src="), "{id}");
        let mut rest = page.as_str();
        for task in tasks.iter().take(3) {
            let order = task["order"].as_str().unwrap();
            let at =
                rest.find(order).unwrap_or_else(|| panic!("{order} is missing from {id} or out of order"));
            rest = &rest[at..];
        }
    }
    let page = std::fs::read_to_string(out.join("sheet-push-1.html")).unwrap();
    let told = run(&["fit", DEMO, "--part", "HR-704", "--json"]).json();
    let cells = told["cells"].as_array().unwrap();
    let push = cells.iter().find(|cell| cell["cell"] == "push-1").unwrap();
    let loaded = push["bending"]["bends"][0]["tool_radius_mm"].as_f64().unwrap();
    let (_, card) = page.split_once("<strong>HR-704</strong>").expect("it goes without a die");
    assert!(card.contains(&format!("<strong>{loaded:.1}</strong>")), "{loaded}");
}
