//! `steps.toml` and `stock.toml`, each on top of the shipped file.

use crate::keyed::Table;
use crate::keyed::values::{
    count, length, list, minutes, not_negative, number, positive, seconds, text, within,
};
use elbowroom_bending::stock::{Gauge, Pipe, StockSizes};
use elbowroom_shop::standards::{
    CutTimes, DeburrTimes, EndFormTimes, InspectTimes, Saw, StepTimes, WashTimes, WeldTimes,
};

/// `steps.toml`.
pub(crate) fn steps(root: &Table<'_>) -> Option<StepTimes> {
    let (cut, deburr, wash) = (root.sub("cut", cut), root.sub("deburr", deburr), root.sub("wash", wash));
    let (end_form, weld) = (root.sub("end_form", end_form), root.sub("weld", weld));
    let (inspect, saw) = (root.sub("inspect", inspect), root.sub("saw", saw));
    root.finish();
    Some(StepTimes {
        saw: saw?,
        cut: cut?,
        deburr: deburr?,
        wash: wash?,
        end_form: end_form?,
        weld: weld?,
        inspect: inspect?,
    })
}

fn cut(table: &Table<'_>) -> Option<CutTimes> {
    let changeover = table.req("changeover", minutes);
    let (per_lot, per_piece) = (table.req("per_lot", seconds), table.req("per_piece", seconds));
    let per_trimmed_end = table.req("per_trimmed_end", seconds);
    Some(CutTimes {
        changeover: changeover?,
        per_lot: per_lot?,
        per_piece: per_piece?,
        per_trimmed_end: per_trimmed_end?,
    })
}

fn saw(table: &Table<'_>) -> Option<Saw> {
    let kerf = table.req("kerf", not_negative(length));
    let end_trim = table.req("end_trim", not_negative(length));
    let keep_from = table.req("keep_from", positive(length));
    Some(Saw { kerf: kerf?, end_trim: end_trim?, keep_from: keep_from? })
}

fn deburr(table: &Table<'_>) -> Option<DeburrTimes> {
    let changeover = table.req("changeover", minutes);
    let (per_lot, per_end) = (table.req("per_lot", seconds), table.req("per_end", seconds));
    Some(DeburrTimes { changeover: changeover?, per_lot: per_lot?, per_end: per_end? })
}

fn wash(table: &Table<'_>) -> Option<WashTimes> {
    let (per_lot, least) = (table.req("per_lot", seconds), table.req("least", seconds));
    let drying = table.req("drying", minutes);
    Some(WashTimes { per_lot: per_lot?, least: least?, drying: drying? })
}

fn end_form(table: &Table<'_>) -> Option<EndFormTimes> {
    let changeover = table.req("changeover", minutes);
    let (per_lot, per_end) = (table.req("per_lot", seconds), table.req("per_end", seconds));
    Some(EndFormTimes { changeover: changeover?, per_lot: per_lot?, per_end: per_end? })
}

fn weld(table: &Table<'_>) -> Option<WeldTimes> {
    let changeover = table.req("changeover", minutes);
    let (per_lot, load) = (table.req("per_lot", seconds), table.req("load", seconds));
    Some(WeldTimes { changeover: changeover?, per_lot: per_lot?, load: load? })
}

fn inspect(table: &Table<'_>) -> Option<InspectTimes> {
    let (per_lot, per_checked_piece) =
        (table.req("per_lot", seconds), table.req("per_checked_piece", seconds));
    let checked_percent = table.req("checked_percent", within(0.0, 100.0, number));
    let least_checked = table.req("least_checked", count);
    Some(InspectTimes {
        per_lot: per_lot?,
        per_checked_piece: per_checked_piece?,
        checked_percent: checked_percent?,
        least_checked: least_checked?,
    })
}

/// `stock.toml`. Its lists replace the shipped ones; pipes and gauges add to them.
pub(crate) fn stock(root: &Table<'_>) -> Option<StockSizes> {
    let lengths = |key| root.req(key, list(positive(length)));
    let (bar_lengths, metric_ods) = (lengths("bar_lengths"), lengths("metric_ods"));
    let (inch_ods, metric_walls) = (lengths("inch_ods"), lengths("metric_walls"));
    let pipes: Option<Vec<Pipe>> =
        root.tables("pipe", |number| format!("pipe {number}")).iter().map(pipe).collect();
    let gauges: Option<Vec<Gauge>> =
        root.tables("gauge", |number| format!("gauge {number}")).iter().map(gauge).collect();
    root.finish();
    Some(StockSizes {
        bar_lengths: bar_lengths?,
        pipes: pipes?,
        gauges: gauges?,
        inch_ods: inch_ods?,
        metric_ods: metric_ods?,
        metric_walls: metric_walls?,
    })
}

fn pipe(table: &Table<'_>) -> Option<Pipe> {
    let nps = table.req("nps", text);
    let od = table.req("od", positive(length));
    let wall = |key| table.opt(key, positive(length));
    let (schedule_5s, schedule_10s) = (wall("schedule_5s"), wall("schedule_10s"));
    let (schedule_40, schedule_80) = (wall("schedule_40"), wall("schedule_80"));
    table.finish();
    Some(Pipe {
        nps: nps?,
        od: od?,
        schedule_5s: schedule_5s?,
        schedule_10s: schedule_10s?,
        schedule_40: schedule_40?,
        schedule_80: schedule_80?,
    })
}

fn gauge(table: &Table<'_>) -> Option<Gauge> {
    let number = table.req("number", count);
    let wall = table.req("wall", positive(length));
    table.finish();
    Some(Gauge { number: number?, wall: wall? })
}
