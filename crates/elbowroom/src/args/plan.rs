//! `plan`: planning, planning anew, publishing.

use super::week::money;
use super::{SearchArgs, StoreArgs};
use chrono::{DateTime, FixedOffset, NaiveDate};
use clap::{Args, ValueHint};
use elbowroom_shop::Steadiness;
use elbowroom_units::{Minutes, Money};
use std::path::PathBuf;

/// `plan`.
#[derive(Debug, Args)]
pub struct PlanArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// First day of the plan [default: `plan_start` of shop.toml, else the next Monday; where a plan
    /// has been published, today once that day has come].
    #[arg(long, value_name = "DATE")]
    pub start: Option<NaiveDate>,
    /// Weeks that lists and charts show; every order is planned, however far it goes
    /// [default: `weeks` of shop.toml, else 1].
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=52))]
    pub weeks: Option<u32>,
    /// What is kept of the plan that stood.
    #[command(flatten)]
    pub steady: SteadyArgs,
    /// Whether the plan becomes the shop's plan.
    #[command(flatten)]
    pub publish: PublishArgs,
    /// Where plans, promises and reports are kept; where there is such a file, what was promised and
    /// reported stands.
    #[command(flatten)]
    pub store: StoreArgs,
    /// How to search.
    #[command(flatten)]
    pub search: SearchArgs,
    /// Folder for the results; it is written whole or not at all.
    #[arg(long, value_name = "FOLDER", default_value = "plan", value_hint = ValueHint::DirPath)]
    pub out: PathBuf,
    /// Print the plan as JSON instead of a summary.
    #[arg(long)]
    pub json: bool,
}

/// What is kept of the plan that stood.
#[derive(Debug, Args)]
pub struct SteadyArgs {
    /// A folder that `plan` wrote earlier: the plan that stood [default: the one published last, where
    /// the store has one].
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub near: Option<PathBuf>,
    /// Plan as if no plan had stood; what was promised and reported stands all the same.
    #[arg(long, conflicts_with_all = ["near", "frozen", "move_cost", "moved_by"])]
    pub afresh: bool,
    /// What begins within this time of the new plan's first working minute stands where it is, unless
    /// that is impossible: "8 h", "2 days" [default: `frozen` of shop.toml, else nothing].
    #[arg(long, value_name = "DURATION")]
    pub frozen: Option<Minutes>,
    /// What it is worth not to move an order whose finish was announced [default: `move_cost` of
    /// shop.toml, else nothing].
    #[arg(long, value_name = "MONEY", value_parser = money)]
    pub move_cost: Option<Money>,
    /// Finished by more than this sooner or later, an order is moved [default: `moved_by` of
    /// shop.toml, else 4 h].
    #[arg(long, value_name = "DURATION")]
    pub moved_by: Option<Minutes>,
    /// The time now, such as 2026-12-08T06:00:00+01:00, where the store is used: what lies before has
    /// passed [default: the computer's clock].
    #[arg(long, value_name = "TIME")]
    pub now: Option<DateTime<FixedOffset>>,
}

impl SteadyArgs {
    /// The shop's settings with those of the command line.
    pub fn over(&self, shop: Steadiness) -> Steadiness {
        Steadiness {
            frozen: self.frozen.unwrap_or(shop.frozen),
            move_cost: self.move_cost.unwrap_or(shop.move_cost),
            moved_by: self.moved_by.unwrap_or(shop.moved_by),
        }
    }
}

/// Whether the plan becomes the shop's plan.
#[derive(Debug, Args)]
pub struct PublishArgs {
    /// Publish the plan, unless somebody has published another since this one was begun.
    #[arg(long)]
    pub publish: bool,
    /// Who publishes [default: the user of this computer].
    #[arg(long, value_name = "NAME", requires = "publish")]
    pub by: Option<String>,
    /// Why there is a new plan, in a few words.
    #[arg(long, value_name = "TEXT", requires = "publish", default_value = "planned on the command line")]
    pub why: String,
}
