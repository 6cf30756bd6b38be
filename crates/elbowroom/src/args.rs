//! The command line: verbs, options and their help.

mod examples;
mod floor;
mod folder;
mod plan;
mod serve;
mod week;

pub use floor::{EstimatesArgs, Happened, LookBackArgs, RecordArgs, StoreArgs};
pub use folder::{ImportArgs, NewArgs};
pub use plan::PlanArgs;
pub use serve::{ServeArgs, TokenArgs, TokenRight};
pub use week::{CompareArgs, NoticeArgs, WhatIfArgs};

use crate::exit;
use chrono::NaiveDate;
use clap::{Args, Parser, Subcommand, ValueHint};
use std::path::PathBuf;

/// Plans a contract tube-bending shop.
///
/// From files that describe the shop (cells, tooling, calendars, crews, parts, orders) it decides
/// which process and which cell makes each order, with which tooling, and when; it says what is
/// late and why, what to buy by when, and where a process that needs no dies beats waiting for them.
#[derive(Debug, Parser)]
#[command(
    name = "elbowroom",
    version,
    arg_required_else_help = true,
    after_help = "Begin with: elbowroom check SHOP_FOLDER, then elbowroom plan SHOP_FOLDER",
    after_long_help = after_long_help()
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

fn after_long_help() -> String {
    format!(
        "{}\n\n\
Examples:
  elbowroom new our-shop                      files to fill in
  elbowroom check examples/ottergrund         read everything, report every fault
  elbowroom plan examples/ottergrund          plan, and write lists and charts to `plan/`
  elbowroom solve problem.json --json        the engine alone, on a problem file
  elbowroom verify problem.json schedule.json
  elbowroom fit examples/ottergrund --part HR-704 --qty 24   can we bend it, with what, at what cost

A plan is advice: it starts, stops and unlocks no machine. First article, tooling maker, the
applicable code and licensed engineers decide on parts whose failure can hurt someone.",
        exit::TABLE
    )
}

/// The verbs.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Plan the shop's orders and write dispatch lists, charts and reports.
    Plan(PlanArgs),
    /// Serve the shop's plan: a live page for people, an interface for programs.
    Serve(ServeArgs),
    /// Make a token for `serve`.
    Token(TokenArgs),
    /// Solve one scheduling problem from a file.
    Solve(SolveArgs),
    /// Check a schedule against its problem, rule by rule.
    Verify(VerifyArgs),
    /// Read a shop folder and report every fault in it.
    Check(CheckArgs),
    /// Hold one part up to every bending cell: which can, with what, how long, at what cost; why not.
    Fit(FitArgs),
    /// Say when an inquiry could be delivered, made how, at what price, at whose expense.
    Promise(PromiseArgs),
    /// Make a shop folder with explained files to fill in.
    New(NewArgs),
    /// Take over orders, tools or parts from an order system's export; shows first what would change.
    Import(ImportArgs),
    /// Post what is different for the time being: a cell down, a die late, an order in a hurry.
    Notice(NoticeArgs),
    /// Try out cases side by side without touching the shop or its plan.
    WhatIf(WhatIfArgs),
    /// Say what is different from an older plan to a newer one.
    Compare(CompareArgs),
    /// Record what happened on the floor: started, stopped, counted, finished.
    Record(RecordArgs),
    /// Look back: promises kept, planned against actual, what cost most lateness.
    LookBack(LookBackArgs),
    /// Show what recorded times say about the standard times; keep them with --write.
    Estimates(EstimatesArgs),
    /// Say which dies to buy, wait for or go without; which stand idle or wear out.
    Tooling(ToolingArgs),
    /// Print a completion script for a shell.
    Completions(CompletionsArgs),
}

/// How long and how to search.
#[derive(Clone, Copy, Debug, Args)]
pub struct SearchArgs {
    /// Seconds to search for a better schedule; the search ends on time, with the best it has.
    /// Ctrl-C ends it sooner. `plan` keeps a tenth of it, one second at most, for its reports.
    #[arg(long, value_name = "S", default_value_t = 20.0, value_parser = seconds)]
    pub seconds: f64,
    /// Threads to search with [default: as many as the machine has].
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Seed of the search.
    #[arg(long, value_name = "K", default_value_t = 1)]
    pub seed: u64,
    /// Stop after so many search steps per thread, however long they take: with the same seed
    /// and threads the answer is then the same on every machine.
    #[arg(long, value_name = "N")]
    pub steps: Option<u64>,
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if (0.01..=864_000.0).contains(&value) => Ok(value),
        _ => Err("expected a number of seconds from 0.01 to 864000, such as 20".to_owned()),
    }
}

/// `solve`.
#[derive(Debug, Args)]
pub struct SolveArgs {
    /// Problem file (JSON, `elbowroom-problem/1`); `-` reads standard input.
    #[arg(value_name = "PROBLEM.json", value_hint = ValueHint::FilePath)]
    pub problem: PathBuf,
    /// How to search.
    #[command(flatten)]
    pub search: SearchArgs,
    /// Write the schedule to this file.
    #[arg(long, value_name = "SCHEDULE.json", value_hint = ValueHint::FilePath)]
    pub out: Option<PathBuf>,
    /// Print one JSON object: objective, lower_bound, gap, seconds, late_jobs.
    #[arg(long)]
    pub json: bool,
}

/// `verify`.
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// Problem file (JSON, `elbowroom-problem/1`).
    #[arg(value_name = "PROBLEM.json", value_hint = ValueHint::FilePath)]
    pub problem: PathBuf,
    /// Schedule file (JSON, `elbowroom-schedule/1`).
    #[arg(value_name = "SCHEDULE.json", value_hint = ValueHint::FilePath)]
    pub schedule: PathBuf,
    /// Print one JSON object: valid, violations, objective, late_jobs, setup_minutes.
    #[arg(long)]
    pub json: bool,
}

/// `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// First day of the plan, for warnings about dates [default: as for `plan`].
    #[arg(long, value_name = "DATE")]
    pub start: Option<NaiveDate>,
    /// Print one JSON object: faults, warnings, counts.
    #[arg(long)]
    pub json: bool,
}

/// `fit`.
#[derive(Debug, Args)]
#[command(after_long_help = examples::BENDS_HELP)]
pub struct FitArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// Id of the part [default: the only one of --bends].
    #[arg(long, value_name = "ID", required_unless_present = "bends")]
    pub part: Option<String>,
    /// File with a part that is not in the shop's book, written as in parts.toml; tubes that the
    /// shop does not list can stand in it too, as in tubes.toml.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub bends: Option<PathBuf>,
    /// Good pieces wanted.
    #[arg(long, value_name = "N", default_value_t = 100, value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
    pub qty: u32,
    /// Day from which lead times count [default: as for `plan`].
    #[arg(long, value_name = "DATE")]
    pub start: Option<NaiveDate>,
    /// Draw the part into this file: isometric and two projections, with bend numbers.
    #[arg(long, value_name = "FILE.svg", value_hint = ValueHint::FilePath)]
    pub picture: Option<PathBuf>,
    /// Print the answer as JSON.
    #[arg(long)]
    pub json: bool,
}

/// Which plan a question is asked about.
#[derive(Clone, Debug, Args)]
pub struct PlanSource {
    /// Folder of the plan that stands, as `plan` wrote it; it must fit the shop as it is now
    /// [default: a plan is made in `--seconds`].
    #[arg(long, value_name = "FOLDER", value_hint = ValueHint::DirPath)]
    pub plan: Option<PathBuf>,
    /// First day of the plan that is made; a plan that is read has its own [default: as for `plan`].
    #[arg(long, value_name = "DATE", conflicts_with = "plan")]
    pub start: Option<NaiveDate>,
    /// Seconds to make a plan where none is named.
    #[arg(long, value_name = "S", default_value_t = 5.0, value_parser = seconds)]
    pub seconds: f64,
    /// Threads to work with [default: as many as the machine has].
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub threads: Option<u16>,
    /// Seed of the search for a plan.
    #[arg(long, value_name = "K", default_value_t = 1)]
    pub seed: u64,
    /// Search steps per thread for a plan, however long they take: the same answer everywhere.
    #[arg(long, value_name = "N")]
    pub steps: Option<u64>,
}

/// `promise`.
#[derive(Debug, Args)]
pub struct PromiseArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// Id of the part that is asked for.
    #[arg(long, value_name = "PART", requires = "qty", conflicts_with = "csv")]
    pub part: Option<String>,
    /// How many pieces.
    #[arg(long, value_name = "N", requires = "part", value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
    pub qty: Option<u32>,
    /// The date that the customer would like.
    #[arg(long, value_name = "DATE", requires = "part")]
    pub wanted: Option<NaiveDate>,
    /// The date on which the tube is in the house [default: it is, or after its lead time where
    /// `on_hand_m` is too little].
    #[arg(long, value_name = "DATE", requires = "part")]
    pub material: Option<NaiveDate>,
    /// Id of the customer: what a late day costs with it is what a day counts.
    #[arg(long, value_name = "ID", requires = "part")]
    pub customer: Option<String>,
    /// Id that the order gets [default: the next number of the order book].
    #[arg(long, value_name = "ID", requires = "part")]
    pub order: Option<String>,
    /// Several inquiries: a CSV file with the columns part, quantity and, if wanted, wanted,
    /// material, customer, order.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub csv: Option<PathBuf>,
    /// Answer each inquiry as if those before it had been accepted; without it, each by itself.
    #[arg(long)]
    pub together: bool,
    /// Carry the plan out by chance so often, for the dates kept in 50, 80 and 95 of 100 cases and the date
    /// worth telling the customer; 0: not, and the soonest date is told and booked.
    #[arg(long, value_name = "N", default_value_t = 200, value_parser = clap::value_parser!(u32).range(0..=100_000))]
    pub runs: u32,
    /// Of several inquiries, say how sure every way is, not only the recommended one; of a single one that
    /// is always said.
    #[arg(long)]
    pub all_sure: bool,
    /// Book what is recommended into the order book of the shop folder, for the date that the answer tells
    /// to promise; implies `--together`.
    #[arg(long)]
    pub accept: bool,
    /// The plan that stands.
    #[command(flatten)]
    pub source: PlanSource,
    /// Print one JSON object: for each inquiry every way with dates, costs and reasons.
    #[arg(long)]
    pub json: bool,
}

/// `tooling`.
#[derive(Debug, Args)]
pub struct ToolingArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// The plan that stands.
    #[command(flatten)]
    pub source: PlanSource,
    /// Print the answer as JSON.
    #[arg(long)]
    pub json: bool,
}

/// `completions`.
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// The shell.
    pub shell: clap_complete::Shell,
}
