//! Whatever is typed: no panic, refusals that name the bend, and laws that hold for every part.

#![allow(clippy::unwrap_used, reason = "helpers of tests")]

mod common;

use common::{materials, mm, piece, rules};
use elbowroom_bending::fit::{Hand, MachineLimits, Rule, assess};
use elbowroom_bending::geometry::Point;
use elbowroom_bending::geometry::centreline::Centreline;
use elbowroom_bending::geometry::coil::Coil;
use elbowroom_bending::material::Material;
use elbowroom_bending::piece::{Marks, Quality};
use elbowroom_bending::process::Process;
use elbowroom_bending::rules::Rules;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_bending::tube::Tube;
use elbowroom_units::{Deg, Mm};
use proptest::collection::vec;
use proptest::prelude::*;
use std::sync::LazyLock;

static RULES: LazyLock<Rules> = LazyLock::new(rules);
static METALS: LazyLock<Vec<Material>> = LazyLock::new(materials);

/// Any finite number, with those that shops use the most likely.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -400.0..2000.0_f64,
        1 => Just(0.0),
        1 => any::<f64>().prop_filter("finite", |x| x.is_finite()),
        1 => prop_oneof![Just(90.0), Just(180.0), Just(360.0), Just(-0.0), Just(1e-300), Just(1e300), Just(12.7)],
    ]
}

fn any_bend() -> impl Strategy<Value = Bend> {
    (number(), number(), number(), number()).prop_map(|(straight, rotation, clr, angle)| Bend {
        straight_before: Mm::new(straight),
        rotation: Deg::new(rotation),
        clr: Mm::new(clr),
        angle: Deg::new(angle),
    })
}

/// A bend that can exist.
fn sound_bend() -> impl Strategy<Value = Bend> {
    (0.0..500.0_f64, -180.0..180.0_f64, 1.0..500.0_f64, 0.5..359.0_f64).prop_map(
        |(straight, rotation, clr, angle)| Bend {
            straight_before: mm(straight),
            rotation: Deg::new(rotation),
            clr: mm(clr),
            angle: Deg::new(angle),
        },
    )
}

fn sound_shape() -> impl Strategy<Value = Shape> {
    (vec(sound_bend(), 1..8), 0.0..500.0_f64).prop_map(|(mut bends, end)| {
        bends[0].rotation = Deg::ZERO;
        Shape::from_rows(bends, mm(end)).unwrap()
    })
}

fn any_tube() -> impl Strategy<Value = Tube> {
    (1.0..120.0_f64, 0.01..0.49_f64)
        .prop_map(|(outer, share)| Tube::new(mm(outer), mm(outer * share)).unwrap())
}

fn any_machine() -> impl Strategy<Value = MachineLimits> {
    let hand = prop_oneof![Just(Hand::Left), Just(Hand::Right), Just(Hand::Both)];
    let length = || proptest::option::of(0.0..3000.0_f64);
    (0..4_usize, hand, length(), length(), proptest::option::of(0.01..10.0_f64), 0.1..10.0_f64).prop_map(
        |(process, hand, floor, longest, moment, speed)| MachineLimits {
            hand,
            floor_clearance: floor.map(mm),
            max_length: longest.map(mm),
            max_moment_kn_m: moment,
            speed_factor: speed,
            ..MachineLimits::unlimited(Process::ALL[process])
        },
    )
}

/// The same rows, up to rounding where a rotation is normalised.
fn same(a: &Shape, b: &Shape) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(1.0);
    a.bends().len() == b.bends().len()
        && near(a.end_straight().mm(), b.end_straight().mm())
        && a.bends().iter().zip(b.bends()).all(|(a, b)| {
            near(a.straight_before.mm(), b.straight_before.mm())
                && near(a.rotation.degrees(), b.rotation.degrees())
                && near(a.clr.mm(), b.clr.mm())
                && near(a.angle.degrees(), b.angle.degrees())
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn rows_never_panic(mut bends in vec(any_bend(), 0..6), end in number(), plain_start in any::<bool>()) {
        if plain_start && let Some(first) = bends.first_mut() {
            first.rotation = Deg::ZERO;
        }
        match Shape::from_rows(bends, Mm::new(end)) {
            Ok(shape) => {
                prop_assert!(shape.developed_length() >= Mm::ZERO);
                let _ = shape.points();
                prop_assert!(same(&shape.reversed().reversed(), &shape));
                prop_assert!(same(&shape.mirrored().mirrored(), &shape));
                prop_assert!(shape.with_wide_bends_halved().points().is_ok());
                prop_assert!(!Centreline::of(&shape).polyline(mm(0.5)).is_empty());
            }
            Err(faults) => {
                prop_assert!(!faults.is_empty());
                prop_assert!(faults.iter().all(|f| !f.to_string().contains("NaN") && !f.remedy().is_empty()));
            }
        }
    }

    #[test]
    fn points_never_panic(list in vec((number(), number(), number()), 0..7), radii in vec(number(), 0..6)) {
        let points: Vec<Point> = list.into_iter().map(|(x, y, z)| Point::new(x, y, z)).collect();
        let radii: Vec<Mm> = radii.into_iter().map(Mm::new).collect();
        if let Err(faults) = Shape::from_points(&points, &radii) {
            prop_assert!(!faults.is_empty());
            prop_assert!(faults.iter().all(|fault| !fault.to_string().contains("NaN")));
        }
    }

    #[test]
    fn coils_never_panic(diameter in number(), pitch in number(), turns in number()) {
        if let Ok(coil) = Coil::new(Mm::new(diameter), Mm::new(pitch), turns.min(200.0)) {
            prop_assert!(coil.clr() > Mm::ZERO && coil.length() > Mm::ZERO);
            let _ = coil.shape(Mm::ZERO, Mm::ZERO);
        }
    }

    #[test]
    fn fits_never_panic_and_name_their_bends(
        shape in sound_shape(),
        tube in any_tube(),
        machine in any_machine(),
        ovality in proptest::option::of(0.0..20.0_f64),
        metal in 0..19_usize,
        trim in 0.0..50.0_f64,
    ) {
        let mut piece = piece(tube, &METALS[metal % METALS.len()], &shape);
        piece.quality = Quality { max_ovality_percent: ovality, marks: Marks::Light, clean_inside: true };
        piece.trim = mm(trim);
        let found = assess(&piece, &machine, &RULES);
        for refusal in &found.refusals {
            prop_assert!(refusal.bends.iter().all(|bend| (1..=shape.bends().len()).contains(bend)), "{}", refusal);
            prop_assert!(!refusal.bends.is_empty() || !of_one_bend(refusal.subject), "{}", refusal);
            prop_assert!(!refusal.to_string().contains("NaN"), "{}", refusal);
        }
        for caution in &found.cautions {
            prop_assert!(caution.bends.iter().all(|bend| (1..=shape.bends().len()).contains(bend)), "{}", caution);
        }
        prop_assert!(found.cycle.seconds() > 0.0 && found.cycle.seconds().is_finite());
        prop_assert!(found.blank >= shape.developed_length() - mm(1e-6), "a blank holds the part");
        prop_assert!(found.strokes >= 1 && found.strokes <= shape.bends().len());
        prop_assert!(!found.tooling.is_empty());
        let tight = shape.bends().iter().any(|b| b.clr <= tube.outer() / 2.0);
        prop_assert_eq!(tight, found.refusals.iter().any(|r| r.subject == Rule::RadiusInsideTube));
    }

    /// What one end can do, the other can: the answer does not depend on where drawing began.
    #[test]
    fn drawing_from_the_other_end_changes_no_answer(shape in sound_shape(), tube in any_tube(), machine in any_machine()) {
        let other = shape.reversed();
        let machine = MachineLimits { hand: Hand::Both, floor_clearance: None, ..machine };
        let (a, b) = (
            assess(&piece(tube, &METALS[0], &shape), &machine, &RULES),
            assess(&piece(tube, &METALS[0], &other), &machine, &RULES),
        );
        prop_assert_eq!(a.way, b.way);
        prop_assert!(a.blank.near(b.blank, mm(1e-6)));
        let rules = |found: &elbowroom_bending::fit::Assessment| {
            let mut rules: Vec<Rule> = found.refusals.iter().map(|r| r.subject).collect();
            rules.sort();
            rules.dedup();
            rules
        };
        prop_assert_eq!(rules(&a), rules(&b));
    }

    /// A stricter customer never makes a refused part possible.
    #[test]
    fn asking_for_less_ovality_never_helps(shape in sound_shape(), tube in any_tube(), machine in any_machine(), ask in 0.5..15.0_f64) {
        let with = |ovality| {
            let mut piece = piece(tube, &METALS[0], &shape);
            piece.quality.max_ovality_percent = ovality;
            assess(&piece, &machine, &RULES).can()
        };
        prop_assert!(!with(Some(ask)) || with(Some(ask * 1.1)));
        prop_assert!(!with(Some(ask)) || with(None));
    }
}

/// Rules that are about single bends.
fn of_one_bend(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::RadiusInsideTube
            | Rule::RadiusElastic
            | Rule::BendFactor
            | Rule::Severity
            | Rule::Angle
            | Rule::StraightBetween
            | Rule::Plane
            | Rule::Side
            | Rule::Roundness
            | Rule::RadiusTooSmall
            | Rule::RadiusTooLarge
            | Rule::SelfClash
            | Rule::TailClash
            | Rule::Floor
            | Rule::Swing
    )
}
