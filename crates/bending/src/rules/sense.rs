//! Whether rules make sense: speeds that are positive, shares between 0 and 1, and the like.

use super::{
    ByKind, Forming, FreeFormTimes, Limits, RotaryDrawRules, RotaryDrawTimes, Rules, StartRules,
    ThreeRollTimes, TwinHeadTimes,
};
use crate::process::Process;
use crate::tooling::ToolKind;
use elbowroom_units::{Mm, Seconds};
use std::fmt;

/// A rule that makes no sense.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleFault {
    /// The file in which it stands, without ending: `processes`, `times` or `tooling`.
    pub file: &'static str,
    /// Its key in that file.
    pub key: String,
    /// What was found.
    pub found: String,
    /// What is expected.
    pub expected: &'static str,
}

impl fmt::Display for RuleFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.toml: {} is {}; expected {}", self.file, self.key, self.found, self.expected)
    }
}

impl Rules {
    /// Every rule that makes no sense; the crate's functions give no useful answers with one.
    #[must_use]
    pub fn faults(&self) -> Vec<RuleFault> {
        let mut check = Check { file: "processes", faults: Vec::new() };
        check.processes(self);
        check.file = "times";
        check.times(self);
        check.file = "tooling";
        check.tooling(self);
        check.faults
    }
}

const POSITIVE: &str = "more than 0";
const NOT_NEGATIVE: &str = "0 or more";
const SHARE: &str = "0 to 1";
const PERCENT: &str = "0 to 100";

struct Check {
    file: &'static str,
    faults: Vec<RuleFault>,
}

impl Check {
    fn note(&mut self, right: bool, key: &str, found: impl fmt::Display, expected: &'static str) {
        if !right {
            let (key, found) = (key.to_owned(), found.to_string());
            self.faults.push(RuleFault { file: self.file, key, found, expected });
        }
    }

    fn positive(&mut self, key: &str, value: f64) {
        self.note(value > 0.0 && value.is_finite(), key, value, POSITIVE);
    }

    fn not_negative(&mut self, key: &str, value: f64) {
        self.note(value >= 0.0 && value.is_finite(), key, value, NOT_NEGATIVE);
    }

    fn percent(&mut self, key: &str, value: f64) {
        self.note((0.0..=100.0).contains(&value), key, value, PERCENT);
    }

    fn time(&mut self, key: &str, value: Seconds) {
        self.note(value >= Seconds::ZERO, key, value, NOT_NEGATIVE);
    }

    fn length(&mut self, key: &str, value: Mm) {
        self.note(value >= Mm::ZERO, key, value, NOT_NEGATIVE);
    }

    fn processes(&mut self, rules: &Rules) {
        let p = &rules.processes;
        self.length("common.same_length", p.common.same_length);
        self.not_negative("common.same_angle", p.common.same_angle.degrees());
        self.length("common.self_clearance", p.common.self_clearance);
        self.percent("common.thin_outside_percent", p.common.thin_outside_percent);
        for process in Process::ALL {
            self.limits(table(process), p.limits(process));
        }
        self.rotary(&p.rotary_draw);
        self.forming("twin_head_compression.forming", &p.twin_head_compression.forming);
        self.length("twin_head_compression.min_head_distance", p.twin_head_compression.min_head_distance);
        self.forming("three_roll.forming", &p.three_roll.forming);
        self.length("three_roll.flat_end", p.three_roll.flat_end);
        self.forming("free_form.forming", &p.free_form.forming);
    }

    fn limits(&mut self, table: &str, limits: &Limits) {
        let key = |name: &str| format!("{table}.limits.{name}");
        for (name, value) in [
            ("straight_between_od", limits.straight_between_od),
            ("comfortable_straight_od", limits.comfortable_straight_od),
            ("first_straight_od", limits.first_straight_od),
            ("last_straight_od", limits.last_straight_od),
            ("preferred_bend_factor", limits.preferred_bend_factor),
            ("springback_factor", limits.springback_factor),
        ] {
            self.not_negative(&key(name), value);
        }
        self.positive(&key("moment_factor"), limits.moment_factor);
        self.positive(&key("arc_factor"), limits.arc_factor);
        for (material, factor) in &limits.arc_factor_by_material {
            self.positive(&key(&format!("arc_factor_by_material.{material}")), *factor);
        }
        let share = limits.neutral_axis_share;
        self.note((0.0..=1.0).contains(&share), &key("neutral_axis_share"), share, SHARE);
        self.length(&key("floor_clearance"), limits.floor_clearance);
        self.length(&key("swing_clearance"), limits.swing_clearance);
    }

    fn forming(&mut self, table: &str, forming: &Forming) {
        let key = |name: &str| format!("{table}.{name}");
        let factor = forming.min_bend_factor;
        self.note(factor > 0.5 && factor.is_finite(), &key("min_bend_factor"), factor, "more than 0.5");
        self.percent(&key("finest_ovality_percent"), forming.finest_ovality_percent);
        self.percent(&key("ovality_floor_percent"), forming.ovality_floor_percent);
        self.not_negative(&key("ovality_percent_at_1d"), forming.ovality_percent_at_1d);
        self.not_negative(&key("ovality_wall_exponent"), forming.ovality_wall_exponent);
        let (watch, high) = (forming.wrinkling_watch_severity, forming.wrinkling_high_severity);
        self.note(
            watch <= high,
            &key("wrinkling_watch_severity"),
            watch,
            "no more than wrinkling_high_severity",
        );
    }

    fn rotary(&mut self, rules: &RotaryDrawRules) {
        self.forming("rotary_draw.bare", &rules.bare);
        self.forming("rotary_draw.plug", &rules.plug);
        self.forming("rotary_draw.ball", &rules.ball);
        let rising = rules.balls.windows(2).all(|pair| pair[0].above_wall_factor < pair[1].above_wall_factor);
        self.note(rising, "rotary_draw.balls", "out of order", "steps of rising above_wall_factor");
    }

    fn times(&mut self, rules: &Rules) {
        let t = &rules.times;
        self.time("bending.setup.program", t.setup.program);
        self.time("bending.setup.alignment", t.setup.alignment);
        for kind in ToolKind::ALL {
            let (key, tool) = (ByKind::<()>::key(kind), t.setup.tools.of(kind));
            self.time(&format!("bending.setup.tools.{key}.on"), tool.on);
            self.time(&format!("bending.setup.tools.{key}.off"), tool.off);
        }
        self.not_negative("bending.wash.share", t.wash.share);
        self.time("bending.wash.dry_piece", t.wash.dry_piece);
        self.rotary_times(&t.rotary_draw);
        self.twin_head_times(&t.twin_head_compression);
        self.three_roll_times(&t.three_roll);
        self.free_form_times(&t.free_form);
    }

    fn rotary_times(&mut self, times: &RotaryDrawTimes) {
        let key = |name: &str| format!("bending.rotary_draw.{name}");
        self.time(&key("load_unload"), times.load_unload);
        self.time(&key("clamp"), times.clamp);
        self.time(&key("level_change"), times.level_change);
        self.time(&key("mandrel_load"), times.mandrel_load);
        self.time(&key("mandrel_per_bend"), times.mandrel_per_bend);
        self.positive(&key("bend_speed_deg_s"), times.bend_speed_deg_s);
        self.positive(&key("return_speed_deg_s"), times.return_speed_deg_s);
        self.positive(&key("feed_speed_mm_s"), times.feed_speed_mm_s);
        self.positive(&key("rotation_speed_deg_s"), times.rotation_speed_deg_s);
        self.positive(&key("mandrel_speed_share"), times.mandrel_speed_share);
        self.start(&key("start_bare"), &times.start_bare);
        self.start(&key("start_mandrel"), &times.start_mandrel);
    }

    fn twin_head_times(&mut self, times: &TwinHeadTimes) {
        let key = |name: &str| format!("bending.twin_head_compression.{name}");
        self.time(&key("load_unload"), times.load_unload);
        self.time(&key("clamp"), times.clamp);
        self.positive(&key("bend_speed_deg_s"), times.bend_speed_deg_s);
        self.positive(&key("return_speed_deg_s"), times.return_speed_deg_s);
        self.positive(&key("feed_speed_mm_s"), times.feed_speed_mm_s);
        self.start(&key("start"), &times.start);
    }

    fn three_roll_times(&mut self, times: &ThreeRollTimes) {
        let key = |name: &str| format!("bending.three_roll.{name}");
        self.time(&key("load_unload"), times.load_unload);
        self.time(&key("adjust"), times.adjust);
        self.positive(&key("passes"), f64::from(times.passes));
        self.positive(&key("feed_speed_mm_s"), times.feed_speed_mm_s);
        self.start(&key("start"), &times.start);
    }

    fn free_form_times(&mut self, times: &FreeFormTimes) {
        let key = |name: &str| format!("bending.free_form.{name}");
        self.time(&key("load_unload"), times.load_unload);
        self.time(&key("ring_move"), times.ring_move);
        self.positive(&key("arc_speed_mm_s"), times.arc_speed_mm_s);
        self.positive(&key("straight_speed_mm_s"), times.straight_speed_mm_s);
        self.start(&key("start"), &times.start);
    }

    fn start(&mut self, table: &str, start: &StartRules) {
        self.time(&format!("{table}.first_article"), start.first_article);
        self.time(&format!("{table}.first_article_per_bend"), start.first_article_per_bend);
        self.percent(&format!("{table}.scrap_percent"), start.scrap_percent);
    }

    fn tooling(&mut self, rules: &Rules) {
        let matching = &rules.tooling.matching;
        self.length("matching.same_od", matching.same_od);
        self.length("matching.same_clr", matching.same_clr);
        self.length("matching.same_wall", matching.same_wall);
        self.length("matching.od_oversize", matching.od_oversize);
        self.percent("matching.clr_percent", matching.clr_percent);
        self.length("matching.mandrel_wall_excess", matching.mandrel_wall_excess);
        for kind in ToolKind::ALL {
            let (key, tool) = (ByKind::<()>::key(kind), rules.tooling.default.of(kind));
            self.not_negative(&format!("default.{key}.price"), tool.price.amount());
            self.not_negative(&format!("default.{key}.lead"), tool.lead.count() as f64);
        }
    }
}

fn table(process: Process) -> &'static str {
    match process {
        Process::RotaryDraw => "rotary_draw",
        Process::TwinHeadCompression => "twin_head_compression",
        Process::ThreeRoll => "three_roll",
        Process::FreeForm => "free_form",
    }
}
