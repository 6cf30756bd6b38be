//! Compiles a shop into a scheduling problem, has it solved and verified, and reads the schedule
//! back as a plan in the shop's own words.
//!
//! * [`compile`] turns dates, parts, tools and orders into one problem of integers, with a key
//!   for the way back;
//! * [`plan_week`] has it solved, verified and read back;
//! * [`confidence`] says how sure the dates are;
//! * a [`plan::Plan`] says what every cell does when, what to buy, why what is late is late, and
//!   what going without new tools would mean;
//! * [`sheets`] says what each cell needs on paper for it;
//! * [`replan_week`] plans anew after something has happened, and keeps what it can;
//! * [`compare`] says what is different from one plan to another, [`what_if`] tries cases out.
//!
//! Nothing here reads a file, a clock or a random number that was not handed to it.

pub mod compare;
mod compile;
pub mod confidence;
pub mod fit;
pub mod insertion;
mod late_setups;
mod lateness;
mod near;
mod no_tooling;
pub mod plan;
pub mod promise;
mod readback;
mod replan;
pub mod sheets;
mod spare;
mod timeline;
pub mod tooling;
pub mod tube;
mod week;
pub mod what_if;
mod words;

pub use compile::{
    CompileError, Compiled, Finding, JobKey, JobRole, Key, ReleaseReason, Request, RouteKey, Severity,
    StepKey, StepKind, ToolKey, compile,
};
pub use near::Near;
pub use replan::{Kept, Presumed, Replanned, Thawed, plan_anew, replan_week};
pub use week::{PlanError, Planned, plan_week, plan_week_near, read_back};
