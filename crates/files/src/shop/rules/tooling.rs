//! The tables `matching` and `default` of `tooling.toml`.

use super::{by_kind, gap, percent};
use crate::keyed::Table;
use crate::keyed::values::{count_within, minutes, money};
use elbowroom_bending::rules::{MatchRules, ToolDefault, ToolingRules};

/// What tools cost and which serves for which. The list of tools is read elsewhere.
pub(crate) fn read(root: &Table<'_>) -> Option<ToolingRules> {
    let matching = root.sub("matching", matching);
    let default = root.sub("default", |table| by_kind(table, tool_default));
    Some(ToolingRules { matching: matching?, default: default? })
}

fn matching(table: &Table<'_>) -> Option<MatchRules> {
    let (same_od, same_clr, same_wall) =
        (gap(table, "same_od"), gap(table, "same_clr"), gap(table, "same_wall"));
    let od_oversize = gap(table, "od_oversize");
    let clr_percent = percent(table, "clr_percent");
    let mandrel_wall_excess = gap(table, "mandrel_wall_excess");
    let extra_balls = table.req("extra_balls", count_within(0, 20));
    Some(MatchRules {
        same_od: same_od?,
        same_clr: same_clr?,
        same_wall: same_wall?,
        od_oversize: od_oversize?,
        clr_percent: clr_percent?,
        mandrel_wall_excess: mandrel_wall_excess?,
        extra_balls: extra_balls?,
    })
}

fn tool_default(table: &Table<'_>) -> Option<ToolDefault> {
    let (price, lead) = (table.req("price", money), table.req("lead", minutes));
    Some(ToolDefault { price: price?, lead: lead? })
}
