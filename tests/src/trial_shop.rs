//! A small bending shop built in code: one day shift, Monday to Friday 06:00 to 14:00 in Vienna,
//! plans from Monday, 7 December 2026.

use crate::trial_rules::{rules, step_times, uncertainty};
use chrono::{NaiveDate, NaiveTime, Weekday};
use elbowroom_bending::material::Material;
use elbowroom_bending::piece::{Marks, Quality};
use elbowroom_bending::process::Process;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_bending::tooling::{ToolKind, ToolSpec};
use elbowroom_bending::tube::Tube;
use elbowroom_planner::Request;
use elbowroom_shop::calendar::{Calendar, Shift};
use elbowroom_shop::cell::{Cell, WorkKind};
use elbowroom_shop::crew::Crew;
use elbowroom_shop::order::Order;
use elbowroom_shop::part::{Part, StockTube};
use elbowroom_shop::rack::{Tool, ToolState};
use elbowroom_shop::vendor::Vendor;
use elbowroom_shop::{Shop, Steadiness, Terms};
use elbowroom_units::{Deg, Minutes, Mm, Money, RatePerMinute};

/// Outside diameter of the one tube of the trial shop: its wall factor of 12 needs no mandrel.
pub const OD: f64 = 36.0;
/// Centreline radius of its parts, three times the diameter.
pub const CLR: f64 = 108.0;

/// An ISO date.
///
/// # Panics
/// If it is none.
#[must_use]
pub fn date(text: &str) -> NaiveDate {
    text.parse().expect("a test writes dates that exist")
}

/// One week from Monday, 7 December 2026.
#[must_use]
pub fn request() -> Request {
    Request { start: date("2026-12-07"), weeks: 1 }
}

fn clock_time(hour: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, 0, 0).expect("an hour of the day")
}

fn day_shift() -> Shift {
    let days = vec![Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri];
    Shift { days, from: clock_time(6), to: clock_time(14), breaks: Vec::new() }
}

/// A shop without cells, tools, parts and orders: one tube, one calendar, a crew `setters` of one
/// head on the day shift.
#[must_use]
pub fn empty_shop() -> Shop {
    Shop {
        terms: Terms {
            name: "Trial".to_owned(),
            currency: "EUR".to_owned(),
            time_zone: chrono_tz::Europe::Vienna,
            plan_start: None,
            weeks: 1,
            ship_by: clock_time(16),
            receive_by: clock_time(7),
            transfer: Minutes::new(15),
            late_cost_per_day: Money::new(60.0),
            later_promise_cost_per_day: None,
            spare: Minutes::ZERO,
            margin_percent: None,
            steadiness: Steadiness::default(),
        },
        holidays: Vec::new(),
        calendars: vec![Calendar {
            id: "day".to_owned(),
            shifts: vec![day_shift()],
            extra: Vec::new(),
            closed: Vec::new(),
        }],
        cells: Vec::new(),
        crews: vec![crew("setters", 1)],
        materials: vec![steel()],
        tubes: vec![StockTube {
            id: "T-36".to_owned(),
            tube: Tube::new(Mm::new(OD), Mm::new(3.0)).expect("the bore is open"),
            material: "steel".to_owned(),
            stock_length: Mm::new(6000.0),
            other_lengths: Vec::new(),
            on_hand: None,
            price_per_metre: None,
            lead: None,
        }],
        parts: Vec::new(),
        tools: Vec::new(),
        vendors: Vec::new(),
        customers: Vec::new(),
        orders: Vec::new(),
        underway: Vec::new(),
        rules: rules(),
        step_times: step_times(),
        measured: elbowroom_shop::measured::Measured::default(),
        uncertainty: uncertainty(),
    }
}

/// A crew on the day shift.
#[must_use]
pub fn crew(id: &str, heads: u32) -> Crew {
    Crew {
        id: id.to_owned(),
        name: id.to_owned(),
        shifts: vec![(day_shift(), heads)],
        extra: Vec::new(),
        absences: Vec::new(),
    }
}

fn steel() -> Material {
    Material {
        id: "steel".to_owned(),
        name: "mild steel".to_owned(),
        yield_mpa: 250.0,
        tensile_mpa: 400.0,
        modulus_mpa: 200_000.0,
        elongation_percent: 25.0,
        density_kg_m3: 7850.0,
        source: "round numbers for tests".to_owned(),
    }
}

/// A cell on the day shift, 60 an hour running and 30 changing over, without crews and limits.
#[must_use]
pub fn cell(id: &str, work: WorkKind) -> Cell {
    Cell {
        id: id.to_owned(),
        name: id.to_owned(),
        work,
        limits: None,
        calendar: "day".to_owned(),
        closed: Vec::new(),
        run_rate: RatePerMinute::per_hour(60.0),
        setup_rate: RatePerMinute::per_hour(30.0),
        setup_crew: None,
        run_crew: None,
        mounted: Vec::new(),
        mounted_program: None,
        speed_factor: 1.0,
    }
}

/// A rotary draw cell that the setters change over.
#[must_use]
pub fn draw(id: &str) -> Cell {
    Cell { setup_crew: Some("setters".to_owned()), ..cell(id, WorkKind::Bend(Process::RotaryDraw)) }
}

/// A tool on the rack.
#[must_use]
pub fn tool(id: &str, spec: ToolSpec) -> Tool {
    Tool { id: id.to_owned(), spec, pieces: 1, state: ToolState::Rack, fits: None, wear: None, place: None }
}

/// The bend die of the trial shop's radius.
#[must_use]
pub fn bend_die(id: &str) -> Tool {
    tool(id, ToolSpec::with_radius(ToolKind::BendDie, Mm::new(OD), Mm::new(CLR)))
}

/// Clamp die, pressure die and collet, with a number at the end of their ids.
#[must_use]
pub fn holders(number: u32) -> Vec<Tool> {
    let kinds = [("CD", ToolKind::ClampDie), ("PD", ToolKind::PressureDie), ("CO", ToolKind::Collet)];
    let one = |(name, kind)| tool(&format!("{name}-{number}"), ToolSpec::for_diameter(kind, Mm::new(OD)));
    kinds.into_iter().map(one).collect()
}

/// The ring of a free-form cell.
#[must_use]
pub fn ring(id: &str) -> Tool {
    tool(id, ToolSpec::for_diameter(ToolKind::Ring, Mm::new(OD)))
}

/// A U of two bends of 90 degrees of the trial shop's radius.
#[must_use]
pub fn part(id: &str) -> Part {
    part_with_radius(id, CLR)
}

/// The same U with another radius.
///
/// # Panics
/// If the radius makes no shape.
#[must_use]
pub fn part_with_radius(id: &str, clr: f64) -> Part {
    let bend = |straight: f64| Bend {
        straight_before: Mm::new(straight),
        rotation: Deg::new(0.0),
        clr: Mm::new(clr),
        angle: Deg::new(90.0),
    };
    Part {
        id: id.to_owned(),
        name: format!("part {id}"),
        tube: "T-36".to_owned(),
        shape: Shape::from_rows(vec![bend(300.0), bend(600.0)], Mm::new(300.0)).expect("it is a U"),
        quality: Quality { max_ovality_percent: None, marks: Marks::Some, clean_inside: false },
        trim: Mm::ZERO,
        processes: None,
        deburr: true,
        end_forms: 0,
        weld: None,
        inspect: true,
        outside: Vec::new(),
        yearly_quantity: None,
        forecast: None,
    }
}

/// An order without material date and customer.
#[must_use]
pub fn order(id: &str, part: &str, quantity: u32, promised: &str) -> Order {
    Order {
        id: id.to_owned(),
        part: part.to_owned(),
        quantity,
        promised: date(promised),
        material: None,
        customer: None,
        late_cost_per_day: None,
    }
}

/// A vendor of zinc: two days, 50 an order and 1 a piece.
#[must_use]
pub fn zinc(id: &str) -> Vendor {
    Vendor {
        id: id.to_owned(),
        service: "zinc".to_owned(),
        turnaround: Minutes::days(2),
        cost_per_order: Money::new(50.0),
        cost_per_piece: Money::new(1.0),
    }
}

/// Saw, deburring bench, two draw benders, a free-form bender, washer and inspection; one bend die
/// `BD`, two sets of holders, a ring; part `P`; no orders.
#[must_use]
pub fn trial_shop() -> Shop {
    let mut shop = empty_shop();
    shop.cells = vec![
        cell("saw", WorkKind::Cut),
        cell("bench", WorkKind::Deburr),
        draw("draw-1"),
        draw("draw-2"),
        cell("free", WorkKind::Bend(Process::FreeForm)),
        cell("wash", WorkKind::Wash),
        cell("gauge", WorkKind::Inspect),
    ];
    shop.tools = vec![bend_die("BD")];
    shop.tools.extend(holders(1));
    shop.tools.extend(holders(2));
    shop.tools.push(ring("RING"));
    shop.parts = vec![part("P")];
    shop
}
