//! `uncertainty.toml`, on top of the shipped file.

use crate::code;
use crate::finding::Problem;
use crate::keyed::values::{clock, minutes, not_negative, number, within};
use crate::keyed::{Node, Table};
use elbowroom_shop::uncertainty::{LateArrival, Overtime, Uncertainty, WorkSpread};

/// A standard deviation of more than twice the mean is no spread but a mistake.
const MOST_SPREAD: f64 = 2.0;
/// A lot of which more is spoilt is not made this way.
const MOST_SCRAP: f64 = 50.0;

/// `uncertainty.toml`.
pub(crate) fn read(root: &Table<'_>) -> Option<Uncertainty> {
    let bend = root.sub("bend", bend);
    let (cut, deburr, wash) = (root.sub("cut", spread), root.sub("deburr", spread), root.sub("wash", spread));
    let (end_form, weld) = (root.sub("end_form", spread), root.sub("weld", spread));
    let inspect = root.sub("inspect", spread);
    let (outside_cv, repair_cv) = (root.req("outside_cv", cv), root.req("repair_cv", cv));
    let (material, tools) = (root.sub("material", arrival), root.sub("tools", arrival));
    let turn_lost_after = root.req("turn_lost_after", minutes);
    let at_risk_below_percent = root.req("at_risk_below_percent", within(0.0, 100.0, number));
    let overtime = root.sub("overtime", overtime);
    root.finish();
    Some(Uncertainty {
        bend: bend?,
        cut: cut?,
        deburr: deburr?,
        wash: wash?,
        end_form: end_form?,
        weld: weld?,
        inspect: inspect?,
        outside_cv: outside_cv?,
        repair_cv: repair_cv?,
        material: material?,
        tools: tools?,
        turn_lost_after: turn_lost_after?,
        at_risk_below_percent: at_risk_below_percent?,
        overtime: overtime?,
    })
}

/// In the order of the processes.
fn bend(table: &Table<'_>) -> Option<[WorkSpread; 4]> {
    let keys = ["rotary_draw", "twin_head_compression", "three_roll", "free_form"];
    let [draw, compression, roll, free_form] = keys.map(|key| table.sub(key, spread));
    Some([draw?, compression?, roll?, free_form?])
}

fn cv(node: Node<'_>) -> Option<f64> {
    within(0.0, MOST_SPREAD, number)(node)
}

fn spread(table: &Table<'_>) -> Option<WorkSpread> {
    let (run_cv, setup_cv) = (table.req("run_cv", cv), table.req("setup_cv", cv));
    let scrap_percent = table.req("scrap_percent", within(0.0, MOST_SCRAP, number));
    let (between_failures, repair) = (table.req("between_failures", minutes), table.req("repair", minutes));
    Some(WorkSpread {
        run_cv: run_cv?,
        setup_cv: setup_cv?,
        scrap_percent: scrap_percent?,
        between_failures: between_failures?,
        repair: repair?,
    })
}

fn arrival(table: &Table<'_>) -> Option<LateArrival> {
    let late_percent = table.req("late_percent", within(0.0, 100.0, number));
    let late_by = table.req("late_by", minutes);
    Some(LateArrival { late_percent: late_percent?, late_by: late_by? })
}

fn overtime(table: &Table<'_>) -> Option<Overtime> {
    let (from, to) = (table.req("from", clock), table.req("to", clock));
    let premium_percent = table.req("premium_percent", not_negative(number));
    let (from, to) = (from?, to?);
    if from >= to {
        let message = "`to` must be after `from`: overtime is tried on one day";
        table.fault_at("to", Problem::new(code::OUT_OF_RANGE, message).hint("such as 06:00 to 12:00"));
        return None;
    }
    Some(Overtime { from, to, premium_percent: premium_percent? })
}
