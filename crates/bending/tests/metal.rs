//! Wall, roundness, section, springback and stock sizes against published figures: check values
//! B-01 to B-50, C-01 to C-77, E-01 to E-49.
//!
//! Of these rows some say nothing that is computed here: C-20 to C-22 (springback of sheet), C-71
//! (figures of strip), B-47 (what is left of the diameter of aircraft tubing) and B-48 (straight
//! pipe).

mod common;

use common::{check, config, deg, material, mm, rules, tube};
use elbowroom_bending::fit::Way;
use elbowroom_bending::mechanics::{code, ovality, springback, wall};
use elbowroom_bending::section::{self, Section};
use elbowroom_units::Mm;

const TINGLEY: (&str, &str) = ("Tingley, guide to rotary draw tube bending", "read + computed");

#[test]
fn wall_by_ratio_of_lengths() {
    let (t, clr, outer) = (mm(1.651), mm(76.2), mm(38.1));
    check("B-01", TINGLEY.0, TINGLEY.1, wall::outside_wall(t, 2.0).unwrap().mm(), 1.320800, 1e-6);
    check("B-01", TINGLEY.0, TINGLEY.1, wall::thinning_percent(2.0).unwrap(), 20.0, 1e-6);
    check("B-02", "mathematics", "computed", wall::inside_wall(t, 2.0).unwrap().mm(), 2.201333, 1e-6);
    check("B-02", "mathematics", "computed", wall::thickening_percent(2.0).unwrap(), 33.333333, 1e-6);
    check(
        "B-03",
        "mathematics",
        "computed",
        wall::outside_wall_at_middle(t, clr, outer).mm(),
        1.332347,
        1e-6,
    );
    check("B-04", TINGLEY.0, TINGLEY.1, wall::elongation_percent(2.0).unwrap(), 25.0, 1e-9);
    // B-05 to B-14: thinning, thickening, elongation in percent by bend factor.
    let rows = [
        ("B-05", 1.0, [33.3333, 100.0, 50.0]),
        ("B-06", 1.5, [25.0, 50.0, 33.3333]),
        ("B-07", 2.0, [20.0, 33.3333, 25.0]),
        ("B-08", 2.5, [16.6667, 25.0, 20.0]),
        ("B-09", 3.0, [14.2857, 20.0, 16.6667]),
        ("B-10", 4.0, [11.1111, 14.2857, 12.5]),
        ("B-11", 5.0, [9.0909, 11.1111, 10.0]),
        ("B-12", 6.0, [7.6923, 9.0909, 8.3333]),
        ("B-13", 8.0, [5.8824, 6.6667, 6.25]),
        ("B-14", 10.0, [4.7619, 5.2632, 5.0]),
    ];
    for (id, factor, wanted) in rows {
        let found = [wall::thinning_percent, wall::thickening_percent, wall::elongation_percent];
        for (found, wanted) in found.into_iter().zip(wanted) {
            check(id, "mathematics", "computed", found(factor).unwrap(), wanted, 1e-4);
        }
    }
    for factor in [0.5, 0.2, 0.0, -1.0, f64::NAN] {
        assert_eq!(wall::thickening_percent(factor), None, "B-15: no bend of factor {factor}");
        assert_eq!(wall::inside_wall(t, factor), None, "B-15");
    }
}

#[test]
fn neutral_axis_moves_inwards() {
    // the length that a bend uses lies between 0.97 and 1.00 of its centreline arc (common
    // practice); the theory with its full shift stays in that range down to 2 x OD.
    let (outer, t) = (mm(38.1), mm(1.651));
    for (factor, lowest) in [(2.0, 0.97), (3.0, 0.98), (8.0, 0.99)] {
        let clr = outer * factor;
        let shift = wall::neutral_axis_shift(clr, outer, t);
        let used = wall::length_used(clr, deg(90.0), shift, 1.0, 1.0)
            / wall::length_used(clr, deg(90.0), shift, 0.0, 1.0);
        assert!((lowest..1.0).contains(&used), "A-75 [common practice]: {used} at {factor} x OD");
    }
    assert_eq!(wall::neutral_axis_shift(mm(10.0), outer, t), Mm::ZERO);
}

#[test]
fn pressure_codes() {
    let b31_1 = ("ASME B31.1 table 102.4.5, UFC 4-159-01 table 5-4", "read");
    let rows = [
        ("B-20", 6.0, 1.06),
        ("B-20", 9.0, 1.06),
        ("B-21", 5.0, 1.08),
        ("B-22", 4.0, 1.14),
        ("B-23", 3.0, 1.25),
        ("B-24", 3.5, 1.195),
        ("B-24", 4.5, 1.11),
        ("B-24", 5.5, 1.07),
    ];
    for (id, diameters, wanted) in rows {
        check(id, b31_1.0, b31_1.1, code::wall_multiple(diameters).unwrap(), wanted, 1e-9);
    }
    assert_eq!(code::wall_multiple(2.99), None, "B-25: the table says nothing below 3 diameters");
    for (factor, geometry) in [(6.0, 1.083333), (5.0, 1.10), (4.0, 1.125), (3.0, 1.166667)] {
        check("B-26", "mathematics", "computed", 1.0 + 1.0 / (2.0 * factor), geometry, 1e-6);
        assert!(
            (code::wall_multiple(factor).unwrap() - geometry).abs() > 0.01,
            "B-26: table and geometry differ"
        );
    }
    // NPS 1-1/2 schedule 40 at 6 in, 4 nominal diameters, 2.5 mm wanted after bending.
    let wanted = 2.5 * code::wall_multiple(4.0).unwrap();
    check("B-27", "ASME B31.1; mill tolerance 12.5 %", "read + computed", wanted, 2.85, 0.001);
    assert!(3.683 * 0.875 > wanted, "B-27: enough");
    let b31_3 = ("ASME B31.3-2016 para 304.2.1", "read + computed");
    for (factor, inside, outside) in [(1.5, 1.25, 0.875), (3.0, 1.1, 0.9285714), (5.0, 1.0555556, 0.9545455)]
    {
        check("B-28", b31_3.0, b31_3.1, code::inside_factor(factor).unwrap(), inside, 1e-6);
        check("B-28", b31_3.0, b31_3.1, code::outside_factor(factor), outside, 1e-6);
    }
    let pressure_wall = |i: f64| 10.0 * 60.3 / (2.0 * (138.0 / i + 10.0 * 0.4));
    check("B-29", b31_3.0, b31_3.1, pressure_wall(1.0), 2.123239, 1e-5);
    check("B-29", b31_3.0, b31_3.1, pressure_wall(code::inside_factor(3.0).unwrap()), 2.329003, 1e-5);
    check("B-29", b31_3.0, b31_3.1, pressure_wall(code::outside_factor(3.0)), 1.975554, 1e-5);
    let tema = ("TEMA RCB-2.31 as quoted", "read + computed");
    for (factor, wanted) in [(48.0 / 18.0, 1.09375), (1.5, 1.166667), (2.0, 1.125)] {
        check("B-30", tema.0, tema.1, code::u_tube_wall_factor(factor), wanted, 1e-6);
    }
}

#[test]
fn roundness() {
    let (largest, smallest, nominal) = (mm(38.6), mm(37.0), mm(38.1));
    let of_nominal = ovality::of_nominal_percent(largest, smallest, nominal);
    let of_mean = ovality::of_mean_percent(largest, smallest);
    check("B-40", "ASME B16.49-2017", "read + computed", of_nominal, 4.199475, 1e-6);
    check("B-41", "EN 13480-4 style", "memory + computed", of_mean, 4.232804, 1e-6);
    assert!(of_mean > of_nominal, "B-42: the bases differ");
    let producer = ("a U-tube producer's page", "read + computed");
    for (factor, wanted) in [(1.5, 13.3333), (2.0, 10.0), (3.0, 6.6667), (4.0, 5.0), (8.0, 5.0)] {
        check("B-46", producer.0, producer.1, ovality::u_tube_allowance_percent(factor), wanted, 1e-4);
    }
    let limit = |of: &str| {
        let found = code::OVALITY_LIMITS.iter().find(|limit| limit.holds_for.contains(of)).unwrap();
        found.percent
    };
    check("B-31", "class rules excerpt", "read", code::SHIP_COPPER_BEND_FACTOR, 3.0, 0.0);
    check("B-43", "UFC 4-159-01", "read", limit("ferrous pipe"), 8.0, 0.0);
    check("B-44", "ASME B31.3 para 332.2.1", "memory", limit("internal pressure"), 8.0, 0.0);
    check("B-44", "ASME B31.3 para 332.2.1", "memory", limit("external pressure"), 3.0, 0.0);
    check("B-45", "TEMA RCB-2.31 as quoted", "read", limit("U-tubes"), 10.0, 0.0);
    check("B-50", "a question-and-answer page", "common practice", limit("pig"), 5.0, 0.0);
    // B-47 (aircraft tubing, diameter left) and B-48 (straight pipe) are not limits of these bends.
    // The estimate for bare rotary draw at wall factor 20 is that allowance down to its floor.
    let rules = rules();
    let bare = Way::Bare.forming(&rules.processes);
    for factor in [1.5, 2.0, 3.0, 4.0] {
        let allowed = ovality::u_tube_allowance_percent(factor);
        check("B-46", producer.0, producer.1, ovality::expected_percent(bare, factor, 20.0), allowed, 1e-9);
    }
    // More support makes rounder bends, thinner walls less round ones.
    let at =
        |way: Way, wall_factor| ovality::expected_percent(way.forming(&rules.processes), 2.0, wall_factor);
    assert!(at(Way::Ball, 20.0) < at(Way::Plug, 20.0) && at(Way::Plug, 20.0) < at(Way::Bare, 20.0));
    assert!(at(Way::Plug, 30.0) > at(Way::Plug, 20.0));
}

#[test]
fn sections() {
    // C-01: the formulas; C-02 to C-07: outside diameter, wall; A, I, S, Z, Z/S.
    let rows = [
        ("C-02", 25.4, 1.651, [123.1806, 8726.43, 687.121, 932.689, 1.357387]),
        ("C-03", 38.1, 1.651, [189.0526, 31459.66, 1651.425, 2194.902, 1.329096]),
        ("C-04", 38.1, 3.048, [335.6430, 51937.95, 2726.402, 3754.342, 1.377032]),
        ("C-05", 50.8, 2.1082, [322.4909, 95753.04, 3769.805, 5001.437, 1.326710]),
        ("C-06", 48.26, 3.683, [515.7775, 128987.80, 5345.537, 7335.175, 1.372205]),
        ("C-07", 60.325, 3.9116, [693.2447, 277104.86, 9187.065, 12468.506, 1.357181]),
    ];
    for (id, outer, t, wanted) in rows {
        let s = Section::of(&tube(outer, t));
        let found = [s.area_mm2, s.inertia_mm4, s.elastic_mm3, s.plastic_mm3, s.shape_factor()];
        for (found, wanted) in found.into_iter().zip(wanted) {
            check(id, "mathematics", "computed", found / wanted, 1.0, 1e-6);
        }
    }
    let inch = Section::of(&tube(1.900, 0.145));
    let handbooks = ("handbooks print 0.310 and 0.326", "computed + memory");
    check("C-08", handbooks.0, handbooks.1, inch.inertia_mm4, 0.3099, 5e-4);
    check("C-08", handbooks.0, handbooks.1, inch.elastic_mm3, 0.3262, 5e-4);
    check("C-08", handbooks.0, handbooks.1, inch.plastic_mm3, 0.4476, 5e-4);
    let thin = Section::of(&tube(100.0, 1e-4)).shape_factor();
    let bar = Section::of(&tube(100.0, 50.0 - 1e-4)).shape_factor();
    check("C-09", "mathematics", "computed", thin, 1.273240, 2e-6);
    check("C-09", "mathematics", "computed", bar, 1.697653, 1e-6);
    let moment = section::plastic_moment_kn_m(&tube(38.1, 1.651), &material("steel-dom-1020"));
    check("C-10", "mathematics", "computed", moment, 0.908690, 1e-6);
}

#[test]
fn springs_back() {
    // C-20 to C-22 are the formula for sheet, which this program does not use; C-30 and C-31 the
    // formulas behind C-40 to C-43.
    for (s, wanted) in [(0.05, 0.06363544), (0.1, 0.12711143), (0.5, 0.60899778), (1.0, 1.0), (3.0, 1.0)] {
        check("C-32", "derived", "computed", springback::share_of_ratio(s), wanted, 1e-8);
    }
    let high = 4.0 * 0.1 / std::f64::consts::PI / springback::share_of_ratio(0.1) - 1.0;
    check("C-33", "derived", "computed", high, 0.001672, 1e-6);
    let loaded = springback::loaded_angle(deg(90.0), 0.02).unwrap();
    check("C-34", "beam theory", "computed", loaded.degrees(), 91.836735, 1e-6);
    check(
        "C-35",
        "beam theory",
        "computed",
        springback::released_radius(mm(76.2), 0.02).unwrap().mm(),
        77.755102,
        1e-6,
    );
    assert_eq!(springback::loaded_angle(deg(90.0), 1.0), None);
    assert_eq!(springback::released_radius(mm(76.2), 1.0), None);
    let rows = [
        ("C-40", "steel-dom-1020", [0.0168587, 1.51729, 0.0169125, 1.52212], 6135.3),
        ("C-41", "stainless-304", [0.0086507, 0.77856, 0.0086785, 0.78106], 11956.6),
        ("C-42", "aluminium-6061-t6", [0.0284874, 2.56387, 0.0285766, 2.57190], 3630.8),
        ("C-43", "copper-nickel-c70600", [0.0059112, 0.53201, 0.0059302, 0.53372], 17497.8),
    ];
    for (id, name, wanted, largest) in rows {
        let (t, metal, clr) = (tube(25.4, 1.651), material(name), mm(76.2));
        let (plastic, any) = (springback::plastic_share(&t, &metal, clr), springback::share(&t, &metal, clr));
        for (found, wanted) in [plastic, plastic * 90.0, any, any * 90.0].into_iter().zip(wanted) {
            check(id, "formulas C-31, C-32", "computed", found, wanted, 1e-5);
        }
        let found = springback::largest_radius(&t, &metal).mm();
        check(id, "formulas C-31, C-32", "computed", found, largest, 0.05);
    }
    // C-44: measured springback is larger than theory, 1 to 5 degrees on 90 for steel.
    let factor = rules().processes.rotary_draw.limits.springback_factor;
    let steel = springback::share(&tube(25.4, 1.651), &material("steel-dom-1020"), mm(76.2)) * factor * 90.0;
    assert!((1.0..=5.0).contains(&steel), "C-44 [common practice]: {steel}");
}

#[test]
fn material_table() {
    // id; yield and tensile in ksi as printed; elongation in percent; status.
    let rows = [
        ("C-60", "steel-dom-1020", 60.0, 70.0, 5.0, "ASTM A513 as reproduced", "read"),
        ("C-61", "steel-dom-1020-sr", 55.0, 65.0, 10.0, "ASTM A513 as reproduced", "read"),
        ("C-62", "steel-welded-1020", 38.0, 52.0, 12.0, "ASTM A513 as reproduced", "read"),
        ("C-63", "steel-normalized-1020", 35.0, 50.0, 25.0, "ASTM A513 as reproduced", "read"),
        ("C-64", "steel-dom-1026", 70.0, 80.0, 5.0, "ASTM A513 as reproduced", "read"),
        ("C-65", "stainless-304", 29.732736, 74.694434, 35.0, "table headed A269, in MPa", "read"),
        ("C-66", "aluminium-6061-t6", 35.0, 38.0, 8.0, "ASTM B221-2014 as reproduced", "read"),
        ("C-67", "aluminium-6061-t6-heavy", 35.0, 38.0, 10.0, "ASTM B221-2014 as reproduced", "read"),
        ("C-68", "aluminium-6061-t6-drawn", 35.0, 42.0, 8.0, "ASTM B241 as reproduced", "read"),
        ("C-72", "copper-nickel-c70600", 13.0, 38.0, 30.0, "ASTM B466", "memory"),
    ];
    let mpa = 6.894757;
    for (id, name, yielding, tensile, elongation, source, status) in rows {
        let metal = material(name);
        check(id, source, status, metal.yield_mpa, yielding * mpa, 0.5);
        check(id, source, status, metal.tensile_mpa, tensile * mpa, 0.6);
        check(id, source, status, metal.elongation_percent, elongation, 0.0);
    }
    let moduli = [
        ("C-70", "copper-nickel-c70600", 18_000.0, 0.01, "a maker's data page", "read"),
        ("C-73", "copper-nickel-c71500", 22_000.0, 0.01, "a maker's data page", "read"),
        ("C-74", "steel-dom-1020", 29_000.0, 0.02, "AISC specification", "memory"),
        ("C-75", "stainless-304", 28_000.0, 0.02, "handbook value", "memory"),
        ("C-76", "aluminium-6061-t6", 10_000.0, 0.01, "Aluminum Association", "memory"),
    ];
    for (id, name, ksi, share, source, status) in moduli {
        check(id, source, status, material(name).modulus_mpa / (ksi * mpa), 1.0, share);
    }
    let densities = [
        ("steel-dom-1020", 7850.0),
        ("stainless-304", 8000.0),
        ("aluminium-6061-t6", 2700.0),
        ("copper-nickel-c70600", 8940.0),
    ];
    for (name, density) in densities {
        check("C-77", "handbooks", "memory", material(name).density_kg_m3 / density, 1.0, 0.01);
    }
    // No metal yields above its tensile strength, and every figure says where it comes from.
    for metal in common::materials() {
        assert!(metal.yield_mpa < metal.tensile_mpa && !metal.source.is_empty(), "{}", metal.id);
    }
}

#[test]
fn pipe_sizes() {
    // NPS, outside diameter, walls 5S, 10S, 40, 80 in inch; kg/m of schedule 40 and 80 in steel;
    // outside diameter and the two walls as metric tables print them.
    type Row = (&'static str, &'static str, f64, [Option<f64>; 4], [f64; 2], [f64; 3]);
    let (no, five) = (None, Some(0.065));
    let rows: [Row; 9] = [
        (
            "E-01",
            "1/8",
            0.405,
            [no, Some(0.049), Some(0.068), Some(0.095)],
            [0.3646, 0.4686],
            [10.3, 1.73, 2.41],
        ),
        (
            "E-02",
            "1/4",
            0.540,
            [no, Some(0.065), Some(0.088), Some(0.119)],
            [0.6329, 0.7971],
            [13.7, 2.24, 3.02],
        ),
        (
            "E-03",
            "3/8",
            0.675,
            [no, Some(0.065), Some(0.091), Some(0.126)],
            [0.8456, 1.1006],
            [17.1, 2.31, 3.20],
        ),
        (
            "E-04",
            "1/2",
            0.840,
            [five, Some(0.083), Some(0.109), Some(0.147)],
            [1.2677, 1.6208],
            [21.3, 2.77, 3.73],
        ),
        (
            "E-05",
            "3/4",
            1.050,
            [five, Some(0.083), Some(0.113), Some(0.154)],
            [1.6846, 2.1954],
            [26.7, 2.87, 3.91],
        ),
        (
            "E-06",
            "1",
            1.315,
            [five, Some(0.109), Some(0.133), Some(0.179)],
            [2.5012, 3.2353],
            [33.4, 3.38, 4.55],
        ),
        (
            "E-07",
            "1-1/4",
            1.660,
            [five, Some(0.109), Some(0.140), Some(0.191)],
            [3.3858, 4.4642],
            [42.2, 3.56, 4.85],
        ),
        (
            "E-08",
            "1-1/2",
            1.900,
            [five, Some(0.109), Some(0.145), Some(0.200)],
            [4.0489, 5.4096],
            [48.3, 3.68, 5.08],
        ),
        (
            "E-09",
            "2",
            2.375,
            [five, Some(0.109), Some(0.154), Some(0.218)],
            [5.4420, 7.4816],
            [60.3, 3.91, 5.54],
        ),
    ];
    let stock = common::stock();
    let steel = material("steel-dom-1020");
    for (id, nps, od, walls, mass, metric) in rows {
        let pipe = stock.pipes.iter().find(|pipe| pipe.nps == nps).unwrap();
        check(id, "public tables of ASME B36.10M and B36.19M", "read", pipe.od.mm(), od * 25.4, 1e-9);
        let found = [pipe.schedule_5s, pipe.schedule_10s, pipe.schedule_40, pipe.schedule_80];
        for (found, wanted) in found.into_iter().zip(walls) {
            assert_eq!(found.is_some(), wanted.is_some(), "{id}");
            if let (Some(found), Some(wanted)) = (found, wanted) {
                check(id, "public tables", "read", found.mm(), wanted * 25.4, 1e-9);
            }
        }
        check(id, "metric tables", "read", pipe.od.mm(), metric[0], 0.05);
        for (i, schedule) in [pipe.schedule_40, pipe.schedule_80].into_iter().enumerate() {
            let schedule = schedule.unwrap();
            check(id, "metric tables", "read", schedule.mm(), metric[i + 1], 0.01);
            let per_metre = section::kg_per_metre(&tube(pipe.od.mm(), schedule.mm()), &steel);
            check(id, "mathematics", "computed", per_metre, mass[i], 1e-4);
        }
    }
}

#[test]
fn wall_gauges_and_bars() {
    let rows = [
        ("E-20", 10, 3.4036),
        ("E-21", 11, 3.0480),
        ("E-22", 12, 2.7686),
        ("E-23", 13, 2.4130),
        ("E-24", 14, 2.1082),
        ("E-25", 15, 1.8288),
        ("E-26", 16, 1.6510),
        ("E-27", 17, 1.4732),
        ("E-28", 18, 1.2446),
        ("E-29", 19, 1.0668),
        ("E-30", 20, 0.8890),
        ("E-31", 21, 0.8128),
        ("E-32", 22, 0.7112),
    ];
    let stock = common::stock();
    assert_eq!(stock.gauges.len(), rows.len());
    for (id, number, wanted) in rows {
        let gauge = stock.gauges.iter().find(|gauge| gauge.number == number).unwrap();
        check(id, "three public tables of BWG", "read", gauge.wall.mm(), wanted, 1e-9);
    }
    // E-49: gauge systems differ; 16 is Birmingham's 0.065 in here.
    let lengths: Vec<f64> = config("stock.toml")["bar_lengths"]
        .as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_str().unwrap().parse::<Mm>().unwrap().metres())
        .collect();
    for usual in [6.096, 7.315, 6.0, 3.658] {
        assert!(lengths.contains(&usual), "E-48 [common practice]: {usual} m");
    }
}

#[test]
fn mass() {
    let steel = material("steel-dom-1020");
    let exact = std::f64::consts::PI * 7.85e-3;
    check("E-40", "unit weight formulas", "read + computed", exact, 0.0246615, 1e-7);
    for (id, outer, t, wanted) in
        [("E-41", 25.4, 1.651, 0.966968), ("E-42", 38.1, 1.651, 1.484063), ("E-43", 50.0, 3.0, 3.477272)]
    {
        let found = section::kg_per_metre(&tube(outer, t), &steel);
        check(id, "mathematics", "computed", found, wanted, 1e-6);
        check("E-40", "unit weight formulas", "read + computed", found, exact * (outer - t) * t, 1e-9);
    }
    let pounds_per_foot = section::kg_per_metre(&tube(60.325, 3.9116), &steel) / 0.45359237 * 0.3048;
    check("E-44", "10.69 (D - t) t, B36.10M", "memory + computed", pounds_per_foot, 3.6563, 0.005);
    check("E-45", "public tables", "computed", pounds_per_foot, 3.66, 0.01);
    let per_metre = |name: &str| section::kg_per_metre(&tube(25.4, 1.651), &material(name));
    let ratios =
        [("aluminium-6061-t6", 0.343949), ("stainless-304", 1.019108), ("copper-nickel-c70600", 1.138854)];
    for (name, wanted) in ratios {
        check(
            "E-46",
            "densities C-77",
            "computed",
            per_metre(name) / per_metre("steel-dom-1020"),
            wanted,
            1e-6,
        );
    }
}

#[test]
fn sizes_that_nobody_rolls() {
    let stock = common::stock();
    // E-47: pipe of nominal 1-1/2 is 48.26 mm, tube of 1-1/2 is 38.1 mm; both are standard.
    for (outer, t) in [(48.26, 3.683), (48.3, 3.68), (38.1, 1.651), (25.0, 1.5), (60.3, 3.91)] {
        assert!(stock.is_standard(&tube(outer, t)), "E-47: {outer} x {t} is rolled");
    }
    for (outer, t) in [(38.1, 1.4), (37.3, 1.651), (48.3, 3.0)] {
        assert!(!stock.is_standard(&tube(outer, t)), "{outer} x {t} is not rolled");
    }
}
