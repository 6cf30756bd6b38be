//! What the checks share: the shipped rules and materials, and one way to compare a number.

#![allow(dead_code, clippy::unwrap_used, reason = "each test file uses a part of it, none of it ships")]

use elbowroom_bending::material::Material;
use elbowroom_bending::piece::{Marks, Piece, Quality};
use elbowroom_bending::rules::*;
use elbowroom_bending::shape::{Bend, Shape};
use elbowroom_bending::stock::{Gauge, Pipe, StockSizes};
use elbowroom_bending::tube::Tube;
use elbowroom_units::{Deg, Minutes, Mm, Money, Seconds};
use std::path::PathBuf;
use toml::{Table, Value};

/// One check value: its number in the list, what it says, where it comes from, how sure that is.
#[track_caller]
pub fn check(id: &str, source: &str, status: &str, found: f64, wanted: f64, tolerance: f64) {
    assert!(
        (found - wanted).abs() <= tolerance,
        "{id} [{source}; {status}]: found {found}, wanted {wanted} within {tolerance}"
    );
}

pub fn mm(length: f64) -> Mm {
    Mm::new(length)
}

pub fn deg(angle: f64) -> Deg {
    Deg::new(angle)
}

pub fn tube(outer: f64, wall: f64) -> Tube {
    Tube::new(mm(outer), mm(wall)).unwrap()
}

/// A shape from (straight before, rotation, radius, angle) and the last straight.
pub fn shape(rows: &[(f64, f64, f64, f64)], end: f64) -> Shape {
    Shape::from_rows(rows.iter().map(|&row| bend(row)).collect(), mm(end)).unwrap()
}

pub fn bend((straight, rotation, clr, angle): (f64, f64, f64, f64)) -> Bend {
    Bend { straight_before: mm(straight), rotation: deg(rotation), clr: mm(clr), angle: deg(angle) }
}

pub fn piece<'a>(tube: Tube, material: &'a Material, shape: &'a Shape) -> Piece<'a> {
    let quality = Quality { max_ovality_percent: None, marks: Marks::Some, clean_inside: false };
    Piece { tube, material, shape, quality, trim: Mm::ZERO }
}

pub fn config(name: &str) -> Table {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../config").join(name);
    std::fs::read_to_string(path).unwrap().parse().unwrap()
}

pub fn materials() -> Vec<Material> {
    let table = config("materials.toml");
    let entries = table["material"].as_array().unwrap();
    entries.iter().map(At).map(material_of).collect()
}

pub fn material(id: &str) -> Material {
    materials().into_iter().find(|material| material.id == id).unwrap()
}

fn material_of(at: At) -> Material {
    Material {
        id: at.text("id").to_owned(),
        name: at.text("name").to_owned(),
        yield_mpa: at.number("yield_mpa"),
        tensile_mpa: at.number("tensile_mpa"),
        modulus_mpa: at.number("modulus_mpa"),
        elongation_percent: at.number("elongation_percent"),
        density_kg_m3: at.number("density_kg_m3"),
        source: at.text("source").to_owned(),
    }
}

/// The rules as shipped.
pub fn rules() -> Rules {
    let processes = Value::Table(config("processes.toml"));
    let times = Value::Table(config("times.toml"));
    let tooling = Value::Table(config("tooling.toml"));
    Rules {
        processes: processes_of(At(&processes)),
        times: times_of(At(&times).of("bending")),
        tooling: tooling_of(At(&tooling)),
    }
}

#[derive(Clone, Copy)]
pub struct At<'a>(pub &'a Value);

impl<'a> At<'a> {
    pub fn of(self, key: &str) -> Self {
        Self(self.0.get(key).unwrap_or_else(|| panic!("config lacks {key}")))
    }

    fn has(self, key: &str) -> Option<Self> {
        self.0.get(key).map(Self)
    }

    pub fn list(self, key: &str) -> Vec<Self> {
        self.of(key).0.as_array().unwrap().iter().map(Self).collect()
    }

    pub fn text(self, key: &str) -> &'a str {
        self.of(key).0.as_str().unwrap()
    }

    fn number(self, key: &str) -> f64 {
        self.of(key).as_number()
    }

    fn as_number(self) -> f64 {
        self.0.as_float().or_else(|| self.0.as_integer().map(|i| i as f64)).unwrap()
    }

    fn count(self, key: &str) -> u32 {
        self.of(key).0.as_integer().unwrap().try_into().unwrap()
    }

    fn flag(self, key: &str) -> bool {
        self.of(key).0.as_bool().unwrap()
    }

    pub fn length(self, key: &str) -> Mm {
        self.text(key).parse().unwrap()
    }

    pub fn maybe_length(self, key: &str) -> Option<Mm> {
        self.has(key).map(|_| self.length(key))
    }

    fn seconds(self, key: &str) -> Seconds {
        self.text(key).parse().unwrap()
    }

    fn marks(self, key: &str) -> Marks {
        [Marks::None, Marks::Light, Marks::Some].into_iter().find(|m| m.name() == self.text(key)).unwrap()
    }
}

fn processes_of(at: At) -> ProcessRules {
    let (common, rotary, twin) = (at.of("common"), at.of("rotary_draw"), at.of("twin_head_compression"));
    let (rolls, free) = (at.of("three_roll"), at.of("free_form"));
    ProcessRules {
        common: CommonRules {
            same_length: common.length("same_length"),
            same_angle: common.text("same_angle").parse().unwrap(),
            self_clearance: common.length("self_clearance"),
            simple_difficulty: common.number("simple_difficulty"),
            thin_outside_percent: common.number("thin_outside_percent"),
        },
        rotary_draw: rotary_of(rotary),
        twin_head_compression: TwinHeadRules {
            limits: limits_of(twin.of("limits")),
            forming: forming_of(twin.of("forming")),
            min_head_distance: twin.length("min_head_distance"),
            independent_heads: twin.flag("independent_heads"),
        },
        three_roll: ThreeRollRules {
            limits: limits_of(rolls.of("limits")),
            forming: forming_of(rolls.of("forming")),
            flat_end: rolls.length("flat_end"),
        },
        free_form: FreeFormRules {
            limits: limits_of(free.of("limits")),
            forming: forming_of(free.of("forming")),
        },
    }
}

fn rotary_of(at: At) -> RotaryDrawRules {
    let wiper = at.of("wiper");
    let step = |at: At| BallStep {
        above_wall_factor: at.number("above_wall_factor"),
        wide: at.count("wide"),
        tight: at.count("tight"),
    };
    RotaryDrawRules {
        limits: limits_of(at.of("limits")),
        bare: forming_of(at.of("bare")),
        plug: forming_of(at.of("plug")),
        ball: forming_of(at.of("ball")),
        wiper: WiperRules {
            max_bend_factor: wiper.number("max_bend_factor"),
            thin_wall_factor: wiper.number("thin_wall_factor"),
            thin_max_bend_factor: wiper.number("thin_max_bend_factor"),
        },
        balls: at.list("balls").into_iter().map(step).collect(),
        tight_bend_factor: at.number("tight_bend_factor"),
        mandrel_doubt_wall_factor: at.number("mandrel_doubt_wall_factor"),
    }
}

fn limits_of(at: At) -> Limits {
    let by_material = at.of("arc_factor_by_material").0.as_table().unwrap();
    Limits {
        max_od: at.maybe_length("max_od"),
        max_angle: at.has("max_angle").map(|_| at.text("max_angle").parse().unwrap()),
        max_radii: at.has("max_radii").map(|_| at.count("max_radii")),
        straight_between_od: at.number("straight_between_od"),
        comfortable_straight_od: at.number("comfortable_straight_od"),
        first_straight_od: at.number("first_straight_od"),
        last_straight_od: at.number("last_straight_od"),
        preferred_bend_factor: at.number("preferred_bend_factor"),
        marks: at.marks("marks"),
        marks_on_short_straight: at.marks("marks_on_short_straight"),
        moment_factor: at.number("moment_factor"),
        springback_factor: at.number("springback_factor"),
        arc_factor: at.number("arc_factor"),
        arc_factor_by_material: by_material.iter().map(|(id, v)| (id.clone(), At(v).as_number())).collect(),
        neutral_axis_share: at.number("neutral_axis_share"),
        floor_clearance: at.length("floor_clearance"),
        swing_clearance: at.length("swing_clearance"),
    }
}

fn forming_of(at: At) -> Forming {
    Forming {
        min_bend_factor: at.number("min_bend_factor"),
        max_wall_factor: at.has("max_wall_factor").map(At::as_number),
        max_severity: at.has("max_severity").map(At::as_number),
        finest_ovality_percent: at.number("finest_ovality_percent"),
        ovality_percent_at_1d: at.number("ovality_percent_at_1d"),
        ovality_wall_exponent: at.number("ovality_wall_exponent"),
        ovality_floor_percent: at.number("ovality_floor_percent"),
        wrinkling_watch_severity: at.number("wrinkling_watch_severity"),
        wrinkling_high_severity: at.number("wrinkling_high_severity"),
        lubricated_inside: at.flag("lubricated_inside"),
    }
}

fn by_kind<T>(at: At, read: impl Fn(At) -> T) -> ByKind<T> {
    ByKind {
        bend_die: read(at.of("bend_die")),
        clamp_die: read(at.of("clamp_die")),
        pressure_die: read(at.of("pressure_die")),
        mandrel: read(at.of("mandrel")),
        wiper_die: read(at.of("wiper_die")),
        collet: read(at.of("collet")),
        compression_die: read(at.of("compression_die")),
        roll_set: read(at.of("roll_set")),
        ring: read(at.of("ring")),
    }
}

fn start_of(at: At) -> StartRules {
    StartRules {
        first_article: at.seconds("first_article"),
        first_article_per_bend: at.seconds("first_article_per_bend"),
        setup_pieces: at.count("setup_pieces"),
        scrap_percent: at.number("scrap_percent"),
    }
}

fn times_of(at: At) -> BendTimes {
    let (setup, wash, draw) = (at.of("setup"), at.of("wash"), at.of("rotary_draw"));
    let (twin, rolls, free) = (at.of("twin_head_compression"), at.of("three_roll"), at.of("free_form"));
    let tool = |at: At| ToolTimes { on: at.seconds("on"), off: at.seconds("off") };
    BendTimes {
        setup: SetupRules {
            program: setup.seconds("program"),
            alignment: setup.seconds("alignment"),
            tools: by_kind(setup.of("tools"), tool),
        },
        wash: WashRules { share: wash.number("share"), dry_piece: wash.seconds("dry_piece") },
        rotary_draw: RotaryDrawTimes {
            load_unload: draw.seconds("load_unload"),
            clamp: draw.seconds("clamp"),
            bend_speed_deg_s: draw.number("bend_speed_deg_s"),
            return_speed_deg_s: draw.number("return_speed_deg_s"),
            feed_speed_mm_s: draw.number("feed_speed_mm_s"),
            rotation_speed_deg_s: draw.number("rotation_speed_deg_s"),
            level_change: draw.seconds("level_change"),
            mandrel_load: draw.seconds("mandrel_load"),
            mandrel_per_bend: draw.seconds("mandrel_per_bend"),
            mandrel_speed_share: draw.number("mandrel_speed_share"),
            start_bare: start_of(draw.of("start_bare")),
            start_mandrel: start_of(draw.of("start_mandrel")),
        },
        twin_head_compression: TwinHeadTimes {
            load_unload: twin.seconds("load_unload"),
            clamp: twin.seconds("clamp"),
            bend_speed_deg_s: twin.number("bend_speed_deg_s"),
            return_speed_deg_s: twin.number("return_speed_deg_s"),
            feed_speed_mm_s: twin.number("feed_speed_mm_s"),
            start: start_of(twin.of("start")),
        },
        three_roll: ThreeRollTimes {
            load_unload: rolls.seconds("load_unload"),
            passes: rolls.count("passes"),
            adjust: rolls.seconds("adjust"),
            feed_speed_mm_s: rolls.number("feed_speed_mm_s"),
            start: start_of(rolls.of("start")),
        },
        free_form: FreeFormTimes {
            load_unload: free.seconds("load_unload"),
            arc_speed_mm_s: free.number("arc_speed_mm_s"),
            straight_speed_mm_s: free.number("straight_speed_mm_s"),
            ring_move: free.seconds("ring_move"),
            start: start_of(free.of("start")),
        },
    }
}

fn tooling_of(at: At) -> ToolingRules {
    let matching = at.of("matching");
    let default = |at: At| ToolDefault {
        price: Money::new(at.number("price")),
        lead: at.text("lead").parse::<Minutes>().unwrap(),
    };
    ToolingRules {
        matching: MatchRules {
            same_od: matching.length("same_od"),
            same_clr: matching.length("same_clr"),
            same_wall: matching.length("same_wall"),
            od_oversize: matching.length("od_oversize"),
            clr_percent: matching.number("clr_percent"),
            mandrel_wall_excess: matching.length("mandrel_wall_excess"),
            extra_balls: matching.count("extra_balls"),
        },
        default: by_kind(at.of("default"), default),
    }
}

/// The standard sizes as shipped.
pub fn stock() -> StockSizes {
    let table = Value::Table(config("stock.toml"));
    let at = At(&table);
    let lengths =
        |key: &str| at.list(key).into_iter().map(|at| at.0.as_str().unwrap().parse().unwrap()).collect();
    let pipe = |at: At| Pipe {
        nps: at.text("nps").to_owned(),
        od: at.length("od"),
        schedule_5s: at.maybe_length("schedule_5s"),
        schedule_10s: at.maybe_length("schedule_10s"),
        schedule_40: at.maybe_length("schedule_40"),
        schedule_80: at.maybe_length("schedule_80"),
    };
    StockSizes {
        bar_lengths: lengths("bar_lengths"),
        pipes: at.list("pipe").into_iter().map(pipe).collect(),
        gauges: at
            .list("gauge")
            .into_iter()
            .map(|at| Gauge { number: at.count("number"), wall: at.length("wall") })
            .collect(),
        inch_ods: lengths("inch_ods"),
        metric_ods: lengths("metric_ods"),
        metric_walls: lengths("metric_walls"),
    }
}
