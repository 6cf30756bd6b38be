//! Every number that a shop may change: limits, tooling rules, times, prices.
//!
//! Plain records without defaults; the shipped values lie in `config/processes.toml`
//! ([`ProcessRules`]), `config/times.toml`, table `bending` ([`BendTimes`]), and
//! `config/tooling.toml` ([`ToolingRules`]), each value with its source beside it. A key there has
//! the name of the field here, a nested table is a nested record. Keys that end in `_od` are
//! multiples of the tube's outside diameter.

mod processes;
mod sense;
mod times;
mod tooling;

pub use processes::{
    BallStep, CommonRules, Forming, FreeFormRules, Limits, ProcessRules, RotaryDrawRules, ThreeRollRules,
    TwinHeadRules, WiperRules,
};
pub use sense::RuleFault;
pub use times::{
    BendTimes, FreeFormTimes, RotaryDrawTimes, SetupRules, StartRules, ThreeRollTimes, ToolTimes,
    TwinHeadTimes, WashRules,
};
pub use tooling::{ByKind, MatchRules, ToolDefault, ToolingRules};

/// Everything a shop may change about bending.
#[derive(Clone, Debug, PartialEq)]
pub struct Rules {
    /// What each process can do: `config/processes.toml`.
    pub processes: ProcessRules,
    /// How long bending takes: `config/times.toml`, table `bending`.
    pub times: BendTimes,
    /// What tools cost and which tool serves for which: `config/tooling.toml`.
    pub tooling: ToolingRules,
}
