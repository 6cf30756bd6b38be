//! Indicators against ISO 22400-2:2014.
//!
//! Definitions as read in the open ontology of the standard (hsu-aut,
//! IndustrialStandard-ODP-ISO22400-2); the worked case is computed from them by hand.

use elbowroom_lookback::indicators::Elements;

fn worked() -> Elements {
    Elements {
        planned_busy: 480.0,
        production: 300.0,
        setup: 60.0,
        delay: 45.0,
        order_execution: 640.0,
        planned_production: 1.8 * 150.0,
        produced: 150.0,
        untimed: 0.0,
        good: 144.0,
        scrap: 4.0,
        rework: 2.0,
    }
}

#[test]
fn the_worked_case() {
    let case = worked();
    assert_eq!((case.processing(), case.busy()), (360.0, 405.0));
    let table = [
        ("allocation efficiency", case.allocation_efficiency(), 0.843_750),
        ("utilization efficiency", case.utilization_efficiency(), 0.740_741),
        ("availability", case.availability(), 0.625),
        ("effectiveness", case.effectiveness(), 0.9),
        ("quality ratio", case.quality_ratio(), 0.96),
        ("overall equipment effectiveness", case.overall_effectiveness(), 0.54),
        ("net equipment effectiveness", case.net_effectiveness(), 0.648),
        ("setup ratio", case.setup_ratio(), 0.166_667),
        ("technical efficiency", case.technical_efficiency(), 0.869_565),
        ("throughput rate", case.throughput_rate(), 0.234_375),
        ("allocation ratio", case.allocation_ratio(), 0.632_812),
        ("production process ratio", case.production_process_ratio(), 0.468_75),
        ("scrap ratio", case.scrap_ratio(), 0.026_667),
        ("rework ratio", case.rework_ratio(), 0.013_333),
    ];
    for (name, found, expected) in table {
        let found = found.expect(name);
        assert!((found - expected).abs() < 1e-6, "{name}: {found}, expected {expected}");
    }
}

/// Identities of the definitions (mathematics).
#[test]
fn the_identities() {
    let case = worked();
    let both = case.allocation_efficiency().zip(case.utilization_efficiency()).expect("there is time");
    assert!((both.0 * both.1 - case.availability().expect("there is time")).abs() < 1e-9);
    let whole = 1.8 * 144.0 / 480.0;
    assert!((case.overall_effectiveness().expect("there is time") - whole).abs() < 1e-12);
}

/// Nothing to divide by: no value, neither 0 nor infinity (convention).
#[test]
fn nothing_has_no_share() {
    let nothing = Elements::default();
    for share in [
        nothing.allocation_efficiency(),
        nothing.utilization_efficiency(),
        nothing.availability(),
        nothing.effectiveness(),
        nothing.quality_ratio(),
        nothing.overall_effectiveness(),
        nothing.net_effectiveness(),
        nothing.setup_ratio(),
        nothing.technical_efficiency(),
        nothing.throughput_rate(),
        nothing.allocation_ratio(),
        nothing.production_process_ratio(),
        nothing.scrap_ratio(),
        nothing.rework_ratio(),
    ] {
        assert_eq!(share, None);
    }
}
