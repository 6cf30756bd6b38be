//! `processes.toml`.

use super::{factor, gap, percent, speed};
use crate::keyed::Table;
use crate::keyed::values::{angle, count_within, flag, length, not_negative, number, positive, within, word};
use crate::shop::words::MARKS;
use elbowroom_bending::rules::{
    BallStep, CommonRules, Forming, FreeFormRules, Limits, ProcessRules, RotaryDrawRules, ThreeRollRules,
    TwinHeadRules, WiperRules,
};
use std::collections::BTreeMap;

/// What each process can do.
pub(crate) fn read(root: &Table<'_>) -> Option<ProcessRules> {
    let common = root.sub("common", common);
    let rotary_draw = root.sub("rotary_draw", rotary_draw);
    let twin_head_compression = root.sub("twin_head_compression", twin_head);
    let three_roll = root.sub("three_roll", three_roll);
    let free_form = root.sub("free_form", free_form);
    root.finish();
    Some(ProcessRules {
        common: common?,
        rotary_draw: rotary_draw?,
        twin_head_compression: twin_head_compression?,
        three_roll: three_roll?,
        free_form: free_form?,
    })
}

fn common(table: &Table<'_>) -> Option<CommonRules> {
    let same_length = gap(table, "same_length");
    let same_angle = table.req("same_angle", not_negative(angle));
    let self_clearance = gap(table, "self_clearance");
    let simple_difficulty = factor(table, "simple_difficulty");
    let thin_outside_percent = percent(table, "thin_outside_percent");
    Some(CommonRules {
        same_length: same_length?,
        same_angle: same_angle?,
        self_clearance: self_clearance?,
        simple_difficulty: simple_difficulty?,
        thin_outside_percent: thin_outside_percent?,
    })
}

fn limits(table: &Table<'_>) -> Option<Limits> {
    let max_od = table.opt("max_od", positive(length));
    let max_angle = table.opt("max_angle", positive(angle));
    let max_radii = table.opt("max_radii", count_within(1, 1_000));
    let straight_between_od = factor(table, "straight_between_od");
    let comfortable_straight_od = factor(table, "comfortable_straight_od");
    let first_straight_od = factor(table, "first_straight_od");
    let last_straight_od = factor(table, "last_straight_od");
    let preferred_bend_factor = factor(table, "preferred_bend_factor");
    let marks = table.req("marks", word(&MARKS));
    let marks_on_short_straight = table.req("marks_on_short_straight", word(&MARKS));
    let moment_factor = speed(table, "moment_factor");
    let springback_factor = factor(table, "springback_factor");
    let arc_factor = table.req("arc_factor", within(0.5, 1.5, number));
    let arc_factor_by_material = sub_map(table, "arc_factor_by_material");
    let neutral_axis_share = table.req("neutral_axis_share", within(0.0, 1.0, number));
    let floor_clearance = gap(table, "floor_clearance");
    let swing_clearance = gap(table, "swing_clearance");
    Some(Limits {
        max_od: max_od?,
        max_angle: max_angle?,
        max_radii: max_radii?,
        straight_between_od: straight_between_od?,
        comfortable_straight_od: comfortable_straight_od?,
        first_straight_od: first_straight_od?,
        last_straight_od: last_straight_od?,
        preferred_bend_factor: preferred_bend_factor?,
        marks: marks?,
        marks_on_short_straight: marks_on_short_straight?,
        moment_factor: moment_factor?,
        springback_factor: springback_factor?,
        arc_factor: arc_factor?,
        arc_factor_by_material: arc_factor_by_material?,
        neutral_axis_share: neutral_axis_share?,
        floor_clearance: floor_clearance?,
        swing_clearance: swing_clearance?,
    })
}

/// A table whose keys are material ids.
fn sub_map(table: &Table<'_>, key: &'static str) -> Option<BTreeMap<String, f64>> {
    let inner = table.table(key)?;
    let read = within(0.5, 1.5, number);
    let mut map = BTreeMap::new();
    for id in inner.free_keys() {
        map.insert(id.to_owned(), inner.free_node(id).and_then(&read)?);
    }
    Some(map)
}

fn forming(table: &Table<'_>) -> Option<Forming> {
    let min_bend_factor = factor(table, "min_bend_factor");
    let max_wall_factor = table.opt("max_wall_factor", positive(number));
    let max_severity = table.opt("max_severity", positive(number));
    let finest_ovality_percent = percent(table, "finest_ovality_percent");
    let ovality_percent_at_1d = percent(table, "ovality_percent_at_1d");
    let ovality_wall_exponent = factor(table, "ovality_wall_exponent");
    let ovality_floor_percent = percent(table, "ovality_floor_percent");
    let wrinkling_watch_severity = factor(table, "wrinkling_watch_severity");
    let wrinkling_high_severity = factor(table, "wrinkling_high_severity");
    let lubricated_inside = table.req("lubricated_inside", flag);
    Some(Forming {
        min_bend_factor: min_bend_factor?,
        max_wall_factor: max_wall_factor?,
        max_severity: max_severity?,
        finest_ovality_percent: finest_ovality_percent?,
        ovality_percent_at_1d: ovality_percent_at_1d?,
        ovality_wall_exponent: ovality_wall_exponent?,
        ovality_floor_percent: ovality_floor_percent?,
        wrinkling_watch_severity: wrinkling_watch_severity?,
        wrinkling_high_severity: wrinkling_high_severity?,
        lubricated_inside: lubricated_inside?,
    })
}

fn rotary_draw(table: &Table<'_>) -> Option<RotaryDrawRules> {
    let limits = table.sub("limits", limits);
    let (bare, plug, ball) =
        (table.sub("bare", forming), table.sub("plug", forming), table.sub("ball", forming));
    let wiper = table.sub("wiper", wiper);
    let balls = balls(table);
    let tight_bend_factor = factor(table, "tight_bend_factor");
    let mandrel_doubt_wall_factor = factor(table, "mandrel_doubt_wall_factor");
    Some(RotaryDrawRules {
        limits: limits?,
        bare: bare?,
        plug: plug?,
        ball: ball?,
        wiper: wiper?,
        balls: balls?,
        tight_bend_factor: tight_bend_factor?,
        mandrel_doubt_wall_factor: mandrel_doubt_wall_factor?,
    })
}

fn wiper(table: &Table<'_>) -> Option<WiperRules> {
    let max_bend_factor = factor(table, "max_bend_factor");
    let thin_wall_factor = factor(table, "thin_wall_factor");
    let thin_max_bend_factor = factor(table, "thin_max_bend_factor");
    Some(WiperRules {
        max_bend_factor: max_bend_factor?,
        thin_wall_factor: thin_wall_factor?,
        thin_max_bend_factor: thin_max_bend_factor?,
    })
}

/// The list of the upper file alone, lowest wall factor first.
fn balls(table: &Table<'_>) -> Option<Vec<BallStep>> {
    table.req("balls", |node| {
        let steps: Option<Vec<BallStep>> = node
            .items()?
            .enumerate()
            .map(|(at, item)| item.table(format!("{}, step {} of `balls`", table.whose, at + 1)))
            .map(|step| ball_step(&step?))
            .collect();
        let steps = steps?;
        let rising = steps.windows(2).all(|pair| pair[0].above_wall_factor < pair[1].above_wall_factor);
        let good = node.check(rising && !steps.is_empty(), "it needs steps of rising `above_wall_factor`");
        good.then_some(steps)
    })
}

fn ball_step(table: &Table<'_>) -> Option<BallStep> {
    let above_wall_factor = factor(table, "above_wall_factor");
    let wide = table.req("wide", count_within(0, 20));
    let tight = table.req("tight", count_within(0, 20));
    table.finish();
    Some(BallStep { above_wall_factor: above_wall_factor?, wide: wide?, tight: tight? })
}

fn twin_head(table: &Table<'_>) -> Option<TwinHeadRules> {
    let (limits, forming) = (table.sub("limits", limits), table.sub("forming", forming));
    let min_head_distance = gap(table, "min_head_distance");
    let independent_heads = table.req("independent_heads", flag);
    Some(TwinHeadRules {
        limits: limits?,
        forming: forming?,
        min_head_distance: min_head_distance?,
        independent_heads: independent_heads?,
    })
}

fn three_roll(table: &Table<'_>) -> Option<ThreeRollRules> {
    let (limits, forming) = (table.sub("limits", limits), table.sub("forming", forming));
    let flat_end = gap(table, "flat_end");
    Some(ThreeRollRules { limits: limits?, forming: forming?, flat_end: flat_end? })
}

fn free_form(table: &Table<'_>) -> Option<FreeFormRules> {
    let (limits, forming) = (table.sub("limits", limits), table.sub("forming", forming));
    Some(FreeFormRules { limits: limits?, forming: forming? })
}
