//! The shipped rules make sense, spoiled ones are named, and the cautions are there.

mod common;

use common::rules;
use elbowroom_bending::cautions;
use elbowroom_bending::rules::Rules;
use elbowroom_units::{Mm, Seconds};

#[test]
fn shipped_rules_make_sense() {
    assert_eq!(rules().faults(), []);
}

#[test]
fn spoiled_rules_are_named() {
    type Spoil = fn(&mut Rules);
    let rows: [(&str, &str, Spoil); 8] = [
        ("processes", "rotary_draw.bare.min_bend_factor", |r| {
            r.processes.rotary_draw.bare.min_bend_factor = 0.5
        }),
        ("processes", "free_form.limits.neutral_axis_share", |r| {
            r.processes.free_form.limits.neutral_axis_share = 1.1;
        }),
        ("processes", "three_roll.flat_end", |r| r.processes.three_roll.flat_end = Mm::new(-1.0)),
        ("processes", "rotary_draw.balls", |r| r.processes.rotary_draw.balls.reverse()),
        ("times", "bending.rotary_draw.feed_speed_mm_s", |r| r.times.rotary_draw.feed_speed_mm_s = 0.0),
        ("times", "bending.free_form.arc_speed_mm_s", |r| r.times.free_form.arc_speed_mm_s = f64::NAN),
        ("times", "bending.setup.tools.ring.on", |r| r.times.setup.tools.ring.on = Seconds::new(-1.0)),
        ("tooling", "matching.clr_percent", |r| r.tooling.matching.clr_percent = 101.0),
    ];
    for (file, key, spoil) in rows {
        let mut spoiled = rules();
        spoil(&mut spoiled);
        let faults = spoiled.faults();
        assert_eq!(faults.len(), 1, "{key}: {faults:?}");
        assert_eq!((faults[0].file, faults[0].key.as_str()), (file, key));
        assert!(faults[0].to_string().starts_with(&format!("{file}.toml: {key} is ")), "{}", faults[0]);
    }
}

#[test]
fn cautions_are_there() {
    // I-01 to I-14: what each caution must speak of, and the rule behind it.
    let rows = [
        ("I-01", "advice", None),
        ("I-02", "Pinch", Some("1910.212")),
        ("I-03", "energy", Some("1910.147")),
        ("I-04", "lock out", Some("1910.147(a)(2)(ii)")),
        ("I-05", "Two-hand control", Some("OSHA letter")),
        ("I-06", "Risk assessment", Some("ISO 12100")),
        ("I-07", "own standard", Some("ISO 13851")),
        ("I-08", "licensed engineer", Some("B31.3")),
        ("I-09", "heat treatment", None),
        ("I-10", "safety data sheets", None),
        ("I-11", "Gloves", None),
        ("I-12", "Working time", None),
        ("I-13", "not a contract", None),
        ("I-14", "lifting aid", None),
    ];
    assert_eq!(rows.len(), cautions::ALL.len());
    for ((id, word, source), notice) in rows.into_iter().zip(cautions::ALL) {
        assert!(notice.text.contains(word), "{id}: {}", notice.text);
        assert_eq!(notice.source.is_some(), source.is_some(), "{id}");
        assert!(source.is_none_or(|source| notice.source.is_some_and(|s| s.contains(source))), "{id}");
    }
    assert!(cautions::ESTIMATES.len() < 200 && cautions::ADVICE.len() < 200, "short and not nagging");
}
