//! `times.toml`.

use super::{by_kind, factor, percent, speed, time};
use crate::keyed::Table;
use crate::keyed::values::count_within;
use elbowroom_bending::rules::{
    BendTimes, FreeFormTimes, RotaryDrawTimes, SetupRules, StartRules, ThreeRollTimes, ToolTimes,
    TwinHeadTimes, WashRules,
};

/// How long bending takes.
pub(crate) fn read(root: &Table<'_>) -> Option<BendTimes> {
    let times = root.sub("bending", bend_times);
    root.finish();
    times
}

fn bend_times(table: &Table<'_>) -> Option<BendTimes> {
    let setup = table.sub("setup", setup);
    let wash = table.sub("wash", wash);
    let rotary_draw = table.sub("rotary_draw", rotary_draw_times);
    let twin_head_compression = table.sub("twin_head_compression", twin_head_times);
    let three_roll = table.sub("three_roll", three_roll_times);
    let free_form = table.sub("free_form", free_form_times);
    Some(BendTimes {
        setup: setup?,
        wash: wash?,
        rotary_draw: rotary_draw?,
        twin_head_compression: twin_head_compression?,
        three_roll: three_roll?,
        free_form: free_form?,
    })
}

fn setup(table: &Table<'_>) -> Option<SetupRules> {
    let (program, alignment) = (time(table, "program"), time(table, "alignment"));
    let tools = table.sub("tools", |tools| by_kind(tools, tool_times));
    Some(SetupRules { program: program?, alignment: alignment?, tools: tools? })
}

fn tool_times(table: &Table<'_>) -> Option<ToolTimes> {
    let (on, off) = (time(table, "on"), time(table, "off"));
    Some(ToolTimes { on: on?, off: off? })
}

fn wash(table: &Table<'_>) -> Option<WashRules> {
    let (share, dry_piece) = (factor(table, "share"), time(table, "dry_piece"));
    Some(WashRules { share: share?, dry_piece: dry_piece? })
}

fn start(table: &Table<'_>) -> Option<StartRules> {
    let first_article = time(table, "first_article");
    let first_article_per_bend = time(table, "first_article_per_bend");
    let setup_pieces = table.req("setup_pieces", count_within(0, 1_000));
    let scrap_percent = percent(table, "scrap_percent");
    Some(StartRules {
        first_article: first_article?,
        first_article_per_bend: first_article_per_bend?,
        setup_pieces: setup_pieces?,
        scrap_percent: scrap_percent?,
    })
}

fn rotary_draw_times(table: &Table<'_>) -> Option<RotaryDrawTimes> {
    let (load_unload, clamp) = (time(table, "load_unload"), time(table, "clamp"));
    let bend_speed_deg_s = speed(table, "bend_speed_deg_s");
    let return_speed_deg_s = speed(table, "return_speed_deg_s");
    let feed_speed_mm_s = speed(table, "feed_speed_mm_s");
    let rotation_speed_deg_s = speed(table, "rotation_speed_deg_s");
    let level_change = time(table, "level_change");
    let (mandrel_load, mandrel_per_bend) = (time(table, "mandrel_load"), time(table, "mandrel_per_bend"));
    let mandrel_speed_share = speed(table, "mandrel_speed_share");
    let (start_bare, start_mandrel) = (table.sub("start_bare", start), table.sub("start_mandrel", start));
    Some(RotaryDrawTimes {
        load_unload: load_unload?,
        clamp: clamp?,
        bend_speed_deg_s: bend_speed_deg_s?,
        return_speed_deg_s: return_speed_deg_s?,
        feed_speed_mm_s: feed_speed_mm_s?,
        rotation_speed_deg_s: rotation_speed_deg_s?,
        level_change: level_change?,
        mandrel_load: mandrel_load?,
        mandrel_per_bend: mandrel_per_bend?,
        mandrel_speed_share: mandrel_speed_share?,
        start_bare: start_bare?,
        start_mandrel: start_mandrel?,
    })
}

fn twin_head_times(table: &Table<'_>) -> Option<TwinHeadTimes> {
    let (load_unload, clamp) = (time(table, "load_unload"), time(table, "clamp"));
    let bend_speed_deg_s = speed(table, "bend_speed_deg_s");
    let return_speed_deg_s = speed(table, "return_speed_deg_s");
    let feed_speed_mm_s = speed(table, "feed_speed_mm_s");
    let start = table.sub("start", start);
    Some(TwinHeadTimes {
        load_unload: load_unload?,
        clamp: clamp?,
        bend_speed_deg_s: bend_speed_deg_s?,
        return_speed_deg_s: return_speed_deg_s?,
        feed_speed_mm_s: feed_speed_mm_s?,
        start: start?,
    })
}

fn three_roll_times(table: &Table<'_>) -> Option<ThreeRollTimes> {
    let load_unload = time(table, "load_unload");
    let passes = table.req("passes", count_within(1, 100));
    let adjust = time(table, "adjust");
    let feed_speed_mm_s = speed(table, "feed_speed_mm_s");
    let start = table.sub("start", start);
    Some(ThreeRollTimes {
        load_unload: load_unload?,
        passes: passes?,
        adjust: adjust?,
        feed_speed_mm_s: feed_speed_mm_s?,
        start: start?,
    })
}

fn free_form_times(table: &Table<'_>) -> Option<FreeFormTimes> {
    let load_unload = time(table, "load_unload");
    let arc_speed_mm_s = speed(table, "arc_speed_mm_s");
    let straight_speed_mm_s = speed(table, "straight_speed_mm_s");
    let ring_move = time(table, "ring_move");
    let start = table.sub("start", start);
    Some(FreeFormTimes {
        load_unload: load_unload?,
        arc_speed_mm_s: arc_speed_mm_s?,
        straight_speed_mm_s: straight_speed_mm_s?,
        ring_move: ring_move?,
        start: start?,
    })
}
