//! The verbs of a week in motion: notices, comparisons, what-ifs.

use super::examples::{CASES_HELP, NOTICE_HELP};
use super::{SearchArgs, StoreArgs};
use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime};
use clap::{Args, Subcommand, ValueHint};
use elbowroom_shop::notice::{Change, Days, Hours, Notice};
use elbowroom_shop::order::Order;
use elbowroom_units::{Minutes, Money};
use std::path::PathBuf;

/// `notice`.
#[derive(Debug, Args)]
#[command(after_help = NOTICE_HELP)]
pub struct NoticeArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// What to post; without it, the notices that stand are listed.
    #[command(subcommand)]
    pub post: Option<Post>,
    /// Take down the notice of this number in the list.
    #[arg(long, value_name = "NUMBER")]
    pub remove: Option<usize>,
    /// Print as JSON the notices that stand afterwards.
    #[arg(long)]
    pub json: bool,
}

/// What is different for the time being.
#[derive(Clone, Debug, Subcommand)]
pub enum Post {
    /// A cell stands still.
    Down {
        /// Id of the cell.
        cell: String,
        /// When.
        #[command(flatten)]
        days: DaysArgs,
        /// Only in these hours, such as 06:00-10:00; without it, the whole days.
        #[arg(long, value_name = "FROM-TO", value_parser = hours)]
        hours: Option<Hours>,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// A cell works overtime.
    Open {
        /// Id of the cell.
        cell: String,
        /// When.
        #[command(flatten)]
        days: DaysArgs,
        /// In these hours, such as 06:00-14:00.
        #[arg(long, value_name = "FROM-TO", value_parser = hours)]
        hours: Hours,
        /// Without one more of each crew that the cell needs.
        #[arg(long)]
        without_people: bool,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// A tool comes on a date: later than thought, or bought.
    Tool {
        /// Id of the tool.
        tool: String,
        /// The date.
        arrives: NaiveDate,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// The tube of an order comes on a date.
    Tube {
        /// Id of the order.
        order: String,
        /// The date.
        arrives: NaiveDate,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// People of a crew are away.
    Absent {
        /// Id of the crew.
        crew: String,
        /// When.
        #[command(flatten)]
        days: DaysArgs,
        /// How many.
        #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
        heads: u32,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// A crew has more people.
    People {
        /// Id of the crew.
        crew: String,
        /// When.
        #[command(flatten)]
        days: DaysArgs,
        /// In these hours, such as 06:00-14:00.
        #[arg(long, value_name = "FROM-TO", value_parser = hours)]
        hours: Hours,
        /// How many more.
        #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
        heads: u32,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// An order is wanted sooner, later, or more badly.
    Rush {
        /// Id of the order.
        order: String,
        /// The date promised now.
        #[arg(long, required_unless_present = "late_cost")]
        promised: Option<NaiveDate>,
        /// What a late day costs now, in the shop's currency.
        #[arg(long, value_name = "MONEY", value_parser = money)]
        late_cost: Option<Money>,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// An order comes that is not in the book yet.
    Order {
        /// Id that it gets.
        order: String,
        /// Id of the part.
        part: String,
        /// How many pieces.
        #[arg(value_parser = clap::value_parser!(u32).range(1..=10_000_000))]
        quantity: u32,
        /// The date promised.
        #[arg(long, value_name = "DATE")]
        promised: NaiveDate,
        /// The date on which its tube is in the house [default: it is].
        #[arg(long, value_name = "DATE")]
        material: Option<NaiveDate>,
        /// Id of the customer.
        #[arg(long, value_name = "ID")]
        customer: Option<String>,
        /// What a late day costs, in the shop's currency.
        #[arg(long, value_name = "MONEY", value_parser = money)]
        late_cost: Option<Money>,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
    /// An order is called off.
    Cancel {
        /// Id of the order.
        order: String,
        /// Why, for people.
        #[arg(long, default_value = "")]
        why: String,
    },
}

/// Days from the first to the last.
#[derive(Clone, Copy, Debug, Args)]
pub struct DaysArgs {
    /// First day.
    #[arg(long, value_name = "DATE")]
    pub from: NaiveDate,
    /// Last day [default: the first].
    #[arg(long, value_name = "DATE")]
    pub until: Option<NaiveDate>,
}

impl DaysArgs {
    fn days(self) -> Days {
        Days { from: self.from, until: self.until.unwrap_or(self.from) }
    }
}

impl Post {
    /// The notice.
    pub fn notice(self) -> Notice {
        let (change, why) = match self {
            Self::Down { cell, days, hours, why } => (Change::Down { cell, days: days.days(), hours }, why),
            Self::Open { cell, days, hours, without_people, why } => {
                (Change::Open { cell, days: days.days(), hours, people: !without_people }, why)
            }
            Self::Tool { tool, arrives, why } => (Change::Tool { tool, arrives }, why),
            Self::Tube { order, arrives, why } => (Change::Tube { order, arrives }, why),
            Self::Absent { crew, days, heads, why } => {
                (Change::Absent { crew, heads, days: days.days() }, why)
            }
            Self::People { crew, days, hours, heads, why } => {
                (Change::People { crew, heads, days: days.days(), hours }, why)
            }
            Self::Rush { order, promised, late_cost, why } => {
                (Change::Rush { order, promised, late_cost_per_day: late_cost }, why)
            }
            Self::Order { order, part, quantity, promised, material, customer, late_cost, why } => {
                let late_cost_per_day = late_cost;
                let new =
                    Order { id: order, part, quantity, promised, material, customer, late_cost_per_day };
                (Change::Order(new), why)
            }
            Self::Cancel { order, why } => (Change::Cancel { order }, why),
        };
        Notice { change, why }
    }
}

fn hours(text: &str) -> Result<Hours, String> {
    let time = |text: &str| NaiveTime::parse_from_str(text.trim(), "%H:%M").ok();
    let found = text.split_once('-').and_then(|(from, to)| time(from).zip(time(to)));
    found.filter(|(from, to)| from != to).ok_or_else(|| "expected hours such as 06:00-14:00".to_owned())
}

pub(super) fn money(text: &str) -> Result<Money, String> {
    match text.parse::<f64>() {
        Ok(amount) if (0.0..=1e12).contains(&amount) => Ok(Money::new(amount)),
        _ => Err("expected an amount such as 150 or 99.50".to_owned()),
    }
}

/// `compare`.
#[derive(Debug, Args)]
pub struct CompareArgs {
    /// The older plan: a folder that `plan` wrote, or its plan.json.
    #[arg(value_name = "OLD", value_hint = ValueHint::AnyPath)]
    pub old: PathBuf,
    /// The newer plan.
    #[arg(value_name = "NEW", value_hint = ValueHint::AnyPath)]
    pub new: PathBuf,
    /// Orders that are finished less than this sooner or later count as unchanged.
    #[arg(long, value_name = "DURATION", default_value = "1 h")]
    pub least: Minutes,
    /// Print the differences as JSON.
    #[arg(long)]
    pub json: bool,
}

/// `what-if`.
#[derive(Debug, Args)]
#[command(after_help = CASES_HELP)]
pub struct WhatIfArgs {
    /// Folder that describes the shop.
    #[arg(value_name = "SHOP_FOLDER", value_hint = ValueHint::DirPath)]
    pub shop: PathBuf,
    /// File of cases: `[[case]]` with a `name`, and `[[case.notice]]` for what would be different
    /// (the keys of notices.toml).
    #[arg(value_name = "CASES.toml", value_hint = ValueHint::FilePath)]
    pub cases: PathBuf,
    /// First day of the plans [default: `plan_start` of shop.toml, else the next Monday; where a plan
    /// has been published, today once that day has come].
    #[arg(long, value_name = "DATE")]
    pub start: Option<NaiveDate>,
    /// Try the cases on a plan made afresh, as if none had been published.
    #[arg(long)]
    pub afresh: bool,
    /// The time now, such as 2026-12-08T06:00:00+01:00, where a plan has been published or something
    /// reported: what lies before has passed [default: the computer's clock].
    #[arg(long, value_name = "TIME")]
    pub now: Option<DateTime<FixedOffset>>,
    /// Where plans, promises and reports are kept; where there is such a file, the cases begin from the
    /// published plan, and what was promised and reported stands.
    #[command(flatten)]
    pub store: StoreArgs,
    /// How to search, for each case and for the shop as it is.
    #[command(flatten)]
    pub search: SearchArgs,
    /// Print everything as JSON.
    #[arg(long)]
    pub json: bool,
}
