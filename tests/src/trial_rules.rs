//! Bending rules with round numbers for trial shops, apart from the shipped ones, so that what is
//! worked out by hand in a test stays right when a shipped value changes.

use chrono::NaiveTime;
use elbowroom_bending::piece::Marks;
use elbowroom_bending::rules::{
    BallStep, BendTimes, ByKind, CommonRules, Forming, FreeFormRules, FreeFormTimes, Limits, MatchRules,
    ProcessRules, RotaryDrawRules, RotaryDrawTimes, Rules, SetupRules, StartRules, ThreeRollRules,
    ThreeRollTimes, ToolDefault, ToolTimes, ToolingRules, TwinHeadRules, TwinHeadTimes, WashRules,
    WiperRules,
};
use elbowroom_shop::standards::{
    CutTimes, DeburrTimes, EndFormTimes, InspectTimes, Saw, StepTimes, WashTimes, WeldTimes,
};
use elbowroom_shop::uncertainty::{LateArrival, Overtime, Uncertainty, WorkSpread};
use elbowroom_units::{Deg, Minutes, Mm, Money, Seconds};
use std::collections::BTreeMap;

/// The rules: every tool takes 4 min on and 1 min off, aligning 5 min, a program 5 min.
#[must_use]
pub fn rules() -> Rules {
    Rules { processes: processes(), times: times(), tooling: tooling() }
}

fn processes() -> ProcessRules {
    ProcessRules {
        common: CommonRules {
            same_length: Mm::new(0.05),
            same_angle: Deg::new(0.5),
            self_clearance: Mm::new(1.0),
            simple_difficulty: 7.0,
            thin_outside_percent: 75.0,
        },
        rotary_draw: RotaryDrawRules {
            limits: limits(2.0),
            bare: forming(3.0, Some(15.0), false),
            plug: forming(2.0, Some(30.0), true),
            ball: forming(1.0, None, true),
            wiper: WiperRules { max_bend_factor: 1.5, thin_wall_factor: 30.0, thin_max_bend_factor: 2.0 },
            balls: vec![BallStep { above_wall_factor: 0.0, wide: 1, tight: 2 }],
            tight_bend_factor: 2.0,
            mandrel_doubt_wall_factor: 20.0,
        },
        twin_head_compression: TwinHeadRules {
            limits: limits(2.0),
            forming: forming(2.0, None, false),
            min_head_distance: Mm::new(150.0),
            independent_heads: false,
        },
        three_roll: ThreeRollRules {
            limits: limits(0.0),
            forming: forming(8.0, None, false),
            flat_end: Mm::new(150.0),
        },
        free_form: FreeFormRules { limits: limits(0.0), forming: forming(2.5, None, false) },
    }
}

fn limits(straight_od: f64) -> Limits {
    Limits {
        max_od: None,
        max_angle: None,
        max_radii: None,
        straight_between_od: straight_od,
        comfortable_straight_od: straight_od,
        first_straight_od: straight_od,
        last_straight_od: straight_od,
        preferred_bend_factor: 2.0,
        marks: Marks::None,
        marks_on_short_straight: Marks::None,
        moment_factor: 1.0,
        springback_factor: 1.0,
        arc_factor: 1.0,
        arc_factor_by_material: BTreeMap::new(),
        neutral_axis_share: 0.0,
        floor_clearance: Mm::new(5000.0),
        swing_clearance: Mm::new(5000.0),
    }
}

fn forming(min_bend_factor: f64, max_wall_factor: Option<f64>, lubricated_inside: bool) -> Forming {
    Forming {
        min_bend_factor,
        max_wall_factor,
        max_severity: None,
        finest_ovality_percent: 1.0,
        ovality_percent_at_1d: 5.0,
        ovality_wall_exponent: 0.5,
        ovality_floor_percent: 1.0,
        wrinkling_watch_severity: 20.0,
        wrinkling_high_severity: 40.0,
        lubricated_inside,
    }
}

fn seconds(minutes: f64) -> Seconds {
    Seconds::new(minutes * 60.0)
}

fn by_kind<T: Copy>(value: T) -> ByKind<T> {
    ByKind {
        bend_die: value,
        clamp_die: value,
        pressure_die: value,
        mandrel: value,
        wiper_die: value,
        collet: value,
        compression_die: value,
        roll_set: value,
        ring: value,
    }
}

fn start() -> StartRules {
    StartRules {
        first_article: seconds(10.0),
        first_article_per_bend: Seconds::ZERO,
        setup_pieces: 1,
        scrap_percent: 0.0,
    }
}

fn times() -> BendTimes {
    let tool = ToolTimes { on: seconds(4.0), off: seconds(1.0) };
    BendTimes {
        setup: SetupRules { program: seconds(5.0), alignment: seconds(5.0), tools: by_kind(tool) },
        wash: WashRules { share: 1.0, dry_piece: Seconds::new(20.0) },
        rotary_draw: RotaryDrawTimes {
            load_unload: seconds(1.0),
            clamp: Seconds::new(5.0),
            bend_speed_deg_s: 30.0,
            return_speed_deg_s: 90.0,
            feed_speed_mm_s: 400.0,
            rotation_speed_deg_s: 90.0,
            level_change: Seconds::new(4.0),
            mandrel_load: Seconds::new(8.0),
            mandrel_per_bend: Seconds::new(4.0),
            mandrel_speed_share: 0.5,
            start_bare: start(),
            start_mandrel: start(),
        },
        twin_head_compression: TwinHeadTimes {
            load_unload: Seconds::new(12.0),
            clamp: Seconds::new(4.0),
            bend_speed_deg_s: 60.0,
            return_speed_deg_s: 90.0,
            feed_speed_mm_s: 300.0,
            start: start(),
        },
        three_roll: ThreeRollTimes {
            load_unload: seconds(1.0),
            passes: 3,
            adjust: Seconds::new(10.0),
            feed_speed_mm_s: 80.0,
            start: start(),
        },
        free_form: FreeFormTimes {
            load_unload: seconds(2.0),
            arc_speed_mm_s: 20.0,
            straight_speed_mm_s: 50.0,
            ring_move: Seconds::new(3.0),
            start: start(),
        },
    }
}

fn tooling() -> ToolingRules {
    ToolingRules {
        matching: MatchRules {
            same_od: Mm::new(0.1),
            same_clr: Mm::new(0.5),
            same_wall: Mm::new(0.1),
            od_oversize: Mm::new(0.3),
            clr_percent: 3.0,
            mandrel_wall_excess: Mm::new(0.3),
            extra_balls: 1,
        },
        default: by_kind(ToolDefault { price: Money::new(1000.0), lead: Minutes::days(21) }),
    }
}

/// Standard times of the other steps.
#[must_use]
pub fn step_times() -> StepTimes {
    StepTimes {
        saw: Saw { kerf: Mm::new(3.0), end_trim: Mm::new(20.0), keep_from: Mm::new(500.0) },
        cut: CutTimes {
            changeover: Minutes::new(10),
            per_lot: seconds(4.0),
            per_piece: Seconds::new(12.0),
            per_trimmed_end: Seconds::new(24.0),
        },
        deburr: DeburrTimes {
            changeover: Minutes::new(5),
            per_lot: seconds(2.0),
            per_end: Seconds::new(6.0),
        },
        wash: WashTimes { per_lot: seconds(5.0), least: seconds(15.0), drying: Minutes::new(30) },
        end_form: EndFormTimes {
            changeover: Minutes::new(20),
            per_lot: seconds(5.0),
            per_end: Seconds::new(12.0),
        },
        weld: WeldTimes { changeover: Minutes::new(15), per_lot: seconds(10.0), load: Seconds::new(30.0) },
        inspect: InspectTimes {
            per_lot: seconds(8.0),
            per_checked_piece: Seconds::new(30.0),
            checked_percent: 10.0,
            least_checked: 5,
        },
    }
}

/// How far things stray: round numbers.
#[must_use]
pub fn uncertainty() -> Uncertainty {
    let work = WorkSpread {
        run_cv: 0.1,
        setup_cv: 0.3,
        scrap_percent: 1.0,
        between_failures: Minutes::new(12_000),
        repair: Minutes::new(120),
    };
    Uncertainty {
        bend: [work; 4],
        cut: work,
        deburr: work,
        wash: work,
        end_form: work,
        weld: work,
        inspect: work,
        outside_cv: 0.2,
        repair_cv: 1.0,
        material: LateArrival { late_percent: 10.0, late_by: Minutes::days(2) },
        tools: LateArrival { late_percent: 30.0, late_by: Minutes::days(7) },
        turn_lost_after: Minutes::new(60),
        at_risk_below_percent: 80.0,
        overtime: Overtime { from: clock(6), to: clock(12), premium_percent: 50.0 },
    }
}

fn clock(hour: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, 0, 0).expect("the day has this hour")
}
