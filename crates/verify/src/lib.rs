//! Judges schedules by the rules of the contract, and adds up what they cost.
//!
//! The rules are written down in `CONTRACT.md` of the `problem` crate; each has one file here,
//! which can be read beside its paragraph there. This crate shares nothing with the engine: it
//! starts from the problem and the schedule alone and is written for being plainly right.
//!
//! * [`verify`] turns a [`Schedule`](elbowroom_problem::Schedule) into a [`VerifiedSchedule`], or
//!   lists every [`Violation`]. Nothing else makes a `VerifiedSchedule`; whatever shows, stores
//!   or sends a plan takes one.
//! * [`recompute`] gives the [`Figures`] of a schedule: objective, parts of the cost, late jobs,
//!   the changeover before each operation.
//!
//! ```
//! use elbowroom_problem::{
//!     Job, JobIdx, Objective, Operation, OptionIdx, Parts, Place, Placement, Problem, Route, Schedule, Work,
//! };
//! use elbowroom_units::{Minute, Minutes, Money};
//!
//! let plating = Work { place: Place::Outside, run: Minutes::new(500), cost: Money::new(7.0) };
//! let plate = Operation { id: "plate".into(), lag_after: Minutes::ZERO, options: vec![plating] };
//! let job = Job {
//!     id: "J1".into(),
//!     release: Minute::new(10),
//!     due: Minute::new(400),
//!     late_cost_per_day: Money::new(144.0),
//!     routes: vec![Route { id: "draw".into(), cost: Money::ZERO, operations: vec![plate] }],
//! };
//! let problem = Problem::new(Parts {
//!     name: "one job".into(),
//!     objective: Objective::Cost,
//!     horizon: Minute::new(1000),
//!     cells: vec![],
//!     tools: vec![],
//!     crews: vec![],
//!     jobs: vec![job],
//!     pinned: vec![],
//!     committed_purchases: vec![],
//! })
//! .expect("the parts fit");
//! let option = OptionIdx { job: JobIdx::new(0), route: 0, operation: 0, option: 0 };
//! let at = Minute::new;
//! let placed = Placement { option, setup_start: at(10), run_start: at(10), end: at(510) };
//! // 110 minutes late at 144 a day, and the plater's 7.
//! let schedule = Schedule { objective: 18.0, operations: vec![placed], ..Schedule::default() };
//! let verified = elbowroom_verify::verify(&problem, schedule).expect("no rule is broken");
//! assert_eq!(verified.figures().late_jobs, 1);
//!
//! let early = Placement { setup_start: at(0), run_start: at(0), end: at(500), ..placed };
//! let schedule = Schedule { objective: 17.0, operations: vec![early], ..Schedule::default() };
//! let rejected = elbowroom_verify::verify(&problem, schedule).expect_err("before the release");
//! assert_eq!(rejected.to_string(), "violation[V7]: `J1/plate` runs from 0, before its release at 10");
//! ```

mod calendar;
mod layout;
mod objective;
mod overlap;
mod rule_1_complete;
mod rule_2_working_time;
mod rule_3_cell;
mod rule_4_changeover;
mod rule_5_tools;
mod rule_6_crews;
mod rule_7_order;
mod rule_8_horizon;
mod rule_9_pinned;
mod verdict;

pub use objective::{CostParts, Figures, recompute};
pub use verdict::{Rejected, Rule, VerifiedSchedule, Violation, verify};
