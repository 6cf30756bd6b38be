use crate::calendar::{Calendar, Holiday};
use crate::cell::Cell;
use crate::crew::Crew;
use crate::measured::Measured;
use crate::order::Order;
use crate::part::{Part, StockTube};
use crate::rack::Tool;
use crate::standards::StepTimes;
use crate::steadiness::Steadiness;
use crate::uncertainty::Uncertainty;
use crate::underway::Underway;
use crate::vendor::Vendor;
use chrono::{NaiveDate, NaiveTime};
use chrono_tz::Tz;
use elbowroom_bending::material::Material;
use elbowroom_bending::rules::Rules;
use elbowroom_units::{Minutes, Money};

/// A customer.
#[derive(Clone, Debug, PartialEq)]
pub struct Customer {
    /// Name, unique.
    pub id: String,
    /// What a late day of one of its orders costs.
    pub late_cost_per_day: Money,
}

/// What holds for the whole shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Terms {
    /// Name of the shop.
    pub name: String,
    /// Currency code, for display.
    pub currency: String,
    /// Where its clocks are.
    pub time_zone: Tz,
    /// Day on which a plan starts unless asked otherwise.
    pub plan_start: Option<NaiveDate>,
    /// Weeks that a plan shows unless asked otherwise; at least 1.
    pub weeks: u32,
    /// A promised date is kept if the order is finished by this time of that day.
    pub ship_by: NaiveTime,
    /// What arrives on a date can be used from this time.
    pub receive_by: NaiveTime,
    /// Wall-clock time between two steps of an order.
    pub transfer: Minutes,
    /// What a late day costs where neither order nor customer says.
    pub late_cost_per_day: Money,
    /// What it costs to promise a customer a day later than could be: patience, orders that go
    /// elsewhere. `None`: nobody has said.
    pub later_promise_cost_per_day: Option<Money>,
    /// How long before its due time a plan made from nothing would like to finish an order; zero: the time
    /// before it is worth nothing.
    pub spare: Minutes,
    /// Margin on cost, in percent, for prices.
    pub margin_percent: Option<f64>,
    /// How much of the plan that stood a new one keeps.
    pub steadiness: Steadiness,
}

/// Everything that is known of a shop; ids are unique and every reference is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// What holds for the whole shop.
    pub terms: Terms,
    /// Days on which everything is closed.
    pub holidays: Vec<Holiday>,
    /// Patterns of working time.
    pub calendars: Vec<Calendar>,
    /// Cells and other work centres.
    pub cells: Vec<Cell>,
    /// Setters and operators.
    pub crews: Vec<Crew>,
    /// Tube materials.
    pub materials: Vec<Material>,
    /// Tubes.
    pub tubes: Vec<StockTube>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Bending tools.
    pub tools: Vec<Tool>,
    /// Outside services.
    pub vendors: Vec<Vendor>,
    /// Customers.
    pub customers: Vec<Customer>,
    /// The order book.
    pub orders: Vec<Order>,
    /// Work already under way.
    pub underway: Vec<Underway>,
    /// Limits, tooling rules, times and prices of bending.
    pub rules: Rules,
    /// Standard times of the other steps.
    pub step_times: StepTimes,
    /// What recorded times say about the standard times.
    pub measured: Measured,
    /// How far things stray from what was planned.
    pub uncertainty: Uncertainty,
}
