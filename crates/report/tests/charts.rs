//! Charts by their geometry: what is where, not which pixel is which.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

mod common;

use common::{Wish, plan, sure};
use elbowroom_planner::plan::Plan;
use elbowroom_report::charts::chance::{self, DayBars};
use elbowroom_report::charts::load;
use elbowroom_report::charts::machine_time::{overview, week, week_rows, weeks};
use elbowroom_report::picture::{Frame, Picture};
use elbowroom_units::Minutes;
use std::collections::BTreeMap;

const WIDTHS: [u32; 4] = [360, 640, 1200, 2400];

fn wishes() -> Vec<Wish> {
    let mut wishes = Vec::new();
    for (cells, orders, weeks) in [(1, 1, 1), (3, 5, 1), (3, 150, 2), (16, 5, 1), (16, 150, 3)] {
        for long_names in [false, true] {
            wishes.push(Wish { long_names, ..Wish::new(cells, orders, weeks) });
        }
    }
    wishes
}

fn pictures(plan: &Plan, width: u32) -> Vec<Picture> {
    let mut pictures: Vec<Picture> = weeks(plan).into_iter().map(|w| week(plan, w, width)).collect();
    pictures.push(overview(plan, width));
    pictures.push(load::picture(plan, width));
    pictures
}

/// No words outside the picture, none over other words.
fn check_words(picture: &Picture) {
    let texts: Vec<(Frame, &str)> = picture.texts().map(|text| (text.frame(), text.words.as_str())).collect();
    assert!(!texts.is_empty());
    for (i, (frame, words)) in texts.iter().enumerate() {
        let inside = frame.left >= 0.0 && frame.top >= 0.0;
        let inside = inside && frame.right <= picture.width && frame.bottom <= picture.height;
        assert!(inside, "`{words}` leaves `{}`, {} wide: {frame:?}", picture.title, picture.width);
        for (other, other_words) in &texts[i + 1..] {
            let apart = !frame.overlaps(other, 0.5);
            assert!(
                apart,
                "`{words}` and `{other_words}` overlap in `{}`, {} wide",
                picture.title, picture.width
            );
        }
    }
}

#[test]
fn a_panel_for_every_order_and_no_words_over_others() {
    for wish in wishes() {
        let plan = sure(plan(wish));
        for width in WIDTHS {
            let picture = chance::picture(&plan, width).unwrap();
            check_words(&picture);
            let kept = picture.texts().filter(|text| text.words.starts_with("kept in")).count();
            assert_eq!(kept, plan.orders.len().min(400));
            check_words(&chance::at_risk(&plan, width, 12).unwrap());
        }
    }
}

#[test]
fn bars_before_the_line_are_the_share_that_keeps_the_promise() {
    let plan = sure(plan(Wish::new(3, 30, 2)));
    for (order, chance) in plan.orders.iter().zip(&plan.confidence.as_ref().unwrap().orders) {
        let bars = DayBars::new(order, chance, &plan.clock);
        let sum = |shares: &[f64]| shares.iter().sum::<f64>();
        assert!((sum(&bars.shares) - 1.0).abs() < 1e-9);
        assert!((sum(&bars.shares[..bars.kept]) - chance.kept).abs() < 1e-9, "{bars:?}");
        assert!(
            bars.shares.len() <= 17
                && bars.first <= plan.clock.date(order.due)
                && plan.clock.date(order.due) < bars.last()
        );
    }
}

#[test]
fn words_never_overlap_and_never_leave_the_picture() {
    for wish in wishes() {
        let plan = plan(wish);
        for width in WIDTHS {
            pictures(&plan, width).iter().for_each(check_words);
        }
    }
}

#[test]
fn bars_of_a_cell_never_overlap_and_stay_on_the_axis() {
    for wish in wishes() {
        let plan = plan(wish);
        for week in weeks(&plan) {
            for row in week_rows(&plan, week, 1200) {
                for pair in row.bars.windows(2) {
                    assert!(pair[0].whole.1 <= pair[1].whole.0 + 1e-9, "{pair:?}");
                }
                let on_axis = |x: f64| (row.frame.left..=row.frame.right).contains(&x);
                assert!(row.bars.iter().all(|bar| on_axis(bar.whole.0) && on_axis(bar.whole.1)));
            }
        }
    }
}

#[test]
fn every_task_is_drawn_once_in_each_week_that_it_touches() {
    let plan = plan(Wish::new(16, 150, 2));
    let mut drawn: BTreeMap<(String, usize), u32> = BTreeMap::new();
    for week in weeks(&plan) {
        for row in week_rows(&plan, week, 1200) {
            row.bars.iter().for_each(|bar| *drawn.entry((row.cell.id.clone(), bar.task)).or_default() += 1);
        }
    }
    let mut expected = BTreeMap::new();
    for cell in &plan.cells {
        for (i, task) in cell.tasks.iter().enumerate() {
            let touches = |week: &elbowroom_shop::calendar::IsoWeek| {
                let (from, to) =
                    (plan.clock.start_of(week.monday()), plan.clock.start_of(week.next().monday()));
                task.setup_start < to && task.end > from
            };
            let count = weeks(&plan).iter().filter(|week| touches(week)).count() as u32;
            if count > 0 {
                expected.insert((cell.id.clone(), i), count);
            }
        }
    }
    assert_eq!(drawn, expected);
}

#[test]
fn late_orders_and_work_under_way_are_marked_and_only_they() {
    let plan = plan(Wish::new(3, 150, 1));
    for row in week_rows(&plan, weeks(&plan)[0], 1200) {
        for bar in &row.bars {
            let task = &row.cell.tasks[bar.task];
            let order = plan.orders.iter().find(|order| order.id == task.order).unwrap();
            assert_eq!((bar.late, bar.under_way), (order.is_late(), task.under_way));
        }
    }
}

/// Europe put its clocks back at 01:00 UTC on Sunday 2026-10-25 (directive 2000/84/EC), so that
/// noon of that day comes 13 hours after its midnight, and the week has 169 hours.
#[test]
fn bars_keep_to_local_time_over_a_change_of_the_clocks() {
    let mut plan = plan(Wish { start: "2026-10-19", ..Wish::new(1, 2, 1) });
    let clock = plan.clock;
    let at = |text: &str| clock.parse(text).unwrap();
    let cell = &mut plan.cells[0];
    cell.open = vec![(at("2026-10-19T00:00"), at("2026-10-27T00:00"))];
    cell.tasks.truncate(1);
    let task = &mut cell.tasks[0];
    (task.setup_start, task.run_start, task.end) =
        (at("2026-10-25T12:00"), at("2026-10-25T12:00"), at("2026-10-25T18:00"));

    let row = &week_rows(&plan, weeks(&plan)[0], 1200)[0];
    let x = |hours: f64| row.frame.left + row.frame.width() * hours / 169.0;
    let (left, right) = row.bars[0].whole;
    assert!((left - x(6.0 * 24.0 + 13.0)).abs() < 1e-6, "{left}");
    assert!((right - x(6.0 * 24.0 + 19.0)).abs() < 1e-6, "{right}");
}

#[test]
fn a_longer_task_is_drawn_longer_and_starts_in_order() {
    let plan = plan(Wish::new(16, 150, 1));
    let rows = week_rows(&plan, weeks(&plan)[0], 1200);
    let all: Vec<_> =
        rows.iter().flat_map(|row| row.bars.iter().map(|bar| (&row.cell.tasks[bar.task], bar))).collect();
    for (task, bar) in &all {
        for (other, other_bar) in &all {
            if task.setup_start < other.setup_start {
                assert!(bar.whole.0 <= other_bar.whole.0);
            }
        }
        if let (Some(setup), Some(run)) = (bar.setup, bar.run) {
            assert!(setup.1 <= run.0 + 1e-9, "setup ends before the run begins");
        }
        assert_eq!(bar.setup.is_some(), task.changeover > Minutes::ZERO);
    }
}

#[test]
fn every_cell_has_its_load_in_every_week() {
    let plan = plan(Wish::new(4, 20, 3));
    let picture = load::picture(&plan, 1200);
    let figures = picture.texts().filter(|text| text.words.contains(" h (")).count();
    assert_eq!(figures, 4 * 3);
}

#[test]
fn an_overfull_cell_says_by_how_much() {
    let mut plan = plan(Wish::new(3, 5, 1));
    plan.loads[0].run = plan.loads[0].open + Minutes::new(150);
    plan.loads[0].setup = Minutes::new(30);
    let picture = load::picture(&plan, 1200);
    assert!(picture.texts().any(|text| text.words.ends_with("3.0 h too many")));
    check_words(&picture);
}
