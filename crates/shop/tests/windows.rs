//! Working time of cells and crews, and adding it.
#![allow(clippy::unwrap_used, reason = "a test whose own table cannot be read should stop")]

use chrono::{Datelike, NaiveDate, NaiveTime, Weekday};
use elbowroom_shop::calendar::{
    Calendar, DatedSpan, Holiday, PlanClock, Shift, add_working_days, add_working_time, crew_capacity,
    open_windows, working_minutes,
};
use elbowroom_shop::crew::Crew;
use elbowroom_units::{Minute, Minutes};
use proptest::prelude::*;

const WEEKDAYS: [Weekday; 5] = [Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri];
const EVERY_DAY: [Weekday; 7] =
    [Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri, Weekday::Sat, Weekday::Sun];

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn time(text: &str) -> NaiveTime {
    NaiveTime::parse_from_str(text, "%H:%M").unwrap()
}

fn shift(days: &[Weekday], from: &str, to: &str, breaks: &[(&str, &str)]) -> Shift {
    let breaks = breaks.iter().map(|(from, to)| (time(from), time(to))).collect();
    Shift { days: days.to_vec(), from: time(from), to: time(to), breaks }
}

fn calendar(shifts: Vec<Shift>) -> Calendar {
    Calendar { id: "c".into(), shifts, extra: Vec::new(), closed: Vec::new() }
}

fn span(day: &str, from: &str, to: &str) -> DatedSpan {
    DatedSpan { date: date(day), times: Some((time(from), time(to))), reason: String::new() }
}

fn whole_day(day: &str) -> DatedSpan {
    DatedSpan { date: date(day), times: None, reason: String::new() }
}

fn holiday(day: &str) -> Holiday {
    Holiday { date: date(day), name: "a holiday".into() }
}

fn vienna(start: &str) -> PlanClock {
    PlanClock::new(chrono_tz::Europe::Vienna, date(start))
}

/// Windows as local text, `Mon 06:00-14:00`.
fn shown(windows: &[(Minute, Minute)], clock: &PlanClock) -> Vec<String> {
    let text = |(from, to): &(Minute, Minute)| {
        format!("{}-{}", clock.local(*from).format("%d %H:%M"), clock.local(*to).format("%H:%M"))
    };
    windows.iter().map(text).collect()
}

const WEEK: Minute = Minute::new(7 * 1440);

#[test]
fn breaks_are_taken_out_and_touching_shifts_are_joined() {
    let clock = vienna("2026-12-07");
    let calendar = calendar(vec![
        shift(&[Weekday::Mon], "06:00", "14:00", &[("09:00", "09:15"), ("12:00", "12:30")]),
        shift(&[Weekday::Mon], "14:00", "22:00", &[("18:00", "18:30")]),
    ]);
    let windows = open_windows(&calendar, &[], &[], &clock, WEEK);
    assert_eq!(
        shown(&windows, &clock),
        ["07 06:00-09:00", "07 09:15-12:00", "07 12:30-18:00", "07 18:30-22:00"]
    );
}

#[test]
fn a_night_shift_reaches_into_the_plan_and_its_breaks_lie_after_midnight() {
    let clock = vienna("2026-12-07");
    let calendar =
        calendar(vec![shift(&[Weekday::Sun, Weekday::Mon], "22:00", "06:00", &[("02:00", "02:30")])]);
    let windows = open_windows(&calendar, &[], &[], &clock, Minute::new(2 * 1440));
    assert_eq!(
        shown(&windows, &clock),
        ["07 00:00-02:00", "07 02:30-06:00", "07 22:00-02:00", "08 02:30-06:00"]
    );
}

#[test]
fn round_the_clock_is_one_window() {
    let clock = vienna("2026-12-07");
    let calendar = calendar(vec![shift(&EVERY_DAY, "00:00", "00:00", &[])]);
    assert_eq!(open_windows(&calendar, &[], &[], &clock, WEEK), [(Minute::ZERO, WEEK)]);
}

/// IANA time zone data, computed: the night of 2026-10-24 in Vienna has 9 hours from 22:00 to
/// 06:00, that of 2027-03-27 has 7.
#[test]
fn night_shifts_are_longer_or_shorter_when_the_clocks_change() {
    let nights = calendar(vec![shift(&[Weekday::Sat], "22:00", "06:00", &[])]);
    for (start, hours) in [("2026-10-19", 9), ("2027-03-22", 7), ("2027-03-15", 8)] {
        let clock = vienna(start);
        let windows = open_windows(&nights, &[], &[], &clock, WEEK);
        assert_eq!(working_minutes(&windows, Minute::ZERO, WEEK), Minutes::new(hours * 60), "{start}");
    }
}

#[test]
fn holidays_close_shifts_overtime_opens_and_closures_win() {
    let clock = vienna("2026-12-07");
    let mut calendar = calendar(vec![shift(&WEEKDAYS, "06:00", "14:00", &[])]);
    calendar.extra = vec![span("2026-12-08", "07:00", "11:00"), span("2026-12-12", "06:00", "12:00")];
    calendar.closed = vec![whole_day("2026-12-10"), span("2026-12-12", "08:00", "09:00")];
    let closed = [span("2026-12-09", "06:00", "10:00")];
    let windows = open_windows(&calendar, &closed, &[holiday("2026-12-08")], &clock, WEEK);
    assert_eq!(
        shown(&windows, &clock),
        [
            "07 06:00-14:00",
            "08 07:00-11:00",
            "09 10:00-14:00",
            "11 06:00-14:00",
            "12 06:00-08:00",
            "12 09:00-12:00"
        ]
    );
}

#[test]
fn a_night_shift_is_cut_at_the_holidays_midnights() {
    let clock = vienna("2026-12-07");
    let calendar = calendar(vec![shift(&WEEKDAYS, "22:00", "06:00", &[])]);
    let windows = open_windows(&calendar, &[], &[holiday("2026-12-09")], &clock, Minute::new(4 * 1440));
    assert_eq!(
        shown(&windows, &clock),
        ["07 22:00-06:00", "08 22:00-00:00", "10 00:00-06:00", "10 22:00-00:00"]
    );
}

#[test]
fn heads_of_overlapping_shifts_add_up_and_absences_take_them_away() {
    let clock = vienna("2026-12-07");
    let crew = Crew {
        id: "setters".into(),
        name: String::new(),
        shifts: vec![
            (shift(&WEEKDAYS, "06:00", "14:00", &[]), 2),
            (shift(&WEEKDAYS, "12:00", "18:00", &[]), 1),
        ],
        extra: vec![(span("2026-12-08", "08:00", "10:00"), 3)],
        absences: vec![(date("2026-12-09"), 1), (date("2026-12-10"), 9)],
    };
    let capacity = crew_capacity(&crew, &[holiday("2026-12-08")], &clock, Minute::new(4 * 1440));
    let at = |day: i64, hour: i64| Minute::new(day * 1440 + hour * 60);
    assert_eq!(
        capacity,
        [
            (at(0, 6), at(0, 12), 2),
            (at(0, 12), at(0, 14), 3),
            (at(0, 14), at(0, 18), 1),
            (at(1, 8), at(1, 10), 3),
            (at(2, 6), at(2, 12), 1),
            (at(2, 12), at(2, 14), 2),
        ]
    );
}

/// The shop of the worked examples: 06:00-10:00 and 10:30-14:30 Monday to Friday, closed on 24 and
/// 25 December 2026 and 1 January 2027.
fn worked_example() -> (PlanClock, Vec<(Minute, Minute)>) {
    let clock = vienna("2026-12-14");
    let calendar = calendar(vec![shift(&WEEKDAYS, "06:00", "14:30", &[("10:00", "10:30")])]);
    let holidays = ["2026-12-24", "2026-12-25", "2027-01-01"].map(holiday);
    let windows = open_windows(&calendar, &[], &holidays, &clock, Minute::new(28 * 1440));
    (clock, windows)
}

/// Mathematics; computed.
#[test]
fn adding_working_time() {
    let (clock, windows) = worked_example();
    for (from, hours, expected) in [
        ("2026-12-18T13:00", 20, "2026-12-23T08:30"),
        ("2026-12-23T13:00", 20, "2026-12-30T08:30"),
        ("2026-12-30T09:00", 16, "2027-01-04T09:00"),
    ] {
        let from = clock.parse(from).unwrap();
        let work = Minutes::new(hours * 60);
        let end = add_working_time(&windows, from, work);
        assert_eq!(end, clock.parse(expected).ok(), "{expected}");
        assert_eq!(working_minutes(&windows, from, end.unwrap()), work);
    }
}

/// Mathematics; computed: 10 working days, and 28 calendar days, from 2026-12-18.
#[test]
fn lead_times_in_working_and_calendar_days() {
    let closed = ["2026-12-24", "2026-12-25", "2027-01-01"].map(date);
    let working = |day: NaiveDate| WEEKDAYS.contains(&day.weekday()) && !closed.contains(&day);
    let order = date("2026-12-18");
    assert_eq!(add_working_days(order, 10, working), Some(date("2027-01-06")));
    assert_eq!(order + chrono::Days::new(28), date("2027-01-15"));
    assert_eq!(add_working_days(order, 0, working), Some(order));
    assert_eq!(add_working_days(order, 1, |_| false), None);
}

#[test]
fn work_that_does_not_fit_has_no_end() {
    let windows = [(Minute::new(10), Minute::new(20)), (Minute::new(30), Minute::new(40))];
    for (from, work, expected) in [
        (0, 20, Some(40)),
        (0, 21, None),
        (15, 5, Some(20)),
        (15, 6, Some(31)),
        (25, 0, Some(25)),
        (40, 1, None),
    ] {
        let end = add_working_time(&windows, Minute::new(from), Minutes::new(work));
        assert_eq!(end, expected.map(Minute::new), "{work} from {from}");
    }
}

fn any_time() -> impl Strategy<Value = NaiveTime> {
    (0..24u32, 0..4u32).prop_map(|(h, q)| NaiveTime::from_hms_opt(h, q * 15, 0).unwrap())
}

fn any_shift() -> impl Strategy<Value = Shift> {
    let days = proptest::sample::subsequence(EVERY_DAY.to_vec(), 0..=7);
    let breaks = prop::collection::vec((any_time(), any_time()), 0..3);
    (days, any_time(), any_time(), breaks).prop_map(|(days, from, to, breaks)| Shift {
        days,
        from,
        to,
        breaks,
    })
}

fn any_span() -> impl Strategy<Value = DatedSpan> {
    (0..20u64, prop::option::of((any_time(), any_time()))).prop_map(|(day, times)| DatedSpan {
        date: date("2027-03-20") + chrono::Days::new(day),
        times,
        reason: String::new(),
    })
}

proptest! {
    /// Whatever the calendar: windows are sorted, disjoint and apart, inside the plan, and lie
    /// outside every closure.
    #[test]
    fn windows_are_in_order_and_outside_closures(
        shifts in prop::collection::vec(any_shift(), 0..4),
        extra in prop::collection::vec(any_span(), 0..3),
        closed in prop::collection::vec(any_span(), 0..4),
        zone in proptest::sample::select(chrono_tz::TZ_VARIANTS.to_vec()),
    ) {
        let clock = PlanClock::new(zone, date("2027-03-22"));
        let until = Minute::new(14 * 1440);
        let calendar = Calendar { id: "c".into(), shifts, extra, closed: Vec::new() };
        let windows = open_windows(&calendar, &closed, &[], &clock, until);
        prop_assert!(windows.iter().all(|(from, to)| from < to && *from >= Minute::ZERO && *to <= until));
        prop_assert!(windows.windows(2).all(|pair| pair[0].1 < pair[1].0));
        for span in &closed {
            let from = span.times.map_or_else(|| clock.start_of(span.date), |(from, _)| clock.minute(span.date, from));
            prop_assert!(!windows.iter().any(|(a, b)| *a <= from && from < *b));
        }
    }
}
