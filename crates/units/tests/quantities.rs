//! What people write, and what the types make of it.

use elbowroom_units::{Deg, Minute, Minutes, Mm, Money, RatePerMinute, Seconds};
use proptest::prelude::*;

#[test]
fn lengths_are_read_with_their_unit() {
    for (text, mm) in [
        ("38.1 mm", 38.1),
        ("38.1mm", 38.1),
        ("1.5 in", 38.1),
        (" 6.1 m ", 6100.0),
        ("2 cm", 20.0),
        ("20 ft", 6096.0), // the usual 20 ft bar: 6096 mm (international foot)
        ("-3 mm", -3.0),
        ("1e1 mm", 10.0),
    ] {
        assert!((text.parse::<Mm>().unwrap().mm() - mm).abs() < 1e-9, "{text}");
    }
}

#[test]
fn what_is_not_a_length_is_refused_with_the_reason() {
    for (text, reason) in [
        ("38.1", "has no unit"),
        ("38,1 mm", "decimal comma"),
        ("mm", "does not begin with a number"),
        ("38.1 furlong", "unknown unit"),
        ("", "does not begin with a number"),
        ("nan mm", "does not begin with a number"),
        ("1e300 m", "out of range"),
        ("1e9999 mm", "out of range"),
    ] {
        let error = text.parse::<Mm>().unwrap_err().to_string();
        assert!(error.contains(reason), "{text}: {error}");
        assert!(error.contains("38.1 mm"), "an example is given: {error}");
    }
}

#[test]
fn durations_are_whole_minutes_rounded_up() {
    for (text, minutes) in [
        ("25 min", 25),
        ("1.5 h", 90),
        ("90 s", 2),
        ("2 days", 2880),
        ("12 weeks", 120_960),
        ("0.1 h", 6), // 0.1 x 60 is not exactly 6 in binary
    ] {
        assert_eq!(text.parse::<Minutes>().unwrap(), Minutes::new(minutes), "{text}");
    }
    assert_eq!(Seconds::new(61.0).round_up_to_minutes(), Minutes::new(2));
    assert_eq!(Seconds::new(0.1 * 3.0 * 200.0).round_up_to_minutes(), Minutes::new(1));
}

#[test]
fn quantities_are_shown_as_people_write_them() {
    assert_eq!(Mm::new(38.10).to_string(), "38.1 mm");
    assert_eq!(Mm::new(-0.0001).to_string(), "0 mm");
    assert_eq!(Deg::new(90.0).to_string(), "90°");
    assert_eq!(Minutes::new(45).to_string(), "45 min");
    assert_eq!(Minutes::new(125).to_string(), "2 h 05 min");
    assert_eq!(Minutes::days(28).to_string(), "28 days");
    assert_eq!(Minutes::days(1).to_string(), "1 day");
    assert_eq!(Minutes::new(-1500).to_string(), "-1 d 01 h");
    assert_eq!(Money::new(12_345.6).to_string(), "12 345.60");
    assert_eq!(Money::new(-0.001).to_string(), "0.00");
    assert_eq!(Money::new(-1234.565).to_string(), "-1 234.57"); // half away from zero
}

#[test]
fn moments_and_lengths_of_time_do_not_mix() {
    let (start, end) = (Minute::new(100), Minute::new(160));
    assert_eq!(end - start, Minutes::new(60));
    assert_eq!(end.until(start), Minutes::ZERO);
    let cost = RatePerMinute::per_hour(90.0) * (end - start);
    assert!(cost.same_as(Money::new(90.0)));
}

proptest! {
    #[test]
    fn a_length_shown_is_read_back(tenths in -10_000_000i64..10_000_000) {
        let length = Mm::new(tenths as f64 / 1000.0);
        let again: Mm = length.to_string().parse().unwrap();
        prop_assert!(again.near(length, Mm::new(1e-9)));
    }

    #[test]
    fn no_text_makes_a_reader_panic(text in ".{0,40}") {
        let _ = text.parse::<Mm>();
        let _ = text.parse::<Deg>();
        let _ = text.parse::<Minutes>();
        let _ = text.parse::<Seconds>();
    }
}
