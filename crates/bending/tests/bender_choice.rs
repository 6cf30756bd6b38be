//! What an experienced bender would choose, for typical parts: which way, and why.
//!
//! Each row names the processes that the shop has and the tools that are on its rack; the choice is
//! the cheapest for the quantity at 70 an hour with tools at the shipped default prices. All rows:
//! common practice, no source.

mod common;

use common::{material, mm, piece, rules, shape, tube};
use elbowroom_bending::fit::{MachineLimits, Study, Way, Worth, choose};
use elbowroom_bending::process::Process::{self, FreeForm, RotaryDraw, ThreeRoll, TwinHeadCompression};
use elbowroom_bending::tooling::ToolKind;
use elbowroom_units::Money;

struct Part {
    what: &'static str,
    /// Outside diameter and wall.
    tube: (f64, f64),
    material: &'static str,
    /// Straight before, rotation, radius, angle.
    rows: Vec<(f64, f64, f64, f64)>,
    end: f64,
    ovality: Option<f64>,
    quantity: u32,
    shop: &'static [Process],
    /// Processes whose tools are on the rack.
    rack: &'static [Process],
    wanted: Option<Way>,
    why: &'static str,
}

const ALL: &[Process] = &Process::ALL;

/// A planar part of equal bends to one side.
fn equal(count: usize, straight: f64, clr: f64, angle: f64) -> Vec<(f64, f64, f64, f64)> {
    vec![(straight, 0.0, clr, angle); count]
}

fn typical_parts() -> Vec<Part> {
    let steel = "steel-welded-1020";
    let part = Part {
        what: "",
        tube: (25.4, 1.651),
        material: steel,
        rows: Vec::new(),
        end: 200.0,
        ovality: None,
        quantity: 100,
        shop: ALL,
        rack: ALL,
        wanted: None,
        why: "",
    };
    vec![
        Part {
            what: "furniture leg, symmetrical, two bends of 3 x OD, 2000 pieces",
            rows: equal(2, 200.0, 76.2, 90.0),
            quantity: 2000,
            wanted: Some(Way::Compression),
            why: "two bends in one stroke, no mandrel, nothing to wash",
            ..part_like(&part)
        },
        Part {
            what: "the same, 4 pieces, dies only for free-form",
            rows: equal(2, 200.0, 76.2, 90.0),
            quantity: 4,
            rack: &[FreeForm],
            wanted: Some(Way::FreeForm),
            why: "dies would cost more than the order",
            ..part_like(&part)
        },
        Part {
            what: "bed rail, roundness 5 %, 2.5 x OD",
            rows: equal(2, 300.0, 63.5, 90.0),
            ovality: Some(5.0),
            wanted: Some(Way::Plug),
            why: "compression is not round enough, free-form not tight enough",
            ..part_like(&part)
        },
        Part {
            what: "exhaust pipe, thin, 1.5 x OD",
            tube: (50.8, 1.2446),
            material: "stainless-304",
            rows: equal(2, 200.0, 76.2, 90.0),
            ovality: Some(5.0),
            wanted: Some(Way::Ball),
            why: "tight and thin: ball mandrel and wiper",
            ..part_like(&part)
        },
        Part {
            what: "aircraft-style 1 x OD elbow",
            tube: (38.1, 0.889),
            material: "stainless-304",
            rows: equal(1, 200.0, 38.1, 90.0),
            wanted: Some(Way::Ball),
            why: "1 x OD is the tightest that balls and wiper make",
            ..part_like(&part)
        },
        Part {
            what: "greenhouse hoop, 30 x OD, shop without free-form",
            tube: (33.7, 2.0),
            rows: vec![(200.0, 0.0, 1000.0, 175.0)],
            shop: &[RotaryDraw, TwinHeadCompression, ThreeRoll],
            rack: &[ThreeRoll],
            wanted: Some(Way::Rolls),
            why: "large radius: rolls, no die of a metre",
            ..part_like(&part)
        },
        Part {
            what: "greenhouse hoop, 30 x OD, 500 pieces, free-form and rolls ready",
            tube: (33.7, 2.0),
            rows: vec![(200.0, 0.0, 1000.0, 175.0)],
            quantity: 500,
            rack: &[ThreeRoll, FreeForm],
            wanted: Some(Way::FreeForm),
            why: "one pass instead of three",
            ..part_like(&part)
        },
        Part {
            what: "bicycle rack with two radii and no straight between",
            rows: vec![(300.0, 0.0, 76.2, 90.0), (0.0, 0.0, 127.0, 60.0)],
            ovality: Some(10.0),
            wanted: Some(Way::FreeForm),
            why: "no clamp can hold a straight of nothing",
            ..part_like(&part)
        },
        Part {
            what: "handrail with five different radii, 10 pieces",
            tube: (42.4, 2.6),
            rows: vec![
                (300.0, 0.0, 150.0, 45.0),
                (200.0, 90.0, 180.0, 30.0),
                (200.0, 0.0, 210.0, 60.0),
                (200.0, -90.0, 240.0, 45.0),
                (200.0, 0.0, 300.0, 20.0),
            ],
            quantity: 10,
            rack: &[],
            wanted: Some(Way::FreeForm),
            why: "one ring instead of five dies; drawing takes two levels at most",
            ..part_like(&part)
        },
        Part {
            what: "hydraulic line, thick wall, 3 x OD, five planes",
            tube: (16.0, 2.0),
            material: "steel-e235-n",
            rows: vec![
                (80.0, 0.0, 48.0, 90.0),
                (90.0, 45.0, 48.0, 60.0),
                (70.0, -90.0, 48.0, 45.0),
                (120.0, 120.0, 48.0, 90.0),
                (60.0, 30.0, 48.0, 30.0),
            ],
            ovality: Some(6.0),
            quantity: 30,
            shop: &[RotaryDraw, TwinHeadCompression],
            wanted: Some(Way::Bare),
            why: "thick and wide enough without a mandrel; not planar, so no twin head",
            ..part_like(&part)
        },
        Part {
            what: "the same hydraulic line at 2 x OD",
            tube: (16.0, 2.0),
            material: "steel-e235-n",
            rows: vec![(80.0, 0.0, 32.0, 90.0), (90.0, 45.0, 32.0, 60.0)],
            ovality: Some(6.0),
            quantity: 30,
            wanted: Some(Way::Plug),
            why: "too tight for bare bending; a plug is enough for so thick a wall",
            ..part_like(&part)
        },
        Part {
            what: "brewery pipe, stainless, 2 x OD, roundness 4 %",
            tube: (38.1, 1.651),
            material: "stainless-304",
            rows: vec![(250.0, 0.0, 76.2, 90.0), (300.0, 90.0, 76.2, 90.0)],
            ovality: Some(4.0),
            wanted: Some(Way::Ball),
            why: "hygienic pipe must be round",
            ..part_like(&part)
        },
        Part {
            what: "cooling coil of 10 x OD, five turns",
            tube: (12.0, 1.0),
            material: "copper-c12200-annealed",
            rows: coil_rows(120.0, 15.0, 5.0),
            rack: &[ThreeRoll],
            shop: &[RotaryDraw, TwinHeadCompression, ThreeRoll],
            wanted: Some(Way::Rolls),
            why: "a coil of one radius: one setting of the rolls",
            ..part_like(&part)
        },
        Part {
            what: "roll cage tube, 4 x OD, 2 in, heavy wall, 6 pieces, die on the rack",
            tube: (50.8, 3.4),
            material: "steel-dom-1020",
            rows: vec![(400.0, 0.0, 203.2, 60.0), (800.0, 0.0, 203.2, 60.0)],
            quantity: 6,
            rack: &[RotaryDraw],
            wanted: Some(Way::Bare),
            why: "wall factor 14.9 at 4 x OD needs no mandrel, and the die is there",
            ..part_like(&part)
        },
        Part {
            what: "large frame tube of 76 mm, 2 x OD",
            tube: (76.1, 3.2),
            rows: equal(2, 400.0, 152.2, 90.0),
            wanted: Some(Way::Ball),
            why: "too large for a twin head, too tight for free-form",
            ..part_like(&part)
        },
        Part {
            what: "push handle with an S, 3 x OD, 1000 pieces, not symmetrical",
            rows: vec![(150.0, 0.0, 76.2, 45.0), (90.0, 180.0, 76.2, 60.0), (200.0, 180.0, 76.2, 90.0)],
            quantity: 1000,
            shop: &[RotaryDraw, TwinHeadCompression],
            wanted: Some(Way::Compression),
            why: "planar and dry: no washing",
            ..part_like(&part)
        },
        Part {
            what: "short straight of 30 mm at 2 x OD",
            rows: vec![(200.0, 0.0, 50.8, 90.0), (30.0, 0.0, 50.8, 90.0)],
            ovality: Some(8.0),
            wanted: None,
            why: "nothing holds 1.2 x OD, and free-form is not that tight",
            ..part_like(&part)
        },
        Part {
            what: "aluminium frame, 3.5 x OD, wall factor 12, 50 pieces, bend dies there",
            tube: (25.4, 2.108),
            material: "aluminium-6061-t6-drawn",
            rows: vec![(150.0, 0.0, 88.9, 90.0), (120.0, 60.0, 88.9, 45.0)],
            quantity: 50,
            rack: &[RotaryDraw],
            wanted: Some(Way::Bare),
            why: "dies are there, no mandrel needed, nothing to buy",
            ..part_like(&part)
        },
        Part {
            what: "titanium duct, very thin, 2 x OD",
            tube: (50.8, 0.889),
            material: "titanium-grade-2",
            rows: equal(1, 300.0, 101.6, 45.0),
            ovality: Some(5.0),
            wanted: Some(Way::Ball),
            why: "wall factor 57: many balls and a wiper",
            ..part_like(&part)
        },
        Part {
            what: "wide arc of 8 x OD, heavy wall, only rolls and twin head with tools",
            tube: (38.1, 3.048),
            rows: vec![(300.0, 0.0, 304.8, 90.0)],
            ovality: Some(10.0),
            quantity: 200,
            rack: &[ThreeRoll, TwinHeadCompression],
            wanted: Some(Way::Compression),
            why: "one short stroke against three passes",
            ..part_like(&part)
        },
        Part {
            what: "lawn chair frame, symmetrical, four bends, 5000 pieces",
            tube: (22.0, 1.5),
            rows: vec![
                (150.0, 0.0, 70.0, 60.0),
                (100.0, 180.0, 70.0, 60.0),
                (300.0, 0.0, 70.0, 60.0),
                (100.0, 180.0, 70.0, 60.0),
            ],
            end: 150.0,
            quantity: 5000,
            wanted: Some(Way::Compression),
            why: "four bends in two strokes",
            ..part_like(&part)
        },
        Part {
            what: "one-off sculpture arc, 5 x OD, nothing on the rack but rings",
            tube: (30.0, 2.0),
            rows: vec![(200.0, 0.0, 150.0, 120.0)],
            quantity: 1,
            rack: &[FreeForm],
            wanted: Some(Way::FreeForm),
            why: "no die for a single piece",
            ..part_like(&part)
        },
    ]
}

fn part_like(part: &Part) -> Part {
    Part { rows: part.rows.clone(), ..*part }
}

fn coil_rows(diameter: f64, pitch: f64, turns: f64) -> Vec<(f64, f64, f64, f64)> {
    let coil = elbowroom_bending::geometry::coil::Coil::new(mm(diameter * 2.0), mm(pitch), turns)
        .expect("the coil can be");
    let shape = coil.shape(mm(200.0), mm(200.0)).expect("the coil can be bent");
    let row = |b: &elbowroom_bending::shape::Bend| {
        (b.straight_before.mm(), b.rotation.degrees(), b.clr.mm(), b.angle.degrees())
    };
    shape.bends().iter().map(row).collect()
}

#[test]
fn the_way_a_bender_would_choose() {
    let rules = rules();
    let parts = typical_parts();
    assert!(parts.len() >= 20);
    for part in &parts {
        let metal = material(part.material);
        let shape = shape(&part.rows, part.end);
        let mut piece = piece(tube(part.tube.0, part.tube.1), &metal, &shape);
        piece.quality.max_ovality_percent = part.ovality;
        let study = Study::new(&piece, &rules);
        let ways: Vec<_> = part.shop.iter().map(|&p| study.on(&MachineLimits::unlimited(p))).collect();
        let price = |tool: &elbowroom_bending::tooling::ToolSpec| {
            let there = part.rack.contains(&process_of(tool.kind));
            if there { Money::ZERO } else { rules.tooling.default.of(tool.kind).price }
        };
        let choice = choose(&ways, part.quantity, &rules, &Worth { hour: Money::new(70.0), tool: &price });
        let found = choice.as_ref().map(|choice| ways[choice.index].way);
        let refusals: Vec<String> =
            ways.iter().flat_map(|w| w.refusals.iter().map(move |r| format!("{}: {r}", w.way))).collect();
        assert_eq!(found, part.wanted, "{} ({}): {choice:?} {refusals:#?}", part.what, part.why);
        if let Some(choice) = choice {
            assert!(choice.why.starts_with(ways[choice.index].way.name()), "{}", choice.why);
        } else {
            assert!(ways.iter().all(|way| !way.refusals.is_empty()), "every way says why not");
        }
    }
}

fn process_of(kind: ToolKind) -> Process {
    match kind {
        ToolKind::CompressionDie => TwinHeadCompression,
        ToolKind::RollSet => ThreeRoll,
        ToolKind::Ring => FreeForm,
        _ => RotaryDraw,
    }
}
