//! The verbs of what has been done: recording it, looking back at it.

use super::examples::RECORD_HELP;
use chrono::{DateTime, FixedOffset, NaiveDate};
use clap::{Args, ValueEnum, ValueHint};
use std::path::{Path, PathBuf};

/// The store inside the shop's folder.
const STORE: &str = "elbowroom.store";

/// Where reports and published plans are kept.
#[derive(Clone, Debug, Args)]
pub struct StoreArgs {
    /// File that keeps plans and reports [default: `elbowroom.store` in the shop folder].
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub store: Option<PathBuf>,
}

impl StoreArgs {
    /// The store's file.
    pub fn path(&self, shop: &Path) -> PathBuf {
        self.store.clone().unwrap_or_else(|| shop.join(STORE))
    }
}

/// `record`.
#[derive(Debug, Args)]
#[command(after_help = RECORD_HELP)]
pub struct RecordArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// What happened.
    #[arg(value_enum)]
    pub what: Happened,
    /// Id of the order.
    pub order: String,
    /// Name of the step, such as cut, bend, wash or an outside service.
    pub step: String,
    /// Id of the cell or vendor, where it is not the planned one.
    #[arg(long)]
    pub cell: Option<String>,
    /// Good pieces so far, all in all.
    #[arg(long, value_name = "N", required_if_eq_any([("what", "finished"), ("what", "counted")]))]
    pub good: Option<u32>,
    /// Scrap so far, all in all.
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub scrap: u32,
    /// Why it stands still, for `stopped`.
    #[arg(long, value_name = "TEXT", required_if_eq("what", "stopped"))]
    pub reason: Option<String>,
    /// When it happened, such as 2026-12-07T06:30:00+01:00 [default: now].
    #[arg(long, value_name = "TIME")]
    pub at: Option<DateTime<FixedOffset>>,
    /// Who says so [default: the user of this computer].
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// Where it is kept.
    #[command(flatten)]
    pub store: StoreArgs,
    /// Print the report kept as JSON.
    #[arg(long)]
    pub json: bool,
}

/// What can happen to a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Happened {
    /// Work began, or goes on after a stop.
    Started,
    /// Work stands still.
    Stopped,
    /// So many pieces have been made so far.
    Counted,
    /// The step is done.
    Finished,
    /// The last report of the step was a mistake.
    Withdrawn,
}

/// `look-back`.
#[derive(Debug, Args)]
pub struct LookBackArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// First day [default: the day on which the first plan was published].
    #[arg(long, value_name = "DATE")]
    pub from: Option<NaiveDate>,
    /// Last day [default: today].
    #[arg(long, value_name = "DATE")]
    pub until: Option<NaiveDate>,
    /// Folder for a page with charts by week, `look-back.html`; it is made if it is not there.
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub out: Option<PathBuf>,
    /// Where reports and plans are kept.
    #[command(flatten)]
    pub store: StoreArgs,
    /// Print everything as JSON.
    #[arg(long)]
    pub json: bool,
}

/// `estimates`.
#[derive(Debug, Args)]
pub struct EstimatesArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// First day of lots to look at [default: the day on which the first plan was published].
    #[arg(long, value_name = "DATE")]
    pub from: Option<NaiveDate>,
    /// Last day [default: today].
    #[arg(long, value_name = "DATE")]
    pub until: Option<NaiveDate>,
    /// Lots that an estimate must rest on to be offered. Fewer than 6 cannot say how sure it is.
    #[arg(long, value_name = "N", default_value_t = 6, value_parser = clap::value_parser!(u32).range(6..=100_000))]
    pub least: u32,
    /// Keep what is offered in `measured.toml` of the shop folder; from then on plans, quotes and
    /// promises use it.
    #[arg(long)]
    pub write: bool,
    /// Where reports and plans are kept.
    #[command(flatten)]
    pub store: StoreArgs,
    /// Print everything as JSON.
    #[arg(long)]
    pub json: bool,
}
