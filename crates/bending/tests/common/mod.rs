//! What the checks share: the shipped rules and materials, and one way to compare a number.

#![allow(dead_code, clippy::unwrap_used, reason = "each test file uses a part of it, none of it ships")]

use elbowroom_bending::material::Material;
use elbowroom_bending::piece::{Marks, Piece, Quality};
use elbowroom_bending::rules::Rules;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_bending::stock::{Gauge, Pipe, StockSizes};
use elbowroom_bending::tube::Tube;
use elbowroom_files::{RawFolder, read_raw};
use elbowroom_shop::Shop;
use elbowroom_units::{Deg, Mm};
use std::path::PathBuf;
use toml::{Table, Value};

/// One check value: its number in the list, what it says, where it comes from, how sure that is.
#[track_caller]
pub fn check(id: &str, source: &str, status: &str, found: f64, wanted: f64, tolerance: f64) {
    assert!(
        (found - wanted).abs() <= tolerance,
        "{id} [{source}; {status}]: found {found}, wanted {wanted} within {tolerance}"
    );
}

pub fn mm(length: f64) -> Mm {
    Mm::new(length)
}

pub fn deg(angle: f64) -> Deg {
    Deg::new(angle)
}

pub fn tube(outer: f64, wall: f64) -> Tube {
    Tube::new(mm(outer), mm(wall)).unwrap()
}

/// A shape from (straight before, rotation, radius, angle) and the last straight.
pub fn shape(rows: &[(f64, f64, f64, f64)], end: f64) -> Shape {
    Shape::from_rows(rows.iter().map(|&row| bend(row)).collect(), mm(end)).unwrap()
}

pub fn bend((straight, rotation, clr, angle): (f64, f64, f64, f64)) -> Bend {
    Bend { straight_before: mm(straight), rotation: deg(rotation), clr: mm(clr), angle: deg(angle) }
}

pub fn piece<'a>(tube: Tube, material: &'a Material, shape: &'a Shape) -> Piece<'a> {
    let quality = Quality { max_ovality_percent: None, marks: Marks::Some, clean_inside: false };
    Piece { tube, material, shape, quality, trim: Mm::ZERO }
}

pub fn config(name: &str) -> Table {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../config").join(name);
    std::fs::read_to_string(path).unwrap().parse().unwrap()
}

/// A shop without anything of its own, so that only what ships with the program is in it.
fn bare_shop() -> Shop {
    let terms = "name = \"Bare\"\ncurrency = \"EUR\"\ntime_zone = \"Etc/UTC\"\nship_by = \"16:00\"\n\
                 receive_by = \"07:00\"\ntransfer = \"15 min\"\ndefault_late_cost_per_day = 60.0\n";
    let loaded = read_raw(RawFolder::from_files([("shop.toml", terms), ("orders.toml", "")]), None);
    loaded.shop.unwrap_or_else(|| panic!("the shipped files cannot be read: {:?}", loaded.findings))
}

/// The materials as shipped.
pub fn materials() -> Vec<Material> {
    bare_shop().materials
}

/// One of them.
pub fn material(id: &str) -> Material {
    materials().into_iter().find(|material| material.id == id).unwrap()
}

/// The rules as shipped.
pub fn rules() -> Rules {
    bare_shop().rules
}

#[derive(Clone, Copy)]
struct At<'a>(&'a Value);

impl<'a> At<'a> {
    fn list(self, key: &str) -> Vec<Self> {
        self.0[key].as_array().unwrap().iter().map(Self).collect()
    }

    fn text(self, key: &str) -> &'a str {
        self.0[key].as_str().unwrap()
    }

    fn count(self, key: &str) -> u32 {
        self.0[key].as_integer().unwrap().try_into().unwrap()
    }

    fn length(self, key: &str) -> Mm {
        self.text(key).parse().unwrap()
    }

    fn maybe_length(self, key: &str) -> Option<Mm> {
        self.0.get(key).map(|_| self.length(key))
    }
}

/// The standard sizes as shipped.
pub fn stock() -> StockSizes {
    let table = Value::Table(config("stock.toml"));
    let at = At(&table);
    let lengths =
        |key: &str| at.list(key).into_iter().map(|at| at.0.as_str().unwrap().parse().unwrap()).collect();
    let pipe = |at: At| Pipe {
        nps: at.text("nps").to_owned(),
        od: at.length("od"),
        schedule_5s: at.maybe_length("schedule_5s"),
        schedule_10s: at.maybe_length("schedule_10s"),
        schedule_40: at.maybe_length("schedule_40"),
        schedule_80: at.maybe_length("schedule_80"),
    };
    StockSizes {
        bar_lengths: lengths("bar_lengths"),
        pipes: at.list("pipe").into_iter().map(pipe).collect(),
        gauges: at
            .list("gauge")
            .into_iter()
            .map(|at| Gauge { number: at.count("number"), wall: at.length("wall") })
            .collect(),
        inch_ods: lengths("inch_ods"),
        metric_ods: lengths("metric_ods"),
        metric_walls: lengths("metric_walls"),
    }
}
