//! What a shop may change about bending: `processes.toml`, `times.toml`, and two tables of
//! `tooling.toml`, each on top of the shipped file. Keys are the names of the fields.

pub(crate) mod processes;
pub(crate) mod times;
pub(crate) mod tooling;

use crate::keyed::Table;
use crate::keyed::values::{length, not_negative, number, positive, seconds, within};
use elbowroom_bending::rules::ByKind;
use elbowroom_units::{Mm, Seconds};

pub(super) fn factor(table: &Table<'_>, key: &'static str) -> Option<f64> {
    table.req(key, not_negative(number))
}

pub(super) fn speed(table: &Table<'_>, key: &'static str) -> Option<f64> {
    table.req(key, positive(number))
}

pub(super) fn percent(table: &Table<'_>, key: &'static str) -> Option<f64> {
    table.req(key, within(0.0, 100.0, number))
}

pub(super) fn gap(table: &Table<'_>, key: &'static str) -> Option<Mm> {
    table.req(key, not_negative(length))
}

pub(super) fn time(table: &Table<'_>, key: &'static str) -> Option<Seconds> {
    table.req(key, seconds)
}

/// One value for each kind of tool.
pub(super) fn by_kind<T>(table: &Table<'_>, read: impl Fn(&Table<'_>) -> Option<T>) -> Option<ByKind<T>> {
    let kind = |key| table.sub(key, &read);
    let (bend_die, clamp_die, pressure_die) = (kind("bend_die"), kind("clamp_die"), kind("pressure_die"));
    let (mandrel, wiper_die, collet) = (kind("mandrel"), kind("wiper_die"), kind("collet"));
    let (compression_die, roll_set, ring) = (kind("compression_die"), kind("roll_set"), kind("ring"));
    Some(ByKind {
        bend_die: bend_die?,
        clamp_die: clamp_die?,
        pressure_die: pressure_die?,
        mandrel: mandrel?,
        wiper_die: wiper_die?,
        collet: collet?,
        compression_die: compression_die?,
        roll_set: roll_set?,
        ring: ring?,
    })
}
