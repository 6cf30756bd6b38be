//! Any text is a moment, shown and read back as the same minute, or a week, shown and read back as
//! the same week, or neither.
#![no_main]

use elbowroom_shop::calendar::{IsoWeek, PlanClock};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let start = "2026-12-07".parse().expect("this is a date");
    for zone in [chrono_tz::Europe::Vienna, chrono_tz::Australia::Lord_Howe, chrono_tz::America::Santiago] {
        let clock = PlanClock::new(zone, start);
        if let Ok(minute) = clock.parse(text) {
            assert_eq!(clock.parse(&clock.text(minute)), Ok(minute));
        }
    }
    if let Ok(week) = text.parse::<IsoWeek>() {
        assert_eq!(week.to_string().parse(), Ok(week));
        assert!(week.next().monday() > week.monday());
    }
});
